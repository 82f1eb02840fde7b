"""The drawings of a page: the overview, the choice of a condition, and the sheets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from plancheck.circuit.variation import Failure
from plancheck.plan.model import Signal
from plancheck.render.drawing.geometry import laid_out
from plancheck.render.drawing.riser import risers
from plancheck.render.drawing.sheet_svg import sheet_svg
from plancheck.render.drawing.sheets import Sheet
from plancheck.render.drawing.standing import Standing
from plancheck.render.submittal.markup import text
from plancheck.review.operation import Holder, Works

LEGEND = (
    "Thick: carries current. Thin: stands at some volts. Dotted: neither. A dot joins; lines that cross without one do "
    "not. A dashed box is at home on another sheet. Volts are against the return of what feeds the circuit, at its "
    "rated volts."
)
NORMAL = "Normal condition"


def overview(works: Works, holders: Sequence[Holder], sheets: Sequence[Sheet]) -> Iterator[str]:
    """The riser, one line a cable: of the whole plan, or of what leads to some of its doors and gates."""
    yield '<section id="overview"><h2>Overview</h2>'
    only = None if len(holders) == len(works.holders) else {holder.name for holder in holders}
    drawn = list(risers(works.facts.graph, holders, sheets, only))
    if not drawn:
        yield "<p>No cable leads from one place to another.</p>"
    for number, (boxes, links) in enumerate(drawn, 1):
        of = f" {number} of {len(drawn)}" if len(drawn) > 1 else ""
        yield from _figure(
            f"Overview{of}, one line a cable", sheet_svg(laid_out(boxes, links), "Overview", f"riser-{number}")
        )
    yield "</section>"


def diagrams(sheets: Sequence[Sheet], stands: Standing) -> Iterator[str]:
    """All sheets, in normal condition until another is chosen."""
    yield f'<p class="legend">{LEGEND}</p>'
    for sheet in sheets:
        title = f"Sheet {sheet.number}: {sheet.title}"
        svg = sheet_svg(laid_out(sheet.boxes, sheet.links), title, f"sheet-{sheet.number}", stands)
        yield from _figure(title, svg)


def _figure(title: str, svg: str) -> Iterator[str]:
    yield f'<figure><figcaption>{text(title)}</figcaption><div class="scroll" role="region" aria-label="{text(title)}"'
    yield f' tabindex="0">{svg}</div></figure>'


def picker(
    situations: Mapping[str, Any], signals: Iterable[tuple[int, Signal]], failures: Sequence[tuple[int, str, Failure]]
) -> Iterator[str]:
    """The form that chooses a condition; the script shows it. Failures are (number, heading, failure)."""
    yield '<form id="picker" hidden aria-label="Condition of the drawing">'
    yield '<p><label for="situation">Situation</label> <select id="situation">'
    yield f'<option value="normal">{NORMAL}</option>'
    yield from (f'<option value="{text(name)}">{text(name)}</option>' for name in situations)
    yield '<option value="own">as chosen below</option></select>'
    yield '<label for="failure">Single failure</label> <select id="failure">'
    yield '<option value="">nothing has failed</option>'
    heading = ""
    for number, of, failure in failures:
        if of != heading:
            yield ("</optgroup>" if heading else "") + f'<optgroup label="{text(of)}">'
            heading = of
        yield f'<option value="{number}">{text(failure.what)}</option>'
    yield ("</optgroup>" if heading else "") + "</select>"
    yield '<button type="reset">Back to normal condition</button></p>'
    yield '<fieldset><legend>What happens</legend><div class="signals">'
    for number, signal in signals:
        on = " checked" if signal.rests_on else ""
        yield f'<label><input type="checkbox" data-signal="{number}"{on}> {text(signal.says or signal.key)}</label>'
    yield '</div></fieldset><p id="standing" role="status" aria-live="polite"></p></form>'
    yield f'<p id="shown">Shown: <span>{NORMAL}</span></p>'
