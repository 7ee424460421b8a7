"""A maker starts a bench and looks up materials."""

import json

import pytest
from barwright.constraints.catalogue import catalogue
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


def test_a_new_bench_answers_at_once_and_its_formula_keeps_every_rule(barwright, tmp_path):
    made = barwright("new", "bench", cwd=tmp_path)
    assert made.returncode == 0
    assert "barwright cheapest bench" in made.stdout
    assert barwright("cheapest", "bench", cwd=tmp_path).returncode == 0
    assert barwright("check", "bench", "bench/formulas/first.toml", cwd=tmp_path).returncode == 0


def test_a_new_bench_writes_over_nothing(barwright, tmp_path):
    (tmp_path / "bench").mkdir()
    shelf = tmp_path / "bench" / "shelf.csv"
    shelf.write_text("mine", encoding="utf-8")
    done = barwright("new", "bench", cwd=tmp_path)
    assert done.returncode == 2
    assert "already there" in done.stderr
    assert shelf.read_text(encoding="utf-8") == "mine"
    assert [path.name for path in (tmp_path / "bench").iterdir()] == ["shelf.csv"]


def test_a_file_is_no_place_for_a_bench(barwright, tmp_path):
    (tmp_path / "bench").write_text("a file", encoding="utf-8")
    done = barwright("new", "bench", cwd=tmp_path)
    assert done.returncode == 2
    assert "a name for a folder" in done.stderr


def test_words_filter_the_catalogue_by_name_class_tag_and_content(barwright):
    done = barwright("materials", "behentrimonium", "methosulfate", "--format", "json")
    names = [material["material"] for material in json.loads(done.stdout)["materials"]]
    assert "behentrimonium methosulfate, 25 % grade" in names
    assert "behentrimonium methosulfate, 50 % grade" in names
    assert all("behentrimonium methosulfate" in name for name in names)


def test_a_material_named_in_full_is_shown_with_its_contents_and_source(barwright):
    done = barwright("materials", "citric acid, anhydrous")
    assert done.returncode == 0
    assert "Citric Acid" in done.stdout
    assert "source" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_the_whole_catalogue_is_listed(barwright):
    done = barwright("materials", "--format", "json")
    listed = json.loads(done.stdout)
    assert listed["schema"] == 1
    assert len(listed["materials"]) == len(catalogue.material_names()) >= 60


def test_what_is_not_in_the_catalogue_is_said_with_what_comes_near(barwright):
    done = barwright("materials", "citrik acid, anhydrous")
    assert done.returncode == 2
    assert "citric acid, anhydrous" in done.stderr
    assert done.stdout == ""


BEGUN = [
    ("check", "BENCH", "FORMULA"),
    ("cheapest", "BENCH", "--no-proof"),
    ("batch", "BENCH", "FORMULA", "--bars", "12"),
    ("fill", "BENCH"),
    ("price", "BENCH", "FORMULA", "--bars", "12"),
    ("label", "BENCH", "FORMULA"),
    ("acidity", "BENCH", "FORMULA"),
    ("curve", "BENCH", "--limit", "clay"),
]


def test_a_new_bench_runs_through_every_command_as_it_stands(barwright, tmp_path):
    bench = tmp_path / "begun"
    assert barwright("new", str(bench)).returncode == 0
    there = {"BENCH": str(bench), "FORMULA": str(bench / "formulas" / "first.toml")}
    for words in BEGUN:
        done = barwright(*(there.get(word, word) for word in words))
        assert done.returncode == 0, (words, done.stdout, done.stderr)
