"""A device without end in place of any file ends in words, within memory that a laptop has."""

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest
import typer.main
from barwright.cli.kit.app import application
from fuzz import sound_files

ROOT = Path(__file__).resolve().parent.parent
MEMORY = 2 * 1024**3  # of addresses, which solvers and their threads ask for and never use [bytes]
READS = {"read_bytes", "read_text"}
READERS = {  # each reads what the project itself wrote, or no more than any file may hold
    "cli/kit/entry.py",
    "cli/kit/notebook.py",
    "cli/sweep/lines.py",
    "constraints/bench/book_keeping.py",
    "constraints/bench/files.py",
    "constraints/bench/starting.py",
    "constraints/data/__init__.py",
}
INPUTS = {"--history", "--formula", "--readings", "--weighings", "--prices"}
STANDING = {"BENCH": "bench", "FORMULA": "formula.toml", "FORMULA...": "formula.toml"}

LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, ({memory}, {memory}))
sys.argv[0] = "barwright"
from barwright.cli.kit.app import run
run(tuple(sys.argv[1:]))
"""


def _inputs() -> list[tuple[str, ...]]:
    """A command line for each argument of each command, with the device in its place."""
    found: list[tuple[str, ...]] = []
    for name, command in typer.main.get_command(application()).commands.items():  # type: ignore[attr-defined]
        places = [one for one in command.params if one.param_type_name == "argument"]
        words = [STANDING.get(one.metavar or "", "formula.toml") for one in places]
        found.extend(
            (name, *words[:number], "/dev/zero", *words[number + 1 :])
            for number in range(len(places))
        )
        options = [
            max(one.opts, key=len) for one in command.params if "FILE" in (one.metavar or "")
        ]
        found.extend((name, *words, one, "/dev/zero") for one in options if one in INPUTS)
    return found


@pytest.fixture(scope="module")
def sound() -> dict[str, bytes]:
    return sound_files()


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="a device of a POSIX system")
@pytest.mark.parametrize("words", _inputs(), ids=" ".join)
def test_a_device_without_end_in_place_of_a_file_ends_in_words(words, sound, tmp_path):
    (tmp_path / "bench").mkdir()
    for name, text in sound.items():
        (tmp_path / name).write_bytes(text)
    ended = subprocess.run(
        [sys.executable, "-c", LIMITED.format(memory=MEMORY), *words],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        env={**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"},
        timeout=60,
        check=False,
    )
    assert ended.returncode == 2, ended.stderr
    assert "Traceback" not in ended.stderr
    assert ended.stderr


def test_files_of_a_maker_are_read_through_one_door():
    """What reads a file without a bound is named here, and reads only what the project wrote."""
    for floor in ("constraints", "solver", "workshop", "cli"):
        for path in (ROOT / floor).rglob("*.py"):
            if str(path.relative_to(ROOT)) in READERS:
                continue
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Attribute):
                    assert node.attr not in READS, f"{path}, line {node.lineno}"
