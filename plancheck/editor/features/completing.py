"""Completion."""

from __future__ import annotations

from lsprotocol import types as lsp

from plancheck.authoring.proposal import Proposal, ProposalSort
from plancheck.editor.features.feature import Feature
from plancheck.editor.workbench import Workbench

ITEMS = {
    ProposalSort.KEYWORD: lsp.CompletionItemKind.Keyword,
    ProposalSort.KIND: lsp.CompletionItemKind.Class,
    ProposalSort.HOUSE_DEVICE: lsp.CompletionItemKind.Class,
    ProposalSort.DEVICE: lsp.CompletionItemKind.Variable,
    ProposalSort.TYPICAL: lsp.CompletionItemKind.Module,
    ProposalSort.PARAMETER: lsp.CompletionItemKind.TypeParameter,
    ProposalSort.TERMINAL: lsp.CompletionItemKind.Field,
    ProposalSort.CONDUCTOR: lsp.CompletionItemKind.Value,
    ProposalSort.ATTRIBUTE: lsp.CompletionItemKind.Property,
    ProposalSort.WORD: lsp.CompletionItemKind.EnumMember,
    ProposalSort.UNIT: lsp.CompletionItemKind.Unit,
    ProposalSort.RULE: lsp.CompletionItemKind.Reference,
}
MOST = 500
"""Proposals that are sent; the list is told to be incomplete where there are more."""


def _complete(bench: Workbench, params: lsp.CompletionParams) -> lsp.CompletionList:
    author = bench.author(params.text_document.uri)
    if author is None:
        return lsp.CompletionList(is_incomplete=False, items=[])
    offset = bench.positions.offset(author.source, params.position)
    found = author.proposals(offset)
    begun = author.source.text[found[0].at.start : offset].casefold() if found else ""
    fits = [each for each in found if each.text.casefold().startswith(begun)] or found
    items = [_item(bench, each) for each in fits[:MOST]]
    return lsp.CompletionList(is_incomplete=len(fits) > MOST, items=items)


def _item(bench: Workbench, proposal: Proposal) -> lsp.CompletionItem:
    return lsp.CompletionItem(
        label=proposal.text,
        kind=ITEMS[proposal.sort],
        detail=proposal.detail or None,
        documentation=lsp.MarkupContent(lsp.MarkupKind.Markdown, proposal.about) if proposal.about else None,
        sort_text=f"{proposal.rank}{proposal.text}",
        filter_text=proposal.text,
        text_edit=lsp.TextEdit(bench.positions.range(proposal.at), proposal.text),
    )


FEATURES = {
    lsp.TEXT_DOCUMENT_COMPLETION: Feature(
        _complete, lsp.CompletionOptions(trigger_characters=[":", "/", '"', " "], resolve_provider=False)
    )
}
