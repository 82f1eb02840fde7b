"""What a rule proposes, step by step, as edits of the texts in which the plan stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from plancheck import proposed
from plancheck.authoring.added import added
from plancheck.authoring.drawn import Drawn, NotDrawn, declaration, mentions
from plancheck.authoring.edit import Edit
from plancheck.authoring.names import Names
from plancheck.authoring.sizes import next_size
from plancheck.authoring.taken_out import taken_out
from plancheck.plan.kinds import Kind
from plancheck.plan.pattern import Fit, match_entry
from plancheck.source import Source, Span
from plancheck.syntax.nodes import Declaration, Entry, Number, Word
from plancheck.syntax.read import read_statements


def edits_of(names: Names, steps: Iterable[proposed.Step]) -> list[Edit] | None:
    """The edits that take all the steps; None where one of them cannot be taken in the texts as they stand."""
    found: list[Edit] = []
    try:
        for step in steps:
            found += _edits(names, step, found)
    except NotDrawn:
        return None
    return found


def _edits(names: Names, step: proposed.Step, before: Sequence[Edit]) -> list[Edit]:
    match step:
        case proposed.Added():
            return added(names, step, before)
        case proposed.Exchanged(a=a, b=b):
            return [*_renamed(names, a, b), *_renamed(names, b, a)]
        case proposed.Moved(a=a, b=b):
            return _renamed(names, a, b)
        case proposed.Written(on=on, entry=entry):
            return [_written(names, on, entry)]
        case proposed.TakenOut(what=what):
            return taken_out(names, names.device(what))
        case proposed.Thickened(cable=cable, area=area):
            return [_thickened(names, cable, area)]


def _renamed(names: Names, old: str, new: str) -> list[Edit]:
    """Wherever a wire, or what a place is given, names a terminal, another of the same device."""
    device, _, terminal = old.rpartition(":")
    other = new.rpartition(":")[2]
    places = [found.at for _, found in mentions(names, names.device(device)) if found.site.terminal == terminal]
    behind = [Span(at.source, at.end + 1, at.end + 1 + len(terminal)) for at in places]
    if not behind or any(span.text != terminal for span in behind):
        raise NotDrawn
    return [Edit(span, other) for span in behind]


# --- blocks ------------------------------------------------------------------------------------------------


def _written(names: Names, on: str, text: str) -> Edit:
    drawn, node = declaration(names, names.device(on))
    kind = names.kind(names.kind_of(node.kind))
    entry = _read(text, kind)
    same = [each for each in node.entries if _lead(each) == _lead(entry)]
    if len(same) > 1 or kind is None or any(pattern.many for pattern in kind.patterns[_lead(entry)]):
        raise NotDrawn
    if same:
        return Edit(drawn.of(same[0]), text)
    return _appended(drawn, node, text)


def _read(text: str, kind: Kind | None) -> Entry:
    """An entry by itself, where it is one that the kind knows."""
    statements, mistakes = read_statements(Source("", f"{kind.name if kind else ''} A {{ {text} }}"))
    node = statements[0].node if statements else None
    entries = node.entries if isinstance(node, Declaration) else ()
    patterns = kind.patterns.get(_lead(entries[0])) if kind and len(entries) == 1 and not mistakes else None
    if not patterns or not isinstance(match_entry(patterns, entries[0].items), Fit):
        raise NotDrawn
    return entries[0]


def _lead(entry: Entry) -> str:
    first = entry.items[0]
    return first.text if isinstance(first, Word) else ""


def _appended(drawn: Drawn, node: Declaration, text: str) -> Edit:
    """Behind the last entry: on its line, or below it where each has a line of its own."""
    source = drawn.statement.source
    if not node.entries:
        behind = drawn.of(node.title or node.name).end
        rest = source.text[behind : drawn.span.end]
        opened = rest.find("{")
        if opened < 0:
            return Edit(Span(source, behind, behind), f" {{ {text} }}")
        return Edit(Span(source, behind + opened + 1, drawn.span.end - 1), f" {text} ")
    last = drawn.of(node.entries[-1])
    start = source.line_starts[last.line - 1]
    inset = source.text[start : last.start]
    if inset.strip():
        return Edit(Span(source, last.end, last.end), f"; {text}")
    end = "\r\n" if "\r\n" in source.text else "\n"
    return Edit(Span(source, last.end, last.end), f"{end}{inset}{text}")


def _thickened(names: Names, cable: str, area: float) -> Edit:
    drawn, node = declaration(names, names.device(cable))
    kind = names.kind(names.kind_of(node.kind))
    for entry in node.entries:
        fit = match_entry(kind.patterns.get(_lead(entry), ()), entry.items) if kind else None
        place = fit.places.get("area") if isinstance(fit, Fit) else None
        if place is not None:
            number, unit = _amount(entry, place)
            size = next_size(number.value, unit.text, area)
            if size is None:
                raise NotDrawn
            return Edit(drawn.of(number), size)
    raise NotDrawn


def _amount(entry: Entry, place: tuple[int, int]) -> tuple[Number, Word]:
    """The number and the unit that stand at a place."""
    items = [item for item in entry.items if place[0] <= item.start and item.end <= place[1]]
    if len(items) != 2 or not isinstance(items[0], Number) or not isinstance(items[1], Word):
        raise NotDrawn
    return items[0], items[1]
