"""Rules files to a rulebook: each rule checked whole, every mistake told, a wrong rule left out and no other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.rulebook import nodes
from plancheck.rulebook.assemble import Assembling, assemble
from plancheck.rulebook.change import near_rule, read_change
from plancheck.rulebook.change_cases import Change
from plancheck.rulebook.clause_nodes import ClausesNode
from plancheck.rulebook.gather_topics import gather_topics
from plancheck.rulebook.nodes_of_packs import ChangeNode, HouseNode
from plancheck.rulebook.pack_names import PackNames
from plancheck.rulebook.read import RulesFile, read_rules
from plancheck.rulebook.rule import Rule, Rulebook
from plancheck.rulebook.topics import Topic
from plancheck.rulebook.vocabulary import Vocabulary, vocabulary
from plancheck.source import Source, Span

if TYPE_CHECKING:
    from plancheck.plan.kinds import Kinds


def load_rules(
    sources: Iterable[Source],
    kinds: Kinds,
    *,
    known_right: bool = False,
    folder_of: Mapping[str, str] = MappingProxyType({}),
) -> tuple[Rulebook, list[Mistake]]:
    """The rulebook of some rules files. A rule with a mistake is not in it; the others are.

    `folder_of` names the folder of each file of an in-house pack, by the name of its source; all others are shipped,
    and stand before them. Which packs apply, and what their changes come to, is for `changed.applying` to say.

    `known_right` tells that texts kept as read were found right together: the shipped kinds and rules by the tests, a
    kept pack by an earlier run. A start need not check them again.
    """
    loader = _Loader(vocabulary(kinds), known_right, folder_of)
    files = []
    for source in sources:
        file, mistakes = read_rules(source)
        loader.mistakes += mistakes
        files.append(file)
    files = [file for file in files if loader.may_be(file)]
    loader.topics, mistakes = gather_topics(files, loader.pack_of(files))
    loader.mistakes += mistakes
    for file in files:
        loader.situations_of(file)
    for file in files:
        loader.rules_of(file)
    changes = loader.changes()
    loader.mistakes.sort(key=lambda m: m.at.order)
    book = Rulebook(
        tuple(loader.rules.values()),
        loader.packs.titles,
        loader.situations,
        loader.vocabulary,
        loader.topics,
        loader.packs.in_house,
        loader.packs.of_folder,
        changes,
    )
    return book, loader.mistakes


class _Loader:
    def __init__(self, words: Vocabulary, known_right: bool, folder_of: Mapping[str, str]) -> None:
        self.vocabulary = words
        self.known_right = known_right
        self.mistakes: list[Mistake] = []
        self.situations: dict[str, nodes.SituationNode] = {}
        self.places: dict[str, Span] = {}
        """Where each situation and rule was first declared."""
        self.packs = PackNames(folder_of, self.mistakes)
        self.rules: dict[str, Rule] = {}
        self.topics: dict[str, Topic] = {}
        self.changing: list[tuple[ChangeNode, str, RulesFile]] = []
        """Changes with the pack that wants them."""

    def wrong(self, at: Span, headline: str, found: str, expected: str, hint: str = "", *also: Span) -> None:
        self.mistakes.append(Mistake(at, headline, found, expected, hint, also))

    def may_be(self, file: RulesFile) -> bool:
        """Whether a file is of a pack that it may be of; a wrong one counts for nothing."""
        pack = _pack(file)
        return pack is None or self.packs.admit(pack, file)

    def pack_of(self, files: Iterable[RulesFile]) -> dict[str, str]:
        """The pack of each in-house file with tables of clauses, by the name of its source."""
        found = {}
        for file in files:
            folder, pack = self.packs.folder_of.get(file.source.name, ""), _pack(file)
            tables = [node for node in file.statements if isinstance(node, ClausesNode)]
            if folder and pack is None:
                for node in tables:
                    at = file.span(node.name)
                    self.wrong(at, "This table is of no pack", "it before any “pack”", "“pack NAME” above it")
            if folder and tables:
                found[file.source.name] = pack.name.text if pack else f"in {folder}"
        return found

    def situations_of(self, file: RulesFile) -> None:
        for node in file.statements:
            if not isinstance(node, nodes.SituationNode):
                continue
            name = node.name.text
            headline = f"The situation “{name}” is declared already"
            first = self.may_declare(f"situation {name}", file.span(node.name), headline)
            if first and self.roles_known(node, file):
                self.situations[name] = node

    def may_declare(self, name: str, at: Span, headline: str) -> bool:
        first = self.places.setdefault(name, at)
        if first != at:
            self.wrong(at, headline, "a second one", "a name of its own", "", first)
        return first == at

    def roles_known(self, node: nodes.SituationNode, file: RulesFile) -> bool:
        known = True
        for setting in node.settings:
            if setting.role is not None and setting.role.text not in self.vocabulary.roles:
                known = False
                role = setting.role.text
                self.wrong(
                    file.span(setting.role),
                    f"No signal plays the role “{role}”",
                    f"“{role}”",
                    ", ".join(self.vocabulary.roles),
                    did_you_mean(role, self.vocabulary.roles),
                )
        if not node.settings:
            self.wrong(file.span(node.name), "This situation sets nothing", "no line", "“ROLE on” or “ROLE off”")
        return known

    def rules_of(self, file: RulesFile) -> None:
        pack: nodes.PackNode | None = None
        for node in file.statements:
            if isinstance(node, nodes.PackNode):
                if pack is not None:
                    first = file.span(pack)
                    self.wrong(file.span(node), "A file is of one pack", "a second “pack”", "one", "", first)
                    continue
                pack = node
            elif isinstance(node, nodes.RuleNode):
                self.rule(node, pack, file)
            elif isinstance(node, ChangeNode):
                self.change(node, pack, file)
            elif isinstance(node, HouseNode):
                expected = "a pack’s rules and changes"
                self.wrong(file.span(node.company), "“house” belongs in the company's own file", "it here", expected)

    def change(self, node: ChangeNode, pack: nodes.PackNode | None, file: RulesFile) -> None:
        if pack is None:
            self.wrong(file.span(node), "This change is of no pack", "it before any “pack”", "“pack NAME” above it")
            return
        if node.pack.text == pack.name.text:
            expected = "the rule itself mended"
            self.wrong(file.span(node), "A pack changes no rule of its own", f"“{node.rule}”", expected)
            return
        at = file.span(node)
        first = self.places.setdefault(f"{pack.name.text} changes {node.rule}", at)
        if first is not at:
            self.wrong(
                at, f"The pack changes “{node.rule}” already", "a second time", "one “change” for a rule", "", first
            )
            return
        self.changing.append((node, pack.name.text, file))

    def changes(self) -> tuple[Change, ...]:
        """The changes that are right, once all rules are known. A rule that is itself wrong is told there."""
        found = []
        for node, pack, file in self.changing:
            rule = self.rules.get(node.rule)
            if rule is not None:
                work = Assembling(file, self.vocabulary, self.situations, self.topics, rule.id, pack)
                change = read_change(node, rule, work)
                self.mistakes += work.mistakes
                found += [change] if change else []
            elif node.rule not in self.places:
                near = near_rule(node.rule, self.rules)
                hint = f"Did you mean “{near}”?" if near else ""
                self.wrong(file.span(node), f"There is no rule “{node.rule}”", f"“{node.rule}”", "PACK/RULE", hint)
        return tuple(found)

    def rule(self, node: nodes.RuleNode, pack: nodes.PackNode | None, file: RulesFile) -> None:
        at = file.span(node.name)
        if pack is None:
            self.wrong(at, "This rule is of no pack", "a rule before any “pack”", "“pack NAME” above it")
            return
        rule_id = f"{pack.name.text}/{node.name.text}"
        if not self.may_declare(rule_id, at, f"There is a rule “{rule_id}” already"):
            return
        known_right = self.known_right and file.kept
        work = Assembling(file, self.vocabulary, self.situations, self.topics, rule_id, pack.name.text, known_right)
        rule = assemble(node, work)
        self.mistakes += work.mistakes
        if rule is not None:
            self.rules[rule_id] = rule


def _pack(file: RulesFile) -> nodes.PackNode | None:
    """The pack that a file says it is of."""
    return next((node for node in file.statements if isinstance(node, nodes.PackNode)), None)
