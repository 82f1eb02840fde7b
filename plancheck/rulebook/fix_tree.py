"""How reductions of what a rule proposes become nodes; the builder of the whole grammar inherits these."""

from __future__ import annotations

from typing import Any

from plancheck.rulebook import fix_nodes as nodes


class FixBuilder:
    """One method for each rule of the grammar that speaks of fixes."""

    def fix(self, children: list[Any]) -> nodes.FixMember:
        title, domain, where, *steps = children
        return nodes.FixMember(title, domain or (), where, tuple(steps), title.start, steps[-1].end)

    def fix_for(self, children: list[Any]) -> Any:
        return children[0]

    def add_step(self, children: list[Any]) -> nodes.AddStep:
        kind, entries, across, towards = children
        return nodes.AddStep(kind, entries, across, towards, kind.start, (towards or across).end)

    def towards_plus(self, children: list[Any]) -> Any:
        return children[0]

    def exchange_step(self, children: list[Any]) -> nodes.ExchangeStep:
        return nodes.ExchangeStep(children[0], children[0].start, children[0].end)

    def move_step(self, children: list[Any]) -> nodes.MoveStep:
        return nodes.MoveStep(children[0], children[0].start, children[0].end)

    def write_step(self, children: list[Any]) -> nodes.WriteStep:
        entry, path = children
        return nodes.WriteStep(entry, path, entry.start, path.end)

    def take_out_step(self, children: list[Any]) -> nodes.TakeOutStep:
        return nodes.TakeOutStep(children[0], children[0].start, children[0].end)

    def thicken_step(self, children: list[Any]) -> nodes.ThickenStep:
        path, measure = children
        how, amount = measure or ("", None)
        return nodes.ThickenStep(path, how, amount, path.start, (amount or path).end)

    def share(self, children: list[Any]) -> tuple[str, Any]:
        return "by", children[0]

    def load(self, children: list[Any]) -> tuple[str, Any]:
        return "for", children[0]
