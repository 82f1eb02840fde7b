"""Packs kept as read: what a run has read and found right, the next one takes from the user's cache folder.

An entry is named after the content of all kinds and rules, shipped ones and in-house ones, and after the modules and
grammars that read and check them: whatever changes, it is another entry, and everything is read and checked anew. An
entry is one text: the digest of what follows, then JSON, which runs no code, and says first of which name and texts it
is. What is damaged, is another's under this name, belongs to somebody else or can be written by others is passed over;
where nothing can be written nothing is kept. It only saves time.

`PLANCHECK_KEPT_PACKS` names another folder; `none` keeps nothing.
"""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from plancheck import __version__
from plancheck.finding import Mistake
from plancheck.plan.kinds import Kinds
from plancheck.rulebook.read import KEPT as KEPT_RULES
from plancheck.rulebook.read import read_rules
from plancheck.rulebook.rule import Rulebook
from plancheck.shipped import grammar_file
from plancheck.source import Source
from plancheck.syntax.packing import packed_for_json
from plancheck.syntax.read import KEPT as KEPT_KINDS
from plancheck.syntax.read import read_statements

Loaded = tuple[Kinds, Rulebook, list[Mistake]]

SETTING = "PLANCHECK_KEPT_PACKS"
MOST_ENTRIES = 32
"""Entries kept: those used last."""
MOST_BYTES = 16_000_000
"""Size of an entry that is read or written."""
LEFT_OVER = 3_600.0
"""Seconds after which a file that was never finished is taken away."""
_ENTRY, _PART = ".packs", ".part"
_READERS = ("syntax", "plan", "rulebook", "")
"""Folders of the package whose modules read and check packs."""


class PackShelf:
    """The place of one set of packs. `own_kinds` and `own_rules` are the in-house texts among all of them."""

    def __init__(
        self,
        every_kind: Sequence[Source],
        every_rule: Sequence[Source],
        own_kinds: Sequence[Source],
        own_rules: Sequence[Source],
    ) -> None:
        self._kinds, self._rules = own_kinds, own_rules
        self._folder = kept_folder()
        self._name = _name(every_kind, every_rule) + _ENTRY if self._folder else ""

    def serve(self, load: Callable[[], Loaded]) -> Loaded:
        """What `load` makes of the packs: as they were kept, or else read and checked anew, and kept where right.

        It gives all mistakes that it finds; what was lent to the readers it need not check again.
        """
        if self._lend():
            lent: Loaded | None = None
            # Whatever stands in a file that others may have written to: at worst it is read for nothing.
            with suppress(Exception):
                lent = load()
            self._take_back()
            if lent is not None and not lent[2]:
                return lent
        loaded = load()
        if not loaded[2]:
            self._keep()
        return loaded

    def _lend(self) -> bool:
        """Lend what is kept to the readers of kinds and rules; False where nothing is."""
        kept = self._read()
        try:
            if (kept["of"], kept["texts"]) != (self._name, self._texts()):
                return False
            kinds, rules = kept["kinds"], kept["rules"]
            if (len(kinds), len(rules)) != (len(self._kinds), len(self._rules)):
                return False
        except (TypeError, LookupError):
            return False
        KEPT_KINDS.lend({source.text: nodes for source, nodes in zip(self._kinds, kinds, strict=True)})
        KEPT_RULES.lend({source.text: nodes for source, nodes in zip(self._rules, rules, strict=True)})
        return True

    def _texts(self) -> list[str]:
        """The digest of each in-house text, by which an entry says that it is of these."""
        return [
            _digest(source.text.encode("utf-8", "surrogatepass")).decode() for source in (*self._kinds, *self._rules)
        ]

    def _take_back(self) -> None:
        """That these texts are right is known of this set of packs alone."""
        KEPT_KINDS.lend({})
        KEPT_RULES.lend({})

    def _keep(self) -> None:
        """Keep the packs, which were found right, for the next run."""
        if self._folder is None or not is_own_folder(self._folder, make=True):
            return
        kinds = [
            tuple((s.offset, s.offset + len(s.text), s.node) for s in read_statements(source)[0])
            for source in self._kinds
        ]
        rules = [read_rules(source)[0].statements for source in self._rules]
        packed = {
            "of": self._name,
            "texts": self._texts(),
            "kinds": [*map(packed_for_json, kinds)],
            "rules": [*map(packed_for_json, rules)],
        }
        self._write(packed)

    # --- the file ------------------------------------------------------------------------------------------

    def _read(self) -> Any:
        import json

        if self._folder is None or not is_own_folder(self._folder):
            return None
        path = self._folder / self._name
        try:
            with open(path, "rb") as file:
                if not _is_own(os.fstat(file.fileno())):
                    return None
                data = file.read(MOST_BYTES + 1)
            digest, _, content = data.partition(b"\n")
            if len(data) > MOST_BYTES or digest != _digest(content):
                return None
            with suppress(OSError):
                os.utime(path)
            return json.loads(content)
        except (OSError, ValueError, RecursionError):
            return None

    def _write(self, kept: dict[str, Any]) -> None:
        import json

        assert self._folder is not None
        content = json.dumps(kept, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "surrogatepass")
        if len(content) >= MOST_BYTES - 100:
            return
        beside = self._folder / f"{self._name}.{os.getpid()}.{os.urandom(4).hex()}{_PART}"
        try:
            # Beside its place and then renamed: no other process meets half of it.
            descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
            with open(descriptor, "wb") as file:
                file.write(_digest(content) + b"\n" + content)
            os.replace(beside, self._folder / self._name)
        except OSError:
            with suppress(OSError):
                beside.unlink()
        _thin_out(self._folder)


