"""What several tests share: the checkout, its examples, and a way to run a command line."""

import contextlib
import io
import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from math import inf
from pathlib import Path

import pytest
from barwright.constraints.model.row import Row
from barwright.solver.program.outcome import Program
from hypothesis import settings
from running import ran

# The same examples every time, so that a passing suite passes tomorrow; BARWRIGHT_EXPLORE=1 draws
# new ones, to look for what nobody thought of.
settings.register_profile("steady", derandomize=True, print_blob=True, deadline=None)
settings.register_profile("explore", print_blob=True, deadline=None)
settings.load_profile("explore" if os.environ.get("BARWRIGHT_EXPLORE") else "steady")

ROOT = Path(__file__).resolve().parent.parent


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--rewrite", action="store_true", help="write golden output anew instead of comparing it"
    )


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def examples() -> Path:
    return ROOT / "examples"


LOOKS = {"NO_COLOR": "1", "TERM": "dumb", "PYTHONUTF8": "1"}


@dataclass(frozen=True)
class Done:
    """How a command line ended, as a process would."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def barwright():
    """Run a command line in a folder; gives how it ended.

    It runs in this process, as the way in does it, which spares a start of Python each; lines with
    variables of their own, or that start processes of theirs, get one to themselves.
    """

    def run(*words: str, width: int = 80, cwd: Path = ROOT, **variables: str):
        looks = LOOKS | {"COLUMNS": str(width)}
        if variables or {"--workers", "--cluster"} & set(words):
            return _in_a_process(words, {**looks, **variables}, cwd)
        return _here(words, looks, cwd)

    return run


def _in_a_process(words: tuple[str, ...], variables: dict[str, str], cwd: Path) -> Done:
    done = subprocess.run(
        [sys.executable, "-m", "barwright.cli", *words],
        cwd=cwd,
        env={**os.environ, **variables},
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    return Done(done.returncode, done.stdout, done.stderr)


@contextlib.contextmanager
def unhurried():
    """Time enough for answers and explanations on any machine, so that they are always the same."""
    from barwright.cli.kit import time_limit
    from barwright.solver.program.deadline import Deadline

    bounded = Deadline.for_explaining
    watched = time_limit._watched
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            Deadline,
            "for_explaining",
            lambda self, spent, least=0.0: bounded(self, spent, max(least, UNHURRIED_S)),
        )
        patch.setattr(
            time_limit,
            "_watched",
            lambda seconds: watched(PATIENT_S if seconds == time_limit.USUAL_S else seconds),
        )
        yield patch


UNHURRIED_S = 30.0  # of the processor, where a maker is made to wait for a second or two
PATIENT_S = 900.0  # on the clock, for what nobody set a limit to: a machine may be busy


def _here(words: tuple[str, ...], variables: dict[str, str], cwd: Path) -> Done:
    with unhurried() as patch:
        patch.chdir(cwd)
        for name, value in variables.items():
            patch.setenv(name, value)
        code, out, err, crash = ran(words)
    assert crash or code is None or isinstance(code, int), code
    return Done(1 if crash else int(code or 0), out, err + crash)


def printed(words):
    """What a command line prints over the checkout; what is wrong with it is raised."""
    from barwright.cli.kit.app import application

    out = io.StringIO()
    with unhurried() as patch, contextlib.redirect_stdout(out):
        patch.chdir(ROOT)
        patch.setenv("COLUMNS", "80")
        application(words[0])(args=list(words), prog_name="barwright", standalone_mode=False)
    return out.getvalue()


def _of_all_workers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of this run that its workers share."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="session")
def pages(tmp_path_factory):
    """The page of each command over the examples, by its golden name: (file, the whole screen)."""
    from test_golden import COMMANDS

    folder = _of_all_workers(tmp_path_factory) / "pages"
    folder.mkdir(exist_ok=True)

    def page_of(name):
        path, screen = folder / f"{name}.html", folder / f"{name}.txt"
        if not screen.exists():  # written last: a page that another worker is at is made twice
            with tempfile.TemporaryDirectory(dir=folder) as own:
                page, said = Path(own) / path.name, Path(own) / screen.name
                words = (*COMMANDS[name], "--all", "--page", str(page))
                said.write_text(printed(words), encoding="utf-8")
                page.replace(path)
                said.replace(screen)
        return path, screen.read_text(encoding="utf-8")

    return page_of


@pytest.fixture(scope="session")
def published():
    """Read a published case of linear programming: (the case, its program, always minimised)."""

    def read(name: str):
        case = json.loads((ROOT / "tests/data/published" / f"{name}.json").read_text("utf-8"))
        sign = 1.0 if case["sense"] == "min" else -1.0
        rows = []
        for rule, least, most, terms in case["rows"]:
            columns, values = zip(*sorted(terms), strict=True)
            low = -inf if least is None else float(least)
            high = inf if most is None else float(most)
            rows.append(Row(rule, "", columns, tuple(map(float, values)), low, high))
        names, costs, lower, upper, whole = zip(*case["columns"], strict=True)
        case["names"] = names
        program = Program(
            costs=tuple(sign * cost for cost in costs),
            lower=tuple(map(float, lower)),
            upper=tuple(inf if end is None else float(end) for end in upper),
            whole=whole,
            rows=tuple(rows),
        )
        return case, program

    return read


def asking_for_all(run):
    """The same way to run command lines, each asking for all there is to say."""

    def whole(*words: str, **more):
        asks = (
            words[:1]
            and words[0] not in {"new", "page", "schema", "verify"}
            and "--all" not in words
        )
        return run(*words, *(("--all",) if asks else ()), **more)

    return whole
