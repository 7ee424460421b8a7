"""Wrecked inputs for every command: files, options and words, each case from a seed of its own.

``python tests/fuzz.py 20000`` tries so many and prints the seed of each that ended badly;
``python tests/fuzz.py 1 SEED`` tries one again.
"""

import contextlib
import json
import random
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mangling import mangled, off_the_shelf, too_strict
from running import ran

GOOD = Path(__file__).parent / "data" / "benches" / "good"
CODES = {0, 2, 3, 4, 5}
GUARD_S = 10  # of the processor's time: what takes more nearly hangs
WAIT_S = 600  # on the clock, however busy the machine: what waits so long waits for ever
WEIGHTS = {
    **dict.fromkeys(("cheapest", "runout", "batch"), 5),  # which solve
    **dict.fromkeys(("curve", "replace"), 3),  # and which solve many times
    "page": 1,  # which runs a dozen other commands
}
USUAL_WEIGHT = 10
READINGS = b"""schema = 1
of = "corn starch, dried"
sample = "10 g"
water = "90 g"
added = "citric acid, anhydrous"
date = "2026-11-20"
points = [["0 g", 7.9], ["0.01 g", 6.4], ["0.05 g", 4.1]]
"""
ODD = (
    "", " ", "-", "--", "nan", "inf", "-1", "0", "1e400", "9" * 500, "1e20", "1,500 g", "1.000 g",
    "0 %", "100 %", "-5 %", "5", "5 gr", "1 bag", "\x1b[31m", "\u202e", "\ud800", "a\nb",
    "x" * 5000, "/dev/null", "/dev/zero", "/", ".", "..", "~", "*", "tag:", "class:surfactant",
    "tag:sulfate", "=", "a=b", "citric acid, anhydrous=1 EUR/kg", "EU", "json", "%s%n", "ß🧼",
)  # fmt: skip
VALUES = {
    "N": ("1", "12", "100000"),
    "MASS": ("62 g", "5 kg", "0.1 g", "1 oz", "100 ml"),
    "MONEY": ("0.30 EUR", "40", "9 USD", "$3"),
    "PRICE": ("10.40 EUR/kg", "1 EUR/g"),
    "SHARE": ("1 %", "0.5 %", "40 %"),
    "PH": ("5", "5.5", "9"),
    "SECONDS": ("1", "5"),
    "TEMPERATURE": ("75 °C", "80 degC"),
    "MATERIAL": ("citric acid, anhydrous", "corn starch, dried", "water, demineralised"),
    "RULE": ("hardness", "cost", "surfactant"),
    "FILE|LIST": ("61.2 60.9 61.4 61.0 60.8", "weighings.txt"),
}
FILES = ("formula.toml", "readings.toml", "weighings.txt", "proof.json", "out.toml", "out.json")


@dataclass(frozen=True)
class Case:
    """A command line and the files it finds, all from a seed."""

    seed: str
    words: tuple[str, ...]
    files: dict[str, bytes]


@dataclass(frozen=True)
class Ended:
    """How a command line ended; ``wrong`` is empty where it ended well."""

    case: Case
    code: object
    wrong: str


def sound_files() -> dict[str, bytes]:
    """The files of a bench without a fault, and what commands read beside them."""
    names = ("brief.toml", "shelf.csv", "materials.toml")
    files = {f"bench/{name}": (GOOD / name).read_bytes() for name in names}
    files["formula.toml"] = (GOOD / "formulas" / "first.toml").read_bytes()
    files["readings.toml"] = READINGS
    files["weighings.txt"] = b"61.2 60.9\n61.4 # the last\n"
    return files | {"proof.json": _certificate(files)}


def _certificate(files: dict[str, bytes]) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        _laid_out(files, Path(folder))
        ran(("cheapest", f"{folder}/bench", "--certificate", f"{folder}/proof.json"))
        return (Path(folder) / "proof.json").read_bytes()


def cases(seed: int, sound: dict[str, bytes]) -> Iterator[Case]:
    """Case after case, without end."""
    commands = _commands()
    number = 0
    while True:
        yield case_of(f"{seed}.{number}", sound, commands)
        number += 1


def case_of(seed: str, sound: dict[str, bytes], commands: dict[str, Any]) -> Case:
    """The case of a seed; most wreck a file, some ask too much, a few wreck the line as such."""
    dice = random.Random(seed)
    strict = dice.random() < 0.06  # these take a hundred times as long
    (name,) = dice.choices(list(commands), [WEIGHTS.get(one, USUAL_WEIGHT) for one in commands])
    words = _solved(dice) if strict else [name, *_arguments(commands[name], dice)]
    files = dict(sound)
    if strict:
        files["bench/shelf.csv"] = off_the_shelf(files["bench/shelf.csv"], dice)
        files["bench/brief.toml"] = too_strict(files["bench/brief.toml"], dice)
    elif dice.random() < 0.75:
        for _ in range(dice.choice((1, 1, 1, 3))):
            file = dice.choice(sorted(files))
            files[file] = mangled(files[file], dice)
    if dice.random() < 0.05:
        files.pop(dice.choice(sorted(files)))
    if dice.random() < 0.05:
        words[dice.randrange(len(words))] = dice.choice(ODD)
    return Case(seed, tuple(words), files)


