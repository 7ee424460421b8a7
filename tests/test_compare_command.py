"""Bars side by side: every figure is the one that its own command gives."""

import json

import pytest
from barwright.constraints.bench.opening import read_bench, read_formula
from barwright.workshop.changing.side_by_side import side_by_side

OILY, DRY = "examples/oily-hair", "examples/dry-hair"
TODAY, OTHER, DRY_TODAY = (
    f"{OILY}/formulas/today.toml",
    f"{OILY}/formulas/rosemary.toml",
    f"{DRY}/formulas/today.toml",
)


def form(barwright, *words):
    done = barwright(*words, "--format", "json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_every_figure_is_that_of_the_command_for_one_bar(barwright):
    found = form(barwright, "compare", TODAY, DRY_TODAY)
    for place, (bench, formula) in enumerate(((OILY, TODAY), (DRY, DRY_TODAY))):
        bar = found["bars"][place]
        checked = form(barwright, "check", bench, formula)
        assert bar["cost"] == pytest.approx(checked["cost"])
        assert bar["rules"] == checked["rules"]
        ph = form(barwright, "acidity", bench, formula)["prediction"]["ph"]
        assert bar["ph"]["typical"] == pytest.approx(ph)
        label = form(barwright, "label", bench, formula, "--market", "EU")["labels"][0]
        assert bar["ingredients"]["EU"] == label["text"]
        shares = {row["material"]: row["shares"][place] for row in found["materials"]}
        for part in checked["composition"]:
            assert shares[part["material"]] == pytest.approx(part["share"])


def test_shares_add_to_one_in_every_column(root):
    bars = []
    for bench_path, formula in ((OILY, TODAY), (OILY, OTHER), (DRY, DRY_TODAY)):
        bench = read_bench(root / bench_path)
        bars.append((bench, read_formula(root / formula, bench)))
    found = side_by_side(bars)
    for rows in (found.materials, found.substances):
        for place in range(3):
            assert sum(row.shares[place] for row in rows) == pytest.approx(1.0)


def test_a_bar_beside_itself_is_said_to_hold_the_same_instead_of_an_empty_table(barwright):
    said = barwright("compare", TODAY, TODAY).stdout
    assert "They hold the same materials in the same shares; --all shows" in said
    assert not any(line.startswith("material") for line in said.splitlines())


def test_what_is_alike_is_counted_and_shown_when_asked(barwright):
    done = barwright("compare", TODAY, OTHER)
    assert "rosemary oil, camphor type" in done.stdout
    assert "kaolin, white" not in done.stdout
    assert "kaolin, white" in barwright("compare", TODAY, OTHER, "--all").stdout


def test_a_formula_of_last_month_may_hold_what_is_off_the_shelf(barwright, tmp_path):
    from blends import standalone

    folder = standalone(tmp_path / "bench")
    old = (folder / "formulas" / "today.toml").read_text("utf-8")
    old = old.replace("kaolin, white", "kaolin, pink")
    (folder / "formulas" / "last-month.toml").write_text(old, "utf-8")
    words = [str(folder / "formulas" / name) for name in ("today.toml", "last-month.toml")]
    found = form(barwright, "compare", *words)
    assert found["bars"][1]["cost"] is None
    assert found["bars"][1]["unpriced"] == ["kaolin, pink"]
    assert found["bars"][0]["cost"] is not None


@pytest.mark.parametrize("words", [(TODAY,), (TODAY, "nowhere.toml"), (TODAY, "README.md")])
def test_what_cannot_be_compared_ends_with_two(barwright, words):
    done = barwright("compare", *words)
    assert (done.returncode, done.stdout) == (2, "")


def test_a_formula_that_bears_the_name_of_its_product_is_named_once(bench_named):
    from barwright.cli.kit.words import bar_name

    assert bar_name(bench_named, bench_named.brief.name) == bench_named.brief.name
    assert bar_name(bench_named, "winter") == f"{bench_named.brief.name}, winter"
    assert bar_name(bench_named, "") == bench_named.brief.name


@pytest.fixture
def bench_named(examples):
    import barwright

    return barwright.read_bench(examples / "oily-hair")
