"""``barwright price`` costs a bar and a wash and lists prices, and says what it left out."""

import json
from math import ceil

import pytest
from blends import standalone
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


OILY = "examples/oily-hair"
TODAY = f"{OILY}/formulas/today.toml"


def answer(barwright, *words, bench=OILY):
    done = barwright("price", bench, TODAY, "--bars", "12", "--format", "json", *words)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def flat(text):
    return " ".join(text.split())


def test_a_bar_costs_its_mix_at_the_price_of_what_is_used(barwright):
    """12 bars of 61.70 g and 1.5 % of losses take 751.68 g, in steps of 0.01 g."""
    check = json.loads(barwright("check", OILY, TODAY, "--format", "json").stdout)
    found = answer(barwright)
    mix = ceil(12 * 61.70 / 0.985 * 100) / 100_000
    assert found["mix"] == pytest.approx(mix)
    assert found["materials"] == pytest.approx(mix * check["cost"])
    assert found["a_bar"] == pytest.approx(mix * check["cost"] / 12)
    assert found["a_wash"] == pytest.approx([found["a_bar"] / 80, found["a_bar"] / 60])


def test_packaging_and_labour_are_added_where_given(barwright):
    plain = answer(barwright)
    full = answer(barwright, "--packaging", "0.30 EUR", "--labour", "18 EUR")
    assert full["a_bar"] == pytest.approx(plain["a_bar"] + 0.30 + 18 / 12)
    assert plain["packaging"] is None
    assert plain["labour"] is None


def test_more_than_the_bowl_holds_is_said_by_batch_and_price(barwright, examples, tmp_path):
    """36 bars take 2.3 kg of mix, and 2 kg are made at once: two batches of work."""
    bench = tmp_path / "bench"
    standalone(bench)
    with (bench / "brief.toml").open("a", encoding="utf-8") as brief:
        brief.write('\n[workshop]\nbowl = "2 kg"\nlabour_a_batch = "24 EUR"\n')
    said = "more than is made at once, 2 kg (bowl, in the brief): make 2 batches"
    assert f"{said}; labour is counted for one." in flat(
        barwright("price", str(bench), TODAY, "--bars", "36").stdout
    )
    assert f"{said}." in flat(barwright("batch", str(bench), TODAY, "--bars", "36").stdout)
    assert said not in flat(barwright("batch", str(bench), TODAY, "--bars", "12").stdout)


def test_what_is_not_counted_is_named(barwright):
    done = barwright("price", OILY, TODAY, "--bars", "12", "--packaging", "0.30 EUR")
    assert "too low: give --labour" in flat(done.stdout)


def test_the_brief_may_say_what_packaging_and_labour_cost(barwright, examples, tmp_path):
    bench = tmp_path / "bench"
    standalone(bench)
    with (bench / "brief.toml").open("a", encoding="utf-8") as brief:
        brief.write('\n[workshop]\npackaging_a_bar = "0.25 EUR"\nlabour_a_batch = "24 EUR"\n')
    found = answer(barwright, bench=str(bench))
    assert found["packaging"] == pytest.approx(3.0)
    assert found["labour"] == pytest.approx(24.0)
    over = answer(barwright, "--labour", "12 EUR", bench=str(bench))
    assert over["labour"] == pytest.approx(12.0)


def test_money_of_the_brief_in_another_currency_needs_a_rate(barwright, examples, tmp_path):
    bench = tmp_path / "bench"
    standalone(bench)
    brief = bench / "brief.toml"
    text = brief.read_text(encoding="utf-8") + '\n[workshop]\npackaging_a_bar = "0.20 USD"\n'
    brief.write_text(text, encoding="utf-8")
    done = barwright("price", str(bench), TODAY, "--bars", "12")
    assert done.returncode == 2
    assert "USD" in done.stderr
    brief.write_text(text + '\n[rates]\nUSD = "0.90 EUR"\n', encoding="utf-8")
    assert answer(barwright, bench=str(bench))["packaging"] == pytest.approx(12 * 0.18)


