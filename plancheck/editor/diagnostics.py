"""Findings as an editor shows them: the words of a review, at their place."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from lsprotocol.types import (
    CodeDescription,
    Diagnostic,
    DiagnosticRelatedInformation,
    DiagnosticSeverity,
    Location,
)

from plancheck.editor.positions import Positions
from plancheck.finding import Finding, Severity
from plancheck.render.finding_text import told
from plancheck.source import Source, Span

SEVERITIES = {
    Severity.ERROR: DiagnosticSeverity.Error,
    Severity.WARNING: DiagnosticSeverity.Warning,
    Severity.NOTE: DiagnosticSeverity.Information,
}
MOST_PLACES = 20
"""Related places of one finding."""


class Diagnostics:
    """Turns findings into diagnostics. `uri_of` gives the address of a text."""

    def __init__(self, positions: Positions, uri_of: Callable[[Source], str]) -> None:
        self._positions, self._uri_of = positions, uri_of

    def of(self, finding: Finding, links: Mapping[str, str]) -> Diagnostic:
        """One finding: its headline, and all that a correction list says of it but for its place."""
        link = links.get(finding.rule)
        return Diagnostic(
            range=self._positions.range(_shown(finding.at)),
            severity=SEVERITIES[finding.severity] if finding.variance is None else DiagnosticSeverity.Information,
            code=finding.rule,
            code_description=CodeDescription(link) if link else None,
            source="plancheck",
            message="\n".join([finding.headline, *told(finding)]),
            related_information=list(self._related(finding)) or None,
            data={"fingerprint": finding.fingerprint},
        )

    def _related(self, finding: Finding) -> Iterator[DiagnosticRelatedInformation]:
        for span in finding.also_at[:MOST_PLACES]:
            text = span.source.line(span.line).strip()
            location = Location(self._uri_of(span.source), self._positions.range(span))
            yield DiagnosticRelatedInformation(location, text)


def _shown(at: Span) -> Span:
    """A span that can be seen: an empty one is widened by the character behind it, as far as its line goes."""
    if at.end > at.start or at.source.text[at.end : at.end + 1] in ("", "\r", "\n"):
        return at
    return Span(at.source, at.start, at.end + 1)
