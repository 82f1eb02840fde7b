"""Outline, names of the workspace, folding, widening selections."""

from __future__ import annotations

from itertools import islice

from lsprotocol import types as lsp

from plancheck.authoring.symbols import Symbol, SymbolSort, symbols_named
from plancheck.editor.features.feature import Feature
from plancheck.editor.workbench import Workbench

SORTS = {
    SymbolSort.PLAN: lsp.SymbolKind.File,
    SymbolSort.PLACE: lsp.SymbolKind.Module,
    SymbolSort.LOCK: lsp.SymbolKind.Key,
    SymbolSort.CABLE: lsp.SymbolKind.Array,
    SymbolSort.DEVICE: lsp.SymbolKind.Object,
    SymbolSort.TYPICAL: lsp.SymbolKind.Package,
    SymbolSort.KIND: lsp.SymbolKind.Class,
    SymbolSort.HOUSE_DEVICE: lsp.SymbolKind.Struct,
    SymbolSort.VARIANCE: lsp.SymbolKind.Event,
    SymbolSort.PACK: lsp.SymbolKind.Package,
    SymbolSort.RULE: lsp.SymbolKind.Function,
    SymbolSort.LIMIT: lsp.SymbolKind.Constant,
    SymbolSort.EXAMPLE: lsp.SymbolKind.Event,
    SymbolSort.SITUATION: lsp.SymbolKind.Namespace,
    SymbolSort.TOPIC: lsp.SymbolKind.Struct,
}
MOST = 500
"""Names of the workspace that are sent."""


def _outline(bench: Workbench, params: lsp.DocumentSymbolParams) -> list[lsp.DocumentSymbol]:
    author = bench.author(params.text_document.uri)
    return [_symbol(bench, symbol) for symbol in author.outline()] if author else []


def _symbol(bench: Workbench, symbol: Symbol) -> lsp.DocumentSymbol:
    return lsp.DocumentSymbol(
        name=symbol.name or "“”",
        kind=SORTS[symbol.sort],
        range=bench.positions.range(symbol.at),
        selection_range=bench.positions.range(symbol.name_at),
        detail=symbol.detail or None,
        children=[_symbol(bench, inner) for inner in symbol.within] or None,
    )


def _named(bench: Workbench, params: lsp.WorkspaceSymbolParams) -> list[lsp.WorkspaceSymbol]:
    """Names in all texts that are open."""
    authors = (bench.author(document.uri) for document in bench.documents)
    every = [symbol for author in authors if author for symbol in author.outline()]
    found = islice(symbols_named(every, params.query), MOST)
    return [lsp.WorkspaceSymbol(bench.location(s.name_at), s.name or "“”", SORTS[s.sort]) for s in found]


def _folds(bench: Workbench, params: lsp.FoldingRangeParams) -> list[lsp.FoldingRange]:
    author = bench.author(params.text_document.uri)
    return [
        lsp.FoldingRange(fold.start, fold.end, kind=lsp.FoldingRangeKind.Comment if fold.comment else None)
        for fold in (author.folds() if author else ())
    ]


def _widening(bench: Workbench, params: lsp.SelectionRangeParams) -> list[lsp.SelectionRange] | None:
    author = bench.author(params.text_document.uri)
    if author is None:
        return None
    found = []
    for position in params.positions:
        wider: lsp.SelectionRange | None = None
        for span in reversed(author.widening(bench.positions.offset(author.source, position))):
            wider = lsp.SelectionRange(bench.positions.range(span), wider)
        assert wider is not None  # the whole text is always among them
        found.append(wider)
    return found


FEATURES = {
    lsp.TEXT_DOCUMENT_DOCUMENT_SYMBOL: Feature(_outline),
    lsp.WORKSPACE_SYMBOL: Feature(_named),
    lsp.TEXT_DOCUMENT_FOLDING_RANGE: Feature(_folds),
    lsp.TEXT_DOCUMENT_SELECTION_RANGE: Feature(_widening),
}
