"""A plan's text to the resolved plan: every name known, every typical placed, every mistake told."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from plancheck.finding import Mistake
from plancheck.plan.devices import Devices
from plancheck.plan.header import WHOLE_PLAN, Headers, read_header, read_variance
from plancheck.plan.include import Gathering, Include, read_whole
from plancheck.plan.kinds import Kinds, declared_kinds
from plancheck.plan.mentions import spoken_of
from plancheck.plan.mistakes import Mistakes
from plancheck.plan.model import Plan, Variance, Wire
from plancheck.plan.register import Register
from plancheck.plan.scope import TOP, Scope
from plancheck.plan.typicals import Placed, Typicals
from plancheck.plan.wires import Wires
from plancheck.source import Source
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Statement


@dataclass(slots=True)
class _Work:
    """Everything that is being put together for one plan."""

    top: Source
    kinds: Kinds
    mistakes: Mistakes
    headers: Headers
    register: Register
    typicals: Typicals
    devices: Devices
    later: list[Placed]
    """Wires and variances, which speak of devices that may be declared behind them."""


def resolve(
    source: Source, kinds: Kinds, include: Include, beside: Iterable[Source] = ()
) -> tuple[Plan, list[Mistake]]:
    """The plan that a text draws, with all that is wrong with it.

    `beside` are texts of devices and typicals that the plan may speak of without `use`: those of packs that apply.
    """
    mistakes = Mistakes()
    statements = gathered(source, include, beside, mistakes)
    return resolve_statements(source, statements, kinds, mistakes), mistakes.told


def gathered(source: Source, include: Include, beside: Iterable[Source], mistakes: Mistakes) -> list[Statement]:
    """The statements of a plan: of texts beside it, of all that it uses, its own; in order."""
    gathering = Gathering(include, mistakes, read_whole)
    runs = (run for text in (*beside, source) for run in gathering.once(text))
    return [statement for text, start, end in runs for statement in text.statements[start:end]]


def resolve_statements(source: Source, statements: Sequence[Statement], kinds: Kinds, mistakes: Mistakes) -> Plan:
    """The plan that statements draw, of which `source` is the text that says what plan it is."""
    unread = (statement.text for statement in statements if statement.node is None)
    doubtful = {name for text in unread for name in spoken_of(text, kinds)}
    kinds, wrong = declared_kinds(statements, kinds)
    for mistake in wrong:
        mistakes.add(mistake.at, mistake.headline, mistake.found, mistake.expected, mistake.hint, mistake.also_at)
    register, headers = Register(mistakes, doubtful), Headers()
    typicals, devices = Typicals(mistakes, doubtful), Devices(kinds, register, mistakes)
    work = _Work(source, kinds, mistakes, headers, register, typicals, devices, [])
    _declare(statements, work)
    devices.resolve_names()
    wires, variances = _connect(work)
    return Plan(
        source, headers.title, headers.revision, headers.dated, headers.jurisdiction, tuple(headers.adopts),
        headers.low, headers.high, register.by_name, wires, variances, headers.at,
        tuple(headers.editions),
    )  # fmt: skip


def _declare(statements: Sequence[Statement], work: _Work) -> None:
    """Typicals and house devices first, since a plan may use them before it declares them; then devices in order."""
    for statement in statements:
        _refuse_variances(statement, work.mistakes)
        if isinstance(statement.node, nodes.Typical):
            work.typicals.declare(statement.node, statement)
        elif isinstance(statement.node, nodes.HouseDevice):
            work.devices.declare_house(statement.node, statement)
    declare, later = work.devices.declare, work.later.append
    for statement in statements:
        match statement.node:
            case nodes.Wire() | nodes.Variance() as node:
                later((node, statement, TOP))
            case nodes.Declaration() as node:
                declare(node, statement, TOP)
            case nodes.Header() as node:
                read_header(node, statement, work.top, work.headers, work.mistakes)
            case nodes.Place() as node:
                _place(node, statement, work)


def _refuse_variances(statement: Statement, mistakes: Mistakes) -> None:
    """A pack must not excuse plans: whoever grants an exception grants it to one plan, which says so itself."""
    node = statement.node
    if node is None or not statement.source.of_pack:
        return
    for part in node.body if isinstance(node, nodes.Typical) else (node,):
        if isinstance(part, nodes.Variance):
            at, found = (
                statement.span(part.start, part.end),
                f"one from {part.rule.text} in a pack, which excuses nothing",
            )
            mistakes.add(at, "“variance” belongs in the plan itself", found, "kinds, devices, typicals, wires")


def _place(place: nodes.Place, statement: Statement, work: _Work) -> None:
    for node, where, scope in work.typicals.placed(place, statement):
        if isinstance(node, nodes.Declaration):
            work.devices.declare(node, where, scope)
        elif isinstance(node, nodes.Wire | nodes.Variance):
            work.later.append((node, where, scope))
        else:
            what = {nodes.Typical: "typical", nodes.KindNode: "kind"}.get(type(node), "header or house device")
            at = where.span(node.start, node.end)
            work.mistakes.add(at, f"A {what} stands in a typical", f"a {what}", "devices, wires, places and variances")


def _connect(work: _Work) -> tuple[tuple[Wire, ...], tuple[Variance, ...]]:
    wires = Wires(work.kinds, work.register, work.mistakes)
    variances: list[Variance] = []
    for node, statement, scope in work.later:
        if type(node) is nodes.Wire:
            wires.add(node, statement, scope)
        elif isinstance(node, nodes.Variance) and not statement.source.of_pack:
            variance = read_variance(node, statement, scope, work.mistakes)
            _check_subject(variance, node, statement, scope, work)
            variances.append(variance)
    return tuple(wires.drawn), tuple(variances)


def _check_subject(variance: Variance, node: nodes.Variance, statement: Statement, scope: Scope, work: _Work) -> None:
    if variance.on == WHOLE_PLAN:
        return
    name, colon, terminal = variance.on.partition(":")
    at = statement.span(node.on.start, node.on.end)
    device = work.register.find(name, at, scope)
    if device is not None and colon:
        work.register.has_terminal(device, terminal, at)
