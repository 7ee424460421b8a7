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


def test_every_name_that_is_given_out_has_a_type_too():
    """What is only loaded on demand is also imported where types are looked at."""
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    imported = {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    defined = {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}
    known = imported | defined | {"__version__"}
    assert [name for name in barwright.__all__ if name not in known] == []


@pytest.fixture(scope="module")
def oily():
    return barwright.read_bench("examples/oily-hair")


@pytest.fixture(scope="module")
def today(oily):
    return barwright.read_formula("examples/oily-hair/formulas/today.toml", oily)


def test_one_call_weighs_a_batch_as_heavy_as_the_market_asks(oily, today):
    made = barwright.batch(oily, today, 12)
    pressed, why = barwright.portion(oily, 12)
    assert made.portions.fill == pressed == why.set_to
    assert made.weighed.batch == barwright.batch_mass(oily, today, 12, pressed)


def test_one_call_writes_the_box_for_each_market(oily, today):
    found = barwright.labels(oily, today)
    assert [one.market for one in found.labels] == list(oily.brief.markets)
    assert found.broken == ()
    with pytest.raises(barwright.InputError, match="Mars"):
        barwright.labels(oily, today, markets=("EU", "Mars"))
    with pytest.raises(barwright.InputError, match="no market"):
        barwright.labels(oily, today, markets=())


def test_one_call_writes_a_proof_and_one_checks_it(oily, examples):
    found = barwright.cheapest(oily)
    written = barwright.certificate_for(oily, found)
    checked = barwright.vouched(written, oily)
    assert isinstance(checked, barwright.Vouched)
    assert checked.holds
    other = barwright.read_bench(examples / "dry-hair")
    assert isinstance(barwright.vouched(written, other), barwright.Rejected)
    beside = {"certificate": written, "cost": found.cost + 1.0, "proof": {"proved": True}}
    lying = barwright.vouched(beside)
    assert [fault.expected for fault in lying.faults] == ["the cost proved"]
    assert not lying.holds
    assert isinstance(barwright.vouched({"cost": 1.0}), barwright.Rejected)
