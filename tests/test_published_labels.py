"""Lists of ingredients that were published for compositions that are known."""

from collections.abc import Mapping

import pytest
from barwright.constraints.catalogue import catalogue
from barwright.constraints.model.brief import Bench, Brief, Composition, Portioning
from barwright.constraints.model.shelf import Item
from barwright.constraints.values.problem import Where
from barwright.workshop.label.label import label
from barwright.workshop.label.lines import Label


def printed(weights: Mapping[str, float], market: str) -> list[str]:
    """The list of a composition of catalogued materials, by parts of any weight."""
    materials = tuple(catalogue.material(name) for name in weights)
    names = {inci for one in materials for inci in one.contents}
    portioning = Portioning(None, 0.0, 0.0, None, None)
    brief = Brief("a product", "EUR", (market,), 0.1, (), (), portioning, 21.0)
    shelf = tuple(Item(one, 1.0, 1.0, None, True, "", Where("shelf.csv")) for one in materials)
    bench = Bench("bench", brief, shelf, {inci: catalogue.substance(inci) for inci in names})
    whole = sum(weights.values())
    parts = {name: weight / whole for name, weight in weights.items()}
    found = label(bench, Composition("as published", parts), market)
    assert isinstance(found, Label)
    return [one.name for one in found.ingredients]


def in_order(names: list[str], *published: str) -> bool:
    """Whether the published names stand in the list in their order, others between them or not."""
    places = [names.index(name) for name in published]
    return places == sorted(places)


@pytest.mark.reference
def test_a_lip_balm_by_weight_is_listed_as_its_worked_example_lists_it() -> None:
    """Worked example "How to List Ingredient", soaplabmalaysia.com, July 2017, weights in grams.

    It lists the pigment by weight, where 21 CFR 701.3(f) lets colours follow everything else, and
    what is 1 g at the end, in any order.
    """
    found = printed(
        {
            "beeswax, white, pellets": 30,
            "cocoa butter, deodorised": 30,
            "shea butter, refined": 10,
            "castor oil, cold-pressed": 20,
            "iron oxide, red": 10,
            "peppermint oil, rectified": 1,
        },
        "US",
    )
    assert found == [
        "Beeswax",
        "Cocoa (Theobroma Cacao) Seed Butter",
        "Castor (Ricinus Communis) Seed Oil",
        "Shea (Butyrospermum Parkii) Butter",
        "Peppermint (Mentha Piperita) Oil",
        "Iron Oxides",
    ]


@pytest.mark.reference
def test_an_isethionate_base_with_stearic_acid_is_listed_as_drug_labels_list_it() -> None:
    """Inactive ingredients of a shampoo bar, DailyMed, set id af7060a9-986c-500e-e053-2a95a90a6438.

    The label of 26 October 2020 names no water ahead of them, and stearic acid for the blend of
    stearic and palmitic acid.
    """
    found = printed({"sodium cocoyl isethionate, with stearic acid, flakes": 1}, "EU")
    published = ("Sodium Cocoyl Isethionate", "Stearic Acid", "Coconut Acid", "Sodium Isethionate")
    assert in_order(found, *published)
    assert set(found) == {*published, "Palmitic Acid"}


@pytest.mark.reference
@pytest.mark.parametrize(
    ("material", "published"),
    [
        # names of blends as encyclopaedia and ingredient pages print them, most first
        (
            "behentrimonium methosulfate, 25 % grade",
            ("Cetearyl Alcohol", "Behentrimonium Methosulfate"),
        ),
        ("phenoxyethanol and ethylhexylglycerin, 90/10", ("Phenoxyethanol", "Ethylhexylglycerin")),
        (
            "benzyl alcohol and dehydroacetic acid, liquid",
            ("Benzyl Alcohol", "Dehydroacetic Acid", "Aqua"),
        ),
    ],
)
def test_a_blend_is_listed_in_the_order_of_its_published_name(
    material: str, published: tuple[str, ...]
) -> None:
    assert in_order(printed({material: 1}, "EU"), *published)


@pytest.mark.reference
def test_a_bar_of_powders_alone_lists_no_water() -> None:
    """Regulation (EC) No 1223/2009, Article 19(1): an ingredient is added on purpose."""
    found = printed(
        {
            "sodium cocoyl isethionate, powder": 50,
            "sodium coco-sulfate, needles": 15,
            "corn starch, native": 15,
            "kaolin, white": 10,
            "cetearyl alcohol, 50/50, pellets": 8,
            "citric acid, monohydrate": 2,
        },
        "EU",
    )
    assert "Aqua" not in found
    assert found[:3] == ["Sodium Cocoyl Isethionate", "Zea Mays Starch", "Sodium Coco-Sulfate"]
