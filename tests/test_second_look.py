"""A second look stops at what would go wrong on the bench, whatever the rules say."""

import pytest
from barwright.constraints.market.second_look import looks, second_look
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.material import Form
from barwright.constraints.model.rule import Counted, Pick, Selector
from barwright.constraints.rules.judging import judge
from barwright.constraints.rules.rows import rows_of
from barwright.constraints.rules.share import Share
from blends import bench, material, said

SURFACTANT = material("powder", {"Detergent": 0.8, "Salt": 0.05})
WATER = material("water", {"Water": 1.0}, form=Form.LIQUID)
WAX = material("wax", {"Wax": 1.0})
QUAT = material("quat", {"Quat": 1.0})
KEEPER = material("keeper", {"Keeper": 1.0}, dose=(0.005, 0.01))
CLASSES = {
    "Detergent": ("surfactant", "anionic"),
    "Wax": ("wax",),
    "Quat": ("cationic",),
    "Keeper": ("preservative",),
    "Salt": ("salt",),
}


def looked_at(**parts):
    shelf = [SURFACTANT, WATER, WAX, QUAT, KEEPER]
    made = bench(shelf, [1] * len(shelf), [], CLASSES)
    return {remark.name: remark for remark in second_look(made, Composition("", parts))}


def test_half_water_and_no_preservative_does_not_go_by_in_silence():
    found = looked_at(powder=0.4, water=0.5, wax=0.1)
    assert {"liquid to press", "water to press", "water without a preservative"} <= set(found)
    assert found["water to press"].value == pytest.approx(0.5)


def test_a_preservative_answers_for_the_water():
    found = looked_at(powder=0.59, water=0.1, wax=0.3, keeper=0.01)
    assert not found


def test_a_bar_without_wax_has_no_binder_and_one_of_wax_is_no_shampoo():
    assert "no binder" in looked_at(powder=1.0)
    assert "little surfactant" in looked_at(powder=0.1, wax=0.9)
    assert "little surfactant" not in looked_at(wax=1.0)  # meant to condition, not to wash


def test_more_cationic_than_the_anionics_bear_is_said():
    found = looked_at(powder=0.5, wax=0.3, quat=0.2)
    assert found["cationic beside anionic"].value == pytest.approx(0.4 / 0.2)
    assert "cationic beside anionic" not in looked_at(powder=0.6, wax=0.38, quat=0.02)


def test_where_no_anionic_is_there_nothing_drops_out_with_the_cationic():
    assert "cationic beside anionic" not in looked_at(wax=0.8, quat=0.2)


def test_a_material_at_its_least_dose_is_named():
    found = looked_at(powder=0.6, wax=0.395, keeper=0.005)
    assert found["at the least dose"].names == ("keeper",)


def test_a_material_below_its_least_dose_is_not_said_to_stand_at_it():
    found = looked_at(powder=0.6, wax=0.397, keeper=0.003)
    assert found["below the dose advised"].value == 0.003
    assert found["below the dose advised"].threshold == 0.005
    assert "at the least dose" not in found


def test_more_than_is_advised_is_named_whatever_the_brief_allows():
    found = looked_at(powder=0.6, wax=0.35, keeper=0.05)
    assert found["above the dose advised"].names == ("keeper",)
    assert found["above the dose advised"].threshold == 0.01
    assert "above the dose advised" not in looked_at(powder=0.6, wax=0.39, keeper=0.01)


def test_every_threshold_has_a_source():
    assert looks()
    for look in looks():
        assert look.source.citation
        assert look.over is not None or look.under is not None


@pytest.mark.parametrize(
    ("pick", "name", "columns"),
    [(Pick.FORM, "liquid", (1,)), (Pick.PHASE, "melt", (0, 1, 2, 3, 4))],
)
def test_a_form_and_a_phase_pick_whole_materials(pick, name, columns):
    of = Selector(pick, name, Counted.SUPPLIED)
    rule = Share(**said("state"), low=None, high=0.2, of=of)
    shelf = [SURFACTANT, WATER, WAX, QUAT, KEEPER]
    made = bench(shelf, [1] * len(shelf), [rule], CLASSES)
    assert rows_of(made).rows[1].columns == columns
    (verdict,) = judge(made, Composition("", {"powder": 0.5, "water": 0.5}))
    assert verdict.value == pytest.approx(0.5 if pick is Pick.FORM else 1.0)


def test_every_look_has_its_sentence():
    from barwright.cli.finding.second_look import SAID

    assert {look.name for look in looks()} <= set(SAID)


@pytest.mark.reference
@pytest.mark.parametrize(("share", "said"), [(0.0062, False), (0.0064, True)])
def test_what_goes_into_the_water_and_does_not_dissolve_there_is_said(share, said):
    """Sodium benzoate: 62.8 g in 100 mL of water at 20 °C, as the catalogue cites.

    By hand: 0.01 of water takes up 0.00628; the granules bring 0.4 % of water along.
    """
    from barwright.constraints.catalogue.catalogue import material as known

    shelf = [known("sodium benzoate, granules"), WATER, WAX]
    made = bench(shelf, [1] * 3, [], {**CLASSES, "Sodium Benzoate": (), "Water": ()})
    water = 0.01 - 0.004 * share
    parts = {"sodium benzoate, granules": share, "water": water, "wax": 1 - share - water}
    found = {one.name: one for one in second_look(made, Composition("", parts))}
    assert ("more than dissolves" in found) is said
    if said:
        assert found["more than dissolves"].value == pytest.approx(share / 0.628)
        assert found["more than dissolves"].threshold == pytest.approx(0.01)


def test_what_does_not_melt_in_the_hottest_melt_is_said():
    from barwright.constraints.catalogue.catalogue import material as known

    hard, soft = known("hydrogenated castor oil, flakes"), known("cetyl alcohol, pellets")
    held = {inci: () for one in (hard, soft) for inci in one.contents}
    made = bench([hard, soft], [1, 1], [], held)
    found = second_look(made, Composition("", {hard.name: 0.05, soft.name: 0.95}))
    (melts,) = (one for one in found if one.name == "does not melt")
    assert (melts.value, melts.threshold, melts.names) == (86.0, 85.0, (hard.name,))
