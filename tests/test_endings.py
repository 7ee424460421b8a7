"""However a command ends, it says so in words and with a code that a script can read."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
BENCH = ROOT / "examples" / "dry-hair"
FORMULA = BENCH / "formulas" / "today.toml"
CHECK = ("check", str(BENCH), str(FORMULA))
CODES = {0, 2, 3, 4, 5, 141}

posix = pytest.mark.skipif(os.name == "nt", reason="streams closed as a POSIX shell does")


def _shell(script: str, *words: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """A command line in a shell, where ``$0`` is Python and ``$@`` are the words."""
    return subprocess.run(
        ["bash", "-c", script, sys.executable, *words],
        env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1", **variables},
        capture_output=True,
        text=True,
        errors="replace",
        timeout=120,
        check=False,
    )


RUN = '"$0" -m barwright.cli "$@"'


@posix
@pytest.mark.parametrize(
    ("script", "words", "code"),
    [
        (f"{RUN} >&-", ("--help",), 0),
        (f"{RUN} 2>&-", ("--help",), 0),
        (f"{RUN} >&-", CHECK, 0),
        (f"{RUN} >&- 2>&-", ("check", str(BENCH), "none.toml"), 2),
        (f"{RUN} 2>&-", ("check", str(BENCH), "none.toml"), 2),
        (f"{RUN} > /dev/full", CHECK, 2),
        (f"{RUN} > /dev/full", ("--help",), 2),
        (f"{RUN} | true; exit ${{PIPESTATUS[0]}}", CHECK, 141),
        (f"{RUN} < /dev/null", ("cheapest",), 2),
    ],
)
def test_a_stream_that_is_closed_or_full_ends_a_command_in_words(
    script: str, words: tuple[str, ...], code: int
) -> None:
    done = _shell(script, *words)
    assert done.returncode == code, done.stderr
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr


@posix
@pytest.mark.parametrize("columns", ["0", "1", "20", "-5", "much", "100000"])
def test_a_terminal_of_any_width_has_its_answer(columns: str) -> None:
    done = _shell(RUN, *CHECK, COLUMNS=columns)
    assert done.returncode == 0
    assert "11.717" in done.stdout


@posix
@pytest.mark.parametrize(
    "words",
    [
        ("acidity", str(BENCH), str(FORMULA), "--aim", "nan"),
        ("acidity", str(BENCH), str(FORMULA), "--aim", "inf"),
        ("batch", str(BENCH), str(FORMULA), "--bars", "1e20"),
        ("batch", str(BENCH), str(FORMULA), "--bars", "30000000"),
        ("batch", str(BENCH), str(FORMULA), "--bars", "9" * 5000),
        ("price", str(BENCH), str(FORMULA), "--bars", "1" + "0" * 30),
        ("fill", str(BENCH), "--risk", "1e-300%"),
        ("fill", str(BENCH), "--bars-a-year", "9" * 400, "--cost", "1 EUR/kg"),
        ("cheapest", str(BENCH), "--time-limit", "nan"),
        ("cheapest", str(BENCH), "--within", "nan %"),
        ("check", "x" * 5000, str(FORMULA)),
        ("check", str(BENCH), "x" * 5000),
        ("check", f"{FORMULA}/bench", str(FORMULA)),
        ("check", str(BENCH), "/dev/zero"),
        ("new", f"{FORMULA}/bench"),
        ("new", "x" * 5000),
        ("verify", "x" * 5000),
        ("verify", str(BENCH)),
    ],
    ids=lambda words: " ".join(words)[-40:],
)
def test_what_makes_no_sense_is_turned_down_with_what_would(words: tuple[str, ...]) -> None:
    done = _shell(RUN, *words)
    assert done.returncode == 2, done.stderr
    assert "expected" in done.stderr
    assert "Traceback" not in done.stderr


@posix
@pytest.mark.parametrize(
    "words",
    [
        ("check", "a\x1b[31mb", str(FORMULA)),
        ("check", str(BENCH), "a\x9b31mb\x07"),
        ("a\x1b]0;title\x07b",),
        ("check", "--a\x1b[31mb"),
        ("materials", "a\x1b[31m\u202eb"),
        ("new", "a\x1b[2Jb"),
        ("replace", str(BENCH), str(FORMULA), "--without", "a\x1b[31mb"),
        ("verify", "a\x1b[31mb"),
        ("curve", str(BENCH), "--limit", "a\x1b[31mb"),
    ],
    ids=repr,
)
def test_no_control_character_of_a_command_line_reaches_the_terminal(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    done = _shell(f"cd {tmp_path} && {RUN}", *words)
    assert done.returncode in CODES
    for text in (done.stdout, done.stderr):
        assert not [char for char in text if not (char.isprintable() or char == "\n")], text
