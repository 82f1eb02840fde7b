"""Nodes of a parsed statement.

Every node carries `start` and `end`, counted in code points from the start of its own top-level statement, so
that a statement parsed once serves wherever its text stands (`Statement.offset` places it in the file).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from plancheck.source import Source, Span


@dataclass(frozen=True, slots=True)
class Word:
    """A name or a bare word: `ML1`, `exit`, `D102/ML`."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Number:
    """A number, without its unit. The unit, if any, is the word behind it."""

    value: float
    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Text:
    """A quoted string; `text` is what stands between the quotes."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Date:
    """A day, `2026-11-20`."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Reference:
    """`device:terminal` (IEC 81346), or `receiver:channel`."""

    device: str
    terminal: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Comma:
    """A comma between items."""

    start: int
    end: int


Item = Word | Number | Text | Date | Reference | Comma


@dataclass(frozen=True, slots=True)
class Entry:
    """One attribute in a block: `rated 24 Vdc, 250 mA`."""

    items: tuple[Item, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Header:
    """`plan "…"`, `revision "C" dated 2026-11-20`, `jurisdiction us`, `edition "…"`, `adopt "house"` …"""

    keyword: Word
    items: tuple[Item, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Declaration:
    """A device, door, gate or cable: `magnetic-lock ML1 "Rear" { … }`. `kind` is Text for a house device."""

    kind: Word | Text
    name: Word
    title: Text | None
    entries: tuple[Entry, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class HouseDevice:
    """`device "our 600 lb lock" is a magnetic-lock { … }`: a kind with data already given."""

    name: Text
    kind: Word
    entries: tuple[Entry, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Wire:
    """`wire PS1:+ to FA1:COM to FA2:COM in C1/red { … }`; `conductor` is the cable and colour, as one word."""

    ends: tuple[Reference, ...]
    conductor: Word | None
    entries: tuple[Entry, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Typical:
    """A door detail drawn once; `body` holds declarations, wires, places and variances."""

    name: Word
    parameters: tuple[Word, ...]
    body: tuple[Node, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Place:
    """`place NAME as D102 { … }`, or `as D201 to D260`."""

    typical: Word
    first: Word
    last: Word | None
    entries: tuple[Entry, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Variance:
    """`variance egress/button-location on D101 { … }`."""

    rule: Word
    on: Word
    entries: tuple[Entry, ...]
    start: int
    end: int


# --- device kinds ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class GuardAtom:
    """A signal's name, or (with `state`) a load `energised`/`powered` or a sense input `made`."""

    name: Word
    state: Word | None


@dataclass(frozen=True, slots=True)
class GuardNot:
    """`not x`."""

    inner: GuardNode


@dataclass(frozen=True, slots=True)
class GuardMany:
    """`x and y …` or `x or y …`; `how` is "and" or "or"."""

    how: str
    parts: tuple[GuardNode, ...]


GuardNode = GuardAtom | GuardNot | GuardMany


@dataclass(frozen=True, slots=True)
class Only:
    """`if SLOT`, `unless SLOT`, `if SLOT is WORDS`: the member exists only then."""

    slot: Word
    unless: bool
    value: tuple[Word, ...] | None


@dataclass(frozen=True, slots=True)
class SlotNode:
    """`<rated-volts: voltage>`, `<egress: free by lever | sensor release>`, `<locks: lock...>`."""

    name: Word
    type: tuple[tuple[Word, ...], ...]
    """Alternatives, each one or more words; a single alternative naming a type is that type."""
    many: bool
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class OptionalNode:
    """`[ … ]` in a pattern: may be left out."""

    parts: tuple[PatternNode, ...]


PatternNode = Word | Number | Comma | SlotNode | OptionalNode


@dataclass(frozen=True, slots=True)
class SettingNode:
    """`volts rated-volts`, `pull-in 75 %`, `drop-out drop-out-volts or 20 %`: the items behind the name."""

    name: Word
    choices: tuple[tuple[Item, ...], ...]


@dataclass(frozen=True, slots=True)
class TerminalsMember:
    """`terminals + -`; `spare` ones may be left unwired."""

    names: tuple[Word, ...]
    spare: bool
    only: Only | None


@dataclass(frozen=True, slots=True)
class AttributeMember:
    """`needs PATTERN`, `may have PATTERN`, or (with `many`) `may have many PATTERN`."""

    pattern: tuple[PatternNode, ...]
    needed: bool
    many: bool
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class AlwaysMember:
    """`always keeps-latch no`: a fact of every device of the kind."""

    name: Word
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class SignalMember:
    """`signal motion "somebody at {name}" role exit [shared] [rests on] [if …]`."""

    name: Word
    says: Text | None
    role: Word | None
    shared: bool
    rests_on: bool
    only: Only | None


@dataclass(frozen=True, slots=True)
class PrimitiveMember:
    """`load coil + - coil { … }`, `contact COM NO made when … direct { … }`, `source main + - alive when … { … }`.

    `name` is None for primitives that carry none (contact, one-way, clamp, protector, link).
    """

    what: Word
    name: Word | None
    a: Word
    b: Word
    guard: GuardNode | None
    style: Word | None
    settings: tuple[SettingNode, ...]
    only: Only | None


@dataclass(frozen=True, slots=True)
class StateMember:
    """`state secured when coil energised [if …]`."""

    name: Word
    guard: GuardNode
    only: Only | None


@dataclass(frozen=True, slots=True)
class RepeatMember:
    """`repeat channels { … }`: members once for each; `#` in a name becomes the number."""

    slot: Word
    members: tuple[Member, ...]


Member = TerminalsMember | AttributeMember | AlwaysMember | SignalMember | PrimitiveMember | StateMember | RepeatMember


@dataclass(frozen=True, slots=True)
class KindNode:
    """`kind magnetic-lock "…" is a lock { … }`; `base` is a base class."""

    name: Word
    says: Text | None
    base: Word
    members: tuple[Member, ...]
    start: int
    end: int


Node = Header | Declaration | HouseDevice | Wire | Typical | Place | Variance | KindNode


@dataclass(frozen=True, slots=True)
class Statement:
    """A top-level statement where it stands: `node` is None where the text could not be read.

    A `broken` one has mistakes: its node, if any, lacks the parts that could not be read.
    """

    source: Source = field(repr=False)
    offset: int
    text: str = field(repr=False)
    node: Node | None
    broken: bool = False

    def span(self, start: int, end: int) -> Span:
        """Place of a node of this statement in the file."""
        return Span(self.source, self.offset + start, self.offset + end)
