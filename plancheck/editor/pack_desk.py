"""A text of an in-house pack that is open: kinds, devices or typicals, which are no plan to review by themselves."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from plancheck.editor.libraries import Libraries
from plancheck.editor.plan_desk import Outcome
from plancheck.review.worked import Worked
from plancheck.syntax.reread import Readings


class PackDesk:
    """What is wrong with the packs that a text belongs to."""

    def __init__(self, path: Path, libraries: Libraries, readings: Readings) -> None:
        self.path, self.real = path, os.path.realpath(path)
        self._libraries, self._readings = libraries, readings

    def review(self, check: Callable[[], None]) -> Outcome:
        """All that the packs' readers say of them."""
        library = self._libraries.of(self.path)
        check()
        sources = (source for pack in library.at_hand for source in (*pack.files.kinds, *pack.files.texts))
        return Outcome(
            [finding for report in library.broken for finding in report.findings],
            Worked(),
            {source.name: self._readings.read(source) for source in sources},
            frozenset({self.real}),
            library,
            library.choice(),
        )
