"""Prices that were: read as any sheet is, and everything wrong with it told at once."""

import pytest
from barwright import read_bench
from barwright.constraints.bench.price_history_reading import read_price_history
from barwright.constraints.values.problem import Problems

KAOLIN, STARCH = "kaolin, white", "corn starch, native"


@pytest.fixture(scope="module")
def oily(root):
    return read_bench(root / "examples/oily-hair")


def read(oily, tmp_path, text):
    file = tmp_path / "prices.csv"
    file.write_text(text, "utf-8")
    return read_price_history(file, oily)


def test_decimal_commas_semicolons_and_currencies_are_read_as_in_any_sheet(oily, tmp_path):
    text = f"date;{KAOLIN};{STARCH}\n# bought\n2026-01-05;2,50;1,80 €\n2026-02-02;;1,9 EUR/kg\n"
    assert read(oily, tmp_path, text) == ({KAOLIN: 2.5, STARCH: 1.8}, {STARCH: 1.9})


def test_a_sheet_with_commas_quotes_names_that_hold_one_and_needs_no_date(oily, tmp_path):
    assert read(oily, tmp_path, f'"{KAOLIN}"\n2.50\n3\n') == ({KAOLIN: 2.5}, {KAOLIN: 3.0})


def test_a_semicolon_parts_names_that_hold_many_commas(oily, tmp_path):
    pearls = "cetearyl alcohol, 50/50, pellets"
    assert read(oily, tmp_path, f"{pearls};{KAOLIN}\n7;2\n") == ({pearls: 7.0, KAOLIN: 2.0},)


def test_a_workbook_of_prices_is_read_too(oily, tmp_path):
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.active.append(["date", KAOLIN])
    book.active.append(["2026-01-05", 2.5])
    book.save(tmp_path / "prices.xlsx")
    assert read_price_history(tmp_path / "prices.xlsx", oily) == ({KAOLIN: 2.5},)


def test_every_problem_is_told_with_its_line_and_what_was_likely_meant(oily, tmp_path):
    found = read(oily, tmp_path, f"date;{KAOLIN};{STARCH}\n1;dear;2,0\n2;0;-3\n3;4 USD/kg;2\n")
    assert isinstance(found, Problems)
    assert [one.where.place.split(",")[0] for one in found.items] == [
        "line 2",
        *["line 3"] * 2,
        "line 4",
    ]
    assert "a price above 0" in found.items[1].expected
    assert "EUR" in found.items[3].expected


def test_a_column_of_no_material_is_told_with_the_nearest_name(oily, tmp_path):
    found = read(oily, tmp_path, "date;kaolin white;chalk\n1;2;3\n")
    assert isinstance(found, Problems)
    assert len(found.items) == 2
    assert KAOLIN in found.items[0].nearest
    assert "a material on the shelf" in found.items[0].expected


def test_a_material_under_two_of_its_names_is_told(oily, tmp_path):
    found = read(oily, tmp_path, f"{KAOLIN};{KAOLIN.upper()};Kaolin,  white\n2;3;4\n")
    assert isinstance(found, Problems)
    assert all("twice" in one.found for one in found.items)


@pytest.mark.parametrize("text", ["", "date\n", f"{KAOLIN}\n", f"date;{KAOLIN}\n2026-01-05;\n"])
def test_a_sheet_without_prices_is_refused(text, oily, tmp_path):
    found = read(oily, tmp_path, text)
    assert isinstance(found, Problems)
