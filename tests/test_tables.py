"""What a spreadsheet gets: the figures of an answer as numbers with units, and no formula."""

import csv
import io
import json
import shutil
from contextlib import redirect_stdout
from pathlib import Path

import pytest
from barwright.cli.kit.app import application
from barwright.cli.kit.column_units import ending_of
from barwright.cli.kit.tables import FIGURES, Named, tables_of
from barwright.cli.kit.workbook import files_of, workbook_of
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from test_golden import COMMANDS

EVIL = ("=1+1", "+1", "-1", "@SUM(A1)", "=HYPERLINK(0)", "\t=1", "|x", "%0A=1")


def sheets(content):
    return load_workbook(io.BytesIO(content))


def said(words):
    """What a command line prints, within this process."""
    out = io.StringIO()
    with redirect_stdout(out):
        application(words[0])(args=list(words), prog_name="barwright", standalone_mode=False)
    return out.getvalue()


@pytest.fixture(scope="module")
def at_home(root):
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(root)
        yield


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_writes_its_whole_answer_as_a_workbook(name, at_home, tmp_path):
    path = tmp_path / "answer.xlsx"
    words = COMMANDS[name]
    document = json.loads(said((*words, "--format", "json", "--table", str(path))))
    book = load_workbook(path)
    assert book.sheetnames[0] == FIGURES
    for key in ("composition", "rules", "orders", "purchases", "points", "pulls", "left_out"):
        listed = document.get(key)
        if isinstance(listed, list) and listed:
            assert book[key.replace("_", " ")].max_row == len(listed) + 1
    for sheet in book:
        assert sheet.freeze_panes == "A2"
        assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)
    for table in tables_of(document):
        for column in table.columns if table.name != FIGURES else ():
            cells = [row.get(column) for row in table.rows]
            if any(isinstance(c, int | float) and not isinstance(c, bool) for c in cells):
                assert ending_of(f"{document['command']} {table.name} {column}") is not None, (
                    f"{table.name}: what is {column} counted in?"
                )


def test_a_share_and_a_cost_come_back_as_the_numbers_of_the_answer(at_home, tmp_path):
    path = tmp_path / "answer.xlsx"
    words = (*COMMANDS["cheapest-oily"], "--no-proof", "--format", "json", "--table", str(path))
    document = json.loads(said(words))
    head, *rows = load_workbook(path)["composition"].iter_rows(values_only=True)
    assert head[:3] == ("material", "share [kg/kg]", "cost [EUR/kg]")
    assert len(rows) == len(document["composition"])
    for row, one in zip(rows, document["composition"], strict=True):
        assert row[:3] == (
            one["material"],
            pytest.approx(one["share"], rel=1e-15),
            pytest.approx(one["cost"], rel=1e-15),
        )
    figures = {row[0]: row[1:] for row in load_workbook(path)[FIGURES].iter_rows(values_only=True)}
    assert figures["cost"] == (pytest.approx(document["cost"], rel=1e-15), "EUR/kg")


def test_no_text_is_a_formula_in_a_workbook():
    made = tables_of({"product": EVIL[0], "rules": [{"rule": text} for text in EVIL]})
    book = sheets(workbook_of(made))
    cells = [row[0] for row in book["rules"].iter_rows(min_row=2)]
    assert [cell.value.replace("\ufffd", "\t") for cell in cells] == list(EVIL)
    assert all(cell.data_type == "s" and cell.quotePrefix for cell in cells)
    assert book[FIGURES]["B2"].data_type == "s"


def test_no_text_is_a_formula_in_comma_separated_lines(tmp_path):
    made = tables_of({"product": "ours", "rules": [{"rule": text, "low": -1} for text in EVIL]})
    files = {path.name: text for path, text in files_of(tmp_path / "answer.csv", made)}
    assert set(files) == {"answer-figures.csv", "answer-rules.csv"}
    rows = list(csv.DictReader(io.StringIO(files["answer-rules.csv"], newline="")))
    assert [row["rule"] for row in rows] == [f"'{text}" for text in EVIL]
    assert {next(v for k, v in row.items() if k.startswith("low")) for row in rows} == {"-1"}


