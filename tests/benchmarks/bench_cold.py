"""How long a maker waits: cold starts, as ratios taken in one run.

    python tests/benchmarks/bench_cold.py

Prints the median of paired ratios for
- ``barwright --help`` against ``python -c pass`` (wanted: at most 6),
- ``barwright cheapest`` without and with its proof against the same question by hand in ``bare.py``
  (wanted: at most 1.3 without),
- the proof's part of the whole command (wanted: at most 0.5),
- peak memory against that of ``bare.py`` (wanted: at most 2).
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
    from barwright.solver.cheapest import Finding

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


def run(command: list[str]) -> tuple[float, int]:
    """Wall time [s] and peak memory [kB] of one run."""
    started = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, _, usage = _wait(process)
    return time.perf_counter() - started, usage.ru_maxrss


def _wait(process: subprocess.Popen) -> tuple[int, int, resource.struct_rusage]:
    import os

    return os.wait4(process.pid, 0)


def ratio(label: str, one: list[str], other: list[str], wanted: float) -> None:
    """Run two commands in turn and print the median ratio of time and of memory."""
    run(one), run(other)
    pairs = [(run(one), run(other)) for _ in range(PAIRS)]
    times = statistics.median(a[0] / b[0] for a, b in pairs)
    memory = statistics.median(a[1] / b[1] for a, b in pairs)
    print(f"{label:<44} time × {times:5.2f} (wanted {wanted})   memory × {memory:4.2f}")


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
        ratio("barwright --help / python -c pass", [*barwright, "--help"], nothing, 6)
        ratio("cheapest --no-proof / by hand", plain, bare, 1.3)
        ratio("cheapest, proved / cheapest --no-proof", proved, plain, 1.5)


if __name__ == "__main__":
    main()
