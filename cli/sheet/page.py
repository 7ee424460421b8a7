"""A batch as a page to print: one sheet of A4, black on white, with room for a pen."""

from collections.abc import Iterable, Iterator
from html import escape
from string import Template

from ...constraints.market.caution import Moment
from ...constraints.model.brief import Bench
from ...constraints.model.material import Phase
from ...workshop.batch.lines import Addition, Batch
from ...workshop.fill.fill import Fill
from ..kit.numbers import amount
from ..kit.one_screen import counted
from .type_size import type_size
from .view import reading_cell
from .warmth import warmth_sentences
from .words import (
    MOMENTS,
    alone_sentences,
    below_cell,
    care,
    cautions_at,
    cost_sentence,
    marks,
    phase_title,
    portion_sentences,
    stirring_sentences,
    stock_sentences,
    weigh_cell,
    weighing_sentences,
    yield_sentence,
)

PAGE = Template("""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>$title</title>
<style>
@page { size: A4; margin: 9mm 10mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 190mm; padding: 0 0.3mm; color: #000; background: #fff;
  font: ${size}pt/1.22 "Liberation Sans", Arial, Helvetica, sans-serif; }
h1 { font-size: 1.55em; margin: 0 0 1mm; }
h2 { font-size: 1.1em; margin: 1.3mm 0 0.3mm; border-bottom: 0.3mm solid #000; }
p, ul { margin: 0 0 0.2mm; }
ul { padding-left: 4mm; list-style: none; }
li { text-indent: -4mm; }
li b { display: inline-block; width: 4mm; text-indent: 0; }
table { width: 100%; border-collapse: collapse; margin-top: 0.8mm; }
th[scope="row"] { font-weight: normal; }
th, td { border: 0.2mm solid #000; padding: 0.35mm 1mm; text-align: left; vertical-align: top; }
tr { break-inside: avoid; }
.figure { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.weigh { font-weight: bold; }
.phase { border-top: 0.5mm solid #000; }
.pen { width: 15mm; }
.lot { width: 30mm; }
.part { break-inside: avoid; }
.blanks { border: 0; margin: 0.6mm 0; }
.blanks td { border: 0; border-bottom: 0.2mm solid #000; width: 25%; padding: 1.6mm 1mm 0; }
</style>
</head>
<body>
<h1>$title</h1>
$body
</body>
</html>
""")


def sheet_html(bench: Bench, batch: Batch, fill: Fill | None) -> str:
    """The sheet of a batch as an HTML document."""
    bars = counted(batch.bars, "bar")
    title = f"{bench.brief.name}: {bars}, {amount(batch.weighed.batch)} of mix"
    body = "\n".join(_body(bench, batch, fill))
    return PAGE.substitute(title=escape(title), body=body, size=f"{type_size(title, body):g}")


def _body(bench: Bench, batch: Batch, fill: Fill | None) -> Iterator[str]:
    yield f"<p>Formula: {escape(batch.name)}</p>"
    yield _blanks(("Batch number", "Date", "Made by", "Checked by"))
    yield _part("Before", [], batch, Moment.BEFORE)
    short = [line for line in stock_sentences(bench, batch) if batch.short and line[:5] == "Short"]
    weighing = " ".join([*short, *weighing_sentences(bench, batch), *alone_sentences(batch)])
    yield _part("Weighing", [weighing], batch, Moment.WEIGHING)
    yield _weigh_out(bench, batch)
    yield _part("Temperatures", warmth_sentences(bench, batch))
    portions = " ".join(portion_sentences(bench, batch, fill))
    made = f"{yield_sentence(bench, batch)} {cost_sentence(bench, batch)}"
    yield _part("Portions, yield and cost", [portions, made])
    yield _blanks(("Mix at, °C", "pH read", "Bars pressed", "Bars left out"))
    yield _part("After", [], batch, Moment.AFTER)


def _part(
    title: str,
    sentences: Iterable[str],
    batch: Batch | None = None,
    moment: Moment | None = None,
) -> str:
    """A heading with what is said under it and the cautions that belong there."""
    said = "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)
    cautions = _cautions(batch, moment) if batch and moment else ""
    return f'<section class="part"><h2>{escape(title)}</h2>{said}{cautions}</section>'


def _cautions(batch: Batch, moment: Moment) -> str:
    found = cautions_at(batch, moment)
    if not found:
        return ""
    lines = (f"<li><b>{letter or '!'}</b>{escape(text)}</li>" for letter, text in found)
    return f"<ul>{''.join(lines)}</ul>"


def _weigh_out(bench: Bench, batch: Batch) -> str:
    heads = (
        '<th scope="col">Material</th>',
        '<th scope="col" class="figure">Weigh, g</th>',
        '<th scope="col">On</th>',
        '<th scope="col" class="figure">Vessel, g</th>',
        '<th scope="col" class="figure">Below, °C</th>',
        '<th scope="col">Care</th>',
        '<th scope="col" class="pen">Initials</th>',
        '<th scope="col" class="lot">Lot number</th>',
    )
    bodies = (_phase(bench, batch, phase) for phase in Phase)
    return f"<table><thead><tr>{''.join(heads)}</tr></thead>{''.join(bodies)}</table>"


def _phase(bench: Bench, batch: Batch, phase: Phase) -> str:
    additions = [one for one in batch.additions if one.phase is phase]
    if not additions:
        return ""
    rows = "".join(_row(bench, batch, one) for one in additions)
    title = escape(phase_title(phase, batch))
    head = (
        f'<tr class="phase"><th scope="rowgroup" colspan="8">{title}'
        f"</th></tr>{_phase_cautions(batch, phase)}"
    )
    return f"<tbody>{head}{rows}</tbody>"


def _phase_cautions(batch: Batch, phase: Phase) -> str:
    said = "".join(f"<p>{escape(sentence)}</p>" for sentence in stirring_sentences(batch, phase))
    cautions = f"{said}{_cautions(batch, MOMENTS[phase])}"
    return f'<tr><td colspan="8">{cautions}</td></tr>' if cautions else ""


def _row(bench: Bench, batch: Batch, addition: Addition) -> str:
    return (
        f'<tr><th scope="row">{escape(addition.weight.material)}</th>'
        f'<td class="figure weigh">{escape(weigh_cell(addition))}</td>'
        f"<td>{escape(addition.weight.balance)}</td>"
        f'<td class="figure">{escape(reading_cell(bench, batch, addition))}</td>'
        f'<td class="figure">{escape(below_cell(addition, batch))}</td>'
        f"<td>{escape(care(addition, marks(batch)))}</td>"
        '<td class="pen"></td><td class="lot"></td></tr>'
    )


def _blanks(names: Iterable[str]) -> str:
    """Lines to write on."""
    cells = "".join(f"<td>{escape(name)}:</td>" for name in names)
    return f'<table class="blanks"><tbody><tr>{cells}</tr></tbody></table>'
