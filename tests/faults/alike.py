"""What is alike: doors drawn alike, and wirings that do the same."""

from __future__ import annotations

from plancheck.plan.model import Device, Primitive
from tests.faults.behind import fed
from tests.faults.draft import Draft, device_of
from tests.faults.standing import Standing


def one_of_each(draft: Draft) -> Draft:
    """The draft with one door of those that a typical drew alike: a mistake at the others is the same mistake."""
    known: dict[tuple[str, ...], str] = {}
    dropped: set[str] = set()
    for name in [part.name for part in draft.parts if "/" not in part.name]:
        own = [part for part in draft.parts if part.name == name or part.name.startswith(f"{name}/")]
        if len(own) > 1:
            drawn = tuple(part.text().replace(name, "") for part in own)
            if known.setdefault(drawn, name) != name:
                dropped |= {part.name for part in own}
    for name in sorted(dropped):
        draft = draft.without_part(name)
    return draft


def does_the_same(before: Standing, after: Standing) -> bool:
    """Whether every load has the same contacts in its feed, and what minds its polarity keeps it; so with dry inputs.

    Contacts may have changed sides, from plus to minus: on a supply whose minus is not earthed that is the same.
    """
    was, now = fed(before), fed(after)
    if was.keys() != now.keys():
        return False
    return all(_fed_alike(before, after, *pair) for pair in was.values()) and _tied(before) == _tied(after)


def _fed_alike(before: Standing, after: Standing, device: Device, load: Primitive) -> bool:
    plus, minus = f"{device.name}:{load.a}", f"{device.name}:{load.b}"
    minds = load.style != "coil" or load.data.get("polarised")
    poles = [_pole(plan, plus) for plan in (before, after)], [_pole(plan, minus) for plan in (before, after)]
    same = poles[0][0] == poles[0][1] and poles[1][0] == poles[1][1]
    turned = poles[0][0] == poles[1][1] and poles[1][0] == poles[0][1]
    return (same or (turned and not minds)) and _passed(before, plus, minus) == _passed(after, plus, minus)


def _pole(plan: Standing, terminal: str) -> str:
    """The source's terminal that a way leads to."""
    way = plan.way(terminal)
    ends = [f"{way[0][0].name}:{way[0][1].a}", f"{way[0][0].name}:{way[0][1].b}"] if way else [terminal]
    poles = (pole for _, plus, minus in plan.sources for pole in (plus, minus))
    return next((pole for pole in poles if any(plan.joined(end, pole) for end in ends)), "")


def _passed(plan: Standing, *terminals: str) -> list[tuple[str, str]]:
    ways = (step for terminal in terminals for step in plan.way(terminal))
    return sorted((device.name, str(part.guard)) for device, part in ways if part.what == "contact")


def _tied(plan: Standing) -> set[tuple[str, frozenset[str]]]:
    """For each dry input and each diode what hangs on the nets of its two terminals."""
    found = set()
    for device in plan.plan.devices.values():
        for part in device.primitives:
            if part.what in ("sense", "one-way"):
                for end in (part.a, part.b):
                    net = plan.net(f"{device.name}:{end}")
                    hanging = {device_of(t) for t, root in plan.nets.items() if root == net}
                    found.add((f"{device.name}:{end}", frozenset(hanging)))
    return found
