"""The house stands as it is drawn: imports run one way, and each heavy library has one door."""

import ast
import importlib.util
import statistics
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

PACKAGE = Path(importlib.util.find_spec("barwright").origin).parent
FLOORS = {
    "constraints": (
        "data",
        "values",
        "model",
        "acidity",
        "rules",
        "market",
        "catalogue",
        "bench",
    ),
    "solver": (
        "program",
        "proof",
        "sensitivity",
        "strength",
        "cheapest",
        "calibration",
        "nearest",
        "infeasible",
        "prices",
        "choices",
        "answers",
        "uncertain",
        "scenarios",
    ),
    "workshop": (
        "acid",
        "weighing",
        "heat",
        "fill",
        "price",
        "batch",
        "label",
        "changing",
        "plan",
        "book",
    ),
    "cli": (
        "picture",
        "html",
        "kit",
        "finding",
        "refusal",
        "change",
        "costing",
        "sheet",
        "sureness",
    ),
}
"""Floors, and the rooms of each, lowest first: a room knows only what is below it."""

LAYERS = tuple(FLOORS)
DOORS = {
    "pint": {"constraints/values/scales.py"},
    "pulp": {"solver/program/loading.py", "solver/program/opinion.py"},
    "highspy": {"solver/program/loading.py"},
    "flint": {"solver/proof/exact.py", "solver/proof/scaled.py"},
}
FOLDERS = {
    "jinja2": {"cli"},
    "matplotlib": {"cli"},
    "openpyxl": {"cli", "constraints"},
    "tomllib": {"constraints"},
    "tomlkit": {"constraints"},
    "rich": {"cli"},
    "typer": {"cli"},
}
FORBIDDEN = {"utils", "helpers", "manager", "common", "misc"}


def sources():
    return [path for layer in LAYERS for path in sorted((PACKAGE / layer).glob("**/*.py"))]


def imports(path):
    """Absolute names imported anywhere in a file, relative ones resolved."""
    package = ("barwright", *path.relative_to(PACKAGE).parent.parts)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            yield ".".join((*base, *((node.module or "").split(".") if node.module else ())))


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_run_from_constraints_to_cli_and_never_back(path):
    layer = path.relative_to(PACKAGE).parts[0]
    for name in imports(path):
        if name.startswith("barwright."):
            other = name.split(".")[1]
            assert LAYERS.index(other) <= LAYERS.index(layer), f"{path} imports {name}"


def room(path):
    """The room of a file, "" for what stands in no room."""
    parts = path.relative_to(PACKAGE).parts
    return parts[1] if len(parts) > 2 else ""


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_room_knows_only_the_rooms_below_it_and_no_command_another_command(path):
    floor, here = path.relative_to(PACKAGE).parts[0], room(path)
    order = FLOORS[floor]
    for name in imports(path):
        parts = name.split(".")
        if parts[:2] != ["barwright", floor] or len(parts) < 3 or parts[2] == here or not here:
            continue
        assert parts[2] in order, f"{path} imports {name}"
        assert here not in order or order.index(parts[2]) < order.index(here), f"{path}: {name}"


def test_every_room_says_in_one_sentence_what_is_in_it():
    for floor in LAYERS:
        for folder in sorted(path for path in (PACKAGE / floor).iterdir() if path.is_dir()):
            if folder.name == "__pycache__" or not any(folder.glob("*.py")):
                continue
            said = ast.get_docstring(ast.parse((folder / "__init__.py").read_text("utf-8")))
            assert said, f"{folder} says nothing"
            assert len(said.splitlines()) == 1, f"{folder} says too much"
            assert floor == "cli" or folder.name in FLOORS[floor], f"{folder} has no place"


@pytest.mark.parametrize("library", DOORS)
def test_a_heavy_library_has_one_door(library):
    users = {
        str(path.relative_to(PACKAGE).as_posix())
        for path in sources()
        if any(name.split(".")[0] == library for name in imports(path))
    }
    assert users <= DOORS[library]


@pytest.mark.parametrize("library", FOLDERS)
def test_a_library_stays_in_its_folder(library):
    users = {
        path.relative_to(PACKAGE).parts[0]
        for path in sources()
        if any(name.split(".")[0] == library for name in imports(path))
    }
    assert users <= FOLDERS[library]


@pytest.mark.parametrize(("library", "at"), [("matplotlib", "picture"), ("jinja2", "html")])
def test_one_room_draws_and_one_writes_pages(library, at):
    users = [path for path in sources() if library in {n.split(".")[0] for n in imports(path)}]
    assert users
    assert {(path.relative_to(PACKAGE).parts[0], room(path)) for path in users} == {("cli", at)}


