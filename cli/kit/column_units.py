"""What the numbers of a table are counted in, by the words that their column ends in."""

from collections.abc import Mapping

SHARE, MASS, MONEY, PER_KG, TEMPERATURE = "kg/kg", "kg", "{money}", "{money}/kg", "degC"
RULE = "kg/kg, {money}/kg or pH"
PH, BASE = "pH", "mol base/kg"
FRACTION, NONE = "fraction", ""

ENDINGS: Mapping[str, str] = {
    # shares
    **dict.fromkeys(
        ("share", "changed", "apart", "amount", "class", "substance", "distance kind",
         "changed kind", "left out", "dose", "ingredients low", "ingredients high", "contents low",
         "contents typical",
         "contents high", "materials before", "materials after", "classes before",
         "classes after", "substances before", "substances after", "bars composition composition",
         "safety most", "correction most", "solid share of waxes value", "solid share of waxes",
         "undissociated",
         "curve now", "replaces", "within", "strength", "shares", "sweep materials low",
         "sweep materials high"),
        SHARE,
    ),
    **dict.fromkeys(
        ("gap", "margin", "leftover worth", "dilution", "risk", "sold share", "probability",
         "quantiles", "sweep materials used", "relative", "terms tax", "terms fees",
         "terms wholesale", "broken at most", "broken at least", "tried at most", "rules at most",
         "safety kept", "sureness share", "scales"),
        FRACTION),
    # masses
    **dict.fromkeys(
        ("mass", "ideal", "in vessel", "vessel reading", "loads", "needed", "there", "short",
         "ordered", "left", "stock", "pack", "press", "mix", "fill", "declared", "least", "flat",
         "spread", "for doubt", "given away", "saved a bar", "tolerable shortfall",
         "press at least", "portions dried", "portions readings", "net held", "net when sold",
         "mix by week", "parts", "batch", "each", "rest", "ways hold back", "step of balance",
         "corrections amount", "corrections room", "more than asked", "half a step breaks by"),
        MASS,
    ),
    # money
    **dict.fromkeys(
        ("money", "outlay", "goods", "shipping", "total", "packaging", "labour", "materials",
         "a bar", "a wash", "a bar in packs", "outlay in packs", "bar before", "bar after",
         "prices net", "prices gross", "prices left",
         "prices fees", "shop pays", "shop leaves", "terms fee a bar", "offer price", "storage",
         "no plan costs less than", "plan cost"),
        MONEY,
    ),
    **dict.fromkeys(
        ("given away a year", "saved a year", "saves a year"), "{money} a year"),
    # money for a kilogram
    **dict.fromkeys(
        ("cost", "left out price", "enters below", "premium", "worth knowing saves", "by contents",
         "cost of safety",
         "tighter adds", "looser saves",
         "cost before", "cost after", "worth up to", "frontier cost",
         "sweep costs", "sweep held", "sweep regret", "stretches costs"),
        PER_KG,
    ),
    **dict.fromkeys(
        ("tighter adds per unit", "looser saves per unit"), "{money}/kg for one unit of the rule"),
    # temperatures
    **dict.fromkeys(
        ("heat to", "temperatures mix low", "temperatures mix predicted", "temperatures mix high",
         "waxes liquid above", "cool down below", "after cool down", "add below",
         "add below degC", "moved to cool down limit", "moved to cool down meets", "wait until",
         "warm bowl to",
         "heat hot phases to", "warm powders to", "celsius", "reaches", "room colder than"),
        TEMPERATURE,
    ),
    # acidity
    **dict.fromkeys(
        ("ph", "ph low", "ph typical", "ph high", "ph value", "before value", "before low",
         "before high", "after value", "after low", "after high", "prediction low",
         "prediction high", "band low", "band high", "ph at ends", "ph without", "step",
         "target", "worth knowing steadier", "corrections reads", "works below ph",
         "keeps above ph", "keeps below ph"),
        PH,
    ),
    **dict.fromkeys(
        ("pull", "alkalinity low", "alkalinity typical", "alkalinity high",
         "unknown alkalinity tried", "base for step up"),
        BASE,
    ),
    "ionic strength": "mol/kg water",
    **dict.fromkeys(("second look value", "second look threshold"), "kg/kg or pH"),
    # what a rule counts in
    **dict.fromkeys(
        ("rules low", "rules high", "rules value", "rules room low", "rules room high",
         "rules before value", "rules after value", "before room", "after room", "binding step",
         "limit prices tighter holds to", "limit prices looser holds to", "limits from",
         "limits to", "just possible at", "points at", "now at", "from", "to",
         "rules values", "lots rules least", "lots rules typical", "lots rules greatest",
         "rules middle"),
        RULE,
    ),
    # counts
    **dict.fromkeys(
        ("bars", "packs", "week", "weeks", "washes", "weighings", "no.", "place", "scale",
         "whole batches", "materials tried", "reasons value",
         "points as written", "now as written", "dissolves kg in kg", "acid to amine",
         "bars sold", "pieces", "pieces a pack", "degrees of freedom", "scenarios",
         "without composition", "held cannot be made",
         "solved from cold", "not told", "breaks a rule", "materials with lots",
         "lots", "rules broken", "tried broken", "safety scale"),
        NONE,
    ),
}  # fmt: skip
"""The last words of a column's name, with those of its table before them -> what it counts in."""


def unit_of(name: str, units: Mapping[str, str]) -> str:
    """The unit of a column; empty where it is a plain number.

    Args:
        name: the table and the column in words, such as "composition share".
        units: what the document says of its numbers.

    >>> unit_of("left out price", {"price": "EUR per kg"}), unit_of("costs washes 1", {})
    ('EUR/kg', '')
    """
    return (ending_of(name) or "").format(money=_currency(units))


def ending_of(name: str) -> str | None:
    """What the longest known ending of a name stands for; ``None`` where none is known."""
    words = name.split(" ")
    if words[-1].isdecimal():
        words.pop()
    ends = (" ".join(words[start:]) for start in range(len(words)))
    return next((ENDINGS[end] for end in ends if end in ENDINGS), None)


def _currency(units: Mapping[str, str]) -> str:
    said = units.get("money") or units.get("cost") or units.get("price") or "money"
    return said.split(" ")[0]
