"""What goes on the box: the list of ingredients, the net content, warnings and cautions."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from ...constraints.market.allergen import Naming, entries_of, naming
from ...constraints.market.claim import claimed
from ...constraints.market.labelling import Labelling, labelling, markets_with_labelling
from ...constraints.market.notice import touching
from ...constraints.model.box import Box
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.contents import total
from ...constraints.model.material import Span
from ...constraints.values.problem import Problem, Problems, Where
from .declared import FRAGRANCE, OIL, Part, declared_under, sorted_out, without_declared_allergens
from .duty import warnings_due
from .lines import Doubt, Group, Ingredient, Label, NearTie, list_text
from .particulars import durability, mass_when_sold, net_content_text, particulars

_DIGITS = 12  # shares that differ only by float noise are the same share


def label(
    bench: Bench,
    composition: Composition,
    market: str,
    *,
    mix: float | None = None,
    box: Box | None = None,
) -> Label | Problems:
    """What goes on the box.

    Args:
        bench: materials, brief and balances.
        composition: of the bar, as weighed.
        market: "EU", "AU" or "US".
        mix: mass of the batch [kg]; with it neighbours less than a scale step apart are reported.
        box: what the maker says of the pack; without it what the brief says.

    Raises:
        KeyError: when a material of the composition is not on the shelf.
    """
    if market not in markets_with_labelling():
        expected = f"one of {', '.join(markets_with_labelling())}"
        return Problems((Problem(Where("brief.toml", "product.markets"), market, expected),))
    rules, rule = labelling(market), naming(market)
    parts, left_out = sorted_out(bench, composition, rules)
    allergens = _allergen_shares(bench, parts) if rule else {}
    named = {name: share for name, share in allergens.items() if _named(bench, rule, share.typical)}
    ingredients = _in_order(_ingredients(bench, parts, rules, named), rules)
    warnings = warnings_due(bench, composition, market)
    net = net_content_text(bench, rules)
    own = bench.brief.box if box is None else box
    listed = list_text(rules.heading, ingredients)
    return Label(
        market=market,
        product=bench.brief.name,
        heading=rules.heading,
        ingredients=ingredients,
        near_ties=tuple(_near_ties(bench, ingredients, rules, mix)),
        left_out=left_out,
        near_threshold=tuple(
            name
            for name, share in allergens.items()
            if name not in named and _named(bench, rule, share.high)
        ),
        undeclared=without_declared_allergens(bench, composition) if rule else (),
        undecided=_undecided(bench, parts) if rule else {},
        net=net,
        held=rules.declared_mass(bench.brief.portioning.declared or 0.0),
        sold_at=mass_when_sold(bench),
        durability=durability(rules, own),
        particulars=particulars(rules, own, net, warnings, listed),
        warnings=warnings,
        notices=touching(bench, composition, market),
        claims=claimed(market, (bench.brief.name, own.function, *own.words)),
        cautions=rules.cautions,
        notes=(*rules.notes, rule.note, rule.caution) if rule else rules.notes,
        replaces_not=rules.replaces_not,
        no_claims=rules.no_claims,
        caution=rules.caution,
        sources=(rules.source, rule.source) if rule else (rules.source,),
    )


def _allergen_shares(bench: Bench, parts: Sequence[Part]) -> dict[str, Span]:
    """Annex name -> its share of the mix, over all that contains it.

    An essential oil that is itself an entry counts with all its constituents.
    """
    shares: dict[str, list[Span]] = {}
    oils: set[str] = set()
    for part in parts:
        entries = entries_of(bench.substances[part.inci])
        if len(entries) != 1:
            continue
        counted = shares.setdefault(entries[0].label, [])
        if OIL not in bench.substances[part.inci].classes or part.under != part.inci:
            counted.append(part.share)
        elif part.inci not in oils:
            oils.add(part.inci)
            counted.extend(declared_under(parts, part.inci))
    return {name: total(shares[name]) for name in sorted(shares)}


def _named(bench: Bench, rule: Naming | None, share: float) -> bool:
    """Whether a share of the mix exceeds the threshold in the bar as sold, dried."""
    sold = share / (1 - bench.brief.portioning.drying)
    return rule is not None and round(sold, _DIGITS) > rule.over


def _undecided(bench: Bench, parts: Sequence[Part]) -> dict[str, tuple[str, ...]]:
    found = {part.inci: entries_of(bench.substances[part.inci]) for part in parts}
    return {
        inci: tuple(entry.label for entry in entries)
        for inci, entries in sorted(found.items())
        if len(entries) > 1
    }


def _ingredients(
    bench: Bench, parts: Sequence[Part], rules: Labelling, named: Mapping[str, Span]
) -> list[Ingredient]:
    """Every name of the list with its share, not yet in order."""
    own: dict[str, list[Part]] = {}
    covers: dict[str, set[str]] = {name: set() for name in named}
    for part in parts:
        annex = _annex_name(bench, part.inci, named)
        if annex:
            covers[annex].add(part.inci)
        under = _annex_name(bench, part.under, named)
        if not under:
            own.setdefault(_printed(bench, part.under, rules), []).append(part)
    listed = [_ingredient(bench, name, group, rules) for name, group in own.items()]
    for name, inside in covers.items():
        entry = _entry_number(bench, inside)
        listed.append(
            Ingredient(name, named[name], _group(named[name], rules), tuple(sorted(inside)), entry)
        )
    return listed


def _annex_name(bench: Bench, inci: str, named: Mapping[str, Span]) -> str:
    """The annex name under which a substance has to be listed, else empty."""
    entries = entries_of(bench.substances[inci]) if inci in bench.substances else ()
    return entries[0].label if len(entries) == 1 and entries[0].label in named else ""


def _entry_number(bench: Bench, substances: set[str]) -> str:
    return entries_of(bench.substances[min(substances)])[0].entry


def _printed(bench: Bench, key: str, rules: Labelling) -> str:
    if key == FRAGRANCE:
        return rules.fragrance
    colour = bench.substances[key].colour_index
    if colour and rules.colours_by_number:
        return f"CI {colour}"
    return rules.name_of(key)


def _ingredient(bench: Bench, name: str, parts: Sequence[Part], rules: Labelling) -> Ingredient:
    share = total([part.share for part in parts])
    inside = tuple(sorted({part.inci for part in parts}))
    coloured = any(bench.substances[inci].colour_index for inci in inside)
    return Ingredient(
        name, share, Group.COLOURANT if coloured else _group(share, rules), inside, ""
    )


def _group(share: Span, rules: Labelling) -> Group:
    """Ordered or free, by the market's own wording for exactly the limit."""
    weight = round(share.typical, _DIGITS)
    at_limit = weight == rules.any_order_below and rules.exactly_is_ordered
    return Group.ORDERED if weight > rules.any_order_below or at_limit else Group.FREE


