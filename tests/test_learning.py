"""What readings taught goes into the maker's file, and everything else in it stays."""

import tomllib
from pathlib import Path

import pytest
from barwright.constraints.acidity.prediction import predict
from barwright.constraints.bench.learning import (
    Lesson,
    lesson_lines,
    lesson_of,
    lesson_text,
    write_lesson,
)
from barwright.constraints.bench.reading import read_bench, read_formula
from barwright.constraints.bench.readings_reading import Readings, read_readings, readings_of
from barwright.constraints.model.brief import Bench
from barwright.constraints.model.material import Span
from barwright.constraints.values.problem import Problem, Problems, Where
from barwright.solver.calibration.sampling import sample_of
from barwright.solver.calibration.teaching import Taught, teach
from blends import standalone
from hypothesis import given, settings
from hypothesis import strategies as st

SULFATE = "sodium coco-sulfate, needles"
SULFOACETATE = "sodium lauryl sulfoacetate, powder"
READINGS = Readings(
    SULFATE,
    0.1,
    0.9,
    "citric acid, anhydrous",
    "2026-11-20",
    ((0.0, 10.48), (3e-5, 9.93), (1.2e-4, 5.63)),
    Where("somewhere/coco-sulfate.toml"),
)
LESSON = Lesson(SULFATE, Span(-1e-5, 0.0123, 0.02), 0.0022, READINGS)
LEARNT = {
    "date": "2026-11-20",
    "file": "coco-sulfate.toml",
    "of": SULFATE,
    "sample": "100 g",
    "water": "900 g",
    "added": "citric acid, anhydrous",
    "meter": 0.05,
    "points": [["0 g", 10.48], ["0.03 g", 9.93], ["0.12 g", 5.63]],
}
FIGURES = {
    "alkalinity": ["-0.00001 mol/kg", "0.0123 mol/kg", "0.02 mol/kg"],
    "buffer": "0.0022 mol/kg",
    "learnt": LEARNT,
}

MINE = f"""# My deliveries, by hand.

["{SULFATE}"]   # the blue sack
contents."Sodium Coco-Sulfate" = ["91 %", "92 %", "94 %"]  # certificate
source = "certificate of 3 November"

# The next one came without a certificate.
["{SULFOACETATE}"]
alkalinity = [
    "0 mol/kg",    # a guess
    "0.01 mol/kg",
    "0.03 mol/kg", # by telephone
]

# What is in it, by the sheet.
["{SULFOACETATE}".contents]
"Sodium Lauryl Sulfoacetate" = "65 %"
# the end, without a line end"""


def comments(text: str) -> list[str]:
    return [line[line.index("#") :] for line in text.splitlines() if "#" in line]


def written(content: str | None, lesson: Lesson = LESSON) -> str:
    text = lesson_text(content, lesson)
    assert isinstance(text, str)
    return text


def of(name: str) -> Lesson:
    return Lesson(name, LESSON.alkalinity, LESSON.buffer, READINGS)


@pytest.mark.parametrize("name", [SULFATE, SULFOACETATE, "kaolin, white"])
def test_a_lesson_is_added_and_all_else_stays(name):
    text = written(MINE, of(name))
    before, after = tomllib.loads(MINE), tomllib.loads(text)
    entry = before.get(name, {"source": after[name].get("source"), "kind": "measured"})
    entry |= {} if name in before else {"date": "2026-11-20"}
    assert after == {**before, name: {**entry, **FIGURES}}
    assert comments(text) == comments(MINE)


def test_every_line_of_the_maker_stands_where_it_stood():
    lines = iter(written(MINE).splitlines())
    assert all(line in lines for line in MINE.splitlines())


def test_comments_about_the_next_entry_stay_with_it():
    lines = written(MINE).splitlines()
    about = lines.index("# The next one came without a certificate.")
    assert lines[about + 1] == f'["{SULFOACETATE}"]'
    assert lines[about - 2 - len(READINGS.points) - 1] == "learnt.points = ["
    assert lines[about - 2] == "]"


