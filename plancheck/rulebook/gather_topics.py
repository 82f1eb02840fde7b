"""The tables of clauses of all rules files put together: packs may add editions, and never change what is given."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.plan.edition import WRITTEN_LIKE, read_edition
from plancheck.rulebook.clause_nodes import ClauseRow, ClausesNode
from plancheck.rulebook.topics import Clause, Topic
from plancheck.rulebook.wording import clipped

if TYPE_CHECKING:
    from plancheck.rulebook.read import RulesFile

MOST_CLAUSES = 200
"""Clauses of one topic: the editions of all codes that anybody still builds by are fewer."""
GRADES = ("published", "from memory", "common practice")


def gather_topics(files: Iterable[RulesFile]) -> tuple[dict[str, Topic], list[Mistake]]:
    """Topics by name, with what is wrong about their tables."""
    gathering = _Gathering()
    for file in files:
        for node in file.statements:
            if isinstance(node, ClausesNode):
                gathering.table(node, file)
    return gathering.topics, gathering.mistakes


class _Gathering:
    def __init__(self) -> None:
        self.topics: dict[str, Topic] = {}
        self.mistakes: list[Mistake] = []
        self.full: set[str] = set()
        """Topics of which it was told that they have too many clauses."""

    def wrong(self, file: RulesFile, node: Any, headline: str, found: str, expected: str, hint: str = "") -> None:
        self.mistakes.append(Mistake(file.span(node), clipped(headline), clipped(found), expected, hint))

    def table(self, node: ClausesNode, file: RulesFile) -> None:
        title = node.title.text if node.title else node.name.text.replace("-", " ")
        topic = self.topics.setdefault(node.name.text, Topic(node.name.text, title, file.span(node.name)))
        topic.classes = tuple(dict.fromkeys((*topic.classes, *(words.text for words in node.classes))))
        if not node.rows:
            self.wrong(
                file, node.name, "This table holds no clause", "no line", 'lines such as: "IBC 2018" "1010.1.9.9"'
            )
        for row in node.rows:
            self.row(row, topic, file)

    def row(self, row: ClauseRow, topic: Topic, file: RulesFile) -> None:
        if len(topic.clauses) >= MOST_CLAUSES:
            if topic.name not in self.full:
                self.full.add(topic.name)
                found, expected = f"more than {MOST_CLAUSES}", f"at most {MOST_CLAUSES} clauses on one topic"
                self.wrong(file, row, "This table of clauses is too long", found, expected)
            return
        edition, grade = read_edition(row.edition.text), row.grade.text if row.grade else ""
        if edition is None:
            found = f"“{row.edition.text}”"
            self.wrong(
                file, row.edition, "An edition names a code and its year", found, f"a text such as {WRITTEN_LIKE}"
            )
        elif grade and grade not in GRADES:
            hint = did_you_mean(grade, GRADES)
            self.wrong(file, row.grade, "This is no grade of a source", f"“{grade}”", ", ".join(GRADES), hint)
        elif other := next((c for c in topic.clauses if c.edition.text == edition.text), None):
            headline = f"The clause on {topic.short} of {edition.text} is given already"
            at, found = file.span(row), f"“{row.clause.text}”"
            self.mistakes.append(
                Mistake(at, clipped(headline), clipped(found), f"one: it is {other.text}", "", (other.at,))
            )
        else:
            topic.clauses.append(Clause(edition, row.clause.text, grade, file.span(row)))
