"""What several tests share: the checkout, its examples, and a way to run a command line."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

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


@pytest.fixture
def barwright(tmp_path):
    """Run a command line in a folder of its own; gives the finished process."""

    def run(*words: str, width: int = 80, cwd: Path = ROOT, **variables: str):
        environment = {
            **os.environ,
            "COLUMNS": str(width),
            "NO_COLOR": "1",
            "TERM": "dumb",
            "PYTHONUTF8": "1",
            **variables,
        }
        return subprocess.run(
            [sys.executable, "-m", "barwright.cli", *words],
            cwd=cwd,
            env=environment,
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=120,
            check=False,
        )

    return run
