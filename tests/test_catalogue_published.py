"""The packaged catalogue against figures that others have published."""

from itertools import chain

import chemicals
import pytest
from barwright.constraints.catalogue import catalogue
from barwright.constraints.model.material import Material


def share(material: str, inci: str) -> float:
    """Typical share [%]."""
    return 100 * catalogue.material(material).contents[inci].typical


def molar_mass(inci: str) -> float:
    """[g/mol]."""
    mass = catalogue.substance(inci).molar_mass
    assert mass is not None
    return mass


def bearing(word: str) -> list[Material]:
    every = (catalogue.material(name) for name in catalogue.material_names())
    return [material for material in every if word in material.classes]


def reference_molar_mass(cas: str) -> float | None:
    """[g/mol], or ``None`` for a number that the library has no compound for."""
    try:
        return float(chemicals.MW(cas))
    except ValueError:
        return None


# Where the library's compound is not ours, the mass by which it differs, and why [g/mol].
OTHER_COMPOUND = {
    "Sodium Lauryl Sulfoacetate": 1.008,  # listed with a hydrogen too many
    "Sodium Lauroyl Sarcosinate": 18.015,  # listed as the hydrate
    "Disodium EDTA": 292.244 - 336.208,  # the number leads to the free acid
    "Sodium Laureth Sulfate": -44.053,  # listed with one ethylene oxide unit, ours has two
    "Zinc Gluconate": 2 * 1.008,  # listed as free acid beside zinc
}


@pytest.mark.reference
def test_molar_masses_agree_with_an_independent_library():
    compared = 0
    for name in catalogue.substance_names():
        if "Coc" in name:  # ours is a mean over a coconut cut, the library has the bare head group
            continue
        substance = catalogue.substance(name)
        reference = reference_molar_mass(substance.cas[0]) if substance.cas else None
        if reference is not None and substance.molar_mass is not None:
            ours = substance.molar_mass + OTHER_COMPOUND.get(name, 0.0)
            assert ours == pytest.approx(reference, rel=2e-4), name
            compared += 1
    assert compared >= 150


@pytest.mark.reference
@pytest.mark.parametrize(
    ("salt", "acid", "acids", "factor"),
    # Acid in a kilogram of salt, to read "as acid" in Regulation (EC) No 1223/2009, Annex V, under
    # 1, 1a, 2, 3, 4, 12, 13 and 18; worked out from the abridged standard atomic weights of IUPAC.
    [
        ("Sodium Benzoate", "Benzoic Acid", 1, 0.84746),
        ("Potassium Benzoate", "Benzoic Acid", 1, 0.76225),
        ("Calcium Benzoate", "Benzoic Acid", 2, 0.86518),
        ("Sodium Propionate", "Propionic Acid", 1, 0.77117),
        ("Sodium Salicylate", "Salicylic Acid", 1, 0.86270),
        ("Potassium Sorbate", "Sorbic Acid", 1, 0.74644),
        ("Sodium Sorbate", "Sorbic Acid", 1, 0.83609),
        ("Calcium Sorbate", "Sorbic Acid", 2, 0.85490),
        ("Sodium Dehydroacetate", "Dehydroacetic Acid", 1, 0.88438),
        ("Sodium Undecylenate", "Undecylenic Acid", 1, 0.89343),
        ("Methylparaben", "4-Hydroxybenzoic Acid", 1, 0.90781),
        ("Propylparaben", "4-Hydroxybenzoic Acid", 1, 0.76648),
    ],
)
def test_salts_count_as_acid_by_the_published_factors(
    salt: str, acid: str, acids: int, factor: float
):
    assert acids * molar_mass(acid) / molar_mass(salt) == pytest.approx(factor, abs=1e-5)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("inci", "published"),
    # ICSC and CRC Handbook; PubChem CID 23681141 for the dehydroacetate; a supplier's guide for the
    # methosulfate (479.8), often confused with the chloride (404.2).
    [
        ("Sodium Lauryl Sulfate", 288.38),
        ("Behentrimonium Methosulfate", 479.8),
        ("Behentrimonium Chloride", 404.2),
        ("Sodium Dehydroacetate", 190.13),
        ("Cetrimonium Chloride", 320.0),
    ],
)
def test_molar_masses_that_are_often_mistaken_are_the_published_ones(inci: str, published: float):
    assert molar_mass(inci) == pytest.approx(published, abs=0.05)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("material", "inci", "crystal"),
    # Molar mass of the crystals with their water: CRC Handbook.
    [
        ("citric acid, monohydrate", "Citric Acid", 210.14),
        ("sodium citrate, dihydrate", "Sodium Citrate", 294.10),
        ("disodium EDTA, dihydrate", "Disodium EDTA", 372.24),
        ("sodium dehydroacetate, monohydrate", "Sodium Dehydroacetate", 208.15),
    ],
)
def test_crystals_hold_the_water_of_their_formula(material: str, inci: str, crystal: float):
    assert share(material, inci) == pytest.approx(100 * molar_mass(inci) / crystal, abs=0.02)


@pytest.mark.reference
def test_a_nearly_pure_fatty_alcohol_or_acid_melts_where_the_handbooks_say():
    compared = 0
    for material in chain(bearing("fatty alcohol"), bearing("fatty acid")):
        inci, part = max(material.typical_contents(), key=lambda content: content[1])
        numbers = catalogue.substance(inci).cas
        melting = chemicals.Tm(numbers[0]) if numbers and part >= 0.95 else None
        if melting is not None and material.heat is not None:
            assert material.heat.melts_at == pytest.approx(melting - 273.15, abs=3), material.name
            compared += 1
    assert compared >= 6


@pytest.mark.reference
def test_a_betaine_of_30_percent_brings_the_salt_of_its_making():
    # The chloroacetate route gives one mole of sodium chloride for each mole of betaine.
    solution = "cocamidopropyl betaine, 30 % solution"
    moles = share(solution, "Cocamidopropyl Betaine") / molar_mass("Cocamidopropyl Betaine")
    assert share(solution, "Sodium Chloride") == pytest.approx(moles * 58.44, abs=0.3)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("material", "inci", "low", "high"),
    [
        # raw-material composition sheet of one flake and powder grade
        ("sodium cocoyl isethionate, powder", "Sodium Cocoyl Isethionate", 78, 84),
        ("sodium cocoyl isethionate, powder", "Coconut Acid", 8, 14),
        ("sodium cocoyl isethionate, powder", "Sodium Isethionate", 4, 7),
        ("sodium cocoyl isethionate, powder", "Water", 0, 1),
        # Ph. Eur. 0098, as quoted in a data sheet
        ("sodium lauryl sulfate, pharmacopoeia grade", "Sodium Lauryl Sulfate", 85, 100),
        ("sodium lauryl sulfate, pharmacopoeia grade", "Sodium Sulfate", 0, 8),
        ("sodium lauryl sulfate, pharmacopoeia grade", "Lauryl Alcohol", 0, 4),
        # supplier-type descriptions of the two grades
        ("behentrimonium methosulfate, 50 % grade", "Behentrimonium Methosulfate", 48, 51),
        ("behentrimonium methosulfate, 50 % grade", "Butylene Glycol", 1, 3),
        # about 30 % active, as read
        ("cocamidopropyl betaine, 30 % solution", "Cocamidopropyl Betaine", 29, 32),
    ],
)
def test_a_grade_stays_within_its_published_composition(
    material: str, inci: str, low: float, high: float
):
    span = catalogue.material(material).contents[inci]
    assert low <= 100 * span.low + 1e-9
    assert 100 * span.high - 1e-9 <= high
