"""What every command prints over the examples, 80 columns wide and without colour.

    pytest tests/test_golden.py --rewrite

writes them anew; read the difference before it is committed.
"""

import json
import re
from pathlib import Path

import pytest

GOLDEN = Path(__file__).parent / "golden"
OILY, DRY = "examples/oily-hair", "examples/dry-hair"
TODAY, DRY_TODAY = f"{OILY}/formulas/today.toml", f"{DRY}/formulas/today.toml"
UNSCENTED = f"{OILY}/formulas/no-lavender.toml"
NEEDLES = "sodium coco-sulfate, needles"
QUARTER, HALF = (f"behentrimonium methosulfate, {share} % grade" for share in (25, 50))

COMMANDS = {
    "cheapest-oily": ("cheapest", OILY),
    "cheapest-dry": ("cheapest", DRY),
    "sure-oily": ("cheapest", OILY, "--sure", "99%", "--output", "200 kg/month"),
    "check-oily": ("check", OILY, TODAY),
    "check-dry": ("check", DRY, DRY_TODAY),
    "materials-words": ("materials", "glutamate", "powder"),
    "materials-one": ("materials", "sodium cocoyl isethionate, powder"),
    "curve-protein": ("curve", OILY, "--limit", "protein"),
    "curve-price": ("curve", OILY, "--price", "corn starch, native"),
    "acidity-oily": ("acidity", OILY, TODAY, "--aim", "5.8"),
    "replace-stronger-grade": ("replace", OILY, TODAY, "--without", QUARTER, "--with", HALF),
    "replace-gone": ("replace", DRY, DRY_TODAY, "--without", NEEDLES),
    "replace-family": ("replace", OILY, TODAY, UNSCENTED, "--without", "kaolin, white"),
    "runout-oily": ("runout", OILY, TODAY, "--old", QUARTER, "--new", HALF, "--batch", "10 kg"),
    "sweep-limit": (
        "sweep",
        OILY,
        "--limit",
        "protein min=0.2%;0.5%;1%",
        "--lots",
        "all",
        "--count",
        "12",
    ),
    "sweep-oily": ("sweep", OILY, "--prices", "kaolin, white=30%", "--count", "200"),
    "batch-oily": ("batch", OILY, TODAY, "--bars", "12"),
    "label-eu": ("label", OILY, TODAY),
    "label-us": ("label", DRY, DRY_TODAY, "--market", "US"),
    "fill-oily": ("fill", OILY),
    "compare": ("compare", TODAY, UNSCENTED, DRY_TODAY),
    "plan": ("plan", "examples/market-days.csv", "--from", "2026-11-23", "--gap", "0 %"),
    "price-oily": ("price", OILY, TODAY, "--bars", "12"),
}

DEPTHS = {"": (), "-all": ("--all",)}
"""What is added to the name of a page, and to its command line."""


def compared(name, text, rewrite):
    path = GOLDEN / f"{name}.txt"
    lines = "\n".join(line.rstrip() for line in text.splitlines()) + "\n"
    if rewrite:
        path.write_text(lines, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == lines


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_prints_what_was_read_and_approved(name, depth, barwright, request):
    done = barwright(*COMMANDS[name], *DEPTHS[depth])
    assert done.returncode == 0, done.stderr
    compared(f"{name}{depth}", done.stdout, request.config.getoption("--rewrite"))


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("name", COMMANDS)
def test_every_line_fits_eighty_columns(name, depth):
    lines = (GOLDEN / f"{name}{depth}.txt").read_text(encoding="utf-8").splitlines()
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("name", COMMANDS)
def test_every_answer_is_one_screen_unless_all_is_asked(name):
    lines = (GOLDEN / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 24


FOR_THE_EXPERT = ("ionic strength", "mmol", "by class", "by substance", "mol/kg")


@pytest.mark.parametrize("name", COMMANDS)
def test_no_word_of_the_expert_stands_in_one_screen(name):
    page = (GOLDEN / f"{name}.txt").read_text(encoding="utf-8").lower()
    assert not [word for word in FOR_THE_EXPERT if word in page]
    assert not re.search(r"(?<![\d.])1 (rules|bars|batches|cautions|materials|cents)\b", page)


@pytest.mark.parametrize("name", ["cheapest-oily", "cheapest-dry"])
def test_one_screen_names_what_is_weighed_with_what_adds_to_a_kilogram(name):
    page = (GOLDEN / f"{name}.txt").read_text(encoding="utf-8")
    grams = [float(figure) for figure in re.findall(r"([\d.]+) g [a-z]", page)]
    assert len(grams) >= 16
    assert sum(grams) == pytest.approx(1000, abs=0.01 * len(grams))


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_speaks_json_with_a_schema(name, barwright):
    done = barwright(*COMMANDS[name], "--format", "json")
    assert done.returncode == 0, done.stderr
    form = json.loads(done.stdout)
    assert form["schema"] == 1
    assert form["command"] == COMMANDS[name][0]


def test_every_command_has_a_golden_page():
    from barwright.cli.kit.app import COMMANDS as ALL

    shown = {words[0] for words in COMMANDS.values()}
    elsewhere = {
        "book",
        "new",
        "page",
        "schema",
        "verify",
    }  # these write, or need what was written
    assert set(ALL) == shown | elsewhere


def test_a_wide_terminal_is_used_and_never_needed(barwright):
    wide = barwright(*COMMANDS["cheapest-oily"], "--all", width=120)
    assert wide.returncode == 0
    assert 80 < max(map(len, wide.stdout.splitlines())) <= 120


def test_nothing_is_coloured_when_colour_is_not_wanted(barwright):
    assert "\x1b" not in barwright(*COMMANDS["cheapest-oily"]).stdout


def test_a_bad_bench_says_everything_and_prints_nothing(barwright, tmp_path):
    done = barwright("cheapest", str(tmp_path))
    assert done.returncode == 2
    assert done.stdout == ""
    assert "brief.toml" in done.stderr
    assert "shelf.csv" in done.stderr
    assert "2 problems; nothing was written." in done.stderr


def test_an_answer_written_back_is_a_formula_that_check_accepts(barwright, tmp_path):
    formula = tmp_path / "answer.toml"
    assert barwright("cheapest", OILY, "--write", str(formula)).returncode == 0
    assert barwright("check", OILY, str(formula)).returncode == 0
    again = barwright("cheapest", OILY, "--write", str(formula))
    assert again.returncode == 2
    assert barwright("cheapest", OILY, "--write", str(formula), "--overwrite").returncode == 0


def test_a_broken_rule_ends_check_with_four(barwright):
    done = barwright("check", DRY, "tests/data/benches/too-strong.toml")
    assert done.returncode == 4
    assert "Broken" in done.stdout


def test_two_solvers_are_asked_when_a_second_opinion_is_wanted(barwright):
    done = barwright("cheapest", OILY, "--second-opinion")
    assert done.returncode == 0
    assert "second solver" in done.stdout


def test_a_terminal_without_the_signs_still_gets_the_answer(barwright):
    done = barwright(*COMMANDS["cheapest-oily"], PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.returncode == 0, done.stderr
    assert "8.218 EUR/kg of mix" in done.stdout
    assert done.stdout.isascii()
