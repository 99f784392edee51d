"""What strangers may send: build files, pictures, codes and logs that were good before they were corrupted."""

from __future__ import annotations

import io
import random
import re
import struct
import zlib
from pathlib import Path

from PIL import Image

TESTS = Path(__file__).resolve().parent.parent
SAMPLES = [path.read_bytes() for path in sorted((TESTS.parent / "sample_projects").glob("*.toml"))]
SEEDS = [*SAMPLES, *(path.read_bytes() for path in sorted((TESTS / "design" / "broken").glob("*.toml")))]
VALUES = (
    "true", "-1", "0", "1", "2", "500", "501", "1e400", "1e-400", "nan", "inf", "-0.0", "9" * 40, "0x" + "f" * 60,
    "1e308", '""', '" "', '"="', '"= 1/0"', '"= -5"', '"= 10 ** 12"', "[]", "[[]]", "[[[1]]]", "{}", "{ a = 1 }",
    "[{}]", '["", 1, true, {}]', "1979-05-27", "07:32:00", '"' + "x" * 3000 + '"', '"""\n\n"""', "'''\n'''",
    '"\\u0007"', '"½"',
    '"0 mm"', '"1:0"', '"0 min"', '"= pi"', '"12 3/8"', '"1/64"', '"3 ft"', '"45 deg"', '"89.9"', '"90"',
    '"1000000 mm"', '"5:1"', '"\U0001d7d9"', '"\\ud800"', '"../../etc/passwd"', '"/etc/passwd"', '"~/x"',
    '"file:///etc/passwd"',
    '"=cmd|\' /C calc\'!A0"', '"%s%s%n"', '"{0.__class__}"', '"\x1b[2J"', '"[b]x[/b]"', '"<script>"', '"\\u202e"',
    "[1, 2, 3, 4]", '["cut", "trim", "drill"]', '"left"', '"pair"', "0.1", "25.4", "1_000", "+5", "0b1", "1 2",
)  # fmt: skip
HOSTILE_FORMULAS = (
    "__import__('os').system('id')", "().__class__.__base__.__subclasses__()", "9**9**9**9", "2**-9999", "1e999",
    "'a'*10**9", "open('/etc/passwd').read()", "(lambda: 1)()", "[x for x in (1,)]", "f'{1:>1000000000}'",
    "1if 1else 2", "a.b.c", "a[0]", "exec('1')", "pi(1)", "sqrt(-1)", "tan(90)", "asin(2)", "max(1)", "min()",
    "((" * 60, "-" * 190,
    "+".join("1" * 90), "1//0", "1%0", "0**-1", "(-8)**(1/3)", "10**12*10", "1/3**60", "not 1", "1<2", "1 and 2", "~1",
    "1@2", "1j", "0x10", "1_0", "０", "π", "sin(cos(tan(1)))", "1 if 1 else 1", "*1", "**1", "1,2", "", " ", "\t", "=1",
    "yield", "await 1", "(yield)", "a:=1", "None", "True", "...", "print(1)", "round(1.5)", "abs(-1)", "exp(999)",
)  # fmt: skip
HOSTILE_LINES = (
    ".".join("a" * 12) + " = 1", "a = " + "[" * 300, "a = " + "{a=" * 90, "[[parts]]", "[parts]", "[build]",
    "x = 0x" + "f" * 3900, "# " + "x" * 3990, "\\", '"', "'''", '"""', "\ufeff", "\x00", "\r", "[sizes]", "[woods.x]",
    'a = "= a"', "[[assemblies]]", "[[rack]]", "[[hardware]]", "[shop]", 'joins = { a = 1 }', "holes = [{}]",
)  # fmt: skip
SLIPS = ("", "", '"', "[", "]", "{", "}", "=", "-", "9", ",", "\n", "0x", "é", "\0", ".", "#", "'", "\t", "1", "e")


