"""`use`: the statements of a plan with those of the files that it uses, in order.

Pure: whoever calls says how a file is had, and whether it stands where it may (`Include`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from plancheck.plan.mistakes import Mistakes
from plancheck.source import Source, Span
from plancheck.syntax import nodes, read_statements
from plancheck.syntax.nodes import Statement, Text

DEEPEST_USE = 16
MOST_FILES = 200
LONGEST_FILE = 4_000_000
"""Characters in a used file."""

Include = Callable[[str, Source], Source | str]
"""Given what stands behind `use` and the text that says it: the text used, or the reason why it cannot be had."""


class Gathering:
    """Statements of a plan and of what it uses; each file is read once, however often it is used."""

    def __init__(self, include: Include, mistakes: Mistakes) -> None:
        self.include = include
        self.mistakes = mistakes
        self.read: set[str] = set()

    def once(self, source: Source) -> Iterator[Statement]:
        """Those of a text unless it was used by one before it."""
        if source.name not in self.read:
            yield from self.statements(source)

    def statements(self, source: Source, using: tuple[str, ...] = ()) -> Iterator[Statement]:
        """Those of a text, with the ones it uses where it uses them."""
        self.read.add(source.name)
        statements, wrong = read_statements(source)
        for mistake in wrong:
            self.mistakes.add(
                mistake.at, mistake.headline, mistake.found, mistake.expected, mistake.hint, mistake.also_at
            )
        for statement in statements:
            node = statement.node
            if isinstance(node, nodes.Header) and node.keyword.text == "use":
                yield from self._used(statement, node, (*using, source.name))
            yield statement

    def _used(self, statement: Statement, node: nodes.Header, using: tuple[str, ...]) -> Iterator[Statement]:
        match node.items:
            case [Text(wanted, start, end)]:
                at = statement.span(start, end)
            case _:
                return  # the header's own check tells it
        used = self._had(wanted, at, statement.source)
        if used is None or (used.name in self.read and used.name not in using):
            return
        if used.name in using:
            ring = " → ".join((*using[using.index(used.name) :], used.name))
            self.mistakes.add(at, f"“{wanted}” comes back to itself", ring, "files that use no file which uses them")
        elif len(using) > DEEPEST_USE:
            self._refuse(at, wanted, f"files that use files {DEEPEST_USE} deep, and one more")
        elif len(self.read) > MOST_FILES:
            self._refuse(at, wanted, f"{MOST_FILES} files in use, and one more")
        elif len(used.text) > LONGEST_FILE:
            self._refuse(at, wanted, f"{len(used.text):,} characters, of {LONGEST_FILE:,} at most")
        else:
            yield from self.statements(used, using)

    def _had(self, wanted: str, at: Span, by: Source) -> Source | None:
        trouble = _unfit(wanted)
        used = trouble or self.include(wanted, by)
        if isinstance(used, Source):
            return used
        self._refuse(at, wanted, used)
        return None

    def _refuse(self, at: Span, wanted: str, reason: str) -> None:
        self.mistakes.add(at, f"“{wanted}” cannot be used", reason, "a plan file under the folder of the plan")


def _unfit(wanted: str) -> str:
    """Why a name cannot be that of a used file, wherever it may stand."""
    if not wanted.strip():
        return "an empty name"
    if not wanted.isprintable():
        return "a name with a control character"
    if wanted.startswith(("/", "\\", "~")) or wanted[1:2] == ":":
        return "a name that does not start from the file that says it"
    return ""
