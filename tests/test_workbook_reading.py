"""A shelf and formulas kept in a spreadsheet: read cell by cell, wrong ones named by their cell."""

import datetime as dt
import io
import shutil
import zipfile

import pytest
from barwright.constraints.bench.reading import formula_of, read_bench, read_formula
from barwright.constraints.bench.writing import write_atomically
from barwright.constraints.values.problem import Problems
from openpyxl import Workbook


def book_of(rows, title="Sheet1", forms=(), first=None):
    """A workbook of rows; ``forms`` are number formats by cell."""
    book = Workbook()
    sheet = book.worksheets[0]
    if first is not None:
        sheet.title = "notes"
        sheet.append(first)
        sheet = book.create_sheet()
    sheet.title = title
    for row in rows:
        sheet.append(row)
    for place, form in forms:
        sheet[place].number_format = form
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


@pytest.fixture
def folder(tmp_path, root):
    good = root / "tests" / "data" / "benches" / "good"
    shutil.copytree(good, tmp_path / "bench")
    return tmp_path / "bench"


def as_rows(path):
    """A CSV shelf as rows of a workbook."""
    from barwright.constraints.bench.shelf_reading import COLUMNS
    from barwright.constraints.values.sheet import Sheet

    lines = Sheet("shelf.csv", COLUMNS, ("material",), []).lines(path.read_bytes())
    return [COLUMNS, *([line[column] for column in COLUMNS] for line in lines)]


def test_a_shelf_as_a_workbook_is_the_same_shelf(folder):
    plain = read_bench(folder)
    rows = as_rows(folder / "shelf.csv")
    (folder / "shelf.csv").unlink()
    (folder / "shelf.xlsx").write_bytes(book_of(rows, "Shelf", first=["what it cost"]))
    book = read_bench(folder)
    assert not isinstance(plain, Problems)
    assert not isinstance(book, Problems), book
    for one, other in zip(plain.shelf, book.shelf, strict=True):
        assert (one.material.name, one.price, one.pack, one.stock, one.lots) == (
            other.material.name, other.price, other.pack, other.stock, other.lots,
        )  # fmt: skip


def problems_in(folder, rows, **more):
    (folder / "shelf.csv").unlink(missing_ok=True)
    (folder / "shelf.xlsx").write_bytes(book_of(rows, "Shelf", **more))
    read = read_bench(folder)
    assert isinstance(read, Problems)
    return {one.where.place: one for one in read.items if one.where.file == "shelf.xlsx"}


def test_what_is_wrong_is_named_by_sheet_and_cell(folder):
    rows = [
        ("material", "pack", "price", "available", "best before"),
        ("kaolin, white", "5 gr", "2.50 EUR", "perhaps", ""),
        ("kaolinn", "1 kg", "nothing", "yes", "soon"),
    ]
    found = problems_in(folder, rows)
    for cell in ("B2", "D2", "A3", "C3", "E3"):
        assert f"sheet Shelf, cell {cell}" in found, found
    assert "kaolin, white" in found["sheet Shelf, cell A3"].nearest


def test_a_column_that_is_not_known_is_named_by_its_row(folder):
    found = problems_in(folder, [("material", "pack", "cost"), ("kaolin, white", "1 kg", "2 EUR")])
    assert set(found) == {"sheet Shelf, row 1"}


def test_a_formula_that_was_never_worked_out_is_no_blank(folder):
    rows = [("material", "pack", "price"), ("kaolin, white", "1 kg", "=2+2")]
    found = problems_in(folder, rows)
    assert "without a saved value" in found["sheet Shelf, cell C2"].found


def test_a_control_character_in_a_cell_is_named(folder):
    rows = [("material", "pack", "price"), ("kaolin\u202e", "1 kg", "2 EUR")]
    assert "u202e" in problems_in(folder, rows)["sheet Shelf, cell A2"].found


def test_two_shelves_are_one_too_many(folder):
    (folder / "shelf.xlsx").write_bytes(book_of(as_rows(folder / "shelf.csv")))
    read = read_bench(folder)
    assert isinstance(read, Problems)
    assert [one.where.file for one in read.items] == ["shelf.xlsx"]