def kept_folder() -> Path | None:
    """Where packs are kept; None where nothing may be kept, or nobody says where."""
    setting = os.environ.get(SETTING, "")
    if setting == "none":
        return None
    if setting:
        return Path(os.path.abspath(setting))
    home = os.path.expanduser("~")
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA", "")
    elif sys.platform == "darwin":
        base = os.path.join(home, "Library", "Caches")
    else:
        # The XDG Base Directory Specification: a path that is not absolute counts for nothing.
        base = os.environ.get("XDG_CACHE_HOME", "")
        base = base if os.path.isabs(base) else os.path.join(home, ".cache")
    return Path(base, "plancheck", "packs") if os.path.isabs(base) else None


def is_own_folder(folder: Path, *, make: bool = False) -> bool:
    """Whether a folder is the user's own and nobody else may write to it; it is made where that is asked for."""
    try:
        if make:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        found = os.lstat(folder)
    except (OSError, ValueError):
        return False
    return stat.S_ISDIR(found.st_mode) and _is_own(found)


def _is_own(found: os.stat_result) -> bool:
    """Whether a file or folder is the user's own, and nobody else may write to it."""
    if not hasattr(os, "geteuid"):
        return True
    return found.st_uid == os.geteuid() and not found.st_mode & (stat.S_IWGRP | stat.S_IWOTH)


def _digest(content: bytes) -> bytes:
    from hashlib import sha256

    return sha256(content).hexdigest().encode()


def _name(kinds: Sequence[Source], rules: Sequence[Source]) -> str:
    """A name made of all that decides what is read, and whether it is right."""
    from hashlib import sha256

    total = sha256(repr(sys.version_info).encode())
    texts = (source.text.encode("utf-8", "surrogatepass") for group in (kinds, rules) for source in group)
    for data in (*_program(), str(len(kinds)).encode(), *texts):
        total.update(b"%d:" % len(data))
        total.update(data)
    return total.hexdigest()


def _program() -> Iterator[bytes]:
    """The versions of this program and of the parser, and the modules and grammars that read, check and keep kinds and
    rules: name, size and time of change of each.

    By these Python tells whether the bytecode that it keeps is current: what deceives them would run stale anyway.
    """
    yield __version__.encode()
    parser = find_spec("lark")
    if parser is not None and parser.origin is not None:
        yield Path(
            parser.origin
        ).read_bytes()  # Its first module says its version; to import it takes ten times as long.
    package = Path(__file__).parent.parent
    for folder in (*(package / name for name in _READERS), Path(__file__).parent, grammar_file("")):
        for entry in sorted(os.scandir(folder), key=lambda each: each.name):
            if entry.name.endswith((".py", ".lark")):
                found = entry.stat()
                yield f"{folder.name}/{entry.name} {found.st_size} {found.st_mtime_ns}".encode()


def _thin_out(folder: Path) -> None:
    """Take away the entries that were used longest ago, and what was never finished."""
    from time import time

    with suppress(OSError):
        entries = [(entry.stat().st_mtime, entry.path) for entry in os.scandir(folder) if entry.is_file()]
        ready = sorted((each for each in entries if each[1].endswith(_ENTRY)), reverse=True)
        stuck = [each for each in entries if each[1].endswith(_PART) and each[0] < time() - LEFT_OVER]
        for _, path in [*ready[MOST_ENTRIES:], *stuck]:
            with suppress(OSError):
                os.unlink(path)
