"""The tables of clauses of all rules files put together: packs may add editions, and never change what is given.

Which doors may claim its clauses, the first pack that gives a table says, and no other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.plan.edition import WRITTEN_LIKE, Edition, read_edition
from plancheck.rulebook.clause_nodes import ClauseRow, ClausesNode
from plancheck.rulebook.topics import Clause, Topic
from plancheck.rulebook.wording import clipped

if TYPE_CHECKING:
    from plancheck.rulebook.read import RulesFile

MOST_CLAUSES = 200
"""Clauses of one topic: the editions of all codes that anybody still builds by are fewer."""
GRADES = ("published", "from memory", "common practice")


def gather_topics(files: Iterable[RulesFile], pack_of: Mapping[str, str]) -> tuple[dict[str, Topic], list[Mistake]]:
    """Topics by name, with what is wrong about their tables. `pack_of` names the pack of each in-house file."""
    gathering = _Gathering(pack_of)
    for file in files:
        for node in file.statements:
            if isinstance(node, ClausesNode):
                gathering.table(node, file)
    return gathering.topics, gathering.mistakes


class _Gathering:
    def __init__(self, pack_of: Mapping[str, str]) -> None:
        self.pack_of = pack_of
        self.topics: dict[str, Topic] = {}
        self.mistakes: list[Mistake] = []
        self.full: set[str] = set()
        """Topics of which it was told that they have too many clauses."""

    def wrong(self, file: RulesFile, node: Any, headline: str, found: str, expected: str, hint: str = "") -> None:
        self.mistakes.append(Mistake(file.span(node), clipped(headline), clipped(found), expected, hint))

    def table(self, node: ClausesNode, file: RulesFile) -> None:
        title = node.title.text if node.title else node.name.text.replace("-", " ")
        pack = self.pack_of.get(file.source.name, "")
        first = Topic(node.name.text, title, file.span(node.name), pack=pack)
        topic = self.topics.setdefault(node.name.text, first)
        self.classes(node, topic, pack, file)
        if not node.rows:
            self.wrong(
                file, node.name, "This table holds no clause", "no line", 'lines such as: "IBC 2018" "1010.1.9.9"'
            )
        for row in node.rows:
            self.row(row, topic, file)

    def classes(self, node: ClausesNode, topic: Topic, pack: str, file: RulesFile) -> None:
        """A pack that says who may claim the clauses of another's table could excuse any door."""
        given = tuple(words.text for words in node.classes)
        if pack == topic.pack:
            topic.classes = tuple(dict.fromkeys((*topic.classes, *given)))
            return
        for words in node.classes:
            if words.text not in topic.classes:
                headline = f"Who may claim a clause on {topic.short} is said by another pack"
                expected = ", ".join(topic.classes) or "no “for”: any door may claim it"
                hint = "Leave “for” out, or give a table of another name."
                self.wrong(file, words, headline, f"“{words.text}”", expected, hint)

    def row(self, row: ClauseRow, topic: Topic, file: RulesFile) -> None:
        if len(topic.clauses) >= MOST_CLAUSES:
            if topic.name not in self.full:
                self.full.add(topic.name)
                found, expected = f"more than {MOST_CLAUSES}", f"at most {MOST_CLAUSES} clauses on one topic"
                self.wrong(file, row, "This table of clauses is too long", found, expected)
            return
        edition, grade = read_edition(row.edition.text), row.grade.text if row.grade else ""
        pack = self.pack_of.get(file.source.name, "")
        if edition is None:
            found = f"“{row.edition.text}”"
            self.wrong(
                file, row.edition, "An edition names a code and its year", found, f"a text such as {WRITTEN_LIKE}"
            )
        elif grade and grade not in GRADES:
            hint = did_you_mean(grade, GRADES)
            self.wrong(file, row.grade, "This is no grade of a source", f"“{grade}”", ", ".join(GRADES), hint)
        elif other := next((c for c in topic.clauses if _same(c, edition, pack)), None):
            headline = f"The clause on {topic.short} of {edition.text} is given already"
            at, found = file.span(row), f"“{row.clause.text}”"
            self.mistakes.append(
                Mistake(at, clipped(headline), clipped(found), f"one: it is {other.text}", "", (other.at,))
            )
        else:
            topic.clauses.append(Clause(edition, row.clause.text, grade, file.span(row), pack))


def _same(given: Clause, edition: Edition, pack: str) -> bool:
    """Whether a clause is of that edition; a pack gives no edition of another's once more by other words."""
    alike = given.edition.same_code(edition) and given.edition.year == edition.year
    return given.edition.text == edition.text or (alike and given.pack != pack)
