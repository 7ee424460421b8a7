"""Bars side by side as data."""

from ...workshop.changing.side_by_side import Across, Compared, SideBySide
from ..kit.as_json import verdict_form


def compare_form(found: SideBySide) -> dict[str, object]:
    """Several bars: shares in kg/kg, in the order of ``bars``; costs in money/kg of mix."""
    return {
        "bars": [_bar_form(one) for one in found.bars],
        "materials": [_row_form(row, "material") for row in found.materials],
        "substances": [_row_form(row, "substance") for row in found.substances],
        "rules": [_rule_form(rule, found) for rule in found.rules],
    }


def _rule_form(rule: str, found: SideBySide) -> dict[str, object]:
    verdicts = [one.verdict(rule) for one in found.bars]
    return {
        "rule": rule,
        "values": [None if one is None else one.value for one in verdicts],
        "kept": [None if one is None else one.kept for one in verdicts],
    }


def _bar_form(one: Compared) -> dict[str, object]:
    ph = one.ph
    return {
        "product": one.bench.brief.name,
        "formula": one.composition.name,
        "currency": one.bench.brief.currency,
        "cost": one.cost,
        "unpriced": list(one.unpriced),
        "ph": None if ph is None else {"typical": ph.ph, "low": ph.low, "high": ph.high},
        "ingredients": dict(one.ingredients),
        "rules": [verdict_form(verdict) for verdict in one.verdicts],
    }


def _row_form(row: Across, kind: str) -> dict[str, object]:
    return {kind: row.name, "shares": list(row.shares), "alike": row.alike}
