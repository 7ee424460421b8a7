"""What no file may hold is refused before anything is made of it, in bounded memory and time."""

import tomllib
import tracemalloc
from typing import TYPE_CHECKING

import pytest
from barwright.constraints.values.door import endless_in, seen, unseen_in
from barwright.constraints.values.table import table_of
from hypothesis import given
from hypothesis import strategies as st

if TYPE_CHECKING:
    from barwright.constraints.values.problem import Problem

DEEP = ".".join(["a"] * 20_000)
QUOTED = ".".join(['"a b"'] * 8_000)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (f"{DEEP} = 1\n", "a key of more than 16 parts"),
        (f"[{DEEP}]\n", "a key of more than 16 parts"),
        (f"x = 1\n{QUOTED} = 1\n", "a key of more than 16 parts"),
        (f"x = {{ {DEEP} = 1 }}\n", "a key of more than 16 parts"),
        (f"x = {'9' * 401}\n", "more than 400 digits"),
        (f"x = 1.{'0' * 1_000_000}1\n", "more than 400 digits"),
        (f"x = 0x{'f' * 1_000_000}\n", "more than 400 digits"),
        ("x = 1\n" * 2_000_000, "12,000,000 bytes"),
    ],
)
def test_keys_and_numbers_without_end_are_refused_before_they_are_parsed(
    text: str, found: str
) -> None:
    problems: list[Problem] = []
    tracemalloc.start()
    table = table_of("brief.toml", text, problems)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert table is None
    assert [problem.found for problem in problems] == [found]
    assert peak < 20 * len(text) + 1_000_000


@pytest.mark.parametrize(
    "text",
    [
        f'x = "{DEEP}"',
        f"# {DEEP}\nx = 1",
        f'x = """\n{DEEP}\n"""',
        f"x = '''{'9' * 500}'''",
        "a.b.c.d.e.f.g = 1",
    ],
)
def test_what_stands_in_quotation_marks_or_in_a_remark_is_no_key(text: str) -> None:
    assert endless_in(text) is None


def test_a_word_without_end_is_looked_through_once() -> None:
    assert endless_in("x = " + "w-" * 1_000_000) is None


@given(key=st.text(), value=st.text())
def test_what_is_read_from_a_file_can_be_seen(key: str, value: str) -> None:
    escaped = "".join(f"\\U{ord(char):08x}" for char in value if not 0xD800 <= ord(char) < 0xE000)
    problems: list[Problem] = []
    table = table_of("a.toml", f'x = "{escaped}"\n', problems)
    assert table is not None
    held = table.values["x"]
    assert isinstance(held, str)
    assert (unseen_in(held) is None) == (not problems)
    assert unseen_in(seen(key)) is None


def test_the_example_of_an_escape_is_toml_to_begin_with() -> None:
    assert tomllib.loads(r'x = "\u001b"') == {"x": "\x1b"}
