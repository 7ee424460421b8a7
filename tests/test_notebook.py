"""In a notebook: results show themselves, rows suit a data frame, and the example runs."""

import importlib.util
import json
import shutil

import barwright
import pytest
from barwright.constraints.values.to_rows import to_rows
from conftest import ROOT

EXAMPLE = ROOT / "examples" / "notebook.ipynb"


@pytest.fixture(scope="module")
def bench(examples):
    return barwright.read_bench(examples / "oily-hair")


@pytest.fixture(scope="module")
def found(bench):
    return barwright.cheapest(bench)


def test_a_composition_is_rows_by_material_that_add_to_the_whole(found):
    rows = to_rows(found.composition)
    assert [row["material"] for row in rows] == list(found.composition.parts)
    assert sum(row["share"] for row in rows) == pytest.approx(1)


@pytest.mark.parametrize("part", ["prices", "verdicts", "left_out"])
def test_results_are_rows_of_plain_things_with_the_same_columns(found, part):
    rows = to_rows(getattr(found, part))
    assert len(rows) == len(getattr(found, part))
    for row in rows:
        assert all(one is None or isinstance(one, str | int | float) for one in row.values())
    first = set(rows[0])
    assert part == "verdicts" or all(set(row) == first for row in rows)


def test_a_data_frame_takes_the_rows(found):
    frames = pytest.importorskip("pandas")
    frame = frames.DataFrame(to_rows(found.composition))
    assert list(frame.columns) == ["material", "share"]
    assert frame["share"].sum() == pytest.approx(1)


def test_a_table_by_name_and_a_single_result_are_rows_too(found):
    assert to_rows({"wax": 0.1}) == [{"name": "wax", "value": 0.1}]
    (row,) = to_rows(found)
    assert row["cost"] == found.cost


@pytest.mark.parametrize("odd", [3, "text", None])
def test_what_holds_no_results_is_refused_in_words(odd):
    with pytest.raises(TypeError, match="expected a result or a list of them"):
        to_rows(odd)


def test_every_result_shows_itself_in_one_line_and_as_a_table(bench, found):
    composition = found.composition
    shown = [
        bench, bench.brief, bench.shelf[0], bench.shelf[0].material, found, composition,
        found.prices[0], found.verdicts[0], barwright.rows_of(bench),
        barwright.acidity(bench, composition), barwright.label(bench, composition, "EU"),
    ]  # fmt: skip
    for one in shown:
        assert "\n" not in repr(one)
        assert len(repr(one)) <= 100
        assert one._repr_html_().startswith("<table>")


def test_a_look_is_a_page_in_a_frame_that_no_name_can_leave(monkeypatch):
    monkeypatch.chdir(ROOT / "examples")
    seen = barwright.look("check oily-hair oily-hair/formulas/today.toml")
    assert "keeps all" in str(seen)
    assert seen.page.startswith("<!doctype html>") or seen.page.startswith("<!DOCTYPE html>")
    frame = seen._repr_html_()
    assert frame.startswith("<iframe sandbox ")
    assert frame.count("<") == 2  # the frame itself and its end
    assert "http" not in frame.partition("srcdoc=")[0]


@pytest.mark.parametrize("line", ["", "nonsense", "new x", "schema brief"])
def test_a_look_at_what_shows_nothing_is_refused_in_words(line):
    with pytest.raises(ValueError, match="expected a command that shows something"):
        barwright.look(line)


def test_a_look_at_a_bench_that_is_wrong_says_so(tmp_path):
    with pytest.raises(barwright.InputError):
        barwright.look(f"cheapest '{tmp_path}'")


def test_the_example_stands_without_what_it_printed():
    cells = json.loads(EXAMPLE.read_text(encoding="utf-8"))["cells"]
    assert not [cell for cell in cells if cell.get("outputs")]


@pytest.mark.skipif(
    importlib.util.find_spec("nbclient") is None or importlib.util.find_spec("ipykernel") is None,
    reason="comes with barwright[notebook]",
)
@pytest.mark.filterwarnings("default")  # of libraries that only notebooks need
def test_the_example_runs_from_top_to_bottom(tmp_path):
    import nbformat
    from nbclient import NotebookClient

    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    notebook = nbformat.read(EXAMPLE, as_version=4)
    NotebookClient(
        notebook, timeout=120, resources={"metadata": {"path": str(tmp_path / "examples")}}
    ).execute()
    shown = [out for cell in notebook.cells for out in cell.get("outputs", ())]
    tables = [out["data"]["text/html"] for out in shown if "text/html" in out.get("data", {})]
    assert any(table.startswith("<table>") for table in tables)
    assert sum("<iframe" in table for table in tables) == 2
    assert any("svg" in table for table in tables)
