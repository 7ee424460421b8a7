"""Figures with units: what a maker writes, and the canonical float it stands for."""

import math
import subprocess
import sys

import pint
import pytest
from barwright.constraints.data import data_of
from barwright.constraints.values.scales import EVERYDAY, canonical
from barwright.constraints.values.units import (
    Dimension,
    Misread,
    parse,
    scale_of,
    show,
    split,
)
from hypothesis import given
from hypothesis import strategies as st

RATES = {"EUR": 1.0, "USD": 0.92}


def _read(text: str, dimension: Dimension) -> float:
    value = parse(text, dimension, RATES)
    assert not isinstance(value, Misread), value
    return value


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("45 %", Dimension.SHARE, 0.45),
        ("45%", Dimension.SHARE, 0.45),
        ("57 %", Dimension.SHARE, 0.57),
        ("+2.5e1 %", Dimension.SHARE, 0.25),
        ("12,5 %", Dimension.SHARE, 0.125),
        ("0,125 %", Dimension.SHARE, 0.00125),
        ("15 g/kg", Dimension.SHARE, 0.015),
        ("15 g / kg", Dimension.SHARE, 0.015),
        ("1500 ppm", Dimension.SHARE, 0.0015),
        ("3 mg/g", Dimension.SHARE, 0.003),
        ("0.5 oz/lb", Dimension.SHARE, 0.03125),
        ("100 %", Dimension.SHARE, 1.0),
        ("1 kg", Dimension.MASS, 1.0),
        ("250 g", Dimension.MASS, 0.25),
        ("1.234,5 g", Dimension.MASS, 1.2345),
        ("1,234.5 g", Dimension.MASS, 1.2345),
        ("1\u00a0kg", Dimension.MASS, 1.0),
        ("16 oz", Dimension.MASS, 0.45359237),
        ("5 lb", Dimension.MASS, 2.26796185),
        ("250 µg", Dimension.MASS, 2.5e-7),
        ("250 \u03bcg", Dimension.MASS, 2.5e-7),
        ("18.50 EUR", Dimension.MONEY, 18.5),
        ("18,50 EUR", Dimension.MONEY, 18.5),
        ("18,50 €", Dimension.MONEY, 18.5),
        ("EUR 18.50", Dimension.MONEY, 18.5),
        ("10 USD", Dimension.MONEY, 9.2),
        ("7.20 EUR/kg", Dimension.PRICE, 7.2),
        ("0.0072 EUR/g", Dimension.PRICE, 7.2),
        ("10 USD/kg", Dimension.PRICE, 9.2),
        ("1 EUR/lb", Dimension.PRICE, 1 / 0.45359237),
        ("75 °C", Dimension.TEMPERATURE, 75.0),
        ("75 degC", Dimension.TEMPERATURE, 75.0),
        ("75 ℃", Dimension.TEMPERATURE, 75.0),
        ("167 °F", Dimension.TEMPERATURE, 75.0),
        ("300 K", Dimension.TEMPERATURE, 26.85),
        ("−5 °C", Dimension.TEMPERATURE, -5.0),
        ("0.02 mol/kg", Dimension.ALKALINITY, 0.02),
        ("-20 mmol/kg", Dimension.ALKALINITY, -0.02),
        ("144.105 g/mol", Dimension.MOLAR_MASS, 144.105),
        ("2.1 kJ/(kg·K)", Dimension.HEAT, 2.1),
        ("2100 J/kg/K", Dimension.HEAT, 2.1),
        ("0.5 cal/g/K", Dimension.HEAT, 2.092),
        ("180 kJ/kg", Dimension.LATENT, 180.0),
        ("0.95 g/cm³", Dimension.DENSITY, 0.95),
        ("950 kg/m3", Dimension.DENSITY, 0.95),
        ("75 mL", Dimension.VOLUME, 0.075),
        ("30 min", Dimension.TIME, 1800.0),
        ("5.5", Dimension.PH, 5.5),
        ("5.5 pH", Dimension.PH, 5.5),
        ("1.2", Dimension.RATIO, 1.2),
        (".5", Dimension.RATIO, 0.5),
    ],
)
def test_a_figure_is_read_into_the_canonical_unit(
    text: str, dimension: Dimension, value: float
) -> None:
    assert _read(text, dimension) == pytest.approx(value, rel=1e-12)


