"""However a bench is mangled, reading gives a bench or its problems and never fails."""

import random
from pathlib import Path

from barwright.constraints.bench.reading import bench_of, formula_of
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.values.problem import Problems
from mangling import mangled

GOOD = Path(__file__).parent / "data" / "benches" / "good"
NAMES = ("brief.toml", "shelf.csv", "materials.toml")
FORMULA = "formulas/first.toml"
FILES = {name: (GOOD / name).read_bytes() for name in (*NAMES, FORMULA)}


def _mangled(dice: random.Random) -> dict[str, bytes]:
    files = dict(FILES)
    for _ in range(dice.choice((1, 1, 1, 1, 3))):
        name = dice.choice(tuple(files))
        files[name] = mangled(files[name], dice)
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
