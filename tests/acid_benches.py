"""Random benches with rules on pH, and a search for compositions that shares nothing with ours.

The search goes over a grid of pH and ionic strength. At each point the compositions that have just
this pH and ionic strength are those of two equations; SCIP finds the cheapest of them. The charge
and the salt of a kilogram of each substance are worked out here, form by form, by definition.
"""

import random
from math import sqrt

import pyscipopt
from barwright.constraints.acidity.constants import constants
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.substance import Ionisation, Substance
from barwright.constraints.rules.acidity import Acidity
from barwright.constraints.rules.choose import Choose
from barwright.constraints.rules.dose import Dose
from blends import SOURCE, bench, said, share_of

DILUTION = 0.1


def _groups(pka=(), ions=(), top=0, *, aggregates=False):
    return Ionisation(tuple(pka), top, tuple(ions), aggregates, SOURCE)


CITRIC = (3.128, 4.761, 6.396)
IONISE = {
    "Citric Acid": (192.1, _groups(CITRIC)),
    "Sodium Citrate": (258.1, _groups(CITRIC, (1, 1, 1))),
    "Lactic Acid": (90.1, _groups((3.86,))),
    "Sodium Benzoate": (144.1, _groups((4.204,), (1,))),
    "Sodium Phosphate": (120.0, _groups((2.15, 7.2, 12.35), (1,))),
    "Tetrasodium EDTA": (380.2, _groups((2.0, 2.69, 6.13, 10.95), (1, 1, 1, 1))),
    "Glycine": (75.1, _groups((2.35, 9.78), (), 1)),
    "Triethanolamine": (149.2, _groups((7.76,), (), 1)),
    "Sodium Hydroxide": (40.0, _groups((), (1,))),
    "Sodium Chloride": (58.4, _groups((), (1, -1))),
    "Magnesium Sulfate": (120.4, _groups((), (2, -2))),
    "Sodium Isethionate": (350.0, _groups((), (1,), -1, aggregates=True)),
    "Soap": (300.0, _groups((9.5,), (1,), aggregates=True)),
    "Cetyl Alcohol": (242.4, None),
    "Water": (18.0, None),
}


def substance(inci):
    mass, ionisation = IONISE[inci]
    return Substance(inci, (), (), mass, ionisation, 0.0, 7.0, "", SOURCE)


def material(name, contents, alkalinity=0.0, classes=()):
    spans = {inci: Span(share, share, share) for inci, share in contents.items()}
    known = None if alkalinity is None else Span(alkalinity, alkalinity, alkalinity)
    form, phase = Form.SOLID, Phase.POWDER
    return Material(
        name, form, phase, tuple(classes), (), spans,
        None, None, known, 0.0, None, None, None, (), SOURCE,
    )  # fmt: skip


def random_acid_bench(seed):
    """Four to eight materials, a band of pH, and shares that pull against it."""
    draw = random.Random(seed)
    names = draw.sample([name for name in IONISE if name != "Water"], draw.randint(3, 6))
    shelf = [_material(draw, name) for name in names]
    if draw.random() < 0.8:
        shelf.append(material("filler", {"Cetyl Alcohol": 1.0}))
    if draw.random() < 0.5:
        shelf.append(material("water, pure", {"Water": 1.0}))
    rules = [_band(draw), *_shares(draw, names)]
    rules += _choice(draw, [one.name for one in shelf]) if draw.random() < 0.3 else []
    prices = [round(draw.uniform(0.5, 20), 2) for _ in shelf]
    if draw.random() < 0.1:
        prices = [draw.choice([0.0, 5.0]) for _ in shelf]
    made = bench(shelf, prices, rules)
    object.__setattr__(made, "substances", {inci: substance(inci) for inci in IONISE})
    return made


def _material(draw, inci):
    water = draw.choice([0.0, 0.0, 0.1, 0.5])
    salt = draw.choice([0.0, 0.0, 0.05, 0.2]) if inci != "Sodium Chloride" else 0.0
    contents = {inci: 1.0 - water - salt, "Water": water}
    if salt:
        contents["Sodium Chloride"] = salt
    return material(
        f"{inci.lower()}, {1 - water - salt:.0%}", contents, draw.choice([0.0, 0.0, 0.02, -0.02])
    )


def _band(draw):
    low = round(draw.uniform(2.0, 8.0), 1)
    high = round(low + draw.choice([0.1, 0.5, 1.0]), 1)
    sides = draw.choice([(low, high), (low, high), (low, None), (None, high)])
    return Acidity(**said("pH", unit="pH"), low=sides[0], high=sides[1], dilution=DILUTION)


def _shares(draw, names):
    for inci in draw.sample(names, min(len(names), 3)):
        low = round(draw.choice([0.0, draw.uniform(0, 0.1), draw.uniform(0, 0.4)]), 3)
        high = round(min(1.0, low + draw.choice([0.02, 0.1, 0.5])), 3)
        yield share_of(inci, low, high, f"share of {inci}")


