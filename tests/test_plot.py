"""A plot shows every point where it belongs, in plain characters, within its width."""

import pytest
from barwright.cli.kit.plot import Series, plot
from hypothesis import given, settings
from hypothesis import strategies as st

FIGURES = st.floats(-1e6, 1e6).map(lambda value: round(value, 3))
POINTS = st.lists(st.tuples(FIGURES, FIGURES), min_size=1, max_size=20)


def drawn(points, width=60, height=16, *, joined=True):
    return plot([Series("*", points, joined)], width, height, "g in a kg", "pH")


@given(POINTS, st.integers(30, 120), st.integers(8, 40), st.booleans())
@settings(max_examples=60)
def test_a_plot_keeps_its_width_and_height_and_plain_characters(points, width, height, joined):
    lines = drawn(sorted(points), width, height, joined=joined)
    assert len(lines) == height
    assert max(map(len, lines)) <= width
    assert all(line.isascii() and line == line.rstrip() for line in lines)


@given(POINTS)
@settings(max_examples=60)
def test_every_point_has_its_mark(points):
    lines = drawn(points, 120, 40, joined=False)
    marks = "".join(lines[1:-3]).count("*")
    assert 1 <= marks <= len(set(points))


def test_points_far_apart_are_all_to_be_seen():
    lines = drawn([(0, 0), (5, 5), (10, 10)], joined=False)
    assert "".join(lines).count("*") == 3


def test_a_joined_line_has_a_mark_in_every_column_and_no_gap_where_it_is_steep():
    lines = drawn([(0, 0), (5, 0), (5.2, 10), (10, 10)])
    body = [line[line.index("|" if "|" in line else "+") + 1 :] for line in lines[1:-3]]
    assert all("*" in row for row in body)
    width = max(map(len, body))
    assert all(any(row[at : at + 1] == "*" for row in body) for at in range(width))


def test_the_ticks_are_round_and_enclose_every_value():
    lines = drawn([(0.3, 4.2), (2.7, 8.9)])
    beside = [line.split("+")[0].strip() for line in lines[1:-3] if "+" in line]
    assert beside[0] == "10"
    assert beside[-1] == "4"
    assert lines[-2].split() == ["0", "1", "2", "3"]


def test_higher_stands_higher():
    lines = drawn([(0, 1), (10, 9)])
    rows = [number for number, line in enumerate(lines[1:-3]) if "*" in line]
    first = lines[1 + rows[0]]
    last = lines[1 + rows[-1]]
    assert first.rindex("*") > last.rindex("*")


def test_a_later_series_lies_over_an_earlier_one():
    lines = plot(
        [Series("*", [(0, 0), (10, 10)]), Series("o", [(5, 5)], joined=False)], 40, 12, "g", "pH"
    )
    assert "".join(lines).count("o") == 1


def test_a_single_point_has_axes_too():
    assert "".join(drawn([(3, 3)])).count("*") == 1


@pytest.mark.parametrize("points", [[], [(0.0, float("nan"))], [(float("inf"), 1.0)]])
def test_nothing_to_draw_is_an_error_of_ours(points):
    with pytest.raises(ValueError, match="points"):
        drawn(points)


def test_too_little_room_is_an_error_of_ours():
    with pytest.raises(ValueError, match="24 characters by 8 lines"):
        drawn([(0, 0)], 10, 16)


def test_the_labels_stand_at_the_axes():
    lines = drawn([(0, 0), (1, 1)])
    assert lines[0] == "pH"
    assert lines[-1].endswith("g in a kg")


def test_values_that_differ_by_rounding_alone_lie_on_one_line():
    points = [(0.0, 7.467204878048779), (1.0, 7.467204878048780)]
    rows = plot([Series("*", points)], 40, 10, "x", "y")
    assert sum("*" in line for line in rows) == 1
