# ruff: noqa: E501 - a table is read across
"""Headings of cut lists as people in several countries write them, each with the fields of its columns.

They were written before the first trial, and the program isn't tuned to them: those found are counted as they are. `-`
is a column of something else. Matching rows of cells are generated.
"""

from __future__ import annotations

TABLES: tuple[tuple[str, str], ...] = (
    ("Part|Qty|Length|Width|Thickness|Material", "name|quantity|length|width|thickness|wood"),
    ("Part #|Part Name|Quantity|Thickness (in)|Width (in)|Length (in)|Material", "number|name|quantity|thickness|width|length|wood"),
    ("No.|Description|T|W|L|Species|Notes", "number|name|thickness|width|length|wood|notes"),
    ("Item|Pcs|L|W|T|Wood", "name|quantity|length|width|thickness|wood"),
    ("Component|Count|Finished Length|Finished Width|Finished Thickness|Comments", "name|quantity|length|width|thickness|notes"),
    ("Key|Piece|No. req'd|Thick|Wide|Long|Stock", "number|name|quantity|thickness|width|length|wood"),
    ("Letter|Name|Qty.|T x W x L|Material", "number|name|quantity|length|wood"),
    ("Part|Number|Size|Timber", "name|quantity|length|wood"),
    ("Part name|How many|Length mm|Width mm|Thick mm", "name|quantity|length|width|thickness"),
    ("Panel|Qty|Height|Width|Depth|Board", "name|quantity|length|width|thickness|wood"),
    ("Members|Off|Long|Wide|Thick|Timber", "name|quantity|length|width|thickness|wood"),
    ("Cut list item|Amount|Cut length|Width|Thk.|Grain|Lumber", "name|quantity|length|width|thickness|-|wood"),
    ("Ref|Part|Quantity|Length|Breadth|Thickness|Remarks", "number|name|quantity|length|width|thickness|notes"),
    ("ID|Label|Qty|Length|Width|Stock thickness|Material|Edge banding", "number|name|quantity|length|width|thickness|wood|-"),
    ("Piece name|Nbr|Rough length|Width|Thickness", "name|quantity|length|width|thickness"),
    ("Pos.|Bezeichnung|Anzahl|Länge|Breite|Dicke|Material", "number|name|quantity|length|width|thickness|wood"),
    ("Pos|Bauteil|Stk.|Länge mm|Breite mm|Stärke mm|Holzart|Bemerkung", "number|name|quantity|length|width|thickness|wood|notes"),
    ("Teil|Stück|L|B|D|Werkstoff", "name|quantity|length|width|thickness|wood"),
    ("Nr.|Benennung|Menge|Länge (mm)|Breite (mm)|Dicke (mm)|Holz", "number|name|quantity|length|width|thickness|wood"),
    ("Einzelteil|Anz.|Fertiglänge|Fertigbreite|Materialstärke|Hinweis", "name|quantity|length|width|thickness|notes"),
    ("Lfd. Nr.|Teil|Stückzahl|Länge|Breite|Höhe|Holzart", "number|name|quantity|length|width|thickness|wood"),
    ("Zuschnitt|Menge|Länge|Breite|Stärke", "name|quantity|length|width|thickness"),
    ("Repère|Désignation|Nombre|Longueur|Largeur|Épaisseur|Essence", "number|name|quantity|length|width|thickness|wood"),
    ("Pièce|Qté|Long.|Larg.|Ép.|Bois", "name|quantity|length|width|thickness|wood"),
    ("Nom|Quantité|Longueur (mm)|Largeur (mm)|Epaisseur (mm)|Remarques", "name|quantity|length|width|thickness|notes"),
    ("Rep.|Nb|Désignation|L|l|e|Matière", "number|quantity|name|length|width|thickness|wood"),
    ("Élément|Quantité|Longueur finie|Largeur finie|Épaisseur finie", "name|quantity|length|width|thickness"),
    ("Nr|Onderdeel|Aantal|Lengte|Breedte|Dikte|Houtsoort", "number|name|quantity|length|width|thickness|wood"),
    ("Omschrijving|Stuks|Lengte mm|Breedte mm|Dikte mm|Opmerkingen", "name|quantity|length|width|thickness|notes"),
    ("Naam|Aantal|L|B|D|Materiaal", "name|quantity|length|width|thickness|wood"),
    ("Pezzo|Quantità|Lunghezza|Larghezza|Spessore|Legno", "name|quantity|length|width|thickness|wood"),
    ("Pos.|Descrizione|N. pezzi|Lungh.|Largh.|Spess.|Essenza|Note", "number|name|quantity|length|width|thickness|wood|notes"),
    ("Elemento|Qtà|Lunghezza mm|Larghezza mm|Spessore mm", "name|quantity|length|width|thickness"),
    ("Particolare|Numero|Lunghezza|Altezza|Spessore", "name|quantity|length|width|thickness"),
    ("Pieza|Cantidad|Largo|Ancho|Grosor|Madera", "name|quantity|length|width|thickness|wood"),
    ("Descripción|Unidades|Longitud|Anchura|Espesor|Material|Observaciones", "name|quantity|length|width|thickness|wood|notes"),
    ("Nombre|Cant.|Largo (mm)|Ancho (mm)|Grueso (mm)", "name|quantity|length|width|thickness"),
    ("Detalj|Antal|Längd|Bredd|Tjocklek|Träslag", "name|quantity|length|width|thickness|wood"),
    ("Pos|Del|Antal|Längd mm|Bredd mm|Tjocklek mm|Anmärkning", "number|name|quantity|length|width|thickness|notes"),
    ("Del|Antall|Lengde|Bredde|Tykkelse|Tre", "name|quantity|length|width|thickness|wood"),
    ("Emne|Antal|Længde|Bredde|Tykkelse|Materiale", "name|quantity|length|width|thickness|wood"),
    ("Element|Ilość|Długość|Szerokość|Grubość|Materiał", "name|quantity|length|width|thickness|wood"),
    ("Peça|Quantidade|Comprimento|Largura|Espessura|Madeira", "name|quantity|length|width|thickness|wood"),
)  # fmt: skip

CELLS = {
    "name": ("Leg", "Long apron", "Shelf", "Drawer side"),
    "quantity": (4, 2, 1, 6),
    "length": (725, 960, 910, 402),
    "width": (60, 90, 240, 110),
    "thickness": (45, 22, 18, 12),
    "wood": ("oak", "oak", "pine", "birch"),
    "notes": ("taper two sides", "", "round the front", ""),
    "number": ("A", "B", "C", "D"),
    "-": ("yes", "no", "no", "yes"),
}


def rows(headings: str, fields: str) -> list[list[object]]:
    """A table with four rows of cells under these headings."""
    kinds = fields.split("|")
    return [list(headings.split("|")), *([CELLS[kind][at] for kind in kinds] for at in range(4))]
