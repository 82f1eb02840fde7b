"""Code actions: what can be done about what is shown."""

from __future__ import annotations

from lsprotocol import types as lsp

from plancheck.authoring.fixes import Fix
from plancheck.editor.features.feature import Feature
from plancheck.editor.workbench import Workbench


def _actions(bench: Workbench, params: lsp.CodeActionParams) -> list[lsp.CodeAction]:
    """For the findings in the range that is asked about."""
    author = bench.author(params.text_document.uri)
    only = params.context.only
    if author is None or (only and lsp.CodeActionKind.QuickFix not in only):
        return []
    span = bench.positions.span(author.source, params.range)
    said = bench.published.said_of(params.text_document.uri)
    here = [finding for finding in said if finding.at.start <= span.end and finding.at.end >= span.start]
    return [_action(bench, fix) for fix in author.fixes(here)]


def _action(bench: Workbench, fix: Fix) -> lsp.CodeAction:
    edit = bench.edit(fix.edits)
    about = [bench.diagnostics.of(fix.finding, {})]
    return lsp.CodeAction(fix.title, lsp.CodeActionKind.QuickFix, about, is_preferred=fix.mend, edit=edit)


FEATURES = {lsp.TEXT_DOCUMENT_CODE_ACTION: Feature(_actions, lsp.CodeActionOptions([lsp.CodeActionKind.QuickFix]))}
