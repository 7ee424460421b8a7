"""``replace`` and ``runout``: one command each, an answer to act on, honest exit codes."""

import io
import json
from contextlib import chdir, redirect_stderr, redirect_stdout
from types import SimpleNamespace

import pytest
from barwright.cli.kit.app import run as ran

OLD, NEW = (f"behentrimonium methosulfate, {grade} % grade" for grade in (25, 50))
BENCH = "examples/oily-hair"
FORMULA = f"{BENCH}/formulas/today.toml"
RICE = "hydrolyzed rice protein, powder"


@pytest.fixture
def barwright(root, monkeypatch):
    """Run a command line in this process, as wide as a plain terminal."""
    for name, value in {"COLUMNS": "80", "NO_COLOR": "1", "TERM": "dumb"}.items():
        monkeypatch.setenv(name, value)

    def run(*words):
        out, err = io.StringIO(), io.StringIO()
        with chdir(root), redirect_stdout(out), redirect_stderr(err):
            try:
                ran([*words, "--all"])
                code = 0
            except SystemExit as left:
                code = left.code
        return SimpleNamespace(returncode=code, stdout=out.getvalue(), stderr=err.getvalue())

    return run


def answer(done):
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["schema"] == 1
    return found


def test_a_stronger_grade_is_one_command_with_what_to_weigh(barwright):
    done = barwright("replace", BENCH, FORMULA, "--without", OLD, "--with", NEW)
    assert done.returncode == 0
    assert done.stderr == ""
    said = " ".join(done.stdout.split())
    assert f"For every 100 g of {OLD} that go, weigh 50.0 g of {NEW} and 50.0 g of" in said
    for word in ("pH", "EUR/kg", "hardness", "challenge test", "stability", "safety assessment"):
        assert word in said
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_material_that_is_not_to_be_had_is_one_command(barwright):
    found = answer(barwright("replace", BENCH, FORMULA, "--without", RICE, "--format", "json"))
    assert RICE not in {part["material"] for part in found["composition"]}
    assert all(rule["kept"] for rule in found["rules"])
    protein = next(one for one in found["comparison"]["classes"] if one["name"] == "protein")
    assert protein["after"] == pytest.approx(protein["before"])


def test_the_cheapest_compliant_bar_is_one_command(barwright):
    words = ("replace", BENCH, FORMULA, "--favour", "cost", "--format", "json")
    cheapest = json.loads(barwright("cheapest", BENCH, "--format", "json").stdout)
    assert answer(barwright(*words))["cost"] == pytest.approx(cheapest["cost"], abs=1e-4)


def test_what_is_written_is_read_back_keeps_the_rules_and_says_what_it_came_from(
    barwright, tmp_path
):
    path = tmp_path / "new.toml"
    words = ("replace", BENCH, FORMULA, "--without", OLD, "--write", str(path))
    assert barwright(*words).returncode == 0
    assert barwright("check", BENCH, str(path)).returncode == 0
    text = path.read_text(encoding="utf-8")
    assert f'from = "{FORMULA}"' in text
    assert f"without {OLD}" in text
    again = barwright(*words)
    assert again.returncode == 2
    assert "--overwrite" in again.stderr
    assert barwright(*words, "--overwrite").returncode == 0


def test_a_formula_that_keeps_every_rule_needs_no_change(barwright):
    done = barwright("replace", BENCH, FORMULA)
    assert "Nothing has to change" in done.stdout


def test_what_is_to_go_and_is_not_in_the_formula_is_said(barwright):
    absent = "sodium cocoyl glutamate, powder"
    done = barwright("replace", BENCH, FORMULA, "--without", absent)
    assert f"{absent} is not in it." in done.stdout


def test_nothing_on_the_shelf_exits_3_and_ranks_what_to_look_for(barwright):
    done = barwright("replace", BENCH, FORMULA, "--avoid", "quat", "--format", "json")
    assert done.returncode == 3
    found = json.loads(done.stdout)
    assert found["status"] == "infeasible"
    best = found["look_for"]["best"]
    assert best
    nearness = [
        tuple(round(one["distance"][stage], 4) for stage in ("class", "kind", "substance"))
        for one in best
    ]
    assert nearness == sorted(nearness)
    assert all(one["share"] <= one["usual_dose"][1] + 1e-9 for one in best if one["usual_dose"])