def test_common_shares_are_the_floats_nearest_to_them() -> None:
    assert all(_read(f"{n} %", Dimension.SHARE) == n / 100 for n in range(101))
    assert _read("1.1 %", Dimension.SHARE) == 0.011
    assert _read("1e-7 %", Dimension.SHARE) == 1e-9


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("45", Dimension.SHARE, "a unit: write 45 %"),
        ("0.45", Dimension.SHARE, "a unit: write 45 % or 0.45 %"),
        ("101 %", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("-1 %", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("nan %", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("inf %", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("1e309 %", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("45 rad", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("45 mL/L", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("45 g", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("1.2.3 %", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("", Dimension.SHARE, "a share from 0 % to 100 %, such as 45 %"),
        ("much", Dimension.MASS, "a mass such as 250 g or 1 kg"),
        ("1", Dimension.MASS, "a unit: write 1 g or 1 kg"),
        ("1 kg kg", Dimension.MASS, "a mass such as 250 g or 1 kg"),
        ("1 KG", Dimension.MASS, "a mass such as 250 g or 1 kg"),
        ("1 L", Dimension.MASS, "a mass such as 250 g or 1 kg"),
        ("500 kg**9**9", Dimension.MASS, "a mass such as 250 g or 1 kg"),
        ("1 __import__", Dimension.MASS, "a mass such as 250 g or 1 kg"),
        ("1,500 kg", Dimension.MASS, "a figure that reads one way: 1500 kg or 1.5 kg"),
        ("1 500 kg", Dimension.MASS, "a mass such as 250 g or 1 kg"),
        ("18.50", Dimension.MONEY, "a sum with its currency, such as 18.50 EUR"),
        ("18.50 ¥", Dimension.MONEY, "the currency by its code: JPY or CNY"),
        ("18.50 eur", Dimension.MONEY, "a sum with its currency, such as 18.50 EUR"),
        ("18.50 EUR/kg", Dimension.MONEY, "a sum with its currency, such as 18.50 EUR"),
        ("-1 EUR", Dimension.MONEY, "a sum with its currency, such as 18.50 EUR, not below 0"),
        ("9 GBP", Dimension.MONEY, 'EUR, or a rate in brief.toml: [rates] GBP = "… EUR"'),
        ("7 EUR", Dimension.PRICE, "a price for a mass, such as 7.20 EUR/kg"),
        ("7 EUR/L", Dimension.PRICE, "a price for a mass, such as 7.20 EUR/kg"),
        ("2e6 EUR/kg", Dimension.PRICE, "a price for a mass, such as 7.20 EUR/kg, not above 1e+06"),
        ("75 C", Dimension.TEMPERATURE, "a temperature such as 75 degC"),
        ("75", Dimension.TEMPERATURE, "a unit: write 75 degC"),
        ("-400 degC", Dimension.TEMPERATURE, "a temperature such as 75 degC, not below -50"),
        ("15", Dimension.PH, "a pH from 0 to 14, such as 5.5"),
        ("5 %", Dimension.PH, "a pH from 0 to 14, such as 5.5"),
        ("120 %", Dimension.RATIO, "a plain number such as 1.5"),
    ],
)
def test_what_is_no_figure_says_what_would_be(
    text: str, dimension: Dimension, expected: str
) -> None:
    value = parse(text, dimension, RATES)
    assert isinstance(value, Misread)
    assert value.expected == expected


@pytest.mark.parametrize(
    ("text", "dimension", "nearest"),
    [
        ("1000 gr", Dimension.MASS, ("1000 g",)),
        ("2.5 gm", Dimension.MASS, ("2.5 g",)),
        ("1 ton", Dimension.MASS, ("1 t",)),
        ("1 Kg", Dimension.MASS, ("1 kg",)),
        ("1 500 g", Dimension.MASS, ("1500 g",)),
        ("1'500 g", Dimension.MASS, ("1500 g",)),
        ("7,40 eur", Dimension.MONEY, ("7,40 EUR",)),
        ("7,40", Dimension.MONEY, ("7,40 EUR", "7,40 USD")),
        ("9 EUR/gr", Dimension.PRICE, ("9 EUR/g",)),
        ("75 C", Dimension.TEMPERATURE, ("75 degC",)),
    ],
)
def test_a_unit_of_no_use_to_the_trade_is_refused_with_what_was_likely_meant(
    text: str, dimension: Dimension, nearest: tuple[str, ...]
) -> None:
    value = parse(text, dimension, RATES)
    assert isinstance(value, Misread)
    assert value.nearest[: len(nearest)] == nearest


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        (f"5 {unit}", Dimension.MASS)
        for unit in (
            "bag",
            "u",
            "grain",
            "stone",
            "slug",
            "dr",
            "ct",
            "cwt",
            "scruple",
            "amu",
            "me",
        )
    ]
    + [
        ("5 gal", Dimension.VOLUME),
        ("5 fortnight", Dimension.TIME),
        ("1 EUR/bag", Dimension.PRICE),
    ],
)
def test_a_unit_that_only_a_library_knows_is_no_unit_of_the_trade(
    text: str, dimension: Dimension
) -> None:
    assert isinstance(parse(text, dimension, RATES), Misread)


@pytest.mark.parametrize(
    ("text", "rates", "value"),
    [
        ("74.50", {"NZD": 1.0}, 74.5),
        ("$74.50", {"NZD": 1.0}, 74.5),
        ("$ 74.50", RATES, 68.54),
        ("74,50 kr", {"DKK": 1.0}, 74.5),
        ("A$10", {"EUR": 1.0, "AUD": 0.6, "USD": 0.9}, 6.0),
    ],
)
def test_a_sign_or_no_currency_at_all_is_read_where_only_one_can_be_meant(
    text: str, rates: dict[str, float], value: float
) -> None:
    assert parse(text, Dimension.MONEY, rates) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "rates", "expected"),
    [
        ("$10", {"AUD": 1.0, "USD": 1.5}, "the currency by its code: USD or AUD"),
        ("kr 10", {"EUR": 1.0}, "a sum with its currency, such as 18.50 EUR"),
        ("ten", {"NZD": 1.0}, "a sum with its currency, such as 18.50 NZD"),
    ],
)
def test_a_sign_that_may_mean_two_currencies_is_asked(
    text: str, rates: dict[str, float], expected: str
) -> None:
    value = parse(text, Dimension.MONEY, rates)
    assert isinstance(value, Misread)
    assert value.expected == expected


@pytest.mark.parametrize("text", ["1.000 g", "1,000 g", "12.500 EUR"])
def test_a_mark_before_three_digits_is_asked_among_decimal_commas(text: str) -> None:
    dimension = Dimension.MONEY if text.endswith("EUR") else Dimension.MASS
    value = parse(text, dimension, RATES, comma=True)
    assert isinstance(value, Misread)
    assert value.expected.startswith("a figure that reads one way: 1")


@pytest.mark.parametrize(("text", "value"), [("12.345 %", 0.12345), ("12,345 %", 0.12345)])
def test_where_only_one_reading_makes_sense_it_is_that_one(text: str, value: float) -> None:
    assert parse(text, Dimension.SHARE, RATES, comma=True) == value


def test_every_unit_of_the_trade_has_a_worth() -> None:
    read = {
        dimension: list(data_of("units.toml")[dimension.name.lower()]) for dimension in EVERYDAY
    }
    for dimension, units in read.items():
        for unit in units:
            assert isinstance(canonical(300.0, unit, dimension), float), unit
            if dimension is not Dimension.TEMPERATURE:
                assert scale_of(unit) > 0


PINT_SPELLING = {"%": "percent"}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


@pytest.mark.reference
@pytest.mark.parametrize(
    ("dimension", "unit"),
    [
        (dimension, unit)
        for dimension, scales in EVERYDAY.items()
        if dimension is not Dimension.PH
        for unit in scales
    ],
)
def test_every_common_unit_is_what_pint_says_it_is(
    dimension: Dimension, unit: str, registry: pint.UnitRegistry
) -> None:
    canonical = next(iter(EVERYDAY[dimension]))
    by_pint = registry.Quantity(1.0, PINT_SPELLING.get(unit, unit)).to(canonical).magnitude
    assert 1 / EVERYDAY[dimension][unit] == pytest.approx(by_pint, rel=1e-12)


def test_common_units_never_load_pint() -> None:
    code = (
        "import sys; from barwright.constraints.values.units import *; "
        "[parse(f'1 {u}', d) for d, us in __import__('barwright.constraints.values.scales', "
        "fromlist=['EVERYDAY']).EVERYDAY.items() for u in us]; "
        "[parse(t, Dimension.PRICE) for t in ('1 EUR/kg', '1 EUR/g')]; "
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


LABELS = [
    ("%", Dimension.SHARE),
    ("g/kg", Dimension.SHARE),
    ("ppm", Dimension.SHARE),
    ("mg/g", Dimension.SHARE),
    ("kg", Dimension.MASS),
    ("g", Dimension.MASS),
    ("t", Dimension.MASS),
    ("oz", Dimension.MASS),
    ("EUR", Dimension.MONEY),
    ("EUR/kg", Dimension.PRICE),
    ("EUR/g", Dimension.PRICE),
    ("EUR/lb", Dimension.PRICE),
    ("mmol/kg", Dimension.ALKALINITY),
    ("degC", Dimension.TEMPERATURE),
    ("J/kg/K", Dimension.HEAT),
    ("kg/L", Dimension.DENSITY),
    ("min", Dimension.TIME),
    ("pH", Dimension.PH),
    ("", Dimension.RATIO),
]


@given(label=st.sampled_from(LABELS), portion=st.floats(0.02, 1))
def test_a_figure_that_is_shown_reads_back_as_it_was(
    label: tuple[str, Dimension], portion: float
) -> None:
    unit, dimension = label
    assert _read(show(portion, unit), dimension) == pytest.approx(portion, rel=1e-13)


@pytest.mark.parametrize(("unit", "dimension"), LABELS)
def test_the_scale_of_a_unit_undoes_its_reading(unit: str, dimension: Dimension) -> None:
    portion = _read(f"0.5 {unit}", dimension)
    assert portion * scale_of(unit) == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize(
    "unit", ["", "pH", "parsec", "kg**9", "rad", "a b", "°", "EUR/", "EUR/%", "degF", "K"]
)
def test_a_scale_is_given_or_refused_and_nothing_else(unit: str) -> None:
    try:
        scale = scale_of(unit)
    except KeyError:
        return
    assert math.isfinite(scale)
    assert unit in {"", "pH"}


@given(text=st.text(max_size=40), dimension=st.sampled_from(Dimension))
def test_no_text_makes_reading_fail(text: str, dimension: Dimension) -> None:
    value = parse(text, dimension, RATES)
    assert isinstance(value, Misread) or math.isfinite(value)


@given(
    figure=st.sampled_from(["1", "-1", "1e400", "nan", "1,5", "1,500", "1.5.5", "٣"]),
    unit=st.text("kgmolL%/*^()23°CFµ EURppm.,", max_size=12),
    dimension=st.sampled_from(Dimension),
)
def test_no_unit_makes_reading_fail(figure: str, unit: str, dimension: Dimension) -> None:
    value = parse(f"{figure} {unit}", dimension, RATES)
    assert isinstance(value, Misread) or math.isfinite(value)


def test_a_unit_is_told_from_its_figure() -> None:
    assert split(" 18,50\u202f€ / kg ") == ("18,50", "EUR/kg")
    assert split("no figure") == ("", "no figure")
