"""The texts that a page takes in whole: its style and its scripts."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from hashlib import sha256
from importlib.resources import files

INLINE = "'unsafe-inline'"
"""Whatever stands in the page itself."""


@cache
def asset(name: str) -> str:
    """The text of a file beside this one."""
    return (files("plancheck.render.submittal") / name).read_text(encoding="utf-8")


def head(title: str, style: str = "", script: str | None = None) -> str:
    """The head of a page; `title` is HTML already. Nothing is fetched.

    Where the one `script` of the page is given, no other runs, whatever comes to stand in it; nor does another style.
    """
    style = asset("page.css") + style
    styles, scripts = (INLINE, INLINE) if script is None else (_hash(style), _hash(script))
    policy = f"default-src 'none'; style-src {styles}; script-src {scripts}; base-uri 'none'; form-action 'none'"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        f"<title>{title}</title><style>{style}</style></head><body>"
    )


def _hash(content: str) -> str:
    return f"'sha256-{b64encode(sha256(content.encode()).digest()).decode()}'"
