"""The limits that the European annexes set for a rinse-off hair product."""

import tomllib
from importlib.resources import files

import pytest
from barwright.constraints.catalogue import catalogue
from barwright.constraints.market.limit import Limit, rule_of
from barwright.constraints.model.rule import Kind
from barwright.constraints.rules.counting import Counting
from barwright.constraints.values.problem import SourceKind

LIMITS = {limit.name: limit for limit in catalogue.limits("EU")}

# Greatest share [%] by annex entry: Regulation (EC) No 1223/2009, Annexes III and V, as in the
# Commission register exports of 01/2024 and 09/2022; entries 286 and 287 from Regulation (EU)
# No 866/2014 as corrected, OJ L 254, 28.8.2014, p. 39; entry 380 from Regulation (EU) 2026/78.
PUBLISHED = {
    "V/1": 2.5, "V/1a": 0.5, "V/2": 2.0, "V/3": 0.5, "V/4": 0.6, "V/7": 0.2, "V/12a": 0.14,
    "V/13": 0.6, "V/18": 0.2, "V/22": 0.15, "V/27": 0.6, "V/29": 1.0, "V/32": 0.5, "V/33": 0.6,
    "V/34": 1.0, "V/35": 1.0, "V/38": 0.1, "V/39": 0.0015, "V/43": 1.0, "V/44": 0.1, "V/50": 0.3,
    "V/51": 0.5, "V/53": 0.1, "V/54": 0.1, "V/56": 0.02, "V/57": 0.0015, "V/58": 0.4, "V/60": 0.7,
    "III/286": 2.5, "III/287": 5.0, "III/4": 6.0, "III/22": 0.5, "III/24": 1.0, "III/49": 1.0,
    "III/53": 1.5, "III/60": 0.5, "III/65": 3.0, "III/72": 1.0, "III/73": 0.02, "III/89": 0.01,
    "III/102": 0.001, "III/154": 0.4, "III/157": 0.02, "III/324": 0.06, "III/325": 0.8,
    "III/380": 0.5, "II/1670": 0.0, "II/1666": 0.0, "II/1380": 0.0, "II/1381": 0.0,
    # read entry by entry in the Commission register export of 05/2024, entry 310 in Commission
    # Regulation (EU) 2019/698
    "III/98": 3.0, "III/310": 2.0, "III/197": 0.8, "III/54": 2.0, "III/186": 0.1, "III/323": 0.2,
    "III/308": 0.1, "III/196": 0.2, "III/312": 0.001, "III/257": 4.0, "III/3": 5.0, "V/9": 0.2,
    "V/14": 0.5, "V/21": 0.1, "V/26": 0.5, "V/28": 0.1, "V/42": 0.3, "V/46": 0.5, "II/1395": 0.0,
    "II/1577": 0.0, "II/1374": 0.0, "II/360": 0.01, "II/1716": 0.0, "XVII/70": 0.1,
}  # fmt: skip
# Figures that no one read in the annex: they may stand in the file only as from memory.
UNREAD = {
    "III/57", "III/44", "III/51", "III/93", "V/20", "V/24", "V/30", "V/37", "V/45", "V/47", "V/48",
    "V/49", "V/52", "V/55", "V/59",
}  # fmt: skip

# Greatest share of one pure anhydrous salt or ester [%]: the published limit over M(acid)/M(salt),
# worked out from the abridged standard atomic weights of IUPAC.
AS_SUPPLIED = [
    ("EU V/1 benzoic acid", "Sodium Benzoate", 2.95),
    ("EU V/1a other benzoates and benzoic esters", "Potassium Benzoate", 0.656),
    ("EU V/1a other benzoates and benzoic esters", "Calcium Benzoate", 0.578),
    ("EU V/2 propionic acid", "Sodium Propionate", 2.593),
    ("EU V/3 salicylic acid", "Sodium Salicylate", 0.58),
    ("EU V/4 sorbic acid", "Potassium Sorbate", 0.804),
    ("EU V/4 sorbic acid", "Sodium Sorbate", 0.718),
    ("EU V/4 sorbic acid", "Calcium Sorbate", 0.702),
    ("EU V/12 methylparaben", "Methylparaben", 0.441),
    ("EU V/12 ethylparaben", "Ethylparaben", 0.481),
    ("EU V/12a propylparaben and butylparaben", "Propylparaben", 0.183),
    ("EU V/12a propylparaben and butylparaben", "Butylparaben", 0.197),
    ("EU V/13 dehydroacetic acid", "Sodium Dehydroacetate", 0.678),
    ("EU V/18 undecylenic acid", "Sodium Undecylenate", 0.224),
]

