"""What an ingredient is there for chooses the entry of law that holds for it."""

from pathlib import Path

import pytest
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.catalogue import catalogue
from barwright.constraints.market.caution import applying
from barwright.constraints.market.claim import claimed
from barwright.constraints.market.notice import notices, touching
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.rules.counting import Counting
from barwright.constraints.rules.judging import judge
from barwright.constraints.values.problem import Problems
from barwright.workshop.label.duty import warnings_due
from blends import standalone

DOSES = {
    "salicylic acid, powder": "EU V/3 salicylic acid",
    "climbazole, powder": "EU V/32 climbazole",
}


def read(
    examples: Path, folder: Path, materials: tuple[str, ...] = (), **brief: str
) -> Bench | Problems:
    """The bench for oily hair with more on its shelf, other markets and purposes."""
    bench = folder / "bench"
    standalone(bench)
    text = (bench / "brief.toml").read_text(encoding="utf-8")
    sold_in = brief.get("markets", '"EU"')
    text = text.replace('markets = ["EU"]', f"markets = [{sold_in}]")
    text = text.replace(
        "\n[balances.fine]", f"\n[purposes]\n{brief.get('purposes', '')}\n\n[balances.fine]"
    )
    (bench / "brief.toml").write_text(text, encoding="utf-8")
    with (bench / "shelf.csv").open("a", encoding="utf-8") as shelf:
        shelf.writelines(f"{name};1 kg;50 EUR;;yes;\n" for name in materials)
    return read_bench(bench)


def made(examples: Path, folder: Path, *materials: str, **brief: str) -> Bench:
    found = read(examples, folder, materials, **brief)
    assert isinstance(found, Bench), found
    return found


def limits_of(bench: Bench, inci: str) -> dict[str, tuple[float | None, float | None]]:
    """Name -> limits as sold [%] of the rules of law that count a substance."""
    left = 1 - bench.brief.portioning.drying
    return {
        rule.id: tuple(
            None if side is None else round(100 * side / left, 9) for side in (rule.low, rule.high)
        )
        for rule in bench.brief.rules
        if isinstance(rule, Counting) and inci in rule.factors
    }


@pytest.mark.reference
@pytest.mark.parametrize(
    ("material", "inci", "purpose", "entry", "most"),
    [
        # Regulation (EC) No 1223/2009, Annex III entries 98 (rinse-off hair products), 310 and 45,
        # Annex V entries 3, 32 and 34
        ("salicylic acid, powder", "Salicylic Acid", "", "EU V/3", 0.5),
        ("salicylic acid, powder", "Salicylic Acid", "preservative", "EU V/3", 0.5),
        ("salicylic acid, powder", "Salicylic Acid", "against dandruff", "EU III/98", 3.0),
        ("salicylic acid, powder", "Salicylic Acid", "another purpose", "EU III/98", 3.0),
        ("climbazole, powder", "Climbazole", "", "EU V/32", 0.5),
        ("climbazole, powder", "Climbazole", "against dandruff", "EU III/310", 2.0),
        ("behentrimonium chloride, 80 % grade", "Behentrimonium Chloride", "", "EU III/287", 5.0),
        (
            "behentrimonium chloride, 80 % grade",
            "Behentrimonium Chloride",
            "preservative",
            "EU V/44",
            0.1,
        ),
    ],
)
def test_the_purpose_chooses_the_entry(
    examples, tmp_path, material, inci, purpose, entry, most
) -> None:
    said = f'"{inci}" = "{purpose}"' if purpose else ""
    bench = made(examples, tmp_path, material, purposes=said)
    ((name, (_, high)),) = limits_of(bench, inci).items()
    assert name.startswith(f"{entry} ")
    assert high == pytest.approx(most)


def test_benzyl_alcohol_as_fragrance_has_no_share(examples, tmp_path) -> None:
    name = "benzyl alcohol, 99.5 %"
    assert limits_of(made(examples, tmp_path / "a", name), "Benzyl Alcohol")
    said = '"Benzyl Alcohol" = "fragrance"'
    assert not limits_of(made(examples, tmp_path / "b", name, purposes=said), "Benzyl Alcohol")


