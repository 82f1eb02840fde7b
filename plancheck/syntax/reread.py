"""A text read again after a change: the statements that did not change are neither split nor read anew."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache, reduce
from typing import overload

from plancheck.finding import Mistake
from plancheck.source import Source
from plancheck.syntax.nodes import Header, Node, Statement
from plancheck.syntax.read import MOST_MISTAKES, RECENT, empty, not_text, placed, read_chunk, read_statements
from plancheck.syntax.split import Chunk, Depth, Splitting, depth_of
from plancheck.syntax.wording import Slip


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A statement without its place. One that did not change stays the same object while the text around it changes."""

    text: str
    node: Node | None
    slips: tuple[Slip, ...]

    @property
    def broken(self) -> bool:
        """Whether it has mistakes."""
        return bool(self.slips)


@dataclass(frozen=True)
class ReadText:
    """A text with its pieces and where each starts. Nothing in it changes: another text has another one."""

    source: Source
    pieces: Sequence[Piece]
    starts: Sequence[int]
    balanced: bool | None
    """Whether its braces match, None where nothing hung on it."""
    refused: tuple[Mistake, ...] = ()
    """Why there are no pieces, or not all."""

    @cached_property
    def mistakes(self) -> list[Mistake]:
        """What could not be read."""
        if self.refused:
            return list(self.refused)
        slipped = ((piece, start) for piece, start in zip(self.pieces, self.starts, strict=True) if piece.slips)
        return [placed(slip, self.source, start) for piece, start in slipped for slip in piece.slips]

    @cached_property
    def statements(self) -> Statements:
        """The statements, each made when it is asked for."""
        return Statements(self.source, self.pieces, self.starts)

    @cached_property
    def number(self) -> dict[Piece, int]:
        """Which statement each piece is."""
        return {piece: i for i, piece in enumerate(self.pieces)}

    @cached_property
    def uses(self) -> list[int]:
        """Numbers of the statements that take another text in."""
        return [i for i, p in enumerate(self.pieces) if type(p.node) is Header and p.node.keyword.text == "use"]

    def at(self, offset: int) -> int:
        """Number of the last statement that starts at or before an offset; -1 before the first."""
        return bisect_right(self.starts, offset) - 1


class Statements(Sequence[Statement]):
    """The statements of a text, in order."""

    def __init__(self, source: Source, pieces: Sequence[Piece], starts: Sequence[int]) -> None:
        self._source, self._pieces, self._starts = source, pieces, starts
        self._made: dict[int, Statement] = {}

    def __len__(self) -> int:
        return len(self._pieces)

    @overload
    def __getitem__(self, index: int) -> Statement: ...
    @overload
    def __getitem__(self, index: slice) -> list[Statement]: ...
    def __getitem__(self, index: int | slice) -> Statement | list[Statement]:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        if index < 0:
            index += len(self)
        made = self._made.get(index)
        if made is None:
            piece = self._pieces[index]
            made = Statement(self._source, self._starts[index], piece.text, piece.node, piece.broken)
            self._made[index] = made
        return made

    def __iter__(self) -> Iterator[Statement]:
        return (self[i] for i in range(len(self)))


class Readings:
    """What has been read of each text, by its name."""

    def __init__(self) -> None:
        self._known: dict[str, ReadText] = {}

    def read(self, source: Source) -> ReadText:
        """A text alone, read from what it was before: its statements, and what can be said of them at once."""
        known = self._known.get(source.name)
        if known is None or known.source is not source:
            known = self._known[source.name] = reread(source, known)
        return known

    def forget(self, name: str) -> None:
        """Drops a text that nobody looks at any longer."""
        self._known.pop(name, None)


def reread(source: Source, before: ReadText | None = None) -> ReadText:
    """The text of a source; `before` is what was read of it when it was another."""
    if before is None or before.refused or not_text(source) is not None:
        return _read_whole(source)
    return _changed(source, before) or _read_whole(source)


