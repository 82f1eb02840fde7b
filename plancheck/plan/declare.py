"""A kind's declaration checked and brought into the form that devices are built from."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from plancheck import units
from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.plan.kinds import BASES, Kind
from plancheck.plan.model import Value
from plancheck.plan.pattern import LISTABLE, MOST_OPTIONAL, NAMING, TYPES, Literal, Maybe, Part, Pattern, Slot, shown
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Item, Number, Statement, Text, Word

ROLES = (
    "mains", "reserve", "alarm", "panel", "command", "exit", "approach", "motion", "override", "door",
    "obstruction", "timing",
)  # fmt: skip
GUARDED = {"source": "alive", "contact": "made"}
STYLES = {"load": ("coil", "electronic", "resistive"), "contact": ("electronic", "direct")}
_LOAD = {
    "volts": "voltage", "amps": "current", "watts": "power", "ohms": "resistance", "pull-in": "voltage",
    "drop-out": "voltage", "least": "voltage", "most": "voltage", "inductance": "inductance",
    "inrush": "current", "inrush-time": "time", "hold-amps": "current", "polarised": "flag", "suppressed": "flag",
}  # fmt: skip
SETTINGS = {
    "source": {"volts": "voltage", "least": "voltage", "most": "voltage", "amps": "current", "watts": "power",
               "form": "word", "earthed": "flag"},
    "load": _LOAD,
    "contact": {"amps": "current", "volts": "voltage", "inductive-amps": "current", "ac-amps": "current",
                "ac-volts": "voltage"},
    "one-way": {"drop": "voltage", "amps": "current", "volts": "voltage"},
    "clamp": {"volts": "voltage", "clamping": "voltage", "energy": "energy", "ohms": "resistance",
              "farads": "capacitance", "stores": "flag"},
    "protector": {"amps": "current", "volts": "voltage"},
    "sense": {"safety": "flag", "commands": "word", "wants": "word", "volts": "voltage",
              "ohms": "resistance"},
    "link": {},
}  # fmt: skip
"""What may be set of each primitive, and the dimension (or flag, word) it takes."""
DEEPEST_GUARD = 40

Placed = Word | nodes.SlotNode | nodes.AttributeMember


class Declaring:
    """One kind on its way: what is known of it so far, and what is wrong with it."""

    def __init__(self, statement: Statement) -> None:
        self.statement = statement
        self.mistakes: list[Mistake] = []
        self.slots: dict[str, Slot] = {}
        self.patterns: dict[str, list[Pattern]] = {}
        self.needs: list[str] = []
        self.constants: dict[str, Value] = {}
        self.optional = 0
        """Optional parts met in the attribute at hand."""

    def wrong(self, at: Placed, headline: str, found: str = "", expected: str = "", hint: str = "") -> None:
        """Notes a mistake at a node."""
        span = self.statement.span(at.start, at.end)
        self.mistakes.append(Mistake(span, headline, found, expected, hint))


def declare(node: nodes.KindNode, statement: Statement) -> tuple[Kind, list[Mistake]]:
    """The kind that a statement declares, and its mistakes."""
    work = Declaring(statement)
    if node.base.text not in BASES:
        expected = "one of " + ", ".join(f"“{b}”" for b in BASES[1:])
        hint = did_you_mean(node.base.text, BASES)
        work.wrong(node.base, f"There is no base class “{node.base.text}”", f"“{node.base.text}”", expected, hint)
    members = list(_flat(node.members, work))
    for member in members:
        if isinstance(member, nodes.AttributeMember):
            _attribute(member, work)
        elif isinstance(member, nodes.AlwaysMember):
            _constant(member, work)
    _check(members, node, work)
    kind = _kind(node, members, work)
    if kind.base == "wire":
        _check_wire(kind, node, work)
    return kind, work.mistakes


def _kind(node: nodes.KindNode, members: Sequence[nodes.Member], work: Declaring) -> Kind:
    parts = tuple(m for m in node.members if not isinstance(m, nodes.AttributeMember | nodes.AlwaysMember))
    return Kind(
        name=node.name.text,
        says=node.says.text if node.says else "",
        base=node.base.text,
        patterns={lead: tuple(patterns) for lead, patterns in work.patterns.items()},
        needs=tuple(work.needs),
        slots=work.slots,
        constants=work.constants,
        members=parts,
        signals=tuple(m.name.text for m in members if isinstance(m, nodes.SignalMember)),
        states=tuple(dict.fromkeys(m.name.text for m in members if isinstance(m, nodes.StateMember))),
        at=work.statement.span(node.name.start, node.name.end),
    )


def _flat(members: Sequence[nodes.Member], work: Declaring) -> Iterator[nodes.Member]:
    """Members with those of a `repeat` behind it."""
    for member in members:
        yield member
        if isinstance(member, nodes.RepeatMember):
            for inner in member.members:
                if isinstance(inner, nodes.RepeatMember | nodes.AttributeMember | nodes.AlwaysMember):
                    work.wrong(member.slot, "Only electrical parts, signals, states and terminals repeat")
                else:
                    yield inner


# --- attributes --------------------------------------------------------------------------------------------


def _attribute(member: nodes.AttributeMember, work: Declaring) -> None:
    slots: dict[str, Slot] = {}
    work.optional = 0
    parts = _parts(member.pattern, work, slots)
    if work.optional > MOST_OPTIONAL:
        found = f"{work.optional} parts"
        work.wrong(member, "Too much of this attribute is optional", found, f"at most {MOST_OPTIONAL}")
    leads = _leads(parts)
    if not leads:
        work.wrong(member, "An attribute begins with a word", expected="a word, or a slot of choices")
        return
    flag = ""
    if not slots and all(isinstance(p, Literal) for p in parts):
        flag = "-".join(p.text for p in parts if isinstance(p, Literal))
        slots[flag] = Slot(flag, "flag")
    pattern = Pattern(parts, leads, member.needed, member.many, flag)
    for lead in leads:
        work.patterns.setdefault(lead, []).append(pattern)
    if member.needed and leads[0] not in work.needs:
        work.needs.append(leads[0])
    _add_slots(_sightings(leads[0], slots, member, work) if member.many else slots, member, work)


def _leads(parts: tuple[Part, ...]) -> tuple[str, ...]:
    """Words that an attribute may begin with; none where it begins with neither a word nor a choice."""
    match parts[0] if parts else None:
        case Literal(text) if not text[0].isdigit():
            return (text,)
        case Slot(type="choice", choices=choices):
            return tuple(dict.fromkeys(choice.split(" ")[0] for choice in choices))
    return ()


def _sightings(lead: str, slots: dict[str, Slot], member: nodes.AttributeMember, work: Declaring) -> dict[str, Slot]:
    """The slot of a repeated attribute, with those of its other patterns."""
    before = work.slots.pop(lead, Slot(lead, "sightings"))
    if before.type != "sightings":
        work.wrong(member, f"“{lead}” is a slot already", "the name of a slot", "another leading word")
    inner = {s.name: s for s in before.inner} | slots
    return {lead: Slot(lead, "sightings", inner=tuple(inner.values()))}


def _check_wire(kind: Kind, node: nodes.KindNode, work: Declaring) -> None:
    """A wire is drawn by its ends: its kind only says what else may be told of it."""
    named = any(slot.type in NAMING or slot.many or slot.type == "sightings" for slot in kind.slots.values())
    if kind.needs or kind.members or named:
        expected = "attributes that may be given, none of which names another thing or repeats"
        work.wrong(node.name, "A kind of wire has attributes alone", "other members", expected)


def _add_slots(slots: dict[str, Slot], member: nodes.AttributeMember, work: Declaring) -> None:
    for name, slot in slots.items():
        if work.slots.setdefault(name, slot) != slot:
            work.wrong(member, f"The slot “{name}” is declared twice, with different types")


def _parts(pattern: Sequence[nodes.PatternNode], work: Declaring, slots: dict[str, Slot]) -> tuple[Part, ...]:
    parts: list[Part] = []
    for node in pattern:
        if isinstance(node, nodes.SlotNode):
            slot = _slot(node, work)
            if slot.name in slots:
                work.wrong(node, f"The slot “{slot.name}” stands twice in one attribute")
            slots[slot.name] = slot
            parts.append(slot)
        elif isinstance(node, nodes.OptionalNode):
            work.optional += 1
            if work.optional <= MOST_OPTIONAL:
                parts.append(Maybe(_parts(node.parts, work, slots)))
        else:
            parts.append(Literal(shown(node, bare=True)))
    return tuple(parts)


def _slot(node: nodes.SlotNode, work: Declaring) -> Slot:
    words = tuple(" ".join(w.text for w in choice) for choice in node.type)
    only_type = words[0] if len(words) == 1 and words[0] in TYPES else ""
    slot = Slot(node.name.text, only_type or "choice", () if only_type else words, node.many)
    if len(words) == 1 and not only_type and " " not in words[0]:
        expected = "a dimension, or one of " + ", ".join(sorted(TYPES - set(units.SI_UNIT)))
        hint = did_you_mean(words[0], TYPES)
        work.wrong(node, f"There is no type “{words[0]}”", f"“{words[0]}”", expected, hint)
    if node.many and slot.type not in LISTABLE:
        work.wrong(node, f"A {slot.type} cannot be a list", expected="one of " + ", ".join(sorted(LISTABLE)))
    return slot


def _constant(member: nodes.AlwaysMember, work: Declaring) -> None:
    value = _constant_value(member.items)
    if value is None:
        work.wrong(
            member.name,
            f"The value of “{member.name.text}” cannot be read",
            expected="yes, no, a word, a text or a quantity",
        )
        return
    work.constants[member.name.text] = value


def _constant_value(items: Sequence[Item]) -> Value | None:
    match items:
        case [Word("yes" | "no" as said)]:
            return said == "yes"
        case [Text(text)]:
            return text
        case [Number(value)]:
            return value
        case [Number(value, text), Word(unit)]:
            return units.quantity(value, unit, text) if units.is_unit(unit) else None
        case _:
            words = [i.text for i in items if isinstance(i, Word)]
            return " ".join(words) if len(words) == len(items) else None


# --- electrical parts --------------------------------------------------------------------------------------


def _check(members: Sequence[nodes.Member], node: nodes.KindNode, work: Declaring) -> None:
    terminals = {w.text for m in members if isinstance(m, nodes.TerminalsMember) for w in m.names}
    names = {
        "signal": {m.name.text for m in members if isinstance(m, nodes.SignalMember)},
        "load": _names(members, "load"),
        "input": _names(members, "sense"),
    }
    for member in members:
        match member:
            case nodes.PrimitiveMember():
                _check_primitive(member, terminals, names, work)
            case nodes.StateMember():
                _check_guard(member.guard, names, work)
            case nodes.SignalMember(role=Word(text=role)) if role not in ROLES:
                assert member.role is not None
                expected = "one of " + ", ".join(ROLES)
                work.wrong(member.role, f"There is no role “{role}”", f"“{role}”", expected, did_you_mean(role, ROLES))
            case nodes.RepeatMember():
                _check_repeat(member, work)
        only = getattr(member, "only", None)
        if only is not None:
            _check_only(only, work)


def _names(members: Sequence[nodes.Member], what: str) -> set[str]:
    primitives = (m for m in members if isinstance(m, nodes.PrimitiveMember))
    return {m.name.text for m in primitives if m.name is not None and m.what.text == what}


def _check_primitive(
    member: nodes.PrimitiveMember, terminals: set[str], names: dict[str, set[str]], work: Declaring
) -> None:
    what = member.what.text
    for end in (member.a, member.b):
        if end.text not in terminals:
            hint = did_you_mean(end.text, terminals)
            work.wrong(end, f"The kind has no terminal “{end.text}”", f"“{end.text}”", "a declared terminal", hint)
    if member.guard is None and what in GUARDED:
        work.wrong(member.what, f"This {what} does not say when", expected=f"“{GUARDED[what]} when …”")
    elif member.guard is not None and what not in GUARDED:
        work.wrong(member.what, f"A {what} takes no condition", "“when”", "“when” on contacts and sources only")
    if member.guard is not None:
        _check_guard(member.guard, names, work)
    _check_style(member, what, work)
    for setting in member.settings:
        _check_setting(what, setting, work)


def _check_style(member: nodes.PrimitiveMember, what: str, work: Declaring) -> None:
    styles = STYLES.get(what, ())
    expected = "one of " + ", ".join(styles)
    if member.style is None:
        if what == "load":
            work.wrong(member.what, "This load does not say its style", "none", expected)
    elif styles and member.style.text not in styles:
        style = member.style.text
        headline = f"There is no {what} of style “{style}”"
        work.wrong(member.style, headline, f"“{style}”", expected, did_you_mean(style, styles))


def _check_setting(what: str, setting: nodes.SettingNode, work: Declaring) -> None:
    wanted = SETTINGS[what].get(setting.name.text)
    if wanted is None:
        name = setting.name.text
        expected = "one of " + ", ".join(SETTINGS[what]) if SETTINGS[what] else "none"
        work.wrong(
            setting.name, f"A {what} has no setting “{name}”", f"“{name}”", expected, did_you_mean(name, SETTINGS[what])
        )
        return
    for choice in setting.choices:
        if (trouble := _setting_trouble(choice, wanted, setting.name.text, work)) is not None:
            expected = {"flag": "yes, no or a slot", "word": "a word"}.get(
                wanted, f"{wanted}, such as {units.EXAMPLE.get(wanted, '')}"
            )
            first = choice[0]
            at = first if isinstance(first, Word) else Word("", first.start, choice[-1].end)
            hint = did_you_mean(first.text, work.slots) if isinstance(first, Word) else ""
            work.wrong(at, f"“{setting.name.text}” cannot be set to this", trouble, expected, hint)


def _setting_trouble(choice: tuple[Item, ...], wanted: str, name: str, work: Declaring) -> str | None:
    """What is wrong with one value of a setting, or None."""
    match choice:
        case [Word("yes" | "no")]:
            return None if wanted == "flag" else "yes or no"
        case [Word(text)]:
            slot = work.slots.get(text)
            if slot is None:
                return None if wanted == "word" else f"“{text}”, which is no slot of this kind"
            fits = wanted == "word" or slot.type == wanted or (wanted == "flag" and slot.type == "choice")
            return None if fits else f"“{text}”, a slot of type {slot.type}"
        case [Number(), Word("%")]:
            return None if wanted == "voltage" and name != "volts" else "a share of the volts"
        case [Number(value, text), Word(unit)] if units.is_unit(unit):
            dimension = units.quantity(value, unit, text).dimension
            return None if dimension == wanted else f"a {dimension}"
    return " ".join(shown(i) for i in choice)


def _check_guard(guard: nodes.GuardNode, names: dict[str, set[str]], work: Declaring, depth: int = 0) -> None:
    match guard:
        case nodes.GuardNot(inner):
            parts: tuple[nodes.GuardNode, ...] = (inner,)
        case nodes.GuardMany(parts=many):
            parts = many
        case nodes.GuardAtom():
            _check_atom(guard, names, work)
            return
    if depth >= DEEPEST_GUARD:
        work.wrong(_leftmost(guard), f"Conditions nest at most {DEEPEST_GUARD} deep")
        return
    for part in parts:
        _check_guard(part, names, work, depth + 1)


def _leftmost(guard: nodes.GuardNode) -> Word:
    while not isinstance(guard, nodes.GuardAtom):
        guard = guard.inner if isinstance(guard, nodes.GuardNot) else guard.parts[0]
    return guard.name


def _check_atom(atom: nodes.GuardAtom, names: dict[str, set[str]], work: Declaring) -> None:
    what = "signal" if atom.state is None else "input" if atom.state.text == "made" else "load"
    name = atom.name.text
    if name in names[what] or re.sub(r"\d+", "#", name) in names[what]:
        return
    hint = did_you_mean(name, names[what])
    if not hint and atom.state is None and name in names["load"]:
        hint = f"Say “{name} energised” or “{name} powered”."
    work.wrong(atom.name, f"The kind has no {what} “{name}”", f"“{name}”", f"a declared {what}", hint)


def _check_repeat(member: nodes.RepeatMember, work: Declaring) -> None:
    slot = work.slots.get(member.slot.text)
    if slot is None or slot.type != "count":
        hint = did_you_mean(member.slot.text, [n for n, s in work.slots.items() if s.type == "count"])
        work.wrong(member.slot, "“repeat” needs a count", f"“{member.slot.text}”", "a slot of type count", hint)


def _check_only(only: nodes.Only, work: Declaring) -> None:
    name = only.slot.text
    slot = work.slots.get(name)
    if slot is None:
        if name not in work.constants:
            work.wrong(
                only.slot, f"The kind has no slot “{name}”", f"“{name}”", "a slot", did_you_mean(name, work.slots)
            )
    elif only.value is not None:
        said = " ".join(w.text for w in only.value)
        if said not in slot.choices:
            hint = did_you_mean(said, slot.choices)
            work.wrong(only.value[0], f"“{name}” is never “{said}”", f"“{said}”", slot.wanted, hint)
