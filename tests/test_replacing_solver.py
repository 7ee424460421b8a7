"""Ten replacements put to a solver that shares nothing with ours, in the same order of stages.

The program is written down here from the bench and the data: what counts as touched, as too small
to weigh and as trouble, and the distance by class. Only the rows of the rules are taken as they
are; other tests hold them.
"""

from math import fsum, inf

import pyscipopt
import pytest
from barwright.constraints.market.similarity import functions, matched, weight_of
from barwright.constraints.model.brief import Composition
from barwright.constraints.rules.rows import rows_of
from barwright.solver.nearest.distance import TOUCHED, Stage, counted
from barwright.solver.nearest.manner import manner_of
from barwright.solver.nearest.nearest import CLOSE, Near, nearest
from barwright.solver.program.fixed_point import ionic_strength
from barwright.workshop.changing.replacing import usual_nearly
from test_replacing import FEW, TEN, started

pytestmark = [pytest.mark.reference, pytest.mark.slow]


class Scip:
    """The fewest changes of a formula, the nearest by class with few, the least trouble."""

    def __init__(self, bench, formula, wanted, strength):
        self.bench, self.model = bench, pyscipopt.Model()
        self.model.hideOutput()
        self.model.setParam("limits/gap", 0.0)
        self.model.setParam("numerics/feastol", 1e-9)
        rows = rows_of(bench, strength)
        manner = manner_of(bench, formula, wanted)
        names = rows.materials
        ends = [manner.within.get(name, (0.0, 1.0)) for name in names]
        add = self.model.addVar
        self.share = [add(lb=low, ub=min(1.0, high)) for low, high in ends]
        chosen = [add(vtype="B") for _ in rows.choices]
        self._keep(rows.rows, [*self.share, *chosen])
        self.switched = [add(vtype="B") for _ in names]
        self.slight = [add(vtype="B") for _ in names]
        for place, name in enumerate(names):
            self._move(place, formula.parts.get(name, 0.0), manner.least[place])
        self.trouble = self._sum(
            weight * (self.switched[place] + manner.slight * self.slight[place])
            for place, weight in enumerate(manner.trouble)
        )
        self.touched = self._sum(self.switched)
        self.apart = self._class_distance(formula)

    def _sum(self, terms):
        return pyscipopt.quicksum(terms)

    def _keep(self, rows, columns):
        for row in rows:
            total = self._sum(v * columns[c] for c, v in zip(row.columns, row.values, strict=True))
            if row.low > -inf:
                self.model.addCons(total >= row.low)
            if row.high < inf:
                self.model.addCons(total <= row.high)

    def _move(self, place, before, least):
        """Up and down apart: each none, or at least so much, or slight where it was there."""
        add = self.model.addVar
        up, down, rises = add(lb=0.0, ub=1.0), add(lb=0.0, ub=1.0), add(vtype="B")
        on, slight = self.switched[place], self.slight[place]
        put = self.model.addCons
        put(self.share[place] == before + up - down)
        put(up <= rises)
        put(down <= before * (1 - rises))
        put(up + down <= on + TOUCHED)
        if before <= TOUCHED:
            put(slight == 0)
            put(self.share[place] >= least * on)
        else:
            put(slight <= on)
            put(up >= least * (rises + on - slight - 1))
            put(down >= min(least, before) * (on - rises - slight))

    def _class_distance(self, formula):
        """Half of what is over and under by function; less water and more filler are no matter."""
        was = counted(self.bench, formula, Stage.CLASS)
        held = [
            counted(self.bench, Composition("", {item.material.name: 1.0}), Stage.CLASS)
            for item in self.bench.shelf
        ]
        effect = {one.name for one in functions() if one.by_effect}
        for amounts, item in zip(held, self.bench.shelf, strict=True):
            if item.material.strength is not None:
                amounts.update({word: item.material.strength for word in effect if word in amounts})
        parts = formula.parts
        index = {item.material.name: place for place, item in enumerate(self.bench.shelf)}
        words = dict.fromkeys((*was, *(word for amounts in held for word in amounts)))
        by_name = {one.name: one for one in functions()}
        terms = []
        for word in words:
            aim = fsum(held[index[name]].get(word, 0.0) * share for name, share in parts.items())
            over, under = self.model.addVar(lb=0.0), self.model.addVar(lb=0.0)
            total = self._sum(
                amounts.get(word, 0.0) * self.share[place] for place, amounts in enumerate(held)
            )
            self.model.addCons(total - over + under == aim)
            function = by_name.get(word)
            weight = 0.5 * weight_of(word)
            if function is None or not function.may_rise:
                terms.append(weight * over)
            if function is None or not function.may_fall:
                terms.append(weight * under)
        return self._sum(terms)

    def least(self, expression):
        """The least value of an expression, ``None`` where nothing keeps the rules."""
        self.model.freeTransform()
        self.model.setObjective(expression)
        self.model.optimize()
        assert self.model.getStatus() in {"optimal", "infeasible"}
        return self.model.getObjVal() if self.model.getStatus() == "optimal" else None

    def hold(self, expression, most):
        """Keep an expression at most at this from here on."""
        self.model.freeTransform()
        self.model.addCons(expression <= most)