def _read_whole(source: Source) -> ReadText:
    refusal = not_text(source)
    if refusal is not None:
        return ReadText(source, (), (), None, (refusal,))
    splitting = Splitting(source.text)
    chunks = list(splitting.chunks())
    if not chunks:
        return ReadText(source, (), (), None, (empty(source),))
    pieces = [_piece(source.text, chunk, chunk is chunks[-1]) for chunk in chunks]
    return _limited(ReadText(source, pieces, [chunk.start for chunk in chunks], splitting.balanced))


def _piece(text: str, chunk: Chunk, last: bool) -> Piece:
    own = text[chunk.start : chunk.end]
    reading = read_chunk(own, chunk, last)
    return Piece(own, reading.node, reading.slips)


def _limited(read: ReadText) -> ReadText:
    """A text with too many mistakes to tell them all is read as far as they are told."""
    if sum(len(piece.slips) for piece in read.pieces) < MOST_MISTAKES:
        return read
    statements, mistakes = read_statements(read.source)
    return ReadText(
        read.source, read.pieces[: len(statements)], read.starts[: len(statements)], read.balanced, tuple(mistakes)
    )


def _changed(source: Source, before: ReadText) -> ReadText | None:
    """The text by what is the same at its beginning and its end; None where the change may reach everywhere.

    A statement is what it is by its own lines and the first word of the line behind it, so reading begins one statement
    before the change, and ends where a statement begins that stood there before. But where a block may have been left
    open, it counts whether the braces of the whole text match.
    """
    text, old = source.text, before.source.text
    head = _same_start(old, text)
    tail = _same_end(old, text, head)
    moved = len(text) - len(old)
    first = max(0, before.at(head) - 1)
    start = before.starts[first]
    if start > head:
        first, start = 0, 0
    last = bisect_left(before.starts, len(old) - tail)

    def balances() -> bool:
        around = before.pieces[:first], before.pieces[last:]
        stop = before.starts[last] + moved if last < len(before.starts) else len(text)
        ahead, behind = (reduce(Depth.then, (_depth(piece.text) for piece in some), Depth()) for some in around)
        return not ahead.then(depth_of(text, start, stop)).then(behind).unmatched

    splitting = Splitting(text, balances)
    chunks: list[Chunk] = []
    kept = len(before.starts)
    for chunk in splitting.chunks(start):
        chunks.append(chunk)
        if splitting.next - moved >= len(old) - tail:
            found = bisect_left(before.starts, splitting.next - moved)
            if found < len(before.starts) and before.starts[found] == splitting.next - moved:
                kept = found
                break
    if before.balanced is not None and splitting.balanced is None:
        splitting.balanced = balances()
    if before.balanced is not None and splitting.balanced != before.balanced:
        return None
    behind = before.pieces[kept:]
    pieces = [_piece(text, chunk, chunk is chunks[-1] and not behind) for chunk in chunks]
    new = [*before.pieces[:first], *_as_before(pieces, before.pieces[first:kept]), *behind]
    starts = [*before.starts[:first], *(c.start for c in chunks), *(at + moved for at in before.starts[kept:])]
    if not new:
        return None
    return _limited(ReadText(source, new, starts, splitting.balanced))


@lru_cache(maxsize=RECENT)
def _depth(text: str) -> Depth:
    return depth_of(text, 0, len(text))


def _as_before(pieces: Sequence[Piece], old: Sequence[Piece]) -> list[Piece]:
    """Pieces, with the very objects of before where they say the same, however many places changed at once."""
    left: dict[tuple[str, tuple[Slip, ...]], deque[Piece]] = {}
    for piece in old:
        left.setdefault((piece.text, piece.slips), deque()).append(piece)
    return [same.popleft() if (same := left.get((piece.text, piece.slips))) else piece for piece in pieces]


def _same_start(one: str, other: str) -> int:
    """How many characters two texts begin with alike."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _same_end(one: str, other: str, head: int) -> int:
    """How many characters two texts end with alike, behind those that they begin with alike."""
    low, high = 0, min(len(one), len(other)) - head
    while low < high:
        middle = (low + high + 1) // 2
        if one[len(one) - middle : len(one) - low] == other[len(other) - middle : len(other) - low]:
            low = middle
        else:
            high = middle - 1
    return low
