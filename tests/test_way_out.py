"""Whatever ends a command early is told once: as it was asked, with its code, nothing written."""

import json
from dataclasses import replace

import pytest
from barwright.cli.kit.app import COMMANDS, run
from barwright.cli.kit.ending import wants_json
from barwright.constraints.bench.opening import read_bench
from barwright.constraints.values.problem import InputError

OILY = "examples/oily-hair"
TODAY = f"{OILY}/formulas/today.toml"
WRONG = {
    "a rule that is not there": ("curve", OILY, "--limit", "nosuch"),
    "a price of nothing known": ("curve", OILY, "--price", "nosuch"),
    "both ways at once": ("curve", OILY),
    "a place that is none": ("curve", OILY, "--limit", "protein", "--from", "soon"),
    "a share that is none": ("cheapest", OILY, "--within", "abc"),
    "a file that is there": ("cheapest", OILY, "--write", "README.md"),
    "a proof refused and wanted": ("cheapest", OILY, "--no-proof", "--certificate", "x.json"),
    "a folder that is not there": ("cheapest", "nowhere"),
    "an option that is not there": ("cheapest", OILY, "--nosuch"),
    "a value that is no number": ("cheapest", OILY, "--time-limit", "soon"),
    "a choice that is not there": ("replace", OILY, TODAY, "--favour", "luck"),
    "a command that is not there": ("cheepest", OILY),
    "an argument left out": ("check", OILY),
    "an option left out": ("batch", OILY, TODAY),
    "one argument too many": ("check", OILY, TODAY, TODAY),
    "a formula that is not there": ("check", OILY, "nowhere.toml"),
    "a material that is not there": ("replace", OILY, TODAY, "--without", "nosuch"),
    "a price without a material": ("replace", OILY, TODAY, "--price", "=3"),
    "one formula too many": ("replace", OILY, TODAY, TODAY, "--look"),
    "a heat that is none": ("batch", OILY, TODAY, "--bars", "12", "--heat-to", "warm"),
    "a market that is not there": ("label", OILY, TODAY, "--market", "Mars"),
    "weighings of nothing": ("fill", OILY, "--weighings", "nosuch"),
    "a margin of all": ("price", OILY, TODAY, "--bars", "12", "--margin", "100 %"),
    "a file that is no proof": ("verify", "README.md"),
    "words of nothing": ("materials", "nosuchthing"),
    "a stock of nothing": ("runout", OILY, TODAY, "--old", "kaolin, white", "--stock", "some"),
    "readings that are not there": ("acidity", OILY, TODAY, "--readings", "nowhere.toml"),
    "a curve of nothing": ("acidity", OILY, TODAY, "--using", "nosuch"),
}


@pytest.fixture
def ended(root, monkeypatch, capsys):
    """Run a command line in this process; gives its exit code, stdout and stderr."""

    def ran(*words):
        monkeypatch.chdir(root)
        with pytest.raises(SystemExit) as left:
            run(words)
        return int(left.value.code), *capsys.readouterr()

    return ran


@pytest.mark.parametrize("words", WRONG.values(), ids=WRONG)
def test_what_is_wrong_is_told_in_json_when_json_is_asked(words, ended):
    code, out, err = ended(*words, "--format", "json")
    assert code == 2
    assert out == ""
    form = json.loads(err)
    assert (form["schema"], form["command"]) == (1, "problems")
    for problem in form["problems"]:
        assert list(problem) == ["file", "place", "found", "expected", "nearest"]
        assert problem["file"]
        assert problem["found"]
        assert problem["expected"]


@pytest.mark.parametrize("words", WRONG.values(), ids=WRONG)
def test_the_same_is_told_in_words_when_nothing_is_asked(words, ended):
    told = json.loads(ended(*words, "--format", "json")[2])["problems"]
    code, out, err = ended(*words)
    assert code == 2
    assert out == ""
    for problem in told:
        assert f"  found     {problem['found']}" in err
    assert err.endswith("nothing was written.\n")


@pytest.mark.parametrize("name", COMMANDS)
def test_an_unknown_option_of_any_command_offers_the_near_one(name, ended):
    code, _, err = ended(name, "--hlep")
    assert code == 2
    assert "nearest   --help" in err