def test_comments_between_figures_stay_between_them():
    text = written(MINE, of(SULFOACETATE))
    assert '"-0.00001 mol/kg",    # a guess' in text
    assert '"0.02 mol/kg", # by telephone' in text


def test_learning_the_same_again_changes_nothing():
    once = written(MINE)
    assert written(once) == once


def test_new_readings_take_the_place_of_old_ones():
    later = Lesson(SULFATE, Span(0.1, 0.1, 0.1), 0.0, READINGS)
    entry = tomllib.loads(written(written(MINE), later))[SULFATE]
    assert entry["alkalinity"] == "0.1 mol/kg"
    assert entry["buffer"] == "0 mol/kg"


def test_a_file_is_begun_where_there_is_none_and_says_where_its_figures_come_from():
    entry = tomllib.loads(written(None))[SULFATE]
    assert {key: entry[key] for key in FIGURES} == FIGURES
    assert (entry["kind"], entry["date"]) == ("measured", "2026-11-20")
    assert "readings" in entry["source"]


@pytest.mark.parametrize(
    "learnt",
    [
        'learnt.date = "2020-01-01" # old',
        'learnt = { date = "2020-01-01" } # old',
        f'["{SULFATE}".learnt]\ndate = "2020-01-01" # old',
    ],
)
def test_an_older_lesson_is_renewed_however_it_was_written(learnt):
    text = written(f'["{SULFATE}"]\ntags = ["sulfate"]\n{learnt}\n')
    assert tomllib.loads(text)[SULFATE]["learnt"] == LEARNT
    assert "# old" in text


def test_windows_line_ends_and_the_mark_of_byte_order_stay():
    text = written("\ufeff" + MINE.replace("\n", "\r\n"))
    assert text.startswith("\ufeff# My deliveries")
    assert text.count("\n") == text.count("\r\n")
    assert text.replace("\r\n", "\n").removeprefix("\ufeff") == written(MINE)


@pytest.mark.parametrize(
    "content",
    [
        f'"{SULFATE}" = {{ tags = ["sulfate"] }}\n',
        f'["{SULFATE}"]\ntags = ["x"]\n[other]\ntags = []\n["{SULFATE}".heat]\nmelts_at = "1 degC"',
    ],
)
def test_an_entry_that_cannot_be_added_to_is_refused_and_named(content):
    problem = lesson_text(content, LESSON)
    assert isinstance(problem, Problem)
    assert SULFATE in problem.where.place


@given(
    st.lists(st.floats(-1.0, 1.0), min_size=3, max_size=3).map(sorted),
    st.floats(0.0, 1.0),
    st.sampled_from([MINE, None, written(MINE)]),
)
@settings(max_examples=30, deadline=None)
def test_whatever_was_learnt_is_read_back_as_it_was(ends, buffer, content):
    bench = read_bench(Path(__file__).parents[1] / "examples" / "oily-hair")
    lesson = lesson_of(bench.material(SULFATE), Span(*ends), buffer, READINGS)
    entry = tomllib.loads(written(content, lesson))[SULFATE]
    figures = entry["alkalinity"]
    figures = figures if isinstance(figures, list) else [figures] * 3
    read = [float(figure.removesuffix(" mol/kg")) for figure in figures]
    span = lesson.alkalinity
    assert read == [span.low, span.typical, span.high]
    assert read == pytest.approx(ends, abs=1e-6)
    assert float(entry["buffer"].removesuffix(" mol/kg")) == lesson.buffer


def test_the_lines_shown_are_the_lines_written():
    assert "\n".join(lesson_lines(LESSON)) in written(MINE)


def test_nothing_is_left_behind_where_writing_fails(tmp_path):
    (tmp_path / "materials.toml").mkdir()
    assert isinstance(write_lesson(tmp_path, LESSON), Problem)
    assert [path.name for path in tmp_path.iterdir()] == ["materials.toml"]


# A whole bench that learns.


@pytest.fixture
def folder(examples, tmp_path) -> Path:
    return standalone(tmp_path / "bench")


def read(folder: Path):
    bench = read_bench(folder)
    assert isinstance(bench, Bench)
    return bench, read_formula(folder / "formulas" / "today.toml", bench)


