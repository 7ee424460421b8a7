"""The packaged catalogue, read as plain TOML: every entry sound, sourced and true to chemistry."""

import re
import tomllib
from collections import Counter
from importlib.resources import files
from itertools import chain
from math import prod
from typing import Any

import pytest

FOLDER = files("barwright.constraints") / "data"
TEXT = {
    name: (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    for name in ("classes", "substances", "materials")
}
CLASSES: dict[str, str] = tomllib.loads(TEXT["classes"])
SUBSTANCES: dict[str, Any] = tomllib.loads(TEXT["substances"])
MATERIALS: dict[str, Any] = tomllib.loads(TEXT["materials"])
DEFAULTS = {
    "substances": SUBSTANCES.pop("_defaults"),
    "materials": MATERIALS.pop("_defaults"),
}
TINY = 1e-9
KINDS = {"law", "standard", "handbook", "paper", "certificate", "measured", "practice", "memory"}
UNITS = {
    "molar_mass": "g/mol",
    "buffer": "mol/kg",
    "dose": "%",
    "add_below": "degC",
    "alkalinity": "mol/kg",
    "density": "kg/L",
    "specific": "kJ/kg/K",
    "melts_at": "degC",
    "latent": "kJ/kg",
}


def magnitude(text: str, unit: str) -> float:
    number, _, rest = text.partition(" ")
    assert rest == unit, text
    return float(number)


def span(value: str | list[str], unit: str) -> tuple[float, float, float]:
    figures = [value] * 3 if isinstance(value, str) else value
    low, typical, high = (magnitude(figure, unit) for figure in figures)
    return low, typical, high


def contents(material: dict[str, Any]) -> dict[str, tuple[float, float, float]]:
    return {inci: span(value, "%") for inci, value in material["contents"].items()}


def charge(substance: dict[str, Any], ph: float) -> float:
    """Mean charge with its fixed ions [mol charge/mol]."""
    return sum(charge_of_groups(groups, ph) for groups in groups_of(substance))


def groups_of(substance: dict[str, Any]) -> list[dict[str, Any]]:
    """All that ionises for itself."""
    ionisation = substance.get("ionisation")
    return [] if ionisation is None else [ionisation, *ionisation.get("beside", [])]


def charge_of_groups(ionisation: dict[str, Any], ph: float) -> float:
    steps = [10 ** (ph - pka) for pka in ionisation["pka"]]
    weights = [prod(steps[:lost]) for lost in range(len(steps) + 1)]
    lost = sum(n * weight for n, weight in enumerate(weights)) / sum(weights)
    return float(ionisation.get("top_charge", 0) - lost + sum(ionisation.get("ions", [])))


def check_digit_holds(cas: str) -> bool:
    match = re.fullmatch(r"(\d{2,7})-(\d{2})-(\d)", cas)
    if match is None:
        return False
    digits = reversed(match[1] + match[2])
    return sum(place * int(d) for place, d in enumerate(digits, 1)) % 10 == int(match[3])


def bearers(word: str) -> list[str]:
    """Materials that bear a class."""
    return [name for name, material in MATERIALS.items() if word in material["classes"]]


# ---- What there is


def test_there_are_enough_substances_and_materials_to_start_a_bench():
    assert len(SUBSTANCES) >= 120
    assert len(MATERIALS) >= 90


@pytest.mark.parametrize(
    ("word", "least"),
    [
        ("surfactant", 25),
        ("amphoteric", 5),
        ("glucoside", 3),
        ("conditioning emulsifier", 6),
        ("cationic polymer", 3),
        ("fatty alcohol", 4),
        ("wax", 12),
        ("butter", 5),
        ("oil", 15),
        ("humectant", 6),
        ("protein", 6),
        ("extract", 10),
        ("starch", 4),
        ("clay", 4),
        ("acid", 6),
        ("base", 3),
        ("chelant", 5),
        ("preservative", 10),
        ("preservative booster", 3),
        ("antioxidant", 3),
        ("colour", 6),
        ("essential oil", 9),
        ("water", 1),
    ],
)
def test_every_group_of_the_trade_has_its_materials(word: str, least: int):
    assert len(bearers(word)) >= least


# ---- Form


@pytest.mark.parametrize("name", ["substances", "materials"])
def test_a_file_can_be_sliced_into_entries_by_its_headers(name: str):
    headers = [line for line in TEXT[name].splitlines() if line.startswith("[")]
    entries = {"substances": SUBSTANCES, "materials": MATERIALS}[name]
    assert headers == ["[_defaults]", *(f'["{entry}"]' for entry in entries)]


@pytest.mark.parametrize(
    ("file", "entries"), [("substances", SUBSTANCES), ("materials", MATERIALS)]
)
def test_every_entry_and_every_constant_has_a_source_of_a_known_kind(
    file: str, entries: dict[str, Any]
):
    for name, entry in entries.items():
        about = DEFAULTS[file] | entry
        assert about["source"].strip(), name
        assert about["kind"] in KINDS, name
        for part in (entry.get("ionisation"), entry.get("heat"), entry.get("reads")):
            if part is not None:
                assert part["source"].strip(), name
                assert part["kind"] in KINDS, name


def test_a_source_of_its_own_says_its_own_kind():
    for name, entry in chain(SUBSTANCES.items(), MATERIALS.items()):
        assert ("source" in entry) == ("kind" in entry), name


def test_every_class_in_use_is_defined_and_every_class_defined_is_in_use():
    used = {
        word for entry in (*SUBSTANCES.values(), *MATERIALS.values()) for word in entry["classes"]
    }
    assert used == set(CLASSES)
    assert all(meaning.endswith(".") for meaning in CLASSES.values())


def test_a_material_is_never_named_like_a_substance_or_a_class():
    taken = {name.casefold() for name in (*SUBSTANCES, *CLASSES)}
    assert not taken & {name.casefold() for name in MATERIALS}
    assert all(", " in name for name in MATERIALS)


def test_names_that_differ_only_in_case_do_not_occur():
    for entries in (SUBSTANCES, MATERIALS):
        assert max(Counter(name.casefold() for name in entries).values()) == 1


def test_every_quantity_has_the_unit_of_its_kind():
    for entry in (*SUBSTANCES.values(), *MATERIALS.values()):
        for key, value in chain(entry.items(), entry.get("heat", {}).items()):
            if key in UNITS:
                figures = value if isinstance(value, list) else [value]
                assert all(magnitude(figure, UNITS[key]) is not None for figure in figures)


def test_hazards_are_hazard_statements_or_dust():
    for name, material in MATERIALS.items():
        for hazard in material.get("hazards", []):
            assert hazard == "dust" or re.fullmatch(r"H[2-4]\d\d[a-z]{0,2}", hazard), name


# ---- Materials


@pytest.mark.parametrize("name", MATERIALS)
def test_contents_are_known_substances_that_add_to_the_whole(name: str):
    shares = contents(MATERIALS[name])
    assert set(shares) <= set(SUBSTANCES)
    assert all(0 <= low <= typical <= high <= 100 for low, typical, high in shares.values())
    assert sum(typical for _, typical, _ in shares.values()) == pytest.approx(100, abs=0.01)


def test_ranges_leave_room_for_a_real_drum():
    for name, material in MATERIALS.items():
        lows, _, highs = zip(*contents(material).values(), strict=True)
        assert sum(lows) <= 100 + TINY, name
        assert sum(highs) >= 100 - TINY, name


def test_ranges_of_dose_and_alkalinity_rise():
    for name, material in MATERIALS.items():
        least, most = (magnitude(figure, "%") for figure in material["dose"])
        assert 0 <= least < most <= 100, name
        if "alkalinity" in material:
            figures = span(material["alkalinity"], "mol/kg")
            assert sorted(figures) == list(figures), name


def test_forms_and_phases_are_those_of_the_bench():
    for name, material in MATERIALS.items():
        assert material["form"] in {"solid", "paste", "liquid"}, name
        assert material["phase"] in {"water", "melt", "powder", "cool-down"}, name


def test_what_melts_has_a_heat_of_melting_and_is_no_liquid():
    for name, material in MATERIALS.items():
        heat = material["heat"]
        assert ("melts_at" in heat) == ("latent" in heat), name
        assert "melts_at" not in heat or material["form"] != "liquid", name


def test_only_what_preserves_works_below_a_ph():
    keeping = {"preservative", "preservative booster"}
    for name, material in MATERIALS.items():
        if "works_below_ph" in material:
            assert keeping & set(material["classes"]), name
            assert 3 <= material["works_below_ph"] <= 9, name


def test_what_evaporates_or_spoils_in_the_heat_goes_in_at_cool_down():
    for name in (*bearers("essential oil"), *bearers("fragrance")):
        assert MATERIALS[name]["phase"] == "cool-down", name
        assert magnitude(MATERIALS[name]["add_below"], "degC") <= 60, name


def test_every_acid_preservative_bought_as_its_salt_says_up_to_which_ph_it_works():
    salts = {"Sodium Benzoate", "Potassium Sorbate", "Sodium Dehydroacetate"}
    for name in bearers("preservative"):
        if salts & set(MATERIALS[name]["contents"]):
            assert "works_below_ph" in MATERIALS[name], name


def test_an_essential_oil_keeps_a_remainder_under_its_own_name():
    for name in bearers("essential oil"):
        shares = contents(MATERIALS[name])
        oils = [inci for inci in shares if "essential oil" in SUBSTANCES[inci]["classes"]]
        assert len(oils) == 1, name
        assert shares[oils[0]][1] > 0, name


def test_what_is_tagged_as_sulfate_holds_one_and_the_other_way_round():
    for name, material in MATERIALS.items():
        holds = any("sulfate" in SUBSTANCES[inci]["classes"] for inci in material["contents"])
        assert holds == ("sulfate" in material.get("tags", [])), name


# ---- Substances


def test_every_registry_number_has_its_check_digit():
    wrong = [
        cas for s in SUBSTANCES.values() for cas in s.get("cas", []) if not check_digit_holds(cas)
    ]
    assert not wrong


def test_constants_rise_and_ions_carry_charge():
    for name, substance in SUBSTANCES.items():
        if "ionisation" in substance:
            ionisation = substance["ionisation"]
            assert ionisation["pka"] == sorted(ionisation["pka"]), name
            assert 0 not in ionisation["ions"], name
            assert isinstance(ionisation["aggregates"], bool), name
            assert "molar_mass" in substance, name


def test_every_substance_is_neutral_in_a_state_it_can_be_in():
    for name, substance in SUBSTANCES.items():
        if "ionisation" not in substance or name.endswith(" Hydroxide"):
            continue
        every = groups_of(substance)
        most = sum(groups.get("top_charge", 0) for groups in every)
        protons = sum(len(groups["pka"]) for groups in every)
        ions = sum(sum(groups.get("ions", [])) for groups in every)
        assert most - protons <= -ions <= most, name


def test_a_hydroxide_brings_its_metal_alone_since_the_rest_is_water():
    for name in ("Sodium Hydroxide", "Potassium Hydroxide"):
        assert [charge(SUBSTANCES[name], ph) for ph in (2, 7, 12)] == [1, 1, 1]


@pytest.mark.parametrize("name", ["Sodium Chloride", "Sodium Sulfate", "Magnesium Sulfate"])
def test_a_neutral_salt_moves_no_ph(name: str):
    assert [charge(SUBSTANCES[name], ph) for ph in (2, 7, 12)] == [0, 0, 0]


def test_an_acid_is_neutral_where_it_keeps_its_protons_and_its_full_salt_where_it_lost_them():
    for acid, salt in [
        ("Citric Acid", "Sodium Citrate"),
        ("Benzoic Acid", "Sodium Benzoate"),
        ("Sorbic Acid", "Potassium Sorbate"),
        ("EDTA", "Tetrasodium EDTA"),
        ("Lactic Acid", "Sodium Lactate"),
    ]:
        assert charge(SUBSTANCES[acid], -4) == pytest.approx(0, abs=1e-4)
        assert charge(SUBSTANCES[salt], 16) == pytest.approx(0, abs=1e-4)


def test_surfactants_and_fatty_acids_with_charge_sit_in_aggregates():
    for name, substance in SUBSTANCES.items():
        if {"surfactant", "fatty acid"} & set(substance["classes"]) and "ionisation" in substance:
            assert substance["ionisation"]["aggregates"], name


def test_every_fatty_alcohol_that_is_solid_on_the_bench_counts_as_wax():
    liquid = {"Lauryl Alcohol", "Coconut Alcohol"}
    for name, substance in SUBSTANCES.items():
        if "fatty alcohol" in substance["classes"] and name not in liquid:
            assert "wax" in substance["classes"], name


def test_a_colour_is_declared_by_its_number():
    for name, substance in SUBSTANCES.items():
        if name.startswith("CI "):
            assert substance["colour_index"] == name.removeprefix("CI ")
            assert substance["classes"] == ["colour"]


def test_a_buffer_known_by_titration_says_where_it_is_neutral():
    for name, substance in SUBSTANCES.items():
        assert ("buffer" in substance) == ("neutral_ph" in substance), name
        assert not ("buffer" in substance and "ionisation" in substance), name
