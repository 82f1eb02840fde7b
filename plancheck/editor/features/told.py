"""Hover and hints."""

from __future__ import annotations

from lsprotocol import types as lsp

from plancheck.editor.features.feature import Feature
from plancheck.editor.workbench import Workbench


def _hover(bench: Workbench, params: lsp.HoverParams) -> lsp.Hover | None:
    author = bench.author(params.text_document.uri)
    told = author.hover(bench.positions.offset(author.source, params.position)) if author else None
    if told is None:
        return None
    return lsp.Hover(lsp.MarkupContent(lsp.MarkupKind.Markdown, told.text), bench.positions.range(told.at))


def _hints(bench: Workbench, params: lsp.InlayHintParams) -> list[lsp.InlayHint]:
    author = bench.author(params.text_document.uri)
    if author is None or not bench.hints:
        return []
    span = bench.positions.span(author.source, params.range)
    return [
        lsp.InlayHint(bench.positions.position(author.source, hint.at), hint.text, tooltip=hint.tip)
        for hint in author.hints(span.start, span.end)
    ]


FEATURES = {
    lsp.TEXT_DOCUMENT_HOVER: Feature(_hover),
    lsp.TEXT_DOCUMENT_INLAY_HINT: Feature(_hints, lsp.InlayHintOptions(resolve_provider=False)),
}
