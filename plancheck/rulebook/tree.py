"""The Lark parser of rules, and how its reductions become nodes; lark is imported with the first file."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from plancheck.rulebook import nodes
from plancheck.rulebook import nodes_of_packs as of_packs
from plancheck.rulebook.clause_tree import ClauseBuilder
from plancheck.rulebook.fix_tree import FixBuilder
from plancheck.rulebook.nodes import Amount, DomainItem, Expression, Name, Path, Text, Words

if TYPE_CHECKING:
    from lark import Lark, Token

STARTS = ("pack", "situation", "clauses", "member", "expression", "change", "house")


@cache
def parser() -> Lark:
    """The parser of members and expressions, built once."""
    from plancheck.syntax.tables import load_parser

    return load_parser("rules", STARTS, _Builder())


class _Builder(ClauseBuilder, FixBuilder):
    """One method for each terminal and rule that becomes a node, named as in the grammar.

    Positions run from the first to the last child that has one: keywords at either edge count only where the
    grammar keeps them, which is enough to point at what a mistake is about.
    """

    def WORD(self, token: Token) -> Name:  # noqa: N802
        return Name(token.value, token.start_pos, token.end_pos)  # type: ignore[arg-type]

    # --- statements --------------------------------------------------------------------------------------

    def pack(self, children: list[Any]) -> nodes.PackNode:
        name, title = children
        return nodes.PackNode(name, _text(title), *_ends(children))

    def situation(self, children: list[Any]) -> nodes.SituationNode:
        name, *settings = children
        return nodes.SituationNode(name, tuple(settings), name.start, name.end)

    def setting_on(self, children: list[Any]) -> nodes.SettingNode:
        return nodes.SettingNode(children[0], True)

    def setting_off(self, children: list[Any]) -> nodes.SettingNode:
        return nodes.SettingNode(children[0], False)

    def setting_rest(self, _: list[Any]) -> nodes.SettingNode:
        return nodes.SettingNode(None, False)

    # --- what packs change, and which there are ----------------------------------------------------------

    def change(self, children: list[Any]) -> of_packs.ChangeNode:
        (pack, name), *parts = children
        return of_packs.ChangeNode(pack, name, tuple(parts), pack.start, name.end)

    def rule_id(self, children: list[Any]) -> tuple[Name, Name]:
        pack, name = children
        return pack, name

    def reason(self, children: list[Any]) -> of_packs.ReasonPart:
        return of_packs.ReasonPart(children[0], *_ends(children))

    def off(self, children: list[Any]) -> of_packs.OffPart:
        return of_packs.OffPart(*_ends(children))

    def house(self, children: list[Any]) -> of_packs.HouseNode:
        company, *parts = children
        title = _text(company)
        assert title is not None
        return of_packs.HouseNode(title, tuple(parts), title.start, title.end)

    def house_part(self, children: list[Any]) -> of_packs.HousePart:
        keyword, *names = (child for child in children if child != ",")
        texts = tuple(text for name in names if (text := _text(name)))
        return of_packs.HousePart(str(keyword), texts, *_ends(list(texts)))

    # --- members -----------------------------------------------------------------------------------------

    def texts(self, children: list[Any]) -> nodes.TextMember:
        *keyword, text = children
        return nodes.TextMember(" ".join(keyword), text, text.start, text.end)

    def severity(self, children: list[Any]) -> nodes.SeverityMember:
        return nodes.SeverityMember(children[0], *_ends(children))

    def life_safety(self, children: list[Any]) -> nodes.LifeSafetyMember:
        return nodes.LifeSafetyMember(*_ends(children))

    def cited(self, children: list[Any]) -> nodes.Cited:
        text = _text(children[0])
        assert text is not None
        return nodes.Cited(text, children[1], text.start, text.end)

    def only(self, children: list[Any]) -> nodes.OnlyMember:
        return nodes.OnlyMember(children[0], *_ends(children))

    def limit(self, children: list[Any]) -> nodes.LimitMember:
        tag, edition, name, amount, source = children
        return nodes.LimitMember(tag, edition, name, amount, source, *_ends([name, amount]))

    def limit_tag(self, children: list[Any]) -> Name:
        name: Name = children[0]
        return name

    def for_each(self, children: list[Any]) -> nodes.ForEachMember:
        return nodes.ForEachMember(children[0], children[0][0].start, children[0][-1].end)

    def where(self, children: list[Any]) -> nodes.ExpressionMember:
        return nodes.ExpressionMember("where", children[0], *_ends(children))

    def require(self, children: list[Any]) -> nodes.ExpressionMember:
        return nodes.ExpressionMember("require", children[0], *_ends(children))

    def at(self, children: list[Any]) -> nodes.PlaceMember:
        return nodes.PlaceMember("at", tuple(children), *_ends(children))

    def also_at(self, children: list[Any]) -> nodes.PlaceMember:
        return nodes.PlaceMember("also at", tuple(children), *_ends(children))

    def path_of(self, children: list[Any]) -> nodes.PlaceMember:
        return nodes.PlaceMember("path", tuple(children), *_ends(children))

    def evidence(self, children: list[Any]) -> nodes.EvidenceMember:
        what, value, against = children
        bound, limit = against or ("", None)
        return nodes.EvidenceMember(what, value, bound, limit, *_ends([what, value]))

    def against(self, children: list[Any]) -> tuple[str, Expression]:
        return children[0] or "", children[1]

    def bound(self, children: list[Any]) -> str:
        return str(children[1])

    def example(self, children: list[Any]) -> nodes.ExampleMember:
        keyword, title, opened, closed = children
        body = opened.end_pos, closed.start_pos
        return nodes.ExampleMember(str(keyword), title, *body, keyword.start_pos, closed.end_pos)

    # --- domains -----------------------------------------------------------------------------------------

    def text(self, children: list[Any]) -> Text:
        joined = " ".join(token[1:-1] for token in children)
        return Text(joined, *_ends(children))

    def words(self, children: list[Any]) -> Words:
        return Words(tuple(children), *_ends(children))

    def domain(self, children: list[Any]) -> tuple[DomainItem, ...]:
        return tuple(children)

    def item_all(self, children: list[Any]) -> DomainItem:
        return DomainItem(children[0], children[1], None, None, None, *_ends(children))

    def item_of_class(self, children: list[Any]) -> DomainItem:
        kind, name, of_kind, of_name = children
        return DomainItem(kind, name, of_kind, of_name, None, *_ends(children))

    def item_of(self, children: list[Any]) -> DomainItem:
        kind, name, of = children
        return DomainItem(kind, name, None, of, None, *_ends(children))

    def item_in(self, children: list[Any]) -> DomainItem:
        kind, name, within = children
        return DomainItem(kind, name, None, None, within, *_ends(children))

    # --- expressions -------------------------------------------------------------------------------------

    def disjunction(self, parts: list[Any]) -> nodes.Junction:
        return nodes.Junction("or", tuple(parts), *_ends(parts))

    def conjunction(self, parts: list[Any]) -> nodes.Junction:
        return nodes.Junction("and", tuple(parts), *_ends(parts))

    def negated(self, children: list[Any]) -> nodes.Not:
        return nodes.Not(children[1], *_ends(children))

    def filter(self, children: list[Any]) -> Expression:
        expression: Expression = children[0]
        return expression

    def quantified(self, children: list[Any]) -> nodes.Quantified:
        how, domain, where, body = children
        return nodes.Quantified(str(how), domain, where, body, *_ends(children))

    def count_of(self, children: list[Any]) -> nodes.Quantified:
        domain, where = children
        end = where.end if where else domain[-1].end
        return nodes.Quantified("count", domain, where, None, domain[0].start, end)

    def in_condition(self, children: list[Any]) -> nodes.InCondition:
        first, how, *parts, body = children
        return nodes.InCondition(
            str(how),
            tuple(value for what, value in parts if what == "situation"),
            tuple(value for what, value in parts if what == "power lost"),
            tuple(value for what, value in parts if what == "where"),
            any(what == "distrust" for what, _ in parts),
            next((value for what, value in parts if what == "failure"), None),
            body,
            first.start_pos,
            body.end,
        )

    def with_situation(self, children: list[Any]) -> tuple[str, Words]:
        return "situation", children[0]

    def with_power_lost(self, children: list[Any]) -> tuple[str, Path]:
        return "power lost", children[0]

    def with_where(self, children: list[Any]) -> tuple[str, Expression]:
        return "where", children[0]

    def with_distrust(self, _: list[Any]) -> tuple[str, None]:
        return "distrust", None

    def with_failure(self, children: list[Any]) -> tuple[str, nodes.AnyFailure]:
        kinds, on = children
        return "failure", nodes.AnyFailure(kinds or (), on)

    def failure_kinds(self, children: list[Any]) -> tuple[Words, ...]:
        return tuple(children)

    def failure_place(self, children: list[Any]) -> Path:
        path: Path = children[0]
        return path

    def compare(self, children: list[Any]) -> nodes.Compare:
        left, sign, right = children
        return nodes.Compare(str(sign), left, right, left.start, right.end)

    def is_value(self, children: list[Any]) -> nodes.Is:
        left, negated, right = children
        return nodes.Is(left, negated is not None, right, *_ends(children))

    def is_one_of(self, children: list[Any]) -> nodes.IsOneOf:
        left, negated, *options = children
        return nodes.IsOneOf(left, negated is not None, tuple(options), *_ends(children))

    def is_given(self, children: list[Any]) -> nodes.IsGiven:
        left, negated = children
        return nodes.IsGiven(left, negated is not None, *_ends(children))

    def arithmetic(self, children: list[Any]) -> nodes.Arithmetic:
        left, sign, right = children
        return nodes.Arithmetic(str(sign), left, right, left.start, right.end)

    def path(self, children: list[Any]) -> Path:
        return Path(tuple(children), *_ends(children))

    def dotted(self, children: list[Any]) -> Path:
        return Path(tuple(children), *_ends(children))

    def predicate(self, children: list[Any]) -> nodes.Predicate:
        return nodes.Predicate(children[0], children[1], *_ends(children))

    def amount(self, children: list[Any]) -> Amount:
        number, unit = children
        return Amount(float(number), str(number), _unit(unit), *_ends(children))


def _ends(children: list[Any]) -> tuple[int, int]:
    """Where the first child begins and the last ends; children that were left out are None."""
    placed = [c for c in children if c is not None]
    return _start(placed[0]), _end(placed[-1])


def _start(child: Any) -> int:
    return int(child.start if hasattr(child, "start") else child.start_pos)


def _end(child: Any) -> int:
    return int(child.end if hasattr(child, "end") else child.end_pos)


def _text(token: Any) -> Text | None:
    return None if token is None else Text(token[1:-1], token.start_pos, token.end_pos)


def _unit(unit: Any) -> str:
    return "" if unit is None else unit.text if isinstance(unit, Name) else str(unit)
