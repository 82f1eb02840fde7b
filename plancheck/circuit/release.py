"""Release: what opens a contact, and what a relay that holds itself in keeps up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.acting import devices_acting_on
from plancheck.circuit.conditions import HELD, Truth
from plancheck.circuit.variation import Failure, Variation

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch

RELEASING = ("exit", "approach", "override", "alarm")
"""Roles of signals that are to let people out."""


def devices_opening(facts: Facts, contact: Branch) -> list[str]:
    """Devices whose button, sensor or alarm, alone and from rest, opens a contact that rests made; in plan order.

    One that only a relay's own hold makes counts as it stands while the relay holds. It may do so over relays and
    inputs. A signal that several devices share counts once, for the nearest of them. Raises NotAssessed.
    """
    made = facts.made(contact)
    ways = _ending(facts, made) or _ending(facts, made, held=True)
    names = {_nearest(facts, contact, key) for key in ways}
    return [name for name in facts.plan.devices if name in names]


def _ending(facts: Facts, truth: Truth, held: bool = False) -> list[str]:
    """Keys of the releasing signals of which each, alone and from rest, surely ends what is surely true at rest."""
    rest = _at_rest(facts, truth, held)
    if not truth.yes >> rest & 1:
        return []
    signals = enumerate(truth.space.signals)
    return [s for i, s in signals if _role(facts, s) in RELEASING and truth.no >> (rest ^ 1 << i) & 1]


def _at_rest(facts: Facts, truth: Truth, held: bool = False) -> int:
    """Number of the condition in which every signal rests; what is no signal of the plan rests off.

    With `held`, relays that hold themselves in do so: at rest, and locked.
    """
    known = facts.signals
    resting = [(s in known and known[s].rests_on) or (held and s.endswith(HELD)) for s in truth.space.signals]
    return sum(1 << i for i, rests in enumerate(resting) if rests)


def _role(facts: Facts, key: str) -> str:
    return facts.signals[key].role if key in facts.signals else ""


def _nearest(facts: Facts, contact: Branch, key: str) -> str:
    """The device of a signal that acts on a contact most directly."""
    having = [d.name for d in facts.plan.devices.values() if any(s.key == key for s in d.signals.values())]
    if len(having) == 1 or contact.device in having:
        return contact.device if contact.device in having else having[0]
    acting = devices_acting_on(facts, contact.device)
    return next((name for name in acting if name in having), having[0])


def contacts_shared(facts: Facts, load: Branch) -> list[Branch]:
    """Contacts in a load's feed of which each, welded, would keep it energised against several ways to release it.

    A way is a signal that, alone and from rest, releases the load as drawn; a load that rests dead is looked at while
    relays that hold themselves in do so. The contacts of one device that open
    together are taken to weld together, since one armature moves them: the first of them stands for all. Raises
    NotAssessed.
    """
    energised = facts.energised(load)
    held = not energised.yes >> _at_rest(facts, energised) & 1
    ways = _ending(facts, energised, held)
    opened: dict[str, list[tuple[Branch, list[str]]]] = {}
    for contact in facts.contacts_in_feed(load) if len(ways) > 1 else ():
        if by := [key for key in _ending(facts, facts.made(contact), held) if key in ways]:
            opened.setdefault(contact.device, []).append((contact, by))
    alike = [
        [contact for contact, _ in each] for each in opened.values() if len({key for _, by in each for key in by}) > 1
    ]
    return [each[0] for each in alike if len(_defeated(facts, load, each, ways, held)) > 1]


def _defeated(facts: Facts, load: Branch, welded: list[Branch], ways: list[str], held: bool) -> list[str]:
    """The ways that no longer surely release a load while some contacts are welded."""
    keys = tuple(contact.key for contact in welded)
    failure = Failure("contact welded", f"{welded[0].device} welded", keys, welded=frozenset(keys))
    truth = facts.energised(load, Variation(failure=failure))
    rest, signals = _at_rest(facts, truth, held), truth.space.signals
    return [w for w in ways if not truth.no >> (rest ^ (1 << signals.index(w) if w in signals else 0)) & 1]


def kept_from_before(truth: Truth) -> Truth:
    """Where a statement is true only by what relays remember: with the same signals, from rest, it would be false."""
    held = [i for i, signal in enumerate(truth.space.signals) if signal.endswith(HELD)]
    if not held:
        return Truth.constant(False)
    yes, no = (_forgetting(truth, mask, held) for mask in (truth.yes, truth.no))
    return Truth(truth.space, truth.yes & no, truth.no | yes)


def _forgetting(truth: Truth, mask: int, held: list[int]) -> int:
    """A mask with every condition as it would be if nothing had been held in."""
    for i in held:
        off = mask & ~truth.space.on(truth.space.signals[i])
        mask = off | off << (1 << i)
    return mask


def panel_powered(facts: Facts, device: str) -> Truth:
    """Whether a fire alarm panel that holds in a relay which decides over a device has power."""
    result = Truth.constant(False)
    for name in devices_acting_on(facts, device):
        for own, signal in facts.plan.devices[name].signals.items():
            if signal.role == "panel":
                result = result | facts.signal(name, own)
    return result
