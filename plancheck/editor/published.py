"""What the client has been told about each text: the findings of every review that speaks of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from lsprotocol.types import Diagnostic, PublishDiagnosticsParams

from plancheck.editor.carried import Carried
from plancheck.editor.diagnostics import Diagnostics
from plancheck.editor.documents import Document, Documents
from plancheck.finding import Finding
from plancheck.source import Source

Said = tuple[Finding, Mapping[str, str]]
"""A finding and the addresses of rules' pages."""


class Published:
    """Findings by who says them and by the address of their text; what has changed is sent."""

    def __init__(
        self,
        documents: Documents,
        diagnostics: Diagnostics,
        uri_of: Callable[[Source], str],
        send: Callable[[PublishDiagnosticsParams], None],
    ) -> None:
        self._documents, self._diagnostics, self._uri_of, self._send = documents, diagnostics, uri_of, send
        self._said: dict[str, dict[str, list[Said]]] = {}
        self._sent: dict[str, tuple[int | None, Sequence[Diagnostic]]] = {}

    def says(
        self, owner: str, findings: Iterable[Finding], links: Mapping[str, str], reviewed: Collection[str]
    ) -> None:
        """Everything that a review has to say; what it said before does not hold any longer.

        Of the open texts that it has `reviewed`, the client hears even where there is nothing new: so it can tell
        that everything has been said of this version.
        """
        before = self._said.get(owner, {})
        now: dict[str, list[Said]] = defaultdict(list)
        for finding in findings:
            now[self._uri_of(finding.at.source)].append((finding, links))
        self._said[owner] = dict(now)
        for uri in dict.fromkeys((*before, *now, *reviewed)):
            self._publish(uri, always=uri in reviewed)

    def at_once(self, owner: str, document: Document, findings: Iterable[Finding], carried: Carried | None) -> None:
        """What can be said of a text the moment it changes, and what reviews said of statements that did not."""
        for own in self._said.values():
            if document.uri in own:
                own[document.uri] = list(_carried(own[document.uri], carried))
        self._said[owner] = {document.uri: [(finding, {}) for finding in findings]}
        self._publish(document.uri, always=True)

    def forget(self, owner: str) -> None:
        """Takes back what a review said."""
        for uri in self._said.pop(owner, {}):
            self._publish(uri)

    def said_of(self, uri: str) -> list[Finding]:
        """The findings that the client sees in a text, each once, in order of place."""
        return [finding for finding, _ in self._each(uri)]

    def closed(self, uri: str) -> None:
        """A text is not open any longer: what is said of it bears no version."""
        self._sent.pop(uri, None)
        self._publish(uri, always=True)

    def _each(self, uri: str) -> list[Said]:
        found: dict[tuple[object, ...], Said] = {}
        for own in self._said.values():
            for said in own.get(uri, ()):
                finding = said[0]
                key = (finding.at.start, finding.at.end, finding.rule, finding.subject, finding.headline, finding.found)
                if key not in found or not found[key][1]:
                    found[key] = said
        return sorted(found.values(), key=lambda said: (said[0].at.start, said[0].at.end, said[0].rule))

    def _publish(self, uri: str, always: bool = False) -> None:
        document = self._documents.at(uri)
        version = document.version if document else None
        diagnostics = [self._diagnostics.of(*said) for said in self._each(uri)]
        if not always and self._sent.get(uri) == (version, diagnostics):
            return
        if diagnostics or document:
            self._sent[uri] = version, diagnostics
        else:
            self._sent.pop(uri, None)
        self._send(PublishDiagnosticsParams(uri, diagnostics, version))


def _carried(said: Iterable[Said], carried: Carried | None) -> Iterable[Said]:
    for finding, links in said:
        now = carried.finding(finding) if carried else None
        if now is not None:
            yield now, links
