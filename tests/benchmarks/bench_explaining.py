"""What explanations cost: the whole answer against finding it, as ratios taken in one run.

    python tests/benchmarks/bench_explaining.py [MATERIALS ...]

Prints for made-up shelves (600 and 2,000 materials, unless told otherwise) and for a bench with ten
choices of ten how long reading and finding take, and the whole answer (proof, exact prices with
their ranges, what would bring in each material left out, choices made the other way) against that;
wanted: at most 3. The shelf is the example's, each material many times over at other prices and
with contents that differ by a little.
"""

import random
import sys
from collections.abc import Mapping
from pathlib import Path
from time import process_time

from barwright.constraints.bench.reading import bench_of, read_bench
from barwright.constraints.model.brief import Bench
from barwright.solver.answers.explained import Explaining, Wishes
from barwright.solver.cheapest.cheapest import Refusal, least_anywhere
from barwright.solver.program.deadline import Deadline
from barwright.solver.program.session import solve

EXAMPLE = Path(__file__).parent.parent.parent / "examples" / "oily-hair"
LIMIT_S = 600.0


def wide_shelf(count: int) -> dict[str, bytes]:
    """The example with so many materials on its shelf."""
    chance = random.Random(count)
    bench = read_bench(EXAMPLE)
    assert bench.written is not None
    files = dict(bench.written.files)
    shelf = files["../shelf.csv"].decode().rstrip("\n").split("\n")
    width = shelf[1].count(";")
    made = []
    for number in range(count - len(bench.shelf)):
        item = bench.shelf[number % len(bench.shelf)]
        name = f"{item.material.name}, lot {number}"
        made.append(_like(name, item.material.name, item.material.typical_contents(), chance))
        price = max(item.price * chance.uniform(0.9, 1.6), 0.01)
        shelf.append(f"{name};1 kg;{price:.2f} EUR;;yes" + ";" * (width - 4))
    files["../shelf.csv"] = ("\n".join(shelf) + "\n").encode()
    files["../materials.toml"] += "\n".join(("", *made, "")).encode()
    return files


def _like(
    name: str, like: str, contents: "tuple[tuple[str, float], ...]", chance: random.Random
) -> str:
    """A material as another, some of its most now being of its second substance."""
    lines = [f'["{name}"]', f'like = "{like}"', 'source = "made up"', 'kind = "memory"']
    held = sorted(contents, key=lambda one: -one[1])
    if len(held) > 1:
        moved = round(held[1][1] * chance.uniform(0.0, 0.3), 6)
        for (inci, share), by in zip(held[:2], (moved, -moved), strict=True):
            lines.append(f'contents."{inci}" = "{(share + by) * 100:.6f} %"')
    return "\n".join(lines)


def ten_choices() -> dict[str, bytes]:
    """Ten fragrances of ten kinds each, one of each kind to be used."""
    chance = random.Random(10)
    bench = read_bench(EXAMPLE)
    assert bench.written is not None
    files = dict(bench.written.files)
    shelf = files["../shelf.csv"].decode().rstrip("\n").split("\n")
    width = shelf[1].count(";")
    made, rules = [], []
    for kind in range(10):
        names = [f"clay {kind} of {place}" for place in range(10)]
        for name in names:
            made.append(f'["{name}"]\nlike = "kaolin, white"\nsource = "made up"\nkind = "memory"')
            price = chance.uniform(1.0, 9.0)
            shelf.append(f"{name};1 kg;{price:.2f} EUR;;yes" + ";" * (width - 4))
            rules.append(
                f'[rules."dose of {name}"]\ndose_of = "{name}"\nmin = "0.2 %"\nmax = "1 %"\n'
                'kind = "house"\nbecause = "made up"'
            )
        among = ", ".join(f'"{name}"' for name in names)
        rules.append(
            f'[rules."one of {kind}"]\nchoose = [{among}]\nexactly = 1\nkind = "house"\n'
            'because = "made up"'
        )
    files["../shelf.csv"] = ("\n".join(shelf) + "\n").encode()
    files["../materials.toml"] += "\n".join(("", *made, "")).encode()
    files["brief.toml"] += "\n\n".join(("", *rules, "")).encode()
    return files


def measured(what: str, files: Mapping[str, bytes]) -> None:
    """All times of one bench, in one run."""
    begun = process_time()
    bench = bench_of("made up", files)
    read = process_time()
    if not isinstance(bench, Bench):
        sys.stdout.write(f"{what}: cannot be read: {bench}\n")
        return
    answer = least_anywhere(bench)
    found = process_time()
    solve(answer.program)
    solved = process_time()
    explaining = Explaining.of(bench, Wishes(), Deadline.after(LIMIT_S, process_time))
    if isinstance(explaining, Refusal):
        sys.stdout.write(f"{what}: refused: {explaining.outcome}\n")
        return
    shown = process_time()
    everything = explaining.everything()
    done = process_time()
    bare = found - begun
    whole = (read - begun) + (done - solved)
    undone = f"; undone: {', '.join(sorted(everything.undone))}" if everything.undone else ""
    sys.stdout.write(
        f"{what}: read {read - begun:.2f} s, found {found - read:.2f} s "
        f"(of it one solve {solved - found:.2f} s), shown with its proof {shown - solved:.2f} s, "
        f"explained {done - shown:.2f} s; whole answer {whole / bare:.2f} times the bare{undone}\n"
    )


def main(words: list[str]) -> None:
    """All benches."""
    for count in map(int, words or ("600", "2000")):
        measured(f"{count} materials", wide_shelf(count))
    measured("ten choices of ten", ten_choices())


if __name__ == "__main__":
    main(sys.argv[1:])
