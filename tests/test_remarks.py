"""What stands out on a shelf is pointed out, and nothing else comes of it."""

import json
from pathlib import Path

import pytest
from barwright.constraints.bench.reading import bench_of, read_bench
from barwright.constraints.model.brief import Bench

GOOD = Path(__file__).parent / "data" / "benches" / "good"
FILES = {
    name: (GOOD / name).read_text(encoding="utf-8")
    for name in ("brief.toml", "shelf.csv", "materials.toml")
}


def _bench(old: str, new: str) -> Bench:
    assert old in FILES["shelf.csv"]
    read = bench_of("good", FILES | {"shelf.csv": FILES["shelf.csv"].replace(old, new)})
    assert isinstance(read, Bench), read
    return read


@pytest.mark.parametrize(
    ("old", "new", "place", "found"),
    [
        ("granules;100 g;2.10 EUR", "granules;100 g;210 EUR", "line 8, price", "2100 EUR/kg"),
        ("pellets;1 kg;8.40", "pellets;1 t;8.40", "line 5, price", "0.0084 EUR/kg"),
        ("granules;100 g;2.10", "granules;100 t;2100000", "line 8, pack", "100000 kg"),
    ],
)
def test_a_price_or_a_pack_far_from_the_others_is_pointed_out(
    old: str, new: str, place: str, found: str
) -> None:
    remarks = _bench(old, new).remarks
    assert (place, True) in [(one.where.place, one.found.startswith(found)) for one in remarks]


@pytest.mark.parametrize("folder", ["dry-hair", "oily-hair"])
def test_nothing_stands_out_on_the_examples(examples: Path, folder: str) -> None:
    read = read_bench(examples / folder)
    assert isinstance(read, Bench)
    assert read.remarks == ()


def test_what_is_free_or_water_does_not_stand_out() -> None:
    assert _bench("granules;100 g;2.10 EUR", "granules;100 g;0 EUR").remarks == ()


def test_a_remark_stands_on_stderr_and_the_answer_on_stdout(barwright, tmp_path: Path) -> None:
    (tmp_path / "good").mkdir()
    shelf = FILES["shelf.csv"].replace("granules;100 g;2.10 EUR", "granules;100 g;210 EUR")
    for name, text in (FILES | {"shelf.csv": shelf}).items():
        (tmp_path / "good" / name).write_text(text, encoding="utf-8")
    formula = str(GOOD / "formulas" / "first.toml")
    plain = barwright("check", "good", formula, cwd=tmp_path)
    assert "shelf.csv: line 8, price" in plain.stderr
    assert "2100 EUR/kg" in plain.stderr
    asked = barwright("check", "good", formula, "--format", "json", cwd=tmp_path)
    assert json.loads(asked.stdout)["command"] == "check"
    assert json.loads(asked.stderr)["remarks"][0]["place"] == "line 8, price"
