"""Plans for documents: small circuits whose working follows from the drawing, and the samples."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import plancheck
from plancheck.library.files import IncludeReader
from plancheck.library.load import Library, load_library
from plancheck.review.document import Document, FailureDocument, SequenceDocument, failures, read_document, sequence
from plancheck.review.sequence import DoorSequence, Outcome, Row
from plancheck.source import Source

SAMPLES = Path(plancheck.__file__).parent.parent / "samples"

SEAL_IN = """\
plan "Seal-in: START pulls the relay in, its own first pole keeps it in, STOP lets it go"
revision "A" dated 2026-11-02
jurisdiction us
supply PS1 { output 24 Vdc, 1 A }
exit-button START { contacts 3 A at 30 Vdc }
key-switch STOP { contacts 3 A at 30 Vdc }
relay K1 { coil 24 Vdc, 50 mA; poles 2 }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
door D1 { egress sensor release; locks ML1; button START }
wire PS1:+ to STOP:COM
wire STOP:NC to START:COM
wire START:NO to K1:A1
wire K1:A2 to PS1:-
wire STOP:NC to K1:COM1
wire K1:NO1 to K1:A1
wire PS1:+ to K1:COM2
wire K1:NC2 to ML1:+
wire ML1:- to PS1:-
"""

ALARM_LATCH = """\
plan "An alarm that stays until the key is turned"
revision "A" dated 2026-11-02
jurisdiction us
supply PS1 { output 24 Vdc, 1 A }
fire-alarm-relay FA1 { contacts 2 A at 30 Vdc; latches until reset }
key-switch RESET { contacts 3 A at 30 Vdc }
relay K1 { coil 24 Vdc, 50 mA; poles 2 }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
door D1 { egress alarm only; locks ML1 }
wire PS1:+ to FA1:COM
wire FA1:NO to K1:A1
wire K1:A2 to PS1:-
wire PS1:+ to RESET:COM
wire RESET:NC to K1:COM1
wire K1:NO1 to K1:A1
wire PS1:+ to K1:COM2
wire K1:NC2 to ML1:+
wire ML1:- to PS1:-
"""

ONE_BUTTON = """\
plan "A magnet with one button"
revision "A" dated 2026-11-02
jurisdiction us
supply PS1 { output 24 Vdc, 1 A }
exit-button EB1 { contacts 3 A at 30 Vdc }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
door D1 { egress sensor release; locks ML1; button EB1 }
wire PS1:+ to EB1:COM
wire EB1:NC to ML1:+
wire ML1:- to PS1:-
"""

BUZZING = """\
plan "A relay that cuts its own coil"
revision "A" dated 2026-11-02
jurisdiction us
supply PS1 { output 24 Vdc, 1 A }
relay K1 { coil 24 Vdc, 50 mA; poles 1 }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
door D1 { egress sensor release; locks ML1 }
wire PS1:+ to K1:COM
wire K1:NC to K1:A1 to ML1:+
wire K1:A2 to ML1:- to PS1:-
"""


def too_many(buttons: int = 30) -> str:
    """A magnet behind more buttons than are worked out."""
    names = [f"SB{i}" for i in range(buttons)]
    return "\n".join(
        [
            'plan "A magnet behind many buttons"',
            "supply PS1 { output 24 Vdc, 1 A }",
            *(f"push-button {name} {{ contacts 3 A at 30 Vdc }}" for name in names),
            "magnetic-lock ML1 { rated 24 Vdc, 250 mA }",
            "door D1 { egress sensor release; locks ML1 }",
            "wire PS1:+ to SB0:COM",
            *(f"wire {one}:NC to {other}:COM" for one, other in pairwise(names)),
            f"wire {names[-1]}:NC to ML1:+",
            "wire ML1:- to PS1:-",
            "",
        ]
    )


@cache
def library() -> Library:
    """The shipped rules and kinds."""
    return load_library([])


@cache
def read(text: str, name: str = "small.plan") -> Document:
    """A plan given as text, worked out."""
    shelf = library()
    return read_document(Source(name, text), shelf.kinds, shelf.rulebook, lambda wanted, by: "no files here")


@cache
def sample(name: str) -> Document:
    """A sample, worked out, under a name that does not depend on where the checkout is."""
    path = SAMPLES / f"{name}.plan"
    source = Source(f"samples/{path.name}", path.read_text(encoding="utf-8"))
    shelf = library()
    return read_document(source, shelf.kinds, shelf.rulebook, IncludeReader(path, source, ()))


def told(document: Document) -> SequenceDocument:
    """The whole sequence of operation."""
    return sequence(document, document.works.holders)


def failed(document: Document) -> FailureDocument:
    """The whole table of single failures."""
    return failures(document, document.works.holders)


def only_door(document: Document) -> DoorSequence:
    """The sequence of the one door or gate that there is."""
    (door,) = told(document).doors
    return door


def row(door: DoorSequence, event: str) -> Row:
    """The row of an event."""
    return next(row for row in door.rows if row.event == event)


def outcome(door: DoorSequence, event: str, part: str = "") -> Outcome:
    """How a part, or the only one, stands in the row of an event."""
    found = [o for o in row(door, event).outcomes if not part or o.part == part]
    assert len(found) == 1
    return found[0]
