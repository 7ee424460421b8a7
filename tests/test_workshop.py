"""One workshop, many bars: what a bench takes from the folder above, and from what it is like."""

import pytest
from barwright.constraints.bench.reading import bench_of, read_bench
from barwright.constraints.model.brief import Bench
from barwright.constraints.rules.share import Share
from barwright.constraints.values.problem import Problems

WORKSHOP = """schema = 1
[product]
currency = "EUR"
[workshop]
room = "18 degC"
vessel = "2 kg"
[balances.fine]
step = "0.01 g"
capacity = "300 g"
"""
BASE = """schema = 1
[product]
name = "base"
[rules."starch"]
share_of = "corn starch, native"
min = "10 %"
max = "40 %"
kind = "house"
because = "the base has it"
[rules."clay"]
share_of = "kaolin, white"
max = "20 %"
kind = "house"
because = "more is chalk"
"""
SHELF = 'material,pack,price\n"corn starch, native",1 kg,2 EUR\n"kaolin, white",1 kg,3 EUR\n'
MATERIALS = """["kaolin, white"]
density = "2.4 kg/L"
source = "the workshop's certificate"
["corn starch, native"]
density = "1.4 kg/L"
source = "the workshop's certificate"
"""
SHARED = {
    "../workshop.toml": WORKSHOP,
    "../base.toml": BASE,
    "../shelf.csv": SHELF,
    "../materials.toml": MATERIALS,
}


def bench(brief, **files):
    more = {name.replace("_", ".", 1): text for name, text in files.items()}
    return bench_of("bar", {**SHARED, "brief.toml": brief, **more})


def fine(brief, **files) -> Bench:
    read = bench(brief, **files)
    assert isinstance(read, Bench), read
    return read


LIKE = 'schema = 1\nlike = "../base.toml"\n'


def test_a_brief_rests_on_what_it_is_like_and_that_on_its_workshop():
    read = fine(LIKE + '[product]\nname = "own"\n')
    assert (read.brief.name, read.brief.currency, read.brief.room) == ("own", "EUR", 18.0)
    assert read.brief.workshop.vessel == 2.0
    assert [one.name for one in read.brief.balances] == ["fine"]
    assert [rule.id for rule in read.brief.rules] == ["starch", "clay"]
    assert read.material_names == ("corn starch, native", "kaolin, white")
    assert read.material("kaolin, white").density == 2.4


def test_a_rule_is_changed_by_its_name_key_by_key():
    changed = fine(LIKE + '[rules."starch"]\nmin = "15 %"\nbecause = "this bar wants more"\n')
    starch = changed.brief.rules[0]
    assert isinstance(starch, Share)
    assert (starch.low, starch.high, starch.because) == (0.15, 0.4, "this bar wants more")


def test_a_rule_with_a_first_line_of_its_own_takes_the_place_of_the_other_whole():
    own = '[rules."starch"]\nshare_of = "kaolin, white"\nmax = "5 %"\nkind = "house"\n'
    starch = fine(LIKE + own + 'because = "clay instead"\n').brief.rules[0]
    assert (starch.low, starch.high, starch.of.name) == (None, 0.05, "kaolin, white")


def test_a_rule_is_dropped_by_its_name():
    less = fine(LIKE + 'drop = ["Clay"]\n')
    assert [rule.id for rule in less.brief.rules] == ["starch"]


def test_a_rule_that_is_not_there_cannot_be_dropped():
    (problem,) = bench(LIKE + 'drop = ["clax"]\n').items
    assert problem.where.place.endswith("drop")
    assert problem.nearest == ("clay",)


def test_nothing_is_dropped_and_stated_at_once():
    both = bench(LIKE + 'drop = ["clay"]\n[rules.clay]\nmax = "3 %"\n')
    assert "one or the other" in {problem.expected for problem in both.items}


