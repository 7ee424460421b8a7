"""Where a limit of a rule is to stand: read from an option."""

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Kind, Limited, Side
from ...constraints.values.names import the_name
from ...constraints.values.problem import Where, refuse
from ...solver.answers.curve import limit_figure
from ...solver.scenarios.moved_limit import MovedLimit

SIDES: dict[str, Side] = {"min": "low", "max": "high"}
"""How a brief calls a limit, and so what may stand behind the name of a rule."""

WRITTEN = '"RULE=0.1%..1%" or "RULE=0.1%;0.5%;1%", where a rule has two limits "RULE min=…"'


def limit_asked(bench: Bench, text: str) -> MovedLimit:
    """``RULE=LOW..HIGH`` or ``RULE=ONE;ANOTHER``; with two limits, ``RULE min=…``.

    Raises:
        InputError: when it cannot be understood.
    """
    called, _, said = text.rpartition("=")
    name, _, word = called.strip().rpartition(" ")
    named = word in SIDES and bool(name)
    rule = _rule(bench, name if named else called, text)
    side = _side(rule, word if named else "")
    written = said.split("..") if ".." in said else said.split(";")
    if not all(one.strip() for one in written):
        refuse("--limit", text, WRITTEN)
    places = tuple(limit_figure(one, rule.unit, "--limit") for one in written)
    if ".." in said and (len(places) != 2 or places[0] >= places[1]):
        refuse("--limit", text, WRITTEN)
    _refuse_places(rule, side, places, text)
    return MovedLimit(rule.id, side, places, drawn=".." in said)


def _rule(bench: Bench, called: str, text: str) -> Limited:
    if not called.strip():
        refuse("--limit", text, WRITTEN)
    rules = {rule.id: rule for rule in bench.brief.rules}
    rule = rules[the_name(Where("--limit"), called, rules, "a rule of the brief")]
    if not isinstance(rule, Limited) or not rule.limits():
        refuse("--limit", rule.id, "a rule with a figure to move")
    return rule


def _side(rule: Limited, word: str) -> Side:
    there = list(rule.limits())
    if word and SIDES[word] not in there:
        refuse("--limit", f"no {word} of {rule.id}", "a limit that the rule has")
    if word or len(there) == 1:
        return SIDES[word] if word else there[0]
    return refuse("--limit", f"two limits of {rule.id}", f'"{rule.id} min=…" or "{rule.id} max=…"')


def _refuse_places(rule: Limited, side: Side, places: tuple[float, ...], text: str) -> None:
    """A limit stays where one can stand, and a law is looked at no looser than it is."""
    least, most = rule.reach()
    if not all(least <= one <= most for one in places):
        refuse("--limit", text, "limits that the rule can have")
    today = rule.standing(side)
    looser = any(one < today if side == "low" else one > today for one in places)
    if rule.kind is Kind.LAW and looser:
        refuse("--limit", text, f"a law no looser than it is: {rule.id}")
