"""The texts that a page takes in whole: its style and its scripts."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'"
"""What a page may do: nothing but what stands in it."""


@cache
def asset(name: str) -> str:
    """The text of a file beside this one."""
    return (files("plancheck.render.submittal") / name).read_text(encoding="utf-8")


def head(title: str, style: str = "") -> str:
    """The head of a page; `title` is HTML already."""
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f"<title>{title}</title><style>{asset('page.css')}{style}</style></head><body>"
    )
