"""Formatting: the whole text, a range of it, and a line as it is typed. The options of the protocol are not asked:
a text has one fair copy, whoever opens it."""

from __future__ import annotations

from collections.abc import Iterable

from lsprotocol import types as lsp

from plancheck.authoring.edit import Edit
from plancheck.authoring.fair_copy import fair_edits, fair_range
from plancheck.authoring.fair_typed import fair_typed
from plancheck.editor.features.feature import Feature
from plancheck.editor.workbench import Workbench


def _whole(bench: Workbench, params: lsp.DocumentFormattingParams) -> list[lsp.TextEdit]:
    document = bench.documents.at(params.text_document.uri)
    return _edits(bench, fair_edits(document.source, document.is_rules)) if document else []


def _range(bench: Workbench, params: lsp.DocumentRangeFormattingParams) -> list[lsp.TextEdit]:
    document = bench.documents.at(params.text_document.uri)
    if document is None:
        return []
    span = bench.positions.span(document.source, params.range)
    return _edits(bench, fair_range(document.source, span.start, span.end, document.is_rules))


def _typed(bench: Workbench, params: lsp.DocumentOnTypeFormattingParams) -> list[lsp.TextEdit]:
    document = bench.documents.at(params.text_document.uri)
    if document is None or document.is_rules:
        return []
    offset = bench.positions.offset(document.source, params.position)
    return _edits(bench, fair_typed(bench.read(document).statements, document.source, offset))


def _edits(bench: Workbench, edits: Iterable[Edit]) -> list[lsp.TextEdit]:
    return [lsp.TextEdit(bench.positions.range(edit.at), edit.text) for edit in edits]


FEATURES = {
    lsp.TEXT_DOCUMENT_FORMATTING: Feature(_whole),
    lsp.TEXT_DOCUMENT_RANGE_FORMATTING: Feature(_range),
    lsp.TEXT_DOCUMENT_ON_TYPE_FORMATTING: Feature(
        _typed, lsp.DocumentOnTypeFormattingOptions(first_trigger_character="\n", more_trigger_character=["}"])
    ),
}
