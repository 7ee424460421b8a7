"""What to press a bar at: as asked, else the least that the markets of the brief allow."""

from collections.abc import Sequence

from ...constraints.model.brief import Bench
from ...constraints.values.problem import InputError, Problems
from .fill import Fill, strictest


def portion(
    bench: Bench,
    bars: int,
    fill: float | None = None,
    *,
    markets: Sequence[str] | None = None,
    weighings: Sequence[float] = (),
    batches: int = 1,
) -> tuple[float, Fill | None]:
    """Mass to press a bar [kg], and why where it was not asked for.

    Args:
        bench: its brief says what is declared and how portions spread.
        bars: in a batch.
        fill: mass of a portion, if it is settled [kg].
        markets: whose rules on net content count; by default those of the brief.
        weighings: bars as pressed [kg]; see ``fill``.
        batches: how many batches they are from.

    Raises:
        InputError: when it was not asked for and cannot be worked out.
    """
    if fill is not None:
        return fill, None
    asked = bench.brief.markets if markets is None else markets
    found = strictest(bench, asked, bars=bars, weighings=weighings, batches=batches)
    if isinstance(found, Problems):
        raise InputError(found)
    return found.set_to, found