def _in_order(ingredients: Sequence[Ingredient], rules: Labelling) -> tuple[Ingredient, ...]:
    """Descending, colourants last; equal shares and colourants by name.

    What may stand in any order stands in descending order too: lawful in every market, and right
    even where a share turns out to lie on the other side of the limit.
    """

    def place(one: Ingredient) -> tuple[bool, float, str, str]:
        coloured = one.group is Group.COLOURANT
        weight = 0.0 if coloured else -round(one.share.typical, _DIGITS)
        return coloured, weight, one.name.casefold(), one.name

    return tuple(sorted(ingredients, key=place))


def _near_ties(
    bench: Bench, ingredients: Sequence[Ingredient], rules: Labelling, mix: float | None
) -> Iterator[NearTie]:
    """Neighbours that may stand the other way round where order is asked.

    Neighbours suffice: where one overtakes another further up, it overtakes its neighbour or that
    neighbour overtakes the next.
    """
    weighed = [one for one in ingredients if one.group is not Group.COLOURANT]
    for first, second in pairwise(weighed):
        apart = round(first.share.typical - second.share.typical, _DIGITS)
        if rules.any_order_below <= second.share.high > first.share.low:
            yield NearTie(first.name, second.name, apart, Doubt.CONTENTS)
        elif second.group is Group.ORDERED and _within_step(bench, first, apart, mix):
            yield NearTie(first.name, second.name, apart, Doubt.WEIGHING)


def _within_step(bench: Bench, first: Ingredient, apart: float, mix: float | None) -> bool:
    """Whether two shares differ by less than a step of the balance that would weigh the first."""
    if mix is None or apart == 0:
        return apart == 0
    balances = bench.brief.balances
    carrying = [one.step for one in balances if one.capacity >= first.share.typical * mix]
    step = min(carrying, default=max((one.step for one in balances), default=0.0))
    return apart * mix < step