def _choice(draw, names):
    some = draw.sample(names, min(len(names), 3))
    for name in some:
        low = round(draw.uniform(0.0, 0.1), 3)
        yield Dose(**said(f"dose of {name}"), low=low, high=round(low + 0.4, 3), material=name)
    yield Choose(**said("choose", unit=""), low=1, high=2, among=tuple(some))


# --- the other search ---------------------------------------------------------------------------


def _f(strength):
    known = constants()
    root = sqrt(strength)
    return known.davies_a * (root / (1 + root) - known.davies_b * strength)


def _ions(inci, ph, f):
    """Charge and Σ z² of a mole of a substance with its ions, from its forms one by one."""
    groups = IONISE[inci][1]
    if groups is None:
        return 0.0, 0.0
    logs, z = [0.0], groups.top_charge
    for pka in groups.pka:
        apparent = pka if groups.aggregates else pka - f * (1 - 2 * z)
        logs.append(logs[-1] + ph - apparent)
        z -= 1
    weights = [10 ** (log - max(logs)) for log in logs]
    charges = [groups.top_charge - lost for lost in range(len(logs))]
    total = sum(weights)
    charge = sum(w * z for w, z in zip(weights, charges, strict=True)) / total
    squares = sum(w * z * z for w, z in zip(weights, charges, strict=True)) / total
    own = 0.0 if groups.aggregates else squares
    return charge + sum(groups.ions), own + sum(ion * ion for ion in groups.ions)


def balances(material, ph, strength):
    """Charge, and Σ c·z² less twice the ionic strength, for a kilogram of dispersion."""
    f = _f(strength)
    hydrogen, hydroxide = 10 ** (f - ph), 10 ** (f + ph - constants().pkw)
    wet = (
        1
        - DILUTION
        + DILUTION
        * sum(span.typical for inci, span in material.contents.items() if inci == "Water")
    )
    base = material.alkalinity.typical
    charge, squares = base, abs(base)
    for inci, span in material.contents.items():
        moles = span.typical * 1000 / IONISE[inci][0]
        one, two = _ions(inci, ph, f)
        charge, squares = charge + moles * one, squares + moles * two
    return (
        DILUTION * charge + wet * (hydrogen - hydroxide),
        DILUTION * squares + wet * (hydrogen + hydroxide - 2 * strength),
    )


def cheapest_at(made, ph, strength):
    """The least cost of what has just this pH and ionic strength, and its shares, by SCIP."""
    model = pyscipopt.Model()
    model.hideOutput()
    model.setParam("numerics/feastol", 1e-9)
    shelf = [item.material for item in made.shelf]
    x = [model.addVar(lb=0, ub=1) for _ in shelf]
    total = pyscipopt.quicksum
    model.addCons(total(x) == 1)
    both = [balances(one, ph, strength) for one in shelf]
    for part, unit in ((0, 1e4), (1, 1e3)):
        model.addCons(total(unit * b[part] * v for b, v in zip(both, x, strict=True)) == 0)
    _add_rules(model, made, shelf, x)
    model.setObjective(total(item.price * v for item, v in zip(made.shelf, x, strict=True)))
    model.optimize()
    if model.getStatus() != "optimal":
        return None
    return model.getObjVal(), [model.getVal(v) for v in x]


def _add_rules(model, made, shelf, x):
    total, used = pyscipopt.quicksum, {}
    for rule in made.brief.rules:
        if isinstance(rule, Dose):
            at = [one.name for one in shelf].index(rule.material)
            used[rule.material] = model.addVar(vtype="B")
            model.addCons(x[at] >= rule.low * used[rule.material])
            model.addCons(x[at] <= rule.high * used[rule.material])
    for rule in made.brief.rules:
        if isinstance(rule, Choose):
            chosen = total(used[name] for name in rule.among)
            model.addCons(chosen >= rule.low)
            model.addCons(chosen <= rule.high)
        elif not isinstance(rule, Dose | Acidity):
            inci = rule.of.name
            held = total(
                one.contents[inci].typical * v
                for one, v in zip(shelf, x, strict=True)
                if inci in one.contents
            )
            model.addCons(held >= rule.low)
            model.addCons(held <= rule.high)


def band_of(made):
    """The pH allowed, cut to what a dispersion can have at an ionic strength up to 0.5."""
    rule = next(rule for rule in made.brief.rules if isinstance(rule, Acidity))
    low = 0.0 if rule.low is None else rule.low
    return low, 13.9 if rule.high is None else rule.high


def search(made, places=5, salts=14):
    """The cheapest composition on a grid of pH and ionic strength up to 0.5; ``None`` if none."""
    low, high = band_of(made)
    best = None
    for step in range(places):
        ph = low + (high - low) * (0.02 + 0.96 * step / (places - 1))
        for salt in range(salts):
            strength = 0.499 * ((salt + 0.5) / salts) ** 2
            found = cheapest_at(made, ph, strength)
            if found is not None and (best is None or found[0] < best[0]):
                best = (*found, ph, strength)
    return best
