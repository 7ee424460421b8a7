"""``barwright book``: the batches that were made, their lots, and the stock they took."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import refuse
from ..kit.answer import answered
from ..kit.options import Format, Shown, day_asked
from ..kit.patience import patience
from ..kit.portion import portion

if TYPE_CHECKING:
    from ...constraints.model.book import BatchMade


def command(
    workshop: Annotated[
        Path,
        typer.Argument(
            metavar="WORKSHOP", help="The folder with shelf.csv and the book.", show_default=False
        ),
    ],
    *,
    open_: Annotated[
        Path | None,
        typer.Option("--open", metavar="FORMULA", help="Begin a batch of this formula."),
    ] = None,
    bars: Annotated[
        int | None, typer.Option("--bars", metavar="N", min=1, help="Bars in the batch begun.")
    ] = None,
    fill: Annotated[
        str | None, typer.Option("--fill", metavar="MASS", help="What to press a bar.")
    ] = None,
    made: Annotated[
        str | None, typer.Option("--made", metavar="DAY", help="When it is made; else today.")
    ] = None,
    close: Annotated[
        str | None, typer.Option(metavar="BATCH", help="Close a batch: the stock is lowered.")
    ] = None,
    undo: Annotated[
        str | None, typer.Option(metavar="BATCH", help="Undo a closing: the stock is there again.")
    ] = None,
    lot: Annotated[
        str | None, typer.Option(metavar="LOT", help="Which bars hold this lot.")
    ] = None,
    batch: Annotated[
        str | None, typer.Option(metavar="BATCH", help="Which lots are in this batch.")
    ] = None,
    shown: Shown = Format.TABLE,
) -> None:
    """Keep the book of batches: begin, close, undo; trace lots; see how bars differ and dry."""
    from ...constraints.bench.book_keeping import close_batch, read_book, undo_batch
    from . import as_json, view

    asked = [each for each in (open_, close, undo, lot, batch) if each is not None]
    if len(asked) > 1:
        refuse("the command line", "several things at once", "one of them")
    if bars is not None and open_ is None:
        refuse("--bars", "no --open beside it", "--open FORMULA")
    changed: BatchMade | None = None
    if open_ is not None:
        changed = _opened(workshop, open_, bars, fill, made)
    elif close is not None:
        changed = close_batch(workshop, close)
    elif undo is not None:
        changed = undo_batch(workshop, undo)
    book = read_book(workshop)
    if changed is not None:
        one = changed
        answered(
            "book",
            shown,
            lambda: {"batch": as_json.batch_form(one)},
            lambda console, _: view.show_changed(console, workshop, one),
        )
    elif lot is not None:
        _trace(book, lot, shown)
    elif batch is not None:
        found = next((each for each in book if each.number == batch), None)
        if found is None:
            near = tuple(each.number for each in book[-3:])
            refuse("--batch", batch, "a batch of the book", near)
        answered(
            "book",
            shown,
            lambda: {"batch": as_json.batch_form(found)},
            lambda console, _: view.show_batch_made(console, found),
        )
    else:
        answered(
            "book",
            shown,
            lambda: as_json.book_form(book),
            lambda console, _: view.show_book(console, book),
        )


def _trace(book: "tuple[BatchMade, ...]", lot: str, shown: Format) -> None:
    from ...workshop.book.tracing import holding_lot, lots_of
    from . import as_json, view

    if not any(each.casefold() == lot.casefold() for each in lots_of(book)):
        from ...constraints.values.names import nearest_names

        refuse("--lot", lot, "a lot in the book", nearest_names(lot, lots_of(book)))
    found = holding_lot(book, lot)
    answered(
        "book",
        shown,
        lambda: as_json.trace_form(lot, found),
        lambda console, _: view.show_trace(console, lot, found),
    )


def _opened(
    workshop: Path, formula: Path, bars: int | None, fill: str | None, made: str | None
) -> "BatchMade":
    """A batch begun, weighed out and put into the book with the lots that the shelf has."""
    from ...constraints.bench.book_keeping import open_batch
    from ...constraints.bench.files import bench_folder
    from ...constraints.bench.opening import read_bench, read_formula
    from ...workshop.batch.batch import batch
    from ...workshop.batch.lines import Batch
    from ...workshop.book.beginning import begun

    if bars is None:
        refuse("--bars", "nothing", "how many bars, such as --bars 12")
    folder = bench_folder(formula)
    if folder is None:
        refuse("--open", str(formula), "a formula in the folder of its bench")
    bench = read_bench(folder)
    composition = read_formula(formula, bench)
    pressed, _ = portion(bench, bars, mass=fill, market=None, weighings=None)
    with patience("looking for weights that keep every rule"):
        weighed = batch(bench, composition, bars, pressed)
    if not isinstance(weighed, Batch):
        why = ", ".join(one.why for one in weighed.reasons)
        refuse("--open", why, "a batch that can be weighed; barwright batch says more")
    day = day_asked("--made", made)
    name = Path(folder).name
    return open_batch(workshop, begun(bench, weighed, name, day.isoformat()))
