"""How a finding names a thing, where it points, and which devices stand behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.plan.header import WHOLE_PLAN
from plancheck.plan.model import Device, Plan
from plancheck.rulebook.change_cases import ChangeCase
from plancheck.rulebook.parts_of_gates import Control, Zone
from plancheck.rulebook.things import Gap, Inventory, Terminal, Thing, VarianceCase
from plancheck.source import Span

if TYPE_CHECKING:
    from plancheck.plan.graph import Branch


def label(inventory: Inventory, thing: Thing) -> str:
    """The name by which the plan's author knows a thing."""
    match thing:
        case Device(name=name):
            return name
        case Terminal():
            return thing.key
        case Zone() | Control():
            return thing.label
        case Gap(subject=subject):
            return subject
        case VarianceCase(variance=variance):
            return f"{variance.rule} on {variance.on}"
        case ChangeCase(change=change):
            return f"{change.rule} by {change.pack}"
        case Plan(title=title, source=source):
            return title or source.name
    branch = _branch(thing)
    if branch is None:
        return str(getattr(thing, "key", thing))
    if branch is not thing:
        return f"{branch.device} circuit"
    return _branch_label(inventory, branch)


def _branch_label(inventory: Inventory, branch: Branch) -> str:
    match branch.what:
        case "conductor":
            return branch.key
        case "contact":
            return f"{branch.device} {_terminal(branch.a)}–{_terminal(branch.b)}"
        case "sense":
            return branch.a
        case "load" if len(inventory.facts.branches("load", branch.device)) > 1:
            return f"{branch.device} {branch.name}"
    return branch.device


def key(thing: Thing) -> str:
    """A name that no other thing of the plan has, free of line numbers."""
    match thing:
        case Device(name=name):
            return name
        case Gap():
            return f"{thing.rule} {thing.subject} {thing.reason}"
        case VarianceCase(variance=variance):
            return f"{variance.rule} on {variance.on}"
        case ChangeCase(change=change):
            return f"{change.rule} by {change.pack}"
        case Plan():
            return "plan"
    return str(getattr(thing, "key", thing))


def place(thing: Thing, slot: str = "") -> Span:
    """Where a finding about a thing points: at what declares it, or at the value of a slot."""
    match thing:
        case Device():
            return thing.value_at.get(slot, thing.at)
        case Terminal(device=device):
            return device.at
        case VarianceCase(variance=variance):
            return variance.at
        case ChangeCase(change=change):
            return change.at
        case Plan(source=source):
            return thing.header_at.get(slot or "plan") or Span(source, 0, min(1, len(source.text)))
        case Gap(at=at) | Zone(at=at) | Control(at=at):
            return at
    branch = _branch(thing)
    assert branch is not None
    return branch.at


def devices_behind(thing: Thing) -> tuple[str, ...]:
    """Names that a variance may give for a thing: its own, and its device's."""
    match thing:
        case Device(name=name):
            return (name,)
        case Terminal(device=device):
            return (thing.key, device.name)
        case Gap(subject=subject):
            return (subject,)
        case Zone(gate=gate):
            return (gate.name,)
        case Control(gate=gate):
            return (gate.name, thing.device)
        case Plan() | ChangeCase():
            return (WHOLE_PLAN,)
        case VarianceCase():
            return ()
    branch = _branch(thing)
    if branch is None:
        return ()
    return (branch.device, branch.key) if branch.device else (branch.a, branch.b)


def _branch(thing: Thing) -> Branch | None:
    """The branch itself, or the source of a circuit."""
    source = getattr(thing, "source", None)
    branch: Branch | None = source if source is not None else thing if hasattr(thing, "what") else None  # type: ignore[assignment]
    return branch


def _terminal(terminal: str) -> str:
    return terminal.partition(":")[2]
