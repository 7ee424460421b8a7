"""``barwright fill`` says what to press, why, and what a flat margin would give away."""

import json

import pytest
from blends import standalone
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


OILY = "examples/oily-hair"
TODAY = f"{OILY}/formulas/today.toml"


def answer(barwright, *words):
    done = barwright("fill", OILY, "--format", "json", *words)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def flat(text):
    return " ".join(text.split())


def test_it_says_what_to_press_and_which_demand_decides(barwright):
    done = barwright("fill", OILY)
    assert done.returncode == 0
    assert "press 61.70 g a bar for 60.00 g on the box (EU), in batches of 12" in flat(done.stdout)
    (decides,) = [line for line in done.stdout.splitlines() if "decides" in line]
    assert "61.69 g" in decides


def test_what_to_press_holds_the_average_by_the_textbook_sum(barwright):
    """Mean ≥ declared with 1 % risk: 60 g / 0.98 + 2.3263 · 0.7 g / √12, by hand 61.6946 g."""
    found = answer(barwright)
    assert found["least"] * 1000 == pytest.approx(60 / 0.98 + 2.326348 * 0.7 / 12**0.5, abs=1e-4)
    assert found["press"] == pytest.approx(0.0617)


def test_a_larger_batch_needs_less_and_a_smaller_risk_needs_more(barwright):
    usual = answer(barwright)["least"]
    assert answer(barwright, "--bars", "48")["least"] < usual
    assert answer(barwright, "--risk", "0.1 %")["least"] > usual


def test_the_giveaway_of_a_year_is_priced_by_cost_and_by_formula(barwright):
    by_cost = answer(barwright, "--bars-a-year", "2000", "--cost", "10 EUR/kg")
    assert by_cost["given_away_a_year"] == pytest.approx(by_cost["given_away"] * 2000 * 10)
    assert by_cost["saved_a_year"] == pytest.approx(by_cost["saved_a_bar"] * 2000 * 10)
    by_formula = answer(barwright, "--bars-a-year", "2000", "--formula", TODAY)
    assert by_formula["given_away_a_year"] > by_cost["given_away_a_year"]


def test_few_weighings_ask_for_more_and_say_so(barwright, tmp_path):
    path = tmp_path / "weighed.txt"
    path.write_text("61.2\n60.4\n62.1\n61.7\n61.3\n", encoding="utf-8")
    done = barwright("fill", OILY, "--weighings", str(path))
    assert done.returncode == 0
    assert "from 5 weighings" in flat(done.stdout)
    assert "So few weighings" in flat(done.stdout)


def test_a_flat_margin_that_is_too_small_is_called_so(barwright):
    done = barwright("fill", OILY, "--weighings", "55 61 68 64 59 70")
    assert "Too little:" in flat(done.stdout)


def test_a_year_without_a_cost_is_refused(barwright):
    done = barwright("fill", OILY, "--bars-a-year", "2000")
    assert done.returncode == 2
    assert "--cost" in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--weighings", "61.2 heavy"), "weighing 2"),
        (("--weighings", "61.2"), "at least 5 weighings"),
        (("--risk", "1"), "a unit"),
        (("--risk", "60 %"), "a chance from 1e-07 % to less than 50 %"),
        (("--market", "Mars"), "one of EU, AU, US"),
        (("--bars-a-year", "10", "--cost", "10 USD/kg"), "EUR, the currency of the brief"),
        (("--bars-a-year", "10", "--cost", "10 EUR"), "a price for a mass"),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_shown(barwright, words, said):
    done = barwright("fill", OILY, *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""


def test_a_bench_without_a_declared_weight_or_a_market_is_told_so(barwright, examples, tmp_path):
    bench = tmp_path / "bench"
    standalone(bench)
    brief = bench / "brief.toml"
    text = brief.read_text(encoding="utf-8").replace('declared = "60 g"\n', "")
    brief.write_text(text, encoding="utf-8")
    done = barwright("fill", str(bench))
    assert done.returncode == 2
    assert "product.declared" in done.stderr
    brief.write_text(text.replace('markets = ["EU"]', "markets = []"), encoding="utf-8")
    done = barwright("fill", str(bench))
    assert done.returncode == 2
    assert "--market" in done.stderr


def test_json_errors_are_json_on_stderr(barwright):
    done = barwright("fill", OILY, "--weighings", "x", "--format", "json")
    assert done.returncode == 2
    assert json.loads(done.stderr)["problems"][0]["found"] == "x"


def test_of_several_markets_the_one_that_asks_for_most_decides(barwright, examples, tmp_path):
    bench = tmp_path / "bench"
    standalone(bench)
    brief = bench / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    text = text.replace('markets = ["EU"]', 'markets = ["EU", "AU", "US"]').replace(
        'spread = "0.7 g"', 'spread = "1.6 g"'
    )
    brief.write_text(text, encoding="utf-8")
    least = {}
    for market in ("EU", "AU", "US"):
        done = barwright("fill", str(bench), "--market", market, "--format", "json")
        least[market] = json.loads(done.stdout)["least"]
    together = json.loads(barwright("fill", str(bench), "--format", "json").stdout)
    assert len(set(least.values())) > 1
    assert together["least"] == max(least.values())
    assert together["market"] == max(least, key=least.get)
