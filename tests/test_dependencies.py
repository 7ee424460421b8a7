"""What this is said to work with is what it is tested with."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def _pinned(name: str) -> dict[str, str]:
    lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
    pairs = (line.split("==") for line in lines if line and not line.startswith("#"))
    return {package.casefold(): version for package, version in pairs}


def _least(dependency: str) -> tuple[str, str]:
    match = re.match(r"([A-Za-z][A-Za-z0-9-]*)>=([0-9.]+)", dependency)
    assert match, dependency
    return match[1].casefold(), match[2]


def _numbers(version: str) -> tuple[int, ...]:
    numbers = [int(part) for part in version.split(".")]
    return tuple(numbers + [0] * (4 - len(numbers)))


def test_the_oldest_versions_tested_are_the_lower_bounds() -> None:
    oldest = _pinned("lock-oldest.txt")
    pages = PROJECT["optional-dependencies"]["page"]
    for package, version in map(_least, (*PROJECT["dependencies"], *pages)):
        assert _numbers(oldest[package]) == _numbers(version), package


def test_the_versions_tested_every_day_are_above_the_lower_bounds() -> None:
    tested = _pinned("lock.txt")
    for package, version in map(_least, PROJECT["dependencies"]):
        assert _numbers(tested[package]) >= _numbers(version), package
