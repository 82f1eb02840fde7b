"""Whatever is typed: nothing crashes, nothing stale is shown, and at last the server says what a review says."""

from __future__ import annotations

import asyncio
import random
from pathlib import Path

import pytest

from tests.editor.benches import SAMPLES, Author
from tests.editor.edits import changed_texts

EDITS = 60
LOOKS = 20
"""After so many changes the server is left to come to rest, and is held against a review."""


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.plan")), ids=lambda path: path.stem)
def test_the_server_says_what_a_review_says(path: Path) -> None:
    asyncio.run(edited(path, EDITS, LOOKS))


async def edited(path: Path, edits: int, looks: int) -> None:
    """Changes one sample so many times."""
    author = Author(path)
    text = path.read_text(encoding="utf-8")
    rng = random.Random(path.name)
    try:
        author.writes(text)
        for number, state in enumerate(changed_texts(text, rng, edits), 1):
            author.writes(state)
            if number % looks == 0:
                await author.waits()
                assert author.seen() == author.expected(state)
            else:
                await asyncio.sleep(rng.choice((0, 0, 0.01)))
    finally:
        author.leaves()
