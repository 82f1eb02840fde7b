"""Semantic tokens."""

from __future__ import annotations

from lsprotocol import types as lsp

from plancheck.authoring.tokens import Token, TokenSort
from plancheck.editor.features.feature import Feature
from plancheck.editor.workbench import Workbench
from plancheck.source import Source

TYPES = {
    TokenSort.KEYWORD: lsp.SemanticTokenTypes.Keyword,
    TokenSort.KIND: lsp.SemanticTokenTypes.Type,
    TokenSort.DEVICE: lsp.SemanticTokenTypes.Variable,
    TokenSort.TYPICAL: lsp.SemanticTokenTypes.Namespace,
    TokenSort.PARAMETER: lsp.SemanticTokenTypes.Parameter,
    TokenSort.TERMINAL: lsp.SemanticTokenTypes.Property,
    TokenSort.ATTRIBUTE: lsp.SemanticTokenTypes.Method,
    TokenSort.UNIT: lsp.SemanticTokenTypes.EnumMember,
    TokenSort.RULE: lsp.SemanticTokenTypes.Function,
    TokenSort.NUMBER: lsp.SemanticTokenTypes.Number,
    TokenSort.STRING: lsp.SemanticTokenTypes.String,
    TokenSort.COMMENT: lsp.SemanticTokenTypes.Comment,
}
NUMBER_OF = {sort: number for number, sort in enumerate(TYPES)}
LEGEND = lsp.SemanticTokensLegend([str(each.value) for each in TYPES.values()], ["declaration"])


def _whole(bench: Workbench, params: lsp.SemanticTokensParams) -> lsp.SemanticTokens:
    author = bench.author(params.text_document.uri)
    if author is None:
        return lsp.SemanticTokens([])
    return _encoded(bench, author.source, author.tokens(0, len(author.source.text)))


def _in_range(bench: Workbench, params: lsp.SemanticTokensRangeParams) -> lsp.SemanticTokens:
    author = bench.author(params.text_document.uri)
    if author is None:
        return lsp.SemanticTokens([])
    span = bench.positions.span(author.source, params.range)
    return _encoded(bench, author.source, author.tokens(span.start, span.end))


def _encoded(bench: Workbench, source: Source, tokens: list[Token]) -> lsp.SemanticTokens:
    """As the protocol has it: each token's line and column from the one before it, length, type and marks."""
    data: list[int] = []
    line = column = 0
    for token in tokens:
        at = bench.positions.position(source, token.start)
        step = at.line - line
        length = bench.positions.length(source.text[token.start : token.end])
        data += (step, at.character - (0 if step else column), length, NUMBER_OF[token.sort], int(token.declared))
        line, column = at.line, at.character
    return lsp.SemanticTokens(data)


FEATURES = {
    lsp.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL: Feature(_whole, LEGEND),
    lsp.TEXT_DOCUMENT_SEMANTIC_TOKENS_RANGE: Feature(_in_range, LEGEND),
}
