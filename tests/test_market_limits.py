"""What a market limits, counted as its annexes count, and the catalogue it is counted with."""

from collections.abc import Iterable

import pytest
from barwright.constraints.catalogue import catalogue
from barwright.constraints.market.limit import named_by, rule_of
from barwright.constraints.model.substance import Substance


def _known_of(names: Iterable[str]) -> dict[str, Substance]:
    """Those of the names that the catalogue has."""
    known = set(catalogue.substance_names())
    return {inci: catalogue.substance(inci) for inci in names if inci in known}


@pytest.mark.reference
@pytest.mark.parametrize(
    ("limit", "inci", "factor"),
    [
        # Free acid in a salt or ester [kg/kg], from IUPAC abridged atomic weights: H 1.008,
        # C 12.011, N 14.007, O 15.999, Na 22.990, K 39.098. Limits: Regulation (EC) 1223/2009,
        # Annex V, entries 1, 1a, 2, 3, 4, 12, 12a, 13 and 18.
        ("EU V/1 benzoic acid", "Sodium Benzoate", 0.84746),
        ("EU V/1a other benzoates and benzoic esters", "Potassium Benzoate", 0.76225),
        ("EU V/2 propionic acid", "Sodium Propionate", 0.77117),
        ("EU V/3 salicylic acid", "Sodium Salicylate", 0.8627),
        ("EU V/4 sorbic acid", "Potassium Sorbate", 0.74644),
        ("EU V/4 sorbic acid", "Sodium Sorbate", 0.83609),
        ("EU V/12 methylparaben", "Methylparaben", 0.90781),
        ("EU V/12 ethylparaben", "Ethylparaben", 0.83118),
        ("EU V/12a propylparaben and butylparaben", "Propylparaben", 0.76648),
        ("EU V/12a propylparaben and butylparaben", "Butylparaben", 0.71113),
        ("EU V/13 dehydroacetic acid", "Sodium Dehydroacetate", 0.88438),
        ("EU V/18 undecylenic acid", "Sodium Undecylenate", 0.89343),
    ],
)
def test_a_salt_counts_as_the_free_acid_in_it(limit: str, inci: str, factor: float) -> None:
    entry = next(one for one in catalogue.limits("EU") if one.name == limit)
    if inci not in catalogue.substance_names():
        pytest.skip(f"the catalogue has no {inci}")
    acid = catalogue.substance(entry.counted_as)
    rule = rule_of(entry, {inci: catalogue.substance(inci)}, acid.molar_mass, drying=0)
    assert not isinstance(rule, str)
    assert rule.factors[inci] == pytest.approx(factor, abs=2e-5)


def test_the_limits_that_name_some_substances_are_found_without_the_others() -> None:
    every = {inci for limit in catalogue.limits("EU") for inci in limit.substances}
    assert catalogue.limits_naming("EU", every) == catalogue.limits("EU")
    found = catalogue.limits_naming("EU", ["Sodium Benzoate", "Glycerin"])
    assert [limit.name for limit in found] == ["EU V/1 benzoic acid"]
    assert [limit.name for limit in catalogue.limits_naming("AU", ["Camphor"])] == ["AU S5 camphor"]


def test_a_counted_substance_without_a_molar_mass_is_named_and_not_guessed() -> None:
    entry = next(one for one in catalogue.limits("EU") if one.counted_as)
    substance = catalogue.substance(named_by(entry, _known_of(entry.substances))[0])
    assert rule_of(entry, {substance.inci: substance}, None, drying=0) == substance.inci


# ---- the catalogue


def test_every_entry_of_the_catalogue_is_read_without_a_problem() -> None:
    substances = [catalogue.substance(name) for name in catalogue.substance_names()]
    materials = [catalogue.material(name) for name in catalogue.material_names()]
    assert len(substances) > 100
    assert len(materials) > 100
    assert catalogue.limits("EU")
    for entry in (*substances, *materials):
        assert entry.source.citation


def test_what_a_catalogued_material_contains_adds_to_the_whole() -> None:
    for name in catalogue.material_names():
        total = sum(share for _, share in catalogue.material(name).typical_contents())
        assert total == pytest.approx(1, abs=1e-9), name


def test_no_material_has_the_name_of_a_substance_or_a_class() -> None:
    taken = {
        name.casefold() for name in (*catalogue.substance_names(), *catalogue.class_meanings())
    }
    assert not taken & {name.casefold() for name in catalogue.material_names()}


def test_every_limit_that_counts_a_substance_as_another_can_be_counted() -> None:
    for limit in catalogue.limits("EU"):
        molar_mass = limit.counted_molar_mass
        if limit.counted_as and molar_mass is None:
            molar_mass = catalogue.substance(limit.counted_as).molar_mass
        known = _known_of(limit.substances)
        assert not isinstance(rule_of(limit, known, molar_mass, drying=0), str), limit.name


@pytest.mark.parametrize("name", ["no such thing", ""])
def test_the_catalogue_refuses_what_it_has_not(name: str) -> None:
    with pytest.raises(KeyError):
        catalogue.material(name)
    with pytest.raises(KeyError):
        catalogue.substance(name)