def test_two_per_cent_of_salicylic_acid_are_lawful_against_dandruff_alone(
    examples, tmp_path
) -> None:
    parts = {"salicylic acid, powder": 0.02, "kaolin, white": 0.98}
    for said, kept in (("", False), ('"Salicylic Acid" = "against dandruff"', True)):
        bench = made(examples, tmp_path / str(kept), "salicylic acid, powder", purposes=said)
        verdicts = judge(bench, Composition("bar", parts))
        by_law = [one.kept for one in verdicts if one.rule.id.startswith("EU ")]
        assert all(by_law) is kept


@pytest.mark.reference
def test_a_dandruff_claim_in_the_united_states_asks_for_the_share_of_the_monograph(
    examples, tmp_path
) -> None:
    """21 CFR 358.710(a)(4): salicylic acid, 1.8 to 3 percent; climbazole is not in the list."""
    bench = made(
        examples,
        tmp_path,
        "salicylic acid, powder",
        "climbazole, powder",
        markets='"US"',
        purposes='"Salicylic Acid" = "against dandruff"\n"Climbazole" = "against dandruff"',
    )
    assert list(limits_of(bench, "Salicylic Acid").values()) == [(None, 3.0), (1.8, None)]
    assert list(limits_of(bench, "Climbazole").values()) == [(None, 0.0)]


@pytest.mark.reference
@pytest.mark.parametrize(("share", "kept"), [(0.0179, True), (0.0178, False)])
def test_a_least_share_of_law_is_counted_at_the_lower_end_of_the_certificate(
    examples, tmp_path, share, kept
) -> None:
    """21 CFR 358.710(a)(4): at least 1.8 percent in the bar as sold, whichever lot comes.

    By hand: certificate 99 to 100 %, 2 % of water lost: 0.0179 · 0.99 / 0.98 = 0.018083 and
    0.0178 · 0.99 / 0.98 = 0.017982; at the upper end both would pass.
    """
    bench = made(
        examples,
        tmp_path,
        "salicylic acid, powder",
        markets='"US"',
        purposes='"Salicylic Acid" = "against dandruff"',
    )
    verdicts = judge(
        bench,
        Composition("bar", {"salicylic acid, powder": share, "kaolin, white": 1 - share}),
    )
    by_law = [one.kept for one in verdicts if one.rule.id.startswith("US 358.710")]
    assert all(by_law) is kept


@pytest.mark.parametrize(
    ("said", "markets", "found", "expected"),
    [
        ('"Salicylic Acid" = "dandruff"', '"EU"', "dandruff", "one of preservative"),
        ('"Climbazole" = "conditioner"', '"EU"', "conditioner", "preservative or against dandruff"),
        ('"Salicylic Acd" = "preservative"', '"EU"', "Salicylic Acd", "the shelf contains"),
        ('"Kaolin" = "against dandruff"', '"US"', "against dandruff", "which is what US knows"),
    ],
)
def test_a_purpose_that_the_law_does_not_know_is_told(
    examples, tmp_path, said, markets, found, expected
) -> None:
    names = ("salicylic acid, powder", "climbazole, powder")
    read_as = read(examples, tmp_path, names, purposes=said, markets=markets)
    assert isinstance(read_as, Problems)
    (problem,) = read_as.items
    assert problem.found == found
    assert expected in problem.expected


@pytest.mark.parametrize("market", ["UK", "GB"])
def test_a_market_whose_law_was_not_read_is_refused_with_its_reason(
    examples, tmp_path, market
) -> None:
    found = read(examples, tmp_path, markets=f'"{market}"')
    assert isinstance(found, Problems)
    (problem,) = found.items
    assert "Great Britain keeps its own amended copy" in problem.expected


# ---- Australia


def test_a_sulfate_bar_in_australia_is_held_to_the_poisons_standard(examples, tmp_path) -> None:
    bench = made(examples, tmp_path, markets='"AU"')
    names = [rule.id for rule in bench.brief.rules if rule.id.startswith("AU ")]
    assert "AU S6 lauryl sulfates" in names
    assert "AU S5 quaternary ammonium compounds" in names
    assert limits_of(bench, "Sodium Coco-Sulfate")["AU S6 lauryl sulfates"] == (None, 30.0)