def test_a_number_takes_its_unit_from_its_cell_or_its_heading(folder):
    rows = [
        ("material", "pack [kg]", "price [EUR]", "stock", "best before"),
        ("kaolin, white", 1.234, 2.5, 800, dt.date(2027, 3, 31)),
        ("corn starch, dried", "2,5 kg", 7, 1, None),
    ]
    forms = [("D2", '0" g"'), ("D3", '0.0" kg"'), ("C3", "#,##0.00 [$EUR]")]
    content = book_of(rows, "Shelf", forms)
    from barwright.constraints.bench.materials_reading import stores_of
    from barwright.constraints.bench.shelf_reading import shelf_of

    problems = []
    stores = stores_of("materials.toml", (folder / "materials.toml").read_bytes(), problems)
    shelf = shelf_of("shelf.xlsx", content, stores, {"EUR": 1.0}, problems)
    assert problems == []
    clay, starch = shelf.items
    assert (clay.pack, clay.price, clay.stock) == (1.234, pytest.approx(2.5 / 1.234), 0.8)
    assert clay.lots[0].best_before == "2027-03-31"
    assert (starch.pack, starch.stock) == (2.5, 1.0)


def test_a_formula_in_a_workbook_reads_shares_shown_in_per_cent(folder):
    bench = read_bench(folder)
    names = [item.material.name for item in bench.shelf][:2]
    rows = [("material", "amount"), (names[0], 0.75), (names[1], 0.25)]
    content = book_of(rows, "Formula", [("B2", "0.0%"), ("B3", "0%")])
    read = formula_of("made.xlsx", content, bench)
    assert not isinstance(read, Problems), read
    assert read.name == "made"
    assert read.parts == {names[0]: 0.75, names[1]: 0.25}
    bare = formula_of("made.xlsx", book_of(rows, "Formula"), bench)
    assert [one.where.place for one in bare.items] == [
        "sheet Formula, cell B2", "sheet Formula, cell B3",
    ]  # fmt: skip


def test_what_is_no_workbook_is_told_and_never_raised(folder):
    bench = read_bench(folder)
    whole = book_of([("material", "amount")])
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as other:
        other.writestr("a.txt", "no workbook")
    for content in (b"PK\x03\x04", whole[:-40], whole[:100], packed.getvalue()):
        read = formula_of("made.xlsx", content, bench)
        assert isinstance(read, Problems)
        assert len(read.items) == 1


def test_a_workbook_that_unpacks_to_more_than_any_is_refused_before_it_is_read(folder):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as other:
        other.writestr("xl/worksheets/sheet1.xml", b" " * 101_000_000)
    read = formula_of("made.xlsx", packed.getvalue(), read_bench(folder))
    assert "unpacked" in read.items[0].found


def test_without_the_library_it_is_said_what_to_install(folder, monkeypatch):
    from barwright.constraints.bench import workbook_reading

    monkeypatch.setattr(workbook_reading, "find_spec", lambda _: None)
    read = formula_of("made.xlsx", book_of([("material", "amount")]), read_bench(folder))
    assert "barwright[workbook]" in read.items[0].expected


def test_a_formula_kept_as_a_workbook_is_never_replaced_by_tables(folder):
    path = folder / "formula.xlsx"
    path.write_bytes(book_of([("material", "amount"), ("kaolin, white", "100 %")]))
    before = path.read_bytes()
    assert write_atomically(path, book_of([("figure", "value")]), replace=True) is not None
    shelf = folder / "shelf.xlsx"
    shelf.write_bytes(before)
    assert write_atomically(shelf, book_of([("figure", "value")]), replace=True) is not None
    assert (path.read_bytes(), shelf.read_bytes()) == (before, before)
    other = folder / "answer.xlsx"
    other.write_bytes(book_of([("figure", "value")]))
    assert write_atomically(other, book_of([("figure", "value", "unit")]), replace=True) is None


def test_a_formula_file_is_read_from_the_disk(folder):
    bench = read_bench(folder)
    name = bench.shelf[0].material.name
    path = folder / "formulas.xlsx"
    path.write_bytes(book_of([("Material", "Amount [g]"), ("# a remark",), (name, 12), (None,)]))
    assert read_formula(path, bench).parts == {name: 1.0}