def _solved(dice: random.Random) -> list[str]:
    """A line of a command that refuses where nothing keeps the rules."""
    words = list(
        dice.choice(
            (
                ("cheapest", "bench"),
                ("cheapest", "bench", "--certificate", "made.json"),
                ("curve", "bench", "--limit", "conditioner"),
                ("curve", "bench", "--price", "corn starch, dried"),
                ("replace", "bench", "formula.toml", "--without", "corn starch, dried"),
                ("replace", "bench", "formula.toml", "--avoid", "class:surfactant"),
                (
                    "runout",
                    "bench",
                    "formula.toml",
                    "--old",
                    "corn starch, dried",
                    "--batch",
                    "5kg",
                ),
            )
        )
    )
    words += ["--all"] if dice.random() < 0.3 else []
    words += ["--time-limit", dice.choice(("0.5", "2", "5"))] if dice.random() < 0.3 else []
    return words + (["--format", "json"] if dice.random() < 0.3 else [])


def _arguments(command: Any, dice: random.Random) -> Iterator[str]:
    """What a command asks for, and some of what it may be told, mostly in order."""
    for param in command.params:
        if param.param_type_name == "argument":
            yield _value(param, dice)
        elif param.required or dice.random() < 0.15:
            option = max(param.opts, key=len)
            if option in {"--help", "--install-completion", "--show-completion"}:
                continue
            yield option
            if not param.is_flag:
                yield _value(param, dice)


def _value(param: Any, dice: random.Random) -> str:
    if dice.random() < 0.12:
        return dice.choice(ODD)
    metavar = param.metavar or ""
    choices = tuple(str(getattr(one, "value", one)) for one in getattr(param.type, "choices", ()))
    if choices:
        return dice.choice(choices)
    if metavar in {"BENCH"}:
        return "bench"
    if metavar == "FORMULA" or metavar.startswith("FORMULA"):
        return "formula.toml"
    return dice.choice(VALUES.get(metavar, FILES))


def _commands() -> dict[str, Any]:
    import typer.main
    from barwright.cli.kit.app import application

    commands: dict[str, Any] = typer.main.get_command(application()).commands  # type: ignore[attr-defined]
    return commands


def tried(case: Case) -> Ended:
    """Run a case in a folder of its own and look at how it ended."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        _laid_out(case.files, folder)
        with contextlib.chdir(folder), _guarded():
            code, out, err, wrong = ran(case.words)
        after = _inputs(folder, case.files)
    return Ended(case, code, wrong or _wrong(case, code, (out, err), after))


def _wrong(case: Case, code: object, said: tuple[str, str], after: dict[str, bytes]) -> str:
    """What is not as it must be; empty where all is."""
    out, err = said
    unseen = [char for char in out + err if not char.isprintable() and char not in "\n\u00a0\ufffd"]
    whole = {name: text for name, text in case.files.items() if name in after}
    learnt = "--write" in case.words and code == 0
    if code not in CODES:
        return f"exit {code}"
    if "Traceback" in err:
        return "a traceback"
    if unseen:
        return f"{unseen[:3]!r} reached the terminal"
    if code == 2 and (out or not err):
        return "bad input without a word on stderr, or with an answer"
    if after != whole and not learnt and "--overwrite" not in case.words:
        return "an input was changed"
    if code in {0, 3, 4} and case.words[-2:] == ("--format", "json"):
        json.loads(out)
    return ""


def _laid_out(files: dict[str, bytes], folder: Path) -> None:
    (folder / "bench").mkdir()
    for name, text in files.items():
        (folder / name).write_bytes(text)


def _inputs(folder: Path, files: dict[str, bytes]) -> dict[str, bytes]:
    return {name: (folder / name).read_bytes() for name in files if (folder / name).is_file()}


@contextlib.contextmanager
def _guarded() -> Iterator[None]:
    """End what hangs, where the system can."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def ring(*_: object) -> None:
        raise TimeoutError(f"not done after {GUARD_S} s of work or {WAIT_S} s of waiting")

    guards = (
        (signal.SIGPROF, signal.ITIMER_PROF, GUARD_S),
        (signal.SIGALRM, signal.ITIMER_REAL, WAIT_S),
    )
    before = [signal.signal(number, ring) for number, _, _ in guards]
    try:
        for _, timer, seconds in guards:
            signal.setitimer(timer, seconds)
        yield
    finally:
        for (number, timer, _), handler in zip(guards, before, strict=True):
            signal.setitimer(timer, 0)
            signal.signal(number, handler)


def main(words: list[str]) -> int:
    """Try as many cases as asked for; gives how many ended badly."""
    sound = sound_files()
    if len(words) > 1:
        found = [tried(case_of(words[1], sound, _commands()))]
    else:
        drawn = cases(random.SystemRandom().randrange(10**9), sound)
        found = [tried(next(drawn)) for _ in range(int(words[0]))]
    bad = [ended for ended in found if ended.wrong]
    for ended in bad:
        sys.stdout.write(f"{ended.case.seed} {ended.case.words!r}: {ended.wrong}\n")
    codes = sorted(Counter(str(ended.code) for ended in found).items())
    sys.stdout.write(f"{len(found)} tried, {len(bad)} ended badly; by code: {dict(codes)}\n")
    return len(bad)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]) > 0)
