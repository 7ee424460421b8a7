"""What several commands ask of portions and money: options in the maker's units."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.catalogue.catalogue import refused_markets
from ...constraints.model.brief import MOST_BARS, Bench
from ...constraints.values.names import the_name
from ...constraints.values.problem import InputError, Problem, Problems, Where, refuse
from ...constraints.values.units import Dimension, Misread, parse

if TYPE_CHECKING:
    from ...workshop.book.learning import Habit
    from ...workshop.fill.fill import Fill

Bars = Annotated[
    int, typer.Option("--bars", metavar="N", min=1, max=MOST_BARS, help="Bars in the batch.")
]
FillAsked = Annotated[
    str | None,
    typer.Option(
        "--fill",
        metavar="MASS",
        help='Press so much a bar, such as "62 g"; else the smallest that keeps the net weight.',
    ),
]
Market = Annotated[
    str | None,
    typer.Option("--market", metavar="NAME", help="Only this market, not all of the brief."),
]
Weighings = Annotated[
    str | None,
    typer.Option(
        "--weighings",
        metavar="FILE|LIST",
        help='Bars as pressed, weighed one by one [g]: a file or a list such as "61.2 60.9 61.4".',
    ),
]
BookOf = Annotated[
    Path | None,
    typer.Option(
        "--book", metavar="WORKSHOP", help="Reckon with how bars in its book differed and dried."
    ),
]
Packaging = Annotated[
    str | None,
    typer.Option("--packaging", metavar="MONEY", help='Packaging of a bar, such as "0.30 EUR".'),
]
Labour = Annotated[
    str | None,
    typer.Option("--labour", metavar="MONEY", help='Labour for the batch, such as "40 EUR".'),
]


def asked(text: str | None, dimension: Dimension, option: str, bench: Bench) -> float | None:
    """An option's figure in its canonical unit.

    Raises:
        InputError: when it is none.
    """
    if text is None:
        return None
    read = parse(text, dimension, {bench.brief.currency: 1.0})
    if isinstance(read, Misread):
        expected = _in_own_currency(text, dimension, bench) or read.expected
        refuse(option, read.found, expected, read.nearest)
    return read


def _in_own_currency(text: str, dimension: Dimension, bench: Bench) -> str:
    """What would be right where only the currency is wrong: an option knows no rates."""
    if isinstance(parse(text, dimension), Misread):
        return ""
    return f"an amount in {bench.brief.currency}, the currency of the brief"


def by_the_book(bench: Bench, workshop: Path | None) -> "tuple[Bench, Habit | None]":
    """The bench as past batches dried, and how theirs differed.

    Raises:
        InputError: when the book cannot be read, or no batch of the bench was weighed.
    """
    if workshop is None:
        return bench, None
    from ...constraints.bench.book_keeping import read_book
    from ...workshop.book.learning import habit_of, with_habit

    habit = habit_of(read_book(workshop), Path(bench.folder).resolve().name)
    if not habit.weighings and habit.drying is None:
        expected = "a closed batch of this bench with pressed, bars weighed one by one"
        refuse("--book", "no bars weighed", expected)
    return with_habit(bench, habit), habit


def weighings_of(text: str | None, past: "Habit | None" = None) -> tuple[tuple[float, ...], int]:
    """Weighings asked for [kg], else those of past batches, and from how many batches they are.

    Of too few past ones nothing is learnt; the spread of the brief stands.

    Raises:
        InputError: when some cannot be read.
    """
    from ...constraints.bench.opening import read_weighings
    from ...workshop.fill.asked import enough_weighings

    if text is not None:
        return read_weighings(text), 1
    if past is None or not enough_weighings(len(past.weighings), max(1, past.batches)):
        return (), 1
    return past.weighings, max(1, past.batches)


def markets_of(bench: Bench, market: str | None, known: tuple[str, ...]) -> tuple[str, ...]:
    """The market asked for, else those of the brief.

    Raises:
        InputError: when there is none, or it is not known.
    """
    expected = f"one of {', '.join(known)}"
    if market is not None:
        where, refused = Where("--market"), refused_markets()
        why = f"{expected}: {refused[market]}" if market in refused else expected
        return (the_name(where, market, known, why),)
    if not bench.brief.markets:
        where = Where("brief.toml", "product.markets")
        raise InputError(Problems((Problem(where, "no market", f"{expected}, or --market"),)))
    return bench.brief.markets


def portion(
    bench: Bench,
    bars: int,
    *,
    mass: str | None,
    market: str | None,
    weighings: str | None,
    past: "Habit | None" = None,
) -> "tuple[float, Fill | None]":
    """Mass to press a bar [kg]: as asked, else the smallest that does, and why.

    Raises:
        InputError: when neither can be had.
    """
    from ...constraints.market.net_content import markets_with_net_content
    from ...workshop.fill.fill import strictest

    given = asked(mass, Dimension.MASS, "--fill", bench)
    if given is not None:
        return given, None
    weighed, batches = weighings_of(weighings, past)
    found = strictest(
        bench,
        markets_of(bench, market, markets_with_net_content()),
        bars=bars,
        weighings=weighed,
        batches=batches,
    )
    if isinstance(found, Problems):
        instead = Problem(Where("--fill"), "nothing", 'or say what to press: --fill "62 g"')
        raise InputError(Problems((*found.items, instead)))
    return found.set_to, found
