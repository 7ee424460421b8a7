"""Which pages a bench or a workshop has: each an answer of a command, with a name for its file."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.bench.files import BRIEF, SHELF, content_of
from ...constraints.values.problem import InputError, Problem, Problems, refuse

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench

FORMULAS = (".toml", ".csv", ".xlsx")
"""Endings of files that may hold a formula."""

FORMULA_FOLDER = "formulas"
WANTED_HEADS = {"formula", "bars"}
_HEAD = 10  # lines of a sheet in which its heads are looked for


@dataclass(frozen=True, slots=True)
class Chapter:
    """A page to be made.

    Args:
        group: what it is listed under.
        text: what it is called there.
        file: its name in the folder.
        words: the command line that gives it.
        sheet: another file that the same command line writes, to be printed; empty for none.
    """

    group: str
    text: str
    file: str
    words: tuple[str, ...]
    sheet: str = ""


def benches_in(folder: Path) -> tuple[Path, ...]:
    """The bench that a folder is, or those in it.

    Raises:
        InputError: when there are none.
    """
    if (folder / BRIEF).is_file():
        return (folder,)
    found = tuple(sorted(path.parent for path in folder.glob(f"*/{BRIEF}")))
    if not found:
        refuse(str(folder), f"no {BRIEF} in it or in a folder of it", "a bench or a workshop")
    return found


def formulas_of(bench: "Bench") -> tuple[tuple[Path, str], ...]:
    """Formula files of a bench with the names of their compositions.

    Raises:
        InputError: when something in them is wrong; it holds every problem there is.
    """
    from ...constraints.bench.opening import read_formula

    found: list[tuple[Path, str]] = []
    problems: list[Problem] = []
    for path in sorted((Path(bench.folder) / FORMULA_FOLDER).glob("*")):
        if path.suffix.casefold() in FORMULAS and path.is_file():
            try:
                found.append((path, read_formula(path, bench).name))
            except InputError as error:
                problems.extend(error.problems.items)
    if problems:
        raise InputError(Problems(tuple(problems)))
    return tuple(found)


def bench_chapters(
    bench: "Bench", formulas: Sequence[tuple[Path, str]], bars: int
) -> Iterator[Chapter]:
    """The pages of a bench that stand fast before anything is worked out."""
    folder = str(bench.folder)
    slug, group = file_name(Path(folder).resolve().name), bench.brief.name
    yield Chapter(group, "The cheapest composition", f"{slug}-cheapest.html", ("cheapest", folder))
    for path, name in formulas:
        formula = (folder, str(path))
        stem = f"{slug}-{file_name(path.name.removesuffix('.toml'))}"
        yield Chapter(
            group, f"{name}: judged by every rule", f"{stem}-check.html", ("check", *formula)
        )
        if bench.brief.markets:
            yield Chapter(group, f"{name}: the box", f"{stem}-label.html", ("label", *formula))
        if bench.brief.portioning.declared is not None:
            yield Chapter(
                group,
                f"{name}: a batch of {bars}",
                f"{stem}-batch.html",
                ("batch", *formula, "--bars", str(bars)),
                f"{stem}-sheet.html",
            )


def curve_chapter(cheapest: Chapter, rule: str, side: str, number: int) -> Chapter:
    """How the cost runs along a limit that the cheapest composition stands at."""
    file = cheapest.file.replace("-cheapest.html", f"-curve-{number}.html")
    bench = cheapest.words[1]
    word = {"low": "lower", "high": "upper"}[side]
    words = ("curve", bench, "--limit", rule, "--side", side)
    return Chapter(cheapest.group, f"What the {word} limit of {rule} costs", file, words)


def plan_chapters(folder: Path) -> Iterator[Chapter]:
    """A plan for each sheet of bars wanted that stands in a folder."""
    for path in sorted(folder.glob("*.csv")):
        if path.name != SHELF and path.is_file() and _wants_bars(path):
            name = f"plan-{file_name(path.stem)}.html"
            yield Chapter("What to buy and to make", path.stem, name, ("plan", str(path)))


def _wants_bars(path: Path) -> bool:
    """Whether the heads of a sheet are those of bars wanted."""
    content = content_of(path, str(path))
    text = content.decode("utf-8", "replace") if isinstance(content, bytes) else ""
    lines = text.splitlines()[:_HEAD]
    head = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    return {word.strip().casefold() for word in head.replace(",", ";").split(";")} >= WANTED_HEADS


def file_name(name: str) -> str:
    """A name of letters, digits and dashes.

    >>> file_name("Today's bar & co.")
    'today-s-bar-co'
    """
    plain = "".join(sign if sign.isalnum() else "-" for sign in name.casefold())
    return "-".join(filter(None, plain.split("-"))) or "page"
