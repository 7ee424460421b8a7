"""Words that makers use for a material find it."""

import barwright
import pytest
from barwright.constraints.catalogue import catalogue
from barwright.constraints.values.problem import Problems
from blends import standalone


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("distilled water", "water, demineralised"),
        ("Needles", "sodium coco-sulfate, needles"),
        ("25 % emulsifier", "behentrimonium methosulfate, 25 % grade"),
        ("oats", "oat flour, colloidal"),
        ("baking soda", "sodium bicarbonate, powder"),
    ],
)
def test_another_name_means_the_material(said, meant):
    assert catalogue.called(said) == meant
    assert [one.name for one in catalogue.matching([said])] == [meant]


def test_no_other_name_is_shared_or_stands_for_something_else():
    taken = {name.casefold() for name in (*catalogue.material_names(), *catalogue.class_meanings())}
    said = [
        other.casefold()
        for name in catalogue.material_names()
        for other in catalogue.material(name).also
    ]
    assert len(said) == len(set(said)) >= 60
    assert not taken & set(said)


def test_shelf_and_formula_may_say_what_the_maker_says(tmp_path):
    bench = tmp_path / "bench"
    standalone(bench)
    shelf = (bench / "shelf.csv").read_text(encoding="utf-8")
    name = "sodium coco-sulfate, needles"
    assert name in shelf
    written = shelf.replace(f'"{name}"', "needles").replace(name, "needles")
    (bench / "shelf.csv").write_text(written, encoding="utf-8")
    formula = bench / "formulas" / "today.toml"
    said = formula.read_text(encoding="utf-8").replace(f'"{name}"', '"needles"')
    assert '"needles"' in said
    formula.write_text(said, encoding="utf-8")
    read = barwright.read_bench(bench)
    assert not isinstance(read, Problems), read
    assert name in [item.material.name for item in read.shelf]
    composition = barwright.read_formula(formula, read)
    assert not isinstance(composition, Problems), composition
    assert composition.parts[name] > 0.0
