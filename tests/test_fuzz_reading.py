"""However a bench is mangled, reading gives a bench or its problems and never fails."""

import random
from pathlib import Path

from barwright.constraints.bench.reading import bench_of, formula_of
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.values.problem import Problems

GOOD = Path(__file__).parent / "data" / "benches" / "good"
NAMES = ("brief.toml", "shelf.csv", "materials.toml")
FORMULA = "formulas/first.toml"
FILES = {name: (GOOD / name).read_bytes() for name in (*NAMES, FORMULA)}
FIGURES = (
    b"nan",
    b"inf",
    b"-1",
    b"1e309",
    b"0",
    b"1,500",
    b"0x" + b"f" * 400,
    b"true",
    b"[]",
    b"''",
)
UNITS = (b"%", b"kg", b"g", b"EUR", b"mol/kg", b"degC", b"lb", b"rad", b"kJ/kg/K", b"")
WORDS = (
    "\u0000",
    "ß",
    "\u202e",
    "🧼",
    "\ud7ff",
    '"',
    "[",
    "{",
    "=",
    ";",
    ",",
    "#",
    "\n",
    "\r",
    "'''",
)


def _flip(text: bytes, dice: random.Random) -> bytes:
    at = dice.randrange(len(text))
    return text[:at] + bytes([text[at] ^ (1 << dice.randrange(8))]) + text[at + 1 :]


def _lines(text: bytes, dice: random.Random) -> bytes:
    lines = text.split(b"\n")
    one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    match dice.randrange(4):
        case 0:
            del lines[one]
        case 1:
            lines.insert(other, lines[one])
        case 2:
            lines[one], lines[other] = lines[other], lines[one]
        case _:
            lines[one] += lines[other]
    return b"\n".join(lines)


def _figure(text: bytes, dice: random.Random) -> bytes:
    """Another figure in place of one that is there."""
    digits = [at for at, byte in enumerate(text) if 48 <= byte <= 57]
    start = end = dice.choice(digits or [0])
    while end < len(text) and text[end] in b"0123456789.":
        end += 1
    return text[:start] + dice.choice(FIGURES) + text[end:]


def _unit(text: bytes, dice: random.Random) -> bytes:
    unit = dice.choice(UNITS[:6])
    return text.replace(b" " + unit, b" " + dice.choice(UNITS), dice.randint(1, 3))


def _cut(text: bytes, dice: random.Random) -> bytes:
    return text[: dice.randrange(len(text))]


def _insert(text: bytes, dice: random.Random) -> bytes:
    at = dice.randrange(len(text))
    word = dice.choice(WORDS) if dice.random() < 0.7 else chr(dice.randrange(0xD000))
    return text[:at] + word.encode() + text[at:]


WAYS = (_flip, _lines, _figure, _unit, _cut, _insert)


def _mangled(dice: random.Random) -> dict[str, bytes]:
    files = dict(FILES)
    for _ in range(dice.choice((1, 1, 1, 1, 3))):
        name = dice.choice(tuple(files))
        files[name] = dice.choice(WAYS)(files[name] or b" ", dice)
    return files


def _bench(files: dict[str, bytes]) -> Bench | Problems:
    return bench_of("mangled", {name: files[name] for name in NAMES})


def test_two_thousand_mangled_benches_are_read_or_refused() -> None:
    dice = random.Random(20260302)
    whole = _bench(FILES)
    assert isinstance(whole, Bench)
    refused = 0
    for _ in range(2000):
        files = _mangled(dice)
        bench = _bench(files) if files | {FORMULA: FILES[FORMULA]} != FILES else whole
        assert isinstance(bench, Bench) or bench.items
        formula = formula_of(FORMULA, files[FORMULA], whole)
        assert isinstance(formula, Composition) or formula.items
        refused += isinstance(bench, Problems) or isinstance(formula, Problems)
    assert refused > 500  # the mangling does reach what is read


def test_a_shelf_and_a_formula_of_any_text_are_read_or_refused() -> None:
    dice = random.Random(1863)
    whole = _bench(FILES)
    assert isinstance(whole, Bench)
    for _ in range(200):
        text = bytes(dice.randrange(256) for _ in range(dice.randrange(200)))
        assert isinstance(formula_of("any.csv", text, whole), Composition | Problems)
        assert isinstance(bench_of("any", dict.fromkeys(NAMES, text)), Problems)
