"""The library is whole: what a command does beyond showing is there for who imports it."""

import ast
import importlib

import barwright
import pytest
from test_architecture import PACKAGE, sources

SHARED = "the kit of the commands, below"


def asked_of_the_library():
    """(file, module, name) of each call that a command takes from the floors below."""
    for path in sorted((PACKAGE / "cli").glob("*/command.py")):
        package = ("barwright", *path.relative_to(PACKAGE).parent.parts)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.level == 3:
                base = package[: len(package) - 2]
                for alias in node.names:
                    yield path.parent.name, ".".join((*base, node.module or "")), alias.name


CALLS = sorted(
    {
        (command, module, name)
        for command, module, name in asked_of_the_library()
        if "values" not in module.split(".") and not name.isupper() and name != "Json"
    }
)


@pytest.mark.parametrize(("command", "module", "name"), CALLS)
def test_what_a_command_asks_of_the_library_is_exported(command, module, name):
    assert name in barwright.__all__, f"{command} uses {module}.{name}"
    assert getattr(barwright, name) is getattr(importlib.import_module(module), name)


def test_public_classes_have_names_of_their_own():
    seen = {}
    for name in barwright.__all__:
        value = getattr(barwright, name)
        if isinstance(value, type):
            assert value.__name__ == name
            assert seen.setdefault(name, value) is value


def test_what_can_be_anything_is_rare():
    lines = {
        f"{path.relative_to(PACKAGE)}:{node.lineno}"
        for path in (*sources(), PACKAGE / "__init__.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if (isinstance(node, ast.Name) and node.id == "Any")
        or (isinstance(node, ast.alias) and node.name == "Any")
    }
    assert len(lines) <= 30, sorted(lines)
