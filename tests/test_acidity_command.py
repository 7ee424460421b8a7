"""``barwright acidity``: the pH, what it rests on, what changes it, and learning from readings."""

import json
import tomllib
from pathlib import Path

import pytest
from blends import standalone
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


SULFATE = "sodium coco-sulfate, needles"


@pytest.fixture
def folder(examples, tmp_path) -> Path:
    return standalone(tmp_path / "bench")


@pytest.fixture
def acidity(barwright, folder):
    """Ask about today's formula of a copy of the bench."""

    def ask(*words: str, **variables):
        formula = folder / "formulas" / "today.toml"
        return barwright("acidity", str(folder), str(formula), *words, **variables)

    return ask


@pytest.fixture
def answer(acidity):
    def ask(*words: str):
        done = acidity(*words, "--format", "json")
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return ask


_ASKED: dict[tuple[str, ...], object] = {}


@pytest.fixture
def today(barwright, examples):
    """Ask about today's formula of the example itself; what was asked before is not asked again."""
    bench = examples / "oily-hair"

    def ask(*words: str):
        if words not in _ASKED:
            formula = bench / "formulas" / "today.toml"
            _ASKED[words] = barwright("acidity", str(bench), str(formula), *words)
        return _ASKED[words]

    return ask


@pytest.fixture
def found(today):
    """The same as JSON."""

    def ask(*words: str):
        done = today(*words, "--format", "json")
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return ask


def readings(folder: Path) -> str:
    return str(folder / "readings" / "coco-sulfate.toml")


def test_the_ph_is_said_first_with_its_range_and_what_the_brief_makes_of_it(today):
    done = today()
    lines = done.stdout.splitlines()
    assert done.returncode == 0
    assert not done.stderr
    assert lines[0].startswith("Reedmere bar for oily hair")
    assert "predicted pH 5.2" in lines[0]
    said = " ".join(lines[:6])
    assert "10 % of bar" in said
    assert "kept as predicted, not over the whole range" in said


def test_everything_fits_eighty_columns(today, folder):
    done = today("--aim", "5.8", "--readings", readings(folder))
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_the_ph_is_the_one_that_check_finds(barwright, found, folder):
    checked = barwright(
        "check", str(folder), str(folder / "formulas" / "today.toml"), "--format", "json"
    )
    rules = {rule["rule"]: rule for rule in json.loads(checked.stdout)["rules"]}
    assert found()["prediction"]["ph"] == pytest.approx(rules["acidity"]["value"])


def test_an_aim_gives_grams_of_each_acid_and_what_they_would_break(today):
    said = today("--aim", "5.0").stdout
    part = said[said.index("To reach pH 5.00") : said.index("pH against")]
    assert "citric acid, anhydrous" in part
    assert "lactic acid, 80 %" in part
    assert "g more" in part
    assert "in 100 bars" in part
    assert "pulls the other way" in part
    assert "breaks acidity" in today("--aim", "5.8").stdout


def test_grams_for_bars_are_grams_for_their_mix(found, today):
    """10 bars of 60 g with 2 % drying and 1.5 % loss are 0.6216 kg of mix."""
    done = today("--aim", "5.0", "--bars", "10")
    assert "10 bars of 60 g are 621.57 g of mix" in done.stdout
    dose = {one["material"]: one["amount"] for one in found("--aim", "5.0")["doses"]}
    grams = dose["citric acid, anhydrous"] * 1000 * 10 * 0.060 / (0.98 * 0.985)
    assert f"{grams:.3f} g more" in done.stdout


def test_the_doses_lead_where_they_are_said_to_lead(answer, barwright, folder):
    found = answer("--aim", "5.3")
    amount = {one["material"]: one["amount"] for one in found["doses"]}["citric acid, anhydrous"]
    text = (folder / "formulas" / "today.toml").read_text("utf-8")
    shares = tomllib.loads(text)["parts"]
    grams = {name: float(share.removesuffix(" %")) * 10 for name, share in shares.items()}
    grams["citric acid, anhydrous"] += amount * 1000
    lines = [f'"{name}" = "{mass:.9f} g"' for name, mass in grams.items()]
    other = folder / "formulas" / "changed.toml"
    other.write_text("schema = 1\n[parts]\n" + "\n".join(lines) + "\n", "utf-8")
    done = barwright("acidity", str(folder), str(other), "--format", "json")
    assert json.loads(done.stdout)["prediction"]["ph"] == pytest.approx(5.3, abs=1e-3)


def test_json_gives_the_curve_as_data_through_the_bar_as_it_is(found):
    given = found("--aim", "5.0")
    curve = given["curve"]
    phs = [point["ph"] for point in curve["points"]]
    assert given["schema"] == 1
    assert curve["material"] == "citric acid, anhydrous"
    assert curve["now"] == pytest.approx(0.0015)
    assert len(phs) > 20
    assert phs == sorted(phs, reverse=True)
    assert phs[-1] < given["prediction"]["ph"] < phs[0]
    assert given["target"] == 5.0
    assert given["target_asked"]