def test_a_drop_without_anything_to_drop_from_is_a_problem():
    brief = BASE.replace("schema = 1", 'schema = 1\ndrop = ["clay"]')
    brief = brief.replace('name = "base"', 'name = "base"\ncurrency = "EUR"')
    alone = bench_of("bar", {"brief.toml": brief, "shelf.csv": SHELF})
    assert isinstance(alone, Problems)
    assert [problem.where.place for problem in alone.items] == ["line 2, drop"]


@pytest.mark.parametrize(
    ("key", "text", "file", "line"),
    [
        ("of the base", 'max = "20 %"', "../base.toml", 12),
        ("of the workshop", 'vessel = "2 kg"', "../workshop.toml", 6),
    ],
)
def test_a_problem_says_the_file_and_the_line_in_which_it_was_written(key, text, file, line):
    name = file
    wrong = {name: SHARED[name].replace(text, text.split("=")[0] + '= "much"')}
    found = bench_of("bar", {**SHARED, "brief.toml": LIKE, **wrong})
    assert isinstance(found, Problems)
    (problem,) = found.items
    assert problem.where.file == file
    assert problem.where.place.startswith(f"line {line},")


def test_a_problem_in_a_changed_rule_says_the_line_of_the_change():
    (problem,) = bench(LIKE + '[rules.starch]\nmin = "much"\n').items
    assert problem.where.file == "brief.toml"
    assert problem.where.place.startswith("line 4,")


def test_briefs_that_are_like_one_another_lead_nowhere():
    files = {
        **SHARED,
        "../base.toml": BASE.replace("schema = 1", 'schema = 1\nlike = "bar/brief.toml"'),
    }
    found = bench_of("bar", {**files, "brief.toml": 'schema = 1\nlike = "../base.toml"\n'})
    assert isinstance(found, Problems)


def test_what_a_brief_is_like_must_be_there():
    (problem, *_) = bench('schema = 1\nlike = "../nothing.toml"\n').items
    assert "nothing.toml" in problem.expected
    assert problem.where.place == "line 2, like"


def test_own_materials_go_before_those_of_the_workshop_and_start_from_them():
    own = '["kaolin, white"]\nadd_below = "80 degC"\nsource = "this delivery"\n'
    kaolin = fine(LIKE, materials_toml=own).material("kaolin, white")
    assert (kaolin.density, kaolin.add_below) == (2.4, 80.0)


def test_own_shelf_stands_instead_of_that_of_the_workshop():
    own = fine(LIKE + 'drop = ["clay"]\n', shelf_csv=SHELF.rsplit('"kaolin', 1)[0])
    assert own.material_names == ("corn starch, native",)


@pytest.fixture
def folder(tmp_path):
    for name, text in SHARED.items():
        (tmp_path / name.removeprefix("../")).write_text(text, "utf-8")
    (tmp_path / "bar").mkdir()
    (tmp_path / "bar" / "brief.toml").write_text(LIKE, "utf-8")
    return tmp_path


def test_a_folder_is_read_as_its_contents_are(folder):
    read = read_bench(folder / "bar")
    assert isinstance(read, Bench)
    assert read.brief == fine(LIKE).brief


def test_a_brief_may_be_like_another_bench(folder):
    (folder / "second").mkdir()
    text = 'schema = 1\nlike = "../bar"\n[rules.starch]\nmin = "1 %"\n'
    (folder / "second" / "brief.toml").write_text(text, "utf-8")
    second = read_bench(folder / "second")
    assert isinstance(second, Bench)
    assert second.brief.rules[0].low == 0.01


def test_from_a_folder_without_a_workshop_nothing_is_taken(folder):
    (folder / "workshop.toml").unlink()
    found = read_bench(folder / "bar")
    assert isinstance(found, Problems)
    assert "shelf.csv" in {problem.where.file for problem in found.items}


def test_a_bench_is_read_from_inside_its_own_folder(folder, monkeypatch):
    monkeypatch.chdir(folder / "bar")
    assert isinstance(read_bench("."), Bench)
