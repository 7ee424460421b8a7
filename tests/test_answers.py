"""What every command answers as JSON keeps its published schema, and no key is unnamed."""

import json
import shutil

import jsonschema
import pytest
from barwright.cli.kit.app import COMMANDS
from barwright.cli.schema.answers import answer_schema, answers, keys_of, shapes
from conftest import ROOT
from test_golden import COMMANDS as PAGES
from test_golden import DRY, DRY_TODAY, OILY, TODAY

READ = """schema = 1
of = "the bar as it is made today"
sample = "10 g"
water = "90 g"
date = "2026-11-20"
points = [["0 g", {ph}]]
"""
KINDS, GOOD = "tests/data/benches/kinds", "tests/data/benches/good"
BATCH = "2026-11-20-01"
OTHERS = {
    "sure of every lot": ("cheapest", OILY, "--sure", "always"),
    "a bar that was read": ("cheapest", OILY, "--readings", "bar.toml"),
    "alternatives": ("cheapest", OILY, "--alternatives", "2"),
    "no proof": ("cheapest", OILY, "--no-proof"),
    "out of time": ("cheapest", OILY, "--sure", "99%", "--time-limit", "0.01"),
    "every kind of rule": ("cheapest", KINDS),
    "nothing keeps the rules": ("cheapest", GOOD),
    "a rule broken": ("check", GOOD, f"{GOOD}/formulas/first.toml"),
    "a reading of a batch": ("acidity", OILY, TODAY, "--reads", "6.2", "--batch", "750g"),
    "readings": ("acidity", OILY, TODAY, "--readings", f"{OILY}/readings/coco-sulfate.toml"),
    "a tag to avoid": ("replace", OILY, TODAY, "--avoid", "tag:sulfate"),
    "as near as can be": (
        "replace", DRY, DRY_TODAY, "--without", "shea butter, refined", "--nearly", "0 %"
    ),
    "a batch too small": ("batch", OILY, TODAY, "--bars", "1"),
    "weighings": (
        "fill", OILY, "--weighings", "61.2 60.9 61.4 61.0 60.8", "--bars-a-year", "3000",
        "--formula", TODAY,
    ),
    "another market": ("label", OILY, TODAY, "--market", "AU"),
    "every material": ("materials",),
    "a limit on pH": ("curve", OILY, "--limit", "acidity"),
    "a formula held": (
        "sweep", OILY, "--prices", "all=20%", "--count", "32", "--formula", TODAY,
        "--missing", "kaolin, white=10%",
    ),
    "lots and limits": (
        "sweep", OILY, "--lots", "kaolin, white", "--limit", "protein min=0.2%;1%", "--count", "4",
    ),
    "bad input": ("cheapest", "nowhere"),
    "a batch begun": ("book", "examples", "--open", TODAY, "--bars", "12", "--made", "2026-11-20"),
    "a batch closed": ("book", "examples", "--close", BATCH),
    "a batch seen": ("book", "examples", "--batch", BATCH),
    "a lot traced": ("book", "examples", "--lot", "N-0418"),
    "the book": ("book", "examples"),
    "a proof written": ("cheapest", OILY, "--certificate", "proof.json"),
    "a proof verified": ("verify", "proof.json"),
    "a proof of a bench": ("verify", "proof.json", "--bench", OILY),
}  # fmt: skip
ASKED = {**PAGES, **OTHERS}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The examples and test benches in a folder of their own, where the book may be written."""
    made = tmp_path_factory.mktemp("answers")
    shutil.copytree(ROOT / "examples", made / "examples")
    (made / "bar.toml").write_text(READ.format(ph=5.6), "utf-8")
    for bench in (KINDS, GOOD):
        shutil.copytree(ROOT / bench, made / bench)
    return made


def faults(document, *, closed):
    validator = jsonschema.Draft202012Validator(answer_schema(document["command"], closed=closed))
    return [
        f"{error.json_path}: {error.message[-200:]}" for error in validator.iter_errors(document)
    ]


@pytest.mark.parametrize("name", ASKED)
def test_an_answer_keeps_its_schema_and_has_no_key_that_is_not_named(name, barwright, folder):
    """In the order of the list, since a book is written before it is read."""
    done = barwright(*ASKED[name], "--format", "json", cwd=folder)
    document = json.loads(done.stdout or done.stderr)
    assert faults(document, closed=True) == []
    assert faults(document, closed=False) == []


def test_every_command_that_answers_in_json_has_a_schema():
    assert set(answers()) == (set(COMMANDS) - {"new", "schema", "page"}) | {"problems", "remarks"}


@pytest.mark.parametrize("name", answers())
def test_the_schema_of_an_answer_is_a_schema_and_prints(name, barwright):
    schema = answer_schema(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    done = barwright("schema", "--answer", name)
    assert json.loads(done.stdout) == json.loads(json.dumps(schema))


def test_every_key_says_what_it_means_and_every_shape_is_used():
    used = set()
    for name in answers():
        used |= set(answer_schema(name)["$defs"])
        assert all(key.says for key in keys_of(name)), name
    for name, keys in shapes().items():
        assert all(key.says for key in keys), name
    assert used <= set(shapes())


def test_a_key_that_joins_is_no_fault_and_one_that_goes_is():
    document = {"schema": 1, "command": "problems", "problems": [], "more": 1}
    assert faults(document, closed=False) == []
    assert faults(document, closed=True)
    del document["problems"]
    assert faults(document, closed=False)


@pytest.mark.parametrize("words", [(), ("brief", "--answer", "check"), ("--answer", "chek")])
def test_neither_both_nor_an_unknown_name_is_a_schema(words, barwright):
    done = barwright("schema", *words)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
