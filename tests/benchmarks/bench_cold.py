"""How long a maker waits: cold starts, as ratios taken in one run.

    python tests/benchmarks/bench_cold.py

Prints the median of paired ratios for
- ``barwright --help`` against ``python -c pass`` (wanted: at most 6),
- ``barwright cheapest --no-proof`` against the same question by hand in ``bare.py`` (wanted: at
  most 1.3), in time on the clock and in processor time, and in peak memory (wanted: at most 2),
- the proof, with all it has to load, against that command (wanted: at most 0.5),
- the whole answer, with exact price ranges and other choices, against that command.
"""

import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from math import isfinite
from pathlib import Path

HERE = Path(__file__).parent
EXAMPLE = HERE.parent.parent / "examples" / "oily-hair"
PAIRS = 15


def program_as_numbers(path: Path) -> None:
    """Write the example's program as plain numbers for the bare script."""
    import barwright
    from barwright.solver.cheapest.cheapest import Finding

    found = barwright.cheapest(barwright.read_bench(EXAMPLE))
    assert isinstance(found, Finding)
    program = found.program
    rows = [(row.columns, row.values, _side(row.low), _side(row.high)) for row in program.rows]
    upper = [high if isfinite(high) else None for high in program.upper]
    data = {
        "materials": found.rows.materials,
        "costs": program.costs,
        "upper": upper,
        "whole": program.whole,
        "rows": rows,
    }
    path.write_text(json.dumps(data), encoding="utf-8")


def _side(value: float) -> float | None:
    return value if isfinite(value) else None


def run(command: list[str]) -> tuple[float, float, int]:
    """Time on the clock [s], processor time [s] and peak memory [kB] of one run."""
    started = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, _, usage = _wait(process)
    wall = time.perf_counter() - started
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss


def _wait(process: subprocess.Popen) -> tuple[int, int, resource.struct_rusage]:
    import os

    return os.wait4(process.pid, 0)


def ratio(label: str, one: list[str], other: list[str], wanted: str) -> None:
    """Run two commands in turn and print the median ratios of time and of memory."""
    run(one), run(other)
    pairs = [(run(one), run(other)) for _ in range(PAIRS)]
    wall, processor, memory = (statistics.median(a[k] / b[k] for a, b in pairs) for k in range(3))
    figures = f"clock × {wall:5.2f}   processor × {processor:5.2f}   memory × {memory:4.2f}"
    print(f"{label:<42} {figures}   {wanted}")


PROOF = """
import sys, time
import barwright
bench = barwright.read_bench(sys.argv[1])
found = barwright.cheapest(bench)
started = time.perf_counter()
from barwright.solver.prices.worth import proved
proved(bench, found)
print(time.perf_counter() - started)
"""


def proof_part(command: list[str]) -> None:
    """Print what the proof takes, with what it has to load, as a part of a command's time."""
    line = [sys.executable, "-c", PROOF, str(EXAMPLE)]
    parts = []
    for _ in range(PAIRS):
        done = subprocess.run(line, capture_output=True, text=True, check=True)
        parts.append(float(done.stdout) / run(command)[0])
    part = statistics.median(parts)
    print(f"{'the proof / cheapest --no-proof':<42} clock × {part:5.2f}   at most 0.5")


def main() -> None:
    python = [sys.executable]
    barwright = [*python, "-m", "barwright.cli"]
    with tempfile.TemporaryDirectory() as folder:
        numbers = Path(folder) / "program.json"
        program_as_numbers(numbers)
        bare = [*python, str(HERE / "bare.py"), str(numbers)]
        plain = [*barwright, "cheapest", str(EXAMPLE), "--no-proof"]
        proved = [*barwright, "cheapest", str(EXAMPLE)]
        nothing = [*python, "-c", "pass"]
        ratio("barwright --help / python -c pass", [*barwright, "--help"], nothing, "at most 6")
        ratio("cheapest --no-proof / by hand", plain, bare, "at most 1.3, memory 2")
        proof_part(plain)
        ratio("cheapest, whole / cheapest --no-proof", proved, plain, "")


if __name__ == "__main__":
    main()