def test_the_curve_can_be_drawn_for_another_material(today, found):
    assert found("--using", "Lactic Acid, 80 % solution")["curve"]["material"] == (
        "lactic acid, 80 % solution"
    )
    assert (
        "pH against lactic acid, 80 % solution"
        in today("--using", "lactic acid, 80 % solution").stdout
    )


def test_the_curve_is_drawn_in_plain_characters_with_the_bar_and_the_target(today):
    said = today("--aim", "5.0").stdout
    drawn = said[said.index("pH against") : said.index("o: the mix as it stands")]
    assert drawn.isascii()
    assert "o" in drawn.split("\npH\n")[1]
    assert "x" in drawn.split("\npH\n")[1]


def test_the_acid_form_of_the_preservatives_is_shown(today, found):
    said = today().stdout
    assert "Acid preservatives at this pH" in said
    by_name = {one["substance"]: one for one in found()["acid_preservatives"]}
    assert 0.05 < by_name["Sodium Benzoate"]["undissociated"] < 0.12
    assert 0.15 < by_name["Potassium Sorbate"]["undissociated"] < 0.35
    assert by_name["Sodium Benzoate"]["works_below_ph"] == 5.5


def test_the_cautions_are_always_there(today):
    said = " ".join(today().stdout.split())
    assert "A predicted pH never replaces a measured one" in said
    assert "A test strip shows steps of 0.2 to 1 pH" in said
    assert "Add acid in small portions" in said
    assert "Local law" in said


def test_alkali_on_the_shelf_brings_its_cautions(acidity, folder):
    with (folder / "shelf.csv").open("a", encoding="utf-8") as file:
        file.write("sodium hydroxide, pellets;1 kg;6 EUR;;yes;\n")
    said = " ".join(acidity("--aim", "6.5").stdout.split())
    assert "never pour water onto solid alkali" in said
    assert "Burns skin as supplied" in said


def test_what_is_not_known_is_said_and_not_in_the_range(acidity, answer, folder):
    with (folder / "materials.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n["corn starch, of the mill"]\nform = "solid"\nphase = "powder"\n'
            'contents."Zea Mays Starch" = "100 %"\nsource = "the miller"\n'
        )
    shelf, formula = folder / "shelf.csv", folder / "formulas" / "today.toml"
    for file in (shelf, formula):
        text = file.read_text("utf-8").replace("corn starch, native", "corn starch, of the mill")
        file.write_text(text, "utf-8")
    said = " ".join(acidity().stdout.split())
    assert "Not known, counted as nought" in said
    assert "corn starch, of the mill: pH" in said
    assert answer()["prediction"]["unknown"] == ["corn starch, of the mill"]


def test_an_amidoamine_is_told_how_much_acid_it_has(acidity, answer, folder):
    with (folder / "shelf.csv").open("a", encoding="utf-8") as file:
        file.write("stearamidopropyl dimethylamine, flakes;1 kg;20 EUR;;yes;\n")
    formula = folder / "formulas" / "today.toml"
    text = formula.read_text("utf-8").replace(
        '"behentrimonium methosulfate, 25 % grade"', '"stearamidopropyl dimethylamine, flakes"'
    )
    formula.write_text(text, "utf-8")
    assert 0.0 < answer()["acid_to_amine"] < 1.0
    assert "Too little: it conditions only once acid" in " ".join(acidity().stdout.split())


def test_a_bar_without_one_says_nothing_of_amidoamines(today, found):
    assert found()["acid_to_amine"] is None
    assert "amidoamine" not in today().stdout


# Learning.


def test_readings_show_their_fit_and_write_nothing_unasked(acidity, folder):
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    done = acidity("--readings", readings(folder))
    assert done.returncode == 0
    assert "Nothing is written. With --write" in done.stdout
    assert f'["{SULFATE}"]' in done.stdout
    assert "learnt.date" in done.stdout
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_residuals_are_shown_and_the_reading_that_stands_apart_is_seen(found, folder):
    learnt = found("--readings", readings(folder))["learnt"]
    apart = [abs(one["ph_misfit"]) for one in learnt["readings"]]
    assert len(apart) == 9
    assert max(apart) == apart[-1] > 0.08
    assert learnt["entry"]["material"] == SULFATE
    assert not learnt["written"]


def test_what_was_learnt_is_written_and_used_from_then_on(acidity, answer, folder):
    at_first = answer()["prediction"]
    foreseen = answer("--readings", readings(folder))
    old = (folder / "materials.toml").read_text("utf-8")
    done = acidity("--readings", readings(folder), "--write")
    assert done.returncode == 0, done.stderr
    assert "Written to" in done.stdout
    text = (folder / "materials.toml").read_text("utf-8")
    assert [line for line in text.splitlines() if line in old.splitlines()] == old.splitlines()
    entry = tomllib.loads(text)[SULFATE]
    assert entry["learnt"]["date"] == "2026-11-20"
    assert len(entry["learnt"]["points"]) == 9
    assert entry["kind"] == "certificate"
    now = answer()["prediction"]
    assert now == foreseen["prediction"]
    assert foreseen["learnt"]["before"] == at_first
    assert now["ph"] > at_first["ph"] + 0.01
    assert now["high"] < at_first["high"]


