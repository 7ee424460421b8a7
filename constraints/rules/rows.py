"""A bench's rules as linear rows."""

from collections.abc import Iterable

from ..model.brief import Bench
from ..model.frame import Frame, frame_of
from ..model.row import WHOLE, Row, Rows, row
from ..model.rule import Rule
from .holding import rows_held


def rows_of(bench: Bench, ionic_strength: float = 0.0) -> Rows:
    """Turn a bench's rules into rows.

    Args:
        bench: what was read.
        ionic_strength: of the dispersion in which pH is read [mol/kg water].

    Raises:
        ValueError: when a material may be chosen but no rule doses it.
    """
    frame = frame_of(bench)
    _refuse_undosed(bench.brief.rules, frame)
    rows = [one for rule in bench.brief.rules for one in rows_held(rule, frame, ionic_strength)]
    return laid_over(frame, rows, ionic_strength)


def laid_over(frame: Frame, rows: Iterable[Row], ionic_strength: float) -> Rows:
    """Rows over a bench's columns, after the one that makes the shares add to the whole."""
    whole = row(WHOLE, "sum", dict.fromkeys(range(len(frame.materials)), 1.0), 1.0, 1.0)
    return Rows(tuple(frame.index), tuple(frame.choices), (whole, *rows), ionic_strength)


def _refuse_undosed(rules: Iterable[Rule], frame: Frame) -> None:
    undosed = sorted(frame.choices.keys() - {name for rule in rules for name in rule.ties()})
    if undosed:
        message = f"may be chosen but no rule doses: {', '.join(undosed)}"
        raise ValueError(message)
