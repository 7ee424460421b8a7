"""``barwright label`` writes the box of each market, and says what to check and what it is not."""

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


RAN = {}  # what was printed over the example, which no test changes


def ran(barwright, *words):
    """The finished command over the example, run once for all tests."""
    if words not in RAN:
        RAN[words] = barwright("label", OILY, TODAY, *words)
        assert RAN[words].returncode == 0, RAN[words].stderr
    return RAN[words]


def answer(barwright, *words, bench=None, formula=TODAY):
    if bench is None:
        return json.loads(ran(barwright, "--format", "json", *words).stdout)
    done = barwright("label", bench, formula, "--format", "json", *words)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def flat(text):
    return " ".join(text.split())


def other(examples, tmp_path, brief=(), parts=()):
    """A copy of the bench for oily hair with its brief and its formula changed."""
    bench = tmp_path / "bench"
    standalone(bench)
    for path, changes in ((bench / "brief.toml", brief), (bench / "formulas/today.toml", parts)):
        text = path.read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")
    return str(bench), str(bench / "formulas" / "today.toml")


def test_the_list_stands_in_descending_order_down_to_one_per_cent(barwright):
    (box,) = answer(barwright)["labels"]
    ordered = [one["share"] for one in box["ingredients"] if one["group"] == "ordered"]
    assert ordered == sorted(ordered, reverse=True)
    assert min(ordered) >= 0.01
    groups = [one["group"] for one in box["ingredients"]]
    assert groups == ["ordered"] * len(ordered) + ["free"] * (len(groups) - len(ordered))


def test_blends_are_declared_by_what_is_in_them(barwright):
    (box,) = answer(barwright)["labels"]
    names = [one["name"] for one in box["ingredients"]]
    assert {"Behentrimonium Methosulfate", "Cetearyl Alcohol", "Sodium Benzoate"} <= set(names)
    assert not [name for name in names if "grade" in name or "50/50" in name]


def test_water_and_fragrance_go_by_the_market_s_own_word(barwright):
    (eu,) = answer(barwright)["labels"]
    (us,) = answer(barwright, "--market", "US")["labels"]
    assert " Aqua," in eu["text"]
    assert " Parfum," in eu["text"]
    assert " Water," in us["text"]
    assert " Fragrance," in us["text"]


def test_allergens_of_an_essential_oil_are_named_with_their_entry(barwright):
    """Linalool at 30 % of 0.3 % lavender oil passes 0.01 % of a product that is rinsed off."""
    (box,) = answer(barwright)["labels"]
    (linalool,) = [one for one in box["ingredients"] if one["name"] == "Linalool"]
    assert linalool["allergen_entry"] == "84"
    assert "(allergen, entry 84)" in flat(ran(barwright).stdout)


def test_what_the_maker_has_to_fill_in_is_left_open(barwright):
    text = flat(ran(barwright).stdout)
    assert "batch number: yours to fill in" in text
    assert "net content: 60 g" in text


def test_what_the_brief_says_of_the_box_is_printed_with_the_batch(barwright, examples, tmp_path):
    box = """
[box]
function = "solid shampoo"
responsible = "Reedmere Bars, 1 Mill Lane, Reedmere"
keeps = "24 months"

[balances.fine]"""
    bench, formula = other(examples, tmp_path, brief=[("\n[balances.fine]", box)])
    words = ("--batch", "R-0412", "--made", "2026-11-25")
    (found,) = answer(barwright, *words, bench=bench, formula=formula)["labels"]
    filled = {one["text"] for one in found["particulars"]}
    assert {"R-0412", "solid shampoo", "Best used before the end of 10/2028"} <= filled
    text = flat(barwright("label", bench, formula).stdout)
    assert "It keeps 24 months: say when it was made" in text


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ('keeps = "two years"', "whole months"),
        ("keeps = 24", "whole months"),
        ('batch = ""', "the batch code"),
        ('shelf_life = "24 months"', "one of function"),
        ('words = "mild"', "words on the pack"),
    ],
)
def test_a_box_that_cannot_be_read_is_told(barwright, examples, tmp_path, key, said):
    section = f"\n[box]\n{key}\n\n[balances.fine]"
    bench, formula = other(examples, tmp_path, brief=[("\n[balances.fine]", section)])
    done = barwright("label", bench, formula)
    assert done.returncode == 2
    assert said in flat(done.stderr)


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ('declared_when = "packed"', "no dried_when_packed"),
        ('declared_when = "boxed"', "one of sold, packed"),
        ('declared_when = "packed"\ndried_when_packed = "3 %"', "no more than the drying"),
    ],
)
def test_when_the_declared_mass_holds_has_to_be_said_whole(
    barwright, examples, tmp_path, key, said
):
    bench, formula = other(
        examples, tmp_path, brief=[('declared = "60 g"', f'declared = "60 g"\n{key}')]
    )
    done = barwright("label", bench, formula)
    assert done.returncode == 2
    assert said in flat(done.stderr)


