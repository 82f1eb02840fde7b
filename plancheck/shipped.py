"""The one place that knows where `rules/` and `grammar/` stand: in a checkout, or inside a wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    # The checkout first: an editable install would otherwise read a stale copy.
    beside = _PACKAGE.parent / name
    return beside if (_PACKAGE.parent / "pyproject.toml").is_file() and beside.is_dir() else _PACKAGE / "shipped" / name


def rules_folder() -> Path:
    """Folder of the shipped rule packs and device kinds."""
    return _folder("rules")


def grammar_file(name: str) -> Path:
    """Path of a grammar file, such as `plan.lark`."""
    return _folder("grammar") / name