@given(st.lists(st.text(max_size=12), min_size=1, max_size=6), st.floats(allow_nan=False))
def test_any_text_and_number_is_read_back_as_what_it_was(texts, number):
    table = Named("t", ("a", "b"), ("a", "b"), tuple({"a": one, "b": number} for one in texts))
    for row in sheets(workbook_of((table,)))["t"].iter_rows(min_row=2):
        assert row[0].data_type in {"s", "inlineStr", "n"}
        assert row[0].value is None or isinstance(row[0].value, str)
        assert row[1].data_type == "n" or abs(number) == float("inf")
    (_, lines), *rest = files_of(Path("t.csv"), (table,))
    assert not rest
    for line in list(csv.reader(io.StringIO(lines, newline="")))[1:]:
        assert not line[0].startswith(("=", "+", "-", "@", "\t", "\r"))


def test_tables_of_long_names_are_sheets_of_their_own():
    row = ({"a": 1},)
    names = [f"{'x' * 40} {place}" for place in range(12)]
    made = sheets(workbook_of([Named(name, ("a",), ("a",), row) for name in names]))
    assert len(made.sheetnames) == 12
    assert max(map(len, made.sheetnames)) <= 31


def test_what_a_record_lists_goes_to_a_table_that_says_what_it_belongs_to():
    order = {"supplier": "Mill Lane", "lines": [{"material": "kaolin", "packs": 2}]}
    orders, lines = tables_of({"command": "plan", "orders": [order]})[1:]
    assert orders.columns == ("supplier",)
    assert lines.name == "orders lines"
    assert dict(lines.rows[0]) == {
        "orders no.": 1,
        "orders": "Mill Lane",
        "material": "kaolin",
        "packs": 2,
    }


@pytest.mark.parametrize(
    ("name", "expected"), [("answer.txt", "ends in .xlsx or .csv"), ("answer", ".xlsx or .csv")]
)
def test_another_ending_is_refused_before_anything_is_worked_out(name, expected, barwright):
    done = barwright("check", "nowhere", "nothing.toml", "--table", name)
    assert done.returncode == 2
    assert expected in done.stderr
    assert "nowhere" not in done.stderr


def test_a_file_that_is_there_is_kept_unless_it_may_be_replaced(at_home, tmp_path, barwright):
    path = tmp_path / "answer.csv"
    (tmp_path / "answer-figures.csv").write_text("mine\n", encoding="utf-8")
    words = (*COMMANDS["fill-oily"], "--table", str(path))
    refused = barwright(*words)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert (tmp_path / "answer-figures.csv").read_text(encoding="utf-8") == "mine\n"
    assert barwright(*words, "--overwrite").returncode == 0
    assert (tmp_path / "answer-demands.csv").exists()


def test_without_the_library_it_is_said_what_to_install(monkeypatch, tmp_path):
    from barwright.cli.kit import workbook
    from barwright.constraints.values.problem import InputError

    monkeypatch.setattr(workbook, "find_spec", lambda _: None)
    words = ("materials", "--table", str(tmp_path / "answer.xlsx"))
    with pytest.raises(InputError) as refused:
        said(words)
    assert "barwright[workbook]" in refused.value.problems.items[0].expected


def test_no_line_for_a_spreadsheet_can_become_a_formula(barwright, examples, tmp_path):
    """The lines of a plan and of scenarios hold names as the maker wrote them."""
    shutil.copytree(examples, tmp_path / "w")
    for name in ("shelf.csv", "workshop.toml"):
        file = tmp_path / "w" / name
        file.write_text(file.read_text("utf-8").replace("Mill Lane", "=Mill+Lane"), "utf-8")
    shelf, materials = tmp_path / "w" / "shelf.csv", tmp_path / "w" / "materials.toml"
    odd = "=odd clay;1 kg;3.10 EUR"
    shelf.write_text(f"{shelf.read_text('utf-8').rstrip()}\n{odd}\n", "utf-8")
    like = '\n["=odd clay"]\nlike = "kaolin, white"\n'
    materials.write_text(materials.read_text("utf-8") + like, "utf-8")
    plan = barwright(
        "plan", "market-days.csv", "--from", "2026-11-23", "--format", "csv", cwd=tmp_path / "w"
    )
    assert "'=Mill+Lane" in plan.stdout, plan.stderr
    sweep = barwright(
        "sweep", "oily-hair", "--prices", "all=20%", "--count", "32", "--write", "s.csv",
        cwd=tmp_path / "w",
    )  # fmt: skip
    assert sweep.returncode == 0, sweep.stderr
    written = (tmp_path / "w" / "s.csv").read_text("utf-8")
    assert "price '=odd clay" not in written  # which begins with a word, and is none
    assert "'=odd clay" in written
    for text in (plan.stdout, written):
        cells = [cell for line in csv.reader(io.StringIO(text)) for cell in line]
        assert not [cell for cell in cells if cell.startswith(("=", "@", "+"))]
