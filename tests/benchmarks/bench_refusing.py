"""What a refusal costs against an answer, as ratios taken in one run.

    python tests/benchmarks/bench_refusing.py

Each example as it stands is the answer: reading, finding, proving and explaining it. The same with
something that leaves no composition is the refusal: reading, looking, and every reason that a
refusal gives (proof, clashes, what could give way, what could be bought). Time is the processor's;
wanted: at most 3 times the answer. What there was no time for is named.
"""

import re
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

from barwright.constraints.bench.reading import bench_of, read_bench
from barwright.constraints.model.brief import Bench
from barwright.solver.answers.explained import Explaining, Wishes
from barwright.solver.cheapest.cheapest import Refusal, cheapest
from barwright.solver.infeasible.reasons import Reasons, reasons
from barwright.solver.program.deadline import Deadline

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
LIMIT_S = 300.0
ROUNDS = 1

OILY, DRY = "oily-hair", "dry-hair"

PRESERVATIVES = ("sodium benzoate and", "benzyl alcohol and", "phenoxyethanol and")
SPOILT: tuple[tuple[str, str, Callable[[dict[str, str]], dict[str, str]]], ...] = (
    (OILY, "no preservative in stock", lambda files: _out(files, *PRESERVATIVES)),
    (DRY, "no preservative in stock", lambda files: _out(files, *PRESERVATIVES)),
    (OILY, "no isethionate", lambda files: _out(files, "sodium cocoyl isethionate")),
    (DRY, "no isethionate", lambda files: _out(files, "sodium cocoyl isethionate")),
    (OILY, "neither acid", lambda files: _out(files, "citric acid", "lactic acid")),
    (OILY, "no surfactant but the sulfate", lambda files: _out(files, *_MILD)),
    (DRY, "no wax", lambda files: _out(files, "cetearyl alcohol", "stearic acid")),
    (OILY, "a cost cap too low", lambda files: _capped(files, "6 EUR/kg")),
    (DRY, "a cost cap too low", lambda files: _capped(files, "8 EUR/kg")),
    (OILY, "a cost cap far too low", lambda files: _capped(files, "2 EUR/kg")),
)

_MILD = ("isethionate", "sulfoacetate", "glutamate, powder", "betaine", "glucoside")


def _out(files: dict[str, str], *names: str) -> dict[str, str]:
    """The files with some materials not available."""
    lines = files["../shelf.csv"].split("\n")
    spoilt = (
        line.replace(";yes;", ";no;") if any(name in line for name in names) else line
        for line in lines
    )
    return {**files, "../shelf.csv": "\n".join(spoilt)}


def _capped(files: dict[str, str], cap: str) -> dict[str, str]:
    """The files with the cost held below so much."""
    brief = re.sub(r'cost_max = ".*?"', f'cost_max = "{cap}"', files["brief.toml"])
    return {**files, "brief.toml": brief}


def files_of(example: str) -> dict[str, str]:
    """What an example is written in."""
    bench = read_bench(EXAMPLES / example)
    assert bench.written is not None
    return {name: text.decode() for name, text in bench.written.files.items()}


def read(files: dict[str, str]) -> Bench:
    """The bench that files make."""
    bench = bench_of("made up", {name: text.encode() for name, text in files.items()})
    if not isinstance(bench, Bench):
        raise SystemExit(str(bench))
    return bench


def answered(files: dict[str, str]) -> object:
    """The whole answer."""
    found = Explaining.of(read(files), Wishes(), Deadline.after(LIMIT_S, process_time))
    return found if isinstance(found, Refusal) else found.everything()


def refused(files: dict[str, str]) -> object:
    """The whole refusal."""
    bench, deadline = read(files), Deadline.after(LIMIT_S, process_time)
    found = cheapest(bench, deadline)
    return reasons(bench, found, deadline=deadline) if isinstance(found, Refusal) else found


def seconds(task: Callable[[], object]) -> tuple[float, object]:
    """The least time of a task in a few rounds [s of the processor], and what it came to."""
    least, said = float("inf"), None
    for _ in range(ROUNDS):
        begun = process_time()
        said = task()
        least = min(least, process_time() - begun)
    return least, said


def main() -> None:
    """All examples and all that spoils them."""
    base = {example: files_of(example) for example in (OILY, DRY)}
    least = {example: seconds(lambda one=one: answered(one))[0] for example, one in base.items()}
    for example, time in least.items():
        sys.stdout.write(f"{example}: an answer takes {time:.2f} s\n")
    for example, what, spoil in SPOILT:
        files = spoil(base[example])
        time, said = seconds(lambda files=files: refused(files))
        if not isinstance(said, Reasons):
            sys.stdout.write(f"{example}, {what}: not refused\n")
            continue
        undone = f"; undone: {', '.join(sorted(said.undone))}" if said.undone else ""
        sys.stdout.write(
            f"{example}, {what}: {time:.2f} s, {time / least[example]:.2f} times an answer; "
            f"{len(said.clashes.found)} clashes, {len(said.concessions)} ways out, "
            f"{len(said.purchases)} purchases{undone}\n"
        )


if __name__ == "__main__":
    main()
