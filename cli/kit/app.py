"""The commands and where they live; a line loads only the command it names."""

import importlib
import sys
from collections.abc import Callable, Sequence
from textwrap import wrap
from typing import NoReturn

import typer

from .ending import ended
from .option_examples import Exampled
from .page_option import PAGE
from .page_option import WITHOUT as WITHOUT_PAGE
from .table_option import TABLE
from .table_option import WITHOUT as WITHOUT_TABLE
from .time_limit import WITHOUT as WITHOUT_LIMIT
from .time_limit import with_time_limit

COMMANDS = {
    "cheapest": "the cheapest composition that keeps every rule, and why",
    "curve": "how the cost moves with one limit or one price",
    "sweep": "the same brief over very many prices, lots, shelves and limits",
    "verify": "check the proof of an answer by adding up, solving nothing",
    "check": "does a composition keep the rules?",
    "compare": "formulas side by side: materials, rules, pH, cost, ingredients",
    "replace": "without this, with that: the nearest composition that keeps the rules",
    "runout": "use up an old material: whole batches, a mixed one, the switch",
    "materials": "look up raw materials in the catalogue",
    "acidity": "the pH it will have, what that rests on, and the acid it takes",
    "batch": "a sheet for the bench: weights, temperatures, portions",
    "fill": "the smallest fill weight that keeps the declared net weight",
    "label": "what goes on the box: ingredients, allergens, net weight",
    "price": "what a bar and a wash cost, and what to ask for a bar",
    "plan": "what to buy for the bars wanted, and what to make in which order",
    "book": "the batches made: their lots, readings, yield, and the stock they took",
    "page": "a bench or a workshop as linked pages to look at or print",
    "new": "start a bench of your own",
    "schema": "what a file of a bench may hold, for your editor",
}
"""Every command with its line of help, in the order of the help page."""

_FORMULA = "examples/oily-hair examples/oily-hair/formulas/today.toml"

EXAMPLES = {
    "compare": "examples/oily-hair/formulas/today.toml examples/dry-hair/formulas/today.toml",
    "book": "examples",
    "sweep": "examples/oily-hair --prices all=20% --count 500",
    "cheapest": "examples/oily-hair --write best.toml",
    "curve": "examples/oily-hair --limit protein --from 0.1% --to 2%",
    "verify": "proof.json --bench examples/oily-hair",
    "check": f"{_FORMULA} --all",
    "replace": f"{_FORMULA} --without needles",
    "runout": f"{_FORMULA} --old needles --batch 10kg",
    "materials": "glutamate powder",
    "acidity": f"{_FORMULA} --aim 5.3",
    "batch": f"{_FORMULA} --bars 12",
    "fill": "examples/oily-hair --bars 24",
    "label": f"{_FORMULA} --market EU",
    "price": f"{_FORMULA} --bars 12 --margin 60%",
    "plan": "examples/market-days.csv --from 2026-11-23",
    "page": "examples/oily-hair --into pages",
    "new": "my-bench",
    "schema": "brief",
}
"""What to write after each command, to see what it does."""

OVERVIEW = """The cheapest composition of a solid shampoo bar that keeps every rule, and why.

A BENCH is a folder: brief.toml (the product and its rules), shelf.csv (prices and stock),
materials.toml (where a supplier's certificate differs) and formulas/.
"""

CLOSING = """To begin: barwright new my-bench, then barwright cheapest my-bench.

Exit codes: 0 done, 1 our failure, 2 bad input, 3 no composition keeps the
rules, 4 a rule is broken, 5 stopped before there was an answer. What it
proposes is a starting point: it replaces no measured pH, no stability or
preservation test, and no safety assessment."""


def run(words: Sequence[str]) -> NoReturn:
    """Run a command line and leave with its exit code."""
    named = words[0] if words and words[0] in COMMANDS else None

    def act() -> object:
        app = application(named)
        return app(args=list(words), prog_name="barwright", standalone_mode=False)

    sys.exit(ended(words, act))


def application(only: str | None = None) -> typer.Typer:
    """The command line, whole or with one command's module loaded."""
    app = typer.Typer(
        name="barwright",
        help=OVERVIEW,
        epilog=CLOSING,
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 80},
        add_completion=only is None,
    )
    app.callback()(_common)
    for name, line in COMMANDS.items():
        if only in (None, name):
            app.command(name, cls=Exampled, short_help=line, epilog=_example(name))(_command(name))
    return app


def _example(name: str) -> str:
    """A command line to try, broken between words alone, as it can be copied."""
    said = f"Example: barwright {name} {EXAMPLES[name]}"
    lines = wrap(said, 76, subsequent_indent="  ", break_on_hyphens=False, break_long_words=False)
    return "\n".join(["\b", *lines])  # which keeps the lines as they are


def _command(name: str) -> Callable[..., object]:
    command: Callable[..., object] = importlib.import_module(
        f"..{name}.command", __package__
    ).command
    if name not in WITHOUT_PAGE:
        command = PAGE.added_to(command)
    if name not in WITHOUT_TABLE:
        command = TABLE.added_to(command)
    return command if name in WITHOUT_LIMIT else with_time_limit(command, name)


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        typer.echo(f"barwright {version('barwright')}")
        raise typer.Exit


def _common(
    version: bool = typer.Option(
        False, "--version", is_eager=True, callback=_version, help="Show the version."
    ),
) -> None:
    pass
