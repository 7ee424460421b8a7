"""A file of the book <-> a batch."""

from collections.abc import Iterator

from ..model.book import BatchMade, State, WeighedIn
from ..values.day import day_of
from ..values.problem import Problem, Problems
from ..values.table import Table, table_of, worded
from ..values.units import Dimension
from .brief_reading import SCHEMA, schema_kept
from .writing import quoted

KEYS = (
    "schema", "bench", "formula", "made", "state", "bars", "came_out", "ph", "pressed", "dried",
    "weighed",
)  # fmt: skip
MOST_BARS = 1_000_000


def batch_in(file: str, content: str | bytes, number: str) -> BatchMade | Problems:
    """A batch from the content of its file, or everything wrong with it."""
    problems: list[Problem] = []
    top = table_of(file, content, problems)
    made = None if top is None or not schema_kept(top) else _batch(top, number)
    return Problems(tuple(problems)) if problems or made is None else made


def _batch(top: Table, number: str) -> BatchMade | None:
    top.only(KEYS)
    bench = top.text("bench", "the folder of its bench", needed=True)
    formula = top.text("formula", "what was made", needed=True)
    made = _day(top)
    state = top.word("state", State, needed=True)
    bars = _count(top, "bars")
    if bars is None and "bars" not in top:
        top.lack("bars", "how many bars were wanted, such as bars = 12")
    came_out = _count(top, "came_out")
    weighed = tuple(_weighed(top))
    pressed, dried = _masses(top, "pressed"), _masses(top, "dried")
    if dried and len(dried) != len(pressed):
        expected = f"{len(pressed)} masses, one for each bar under pressed"
        top.refuse(f"{len(dried)} masses", expected, "dried")
    if bench is None or formula is None or made is None or state is None or bars is None:
        return None
    ph = tuple(_figures(top, "ph", Dimension.PH))
    return BatchMade(
        number, bench, formula, made, state, bars, came_out, weighed, ph, pressed, dried
    )


def _day(top: Table) -> str | None:
    value = top.values.get("made")
    day = day_of(value)
    if day is None:
        expected = 'the day it was made, such as made = "2026-11-23"'
        top.refuse("no made" if value is None else worded(value), expected, "made")
    return day


def _count(top: Table, key: str) -> int | None:
    return top.whole(key, MOST_BARS)


def _figures(top: Table, key: str, dimension: Dimension) -> Iterator[float]:
    value = top.values.get(key, [])
    several = value if isinstance(value, list) else [value]
    for place, one in enumerate(several, start=1):
        read = top.figure(one, dimension, key, str(place))
        if read is not None:
            yield read


def _masses(top: Table, key: str) -> tuple[float, ...]:
    return tuple(_figures(top, key, Dimension.MASS))


def _weighed(top: Table) -> Iterator[WeighedIn]:
    rows = top.values.get("weighed", [])
    if not isinstance(rows, list):
        top.refuse(worded(rows), "a list of what was weighed in", "weighed")
        return
    for place, row in enumerate(rows, start=1):
        if not isinstance(row, dict):
            top.refuse(worded(row), 'such as { material = "NAME", mass = "12 g" }', "weighed")
            continue
        entry = Table(top.file, ("weighed", str(place)), row, top.lines, top.problems)
        entry.only(("material", "lot", "mass"))
        material = entry.text("material", "the name of a material", needed=True)
        lot = entry.text("lot", "the number of the lot") if entry.values.get("lot") else ""
        mass = entry.quantity("mass", Dimension.MASS, needed='how much, such as mass = "12 g"')
        if material is not None and mass is not None:
            yield WeighedIn(material, lot or "", mass)


TO_NOTE = (
    '# Put in what was really weighed, lot = "NUMBER" where you know it, and above this line',
    '# ph = 5.3, pressed = ["61.8 g", "61.5 g"], dried = ["60.6 g", "60.2 g"], came_out = 12.',
)
"""What a batch just begun asks its maker to fill in."""


def batch_text(batch: BatchMade) -> str:
    """A batch as the text of its file, to be filled in by hand."""
    lines = [
        f"schema = {SCHEMA}",
        f"bench = {quoted(batch.bench)}",
        f"formula = {quoted(batch.formula)}",
        f"made = {quoted(batch.made)}",
        f"state = {quoted(batch.state)}",
        f"bars = {batch.bars}",
    ]
    if batch.came_out is not None:
        lines.append(f"came_out = {batch.came_out}")
    if batch.ph:
        lines.append(f"ph = [{', '.join(f'{one:.12g}' for one in batch.ph)}]")
    for key, masses in (("pressed", batch.pressed), ("dried", batch.dried)):
        if masses:
            lines.append(f"{key} = [{', '.join(quoted(_grams(one)) for one in masses)}]")
    if batch.state is State.OPEN and not (batch.ph or batch.pressed or batch.came_out):
        lines += TO_NOTE
    lines.append("weighed = [")
    for one in batch.weighed:
        lot = f"lot = {quoted(one.lot)}, " if one.lot else ""
        mass = quoted(_grams(one.mass))
        lines.append(f"  {{ material = {quoted(one.material)}, {lot}mass = {mass} }},")
    return "\n".join([*lines, "]", ""])


def _grams(mass: float) -> str:
    return f"{mass * 1000:.12g} g"
