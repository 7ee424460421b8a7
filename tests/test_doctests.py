"""Every example in a docstring does what it says."""

import doctest
import importlib
import pkgutil

import barwright


def modules():
    yield barwright
    for found in pkgutil.walk_packages(barwright.__path__, "barwright."):
        parts = found.name.split(".")
        if parts[1] in {"constraints", "solver", "workshop", "cli"} and parts[-1] != "__main__":
            yield importlib.import_module(found.name)


def test_examples_in_docstrings_hold():
    tried = failed = 0
    for module in modules():
        result = doctest.testmod(module)
        tried, failed = tried + result.attempted, failed + result.failed
    assert failed == 0
    assert tried > 10
