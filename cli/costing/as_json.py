"""What a batch costs, as JSON."""

from ...workshop.price.pricing import Costing


def costing_form(costs: Costing) -> dict[str, object]:
    """What a batch costs as JSON."""
    return {
        "bars": costs.bars,
        "bars_sold": costs.sold,
        "materials": costs.materials,
        "packaging": costs.packaging,
        "labour": costs.labour,
        "total": costs.total,
        "outlay_in_packs": costs.outlay,
        "a_bar": costs.a_bar,
        "a_bar_in_packs": costs.a_bar_bought,
        "a_wash": list(costs.a_wash),
        "washes": list(costs.washes),
        "packaging_packs": [
            {
                "packaging": one.name,
                "pieces": one.needed,
                "packs": one.packs,
                "pieces_a_pack": one.pack,
                "money": one.money,
                "used_money": one.used,
            }
            for one in costs.packs
        ],
        "purchases": [
            {
                "material": one.material,
                "needed": one.needed,
                "stock": one.stock,
                "packs": one.packs,
                "pack": one.pack,
                "money": one.money,
                "left": one.left,
            }
            for one in costs.purchases
        ],
    }
