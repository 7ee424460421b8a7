"""An example for every option that takes a value, put behind what its help says."""

import inspect
from collections.abc import Callable
from copy import copy
from functools import wraps
from typing import Annotated, get_args, get_origin

from typer.models import OptionInfo

EXAMPLES: dict[str, str] = {
    "--aim": "5.3",
    "--alternatives": "3",
    "--answer": "check",
    "--avoid": "tag:sulfate",
    "--bars": "12",
    "--bars-a-year": "3000",
    "--batch": "2026-11-20-01",
    "--bench": "examples/oily-hair",
    "--book": "examples",
    "--certificate": "proof.json",
    "--close": "2026-11-20-01",
    "--count": "500",
    "--fill": '"62 g"',
    "--formula": "formulas/today.toml",
    "--formulas": "formulas",
    "--free": '"3 %"',
    "--from": "2026-11-23",
    "--gap": '"1 %"',
    "--history": "prices.csv",
    "--html": "sheet.html",
    "--leftover-worth": '"50 %"',
    "--into": "pages",
    "--limit": "protein",
    "--lot": "N-0418",
    "--made": "2026-11-20",
    "--market": "EU",
    "--missing": '"kaolin=10%"',
    "--new": "powder",
    "--old": "needles",
    "--open": "formulas/today.toml",
    "--owing-to": "needles",
    "--page": "answer.html",
    "--price": "kaolin",
    "--prices": "prices.csv",
    "--readings": "readings/needles.toml",
    "--reads": "6.2",
    "--seed": "7",
    "--sheets": "sheets",
    "--stock": '"2.3 kg"',
    "--svg": "protein.svg",
    "--table": "answer.xlsx",
    "--tax": '"20 %"',
    "--time-limit": "10",
    "--to": "2%",
    "--undo": "2026-11-20-01",
    "--using": '"citric acid"',
    "--with": '"50 % grade"',
    "--without": "needles",
    "--workers": "2",
    "--write": "best.toml",
}
"""What may stand behind an option."""

OWN: dict[tuple[str, str], str] = {
    ("curve", "--from"): "0.1%",
    ("label", "--batch"): "B-0417",
    ("plan", "--write"): "formulas",
    ("runout", "--write"): "formulas",
    ("sweep", "--write"): "scenarios.csv",
}
"""The same where an option of that name is another thing."""


def with_examples(command: Callable[..., object], name: str) -> Callable[..., object]:
    """A command whose help shows an example of each option that has none in its words."""
    signature = inspect.signature(command, eval_str=True)
    told = [_told(one, name) for one in signature.parameters.values()]

    @wraps(command)
    def run(**given: object) -> object:
        return command(**given)

    run.__dict__["__signature__"] = signature.replace(parameters=told)
    return run


def _told(parameter: inspect.Parameter, command: str) -> inspect.Parameter:
    written = parameter.annotation
    if get_origin(written) is not Annotated:
        return parameter
    kind, option, *more = get_args(written)
    option_name = _name(parameter.name, option)
    example = OWN.get((command, option_name), EXAMPLES.get(option_name))
    if example is None or not option_name or _has_one(option.help or "") or kind is bool:
        return parameter
    shown = copy(option)
    shown.help = f"{(option.help or '').rstrip('.')}. Example: {option_name} {example}"
    return parameter.replace(annotation=Annotated[(kind, shown, *more)])


def _name(parameter: str, option: object) -> str:
    """The long name of an option; empty for an argument."""
    if not isinstance(option, OptionInfo):
        return ""
    # The first of its names is where a default would be, were there no annotation.
    names = (option.default, *(option.param_decls or ()))
    long = [one for one in names if isinstance(one, str) and one.startswith("--")]
    return long[0] if long else f"--{parameter.strip('_').replace('_', '-')}"


def _has_one(said: str) -> bool:
    return '"' in said or " such as " in said or ", as " in said
