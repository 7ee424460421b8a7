"""How much faster many pH predictions are at once than one by one; run by hand, prints ratios."""

import time

import numpy as np
from barwright.constraints.acidity.charge import equilibrium, in_water
from barwright.constraints.acidity.many import predict_many
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.substance import Ionisation, Substance
from barwright.constraints.values.problem import Source, SourceKind

BY_HAND = Source("figures of this benchmark", SourceKind.MEASURED)
SUBSTANCES, COMPOSITIONS, ALONE, DILUTION = 20, 100_000, 1000, 0.1


def substance(number: int, chance: np.random.Generator) -> Substance:
    steps = number % 4
    pka = tuple(sorted(map(float, chance.uniform(2.0, 11.0, steps))))
    ions = (1,) * int(chance.integers(0, steps + 1))
    groups = Ionisation(pka, int(chance.integers(0, 2)), ions, number % 5 == 0, BY_HAND)
    mass = float(chance.uniform(60.0, 400.0))
    return Substance(f"Substance {number}", (), (), mass, groups, 0.0, 7.0, "", BY_HAND)


def material(one: Substance) -> Material:
    contents = {one.inci: Span(1.0, 1.0, 1.0)}
    form, phase, base = Form.SOLID, Phase.POWDER, Span(-0.01, 0.0, 0.02)
    name = one.inci.lower()
    return Material(
        name, form, phase, (), (), contents, None, None, base, 0.0, None, None, None, (), BY_HAND
    )


def main() -> None:
    chance = np.random.default_rng(1)
    substances = [substance(number, chance) for number in range(SUBSTANCES)]
    named = {one.inci: one for one in substances}
    materials = [material(one) for one in substances]
    shares = chance.dirichlet(np.ones(SUBSTANCES), COMPOSITIONS)
    start = time.perf_counter()
    many, _ = predict_many(materials, named, shares, DILUTION)
    at_once = (time.perf_counter() - start) / COMPOSITIONS
    start = time.perf_counter()
    parts = [list(zip(materials, map(float, row), strict=True)) for row in shares[:ALONE]]
    alone = [equilibrium(in_water(mix, named, DILUTION))[0] for mix in parts]
    one_by_one = (time.perf_counter() - start) / ALONE
    print(f"one by one  {one_by_one * 1e6:9.1f} µs each, over {ALONE}")
    print(f"at once     {at_once * 1e6:9.1f} µs each, over {COMPOSITIONS}")
    print(f"ratio       {one_by_one / at_once:9.1f}")
    print(f"differ by   {np.max(np.abs(many[:ALONE] - alone)):9.1e} pH at most")


if __name__ == "__main__":
    main()
