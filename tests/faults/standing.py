"""What a draft comes to: its resolved plan, which terminals metal joins, and the contacts in a lock's feed.

Worked out here and not by the program under test, which is only asked to resolve names: where a fault makes sense, and
whether it is one, must not hang on the rules that are to find it.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property

from plancheck.library.load import load_library
from plancheck.plan.model import Device, Plan, Primitive
from plancheck.plan.resolve import resolve
from plancheck.source import Source
from plancheck.units import Quantity
from tests.faults.draft import Draft

OWING = ("hardware release", "sensor release", "delayed", "controlled", "elevator lobby")
"""Classes of a door that power may hold shut against people."""
OWING_ALARM = OWING[1:]
"""Those of them that owe release on fire alarm."""
COMMANDED = ("radio-receiver", "reader", "keypad", "push-button")
"""Kinds whose contact follows a credential, a remote or a request."""

library = cache(lambda: load_library([]))


@dataclass(frozen=True)
class Contact:
    """A contact in a feed: its device, the terminal it shares with its twin, and the one of the two that is used."""

    device: Device
    common: str
    throw: str

    @property
    def ends(self) -> tuple[str, str]:
        """Both as `device:terminal`, common first."""
        return f"{self.device.name}:{self.common}", f"{self.device.name}:{self.throw}"

    @property
    def twin(self) -> str:
        """The changeover's other terminal, as `device:terminal`."""
        other = self.throw.replace("NO", "NC") if "NO" in self.throw else self.throw.replace("NC", "NO")
        return f"{self.device.name}:{other}"


class Standing:
    """A draft, and what stands where in it."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft

    @cached_property
    def plan(self) -> Plan:
        """The resolved plan; a draft that cannot be read is a mistake of these tests."""
        plan, mistakes = resolve(Source(self.draft.name, self.draft.text()), library().kinds, lambda wanted, by: "no")
        assert mistakes == [], (mistakes[0], mistakes[0].at.text)
        return plan

    # --- things ------------------------------------------------------------------------------------------

    def of_kind(self, *kinds: str) -> list[Device]:
        """Devices of these kinds."""
        return [d for d in self.plan.devices.values() if d.kind in kinds]

    def named(self, door: Device, slot: str) -> list[Device]:
        """The devices that a door or gate names in a slot."""
        names = door.get(slot) or ()
        return [self.plan.devices[name] for name in ((names,) if isinstance(names, str) else names)]  # type: ignore[misc]

    def doors(self, *classes: str) -> Iterator[tuple[Device, Device]]:
        """Each lock of each door of these egress classes, door first."""
        for door in self.plan.with_base("door"):
            if not classes or door.get("egress") in classes:
                for lock in self.named(door, "locks"):
                    yield door, lock

    def door_of(self, device: str) -> str:
        """The door that names a device, or nothing."""
        for door in self.plan.with_base("door"):
            for value in door.values.values():
                if value == device or (isinstance(value, tuple) and device in value):
                    return door.name
        return ""

    def loads(self) -> Iterator[tuple[Device, Primitive]]:
        """Every load with the device it is of."""
        for device in self.plan.devices.values():
            for part in device.primitives:
                if part.what == "load":
                    yield device, part

    # --- what metal joins --------------------------------------------------------------------------------

    @cached_property
    def nets(self) -> dict[str, str]:
        """For each wired terminal the one that stands for all that wire and links join to it."""
        parent: dict[str, str] = {}

        def root(key: str) -> str:
            parent.setdefault(key, key)
            while parent[key] != key:
                key = parent[key]
            return key

        for run in self.draft.runs:
            for end in run.ends[1:]:
                parent[root(end)] = root(run.ends[0])
        for device in self.plan.devices.values():
            for part in device.primitives:
                if part.what == "link":
                    parent[root(f"{device.name}:{part.a}")] = root(f"{device.name}:{part.b}")
        return {key: root(key) for key in parent}

    def net(self, terminal: str) -> str:
        """What stands for all that metal joins to a terminal."""
        return self.nets.get(terminal, terminal)

    def joined(self, a: str, b: str) -> bool:
        """Whether wire and links alone join two terminals."""
        return self.net(a) == self.net(b)

    @cached_property
    def _ways(self) -> dict[str, list[tuple[str, Device, Primitive]]]:
        """For each net the contacts and protectors that lead on from it, and where to."""
        ways: dict[str, list[tuple[str, Device, Primitive]]] = defaultdict(list)
        for device in self.plan.devices.values():
            for part in device.primitives:
                a, b = f"{device.name}:{part.a}", f"{device.name}:{part.b}"
                if part.what in ("contact", "protector") and (a in self.nets or b in self.nets):
                    ways[self.net(a)].append((self.net(b), device, part))
                    ways[self.net(b)].append((self.net(a), device, part))
        return ways

    @cached_property
    def sources(self) -> list[tuple[Device, str, str]]:
        """Each supply, with the terminals of its plus and minus, plus first."""
        return [
            (d, f"{d.name}:{p.a}", f"{d.name}:{p.b}")
            for d in self.plan.devices.values()
            for p in d.primitives
            if p.what == "source" and p.name != "reserve-source"
        ]

    def way(self, terminal: str) -> list[tuple[Device, Primitive]]:
        """Contacts and protectors from a source's pole to a terminal, the source's end first; empty if none leads."""
        poles = {self.net(pole) for _, plus, minus in self.sources for pole in (plus, minus)}
        start = self.net(terminal)
        came: dict[str, tuple[str, Device, Primitive] | None] = {start: None}
        waiting = deque([start])
        while waiting:
            net = waiting.popleft()
            if net in poles:
                found = []
                while (step := came[net]) is not None:
                    net = step[0]
                    found.append(step[1:])
                return found
            for other, device, part in self._ways[net]:
                if other not in came:
                    came[other] = (net, device, part)
                    waiting.append(other)
        return []

    def source_of(self, terminal: str) -> tuple[Device, str, str] | None:
        """The supply at whose pole the way to a terminal begins."""
        way = self.way(terminal)
        ends = [f"{way[0][0].name}:{way[0][1].a}", f"{way[0][0].name}:{way[0][1].b}"] if way else [terminal]
        for device, plus, minus in self.sources:
            if any(self.joined(end, pole) for end in ends for pole in (plus, minus)):
                return device, plus, minus
        return None

    def feed(self, lock: Device) -> list[Contact]:
        """The contacts between source and lock, in its plus and in its minus, the source's end first."""
        contacts = []
        for terminal in (f"{lock.name}:+", f"{lock.name}:-"):
            for device, part in self.way(terminal):
                if part.what == "contact":
                    contacts.append(Contact(device, part.a, part.b))
        return contacts


def amount(value: object) -> float:
    """The SI value of a quantity that the plan gives; 0 where it gives none."""
    return value.value if isinstance(value, Quantity) else 0.0
