"""barwright: the cheapest composition of a solid shampoo bar that keeps every rule of the trade.

The commands are thin faces on the calls below. A name is loaded when it is first asked for, so that
importing the package costs next to nothing.

    >>> import barwright
    >>> try:
    ...     barwright.read_bench("nowhere")
    ... except barwright.InputError as error:
    ...     print(error)
    nowhere: found no such folder, expected a folder with brief.toml and shelf.csv
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barwright.cli.kit.notebook import Look, look
    from barwright.constraints.acidity.cuts import Taken
    from barwright.constraints.bench.book_keeping import (
        close_batch,
        open_batch,
        read_book,
        undo_batch,
    )
    from barwright.constraints.bench.changing import with_materials
    from barwright.constraints.bench.files import bench_folder, content_of
    from barwright.constraints.bench.learning import write_lesson
    from barwright.constraints.bench.opening import (
        bench_or_problems,
        read_bench,
        read_formula,
        read_price_history,
        read_prices,
        read_readings,
        read_start,
        read_wanted,
        read_weighings,
    )
    from barwright.constraints.bench.schema import File, schema_of
    from barwright.constraints.bench.starting import Starter, new_bench
    from barwright.constraints.bench.wish import Start, Wish
    from barwright.constraints.bench.writing import formula_text, write_atomically
    from barwright.constraints.catalogue.catalogue import matching, material_names
    from barwright.constraints.market.labelling import markets_with_labelling
    from barwright.constraints.market.net_content import markets_with_net_content
    from barwright.constraints.model.book import BatchMade, WeighedIn
    from barwright.constraints.model.box import Box
    from barwright.constraints.model.brief import (
        Bench,
        Brief,
        Composition,
        Packaging,
        Supplier,
    )
    from barwright.constraints.model.contents import contents_of
    from barwright.constraints.model.material import Material
    from barwright.constraints.model.row import Row, Rows
    from barwright.constraints.model.rule import Rule
    from barwright.constraints.model.shelf import Item, Lot, Offer
    from barwright.constraints.model.substance import Substance
    from barwright.constraints.model.uncertainty import Uncertainty
    from barwright.constraints.model.verdict import Verdict
    from barwright.constraints.model.wanted import PriceFrom, Wanted
    from barwright.constraints.model.workshop import Workshop
    from barwright.constraints.rules.acidity import band_of
    from barwright.constraints.rules.holding import holding
    from barwright.constraints.rules.judging import judge
    from barwright.constraints.rules.rows import rows_of
    from barwright.constraints.values.problem import (
        CheckFailedError,
        InputError,
        Problem,
        Problems,
        Source,
        Where,
    )
    from barwright.constraints.values.to_rows import to_rows
    from barwright.solver.answers.curve import Curve, limit_followed, price_followed
    from barwright.solver.answers.explained import Explained, Explaining, Wishes, explained
    from barwright.solver.answers.vouching import (
        Fault,
        Vouched,
        about_the_shelf,
        certificate_for,
        certificate_in,
        made_of,
        vouched,
    )
    from barwright.solver.calibration.sampling import Sample, sample_of
    from barwright.solver.calibration.teaching import Taught, teach
    from barwright.solver.cheapest.cheapest import (
        Finding,
        Refusal,
        as_it_is,
        cheapest,
        program_of,
        written_for,
    )
    from barwright.solver.cheapest.stepping import LeftOut, Price
    from barwright.solver.choices.alternatives import Alternatives, alternatives
    from barwright.solver.choices.choices import Other, other_choices
    from barwright.solver.infeasible.concessions import Concession
    from barwright.solver.infeasible.purchases import Purchase
    from barwright.solver.infeasible.reasons import Reasons, reasons
    from barwright.solver.nearest.candidates import Search
    from barwright.solver.nearest.family import Family, NoBase, family
    from barwright.solver.nearest.frontier import Corner, frontier
    from barwright.solver.nearest.nearest import CHEAP, CLOSE, Near, nearest
    from barwright.solver.nearest.one_change import Base
    from barwright.solver.prices.course import Course, over_grid, over_limit, over_price
    from barwright.solver.prices.worth import Worth
    from barwright.solver.program.deadline import Deadline
    from barwright.solver.program.fixed_point import speaks_of_water
    from barwright.solver.program.outcome import Infeasible, Program, Stopped
    from barwright.solver.proof.certificate import Verified, certificate, point_of, verify
    from barwright.solver.proof.form import Rejected
    from barwright.solver.proof.proof import prove
    from barwright.solver.proof.proved import Unproved
    from barwright.solver.scenarios.formulas import HeldFormula, held_formulas
    from barwright.solver.scenarios.moved_limit import MovedLimit
    from barwright.solver.scenarios.question import Question
    from barwright.solver.scenarios.scenario import Scenario
    from barwright.solver.scenarios.summary import summary_of
    from barwright.solver.scenarios.sweep import Block, Sweep, sweep_of, worked_out
    from barwright.solver.sensitivity.curves import limit_curve, price_curve
    from barwright.solver.sensitivity.sensitivity import sensitivity
    from barwright.solver.strength.certificate import (
        Asked,
        VerifiedWithin,
        shares_of,
        verify_within,
    )
    from barwright.solver.uncertain.draws import drawn
    from barwright.solver.uncertain.fresh import on_fresh_lots
    from barwright.solver.uncertain.informing import Informed, informed, taken_of
    from barwright.solver.uncertain.safety import Safe, safely
    from barwright.solver.uncertain.sure import NotSure, surely
    from barwright.solver.uncertain.tried import Tried, tried
    from barwright.solver.uncertain.worth import freeing
    from barwright.workshop.acid.answer import Answer, acidity
    from barwright.workshop.acid.correcting import Corrected, corrections
    from barwright.workshop.batch.batch import batch
    from barwright.workshop.batch.lines import Batch, Refused
    from barwright.workshop.book.beginning import begun
    from barwright.workshop.book.learning import habit_of, with_habit
    from barwright.workshop.book.readings import readings_of_book
    from barwright.workshop.book.tracing import holding_lot, lots_of
    from barwright.workshop.changing.comparison import Comparison, compare, mix_of_a_bar
    from barwright.workshop.changing.replacing import (
        NoReplacement,
        Replacement,
        replaced,
        usual_nearly,
    )
    from barwright.workshop.changing.runout import Runout, run_out
    from barwright.workshop.changing.side_by_side import Compared, SideBySide, side_by_side
    from barwright.workshop.fill.fill import Fill, fill, strictest
    from barwright.workshop.fill.portion import portion
    from barwright.workshop.fill.size import batch_mass, mix_mass
    from barwright.workshop.label.every_market import Labels, labels
    from barwright.workshop.label.label import label
    from barwright.workshop.label.lines import Label
    from barwright.workshop.label.particulars import best_before, boxed
    from barwright.workshop.plan.asking import Terms
    from barwright.workshop.plan.needs import NoPlan, Plan
    from barwright.workshop.plan.order import Planned
    from barwright.workshop.plan.plan import plan
    from barwright.workshop.plan.sheets import sheets
    from barwright.workshop.price.asking import (
        Asking,
        SaleTerms,
        leaves_room,
        margin_at,
        price_at,
        price_list,
        terms_of,
    )
    from barwright.workshop.price.beside import Beside, beside_of
    from barwright.workshop.price.price import Priced, price
    from barwright.workshop.price.pricing import Costing, costing
    from barwright.workshop.weighing.weighing import weigh

_HOMES = {
    "Stopped": "solver.program.outcome",
    "Tried": "solver.uncertain.tried",
    "made_of": "solver.answers.vouching",
    "on_fresh_lots": "solver.uncertain.fresh",
    "HeldFormula": "solver.scenarios.formulas",
    "held_formulas": "solver.scenarios.formulas",
    "look": "cli.kit.notebook",
    "Look": "cli.kit.notebook",
    "to_rows": "constraints.values.to_rows",
    "Alternatives": "solver.choices.alternatives",
    "Answer": "workshop.acid.answer",
    "Asked": "solver.strength.certificate",
    "Asking": "workshop.price.asking",
    "Base": "solver.nearest.one_change",
    "Batch": "workshop.batch.lines",
    "BatchMade": "constraints.model.book",
    "Bench": "constraints.model.brief",
    "Block": "solver.scenarios.sweep",
    "Box": "constraints.model.box",
    "Brief": "constraints.model.brief",
    "CHEAP": "solver.nearest.nearest",
    "CLOSE": "solver.nearest.nearest",
    "CheckFailedError": "constraints.values.problem",
    "Compared": "workshop.changing.side_by_side",
    "Comparison": "workshop.changing.comparison",
    "Composition": "constraints.model.brief",
    "Concession": "solver.infeasible.concessions",
    "Corner": "solver.nearest.frontier",
    "Corrected": "workshop.acid.correcting",
    "Costing": "workshop.price.pricing",
    "leaves_room": "workshop.price.asking",
    "Unproved": "solver.proof.proved",
    "certificate_for": "solver.answers.vouching",
    "about_the_shelf": "solver.answers.vouching",
    "certificate_in": "solver.answers.vouching",
    "Fault": "solver.answers.vouching",
    "vouched": "solver.answers.vouching",
    "Vouched": "solver.answers.vouching",
    "boxed": "workshop.label.particulars",
    "labels": "workshop.label.every_market",
    "Labels": "workshop.label.every_market",
    "SaleTerms": "workshop.price.asking",
    "Priced": "workshop.price.price",
    "Packaging": "constraints.model.brief",
    "portion": "workshop.fill.portion",
    "price": "workshop.price.price",
    "beside_of": "workshop.price.beside",
    "Beside": "workshop.price.beside",
    "terms_of": "workshop.price.asking",
    "price_at": "workshop.price.asking",
    "Course": "solver.prices.course",
    "Curve": "solver.answers.curve",
    "Deadline": "solver.program.deadline",
    "Explained": "solver.answers.explained",
    "Explaining": "solver.answers.explained",
    "Family": "solver.nearest.family",
    "File": "constraints.bench.schema",
    "Fill": "workshop.fill.fill",
    "Finding": "solver.cheapest.cheapest",
    "Infeasible": "solver.program.outcome",
    "Informed": "solver.uncertain.informing",
    "InputError": "constraints.values.problem",
    "Item": "constraints.model.shelf",
    "Label": "workshop.label.lines",
    "LeftOut": "solver.cheapest.stepping",
    "Lot": "constraints.model.shelf",
    "Material": "constraints.model.material",
    "MovedLimit": "solver.scenarios.moved_limit",
    "Near": "solver.nearest.nearest",
    "NoBase": "solver.nearest.family",
    "NoPlan": "workshop.plan.needs",
    "NoReplacement": "workshop.changing.replacing",
    "NotSure": "solver.uncertain.sure",
    "Offer": "constraints.model.shelf",
    "Other": "solver.choices.choices",
    "Plan": "workshop.plan.needs",
    "Planned": "workshop.plan.order",
    "Price": "solver.cheapest.stepping",
    "PriceFrom": "constraints.model.wanted",
    "Problem": "constraints.values.problem",
    "Problems": "constraints.values.problem",
    "Program": "solver.program.outcome",
    "Purchase": "solver.infeasible.purchases",
    "Question": "solver.scenarios.question",
    "Reasons": "solver.infeasible.reasons",
    "Refusal": "solver.cheapest.cheapest",
    "Refused": "workshop.batch.lines",
    "Rejected": "solver.proof.form",
    "Replacement": "workshop.changing.replacing",
    "Row": "constraints.model.row",
    "Rows": "constraints.model.row",
    "Rule": "constraints.model.rule",
    "Runout": "workshop.changing.runout",
    "Safe": "solver.uncertain.safety",
    "Sample": "solver.calibration.sampling",
    "Scenario": "solver.scenarios.scenario",
    "Search": "solver.nearest.candidates",
    "SideBySide": "workshop.changing.side_by_side",
    "Source": "constraints.values.problem",
    "Start": "constraints.bench.wish",
    "Starter": "constraints.bench.starting",
    "Substance": "constraints.model.substance",
    "Supplier": "constraints.model.brief",
    "Sweep": "solver.scenarios.sweep",
    "Taken": "constraints.acidity.cuts",
    "Taught": "solver.calibration.teaching",
    "Terms": "workshop.plan.asking",
    "Uncertainty": "constraints.model.uncertainty",
    "Verdict": "constraints.model.verdict",
    "Verified": "solver.proof.certificate",
    "VerifiedWithin": "solver.strength.certificate",
    "Wanted": "constraints.model.wanted",
    "WeighedIn": "constraints.model.book",
    "Where": "constraints.values.problem",
    "Wish": "constraints.bench.wish",
    "Wishes": "solver.answers.explained",
    "Workshop": "constraints.model.workshop",
    "Worth": "solver.prices.worth",
    "acidity": "workshop.acid.answer",
    "alternatives": "solver.choices.alternatives",
    "as_it_is": "solver.cheapest.cheapest",
    "band_of": "constraints.rules.acidity",
    "batch": "workshop.batch.batch",
    "batch_mass": "workshop.fill.size",
    "begun": "workshop.book.beginning",
    "bench_folder": "constraints.bench.files",
    "bench_or_problems": "constraints.bench.opening",
    "best_before": "workshop.label.particulars",
    "certificate": "solver.proof.certificate",
    "cheapest": "solver.cheapest.cheapest",
    "close_batch": "constraints.bench.book_keeping",
    "compare": "workshop.changing.comparison",
    "content_of": "constraints.bench.files",
    "contents_of": "constraints.model.contents",
    "corrections": "workshop.acid.correcting",
    "costing": "workshop.price.pricing",
    "drawn": "solver.uncertain.draws",
    "explained": "solver.answers.explained",
    "family": "solver.nearest.family",
    "fill": "workshop.fill.fill",
    "formula_text": "constraints.bench.writing",
    "freeing": "solver.uncertain.worth",
    "frontier": "solver.nearest.frontier",
    "habit_of": "workshop.book.learning",
    "holding": "constraints.rules.holding",
    "holding_lot": "workshop.book.tracing",
    "informed": "solver.uncertain.informing",
    "judge": "constraints.rules.judging",
    "label": "workshop.label.label",
    "limit_curve": "solver.sensitivity.curves",
    "limit_followed": "solver.answers.curve",
    "lots_of": "workshop.book.tracing",
    "margin_at": "workshop.price.asking",
    "markets_with_labelling": "constraints.market.labelling",
    "markets_with_net_content": "constraints.market.net_content",
    "matching": "constraints.catalogue.catalogue",
    "material_names": "constraints.catalogue.catalogue",
    "mix_mass": "workshop.fill.size",
    "mix_of_a_bar": "workshop.changing.comparison",
    "nearest": "solver.nearest.nearest",
    "new_bench": "constraints.bench.starting",
    "open_batch": "constraints.bench.book_keeping",
    "other_choices": "solver.choices.choices",
    "over_grid": "solver.prices.course",
    "over_limit": "solver.prices.course",
    "over_price": "solver.prices.course",
    "plan": "workshop.plan.plan",
    "point_of": "solver.proof.certificate",
    "price_curve": "solver.sensitivity.curves",
    "price_followed": "solver.answers.curve",
    "price_list": "workshop.price.asking",
    "program_of": "solver.cheapest.cheapest",
    "prove": "solver.proof.proof",
    "read_bench": "constraints.bench.opening",
    "read_book": "constraints.bench.book_keeping",
    "read_formula": "constraints.bench.opening",
    "read_price_history": "constraints.bench.opening",
    "read_prices": "constraints.bench.opening",
    "read_readings": "constraints.bench.opening",
    "read_start": "constraints.bench.opening",
    "read_wanted": "constraints.bench.opening",
    "read_weighings": "constraints.bench.opening",
    "readings_of_book": "workshop.book.readings",
    "reasons": "solver.infeasible.reasons",
    "replaced": "workshop.changing.replacing",
    "rows_of": "constraints.rules.rows",
    "run_out": "workshop.changing.runout",
    "safely": "solver.uncertain.safety",
    "sample_of": "solver.calibration.sampling",
    "schema_of": "constraints.bench.schema",
    "sensitivity": "solver.sensitivity.sensitivity",
    "shares_of": "solver.strength.certificate",
    "sheets": "workshop.plan.sheets",
    "side_by_side": "workshop.changing.side_by_side",
    "speaks_of_water": "solver.program.fixed_point",
    "strictest": "workshop.fill.fill",
    "summary_of": "solver.scenarios.summary",
    "surely": "solver.uncertain.sure",
    "sweep_of": "solver.scenarios.sweep",
    "taken_of": "solver.uncertain.informing",
    "teach": "solver.calibration.teaching",
    "tried": "solver.uncertain.tried",
    "undo_batch": "constraints.bench.book_keeping",
    "usual_nearly": "workshop.changing.replacing",
    "verify": "solver.proof.certificate",
    "verify_within": "solver.strength.certificate",
    "weigh": "workshop.weighing.weighing",
    "with_habit": "workshop.book.learning",
    "with_materials": "constraints.bench.changing",
    "worked_out": "solver.scenarios.sweep",
    "write_atomically": "constraints.bench.writing",
    "write_lesson": "constraints.bench.learning",
    "written_for": "solver.cheapest.cheapest",
}

__all__ = [
    "CHEAP",
    "CLOSE",
    "Alternatives",
    "Answer",
    "Asked",
    "Asking",
    "Base",
    "Batch",
    "BatchMade",
    "Bench",
    "Beside",
    "Block",
    "Box",
    "Brief",
    "CheckFailedError",
    "Compared",
    "Comparison",
    "Composition",
    "Concession",
    "Corner",
    "Corrected",
    "Costing",
    "Course",
    "Curve",
    "Deadline",
    "Explained",
    "Explaining",
    "Family",
    "Fault",
    "File",
    "Fill",
    "Finding",
    "HeldFormula",
    "Infeasible",
    "Informed",
    "InputError",
    "Item",
    "Label",
    "Labels",
    "LeftOut",
    "Look",
    "Lot",
    "Material",
    "MovedLimit",
    "Near",
    "NoBase",
    "NoPlan",
    "NoReplacement",
    "NotSure",
    "Offer",
    "Other",
    "Packaging",
    "Plan",
    "Planned",
    "Price",
    "PriceFrom",
    "Priced",
    "Problem",
    "Problems",
    "Program",
    "Purchase",
    "Question",
    "Reasons",
    "Refusal",
    "Refused",
    "Rejected",
    "Replacement",
    "Row",
    "Rows",
    "Rule",
    "Runout",
    "Safe",
    "SaleTerms",
    "Sample",
    "Scenario",
    "Search",
    "SideBySide",
    "Source",
    "Start",
    "Starter",
    "Stopped",
    "Substance",
    "Supplier",
    "Sweep",
    "Taken",
    "Taught",
    "Terms",
    "Tried",
    "Uncertainty",
    "Unproved",
    "Verdict",
    "Verified",
    "VerifiedWithin",
    "Vouched",
    "Wanted",
    "WeighedIn",
    "Where",
    "Wish",
    "Wishes",
    "Workshop",
    "Worth",
    "about_the_shelf",
    "acidity",
    "alternatives",
    "as_it_is",
    "band_of",
    "batch",
    "batch_mass",
    "begun",
    "bench_folder",
    "bench_or_problems",
    "beside_of",
    "best_before",
    "boxed",
    "certificate",
    "certificate_for",
    "certificate_in",
    "cheapest",
    "close_batch",
    "compare",
    "content_of",
    "contents_of",
    "corrections",
    "costing",
    "drawn",
    "explained",
    "family",
    "fill",
    "formula_text",
    "freeing",
    "frontier",
    "habit_of",
    "held_formulas",
    "holding",
    "holding_lot",
    "informed",
    "judge",
    "label",
    "labels",
    "leaves_room",
    "limit_curve",
    "limit_followed",
    "look",
    "lots_of",
    "made_of",
    "margin_at",
    "markets_with_labelling",
    "markets_with_net_content",
    "matching",
    "material_names",
    "mix_mass",
    "mix_of_a_bar",
    "nearest",
    "new_bench",
    "on_fresh_lots",
    "open_batch",
    "other_choices",
    "over_grid",
    "over_limit",
    "over_price",
    "plan",
    "point_of",
    "portion",
    "price",
    "price_at",
    "price_curve",
    "price_followed",
    "price_list",
    "program_of",
    "prove",
    "read_bench",
    "read_book",
    "read_formula",
    "read_price_history",
    "read_prices",
    "read_readings",
    "read_start",
    "read_wanted",
    "read_weighings",
    "readings_of_book",
    "reasons",
    "replaced",
    "rows_of",
    "run_out",
    "safely",
    "sample_of",
    "schema_of",
    "sensitivity",
    "shares_of",
    "sheets",
    "side_by_side",
    "speaks_of_water",
    "strictest",
    "summary_of",
    "surely",
    "sweep_of",
    "taken_of",
    "teach",
    "terms_of",
    "to_rows",
    "tried",
    "undo_batch",
    "usual_nearly",
    "verify",
    "verify_within",
    "vouched",
    "weigh",
    "with_habit",
    "with_materials",
    "worked_out",
    "write_atomically",
    "write_lesson",
    "written_for",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    import importlib

    value: object = getattr(importlib.import_module(f"barwright.{home}"), name)
    globals()[name] = value  # asked once, found at once ever after
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
