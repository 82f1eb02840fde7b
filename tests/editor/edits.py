"""Random changes of a text, as hands make them: typing, deleting, pasting, undoing, and worse."""

from __future__ import annotations

import random
from collections.abc import Iterator

PASTED = ("}", "{", ";", "wire ", " to ", '"', "#", "x", "24 Vdc", "\n", "\r\n", "\t", "\U0001f6aa", "e\u0301", "\x0c")


def changed_texts(text: str, rng: random.Random, count: int) -> Iterator[str]:
    """The text after each change; the last is the text itself."""
    states = [text]
    for _ in range(count - 1):
        states.append(_changed(states, rng))
        if len(states) > 30:
            del states[1]
        yield states[-1]
    yield text


def _changed(states: list[str], rng: random.Random) -> str:
    text = states[-1]
    at = rng.randrange(len(text) + 1)
    match rng.randrange(10):
        case 0:
            return states[rng.randrange(len(states))]  # undone
        case 1:
            return states[0]  # the whole file replaced
        case 2 | 3:
            return text[:at] + text[at + rng.randrange(1, 12) :]
        case 4:
            start = rng.randrange(len(text) + 1)
            return text[:at] + text[start : start + rng.randrange(1, 300)] + text[at:]
    return text[:at] + rng.choice(PASTED) + text[at:]
