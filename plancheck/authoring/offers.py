"""The things of a plan and of the language that can be offered, each as a proposal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from plancheck.authoring.ahead import Next
from plancheck.authoring.hover_words import LANGUAGE, written
from plancheck.authoring.lexed import Token
from plancheck.authoring.names import Names
from plancheck.authoring.proposal import Proposal, ProposalSort
from plancheck.authoring.sites import Sort
from plancheck.authoring.view import View
from plancheck.authoring.writing import Writing
from plancheck.plan.conductor import colours_of
from plancheck.plan.model import Device
from plancheck.plan.pattern import Pattern, Slot
from plancheck.source import Span
from plancheck.syntax import nodes
from plancheck.units import GAUGE, UNITS

IN_TYPICALS = ("wire", "place", "variance")
"""Words that begin a statement of a typical, besides kinds."""
LIKELY, USUAL, LATER = range(3)


class Offers:
    """Makes proposals for one place of the text."""

    def __init__(self, view: View, names: Names, at: Span, writing: Writing) -> None:
        self.view, self.names, self.at, self.writing = view, names, at, writing
        head = writing.heads[0] if writing.heads else []
        self.within = head[1].text if len(head) > 1 and head[0].text == "typical" else ""

    def offer(self, text: str, sort: ProposalSort, detail: str = "", about: str = "", rank: int = USUAL) -> Proposal:
        """One proposal, in the place of what has been begun."""
        return Proposal(self.at, text, sort, detail, about, rank)

    # --- words -------------------------------------------------------------------------------------------------

    def words(self, *words: str) -> Iterator[Proposal]:
        """Words of the language."""
        yield from (self.offer(word, ProposalSort.KEYWORD) for word in words)

    def beginnings(self, within_typical: bool) -> Iterator[Proposal]:
        """What a statement may begin with."""
        for word in IN_TYPICALS if within_typical else LANGUAGE:
            yield self.offer(word, ProposalSort.KEYWORD, LANGUAGE[word])
        yield from self.kinds()
        yield from self.house_devices()

    def kinds(self) -> Iterator[Proposal]:
        """Every kind that a device may be of."""
        for kind in self.names.kinds.by_name.values():
            if kind.base != "wire":
                yield self.offer(kind.name, ProposalSort.KIND, kind.says)

    def house_devices(self) -> Iterator[Proposal]:
        """Devices of the house, in quotes."""
        for name, kind in self.names.house.items():
            yield self.offer(f'"{name}"', ProposalSort.HOUSE_DEVICE, kind)

    def typicals(self) -> Iterator[Proposal]:
        """Typicals that can be placed."""
        for thing in self.names.declared:
            if thing.sort is Sort.TYPICAL:
                yield self.offer(thing.name, ProposalSort.TYPICAL)

    def parameters(self, typical: str, said: set[str]) -> Iterator[Proposal]:
        """What a typical takes, and has not been given yet."""
        for thing in self.names.declared:
            if thing.sort is Sort.PARAMETER and thing.within == typical and thing.name not in said:
                yield self.offer(thing.name, ProposalSort.PARAMETER)

    def rules(self) -> Iterator[Proposal]:
        """Rules for which a variance may be claimed, those that found something here first."""
        found = {finding.rule for finding in self.view.findings}
        for rule in self.view.rulebook.rules:
            rank = LIKELY if rule.id in found else LATER
            yield self.offer(rule.id, ProposalSort.RULE, rule.title, rank=rank)

    def packs(self) -> Iterator[Proposal]:
        """Packs of the company that are at hand."""
        for name in sorted(self.view.rulebook.in_house):
            yield self.offer(f'"{name}"', ProposalSort.WORD, self.view.rulebook.packs.get(name, ""))

    def attributes(
        self, patterns: Mapping[str, tuple[Pattern, ...]], needs: Iterable[str], said: set[str]
    ) -> Iterator[Proposal]:
        """First words of what may be said and has not been, what must be said first."""
        for lead, ways in patterns.items():
            if lead not in said or any(way.many for way in ways):
                detail = " or ".join(written(way.parts) for way in ways)
                yield self.offer(lead, ProposalSort.ATTRIBUTE, detail, rank=LIKELY if lead in needs else USUAL)

    # --- things of the plan ------------------------------------------------------------------------------------

    def devices(self, only_locks: bool = False, colon: bool = False) -> Iterator[Proposal]:
        """Devices that can be spoken of here: those of the typical around it, and those of the plan."""
        for name, kind, base in self._known():
            if (only_locks and base != "lock") or (colon and base in ("door", "gate", "cable")):
                continue
            yield self.offer(f"{name}:" if colon else name, ProposalSort.DEVICE, kind)
        for thing in self.names.declared:
            if self.within and thing.sort is Sort.PARAMETER and thing.within == self.within:
                yield self.offer(f"{thing.name}:" if colon else thing.name, ProposalSort.PARAMETER, rank=LIKELY)

    def behind_colon(self, begun: Token) -> Iterator[Proposal]:
        """Terminals and channels of the device before the colon, those without a wire first."""
        name = begun.text.partition(":")[0]
        device, facts = self.view.worked.device(name), self.view.worked.facts(name)
        if device is None or facts is None or self.within:
            device = self._like(name)
        if device is None:
            return
        for terminal in device.terminals:
            wired = facts is not None and facts.wired(name, terminal)
            rank = LATER if wired else LIKELY if device.terminals[terminal] else USUAL
            yield self.offer(f"{name}:{terminal}", ProposalSort.TERMINAL, "wired" if wired else "", rank=rank)
        for signal in device.signals.values():
            key = signal.key.removeprefix(f"{device.name}.")
            if signal.device and key not in device.terminals:
                yield self.offer(f"{name}:{key}", ProposalSort.TERMINAL, signal.says, rank=LATER)

    def conductors(self) -> Iterator[Proposal]:
        """Conductors of cables in which no wire is drawn."""
        used = {s.node.conductor.text for s in self.view.whole if isinstance(s.node, nodes.Wire) and s.node.conductor}
        others = sorted({text.rpartition("/")[2] for text in used})
        for name, kind, base in self._known():
            device = self.view.worked.device(name)
            if base != "cable":
                continue
            colours = (colours_of(device) if device else []) or others
            for colour in colours:
                if f"{name}/{colour}" not in used:
                    yield self.offer(f"{name}/{colour}", ProposalSort.CONDUCTOR, kind)

    def _known(self) -> Iterator[tuple[str, str, str]]:
        """Name, kind and base of each device that can be named here."""
        seen: set[str] = set()
        for thing, found in self.names.declared.items():
            if thing.sort is Sort.DEVICE and thing.within in ("", self.within) and found[0].site.declared:
                kind = self.names.kind_by_device.get(thing, "")
                known = self.names.kinds.get(kind)
                seen.add(thing.name)
                yield thing.name, kind, known.base if known else ""
        for device in self.view.worked:
            placed = "/" in device.name and device.name.partition("/")[0] in seen
            if placed and device.name not in seen and not self.within:
                yield device.name, device.kind, device.base

    def _like(self, name: str) -> Device | None:
        """A device as it was placed somewhere: one of the typical that is being written."""
        return next((device for device in self.view.worked if device.name.endswith(f"/{name}")), None)

    # --- values ------------------------------------------------------------------------------------------------

    def next(self, nexts: Iterable[Next]) -> Iterator[Proposal]:
        """What may stand next in an attribute."""
        for each in nexts:
            if each.word:
                yield self.offer(each.word, ProposalSort.WORD, rank=LIKELY)
            elif each.slot is not None and each.unit:
                yield from self._units(each.slot)
            elif each.slot is not None:
                yield from self._value(each.slot)

    def any_unit(self) -> Iterator[Proposal]:
        """Units of every dimension: a typical does not say what its parameters are."""
        yield from (self.offer(symbol, ProposalSort.UNIT, unit.dimension) for symbol, unit in UNITS.items())
        yield self.offer(GAUGE, ProposalSort.UNIT, "area")

    def _units(self, slot: Slot) -> Iterator[Proposal]:
        usual = slot.example.partition(" ")[2]
        for unit in UNITS.values():
            if unit.dimension == slot.type:
                yield self.offer(unit.symbol, ProposalSort.UNIT, rank=LIKELY if unit.symbol == usual else USUAL)
        if slot.type == "area":
            yield self.offer(GAUGE, ProposalSort.UNIT, rank=LIKELY)

    def _value(self, slot: Slot) -> Iterator[Proposal]:
        if slot.type in ("device", "lock"):
            yield from self.devices(only_locks=slot.type == "lock")
        elif slot.type in ("terminal", "signal"):
            yield from self.devices(colon=True)
