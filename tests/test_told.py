"""What the library gives shows itself in a line, and says what it expected instead of failing."""

import barwright
import pytest


@pytest.fixture(scope="module")
def found(examples):
    return barwright.cheapest(barwright.read_bench(examples / "oily-hair"))


def test_a_finding_is_one_line_however_much_it_holds(found):
    assert repr(found).startswith("Finding(")
    assert "\n" not in repr(found)
    assert len(repr(found)) <= 100
    assert str(found) == repr(found)


def test_a_notebook_sees_a_table_with_everything_escaped():
    from barwright.solver.answers.explained import Explained

    page = Explained("<script>", None, (), None)._repr_html_()
    assert page.startswith("<table>")
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


def test_passing_the_wrong_thing_says_what_was_expected(tmp_path):
    problems = barwright.bench_or_problems(tmp_path / "nowhere")
    with pytest.raises(
        TypeError, match=r"expected a Bench .* not a Problems; read_bench gives one"
    ):
        barwright.cheapest(problems)
    with pytest.raises(TypeError, match="a bench is read from a folder, written as text or a Path"):
        barwright.read_bench(3)
