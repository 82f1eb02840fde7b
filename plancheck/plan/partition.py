"""A plan's statements in parts that speak of nothing in common: what one part says changes nothing in another.

Whatever is joined on a plan, by a wire, a cable or a door that names its locks, is joined by a name. So parts are found
by names alone, before anything is resolved. A name spoken of by mistake only makes a part larger than it need be.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from plancheck.plan.header import WHOLE_PLAN
from plancheck.plan.kinds import Kinds
from plancheck.plan.mentions import Defined, Mentions, mentions
from plancheck.syntax import nodes
from plancheck.syntax.reread import Piece

Part = tuple[Piece, ...]
"""The statements of a part in order: headers, its own, and those that define what they use."""


class Partition:
    """The parts of a plan, kept while its statements change.

    `order` numbers the statements. Those that define things for others stand in each part that uses them.
    """

    def __init__(self, pieces: Sequence[Piece], kinds: Kinds) -> None:
        self.kinds = kinds
        self.pieces = pieces
        self.order = {piece: i for i, piece in enumerate(pieces)}
        self.found: dict[Piece, Mentions] = {}
        self.headers: list[Piece] = []
        self.of_plan: list[Piece] = []
        """Headers, and exceptions for the plan itself."""
        self.defining: dict[Defined, list[Piece]] = defaultdict(list)
        self._declaring: dict[str, set[Piece]] = defaultdict(set)
        self._speaking: dict[str, set[Piece]] = defaultdict(set)
        self._group: dict[Piece, list[Piece]] = {}
        """By piece that is in one part alone, those of its part."""
        self._needs: dict[Piece, tuple[Piece, ...]] = {}
        own = [piece for piece in pieces if self._enter(piece)]
        for piece in own:
            self._index(piece)
        self._regroup(own)

    def changed(self, pieces: Sequence[Piece]) -> Partition:
        """The partition of other statements, most of them the same; this one is used up by it."""
        now = {piece: i for i, piece in enumerate(pieces)}
        gone = [piece for piece in self.pieces if piece not in now]
        new = [piece for piece in pieces if piece not in self.order]
        if any(self._is_special(piece) for piece in (*gone, *new)):
            return Partition(pieces, self.kinds)
        affected: dict[Piece, None] = {}
        for piece in gone:
            affected.update(dict.fromkeys(self._group[piece]))
            self._leave(piece)
        self.pieces, self.order = pieces, now
        for piece in new:
            self._enter(piece)
            self._index(piece)
            for other in self._near(piece):
                affected.update(dict.fromkeys(self._group.get(other, ())))
        for piece in gone:
            affected.pop(piece, None)
        self._regroup([*affected, *new])
        return self

    def all_parts(self) -> Iterator[Part]:
        """The parts, each with the headers, in order. The first has, besides, what is said of the plan as such and
        definitions that nothing uses."""
        used = {piece for needed in self._needs.values() for piece in needed}
        idle = [piece for pieces in self.defining.values() for piece in pieces if piece not in used]
        yield self._ordered([*self.of_plan, *idle])
        groups = {id(group): group for group in self._group.values()}
        for group in sorted(groups.values(), key=lambda group: self.order[group[0]]):
            needed = {piece: None for own in group for piece in self._needs.get(own, ())}
            yield self._ordered([*self.headers, *group, *needed])

    def declared(self) -> Mapping[str, int]:
        """The number of the first statement that puts each name on the plan."""
        return {name: min(self.order[p] for p in pieces) for name, pieces in self._declaring.items() if pieces}

    def defined(self) -> dict[str, list[str]]:
        """The names that statements define, by what: kinds, typicals and house devices, in order."""
        found: dict[str, list[str]] = {"kind": [], "typical": [], "house device": []}
        for (what, name), pieces in sorted(self.defining.items(), key=lambda pair: self.order[pair[1][0]]):
            if what != "house device" or self._is_whole(pieces[0].node):
                found[what].append(name)
        return found

    def _is_whole(self, node: nodes.Node | None) -> bool:
        """Whether a house device is of a kind that there is."""
        kind = node.kind.text if isinstance(node, nodes.HouseDevice) else ""
        return kind in self.kinds.by_name or ("kind", kind) in self.defining

    # --- one piece -------------------------------------------------------------------------------------------

    def _is_special(self, piece: Piece) -> bool:
        """Whether a piece says something to all others, or may."""
        node = piece.node
        if isinstance(node, nodes.Header | nodes.Typical | nodes.KindNode | nodes.HouseDevice):
            return True
        return isinstance(node, nodes.Variance) and node.on.text == WHOLE_PLAN

    def _enter(self, piece: Piece) -> bool:
        """Takes a piece in; False where it is in no single part."""
        found = self.found[piece] = mentions(piece.text, piece.node, self.kinds)
        if not self._is_special(piece):
            return True
        if found.defines is not None:
            self.defining[found.defines].append(piece)
        else:
            self.of_plan.append(piece)
            if isinstance(piece.node, nodes.Header):
                self.headers.append(piece)
        return False

    def _index(self, piece: Piece) -> None:
        for name in self.found[piece].declares:
            self._declaring[name].add(piece)
        needed = self._needed(self.found[piece].uses)
        if needed:
            self._needs[piece] = needed
        for name in self._spoken(piece):
            self._speaking[name].add(piece)

    def _leave(self, piece: Piece) -> None:
        for name in self._spoken(piece):
            self._speaking[name].discard(piece)
        for name in self.found.pop(piece).declares:
            self._declaring[name].discard(piece)
        self._needs.pop(piece, None)
        del self._group[piece]

    def _spoken(self, piece: Piece) -> Iterator[str]:
        """Names that a piece speaks of, itself or by what it uses; what it uses and nobody defines is one too."""
        for each in (piece, *self._needs.get(piece, ())):
            found = self.found[each]
            yield from found.speaks
            for what, name in found.uses:
                if (what, name) not in self.defining and not (what == "kind" and name in self.kinds.by_name):
                    yield f'"{name}"' if what == "house device" else name

    def _needed(self, uses: Iterable[Defined]) -> tuple[Piece, ...]:
        """The pieces that define what is used, and what those use in turn."""
        found: dict[Piece, None] = {}
        queue = list(uses)
        while queue:
            for piece in self.defining.get(queue.pop(), ()):
                if piece not in found:
                    found[piece] = None
                    queue += self.found[piece].uses
        return tuple(found)

    def _near(self, piece: Piece) -> Iterator[Piece]:
        """Pieces that a piece belongs together with."""
        for name in self.found[piece].declares:
            yield from self._declaring.get(name, ())
            yield from self._speaking.get(name, ())
        for name in self._spoken(piece):
            yield from self._declaring.get(name, ())

    # --- many pieces -----------------------------------------------------------------------------------------

    def _regroup(self, pieces: Iterable[Piece]) -> None:
        """Puts pieces into groups anew; none of them belongs together with any other piece."""
        left = dict.fromkeys(sorted(pieces, key=self.order.__getitem__))
        while left:
            queue = [next(iter(left))]
            del left[queue[0]]
            for piece in queue:
                for other in self._near(piece):
                    if other in left:
                        del left[other]
                        queue.append(other)
            group = sorted(queue, key=self.order.__getitem__)
            self._group.update(dict.fromkeys(group, group))

    def _ordered(self, pieces: Iterable[Piece]) -> Part:
        return tuple(sorted(pieces, key=self.order.__getitem__))