def test_the_eye_warning_is_due_above_its_share_and_not_at_it(examples, tmp_path) -> None:
    bench = made(examples, tmp_path, "sodium lauryl sulfate, needles", markets='"AU"')
    most = bench.material("sodium lauryl sulfate, needles").contents["Sodium Lauryl Sulfate"].high
    for share, due in ((0.0499, False), (0.0501, True)):
        needles = share * (1 - bench.brief.portioning.drying) / most
        parts = {"sodium lauryl sulfate, needles": needles, "kaolin, white": 1 - needles}
        warned = warnings_due(bench, Composition("bar", parts), "AU")
        assert bool(warned) is due
        assert all("eyes" in one.warning for one in warned)


def test_duties_of_a_market_stand_among_the_cautions_of_its_bars_alone(examples, tmp_path) -> None:
    parts = Composition("bar", {"kaolin, white": 1.0})
    told = {}
    for market in ("EU", "AU", "US"):
        bench = made(examples, tmp_path / market, markets=f'"{market}"')
        told[market] = {one.code for one, _ in applying(bench, parts)}
    assert "Australian scheme" in told["AU"] - told["EU"] - told["US"]
    assert "American duties" in told["US"] - told["AU"]
    assert "European notification" in told["EU"] - told["US"]


# ---- the United States


def test_a_colour_that_is_not_listed_is_refused_unless_it_does_not_colour(
    examples, tmp_path
) -> None:
    name, inci = "activated charcoal, powder", "Charcoal Powder"
    bench = made(examples, tmp_path / "a", name, markets='"US"')
    assert limits_of(bench, inci) == {"US colour additive not listed": (None, 0.0)}
    said = f'"{inci}" = "another purpose"'
    bench = made(examples, tmp_path / "b", name, markets='"US"', purposes=said)
    assert not limits_of(bench, inci)


@pytest.mark.parametrize(
    ("market", "text", "many"),
    [
        ("US", "for oily hair", 0),
        ("US", "Anti-dandruff bar", 1),
        ("US", "treats hair loss", 1),
        ("EU", "Paraben-free", 1),
        ("EU", "against dandruff", 0),
        ("AU", "against dandruff", 1),
        ("US", "a hairspfx", 0),
    ],
)
def test_words_that_make_more_than_a_cosmetic_are_found(market, text, many) -> None:
    assert len(claimed(market, [text])) == many


# ---- conditions and changes to come


def test_a_change_to_come_is_told_where_it_touches_the_bar_and_nowhere_else(
    examples, tmp_path
) -> None:
    bench = made(examples, tmp_path, "talc, cosmetic grade")
    without = Composition("bar", {"kaolin, white": 1.0})
    with_talc = Composition("bar", {"kaolin, white": 0.9, "talc, cosmetic grade": 0.1})
    assert "talc" not in [one.name for one in touching(bench, without, "EU")]
    (told,) = [one for one in touching(bench, with_talc, "EU") if one.name == "talc"]
    assert told.pending
    assert "talc" not in [one.name for one in touching(bench, with_talc, "US")]


def test_every_notice_can_touch_something_and_has_its_source() -> None:
    for market in catalogue.markets():
        for one in notices(market):
            assert one.substances or one.classes or one.tags
            assert one.source.citation
            assert one.source.date == "2026-11-25"
            assert one.classes <= set(catalogue.class_meanings())


def test_check_and_label_tell_changes_to_come(barwright, examples, tmp_path) -> None:
    made(examples, tmp_path, "talc, cosmetic grade")
    bench = tmp_path / "bench"
    formula = bench / "formulas" / "today.toml"
    text = formula.read_text(encoding="utf-8")
    old = '"corn starch, native" = "9.65 %"'
    assert old in text
    new = '"corn starch, native" = "8.65 %"\n"talc, cosmetic grade" = "1 %"'
    formula.write_text(text.replace(old, new), encoding="utf-8")
    for command in ("check", "label"):
        done = barwright(command, str(bench), str(formula), "--all")
        assert "proposed talc as carcinogenic" in " ".join(done.stdout.split()), command


def test_what_was_not_read_of_the_poisons_standard_is_said_where_it_may_matter(
    examples, tmp_path
) -> None:
    bench = made(examples, tmp_path, "menthol, crystals", markets='"AU"')
    for name, told in (("menthol, crystals", True), ("corn starch, native", False)):
        parts = {name: 0.01, "kaolin, white": 0.99}
        names = {one.name for one in touching(bench, Composition("bar", parts), "AU")}
        assert ("scheduled actives" in names) is told
