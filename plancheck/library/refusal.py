"""Why a thing that was asked for cannot be had."""

from __future__ import annotations


class UsageError(Exception):
    """What was asked for was not understood, or is not there; the text says why, in words of our own."""


def reason(trouble: Exception) -> str:
    """What the system says, in lower case and without its numbers."""
    said = getattr(trouble, "strerror", None) or str(trouble) or type(trouble).__name__
    return str(said)[:1].lower() + str(said)[1:]
