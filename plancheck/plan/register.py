"""Who is on the plan: devices by name, and what to say of a name that is not there."""

from __future__ import annotations

from collections.abc import Mapping

from plancheck.nearest import did_you_mean
from plancheck.plan.mistakes import Mistakes, listed
from plancheck.plan.model import Device
from plancheck.plan.scope import TOP, Scope
from plancheck.source import Span


class Register:
    """The devices of a plan, doors, gates and cables among them."""

    def __init__(self, mistakes: Mistakes, doubtful: set[str]) -> None:
        self.mistakes = mistakes
        self.by_name: dict[str, Device] = {}
        self.doubtful = doubtful
        """Names whose declaration could not be read: no mistake is told of those who speak of them."""
        self.partial: set[str] = set()
        """Devices whose own declaration has mistakes: they may lack terminals and signals."""

    def find(self, name: str, at: Span, scope: Scope = TOP) -> Device | None:
        """The device of that name; a mistake where there is none."""
        device = self.by_name.get(name)
        if device is None and not self.is_doubtful(name):
            expected = "the name of a device of this plan"
            hint = self.mistakes.hint(name, self.mistakes.known("device", self.by_name))
            self.mistakes.add(at, f"“{name}” is not declared", f"“{name}”", expected, hint, scope.placed_at)
        return device

    def is_doubtful(self, name: str) -> bool:
        """Whether something unread may have declared it: the name, or the place it is named after."""
        return name in self.doubtful or any(name[:i] in self.doubtful for i, mark in enumerate(name) if mark == "/")

    def is_lock(self, device: Device, at: Span) -> bool:
        """Whether the kind of a device is a lock; a mistake where it is not: nothing asked of locks would be asked."""
        if device.base == "lock":
            return True
        locks = self.mistakes.known("lock", self.of_base("lock"))
        expected = f"a lock of this plan: {listed(locks)}" if locks else "a lock; this plan declares none"
        self.mistakes.add(at, f"“{device.name}” is no lock", f"“{device.name}”, a {device.kind}", expected)
        return False

    def of_base(self, base: str) -> list[str]:
        """Names of the devices of a base class."""
        return [name for name, device in self.by_name.items() if device.base == base]

    def has_terminal(self, device: Device, terminal: str, at: Span) -> bool:
        """Whether the device has the terminal; a mistake where it has not."""
        if terminal in device.terminals:
            return True
        self.lacks(device, "terminal", terminal, device.terminals, at)
        return False

    def lacks(self, device: Device, what: str, name: str, names: Mapping[str, object], at: Span) -> None:
        """Tells that a device has no such terminal or signal."""
        if device.name in self.partial:
            return
        expected = f"one of {listed(names)}" if names else f"none: it has no {what}"
        headline = f"“{device.name}” has no {what} “{name}”"
        self.mistakes.add(at, headline, f"“{device.name}:{name}”", expected, did_you_mean(name, names))
