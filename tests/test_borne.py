"""What the lots that may come do to a composition: how far it reaches, how often it breaks."""

import json

import pytest
from barwright import cheapest, read_bench
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.rule import Kind
from barwright.constraints.model.uncertainty import Uncertainty
from barwright.solver.uncertain.spread import between, borne
from blends import bench, material, share_of


def test_the_reach_of_a_share_is_that_of_the_certificate_by_hand():
    stuff = material("stuff", {"A": (0.2, 0.5, 0.7), "B": (0.3, 0.5, 0.8)})
    rest = material("rest", {"B": 1.0})
    read = bench([stuff, rest], [1.0, 1.0], [share_of("A", low=0.2)])
    found = borne(read, Composition("x", {"stuff": 0.5, "rest": 0.5}), draws=500)
    (one,) = found.reaches
    assert (one.least, one.typical, one.greatest) == pytest.approx((0.1, 0.25, 0.35))
    assert 0.0 < one.broken.low < one.broken.high < 1.0
    assert found.broken == one.broken


def test_a_share_of_draws_lies_between_exact_bounds():
    """None of 100: at most 1 - 0.025 ** (1 / 100), 19 times in 20 for both ends."""
    none = between(0, 100)
    assert none.low == pytest.approx(0.0, abs=1e-9)
    assert none.high == pytest.approx(1.0 - 0.025**0.01)


@pytest.mark.parametrize("name", ["oily-hair", "dry-hair"])
def test_no_draw_lies_beyond_the_reach_and_no_law_is_among_it(name, root):
    read = read_bench(root / "examples" / name)
    found = borne(read, cheapest(read).composition, draws=500)
    assert all(one.rule.kind is not Kind.LAW for one in found.reaches)
    assert len(found.reaches) > 10
    for one in found.reaches:
        if one.least is not None and one.tried.low is not None:
            assert one.least - 1e-9 <= one.tried.low, one.rule.id
            assert one.tried.high <= one.greatest + 1e-9, one.rule.id


def test_where_nothing_is_uncertain_nothing_moves(root):
    read = read_bench(root / "examples/oily-hair")
    found = borne(read, cheapest(read).composition, Uncertainty(scale=0.0), draws=50)
    assert all(one.least == one.greatest for one in found.reaches)
    assert found.broken.low == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("words", [("cheapest", "--no-proof"), ("check", "f"), ("acidity", "f")])
def test_every_answer_about_a_bar_says_what_lots_do_to_it(words, barwright):
    formula = "examples/oily-hair/formulas/today.toml"
    asked = [formula if word == "f" else word for word in words]
    done = barwright(asked[0], "examples/oily-hair", *asked[1:], "--format", "json")
    lots = json.loads(done.stdout)["lots"]
    band = {one["rule"]: one for one in lots["rules"]}["acidity"]
    assert band["least"] < band["typical"] < band["greatest"]
    assert band["broken"]["at_least"] < band["broken"]["at_most"]
    assert lots["lots"] == 10_000


@pytest.mark.parametrize("command", ["check", "acidity"])
def test_lots_are_drawn_once_for_a_screen_and_its_page(command, barwright, monkeypatch, tmp_path):
    from barwright.solver.uncertain import spread

    pytest.importorskip("matplotlib")
    drawn, borne = [], spread.borne

    def counted(bench, composition, within=None, **asked):
        drawn.append(asked.get("draws"))
        return borne(bench, composition, within, **asked)

    monkeypatch.setattr(spread, "borne", counted)
    words = (command, "examples/oily-hair", "examples/oily-hair/formulas/today.toml")
    done = barwright(*words, "--all", "--page", str(tmp_path / "page.html"))
    assert done.returncode == 0, done.stderr
    assert len(drawn) == len(set(drawn))
