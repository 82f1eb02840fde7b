"""Devices as boxes: their terminals in an order that suits their symbols, and what is said of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from plancheck.plan.graph import Branch, ConnectionGraph
from plancheck.plan.model import Device
from plancheck.render.columns import shown
from plancheck.render.drawing.shapes import Box, Port, Symbol
from plancheck.render.drawing.symbols import sign_of


def device_box(graph: ConnectionGraph, device: Device, wired: Collection[str], reference: str = "") -> Box:
    """A device with its terminals and symbols.

    `wired` are the terminals that wires of this sheet reach. With a `reference` to another sheet only these are
    shown; else all of them.
    """
    parts = graph.by_device.get(device.name, [])
    names = [f"{device.name}:{terminal}" for terminal in device.terminals]
    here = [name for name in names if name in wired] if reference else _arranged(names, parts)
    ports = tuple(Port(key, key.partition(":")[2], key in wired) for key in here)
    symbols = () if reference else tuple(Symbol(b.key, sign_of(b), b.a, b.b, b.name) for b in _once(parts))
    foot = not reference and (device.base == "lock" or any(b.what == "sense" for b in parts))
    feeds = any(b.what == "source" for b in parts)
    return Box(device.name, device.name, _under(device), ports, symbols, reference, foot, feeds, bool(reference))


def _under(device: Device) -> str:
    kind = device.kind.replace("-", " ")
    return shown(f"{kind} · {device.title}" if device.title else kind)


def _arranged(names: list[str], parts: Iterable[Branch]) -> list[str]:
    """Terminals in the order of the kind, the common one of two contacts between their other sides."""
    between: dict[str, list[str]] = {}
    for branch in parts:
        if branch.what == "contact":
            between.setdefault(branch.a, []).append(branch.b)
    commons = {common: ends for common, ends in between.items() if len(set(ends)) == 2 and not set(ends) & set(between)}
    order: list[str] = []
    led = {end for ends in commons.values() for end in ends}
    for name in names:
        if name in commons:
            first, second = dict.fromkeys(commons[name])
            order += [first, name, second]
        elif name not in led:
            order.append(name)
    return list(dict.fromkeys([*order, *names]))


def _once(parts: Iterable[Branch]) -> Iterable[Branch]:
    """Each part, but of several between the same terminals that are of one sort only the first: a reserve's too."""
    seen = set()
    for branch in parts:
        place = branch.what, frozenset((branch.a, branch.b))
        if branch.what != "source" or place not in seen:
            seen.add(place)
            yield branch