# Registry numbers of the acid and the salt or ester, and the formula units of acid in it.
PAIRS = [
    ("EU V/1 benzoic acid", "Sodium Benzoate", "65-85-0", "532-32-1", 1),
    ("EU V/1a other benzoates and benzoic esters", "Potassium Benzoate", "65-85-0", "582-25-2", 1),
    ("EU V/2 propionic acid", "Sodium Propionate", "79-09-4", "137-40-6", 1),
    ("EU V/3 salicylic acid", "Sodium Salicylate", "69-72-7", "54-21-7", 1),
    ("EU V/4 sorbic acid", "Potassium Sorbate", "110-44-1", "24634-61-5", 1),
    ("EU V/4 sorbic acid", "Sodium Sorbate", "110-44-1", "7757-81-5", 1),
    ("EU V/4 sorbic acid", "Calcium Sorbate", "110-44-1", "7492-55-9", 2),
    ("EU V/12 methylparaben", "Methylparaben", "99-96-7", "99-76-3", 1),
    ("EU V/12 ethylparaben", "Ethylparaben", "99-96-7", "120-47-8", 1),
    ("EU V/12a propylparaben and butylparaben", "Propylparaben", "99-96-7", "94-13-3", 1),
    ("EU V/12a propylparaben and butylparaben", "Butylparaben", "99-96-7", "94-26-8", 1),
    ("EU V/13 dehydroacetic acid", "Sodium Dehydroacetate", "520-45-6", "4418-26-2", 1),
]


def factor(name: str, inci: str) -> float:
    """Mass counted for each mass of a substance, as the rule of a brief counts it."""
    limit = LIMITS[name]
    counted = catalogue.substance(limit.counted_as).molar_mass if limit.counted_as else None
    rule = rule_of(limit, {inci: catalogue.substance(inci)}, counted, 0.0)
    assert isinstance(rule, Counting)
    return rule.factors[inci]


def entry_of(limit: Limit) -> str:
    return limit.name.split()[1]


@pytest.mark.reference
def test_every_limit_is_the_published_figure_of_its_entry() -> None:
    parabens = {name for name in LIMITS if name.startswith("EU V/12 ")}
    freed = {name for name, one in LIMITS.items() if one.most is None}
    read = {name: one for name, one in LIMITS.items() if entry_of(one) not in UNREAD}
    found = {entry_of(one): one.most for name, one in read.items() if name not in parabens | freed}
    assert found == {entry: pytest.approx(share / 100) for entry, share in PUBLISHED.items()}
    assert len({one.most for one in LIMITS.values() if entry_of(one) == "V/44"}) == 1


def test_a_figure_that_was_not_read_says_so() -> None:
    for limit in LIMITS.values():
        memory = limit.source.kind is SourceKind.MEMORY
        assert memory == ("from memory, verify" in limit.source.citation), limit.name
        assert memory or entry_of(limit) not in UNREAD, limit.name


def test_an_entry_without_a_share_frees_a_purpose_and_nothing_else() -> None:
    for limit in LIMITS.values():
        assert limit.most is not None or (limit.purposes and not limit.assumed), limit.name


@pytest.mark.reference
def test_parabens_are_limited_one_by_one_and_together() -> None:
    """Annex V entries 12 and 12a: 0.4 % for one ester, 0.14 % for 12a, 0.8 % for a mixture."""
    single = [name for name in LIMITS if name.startswith("EU V/12 ") and "mixture" not in name]
    mixture = LIMITS["EU V/12 and V/12a mixture of parabens"]
    assert [LIMITS[name].most for name in single] == [0.004] * 3
    assert mixture.most == 0.008
    long_chained = set(LIMITS["EU V/12a propylparaben and butylparaben"].substances)
    assert set(mixture.substances) == long_chained.union(
        *(LIMITS[name].substances for name in single)
    )