def settled(bench, formula, wanted, strength):
    """The least of each stage with those before it held; ``None`` where there is no change."""
    asked = Scip(bench, formula, wanted, strength)
    fewest = asked.least(asked.touched)
    if fewest is None:
        return None
    asked.hold(asked.touched, max(round(fewest), FEW) + 0.1)
    apart = asked.least(asked.apart)
    asked.hold(asked.apart, apart + usual_nearly() + 1e-9)
    return round(fewest), apart, asked.least(asked.trouble)


@pytest.mark.parametrize("asked", TEN)
def test_another_solver_settles_a_replacement_stage_by_stage_alike(asked, root, tmp_path):
    start = started(root, tmp_path, TEN[asked], dearer=asked.startswith("dearer"))
    bench, formula = start.bench, start.formulas[0]
    found = nearest(bench, formula, CLOSE, nearly=usual_nearly())
    if not isinstance(found, Near):
        assert settled(bench, formula, (), ionic_strength(bench, formula)) is None
        return
    strength = ionic_strength(bench, found.composition)
    fewest, apart, trouble = settled(bench, formula, (), strength)
    assert len(found.touched) <= max(fewest, FEW)
    assert trouble_of(bench, formula, found) == pytest.approx(trouble, abs=1e-6)
    assert class_distance(bench, formula, found.composition) <= apart + usual_nearly() + 1e-6


def trouble_of(bench, formula, found):
    """What the changes of an answer count for, reckoned from the answer alone."""
    manner = manner_of(bench, formula)
    total = 0.0
    for place, item in enumerate(bench.shelf):
        name = item.material.name
        if name in found.touched:
            before = formula.parts.get(name, 0.0)
            by = abs(found.composition.parts.get(name, 0.0) - before)
            gone = found.composition.parts.get(name, 0.0) <= TOUCHED
            slight = by < manner.least[place] - TOUCHED and not gone
            total += manner.trouble[place] * (1 + manner.slight * slight)
    return total


def class_distance(bench, before, after):
    """The distance by class, where less water and more filler are no matter."""
    was, now = (_counted(bench, one) for one in (before, after))
    total = 0.0
    for word in {*was, *now}:
        by = now.get(word, 0.0) - was.get(word, 0.0)
        function = next((one for one in functions() if one.name == word), None)
        matters = function is None or not (function.may_rise if by > 0 else function.may_fall)
        total += 0.5 * weight_of(word) * abs(by) * matters
    return total


def _counted(bench, composition):
    effect = {one.name for one in functions() if one.by_effect}
    found = {}
    for name, share in composition.parts.items():
        material = bench.material(name)
        amounts = {}
        for inci, amount in material.typical_contents():
            function = matched(bench.substances[inci])
            word = function.name if function else "the rest"
            amounts[word] = amounts.get(word, 0.0) + amount
        if material.strength is not None:
            amounts |= {word: material.strength for word in effect if word in amounts}
        for word, amount in amounts.items():
            found[word] = found.get(word, 0.0) + amount * share
    return found
