"""An example for every option that takes a value, put behind what its help says."""

from typing import Any

from typer.core import TyperCommand, TyperOption

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
    ("sweep", "--lots"): "needles",
    ("sweep", "--write"): "scenarios.csv",
}
"""The same where an option of that name is another thing."""


class Exampled(TyperCommand):
    """A command whose help shows an example of each option that has none in its words."""

    def __init__(self, name: str | None, **given: Any) -> None:
        super().__init__(name, **given)
        for param in self.params:
            if isinstance(param, TyperOption) and not param.is_flag:
                param.help = _with_example(name, max(param.opts, key=len), param.help or "")


def _with_example(command: str | None, option: str, said: str) -> str:
    example = OWN.get((command or "", option), EXAMPLES.get(option))
    if example is None or _has_one(said):
        return said
    return f"{said.rstrip('.')}. Example: {option} {example}"


def _has_one(said: str) -> bool:
    return '"' in said or " such as " in said or ", as " in said
