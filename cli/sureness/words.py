"""Sentences on how sure an answer is."""

from math import floor
from typing import TYPE_CHECKING

from ...solver.program.outcome import Stopped
from ..kit.numbers import money, percent

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench
    from ...constraints.model.rule import Rule
    from ...constraints.model.uncertainty import Correction
    from ...solver.answers.explained import Explained
    from ...solver.uncertain.informing import Informed
    from ...solver.uncertain.sure import Sure
    from ...solver.uncertain.worth import Freeing, Worth

NOTABLE = 5e-4
"""What saves less is not worth a sentence [money/kg]."""

MOSTLY = 0.8
"""So great a share of what is saved comes of one thing alone [1]."""

DRAWN = (
    "Lots are drawn from the ranges of the certificates and the catalogue, with typical figures the"
    " likeliest; lots of other suppliers may differ more. Law counts as it always does."
)


def proved_words(bench: "Bench", shown: "Explained") -> str:
    """How far it is proved that a sure answer is the cheapest."""
    if shown.worth is None or not shown.worth.proved:
        return "the cheapest found"
    return "proved cheapest at its salt" if at_one_strength(bench, shown) else "proved the cheapest"


def at_one_strength(bench: "Bench", shown: "Explained") -> bool:
    """Whether a rule on pH was held at the ionic strength of the answer alone."""
    return not shown.finding.parts and any(rule.dispersed for rule in bench.brief.rules)


def coverage_sentence() -> str:
    """What a proof of a sure answer covers, and what it does not."""
    from ...constraints.acidity.constants import constants

    apart = percent(constants().strength_apart)
    return (
        "That none is cheaper is proved of mixes as salty as this one, for lots whose ionic"
        f" strength lies within {apart} of it; of saltier and of fresher mixes nothing is claimed."
        " Every lot drawn was judged at its own. verify --bench works its rows out anew, and tries"
        " its composition on other lots."
    )


def always_holds(rule: "Rule") -> bool:
    """Whether a rule holds for all of the set."""
    return rule.within is not None and rule.within.scale >= 1.0


def asked_sentence(sure: "Sure", cost: float, currency: str, yearly: float | None = None) -> str:
    """What was asked for, and what it costs."""
    more = money(sure.finding.cost - cost, currency)
    if sure.share >= 1.0:
        what = "Keeps its rules for every lot that the certificates allow"
    elif sure.share <= 0.0:
        named = [rule.id for rule in sure.bench.brief.rules if always_holds(rule)]
        what = "Keeps its rules for typical lots"
        if named:
            every = f"{', '.join(named)} for every lot that the certificates allow"
            what = f"Keeps {every}, its other rules for typical lots"
    else:
        what = f"Keeps each rule by itself in {percent(sure.share)} of the lots that may come"
    year = _a_year(sure.finding.cost - cost, currency, yearly)
    return f"{what}; that costs {more} more than for typical lots alone{year}."


def _a_year(saves: float, currency: str, yearly: float | None) -> str:
    """Money a kilogram as money a year, where what is made was said."""
    return "" if yearly is None else f", {saves * yearly:.0f} {currency} a year"


def tried_sentence(sure: "Sure") -> str:
    """What fresh draws say."""
    found = sure.tried
    often = f"{percent(1 - found.share)} of them" if found.broken else "all of them"
    seen = f"Tried on {found.of:,} fresh lots: all rules at once are kept in {often}"
    least = floor(found.kept_at_least * 10_000) / 100  # never rounded up to what was not shown
    bound = f" (at least {least:.2f} % of what may come, {percent(found.sure)} sure)."
    if sure.share <= 0.0:
        return f"{seen}."
    if sure.verified:
        return seen + bound
    return f"{seen}{bound} That falls short of what was asked; the table says where."


def correction_sentence(added: "Correction") -> str:
    """On what the composition leans at the bench."""
    if added.most <= 0.0:
        return f"No lot needs more {added.material.name} than is in it."
    return (
        f"It leans on a reading of every batch: where the mix reads outside its band, add up to"
        f" {added.most * 1000:.2f} g of {added.material.name} to a kilogram of mix. The other"
        " rules are kept with and without it. Measure again before pressing; a predicted pH"
        " never replaces a measured one."
    )


def short_correction(added: "Correction") -> str:
    """The same in a line."""
    if added.most <= 0.0:
        return f"No lot needs more {added.material.name} than is in it."
    most = f"{added.most * 1000:.2f} g/kg"
    return f"Read each batch: up to {most} of {added.material.name} brings its pH back."


def read_sentence(read: "Informed") -> str:
    """What readings of bars say of the lots."""
    count = len(read.readings)
    what = "A reading of a bar counts" if count == 1 else f"{count} readings of bars count"
    return f"{what}: lots that do not go with what was read are left out, as long as these last."


def worth_sentence(first: "Worth", currency: str, yearly: float | None = None) -> str:
    """Which jar to measure first, what of it, and what that brings."""
    if first.saves > NOTABLE:
        year = _a_year(first.saves, currency, yearly)
        gain = f"that saves up to {money(first.saves, currency)}{year}"
    elif first.steadier and first.steadier > 0.005:
        gain = f"that narrows the pH by up to {first.steadier:.2f}"
    else:
        return "No one material holds much: knowing any of them better saves next to nothing."
    return f"Measure {first.material} first: {what_of(first)}. If as typical, {gain}."


def _to_find(one: "Worth") -> tuple[bool, bool]:
    """Whether contents, and whether a pH, of a material are worth finding out."""
    if one.saves <= NOTABLE:
        return False, True
    if one.by_contents is None:
        return True, True
    return one.by_contents > (1.0 - MOSTLY) * one.saves, one.by_contents < MOSTLY * one.saves


def what_of(one: "Worth") -> str:
    """What of a material to find out: its contents, its pH, or both."""
    words = ("its contents, by the lot's certificate", "its pH in water")
    return ", and ".join(word for word, asked in zip(words, _to_find(one), strict=True) if asked)


def reading_sentence(one: "Worth") -> str:
    """Where what was found out is put down."""
    places = (
        "contents of the lot go into materials.toml",
        "a pH that was read goes into a file for --readings",
    )
    text = "; ".join(place for place, asked in zip(places, _to_find(one), strict=True) if asked)
    return f"{text[0].upper()}{text[1:]}. Then ask again."


def freeing_sentence(found: "Freeing | Stopped | None") -> str:
    """What would free a demand for safety that nothing keeps."""
    if isinstance(found, Stopped):
        return f"What stands in the way of so much safety was not settled: {found.reason}."
    if found is None:
        return (
            "What is not known is not to blame: no composition keeps the rules with typical lots."
        )
    names = " and ".join(found.materials)
    alone = "Alone" if len(found.materials) == 1 else "Together, none of them to spare"
    fewer = "" if found.smallest else " A smaller set elsewhere on the shelf may do as well."
    return (
        f"What stands in the way of so much safety is what is not known of {names}. {alone}, a"
        f" reading or a certificate that fixes it would free it, if it is as typical.{fewer}"
    )