@pytest.mark.reference
@pytest.mark.parametrize(("name", "inci", "most_percent"), AS_SUPPLIED)
def test_a_salt_may_be_dosed_up_to_its_published_equivalent(
    name: str, inci: str, most_percent: float
) -> None:
    assert 100 * LIMITS[name].most / factor(name, inci) == pytest.approx(most_percent, abs=0.0006)


@pytest.mark.reference
@pytest.mark.parametrize(("name", "inci", "acid", "salt", "units"), PAIRS)
def test_salts_are_counted_as_acid_by_moles(
    name: str, inci: str, acid: str, salt: str, units: int
) -> None:
    """Molar masses from the package chemicals, which knows nothing of the catalogue."""
    from chemicals import MW

    assert factor(name, inci) == pytest.approx(units * MW(acid) / MW(salt), rel=1e-4)


@pytest.mark.reference
def test_zinc_salts_are_counted_as_zinc() -> None:
    from chemicals import MW

    zinc = catalogue.substance("Zinc").molar_mass
    assert zinc == pytest.approx(MW("7440-66-6"), rel=1e-4)
    assert LIMITS["EU III/24 water-soluble zinc salts"].counted_as == "Zinc"


def test_potassium_benzoate_is_held_to_the_stricter_entry_alone() -> None:
    naming = [name for name, limit in LIMITS.items() if "Potassium Benzoate" in limit.substances]
    assert naming == ["EU V/1a other benzoates and benzoic esters"]


def test_quats_are_limited_by_two_sums_and_the_methosulfate_by_none() -> None:
    two = LIMITS["EU III/286 cetrimonium and steartrimonium chloride"]
    three = LIMITS["EU III/287 behentrimonium, cetrimonium and steartrimonium chloride"]
    assert set(three.substances) - set(two.substances) == {"Behentrimonium Chloride"}
    assert set(two.substances.values()) == set(three.substances.values()) == {1.0}
    assert not two.counted_as
    assert not three.counted_as
    assert not any("Behentrimonium Methosulfate" in limit.substances for limit in LIMITS.values())


def test_what_is_prohibited_may_not_be_there_at_all() -> None:
    prohibited = {name for name, limit in LIMITS.items() if limit.most == 0}
    assert prohibited == {name for name in LIMITS if name.startswith("EU II/")} - {
        "EU II/360 safrole"  # the annex leaves what an oil naturally holds
    }
    assert LIMITS["EU II/1670 zinc pyrithione"].substances == {"Zinc Pyrithione": 1.0}


def test_water_lost_in_drying_tightens_a_limit_on_the_mix() -> None:
    limit = LIMITS["EU V/29 phenoxyethanol"]
    phenoxyethanol = {"Phenoxyethanol": catalogue.substance("Phenoxyethanol")}
    rule = rule_of(limit, phenoxyethanol, None, 0.02)
    assert isinstance(rule, Counting)
    assert rule.kind is Kind.LAW
    assert rule.high == pytest.approx(0.0098)


@pytest.mark.parametrize("name", LIMITS)
def test_every_limit_says_what_it_is_for_and_where_and_when_it_was_read(name: str) -> None:
    limit = LIMITS[name]
    assert limit.purpose
    assert "Regulation" in limit.source.citation
    assert limit.source.date == "2026-11-25"
    assert all(times > 0 for times in limit.substances.values())
    assert limit.substances.get(limit.counted_as, 1.0) == 1


def test_every_substance_to_be_counted_by_moles_has_a_molar_mass_in_the_catalogue() -> None:
    known = set(catalogue.substance_names())
    for limit in LIMITS.values():
        for inci in {limit.counted_as, *limit.substances} & known if limit.counted_as else ():
            assert catalogue.substance(inci).molar_mass is not None, (limit.name, inci)


def test_the_caution_travels_with_the_limits() -> None:
    text = files("barwright.constraints.data").joinpath("limits.toml").read_text(encoding="utf-8")
    caution = tomllib.loads(text)["_defaults"]["caution"]
    assert "research note of 2026-11-25, never legal advice" in caution
