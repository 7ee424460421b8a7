"""The JSON Schema of a bench's files: it takes what is read, and refuses what is misspelt."""

import json
import tomllib

import jsonschema
import pytest
from barwright.constraints.bench.materials_reading import stores_of
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.bench.schema import File, schema_of
from barwright.constraints.rules.registry import kinds
from conftest import ROOT

GOOD = [
    *ROOT.glob("examples/**/*.toml"),
    *ROOT.glob("constraints/data/starter-bench/**/*.toml"),
    *ROOT.glob("tests/data/benches/good/*.toml"),
    *ROOT.glob("tests/data/benches/kinds/*.toml"),
]
FILES = [path for path in GOOD if path.stem in {one.value for one in File}]


def faults(file, value):
    validator = jsonschema.Draft202012Validator(schema_of(file))
    return [error.message for error in validator.iter_errors(value)]


def read(text):
    """TOML as JSON has it: a day is a text there."""
    return json.loads(json.dumps(tomllib.loads(text), default=str))


@pytest.mark.parametrize("file", File)
def test_the_schema_is_a_schema(file):
    jsonschema.Draft202012Validator.check_schema(schema_of(file))


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_file_that_is_read_keeps_its_schema(path):
    assert faults(File(path.stem), read(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    "wrong",
    [
        'schema = 1\n[product]\ncurency = "EUR"',
        'schema = 2\n[product]\ncurrency = "EUR"',
        'schema = 1\n[product]\ncurrency = "euro"',
        'schema = 1\n[rules.a]\nshare_off = "wax"\nkind = "house"\nbecause = "x"',
        'schema = 1\n[rules.a]\nshare_of = "wax"\nkind = "mine"\nbecause = "x"',
        'schema = 1\n[rules.a]\nshare_of = "wax"\nto = "oil"\nkind = "house"\nbecause = "x"',
        'schema = 1\n[purposes]\n"Zinc Pyrithione" = "dandruff"',
        'schema = 1\n[product]\nadvice = "yes"',
    ],
)
def test_a_slip_in_a_brief_is_marked(wrong):
    assert faults(File.BRIEF, read(wrong))


def test_a_slip_in_materials_is_marked():
    assert faults(File.MATERIALS, read('["a blend"]\nform = "gas"'))
    assert faults(File.MATERIALS, read('["a blend"]\nlikes = "kaolin, white"'))


def test_every_key_of_the_schema_of_a_brief_is_one_that_is_read(root):
    """Each key with something no key takes: it may be refused, never for its name."""
    brief = schema_of(File.BRIEF)["properties"]
    for section in ("product", "box", "workshop"):
        keys = brief[section]["properties"]
        text = f"schema = 1\n[{section}]\n" + "".join(f"{key} = {{}}\n" for key in keys)
        found = bench_of("a bench", {"brief.toml": text, "shelf.csv": "material,pack,price\n"})
        assert not {one.found for one in found.items} & set(keys)
        assert found.items


def test_every_key_of_the_schema_of_materials_is_one_that_is_read():
    shapes = schema_of(File.MATERIALS)
    material = shapes["additionalProperties"]["properties"]
    substance = shapes["properties"]["substances"]["additionalProperties"]["properties"]
    for head, keys in (('"a blend"', material), ('substances."New"', substance)):
        problems = []
        text = f"[{head}]\n" + "".join(f"{key} = -1\n" for key in keys)
        stores_of("materials.toml", text, problems)
        assert not {one.found for one in problems} & set(keys), head
        assert problems  # what is written is wrong, so that every key was looked at


def test_every_kind_of_rule_has_a_place_in_the_schema():
    shapes = schema_of(File.BRIEF)["properties"]["rules"]["additionalProperties"]["anyOf"]
    assert [one["title"] for one in shapes[:-1]] == [one.example for one in kinds()]


@pytest.mark.parametrize("file", File)
def test_the_command_prints_the_schema(file, barwright):
    done = barwright("schema", file)
    assert done.returncode == 0
    assert json.loads(done.stdout) == json.loads(json.dumps(schema_of(file)))