def ph_of(bench, composition):
    return predict(bench.parts_of(composition), bench.substances, bench.brief.dilution)


def learn_from(folder: Path, file: Path, owing_to: str | None = None):
    bench, composition = read(folder)
    readings = read_readings(file, bench, composition)
    assert isinstance(readings, Readings)
    sample = sample_of(readings, bench, composition)
    taught = teach(bench, composition, sample, owing_to)
    return bench, composition, taught


@pytest.mark.parametrize("own_file", [True, False])
def test_a_bench_read_anew_predicts_with_what_was_learnt(folder, own_file):
    if not own_file:
        (folder / "materials.toml").unlink()
    file = folder / "readings" / "coco-sulfate.toml"
    bench, composition, taught = learn_from(folder, file)
    assert isinstance(taught, Taught)
    assert write_lesson(folder, taught.lesson) is None
    again, _ = read(folder)
    assert again == taught.bench
    material = again.material(SULFATE)
    assert material.alkalinity == taught.lesson.alkalinity
    assert material.buffer == taught.lesson.buffer
    assert material.alkalinity.typical == pytest.approx(0.012, abs=5e-4)
    before, after = ph_of(bench, composition), ph_of(again, composition)
    assert after.ph > before.ph + 0.01
    assert after.high - after.low < before.high - before.low


def test_a_material_like_the_one_read_learns_too(folder):
    kind = "a lesson for one goes for what is like it"
    with (folder / "materials.toml").open("a", encoding="utf-8") as file:
        file.write(f'\n["coco-sulfate, second sack"]\nlike = "{SULFATE}"\nsource = "{kind}"\n')
    with (folder / "shelf.csv").open("a", encoding="utf-8") as file:
        file.write("coco-sulfate, second sack;1 kg;8 EUR;;yes;\n")
    _, _, taught = learn_from(folder, folder / "readings" / "coco-sulfate.toml")
    second = taught.bench.material("coco-sulfate, second sack")
    assert second.alkalinity == taught.lesson.alkalinity


def bar_readings(folder: Path, extra: float) -> Path:
    """What a perfect meter reads of the bar, were there more base in its sulfate [mol/kg]."""
    from dataclasses import replace

    from barwright.constraints.acidity.charge import disperse, equilibrium

    bench, composition = read(folder)
    parts = []
    for one, share in bench.parts_of(composition):
        more = Span(0.0, one.alkalinity.typical + extra, 1.0)
        held = replace(one, alkalinity=more) if one.name == SULFATE else one
        parts.append((held, share * 0.1))
    acid = bench.material("citric acid, anhydrous")
    points = [
        (grams, equilibrium(disperse([*parts, (acid, grams / 1000)], bench.substances, 0.9))[0])
        for grams in (0, 0.05, 0.1, 0.2, 0.4)
    ]
    path = folder / "readings" / "bar.toml"
    rows = ", ".join(f'["{grams} g", {value!r}]' for grams, value in points)
    path.write_text(
        f'schema = 1\nof = "{composition.name}"\nsample = "100 g"\nwater = "900 g"\n'
        f'added = "{acid.name}"\ndate = "2026-11-21"\npoints = [{rows}]\n',
        encoding="utf-8",
    )
    return path


def test_readings_of_a_bar_are_laid_on_the_material_named(folder):
    bench, _, taught = learn_from(folder, bar_readings(folder, 0.02), SULFATE)
    before = bench.material(SULFATE).alkalinity.typical
    assert taught.lesson.alkalinity.typical == pytest.approx(before + 0.02, abs=1e-5)


def test_readings_of_a_bar_are_laid_on_no_one_unasked_where_all_is_known(folder):
    bench, _, taught = learn_from(folder, bar_readings(folder, 0.02))
    assert taught.lesson is None
    assert taught.bench == bench
    assert taught.learned.alkalinity.typical == pytest.approx(0.15 * 0.02, abs=1e-5)


def test_a_bar_does_not_owe_its_acidity_to_what_is_not_in_it(folder):
    _, _, taught = learn_from(folder, bar_readings(folder, 0.02), "cocoa butter, deodorised")
    assert isinstance(taught, Problems)
    assert taught.items[0].where.file == "--owing-to"


