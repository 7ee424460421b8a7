"""A formula file reads as it was meant and is written so that it reads back the same."""

import tomllib
from pathlib import Path

import pytest
from barwright.constraints.bench.reading import formula_of, read_bench
from barwright.constraints.bench.writing import formula_text, quoted, write_atomically
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.values.door import seen
from barwright.constraints.values.problem import Problems, Where
from hypothesis import given
from hypothesis import strategies as st

GOOD = Path(__file__).parent / "data" / "benches" / "good"


def _whole() -> Bench:
    bench = read_bench(GOOD)
    assert isinstance(bench, Bench)
    return bench


WHOLE = _whole()


def _fine(read: Composition | Problems) -> Composition:
    assert isinstance(read, Composition), read
    return read


def test_a_formula_in_masses_is_the_same_as_in_shares() -> None:
    text = (GOOD / "formulas" / "first.toml").read_text(encoding="utf-8")
    shares = _fine(formula_of("first.toml", text, WHOLE))
    masses = _fine(formula_of("first.toml", text.replace(' %"\n', ' g"\n'), WHOLE))
    assert shares.name == "First"
    assert shares.parts == pytest.approx(masses.parts, rel=1e-12)


def test_a_formula_may_be_a_sheet() -> None:
    text = "material;amount\ncorn starch, dried;250 g\nCitric acid, anhydrous;0,75 kg\n"
    formula = _fine(formula_of("drafts/second.csv", text, WHOLE))
    assert formula == Composition(
        "second", {"corn starch, dried": 0.25, "citric acid, anhydrous": 0.75}
    )


@pytest.mark.parametrize("rest", ["74.995 %", "75.005 %"])
def test_shares_rounded_in_the_last_place_are_taken_as_the_whole(rest: str) -> None:
    text = f'material,amount\n"corn starch, dried",25 %\n"citric acid, anhydrous",{rest}\n'
    assert sum(_fine(formula_of("a.csv", text, WHOLE)).parts.values()) == pytest.approx(1)


@pytest.mark.parametrize(
    ("text", "place", "found"),
    [
        ("material,amount\ncorn starch dried,1 kg\n", "line 2", "corn starch dried"),
        ("material;amount\ncorn starch, dried;74 %\n", "parts", "74 % in all"),
        ("material;amount\ncorn starch, dried;0 g\n", "parts", "nothing in all"),
        ("material;amount\ncorn starch, dried;\n", "line 2", "nothing"),
        ("material;amount\n;1 g\n", "line 2", "nothing"),
        ("material;amount\n", "", "no parts"),
        ("material;mass\n", "line 1", "no column amount"),
        (
            "material;amount\ncorn starch, dried;1 g\ncorn starch,  dried;1 g\n",
            "line 3",
            "corn starch, dried again",
        ),
    ],
)
def test_a_sheet_that_is_no_formula_says_why(text: str, place: str, found: str) -> None:
    read = formula_of("a.csv", text, WHOLE)
    assert isinstance(read, Problems)
    assert (read.items[0].where, read.items[0].found) == (Where("a.csv", place), found)


SHELF = st.lists(
    st.sampled_from([item.material.name for item in WHOLE.shelf]), min_size=1, unique=True
)


@given(names=SHELF, data=st.data(), because=st.text(), name=st.text(min_size=1))
def test_a_formula_that_is_written_reads_back_as_it_was(
    names: list[str], data: st.DataObject, because: str, name: str
) -> None:
    weights = [data.draw(st.floats(1e-6, 1)) for _ in names]
    total = sum(weights)
    parts = {one: weight / total for one, weight in zip(names, weights, strict=True)}
    text = formula_text(Composition(name, parts), because=because, source="first.toml")
    read = _fine(formula_of("again.toml", text.encode("utf-8", "replace"), WHOLE))
    assert set(parts) >= set(read.parts)
    assert read.name == (
        seen(name.encode("utf-8", "replace").decode()) if name.strip() else "again"
    )
    assert all(abs(read.parts.get(one, 0) - share) < 5e-10 for one, share in parts.items())
    shares = list(read.parts.values())
    assert shares == sorted(shares, reverse=True)


@given(weights=st.lists(st.floats(0, 1), min_size=1, max_size=30).filter(lambda w: sum(w) > 0.01))
def test_the_shares_of_a_written_formula_add_to_exactly_a_hundred(weights: list[float]) -> None:
    total = sum(weights)
    parts = {f"m{place}": weight / total for place, weight in enumerate(weights)}
    lines = formula_text(Composition("sum", parts)).splitlines()
    printed = [line.split('"')[3].removesuffix(" %") for line in lines if line.endswith(' %"')]
    assert sum(round(float(one) * 1e8) for one in printed) == 100 * 10**8


def test_a_composition_that_is_no_whole_is_never_written() -> None:
    with pytest.raises(ValueError, match="add to"):
        formula_text(Composition("half", {"a": 0.5}))


@given(text=st.text())
def test_a_quoted_text_is_toml_for_itself(text: str) -> None:
    safe = text.encode("utf-8", "replace").decode("utf-8")
    assert tomllib.loads(f"{quoted(safe)} = {quoted(safe)}") == {safe: safe}


# ---- writing


def test_a_file_is_written_whole_and_nothing_else_is_left(tmp_path: Path) -> None:
    assert write_atomically(tmp_path / "a.toml", "schema = 1\nµ\n") is None
    assert (tmp_path / "a.toml").read_bytes() == "schema = 1\nµ\n".encode()
    assert [one.name for one in tmp_path.iterdir()] == ["a.toml"]


def test_a_file_that_is_there_is_replaced_only_on_request(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text("old", encoding="utf-8")
    problem = write_atomically(path, "new")
    assert problem is not None
    assert problem.found == "a file that is there already"
    assert path.read_text(encoding="utf-8") == "old"
    assert write_atomically(path, "new", replace=True) is None
    assert path.read_text(encoding="utf-8") == "new"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_place_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    assert write_atomically(tmp_path / "no" / "a.toml", "x") is not None
    folder = write_atomically(tmp_path, "x")
    assert folder is not None
    assert folder.found == "a folder"
