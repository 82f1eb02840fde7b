"""Files to texts: which files are plans, and why a file is none."""

from __future__ import annotations

import codecs
import os
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from plancheck.finding import Mistake
from plancheck.library.refusal import reason
from plancheck.source import Source, Span

MOST_BYTES = 4_000_000
"""A plan of two thousand doors drawn out in full is about a megabyte."""

_OTHER_ENCODINGS = ((codecs.BOM_UTF32_LE, "UTF-32"), (codecs.BOM_UTF32_BE, "UTF-32"),
                    (codecs.BOM_UTF16_LE, "UTF-16"), (codecs.BOM_UTF16_BE, "UTF-16"))  # fmt: skip
# Tab, line feed, form feed and carriage return are the only controls that a text has use for.
_BINARY = re.compile(rb"[\x00-\x08\x0b\x0e-\x1f\x7f]")
_NOT_BINARY = bytes(code for code in range(256) if not _BINARY.match(bytes([code])))
_PLAN_HEADER = re.compile(r"^plan\b", re.MULTILINE)


def shown_name(path: str | Path) -> str:
    """A path as it is shown: forward slashes, bytes that are no text by their code."""
    return os.fsencode(Path(path).as_posix()).decode("utf-8", "backslashreplace")


def read_text(path: Path, name: str = "") -> tuple[Source, Mistake | None]:
    """The text of a file; where there is a mistake, the source holds what can be shown of it."""
    name = name or shown_name(path)
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as trouble:
        return refused(Source(name, ""), f"“{name}” cannot be read: {reason(trouble)}")
    if len(data) > MOST_BYTES:
        return refused(
            Source(name, ""),
            f"“{name}” is too large",
            found="more than 4 MB",
            expected="a text of at most 4 MB: draw repeated doors once, as a typical, and place them",
        )
    return _decoded(data, name)


def _decoded(data: bytes, name: str) -> tuple[Source, Mistake | None]:
    for mark, encoding in _OTHER_ENCODINGS:
        if data.startswith(mark):
            found = f"a text in {encoding}"
            return refused(Source(name, ""), f"“{name}” is not written in UTF-8", found, "UTF-8")
    data = data.removeprefix(codecs.BOM_UTF8)
    # To strike out all other bytes takes a tenth of the time of a search.
    binary = _BINARY.search(data) if data.translate(None, _NOT_BINARY) else None
    if binary:
        source = Source(name, data[: binary.start()].decode("utf-8", "replace"))
        found = f"the byte {data[binary.start()]:#04x}"
        return refused(source, f"“{name}” is not a text", found, "a plain text file", len(source.text))
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as trouble:
        source = Source(name, data[: trouble.start].decode("utf-8"))
        found = f"the byte {data[trouble.start]:#04x}"
        return refused(source, f"“{name}” is not written in UTF-8", found, "UTF-8", len(source.text))
    source = Source(name, text)
    if not text.strip():
        return refused(source, f"“{name}” is empty", "no statement", "a plan")
    return source, None


def refused(source: Source, headline: str, found: str = "", expected: str = "", at: int = 0) -> tuple[Source, Mistake]:
    """A text that is not taken, and why."""
    return source, Mistake(Span(source, at, at), headline, found, expected)


ReadFile = Callable[[Path, str], tuple[Source, Mistake | None]]
"""What `read_text` does, or what does it in its place where texts stand open in an editor."""


@dataclass(slots=True)
class Found:
    """Plans to review, in order, and the paths that led to none."""

    plans: list[Path] = field(default_factory=list)
    explicit: set[Path] = field(default_factory=set)
    """Real paths of those named one by one: they are reviewed whatever they hold."""
    troubles: list[tuple[Source, Mistake]] = field(default_factory=list)


def find_plans(
    paths: Sequence[str], endings: tuple[str, ...] = (".plan",), none: str = "no file ending in .plan"
) -> Found:
    """The files named, and every file ending in .plan in the folders named, sorted, each once."""
    found = Found()
    for text in paths:
        path = Path(text)
        if path.is_dir():
            plans = list(_in_folder(path, endings, found.troubles))
            found.plans += plans
            if not plans:
                source = Source(shown_name(path), "")
                found.troubles.append(refused(source, f"“{source.name}” holds no plan", none, "a plan"))
        else:
            found.plans.append(path)
            found.explicit.add(Path(os.path.realpath(path)))
    real = {os.path.realpath(path): path for path in reversed(found.plans)}
    found.plans = sorted(real.values(), key=lambda path: path.as_posix())
    return found


def _in_folder(folder: Path, endings: tuple[str, ...], troubles: list[tuple[Source, Mistake]]) -> Iterator[Path]:
    def unreadable(trouble: OSError) -> None:
        name = shown_name(trouble.filename or folder)
        troubles.append(refused(Source(name, ""), f"“{name}” cannot be read: {reason(trouble)}"))

    for here, folders, files in os.walk(folder, onerror=unreadable):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        yield from (Path(here, name) for name in sorted(files) if name.endswith(endings))


def is_shared(source: Source) -> bool:
    """Whether a text lacks the `plan` header: kinds, house devices or typicals for others to use."""
    return _PLAN_HEADER.search(source.text) is None


class IncludeReader:
    """Reads what a plan says to `use`, from under its own folder or those of packs; a pack reads only itself."""

    def __init__(
        self,
        top: Path,
        top_source: Source,
        folders: Sequence[Path],
        texts: Iterable[Source] = (),
        read: ReadFile = read_text,
    ) -> None:
        self._read = read
        self._roots = [Path(os.path.realpath(folder)) for folder in (top.parent, *folders)]
        # A plan that is a link asks for files beside the link, not beside what it leads to.
        place = self._roots[0] / top.name
        self._packs = self._roots[1:]
        self._paths = {text.name: Path(os.path.realpath(text.name)) for text in texts}
        self._paths[top_source.name] = place
        self._sources = {self._paths[text.name]: text for text in texts} | {place: top_source}
        self._shown_from = top.parent
        self.used: set[Path] = set()

    def __call__(self, wanted: str, by: Source) -> Source | str:
        """The text that `by` asks for, or why it cannot be had."""
        try:
            asked_by = self._paths[by.name]
            path = Path(os.path.realpath(asked_by.parent / wanted))
        except (OSError, ValueError):
            return "no name of a file"
        own = next((root for root in self._packs if asked_by.is_relative_to(root)), None)
        if own is not None and not path.is_relative_to(own):
            return "a file outside the pack"
        if not any(path.is_relative_to(root) for root in self._roots):
            return "a file outside the folder of the plan"
        self.used.add(path)
        if path not in self._sources:
            source, mistake = self._read(path, self._name(path))
            if mistake is not None:
                return _in_words(mistake)
            source.of_pack = any(path.is_relative_to(root) for root in self._packs)
            self._sources[path] = source
            self._paths[source.name] = path
        return self._sources[path]

    def _name(self, path: Path) -> str:
        home = self._roots[0]
        return shown_name(self._shown_from / path.relative_to(home) if path.is_relative_to(home) else path)


def _in_words(mistake: Mistake) -> str:
    words = mistake.headline
    if mistake.found:
        words += f": found {mistake.found}, expected {mistake.expected}"
    return words + (f" (line {mistake.at.line}, column {mistake.at.column})" if mistake.at.start else "")