def test_neighbours_that_hang_on_the_lots_are_shown(barwright):
    (box,) = answer(barwright)["labels"]
    assert ("Stearic Acid", "Palmitic Acid") in [
        (tie["first"], tie["second"]) for tie in box["near_ties"]
    ]
    assert "Neighbours that may stand the other way round" in ran(barwright).stdout


def test_a_batch_of_a_few_grams_cannot_tell_shares_apart(barwright):
    (fine,) = answer(barwright, "--mix", "750 g")["labels"]
    (small,) = answer(barwright, "--mix", "1 g")["labels"]
    weighed = [tie for tie in small["near_ties"] if tie["doubt"] == "weighing"]
    assert len(weighed) > len([tie for tie in fine["near_ties"] if tie["doubt"] == "weighing"])


def test_it_says_what_it_does_not_replace_and_claims_nothing(barwright):
    text = flat(ran(barwright).stdout)
    for said in ("safety assessor", "responsible person", "notification", "No claim of an effect"):
        assert said in text


def test_a_scent_without_known_allergens_is_pointed_at(barwright):
    text = flat(ran(barwright).stdout)
    assert "fragrance, allergen-free: no allergen of it is known here" in text


def test_a_composition_that_breaks_rules_is_not_to_be_printed(barwright, examples, tmp_path):
    bench, formula = other(
        examples,
        tmp_path,
        parts=[
            ('"corn starch, native" = "9.65 %"', '"corn starch, native" = "5.25 %"'),
            ('50/50 powder" = "0.6 %"', '50/50 powder" = "5 %"'),
        ],
    )
    done = barwright("label", bench, formula)
    assert done.returncode == 0
    text = flat(done.stdout)
    assert "Do not print this yet: the composition breaks" in text
    assert "Against the law: EU" in text
    assert answer(barwright, bench=bench, formula=formula)["rules_broken"]


def test_a_warning_that_the_law_fixes_stands_on_the_box(barwright, examples, tmp_path):
    """A limit with a warning, put into use by another preservative, brings its words along."""
    from barwright.constraints.catalogue.catalogue import limits, material, material_names

    warned = [one for one in limits("EU") if one.warning]
    found = [
        (name, limit.warning)
        for limit in warned
        for name in material_names()
        if set(material(name).contents) & set(limit.substances)
    ]
    assert found
    name, warning = found[0]
    bench, formula = other(
        examples,
        tmp_path,
        parts=[
            (
                '"corn starch, native" = "9.65 %"',
                f'"corn starch, native" = "9.55 %"\n"{name}" = "0.1 %"',
            )
        ],
    )
    with (tmp_path / "bench" / "shelf.csv").open("a", encoding="utf-8") as shelf:
        shelf.write(f"{name};1 kg;50 EUR;;yes;\n")
    (box,) = answer(barwright, bench=bench, formula=formula)["labels"]
    assert warning in [one["warning"] for one in box["warnings"]]
    text = flat(barwright("label", bench, formula).stdout)
    assert "Warnings the law fixes" in text
    assert flat(warning) in text


def test_every_market_of_the_brief_gets_its_box(barwright, examples, tmp_path):
    markets = ('markets = ["EU"]', 'markets = ["EU", "US"]')
    bench, formula = other(examples, tmp_path, brief=[markets])
    found = answer(barwright, bench=bench, formula=formula)
    assert [box["market"] for box in found["labels"]] == ["EU", "US"]
    text = barwright("label", bench, formula).stdout
    assert "the box for EU" in flat(text)
    assert "the box for US" in flat(text)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--market", "Mars"), "one of EU, AU, US"),
        (("--market", "UK"), "Great Britain keeps its own amended copy of the European annexes"),
        (("--mix", "750"), "a unit: write 750 g or 750 kg"),
        (("--made", "yesterday"), "a day as 2026-11-25"),
        (("--made", "2026-11-25"), "how long it keeps"),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_shown(barwright, words, said):
    done = barwright("label", OILY, TODAY, *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""


def test_without_any_market_it_asks_for_one(barwright, examples, tmp_path):
    bench, formula = other(examples, tmp_path, brief=[('markets = ["EU"]', "markets = []")])
    done = barwright("label", bench, formula)
    assert done.returncode == 2
    assert "--market" in done.stderr
    assert barwright("label", bench, formula, "--market", "AU").returncode == 0


def test_lines_fit_eighty_columns(barwright):
    done = barwright("label", OILY, TODAY, "--mix", "750 g")
    assert max(map(len, done.stdout.splitlines())) <= 80
