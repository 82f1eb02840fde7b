"""The one Lark parser, and how its reductions become nodes. lark is imported when the first text is parsed."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from plancheck.syntax import nodes
from plancheck.syntax.nodes import Comma, Date, Entry, Item, Number, Reference, Text, Word

if TYPE_CHECKING:
    from lark import Lark, Token

STARTS = ("statement", "entry", "member", "setting", "file")


@cache
def parser() -> Lark:
    """The parser of plans and kinds, built once."""
    from plancheck.syntax.tables import load_parser

    return load_parser("plan", STARTS, _Builder())


class _Builder:
    """One method for each terminal that becomes an item and each rule that becomes a node, named as in the grammar.

    A terminal arrives as a token, a rule as the list of its children. Tokens that are left in place are there
    for their position or their type.
    """

    def __init__(self) -> None:
        for keyword in _KEPT_AS_WORDS:
            setattr(self, keyword, _word)

    # --- items -------------------------------------------------------------------------------------------

    def NAME(self, token: Token) -> Word:  # noqa: N802
        return Word(token.value, token.start_pos, token.end_pos)  # type: ignore[arg-type]

    def NUMBER(self, token: Token) -> Number:  # noqa: N802
        return Number(float(token.value), token.value, token.start_pos, token.end_pos)  # type: ignore[arg-type]

    def STRING(self, token: Token) -> Text:  # noqa: N802
        return Text(token.value[1:-1], token.start_pos, token.end_pos)  # type: ignore[arg-type]

    def DATE(self, token: Token) -> Date:  # noqa: N802
        return Date(token.value, token.start_pos, token.end_pos)  # type: ignore[arg-type]

    def REF(self, token: Token) -> Reference:  # noqa: N802
        device, _, terminal = token.value.partition(":")
        return Reference(device, terminal, token.start_pos, token.end_pos)  # type: ignore[arg-type]

    def COMMA(self, token: Token) -> Comma:  # noqa: N802
        return Comma(token.start_pos, token.end_pos)  # type: ignore[arg-type]

    # --- plans -------------------------------------------------------------------------------------------

    def entry(self, items: list[Item]) -> Entry:
        return Entry(tuple(items), items[0].start, items[-1].end)

    def block(self, children: list[Any]) -> tuple[tuple[Entry, ...], int]:
        return tuple(children[:-1]), children[-1].end_pos

    def header(self, children: list[Any]) -> nodes.Header:
        return nodes.Header(children[0], tuple(children[1:]), children[0].start, children[-1].end)

    def declaration(self, children: list[Any]) -> nodes.Declaration:
        entries, end = _block(children)
        title = children[2] if len(children) == 3 else None
        return nodes.Declaration(children[0], children[1], title, entries, children[0].start, end)

    def house_device(self, children: list[Any]) -> nodes.HouseDevice:
        entries, end = _block(children)
        return nodes.HouseDevice(children[1], children[2], entries, children[0].start_pos, end)

    def wire(self, children: list[Any]) -> nodes.Wire:
        entries, end = _block(children)
        conductor = children.pop() if type(children[-1]) is Word else None
        return nodes.Wire(tuple(children[1:]), conductor, entries, children[0].start_pos, end)

    def typical(self, children: list[Any]) -> nodes.Typical:
        keyword, name, *rest, close = children
        parameters = tuple(c for c in rest if type(c) is Word)
        body = tuple(c for c in rest if type(c) is not Word)
        return nodes.Typical(name, parameters, body, keyword.start_pos, close.end_pos)

    def place(self, children: list[Any]) -> nodes.Place:
        entries, end = _block(children)
        last = children[3] if len(children) == 4 else None
        return nodes.Place(children[1], children[2], last, entries, children[0].start_pos, end)

    def variance(self, children: list[Any]) -> nodes.Variance:
        entries, end = _block(children)
        on = children[2]
        if type(on) is Reference:
            on = Word(f"{on.device}:{on.terminal}", on.start, on.end)
        return nodes.Variance(children[1], on, entries, children[0].start_pos, end)

    # --- kinds -------------------------------------------------------------------------------------------

    def kind(self, children: list[Any]) -> nodes.KindNode:
        keyword, name, *rest, (members, end) = children
        says = next((c for c in rest if type(c) is Text), None)
        base = next((c for c in rest if type(c) is Word), Word("device", name.start, name.end))
        return nodes.KindNode(name, says, base, members, keyword.start_pos, end)

    def members(self, children: list[Any]) -> tuple[tuple[nodes.Member, ...], int]:
        return tuple(children[:-1]), children[-1].end_pos

    def terminals(self, children: list[Any]) -> nodes.TerminalsMember:
        keyword, *names = children
        only = names.pop() if type(names[-1]) is nodes.Only else None
        return nodes.TerminalsMember(tuple(names), keyword.type == "SPARE", only)

    def needs(self, children: list[Any]) -> nodes.AttributeMember:
        return _attribute(children, needed=True)

    def may_have(self, children: list[Any]) -> nodes.AttributeMember:
        return _attribute(children)

    def may_have_many(self, children: list[Any]) -> nodes.AttributeMember:
        return _attribute(children, many=True)

    def pattern(self, parts: list[Any]) -> tuple[nodes.PatternNode, ...]:
        return tuple(parts)

    def optional(self, parts: list[Any]) -> nodes.OptionalNode:
        return nodes.OptionalNode(tuple(parts))

    def slot(self, children: list[Any]) -> nodes.SlotNode:
        less, name, *rest, greater = children
        choices = tuple(c for c in rest if type(c) is tuple)
        return nodes.SlotNode(name, choices, len(choices) < len(rest), less.start_pos, greater.end_pos)

    def choice(self, words: list[Any]) -> tuple[Word, ...]:
        return tuple(words)

    def always(self, children: list[Any]) -> nodes.AlwaysMember:
        return nodes.AlwaysMember(children[0], tuple(children[1:]))

    def signal(self, children: list[Any]) -> nodes.SignalMember:
        options = {type(c): c for c in children[1:]}
        said = {c for c in children[1:] if type(c) is str}
        role, only = options.get(tuple), options.get(nodes.Only)
        return nodes.SignalMember(
            children[0], options.get(Text), role[0] if role else None, "shared" in said, "rests on" in said, only
        )

    def SHARED(self, _: Token) -> str:  # noqa: N802
        return "shared"

    def role(self, children: list[Any]) -> tuple[Word]:
        return (children[0],)

    def rests_on(self, _: list[Any]) -> str:
        return "rests on"

    def named_part(self, children: list[Any]) -> nodes.PrimitiveMember:
        return _primitive(children[0], children[1], children[2:])

    def part(self, children: list[Any]) -> nodes.PrimitiveMember:
        return _primitive(children[0], None, children[1:])

    def settings(self, children: list[Any]) -> list[nodes.SettingNode]:
        return children[:-1]

    def setting(self, children: list[Any]) -> nodes.SettingNode:
        return nodes.SettingNode(children[0], tuple(children[1:]))

    def setting_value(self, items: list[Any]) -> tuple[Item, ...]:
        return tuple(items)

    def state(self, children: list[Any]) -> nodes.StateMember:
        return nodes.StateMember(children[0], children[1], children[2] if len(children) == 3 else None)

    def repeat(self, children: list[Any]) -> nodes.RepeatMember:
        return nodes.RepeatMember(children[0], children[1][0])

    def any_of(self, parts: list[Any]) -> nodes.GuardNode:
        return parts[0] if len(parts) == 1 else nodes.GuardMany("or", tuple(parts))

    def all_of(self, parts: list[Any]) -> nodes.GuardNode:
        return parts[0] if len(parts) == 1 else nodes.GuardMany("and", tuple(parts))

    def negation(self, parts: list[Any]) -> nodes.GuardNot:
        return nodes.GuardNot(parts[0])

    def atom(self, parts: list[Any]) -> nodes.GuardAtom:
        return nodes.GuardAtom(parts[0], _as_word(parts[1]) if len(parts) == 2 else None)

    def only(self, children: list[Any]) -> nodes.Only:
        how, slot, *value = children
        return nodes.Only(slot, how.type == "UNLESS", tuple(value) or None)


_KEPT_AS_WORDS = (
    "PLAN", "REVISION", "JURISDICTION", "EDITION", "ADOPT", "AMBIENT", "USE", "PERCENT", "LABEL", "POINT", "WORD",
    "SOURCE", "LOAD", "SENSE", "CONTACT", "ONE_WAY", "CLAMP", "PROTECTOR", "LINK", "ENERGISED", "POWERED",
)  # fmt: skip


def _word(token: Token) -> Word:
    return Word(token.value, token.start_pos, token.end_pos)  # type: ignore[arg-type]


def _as_word(token: Word | Token) -> Word:
    return token if isinstance(token, Word) else _word(token)


def _block(children: list[Any]) -> tuple[tuple[Entry, ...], int]:
    """Takes the block off the end of a statement's children: its entries, and where the statement ends."""
    if type(children[-1]) is tuple:
        entries, end = children.pop()
        return entries, end
    return (), children[-1].end


def _attribute(children: list[Any], needed: bool = False, many: bool = False) -> nodes.AttributeMember:
    parts = children[-1]
    return nodes.AttributeMember(parts, needed, many, _first(parts[0]), _last(parts[-1]))


def _first(part: Any) -> int:
    while isinstance(part, nodes.OptionalNode):
        part = part.parts[0]
    return int(part.start)


def _last(part: Any) -> int:
    while isinstance(part, nodes.OptionalNode):
        part = part.parts[-1]
    return int(part.end)


def _primitive(what: Word, name: Word | None, children: list[Any]) -> nodes.PrimitiveMember:
    a, b, *rest = children
    guard: nodes.GuardNode | None = None
    style: Word | None = None
    settings: list[nodes.SettingNode] = []
    only: nodes.Only | None = None
    for child in rest:
        match child:
            case nodes.GuardAtom() | nodes.GuardNot() | nodes.GuardMany():
                guard = child
            case nodes.Only():
                only = child
            case Word():
                style = child
            case list():
                settings = child
    return nodes.PrimitiveMember(what, name, a, b, guard, style, tuple(settings), only)