def test_a_bench_without_a_file_of_materials_gets_one(acidity, folder):
    (folder / "materials.toml").unlink()
    assert acidity("--readings", readings(folder), "--write").returncode == 0
    entry = tomllib.loads((folder / "materials.toml").read_text("utf-8"))[SULFATE]
    assert entry["kind"] == "measured"
    assert acidity().returncode == 0


def of_the_bar(folder: Path) -> str:
    file = folder / "readings" / "bar.toml"
    file.write_text(
        'schema = 1\nof = "the bar as it is made today"\nsample = "20 g"\nwater = "180 g"\n'
        'added = "citric acid, anhydrous"\ndate = "2026-11-21"\n'
        'points = [["0 g", 5.6], ["0.02 g", 5.2], ["0.05 g", 4.8]]\n',
        "utf-8",
    )
    return str(file)


def test_readings_of_a_bar_need_to_be_told_whom_to_lay_them_on(acidity, folder):
    file = of_the_bar(folder)
    before = (folder / "materials.toml").read_bytes()
    shown = acidity("--readings", file)
    assert shown.returncode == 0
    assert "name one with --owing-to" in " ".join(shown.stdout.split())
    refused = acidity("--readings", file, "--write")
    assert refused.returncode == 2
    assert "--owing-to" in refused.stderr
    assert (folder / "materials.toml").read_bytes() == before
    laid = acidity("--readings", file, "--owing-to", SULFATE, "--write")
    assert laid.returncode == 0, laid.stderr
    entry = tomllib.loads((folder / "materials.toml").read_text("utf-8"))[SULFATE]
    assert entry["learnt"]["of"] == "the bar as it is made today"


def test_a_bar_that_was_read_is_then_predicted_as_it_was_read(answer, acidity, folder):
    file = of_the_bar(folder)
    acidity("--readings", file, "--owing-to", SULFATE, "--write")
    assert answer()["prediction"]["ph"] == pytest.approx(5.6, abs=0.1)


# What is wrong is told, all at once.


def test_every_problem_of_a_file_of_readings_is_told(acidity, folder):
    file = folder / "readings" / "bad.toml"
    file.write_text(
        'schema = 1\nof = "sodium coco-sulfate, needle"\nsample = "0 g"\nadded = "citric acid"\n'
        'date = "soon"\npoints = [["0 g", 8.9], ["0.1", 6.4]]\n',
        "utf-8",
    )
    done = acidity("--readings", str(file), "--write")
    assert done.returncode == 2
    assert not done.stdout
    assert "6 problems; nothing was written." in done.stderr
    assert f"nearest   {SULFATE}" in done.stderr


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--write"], "--write"),
        (["--owing-to", SULFATE], "--owing-to"),
        (["--write", "--owing-to", SULFATE], "2 problems"),
        (["--using", "citric acid, anhidrous"], "nearest   citric acid, anhydrous"),
        (["--readings", "no/such/file.toml"], "no such file"),
    ],
)
def test_a_question_that_does_not_fit_is_told_why(today, words, told):
    done = today(*words)
    assert done.returncode == 2
    assert told in done.stderr
    assert not done.stdout


@pytest.mark.parametrize("aim", ["15", "-1", "acid"])
def test_an_aim_is_a_ph(today, aim):
    done = today("--aim", aim)
    assert done.returncode == 2
    assert "--aim" in done.stderr


def test_problems_come_as_json_where_json_was_asked_for(today):
    done = today("--write", "--format", "json")
    assert done.returncode == 2
    assert json.loads(done.stderr)["problems"][0]["file"] == "--write"


def test_bars_need_a_declared_mass(acidity, folder):
    brief = folder / "brief.toml"
    text = brief.read_text("utf-8").replace('declared = "60 g"', "")
    brief.write_text(text, "utf-8")
    assert acidity("--bars", "10").returncode == 2
    done = acidity()
    assert done.returncode == 0
    assert "bars" not in done.stdout.split("To reach")[1].split("pH against")[0]


def test_a_bar_that_is_all_of_the_dispersion_has_no_ph(acidity, folder):
    brief = folder / "brief.toml"
    brief.write_text(
        brief.read_text("utf-8").replace('dilution = "10 %"', 'dilution = "100 %"'), "utf-8"
    )
    done = acidity()
    assert done.returncode == 2
    assert "less than 100 %" in done.stderr


def test_a_substance_that_ionises_needs_a_molar_mass(acidity, folder):
    with (folder / "materials.toml").open("a", encoding="utf-8") as file:
        file.write('\n[substances."Pine Acid"]\nionisation = { pka = [4.0] }\n')
    done = acidity()
    assert done.returncode == 2
    assert "no molar_mass" in done.stderr
