"""`plancheck sequence` and `plancheck failures`: a plan in, one document out."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

from plancheck.cli.output import UNREAD, complain, page_width, takes_colour, written
from plancheck.cli.review_command import check_target
from plancheck.finding import Mistake
from plancheck.library.files import Found, IncludeReader, read_text, shown_name
from plancheck.library.house import ByHouse
from plancheck.library.load import Library, load_library
from plancheck.library.own_fault import own_fault
from plancheck.library.refusal import UsageError
from plancheck.nearest import did_you_mean
from plancheck.plan.adopt import adopted_by
from plancheck.render.layout import Page
from plancheck.render.paint import Paint
from plancheck.review.document import Document, failures, read_document, sequence
from plancheck.review.operation import Holder
from plancheck.review.report import unread
from plancheck.source import Source

Rendered = tuple[str, bool]
"""The text, and whether everything in it was assessed."""


def document(options: Namespace) -> int:
    """Writes the document that is asked for and returns the exit status."""
    path = Path(options.paths[0])
    if path.is_dir():
        raise UsageError(f"“{shown_name(path)}” is a folder; name one plan.")
    check_target(options.to, Found(plans=[path]))
    library = ByHouse(load_library, options.packs, options.house, options.paths).of(path)
    source, mistake = read_text(path)
    if mistake is not None:
        return _untold(source, mistake)
    try:
        read = read_plan(path, source, library)
        text, whole = _RENDERERS[options.command](read, _asked(read, options.doors), options)
    except UsageError:
        raise
    # A fault of ours must not look like a document that tells everything.
    except Exception as fault:
        return _untold(source, own_fault(source, fault))
    return max(written(text, options.to, 0 if whole else UNREAD), _packs_broken(library))


def read_plan(path: Path, source: Source, library: Library) -> Document:
    """A plan worked out, with the packs that apply to it."""
    choice = library.choice(adopted_by(source))
    include = IncludeReader(path, source, library.folders, choice.adopted.texts)
    return read_document(source, choice.kinds, choice.rulebook, include, library.packs, choice.adopted.texts)


def _untold(source: Source, mistake: Mistake) -> int:
    from plancheck.render.text import mistakes_of

    complain(mistakes_of([unread(source, (mistake,))], Page(page_width(None, sys.stderr))))
    return UNREAD


def _packs_broken(library: Library) -> int:
    if not library.broken:
        return 0
    from plancheck.render.text import mistakes_of

    complain(mistakes_of(library.broken, Page(page_width(None, sys.stderr))))
    return UNREAD


def _asked(read: Document, names: list[str]) -> tuple[Holder, ...]:
    """The doors and gates named, in the order of the plan; all of them where none is named."""
    holders = read.works.holders
    known = [holder.name for holder in holders if holder.name]
    for name in names:
        if name not in known:
            near = did_you_mean(name, known) or _known(known)
            raise UsageError(f"--door: the plan has no door or gate “{name}”. {near}".rstrip())
    return tuple(holder for holder in holders if not names or holder.name in names)


def _known(names: list[str]) -> str:
    if not names:
        return "It has none at all."
    return f"It has {', '.join(names[:8])}{' …' if len(names) > 8 else ''}."


def _page(options: Namespace) -> Page:
    return Page(page_width(options.width, sys.stdout), Paint(options.to is None and takes_colour(sys.stdout)))


def _sequence(read: Document, holders: tuple[Holder, ...], options: Namespace) -> Rendered:
    told = sequence(read, holders)
    whole = not told.not_assessed and all(door.wholly_assessed for door in told.doors)
    if options.form == "json":
        from plancheck.render.operation_json import sequence_json

        return sequence_json(told), whole
    if options.form == "csv":
        from plancheck.render.sequence_csv import sequence_csv

        return sequence_csv(told), whole
    from plancheck.render.sequence_text import sequence_text

    return sequence_text(told, _page(options)), whole


def _failures(read: Document, holders: tuple[Holder, ...], options: Namespace) -> Rendered:
    told = failures(read, holders)
    whole = not told.not_assessed and told.table.wholly_assessed
    if options.form == "json":
        from plancheck.render.operation_json import failures_json

        return failures_json(told), whole
    if options.form == "csv":
        from plancheck.render.failures_csv import failures_csv

        return failures_csv(told), whole
    from plancheck.render.failures_text import failures_text

    return failures_text(told, _page(options)), whole


_RENDERERS: dict[str, Callable[[Document, tuple[Holder, ...], Namespace], Rendered]] = {
    "sequence": _sequence,
    "failures": _failures,
}
