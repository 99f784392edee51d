"""The sample builds with every name as long as people write it: build, parts, assemblies, glue, finish and wood."""

from __future__ import annotations

from pathlib import Path

from tracker.assets import asset_dir

LONG = {
    "Side": "Outward leaning side board of the outer ring",
    "Cleat": "Lower cleat under the ends of the inner floor",
    "Foot": "Turned foot with a rubber bumper below it",
    "Ring": "Outer ring of six outward leaning side boards",
    "Planter": "Doorstep planter with its feet and its floor",
    "Leg": "Splayed and tapered leg with a rounded foot",
    "Rail": "Upper side rail with pocket holes at both ends",
    "Stretcher": "Lower side stretcher between two splayed legs",
    "Seat board": "Seat board glued edge to edge with two others",
    "Leg frame": "Leg frame of two splayed legs and their rails",
    "Base": "Base of two leg frames and their side rails",
    "Seat": "Seat of three boards glued edge to edge, oiled",
    "Stool": "Kitchen stool with its seat fixed by buttons",
    "Shoe slat": "Slat of the shoe shelf below the seat, rounded",
}
"""As long as people write names of parts and assemblies: 40 to 46 letters; no two of a build differ in their last
words only by chance."""
PHRASES = {
    'glue = "PVA, cross-linking"': 'glue = "Fish glue with urea, mixed fresh every morning"\nopen_time = "5 min"\n'
    'clamp_time = "1 h"\ncure_time = "24 h"',
    'kind = "Drying oil"': 'kind = "Drying oil (boiled linseed / tung), wiped"',
    'kind = "Danish oil"': 'kind = "Drying oil (boiled linseed / tung), wiped"',
    'kind = "Hardwax oil"': 'kind = "Drying oil + wax (hardwax-oil type)"',
}
"""A glue of the maker's own, with the times of the one that it replaces, and the longest names of the table of
finishes."""
BUILDS = {"planter": "Doorstep planter", "stool": "Kitchen stool", "hall_bench": "Hall bench"}


def long_name(build: str) -> str:
    """The long name of a sample build."""
    return f"{build} for the house by the river, second making"


def write_long_builds(folder: Path) -> None:
    """Replace the sample builds in the folder of a library by those with long names."""
    for file, build in BUILDS.items():
        text = (asset_dir("sample_projects") / f"{file}.toml").read_text(encoding="utf-8")
        for short, long in {**LONG, build: long_name(build)}.items():
            text = text.replace(f'name = "{short}"', f'name = "{long}"')
        for short, long in PHRASES.items():
            text = text.replace(short, long)
        (folder / f"{file}.toml").write_text(text, encoding="utf-8")