def test_readings_of_another_material_owe_nothing_to_this_one(folder):
    file = folder / "readings" / "coco-sulfate.toml"
    _, _, taught = learn_from(folder, file, "kaolin, white")
    assert isinstance(taught, Problems)


def with_points(folder, points, more=""):
    file = folder / "readings" / "coco-sulfate.toml"
    text = file.read_text("utf-8")
    file.write_text(f"{text[: text.index('points')]}points = {points}\n{more}", "utf-8")
    return file


def test_one_reading_narrows_what_a_bench_knows(folder):
    file = with_points(folder, '[["0 g", 9.0]]', "strip = 0.5\n")
    bench, composition, taught = learn_from(folder, file)
    assert isinstance(taught, Taught)
    known, learnt = bench.material(SULFATE).alkalinity, taught.bench.material(SULFATE).alkalinity
    assert learnt == taught.lesson.alkalinity
    assert learnt.high - learnt.low < (known.high - known.low) / 5
    before, after = ph_of(bench, composition), ph_of(taught.bench, composition)
    assert after.high - after.low < before.high - before.low


@pytest.mark.parametrize(
    ("points", "found"),
    [
        ('[["0 g", 9.0], ["0 g", 8.0]]', "which cannot all be true"),
        ('[["0 g", 6.0], ["0.1 g", 8.0]]', "it went the wrong way"),
    ],
)
def test_readings_that_contradict_each_other_are_a_problem_in_their_file(folder, points, found):
    _, _, taught = learn_from(folder, with_points(folder, points))
    assert isinstance(taught, Problems)
    assert found in taught.items[0].found
    assert taught.items[0].where.place == "points.1, 2"


def test_a_reading_of_a_bar_narrows_the_range_of_that_bar(folder):
    bench, composition, taught = learn_from(folder, bar_readings(folder, 0.002))
    assert isinstance(taught, Taught)
    before = ph_of(bench, composition)
    assert before.low <= taught.bar.low <= taught.bar.typical <= taught.bar.high <= before.high
    assert taught.bar.high - taught.bar.low < (before.high - before.low) / 2
    for one in taught.narrowed:
        assert one.before.low - 1e-9 <= one.after.low <= one.after.high <= one.before.high + 1e-9


def test_a_material_that_is_not_on_the_shelf_can_be_read_and_added(folder):
    file = folder / "readings" / "coco-sulfate.toml"
    text = file.read_text("utf-8").replace("citric acid, anhydrous", "citric acid, monohydrate")
    file.write_text(text, "utf-8")
    bench, composition = read(folder)
    readings = read_readings(file, bench, composition)
    assert isinstance(readings, Readings)
    sample = sample_of(readings, bench, composition)
    assert sample.added.name == "citric acid, monohydrate"
    with pytest.raises(KeyError):
        bench.material("citric acid, monohydrate")


def test_a_file_of_readings_that_is_not_there_is_a_problem(folder):
    bench, composition = read(folder)
    found = read_readings(folder / "none.toml", bench, composition)
    assert isinstance(found, Problems)
    assert found.items[0].found == "no such file"


def test_what_is_written_of_the_readings_can_be_read_as_readings():
    entry = tomllib.loads(written(None))[SULFATE]["learnt"]
    lines = [f"{key} = {value!r}" for key, value in entry.items() if key not in {"points", "file"}]
    rows = ", ".join(f'["{mass}", {value}]' for mass, value in entry["points"])
    text = "\n".join(["schema = 1", *lines, f"points = [{rows}]"])
    again = readings_of("again.toml", text, [SULFATE], ["citric acid, anhydrous"])
    assert isinstance(again, Readings)
    assert again.points == READINGS.points


def test_a_share_outside_the_bar_is_an_error_of_ours(examples):
    bench = read_bench(examples / "oily-hair")
    with pytest.raises(ValueError, match="share"):
        lesson_of(bench.material(SULFATE), Span(0, 0, 0), 0.0, READINGS, 0.0)
