"""A plan as something to be altered: headers, things and runs of wire, printed as a text again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property


@dataclass(frozen=True)
class Part:
    """A device, door, gate or cable with its entries, each as the text says it."""

    kind: str
    name: str
    title: str
    entries: tuple[str, ...]

    def says(self, lead: str) -> str:
        """The first entry that begins with these words, or nothing."""
        return next((e for e in self.entries if e == lead or e.startswith(lead + " ")), "")

    def text(self) -> str:
        """The declaration, on one line."""
        block = f" {{ {'; '.join(self.entries)} }}" if self.entries else ""
        return f"{self.kind} {self.name}{self.title}{block}"


@dataclass(frozen=True)
class Run:
    """A wire through two terminals or more; `conductor` is `C1/red`, or nothing for a jumper."""

    ends: tuple[str, ...]
    conductor: str = ""
    entries: tuple[str, ...] = ()

    def text(self) -> str:
        """The wire statement."""
        within = f" in {self.conductor}" if self.conductor else ""
        block = f" {{ {'; '.join(self.entries)} }}" if self.entries else ""
        return f"wire {' to '.join(self.ends)}{within}{block}"

    @property
    def cable(self) -> str:
        """Name of the cable, or nothing."""
        return self.conductor.rpartition("/")[0]


@dataclass(frozen=True)
class Draft:
    """A plan to be altered. Every alteration gives a new one."""

    name: str
    headers: tuple[str, ...]
    parts: tuple[Part, ...]
    runs: tuple[Run, ...]

    def text(self) -> str:
        """The plan as a text, a statement on each line."""
        return "\n".join([*self.headers, *(p.text() for p in self.parts), *(r.text() for r in self.runs)]) + "\n"

    @cached_property
    def by_name(self) -> dict[str, Part]:
        """Each thing by its name."""
        return {part.name: part for part in self.parts}

    def of_kind(self, *kinds: str) -> list[Part]:
        """Things of these kinds, in the order of the plan."""
        return [part for part in self.parts if part.kind in kinds]

    def named_on(self, line: int) -> frozenset[str]:
        """The things that a line of the text speaks of: what it declares, or what its wire joins and runs in."""
        at = line - 1 - len(self.headers)
        if 0 <= at < len(self.parts):
            return frozenset({self.parts[at].name})
        if 0 <= at - len(self.parts) < len(self.runs):
            run = self.runs[at - len(self.parts)]
            return frozenset({device_of(end) for end in run.ends} | ({run.cable} if run.cable else set()))
        return frozenset()

    # --- wires -------------------------------------------------------------------------------------------

    def touching(self, terminal: str) -> list[Run]:
        """The runs that reach a terminal."""
        return [run for run in self.runs if terminal in run.ends]

    def is_wired(self, terminal: str) -> bool:
        """Whether any run reaches it."""
        return bool(self.touching(terminal))

    def renamed(self, names: dict[str, str]) -> Draft:
        """Every wire's end at one of these terminals goes to another instead."""
        return replace(
            self, runs=tuple(replace(run, ends=tuple(names.get(end, end) for end in run.ends)) for run in self.runs)
        )

    def exchanged(self, a: str, b: str) -> Draft:
        """The wires of two terminals change places."""
        return self.renamed({a: b, b: a})

    def with_run(self, *ends: str, conductor: str = "") -> Draft:
        """One run more."""
        return replace(self, runs=(*self.runs, Run(ends, conductor)))

    def with_run_changed(self, run: Run, changed: Run | None) -> Draft:
        """A run replaced, or taken out."""
        kept = [(changed if each is run else each) for each in self.runs]
        return replace(self, runs=tuple(each for each in kept if each is not None))

    def without_ends(self, *terminals: str) -> Draft:
        """No wire reaches these terminals any more; what a run joined beyond them stays joined."""
        runs = (replace(run, ends=tuple(e for e in run.ends if e not in terminals)) for run in self.runs)
        return replace(self, runs=tuple(run for run in runs if len(run.ends) > 1))

    # --- things ------------------------------------------------------------------------------------------

    def with_part(self, kind: str, name: str, *entries: str) -> Draft:
        """One thing more."""
        return replace(self, parts=(*self.parts, Part(kind, name, "", entries)))

    def with_changed(self, name: str, change: Callable[[Part], Part]) -> Draft:
        """One thing changed."""
        return replace(self, parts=tuple(change(part) if part.name == name else part for part in self.parts))

    def with_kind(self, name: str, kind: str, *entries: str) -> Draft:
        """Another device in the place of one: its kind and all that is said of it are new, its wires stay."""
        return self.with_changed(name, lambda part: replace(part, kind=kind, entries=entries))

    def saying(self, name: str, lead: str, *entries: str) -> Draft:
        """Entries that begin with these words are replaced, or taken out where none are given."""

        def change(part: Part) -> Part:
            kept = tuple(e for e in part.entries if not (e == lead or e.startswith(lead + " ")))
            return replace(part, entries=(*kept, *entries))

        return self.with_changed(name, change)

    def without_part(self, name: str) -> Draft:
        """A thing taken out with its wires."""
        without = self.without_ends(*{end for run in self.runs for end in run.ends if device_of(end) == name})
        return replace(without, parts=tuple(part for part in self.parts if part.name != name))

    def without_header(self, lead: str) -> Draft:
        """A header taken out."""
        return replace(self, headers=tuple(h for h in self.headers if not h.startswith(lead + " ")))

    def bridged(self, a: str, b: str) -> Draft:
        """A part taken out of its circuit: what hung on its two terminals is joined, it itself hangs on nothing."""
        if not (self.is_wired(a) and self.is_wired(b)):
            return self.without_ends(a, b)
        joined = self.renamed({b: a})
        anchor = next(end for run in joined.touching(a) for end in run.ends if end != a)
        moved = joined.renamed({a: anchor})
        runs = (replace(run, ends=_without_repeats(run.ends)) for run in moved.runs)
        return replace(moved, runs=tuple(run for run in runs if len(run.ends) > 1))


def device_of(terminal: str) -> str:
    """`ML1` of `ML1:+`."""
    return terminal.partition(":")[0]


def _without_repeats(ends: tuple[str, ...]) -> tuple[str, ...]:
    """A run that would end where it began is shortened."""
    return tuple(end for i, end in enumerate(ends) if i == 0 or ends[i - 1] != end)


def spare_name(draft: Draft, stem: str) -> str:
    """A name that nothing bears yet."""
    return next(name for name in _counted(stem) if name not in draft.by_name)


def _counted(stem: str) -> Iterator[str]:
    number = 900
    while True:
        number += 1
        yield f"{stem}{number}"
