"""Weighings as a maker jots them down: in a line or a file, with points or decimal commas."""

import pytest
from barwright.constraints.bench.weighings_reading import read_weighings, weighings_of
from barwright.constraints.values.problem import Problems

THREE = (0.0612, 0.0609, 0.0614)


@pytest.mark.parametrize(
    "text",
    [
        "61.2 60.9 61.4",
        "61.2, 60.9, 61.4",
        "61.2,60.9,61.4",
        "61,2 60,9 61,4",
        "61,2; 60,9; 61,4",
        "61,2, 60,9, 61,4",
        "61.2 g\n60.9g\n\n61.4 g\n",
        "0.0612 kg 60.9 61400 mg",
        "# Tuesday, a dozen\n61.2 # first\n60.9\n61.4",
    ],
)
def test_every_way_to_jot_them_down_gives_the_same_masses(text):
    assert weighings_of("list", text) == pytest.approx(THREE)


def test_every_mass_that_cannot_be_read_is_told_with_its_number():
    found = weighings_of("list", "61.2 heavy 60.9 5m")
    assert isinstance(found, Problems)
    assert [one.where.place for one in found.items] == ["weighing 2", "weighing 4"]


@pytest.mark.parametrize("text", ["", "  \n", "# nothing yet"])
def test_no_masses_are_a_problem_and_not_an_empty_list(text):
    assert isinstance(weighings_of("list", text), Problems)


def test_a_file_is_read_and_named_in_its_problems(tmp_path):
    path = tmp_path / "weighed.txt"
    path.write_text("61,2\n60,9\n61,4\n", encoding="utf-8")
    assert read_weighings(str(path)) == pytest.approx(THREE)
    path.write_bytes(b"\xff\xfe\x00")
    found = read_weighings(str(path))
    assert isinstance(found, Problems)
    assert found.items[0].where.file == str(path)


def test_a_line_too_long_for_a_file_name_is_a_list():
    assert read_weighings("61.2 " * 2000) == pytest.approx((0.0612,) * 2000)
