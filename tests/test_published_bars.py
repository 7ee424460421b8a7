"""Bars that were published in the open, judged by the rules that a new bench begins with."""

import tomllib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from barwright.constraints.bench.opening import read_bench
from barwright.constraints.bench.starting import Starter, new_bench
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.model.rule import Kind
from barwright.constraints.rules.judging import judge
from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest
from barwright.workshop.acid.answer import acidity

PUBLISHED = tomllib.loads(
    (Path(__file__).parent / "data/published_bars.toml").read_text(encoding="utf-8")
)
BARS, RANGES = PUBLISHED["bars"], PUBLISHED["ranges"]
OWN = set(PUBLISHED["own"])


def begun(folder: Path, kind: str, materials: Iterable[str], more: str = "") -> Bench:
    """A new bench of a kind, with these on its shelf too and more in its brief."""
    new_bench(folder, Starter(kind))
    shelf, brief = folder / "shelf.csv", folder / "brief.toml"
    there = {line.split(";")[0] for line in shelf.read_text(encoding="utf-8").splitlines()}
    with shelf.open("a", encoding="utf-8") as file:
        file.writelines(f"{name};1 kg;10 EUR;;yes;\n" for name in materials if name not in there)
    with brief.open("a", encoding="utf-8") as file:
        file.write(more)
    return read_bench(folder)


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, bool]]:
    """Bar -> rule about how a bar washes and holds together -> whether it keeps it."""
    found = {}
    for name, bar in BARS.items():
        bench = begun(tmp_path_factory.mktemp("bar") / "bench", bar["starter"], bar["parts"])
        found[name] = {
            one.rule.id: bool(one.kept)
            for one in judge(bench, composed(bar))
            if one.rule.kind in {Kind.PRACTICE, Kind.HOUSE} and one.rule.id not in OWN
        }
    return found


def composed(bar: dict[str, Any]) -> Composition:
    whole = sum(bar["parts"].values())
    return Composition("as published", {name: part / whole for name, part in bar["parts"].items()})


@pytest.mark.reference
@pytest.mark.parametrize("name", BARS)
def test_a_published_bar_breaks_what_is_said_of_it_and_keeps_the_rest(name, judged):
    broken = {rule for rule, kept in judged[name].items() if not kept}
    assert broken == set(BARS[name]["breaks"])


@pytest.mark.reference
def test_most_of_what_an_experienced_maker_keeps_is_kept_by_bars_that_were_published(judged):
    verdicts = [kept for rules in judged.values() for kept in rules.values()]
    assert sum(verdicts) > 0.6 * len(verdicts)
    for rules in judged.values():
        assert sum(rules.values()) > len(rules) / 2


@pytest.mark.reference
@pytest.mark.parametrize(
    ("name", "complaint"), [(name, one) for name, bar in BARS.items() for one in bar["reported"]]
)
def test_what_its_maker_complains_of_is_seen_by_a_rule_that_speaks_of_it(name, complaint, judged):
    speaking = set(PUBLISHED["complaints"][complaint])
    assert any(not judged[name].get(rule, True) for rule in speaking)


@pytest.mark.reference
def test_a_bar_as_solid_as_those_that_nobody_called_soft_is_solid_enough(judged):
    """Read from the threads: 78.5 % and 82 % of solids held, 65 to 77 % did not."""
    called_soft = {name for name, bar in BARS.items() if "soft" in bar["reported"]}
    held = {"isethionate and sulfate alike", "isethionate and sulfate with glucoside"}
    assert held.isdisjoint(called_soft)
    assert all(judged[name]["solid share"] for name in held)
    wet = called_soft - {"isethionate in oil and starch"}  # that one is soft by its oil
    assert not any(judged[name]["solid share"] for name in wet)


@pytest.mark.reference
@pytest.mark.parametrize("name", [name for name, bar in BARS.items() if "ph" in bar])
def test_the_ph_that_its_maker_read_lies_where_it_is_predicted(name, tmp_path):
    bar = BARS[name]
    bench = begun(tmp_path / "bench", bar["starter"], bar["parts"])
    found = acidity(bench, composed(bar)).account.prediction
    assert found.low <= bar["ph"] <= found.high
    assert abs(found.ph - bar["ph"]) < 0.2


def written(number: int, span: dict[str, Any]) -> str:
    materials = ", ".join(f'"{name}"' for name in span["any"])
    return (
        f'\n[rules."published {number}"]\nshare_of = [{materials}]\ncount = "supplied"\n'
        f'min = "{span["from"]} %"\nmax = "{span["to"]} %"\nkind = "house"\nbecause = "published"\n'
    )


def ranged(folder: Path, name: str, left: Iterable[str] = ("cost",)) -> Bench:
    """The bench of a published range, some rules left out: the prices on it are invented."""
    spans = RANGES[name]["of"]
    materials = {material for span in spans for material in span["any"]}
    more = "".join(written(number, span) for number, span in enumerate(spans))
    bench = begun(folder, RANGES[name]["starter"], sorted(materials), more)
    rules = tuple(rule for rule in bench.brief.rules if rule.id not in set(left))
    return replace(bench, brief=replace(bench.brief, rules=rules))


@pytest.mark.reference
@pytest.mark.parametrize("name", RANGES)
def test_a_published_range_has_a_bar_that_keeps_every_rule_or_the_reasons_are_known(name, tmp_path):
    found = cheapest(ranged(tmp_path / "bench", name))
    assert isinstance(found, Refusal if "breaks" in RANGES[name] else Finding)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("name", "rule"),
    [(name, rule) for name, one in RANGES.items() for rule in one.get("breaks", ())],
)
def test_each_rule_named_for_a_published_range_shuts_it_out_by_itself(name, rule, tmp_path):
    bench = ranged(tmp_path / "bench", name)
    alone = tuple(
        one for one in bench.brief.rules if one.id == rule or one.id.startswith("published")
    )
    assert isinstance(cheapest(replace(bench, brief=replace(bench.brief, rules=alone))), Refusal)


@pytest.mark.reference
def test_needles_pressed_with_water_are_a_bar_but_for_the_rules_that_are_named(tmp_path):
    name = "pressed needles"
    left = ("cost", *RANGES[name]["breaks"])
    assert isinstance(cheapest(ranged(tmp_path / "bench", name, left)), Finding)
