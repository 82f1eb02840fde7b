"""The company's own file: `house "Company" { packs "house", "site"; adopt "house" }`, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.finding import Mistake
from plancheck.rulebook.nodes_of_packs import HouseNode
from plancheck.rulebook.read import read_rules
from plancheck.source import Source, Span

MOST_PACKS = 50
"""Folders that one company's file may name, and as many to adopt."""

_EXAMPLE = 'house "Company" { packs "house"; adopt "house" }'


@dataclass(frozen=True, slots=True)
class House:
    """What a company's file says. Places stand beside the names, for what cannot be had."""

    source: Source
    company: str = ""
    folders: tuple[tuple[str, Span], ...] = ()
    """Folders of packs, as seen from the folder of the file."""
    adopts: tuple[tuple[str, Span], ...] = ()
    """Names of the packs that apply to every plan."""


def read_house(source: Source) -> tuple[House, list[Mistake]]:
    """What a company's file says, with all that is wrong with it."""
    file, mistakes = read_rules(source)
    houses = [node for node in file.statements if isinstance(node, HouseNode)]
    for node in file.statements:
        if not isinstance(node, HouseNode):
            hint = "Rules and changes stand in the .rules files of a pack."
            mistakes.append(Mistake(file.span(node), "Only “house” stands in a company's own file", "", _EXAMPLE, hint))
    for extra in houses[1:]:
        also = (file.span(houses[0].company),)
        mistakes.append(Mistake(file.span(extra.company), "“house” stands twice", "a second one", "one", "", also))
    if not houses:
        if not mistakes:
            mistakes.append(Mistake(Span(source, 0, 0), "This file names no company", "no “house”", _EXAMPLE))
        return House(source), mistakes
    return _house(houses[0], source, mistakes), mistakes


def _house(node: HouseNode, source: Source, mistakes: list[Mistake]) -> House:
    said: dict[str, dict[str, Span]] = {"packs": {}, "adopt": {}}
    names = [(part.keyword, text) for part in node.parts for text in part.names]
    if len(names) > 2 * MOST_PACKS:
        at = Span(source, node.start, node.end)
        mistakes.append(Mistake(at, "This company has too many packs", f"{len(names)} names", f"at most {MOST_PACKS}"))
    for keyword, text in names[: 2 * MOST_PACKS]:
        at = Span(source, text.start, text.end)
        first = said[keyword].setdefault(text.text, at)
        if first is not at:
            mistakes.append(Mistake(at, f"“{text.text}” is named twice", "a second time", "once", "", (first,)))
    return House(source, node.company.text, tuple(said["packs"].items()), tuple(said["adopt"].items()))
