"""Every slip of a maker is reported with its file, its place, what was found and what belongs."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from barwright.constraints.bench.reading import bench_of, formula_of
from barwright.constraints.model.brief import Bench
from barwright.constraints.values.problem import Problem, Problems, Where

BENCHES = Path(__file__).parent / "data" / "benches"
FILES = ("brief.toml", "shelf.csv", "materials.toml", "formulas/first.toml")
GOOD = {name: (BENCHES / "good" / name).read_text(encoding="utf-8") for name in FILES}
CASES = tomllib.loads((BENCHES / "bad.toml").read_text(encoding="utf-8"))["case"]


def _patched(case: dict[str, Any]) -> dict[str, str]:
    """The good files with one thing changed."""
    text = GOOD[case["file"]]
    if "old" in case:
        assert case["old"] in text
        return GOOD | {case["file"]: text.replace(case["old"], case["new"], 1)}
    return GOOD | {case["file"]: case["new"]}


def _read(files: dict[str, str]) -> Problems | object:
    bench = bench_of("good", {name: files[name] for name in FILES[:3]})
    if isinstance(bench, Bench):
        return formula_of(FILES[3], files[FILES[3]], bench)
    return bench


@pytest.mark.parametrize("case", CASES, ids=[case["what"] for case in CASES])
def test_a_bad_bench_is_told_what_is_wrong_with_it(case: dict[str, Any]) -> None:
    expected = tuple(
        Problem(
            Where(one["file"], one["place"]), one["found"], one["expected"], tuple(one["nearest"])
        )
        for one in case["problem"]
    )
    read = _read(_patched(case))
    assert isinstance(read, Problems)
    assert read.items == expected


def test_there_are_many_ways_to_go_wrong() -> None:
    assert len(CASES) >= 60
    assert len({case["what"] for case in CASES}) == len(CASES)


def test_the_good_bench_that_they_start_from_is_good() -> None:
    assert not isinstance(_read(GOOD), Problems)


def test_every_problem_is_told_at_once_and_in_reading_order() -> None:
    """One slip in each file, and none hides another."""
    one_each = {"a bar by volume", "a negative price", "an unknown form", "a share in grams"}
    files = dict(GOOD)
    for case in CASES:
        if case["what"] in one_each:
            files[case["file"]] = files[case["file"]].replace(case["old"], case["new"], 1)
    read = _read(files)
    assert isinstance(read, Problems)
    assert [problem.where.place for problem in read.items] == [
        "line 8, product.declared",
        'line 4, "house conditioner blend, pastilles".form',
        "line 6, price",
        'line 33, rules."active surfactant".min',
    ]
