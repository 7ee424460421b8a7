"""Which known name a written one means."""

import pytest
from barwright.constraints.catalogue import catalogue
from barwright.constraints.values.names import asked_name, meant, spelt, the_name
from barwright.constraints.values.problem import InputError, Problem, Where
from hypothesis import given
from hypothesis import strategies as st

NAMES = catalogue.material_names()
HERE = Where("--with")


@given(st.sampled_from(NAMES), st.integers(1, 3))
def test_case_and_spaces_never_part_a_name_from_itself(name, spaces):
    written = (" " * spaces).join(name.upper().split(" "))
    assert spelt(written, NAMES) == name
    assert meant(written, NAMES) == (name,)


@given(st.sampled_from(NAMES))
def test_a_name_written_without_its_signs_may_mean_itself(name):
    plain = "".join(sign if sign.isalnum() else " " for sign in name)
    assert name in meant(plain, NAMES)


@given(st.sampled_from(NAMES), st.data())
def test_fewer_words_never_mean_fewer_names(name, data):
    words = "".join(sign if sign.isalnum() else " " for sign in name).split()
    some = data.draw(st.lists(st.sampled_from(words), min_size=1, unique=True))
    if spelt(" ".join(some), NAMES) is None:
        assert name in meant(" ".join(some), NAMES)


def test_a_whole_name_means_itself_though_others_hold_its_words():
    assert meant("wax", ["wax", "wax, white"]) == ("wax",)


def test_a_part_that_two_names_have_is_never_guessed():
    found = asked_name(HERE, "behentrimonium methosulfate", NAMES, "a known material")
    assert isinstance(found, Problem)
    assert len(found.nearest) == 2
    assert "which may be 2 of them" in found.found


def test_signs_alone_mean_nothing():
    assert meant("% ,", NAMES) == ()
    assert meant("", NAMES) == ()


def test_a_name_that_is_none_is_raised_with_the_near_ones():
    with pytest.raises(InputError) as raised:
        the_name(HERE, "kaolin, wite", NAMES, "a material on the shelf")
    assert raised.value.problems.items[0].nearest[0] == "kaolin, white"
    assert "\n" not in str(raised.value)
    assert "a material on the shelf" in str(raised.value)