def test_nothing_on_the_shelf_is_told_in_words_that_fit_the_screen(barwright):
    done = barwright("replace", BENCH, FORMULA, "--avoid", "quat")
    assert done.returncode == 3
    assert "What to look for" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_what_to_look_for_does_what_it_says_once_it_is_on_the_shelf(barwright):
    done = barwright("replace", BENCH, FORMULA, "--avoid", "quat", "--format", "json")
    best = json.loads(done.stdout)["look_for"]["best"][0]
    name, worth = best["material"], best["worth"]
    words = ("replace", BENCH, FORMULA, "--avoid", "quat", "--with", name, "--nearly", "0 %")
    found = answer(barwright(*words, "--format", "json", "--price", f"{name}={worth:.6f} EUR/kg"))
    assert found["distance"]["class"] == pytest.approx(best["distance"]["class"], abs=1e-6)
    # its worth is the price at which the mix costs what it does today
    cost = found["comparison"]["cost"]
    assert cost["after"] <= cost["before"] + 1e-3


def test_the_frontier_is_a_table_and_a_plot(barwright):
    done = barwright("replace", BENCH, FORMULA, "--without", OLD, "--frontier")
    assert done.returncode == 0
    assert "What closeness costs" in done.stdout
    assert "% of the bar changed" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_formula_may_hold_what_is_off_the_shelf(barwright, tmp_path, root):
    formula = tmp_path / "old.toml"
    text = (root / FORMULA).read_text(encoding="utf-8")
    formula.write_text(text.replace(OLD, "behentrimonium chloride, 25 % grade"), encoding="utf-8")
    found = answer(barwright("replace", BENCH, str(formula), "--format", "json"))
    used = {part["material"] for part in found["composition"]}
    assert "behentrimonium chloride, 25 % grade" not in used
    assert found["comparison"]["cost"]["before"] is None


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--without", "hydrolyzed ryce protein, powder"), RICE),
        (("--with", "cetrimonium chloride, 30 % solution"), "not on the shelf"),
        (("--without", OLD, "--with", OLD), "with and without"),
        (("--avoid", "nonsense"), "substance, class or tag"),
        (("--price", "20 EUR/kg"), "MATERIAL=PRICE"),
        (("--price", f"{OLD}=20 EUR/kg"), "not on the shelf"),
        (("--nearly", "a bit"), "--nearly"),
    ],
)
def test_a_slip_on_the_command_line_is_bad_input_with_a_hint(barwright, words, said):
    done = barwright("replace", BENCH, FORMULA, *words)
    assert done.returncode == 2
    assert done.stdout == ""
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_bars_that_share_a_base_are_written_to_a_folder(barwright, tmp_path, root):
    text = (root / FORMULA).read_text(encoding="utf-8")
    other = tmp_path / "unscented.toml"
    plain = text.replace('"lavender oil, true" = "0.3 %"\n', "")
    other.write_text(plain.replace('"kaolin, white" = "11 %"', '"kaolin, white" = "11.3 %"'))
    folder = tmp_path / "changed"
    words = ("replace", BENCH, FORMULA, str(other), "--without", OLD, "--write", str(folder))
    found = answer(barwright(*words, "--format", "json"))
    assert len(found["changes"]) == 1
    for name in ("today.toml", "unscented.toml"):
        assert barwright("check", BENCH, str(folder / name)).returncode == 0
    table = barwright(*words, "--overwrite")
    assert "One change does for all of them." in table.stdout
    assert max(map(len, table.stdout.splitlines())) <= 80


def test_running_out_is_one_command_with_masses_to_weigh(barwright, tmp_path):
    folder = tmp_path / "plan"
    words = ("runout", BENCH, FORMULA, "--old", OLD, "--new", NEW, "--batch", "9 kg")
    done = barwright(*words, "--write", str(folder))
    assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    assert "3 whole batches" in said
    assert "380.00 g" in said
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert barwright("check", BENCH, str(folder / "mixed-batch.toml")).returncode == 0
    assert barwright("check", BENCH, str(folder / "after-runout.toml")).returncode == 0
    found = answer(barwright(*words, "--format", "json"))
    assert found["whole_batches"] == 3
    assert found["rest"] == pytest.approx(0.38)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--old", OLD), "no size of a batch"),
        (("--old", NEW, "--batch", "5 kg"), "not in the formula"),
        (("--old", RICE, "--batch", "5 kg"), "no stock"),
    ],
)
def test_runout_says_what_it_has_to_know(barwright, words, said):
    done = barwright("runout", BENCH, FORMULA, *words)
    assert done.returncode == 2
    assert said in done.stderr
