"""What stands on the pack beside the list of ingredients: net content, how long it keeps, who."""

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from ...constraints.market.labelling import Labelling
from ...constraints.market.limit import Limit
from ...constraints.model.box import Box
from ...constraints.model.brief import Bench


def net_content_text(bench: Bench, rules: Labelling) -> str:
    """The net content as printed, empty where the brief declares none."""
    declared = bench.brief.portioning.declared
    if declared is None:
        return ""
    packed = bench.brief.portioning.dried_when_packed is not None
    form = rules.net_packed if packed else rules.net
    ounces = f"{rules.ounces(declared):.2f}".rstrip("0").rstrip(".")
    return form.format(grams=f"{round(declared * 1000, 2):g}", ounces=ounces)


def mass_when_sold(bench: Bench) -> float | None:
    """Mass of a bar when sold [kg], where what is declared is that when packed."""
    portioning = bench.brief.portioning
    if portioning.declared is None or portioning.dried_when_packed is None:
        return None
    return portioning.declared * (1 - portioning.drying) / (1 - portioning.dried_when_packed)


def best_before(made: date, keeps: int) -> str:
    """The last whole month of minimum durability, as month/year.

    Args:
        made: day of making.
        keeps: how long the bar keeps from then on [months].

    >>> best_before(date(2026, 11, 25), 24), best_before(date(2026, 11, 30), 24)
    ('10/2028', '11/2028')
    """
    whole = keeps if made.day == monthrange(made.year, made.month)[1] else keeps - 1
    years, month = divmod(made.month - 1 + whole, 12)
    return f"{month + 1:02d}/{made.year + years}"


def boxed(box: Box, batch: str | None = None, made: date | None = None) -> Box:
    """What a brief says of the pack, with the batch code and the day of making of one batch.

    Raises:
        ValueError: where a day is given and nothing says how long the bar keeps.
    """
    coded = box if batch is None else replace(box, batch=batch)
    if made is None:
        return coded
    if box.keeps is None:
        message = "nothing says how long the bar keeps"
        raise ValueError(message)
    return replace(coded, best_before=best_before(made, box.keeps))


def durability(rules: Labelling, own: Box) -> str:
    """How long the bar keeps, as the market wants it printed; empty where the maker did not say."""
    if not rules.longest_dated:
        return ""
    long = own.keeps is not None and own.keeps > rules.longest_dated
    if own.best_before and not long:
        return f"Best used before the end of {own.best_before}"
    if own.after_opening is not None and (long or own.keeps is None):
        return f"{own.after_opening} M in the sign of an open jar"
    return ""


def particulars(
    rules: Labelling, own: Box, net: str, warnings: Sequence[Limit], listed: str
) -> tuple[tuple[str, str], ...]:
    """What has to stand on the pack, and what fills it; empty is the maker's to fill."""
    words = dict.fromkeys(
        [*(limit.warning.rstrip(".") + "." for limit in warnings), *rules.cautions]
    )
    filled = {
        "": "",
        "net": net,
        "precautions": " ".join(words),
        "ingredients": listed,
        "responsible": f"{own.responsible} ({own.origin})" if own.origin else own.responsible,
        "durability": durability(rules, own),
        "batch": own.batch,
        "function": own.function,
        "contact": own.contact,
    }
    return tuple((what, filled[how]) for what, how in rules.particulars)
