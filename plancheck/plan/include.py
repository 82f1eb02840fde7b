"""`use`: the statements of a plan with those of the files that it uses, in order.

Pure: whoever calls says how a file is had, and whether it stands where it may (`Include`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from plancheck.finding import Mistake
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


class TextRead(Protocol):
    """A text as read: its statements, and what could not be read."""

    @property
    def statements(self) -> Sequence[Statement]: ...
    @property
    def mistakes(self) -> Sequence[Mistake]: ...
    @property
    def uses(self) -> Sequence[int]:
        """Numbers of the statements that say `use`."""


@dataclass(frozen=True)
class _Whole:
    statements: Sequence[Statement]
    mistakes: Sequence[Mistake]

    @property
    def uses(self) -> list[int]:
        return [i for i, statement in enumerate(self.statements) if says_use(statement.node)]


def says_use(node: nodes.Node | None) -> bool:
    """Whether a statement takes another text in."""
    return isinstance(node, nodes.Header) and node.keyword.text == "use"


def read_whole(source: Source) -> TextRead:
    """A text read for the first time."""
    return _Whole(*read_statements(source))


T = TypeVar("T", bound=TextRead)
Run = tuple[T, int, int]
"""A text, and from which of its statements up to which."""


class Gathering(Generic[T]):
    """A plan and what it uses, in order; each file is read once, however often it is used."""

    def __init__(self, include: Include, mistakes: Mistakes, read: Callable[[Source], T]) -> None:
        self.include = include
        self.mistakes = mistakes
        self.texts: dict[str, T] = {}
        self._read = read

    def once(self, source: Source) -> Iterator[Run[T]]:
        """The runs of a text, and of those that it uses, unless it was used by one before it."""
        if source.name not in self.texts:
            yield from self._runs(source)

    def _runs(self, source: Source, using: tuple[str, ...] = ()) -> Iterator[Run[T]]:
        text = self.texts[source.name] = self._read(source)
        for mistake in text.mistakes:
            self.mistakes.add(
                mistake.at, mistake.headline, mistake.found, mistake.expected, mistake.hint, mistake.also_at
            )
        done = 0
        for number in text.uses:
            yield text, done, number
            done = number
            yield from self._used(text.statements[number], (*using, source.name))
        yield text, done, len(text.statements)

    def _used(self, statement: Statement, using: tuple[str, ...]) -> Iterator[Run[T]]:
        assert isinstance(statement.node, nodes.Header)
        match statement.node.items:
            case [Text(wanted, start, end)]:
                at = statement.span(start, end)
            case _:
                return  # the header's own check tells it
        used = self._had(wanted, at, statement.source)
        if used is None or (used.name in self.texts and used.name not in using):
            return
        if used.name in using:
            ring = " → ".join((*using[using.index(used.name) :], used.name))
            self.mistakes.add(at, f"“{wanted}” comes back to itself", ring, "files that use no file which uses them")
        elif len(using) > DEEPEST_USE:
            self._refuse(at, wanted, f"files that use files {DEEPEST_USE} deep, and one more")
        elif len(self.texts) > MOST_FILES:
            self._refuse(at, wanted, f"{MOST_FILES} files in use, and one more")
        elif len(used.text) > LONGEST_FILE:
            self._refuse(at, wanted, f"{len(used.text):,} characters, of {LONGEST_FILE:,} at most")
        else:
            yield from self._runs(used, using)

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
