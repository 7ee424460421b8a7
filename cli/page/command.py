"""``barwright page``: a bench or a whole workshop as linked pages in a folder."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import MOST_BARS
from ...constraints.values.problem import refuse
from ..html.model import Index, Link, LinkGroup
from ..kit.exit import Exit
from ..kit.opening import bench_in
from ..kit.options import Format
from ..kit.page_option import made_by, refuse_without_library
from ..kit.patience import patience
from ..kit.screen import complain
from ..kit.time_limit import command_deadline
from .chapters import (
    Chapter,
    bench_chapters,
    benches_in,
    curve_chapter,
    formulas_of,
    plan_chapters,
)
from .making import Made, made

if TYPE_CHECKING:
    from ...solver.program.deadline import Deadline

CURVES = 3
"""Of so many limits, the dearest, it is shown how the cost runs along them."""

GRAVEST = (Exit.OUR_FAILURE, Exit.STOPPED)
"""How a page can have failed, the gravest first; what a bench says nothing of merely has none."""

LATE = "the time allowed ran out before its turn"
INDEX = "index.html"


def command(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="BENCH", help="A bench, or the folder of a workshop.", show_default=False
        ),
    ],
    *,
    into: Annotated[
        Path, typer.Option(metavar="FOLDER", help="Where the pages go; made if need be.")
    ] = Path("pages"),
    bars: Annotated[
        int, typer.Option(metavar="N", min=1, max=MOST_BARS, help="Bars in a batch.")
    ] = 12,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Write to a folder that is not empty.")
    ] = False,
) -> int:
    """Write BENCH as linked pages: the cheapest bar, each formula judged, boxes, batches, a plan.

    Open index.html in the folder; nothing in it needs a network.
    """
    refuse_without_library("barwright page")
    deadline = command_deadline()
    chapters = _chapters(folder, bars)
    _ready(into, overwrite=overwrite)
    title = f"The workshop in {folder.resolve().name}"
    if len({one.group for one in chapters if one.words[0] != "plan"}) == 1:
        title = chapters[0].group
    done = tuple(_all_made(chapters, into, Link(INDEX, title), deadline))
    _write_index(into, title, done)
    return _told(into, done)


def _chapters(folder: Path, bars: int) -> tuple[Chapter, ...]:
    """All that is to be made; every file is read first.

    Raises:
        InputError: when something in one of them is wrong.
    """
    benches = [bench_in(one, Format.TABLE) for one in benches_in(folder)]
    found = [
        chapter for bench in benches for chapter in bench_chapters(bench, formulas_of(bench), bars)
    ]
    return (*found, *plan_chapters(folder))


def _ready(into: Path, *, overwrite: bool) -> None:
    from ..kit.writing import folder_made

    if into.is_dir() and any(into.iterdir()) and not overwrite:
        refuse(str(into), "a folder that is not empty", "another --into, or --overwrite")
    folder_made(into)


def _all_made(
    chapters: tuple[Chapter, ...], into: Path, index: Link, deadline: "Deadline"
) -> Iterator[Made]:
    """Page after page; curves follow the answer that says which limits are dearest."""
    for chapter in chapters:
        yield from _with_curves(chapter, into, index, deadline)


def _with_curves(chapter: Chapter, into: Path, index: Link, deadline: "Deadline") -> Iterator[Made]:
    first = _one(chapter, into, index, deadline)
    yield first
    for number, (rule, side) in enumerate(_dearest(first), start=1):
        yield _one(curve_chapter(chapter, rule, side, number), into, index, deadline)


def _one(chapter: Chapter, into: Path, index: Link, deadline: "Deadline") -> Made:
    if deadline.passed():
        return Made(chapter, (), LATE, "", Exit.STOPPED)
    with patience(f"{chapter.group}, {chapter.text}"):
        return made(chapter, into, index, deadline)


def _dearest(done: Made) -> tuple[tuple[str, str], ...]:
    """The dearest limits of a cheapest composition; none of any other answer."""
    if done.chapter.words[0] != "cheapest" or not done.answer.startswith("{"):
        return ()
    binding = json.loads(done.answer).get("binding", [])
    return tuple((one["rule"], one["side"]) for one in binding[:CURVES])


def _write_index(into: Path, title: str, done: tuple[Made, ...]) -> None:
    from ..html.writing import index_html
    from ..kit.writing import put

    groups = tuple(
        LinkGroup(name, tuple(one.links for one in done if one.chapter.group == name and one.links))
        for name in dict.fromkeys(one.chapter.group for one in done)
    )
    undone = tuple(f"{one.chapter.group}, {one.chapter.text}: {one.why}" for one in _undone(done))
    put(into / INDEX, index_html(Index(title, groups, undone, made_by())), overwrite=True)


def _undone(done: tuple[Made, ...]) -> Iterator[Made]:
    return (one for one in done if not one.links)


def _told(into: Path, done: tuple[Made, ...]) -> int:
    written = sum(len(one.links) for one in done)
    typer.echo(f"{written} pages in {into}: open {into / INDEX}.")
    undone = list(_undone(done))
    if undone:
        complain(f"Not made: {one.chapter.group}, {one.chapter.text}: {one.why}" for one in undone)
        ended = {one.ended for one in undone}
        return next((one for one in GRAVEST if one in ended), Exit.DONE)
    return Exit.DONE