DISK = {
    "open", "read_text", "read_bytes", "write_text", "write_bytes", "exists", "is_file", "is_dir",
    "iterdir", "glob", "rglob", "mkdir", "unlink", "touch", "stat",
}  # fmt: skip
"""Calls that ask something of the disk."""

AT_THE_DISK = {"os", "shutil", "tempfile", "pathlib", "sqlite3", "fcntl", "io"}


def test_only_the_bench_and_the_command_line_touch_the_disk():
    """The packaged data is read by one loader; nothing else opens, asks or writes a file."""
    for path in sources():
        floor, here = path.relative_to(PACKAGE).parts[0], room(path)
        if floor == "cli" or (floor, here) in {("constraints", "bench"), ("constraints", "data")}:
            continue
        assert not {name.split(".")[0] for name in imports(path)} & AT_THE_DISK, path
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                called = node.func
                name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
                assert name not in DISK, f"{path}, line {node.lineno}: {name}"


def test_the_proof_never_asks_the_float_solver():
    for path in (PACKAGE / "solver" / "proof").glob("*.py"):
        assert not [used for used in imports(path) if used.endswith(("session", "pulp", "highspy"))]


LOADED = """
import sys
sys.argv[1:] = {words!r}
try:
    from barwright.cli.kit.entry import main
    main()
except SystemExit:
    pass
print(*sorted({{name.split(".")[0] for name in sys.modules}}), file=sys.stderr)
"""


def loaded_by(*words):
    code = LOADED.format(words=list(words))
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stderr.split())


@pytest.mark.parametrize("words", [(), ("--help",), ("cheapest", "--help"), ("--version",)])
def test_help_loads_nothing_heavy(words):
    assert not loaded_by(*words) & {
        "numpy", "pulp", "highspy", "pint", "flint", "rich", "jinja2", "matplotlib",
    }  # fmt: skip


def test_importing_the_package_loads_nothing_heavy():
    code = "import sys, barwright; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in done.stdout.split()}
    assert not loaded & {"numpy", "pulp", "highspy", "pint", "flint", "rich", "typer", "tomllib"}


def functions(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef):
            body = node.body
            first = body[0]
            documented = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
            start = body[1].lineno if documented and len(body) > 1 else first.lineno
            yield node.name, (node.end_lineno or start) - start + 1


def test_functions_stay_small():
    lengths = {(str(path), name): lines for path in sources() for name, lines in functions(path)}
    assert statistics.median(lengths.values()) <= 8
    assert not {where: lines for where, lines in lengths.items() if lines > 60}


def test_files_stay_readable():
    lengths = {str(p): len(p.read_text(encoding="utf-8").splitlines()) for p in sources()}
    assert not {path: lines for path, lines in lengths.items() if lines > 300}


def test_names_say_what_a_file_is_about():
    assert not {path.stem for path in sources()} & FORBIDDEN


def test_the_packages_named_are_the_packages_there(root):
    named = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["tool"][
        "setuptools"
    ]
    tree = {
        ".".join(("barwright", *path.parent.relative_to(root).parts))
        for layer in LAYERS
        for path in (root / layer).glob("**/__init__.py")
    }
    assert set(named["packages"]) == tree | {"barwright"}


def test_every_data_file_is_installed(root):
    for path in (root / "constraints" / "data").glob("**/*"):
        if path.is_file() and path.suffix in {".toml", ".csv"}:
            assert (PACKAGE / path.relative_to(root)).is_file()


def test_no_other_python_stands_in_the_root(root):
    assert [path.name for path in root.glob("*.py")] == ["__init__.py"]


def test_the_face_names_what_it_gives():
    import barwright

    for name in barwright.__all__:
        assert getattr(barwright, name) is not None
    assert set(barwright.__all__) == set(barwright._HOMES)


def test_an_unknown_name_is_an_attribute_error():
    import barwright

    with pytest.raises(AttributeError, match="no attribute 'nonsense'"):
        _ = barwright.nonsense


def test_the_map_for_developers_names_every_room(root):
    page = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    for floor, rooms in FLOORS.items():
        (line,) = (one for one in page.splitlines() if one.startswith(f"| `{floor}/` |"))
        named = [room for room in rooms if floor != "cli" or room == "kit"]
        found = [word for word in line.split("`") if word in rooms]
        assert found == named, f"the rooms of {floor} in DEVELOPERS.md"


def kinds_of_rules():
    from barwright.constraints.rules.registry import kinds

    return {rule.__name__ for written in kinds() for rule in written.rules}


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_nobody_but_its_own_module_asks_which_kind_a_rule_is(path):
    if path.relative_to(PACKAGE).parts[:2] == ("constraints", "rules"):
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "isinstance":
            named = {one.id for one in ast.walk(node.args[1]) if isinstance(one, ast.Name)}
            assert not named & kinds_of_rules(), f"{path}:{node.lineno}"
