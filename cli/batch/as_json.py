"""A batch as JSON."""

from collections.abc import Sequence

from ...constraints.model.brief import Bench
from ...workshop.acid.correcting import Corrected
from ...workshop.batch.lines import Batch
from ...workshop.heat.warming import Warmed
from ...workshop.heat.warmth import Warmth
from ..costing.as_json import costing_form
from ..kit.as_json import source_form, verdict_form
from ..sheet.correcting import correction_form


def batch_form(
    bench: Bench, batch: Batch, otherwise: Sequence[Corrected] = ()
) -> dict[str, object]:
    """The whole answer of ``batch``."""
    return {
        "product": bench.brief.name,
        "formula": batch.name,
        "status": "weighed",
        "units": {"mass": "kg", "temperature": "degC", "money": bench.brief.currency},
        "bars": batch.bars,
        "mix": batch.weighed.batch,
        "more_than_asked": batch.more,
        "vessel_balance": batch.vessel_balance,
        "plain_rounding_breaks": list(batch.weighed.plain_breaks),
        "additions": _additions(batch),
        "off_the_formula": [{"material": name, "relative": by} for name, by in batch.departures],
        "half_a_step_breaks": [
            {
                "material": one.material,
                "more": one.over,
                "by": one.by,
                "rules": list(one.broken),
                "ph": one.ph,
            }
            for one in batch.slips
        ],
        "not_with_its_carrier": [{"material": name, "into": into} for name, into in batch.alone],
        "rules": [verdict_form(verdict) for verdict in batch.verdicts],
        "temperatures": None if batch.warmth is None else _warmth(batch.warmth),
        "portions": {
            "press": batch.portions.fill,
            "balance": batch.portions.balance,
            "readings": list(batch.portions.readings),
            "dried": batch.portions.dried,
            "left": batch.portions.left,
        },
        "sold_share": batch.sold,
        "short": [{"material": name, "missing": mass} for name, mass in batch.short],
        "stock_not_counted": list(batch.not_counted),
        "costs": costing_form(batch.costing),
        "cautions": [
            {
                "code": one.code,
                "at": one.at.value,
                "text": one.text,
                "materials": list(names),
                "source": source_form(one.source),
            }
            for one, names in batch.cautions
        ],
        "corrections": [correction_form(one) for one in otherwise],
    }


def _additions(batch: Batch) -> list[dict[str, object]]:
    return [
        {
            "phase": one.phase.value,
            "material": one.weight.material,
            "mass": one.weight.mass,
            "ideal": one.weight.ideal,
            "balance": one.weight.balance,
            "loads": list(one.weight.loads),
            "weighed_apart": one.apart,
            "in_vessel": one.running,
            "vessel_reading": one.reading,
            "add_below": one.add_below,
            "cautions": list(one.cautions),
            "into": one.into,
        }
        for one in batch.additions
    ]


def _warmth(warmth: Warmth) -> dict[str, object]:
    mixing = warmth.mixing
    return {
        "heat_to": warmth.heat_to,
        "mix": {"low": mixing.low, "predicted": mixing.temperature, "high": mixing.high},
        "heat_not_known": list(mixing.unknown),
        "waxes_liquid_above": mixing.melts_by,
        "cool_down_below": mixing.add_below,
        "misses": [miss.name.lower() for miss in mixing.misses],
        "solid_share_of_waxes": dict(mixing.setting),
        "ways": {
            "wait_until": mixing.wait_until,
            "warm_bowl_to": mixing.bowl_at,
            "heat_hot_phases_to": mixing.heat_to,
            "warm_powders_to": mixing.warm_to,
            "hold_back": mixing.hold_back,
        },
        "together": _together(warmth.together),
        "room_colder_than": warmth.cold_below,
        "after_cool_down": warmth.finished,
        "overheated": _met(warmth.overheated),
        "moved_to_cool_down": _met(warmth.moved),
    }


def _together(together: Warmed | None) -> dict[str, object] | None:
    if together is None:
        return None
    return {
        "ways": [{"warm": way.value, "celsius": celsius} for way, celsius in together.ways],
        "reaches": together.reaches,
        "enough": together.enough,
    }


def _met(found: tuple[tuple[str, float, float], ...]) -> list[dict[str, object]]:
    return [{"material": name, "limit": limit, "meets": met} for name, limit, met in found]
