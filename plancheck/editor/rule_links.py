"""Where an editor opens the page of a rule: the manual of the rules at hand, kept in the user's cache folder."""

from __future__ import annotations

import os
import secrets
from collections.abc import Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from plancheck.editor.documents import uri_of
from plancheck.library.pack_shelf import is_own_folder, kept_folder
from plancheck.rulebook.rule import Rulebook
from plancheck.shipped import rules_folder

MOST_MANUALS = 16
"""Manuals that are kept: those written last."""


def rule_links(book: Rulebook) -> Mapping[str, str]:
    """The address of each rule's page, by its id; where nothing can be kept, that of the file that holds the rule."""
    from plancheck.render.manual import pages
    from plancheck.render.manual_html import manual_html

    manual = _kept(manual_html(book))
    if manual is None:
        return {rule.id: f"{_file_of(rule.at.source.name)}#L{rule.at.line}" for rule in book.rules}
    address = uri_of(manual)
    return {page.rule.id: f"{address}#{page.anchor}" for page in pages(book)}


def _file_of(name: str) -> str:
    """The address of a text: shipped ones are named from the folder that holds `rules/`."""
    own = rules_folder().parent / name
    return uri_of(own if own.is_file() else name)


def _kept(page: str) -> Path | None:
    """The file of a page in the cache folder, named after what it holds; None where it cannot be kept."""
    packs = kept_folder()
    folder = packs.parent / "manuals" if packs else None
    if folder is None or not is_own_folder(folder, make=True):
        return None
    data = page.encode("utf-8")
    path = folder / f"{sha256(data).hexdigest()[:24]}.html"
    try:
        if not path.is_file() or path.read_bytes() != data:
            part = folder / f"{secrets.token_hex(8)}.part"
            part.write_bytes(data)
            part.replace(path)
        _thin_out(folder)
    except OSError:
        return None
    return path


def _thin_out(folder: Path) -> None:
    kept = sorted(folder.glob("*.html"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in kept[MOST_MANUALS:]:
        with suppress(OSError):
            os.unlink(path)
