"""Colour, where the reader's terminal has it. It only repeats what the words say already."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.finding import Severity

_CODES = {Severity.ERROR: "1;31", Severity.WARNING: "1;33", Severity.NOTE: "1;36"}


@dataclass(frozen=True, slots=True)
class Paint:
    """Terminal codes around a text, or the text alone where `on` is false."""

    on: bool = False

    def severity(self, text: str, severity: Severity) -> str:
        """A text in the colour of a severity."""
        return self._around(text, _CODES[severity])

    def strong(self, text: str) -> str:
        """A text that stands out."""
        return self._around(text, "1")

    def quiet(self, text: str) -> str:
        """A text that steps back."""
        return self._around(text, "2")

    def _around(self, text: str, code: str) -> str:
        return f"\x1b[{code}m{text}\x1b[0m" if self.on and text else text