def test_a_decimal_comma_where_a_plain_number_is_asked_offers_the_point(ended):
    code, _, err = ended("acidity", OILY, TODAY, "--reads", "6,2", "--batch", "750 g")
    assert code == 2
    assert err.splitlines()[3].split() == ["nearest", "6.2"]
    assert "nearest" not in ended("cheapest", OILY, "--time-limit", "1,000")[2]  # a thousand?


def test_a_mistyped_command_offers_the_near_one(ended):
    code, _, err = ended("cheepest", OILY)
    assert code == 2
    assert "nearest   cheapest" in err


def test_an_option_without_its_value_is_told_as_such(ended):
    code, _, err = ended("cheapest", OILY, "--within")
    assert code == 2
    assert err.startswith("--within\n  found     nothing after it\n")


def test_the_last_format_asked_is_the_one_that_counts():
    assert wants_json(["check", "--format", "table", "--format=json"])
    assert not wants_json(["check", "--format=json", "--format", "csv"])
    assert not wants_json(["check", "--", "--format", "json"])
    assert not wants_json(["check", "--format"])


@pytest.mark.parametrize("asked", [(), ("--format", "json")])
def test_an_answer_that_fails_its_own_check_ends_in_one_sentence(
    asked, monkeypatch, ended, tmp_path
):
    from barwright.solver.strength import composing

    honest = composing.judge
    monkeypatch.setattr(
        composing,
        "judge",
        lambda *given: tuple(replace(verdict, kept=False) for verdict in honest(*given)),
    )
    target = tmp_path / "answer.toml"
    code, out, err = ended("cheapest", OILY, "--write", str(target), *asked)
    assert code == 1
    assert out == ""
    assert err.count("\n") == 1
    assert "fails its own check" in err
    assert "nothing was written" in err
    assert "report" in err
    assert not target.exists()


def test_three_lines_with_a_wrong_folder_end_in_one_readable_error(tmp_path):
    with pytest.raises(InputError) as raised:
        read_bench(tmp_path / "nowhere")
    assert str(raised.value) == (
        f"{tmp_path / 'nowhere'}: found no such folder, "
        "expected a folder with brief.toml and shelf.csv"
    )


def test_the_error_of_a_bench_holds_all_that_is_wrong_with_it(tmp_path):
    (tmp_path / "brief.toml").write_text("[product]\n", encoding="utf-8")
    (tmp_path / "shelf.csv").write_text("material\n", encoding="utf-8")
    with pytest.raises(InputError) as raised:
        read_bench(tmp_path)
    count = len(raised.value.problems.items)
    assert count > 1
    assert str(raised.value).endswith(f"; and {count - 1} more")
    assert "\n" not in str(raised.value)


@pytest.mark.parametrize("asked", [(), ("--all",), ("--format", "json")])
def test_where_a_refusal_cannot_be_written_down_nothing_is_said_of_it(asked, ended, tmp_path):
    files = read_bench(OILY).written.files
    folder = tmp_path / "workshop" / "bench"
    folder.mkdir(parents=True)
    for name, content in files.items():
        (folder / name).write_bytes(content)
    brief = folder / "brief.toml"
    brief.write_text(
        brief.read_text("utf-8")
        + '\n[rules."dear"]\ncost_max = "1 EUR/kg"\nkind = "house"\nbecause = "a test"\n',
        "utf-8",
    )
    there = tmp_path / "there.json"
    there.write_text("mine", "utf-8")
    code, out, err = ended("cheapest", str(folder), "--certificate", str(there), *asked)
    assert (code, out) == (2, "")
    assert "already" in err
    assert there.read_text("utf-8") == "mine"


@pytest.mark.parametrize("shown", ["table", "json", "csv"])
def test_where_a_picture_cannot_be_written_nothing_is_shown(shown, ended, tmp_path):
    target = str(tmp_path / "no" / "such.svg")
    words = ("curve", OILY, "--limit", "protein", "--svg", target, "--format", shown)
    code, out, _ = ended(*words)
    assert (code, out) == (2, "")