def test_margins_and_prices_lie_on_one_list_cheapest_first(barwright):
    words = ("--margin", "60 %", "--margin", "20 %", "--at", "6.90 EUR", "--tax", "19 %")
    found = answer(barwright, *words)
    gross = [price["gross"] for price in found["prices"]]
    assert gross == sorted(gross)
    for price in found["prices"]:
        assert price["gross"] == pytest.approx(price["net"] * 1.19)
        assert price["net"] * (1 - price["margin"]) == pytest.approx(found["a_bar"])
    assert 6.90 in [pytest.approx(price) for price in gross]


def test_a_price_below_cost_shows_as_a_loss(barwright):
    (price,) = [one for one in answer(barwright, "--at", "0.10 EUR")["prices"] if one["left"] < 0]
    assert price["gross"] == pytest.approx(0.10)
    assert price["margin"] < 0


def test_whole_packs_are_listed_with_what_is_left_over(barwright):
    done = barwright("price", OILY, TODAY, "--bars", "12")
    text = flat(done.stdout)
    assert "15 of 18 materials have to be bought" in text
    (line,) = [row for row in done.stdout.splitlines() if row.startswith("lavender oil, true")]
    assert line.split()[3:] == ["2.26", "g", "1", "×", "100", "g", "16.50", "97.74", "g"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--packaging", "some"), "a sum with its currency"),
        (("--packaging", "0.30 USD"), "the currency of the brief"),
        (("--margin", "100 %"), "less than 100 %"),
        (("--at", "0 EUR"), "a price of nothing"),
        (("--fill", "0 g"), "a bar of nothing"),
        (("--fill", "sixty"), "a mass"),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_shown(barwright, words, said):
    done = barwright("price", OILY, TODAY, "--bars", "12", *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""


def test_lines_fit_eighty_columns(barwright):
    done = barwright("price", OILY, TODAY, "--bars", "500", "--packaging", "0.30 EUR")
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_hours_rejects_fees_and_a_shop_are_on_one_page(barwright):
    words = (
        "--hours", "2 h", "--rate", "18 EUR", "--rejects", "3 %", "--fees", "8 %",
        "--wholesale", "40 %", "--tax", "19 %", "--packaging", "0.30 EUR",
    )  # fmt: skip
    found = answer(barwright, *words)
    assert found["labour"] == pytest.approx(36.0)
    assert found["bars_sold"] == pytest.approx(11.64)
    assert found["a_bar"] == pytest.approx(found["total"] / 11.64)
    half = next(one for one in found["prices"] if one["margin"] == 0.5)
    assert half["left"] == pytest.approx(half["net"] - found["a_bar"] - 0.08 * half["gross"])
    assert half["shop_pays"] == pytest.approx(0.6 * half["net"])
    page = barwright("price", OILY, TODAY, "--bars", "12", *words).stdout
    assert "Of 12 bars 11.64 are sold on average" in " ".join(page.split())
    assert max(map(len, page.splitlines())) <= 80


def test_a_formula_that_breaks_a_rule_is_priced_and_says_so(barwright, examples, tmp_path):
    bench = tmp_path / "bench"
    standalone(bench)
    brief = bench / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    brief.write_text(text.replace('max = "58 %"', 'max = "41 %"'), encoding="utf-8")
    done = barwright("price", str(bench), str(bench / "formulas/today.toml"), "--bars", "12")
    assert done.returncode == 0
    assert "does not keep active surfactant: see barwright check" in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--hours", "2 h"), "--rate"),
        (("--rate", "18 EUR"), "--hours"),
        (("--rejects", "100 %"), "less than 100 %"),
        (("--fees", "50 %", "--margin", "60 %"), "together"),
    ],
)
def test_what_leaves_no_price_is_told(barwright, words, said):
    done = barwright("price", OILY, TODAY, "--bars", "12", *words)
    assert done.returncode == 2
    assert said in done.stderr
