"""Definition, references, renaming."""

from __future__ import annotations

from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcInvalidParams

from plancheck.authoring.rename import Refusal
from plancheck.editor.features.feature import Feature
from plancheck.editor.workbench import Workbench


def _definition(bench: Workbench, params: lsp.DefinitionParams) -> list[lsp.Location]:
    author = bench.author(params.text_document.uri)
    if author is None:
        return []
    return [bench.location(at) for at in author.definition(bench.positions.offset(author.source, params.position))]


def _references(bench: Workbench, params: lsp.ReferenceParams) -> list[lsp.Location]:
    author = bench.author(params.text_document.uri)
    if author is None:
        return []
    offset = bench.positions.offset(author.source, params.position)
    return [bench.location(at) for at in author.references(offset, params.context.include_declaration)]


def _highlight(bench: Workbench, params: lsp.DocumentHighlightParams) -> list[lsp.DocumentHighlight]:
    author = bench.author(params.text_document.uri)
    if author is None:
        return []
    spans = author.references(bench.positions.offset(author.source, params.position), True)
    return [lsp.DocumentHighlight(bench.positions.range(at)) for at in spans if at.source is author.source]


def _renameable(bench: Workbench, params: lsp.PrepareRenameParams) -> lsp.Range | None:
    author = bench.author(params.text_document.uri)
    at = author.renameable(bench.positions.offset(author.source, params.position)) if author else None
    return bench.positions.range(at) if at else None


def _rename(bench: Workbench, params: lsp.RenameParams) -> lsp.WorkspaceEdit | None:
    author = bench.author(params.text_document.uri)
    if author is None:
        return None
    edits = author.rename(bench.positions.offset(author.source, params.position), params.new_name)
    if isinstance(edits, Refusal):
        raise JsonRpcInvalidParams(edits.reason)
    return bench.edit(edits)


FEATURES = {
    lsp.TEXT_DOCUMENT_DEFINITION: Feature(_definition),
    lsp.TEXT_DOCUMENT_REFERENCES: Feature(_references),
    lsp.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT: Feature(_highlight),
    lsp.TEXT_DOCUMENT_PREPARE_RENAME: Feature(_renameable),
    lsp.TEXT_DOCUMENT_RENAME: Feature(_rename, lsp.RenameOptions(prepare_provider=True)),
}