def build_file(chance: random.Random) -> bytes:
    """A good or a broken build file, with a few changes."""
    return changed(chance.choice(SAMPLES if chance.random() < 0.8 else SEEDS), chance)


def changed(data: bytes, chance: random.Random) -> bytes:
    """A build file with one to six more changes."""
    text = data.decode("utf-8", "replace")
    for _ in range(chance.choice((1, 1, 1, 1, 2, 2, 3, 6))):
        text = chance.choice(_CHANGES)(text, chance)
    data = text.encode("utf-8", "surrogatepass")
    if chance.random() < 0.05:
        at = chance.randrange(len(data) + 1)
        data = data[:at] + chance.randbytes(chance.randint(1, 8)) + data[at + chance.randint(0, 8) :]
    return data


def _another_value(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    places = [number for number, line in enumerate(lines) if " = " in line]
    if not places:
        return text
    at = chance.choice(places)
    lines[at] = f"{lines[at].split(' = ')[0]} = {chance.choice(VALUES)}"
    return "\n".join(lines)


def _value_within(text: str, chance: random.Random) -> str:
    """Another value for one word of a line: within a list, an inline table or quotes."""
    words = list(re.finditer(r'"[^"\n]*"|[-+\w./]+', text))
    if not words:
        return text
    word = chance.choice(words)
    return text[: word.start()] + chance.choice(VALUES) + text[word.end() :]


def _formula(text: str, chance: random.Random) -> str:
    found = list(re.finditer(r'= "[^"\n]*"|= [\d.]+', text))
    if not found:
        return text
    place = chance.choice(found)
    formula = chance.choice(HOSTILE_FORMULAS) if chance.random() < 0.5 else _sum(chance, chance.randint(0, 4))
    quoted = formula.replace("\\", "\\\\").replace('"', '\\"')
    return f'{text[: place.start()]}= "= {quoted}"{text[place.end() :]}'


def _sum(chance: random.Random, depth: int) -> str:
    if depth == 0:
        return chance.choice(("1", "0", "2.5", "pi", "across", "sides", "90", "1e3", ".5", "10 ** 9", "length", "-1"))
    left, right = _sum(chance, depth - 1), _sum(chance, depth - 1)
    function = chance.choice(("sin", "cos", "tan", "sqrt", "asin", "atan", "min", "max", "floor", "ceil", "hypot"))
    return chance.choice(
        (f"{left} + {right}", f"{left} * {right}", f"{left} / {right}", f"({left}) ** {right}", f"{function}({left})",
         f"-{left}", f"{function}({left}, {right})")
    )  # fmt: skip


def _slip(text: str, chance: random.Random) -> str:
    at = chance.randrange(len(text) + 1)
    return text[:at] + chance.choice(SLIPS) + text[at + chance.choice((0, 0, 1, 1, 2, 30, 400)) :]


def _lines(text: str, chance: random.Random) -> str:
    """Lines deleted, doubled, moved, or taken from another file."""
    lines = text.split("\n")
    start = chance.randrange(len(lines))
    block = lines[start : start + chance.choice((1, 1, 2, 8, 30))]
    if chance.random() < 0.5:
        del lines[start : start + len(block)]
    if chance.random() < 0.3:
        other = chance.choice(SEEDS).decode("utf-8", "replace").split("\n")
        from_there = chance.randrange(len(other))
        block = other[from_there : from_there + chance.choice((1, 4, 20))]
    at = chance.randrange(len(lines) + 1)
    return "\n".join(lines[:at] + block * chance.choice((0, 1, 1, 2, 40)) + lines[at:])


def _hostile_line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    lines.insert(chance.randrange(len(lines) + 1), chance.choice(HOSTILE_LINES))
    return "\n".join(lines)


def _more(text: str, chance: random.Random) -> str:
    """A larger number somewhere."""
    found = list(re.finditer(r"\d+", text))
    if not found:
        return text
    place = chance.choice(found)
    return text[: place.start()] + chance.choice(("0", "1", "7", "60", "99", "500", "99999")) + text[place.end() :]


def _near(text: str, chance: random.Random) -> str:
    """A number slightly different from what it was."""
    found = list(re.finditer(r"\d+", text))
    if not found:
        return text
    place = chance.choice(found)
    near = max(0, int(place[0][:9]) + chance.choice((-2, -1, 1, 2, 5, int(place[0][:9]))))
    return text[: place.start()] + str(near) + text[place.end() :]


def _as_elsewhere(text: str, chance: random.Random) -> str:
    """The value of the same key in another place or file."""
    lines = text.split("\n")
    keyed = [number for number, line in enumerate(lines) if re.match(r"\w+ += ", line)]
    if not keyed:
        return text
    at = chance.choice(keyed)
    key = lines[at].split(" ", 1)[0]
    others = re.findall(rf"^{key} += .*$", chance.choice(SAMPLES).decode(), re.MULTILINE)
    if others:
        lines[at] = chance.choice(others)
    return "\n".join(lines)


_CHANGES = (
    _near, _near, _near, _near, _as_elsewhere, _as_elsewhere, _as_elsewhere,
    _another_value, _another_value, _value_within, _value_within, _formula, _formula, _slip, _lines, _lines,
    _hostile_line, _more, _more,
)  # fmt: skip


def good_pictures() -> list[bytes]:
    """A small picture of noise, in every variant of PNG and JPEG."""
    noise = Image.effect_noise((120, 90), 80).convert("RGB")
    found = []
    for kind, modes in (("PNG", ("L", "RGB", "1", "P", "RGBA")), ("JPEG", ("L", "RGB", "CMYK"))):
        for mode in modes:
            file = io.BytesIO()
            noise.convert(mode).save(file, kind)
            found.append(file.getvalue())
    return found


def picture(chance: random.Random, seeds: list[bytes]) -> bytes:
    """A picture with changed bytes, truncated, or with a header that promises more."""
    data = bytearray(chance.choice(seeds))
    for _ in range(chance.choice((1, 2, 8, 40))):
        how = chance.random()
        at = chance.randrange(len(data))
        if how < 0.5:
            data[at] = chance.randrange(256)
        elif how < 0.7:
            del data[at : at + chance.choice((1, 4, 100, 5000))]
        elif how < 0.9:
            data[at:at] = chance.randbytes(chance.choice((1, 4, 100)))
        else:
            data[8:33] = _chunk(b"IHDR", _header(chance)) if data[:4] == b"\x89PNG" else data[8:33]
        if not data:
            return b""
    return bytes(data)


def _header(chance: random.Random) -> bytes:
    size = (1, 100, 2828, 2830, 65_535, 2**31 - 1)
    depth = chance.choice((1, 2, 4, 8, 16, 7))
    return struct.pack(">IIBBBBB", chance.choice(size), chance.choice(size), depth, chance.randrange(8), 0, 0, 0)


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width: int, height: int, depth: int = 8, colours: int = 2) -> bytes:
    """A complete PNG of one colour: a few kB that unpack to the given size."""
    row = bytes(1 + width * {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colours] * depth // 8)
    packer = zlib.compressobj(9)
    data = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    header = struct.pack(">IIBBBBB", width, height, depth, colours, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", header) + _chunk(b"IDAT", data) + _chunk(b"IEND", b"")


def code(chance: random.Random, codes: list[str]) -> str:
    """What a scanner may type or a label may contain."""
    text = chance.choice(
        (*codes, "'; DROP TABLE entries; --", "\x00", "A" * 10_000, "../../x", "", "０" * 10, "é", "\n")
    )
    for _ in range(chance.choice((0, 1, 2, 5))):
        at = chance.randrange(len(text) + 1)
        text = text[:at] + chr(chance.choice((0, 32, 48, 73, 79, 255, 0x660, 0xD800, 0x1F600))) + text[at + 1 :]
    return text
