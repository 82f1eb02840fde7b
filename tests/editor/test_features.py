"""Every feature that the server offers, asked over the protocol. Expected places are counted by hand in `SHED`."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_lsp
from lsprotocol import types as lsp
from pytest_lsp import ClientServerConfig, LanguageClient

from tests.editor.conftest import COMMAND
from tests.editor.plans import SHED, Told, item, place, settled, whole

pytestmark = pytest.mark.asyncio


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return tmp_path / "shed.plan"


async def opened(client: LanguageClient, path: Path, text: str = SHED) -> list[lsp.Diagnostic]:
    client.text_document_did_open(item(path, text))
    return await settled(client, path)


def document(path: Path) -> lsp.TextDocumentIdentifier:
    return lsp.TextDocumentIdentifier(path.as_uri())


async def test_diagnostics_come_and_go(client: LanguageClient, shed: Path) -> None:
    assert [d for d in await opened(client, shed) if d.severity != lsp.DiagnosticSeverity.Information] == []
    broken = SHED.replace("wire ES1:- to PS1:-", "wire ES1:- to PS9:-")
    client.text_document_did_change(whole(shed, broken, 2))
    found = await settled(client, shed)
    missing = [d for d in found if "PS9" in d.message]
    assert missing
    assert missing[0].range == lsp.Range(place(broken, "PS9"), place(broken, "PS9", 5))
    assert missing[0].source == "plancheck"
    client.text_document_did_change(whole(shed, SHED, 3))
    assert [d for d in await settled(client, shed) if "PS9" in d.message] == []


async def test_a_half_typed_statement_leaves_the_others_alone(client: LanguageClient, shed: Path) -> None:
    bare = SHED.replace("; suppression built in", "")
    before = {d.code for d in await opened(client, shed, bare)}
    assert "electrical/coil-suppression" in before
    typed = bare.replace("push-button SB1", "push-button SB2 {\npush-button SB1")
    client.text_document_did_change(whole(shed, typed, 2))
    found = await settled(client, shed)
    assert {d.code for d in found} >= before
    assert {d.range.start.line for d in found if d.code == "file/reading"} == {6}


async def test_a_finding_links_to_the_page_of_its_rule(client: LanguageClient, shed: Path) -> None:
    bare = SHED.replace("; suppression built in", "")
    found = next(d for d in await opened(client, shed, bare) if d.code == "electrical/coil-suppression")
    assert found.code_description is not None
    assert found.code_description.href.startswith("file://")
    assert "suppression" in found.message


async def test_hover_tells_volts_and_states(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    told = await client.text_document_hover_async(lsp.HoverParams(document(shed), place(SHED, "ES1", 1)))
    assert told is not None
    assert isinstance(told.contents, lsp.MarkupContent)
    # Open button, no current: 0 V in normal condition; pressed, the jumpers lose nothing of 24 V.
    assert "| coil, volts | 0 V | 0 V to 24 V |" in told.contents.value
    assert "| coil, amperes | 0 A | 0 A to 225 mA |" in told.contents.value
    assert told.range == lsp.Range(place(SHED, "ES1"), place(SHED, "ES1", 3))
    rated = await client.text_document_hover_async(lsp.HoverParams(document(shed), place(SHED, "225", 1)))
    assert rated is not None
    assert isinstance(rated.contents, lsp.MarkupContent)
    assert "0.225 A" in rated.contents.value


async def test_hints_stand_behind_wires(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    whole_text = lsp.Range(lsp.Position(0, 0), lsp.Position(99, 0))
    hints = await client.text_document_inlay_hint_async(lsp.InlayHintParams(document(shed), whole_text))
    assert hints is not None
    # The supply's plus holds 24 V, the open contact cuts it off, the return is at its own 0 V.
    assert [(hint.position.line, hint.label) for hint in hints] == [(14, " 24 V"), (15, " 0 V"), (16, " 0 V")]


async def test_hints_can_be_switched_off_and_on(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    asked = lsp.InlayHintParams(document(shed), lsp.Range(lsp.Position(0, 0), lsp.Position(99, 0)))
    for wanted, shown in ((False, 0), (True, 3), ("no", 3)):
        settings = {"plancheck": {"hints": wanted}}
        client.workspace_did_change_configuration(lsp.DidChangeConfigurationParams(settings))
        assert len(await client.text_document_inlay_hint_async(asked) or ()) == shown


@pytest_lsp.fixture(config=ClientServerConfig(server_command=COMMAND))
async def without_hints(lsp_client: LanguageClient) -> AsyncIterator[None]:
    """A client that says at the start that its author wants no hints."""
    options = {"hints": False}
    await lsp_client.initialize_session(
        lsp.InitializeParams(capabilities=lsp.ClientCapabilities(), initialization_options=options)
    )
    lsp_client.diagnostics = Told()
    yield
    await lsp_client.shutdown_session()


async def test_hints_can_be_declined_at_the_start(without_hints: LanguageClient, shed: Path) -> None:
    await opened(without_hints, shed)
    asked = lsp.InlayHintParams(document(shed), lsp.Range(lsp.Position(0, 0), lsp.Position(99, 0)))
    assert list(await without_hints.text_document_inlay_hint_async(asked) or ()) == []


async def test_completion_offers_what_fits(client: LanguageClient, shed: Path) -> None:
    text = SHED + "wire SB1:\n"
    await opened(client, shed, text)
    at = place(text, "wire SB1:\n", 9)
    found = await client.text_document_completion_async(lsp.CompletionParams(document(shed), at))
    assert isinstance(found, lsp.CompletionList)
    labels = [i.label for i in found.items]
    assert {"SB1:COM", "SB1:NO"} <= set(labels)
    assert all(label.startswith("SB1:") for label in labels)


async def test_definition_references_and_highlights(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    at = place(SHED, "to SB1:COM", 4)
    defined = await client.text_document_definition_async(lsp.DefinitionParams(document(shed), at))
    declared = lsp.Range(place(SHED, "SB1 {"), place(SHED, "SB1 {", 3))
    assert defined == [lsp.Location(shed.as_uri(), declared)]
    context = lsp.ReferenceContext(include_declaration=True)
    found = await client.text_document_references_async(lsp.ReferenceParams(context, document(shed), at))
    assert found is not None
    assert [location.range.start.line for location in found] == [6, 14, 15]
    marks = await client.text_document_document_highlight_async(lsp.DocumentHighlightParams(document(shed), at))
    assert marks is not None
    assert len(marks) == 3


async def test_rename_gives_every_place_the_new_name(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    at = place(SHED, "to SB1:COM", 4)
    ready = await client.text_document_prepare_rename_async(lsp.PrepareRenameParams(document(shed), at))
    assert ready == lsp.Range(place(SHED, "SB1:COM"), place(SHED, "SB1:COM", 3))
    edit = await client.text_document_rename_async(lsp.RenameParams(document(shed), at, "PB7"))
    assert edit is not None
    assert edit.changes is not None
    edits = edit.changes[shed.as_uri()]
    assert {each.new_text for each in edits} == {"PB7"}
    assert sorted(each.range.start.line for each in edits) == [6, 14, 15]
    with pytest.raises(Exception, match="ES1"):
        await client.text_document_rename_async(lsp.RenameParams(document(shed), at, "ES1"))


async def test_the_outline_and_names_of_the_workspace(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    found = await client.text_document_document_symbol_async(lsp.DocumentSymbolParams(document(shed)))
    assert found is not None
    names = [symbol.name for symbol in found]
    assert names == ["Kestrel Wharf boat school, shed", "PS1", "SB1", "ES1", "D1"]
    named = await client.workspace_symbol_async(lsp.WorkspaceSymbolParams("es1"))
    assert named is not None
    assert [symbol.name for symbol in named] == ["ES1"]


async def test_folding_and_widening(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    folds = await client.text_document_folding_range_async(lsp.FoldingRangeParams(document(shed)))
    assert folds is not None
    assert [(fold.start_line, fold.end_line) for fold in folds] == [(8, 12)]
    at = place(SHED, "rated 24 Vdc, 225", 7)
    wider = await client.text_document_selection_range_async(lsp.SelectionRangeParams(document(shed), [at]))
    assert wider is not None
    words = []
    step: lsp.SelectionRange | None = wider[0]
    while step is not None:
        first, last = step.range.start, step.range.end
        words.append(SHED.split("\n")[first.line][first.character : last.character] if first.line == last.line else "…")
        step = step.parent
    assert words[:2] == ["24", "rated 24 Vdc, 225 mA"]
    assert words[-1] == "…"


async def test_colours(client: LanguageClient, shed: Path) -> None:
    await opened(client, shed)
    found = await client.text_document_semantic_tokens_full_async(lsp.SemanticTokensParams(document(shed)))
    assert found is not None
    # `plan` is the first word, a keyword; its title follows on the same line five characters on.
    assert list(found.data[:10]) == [0, 0, 4, 0, 0, 0, 5, 33, 10, 0]


async def test_formatting_changes_no_word(client: LanguageClient, shed: Path) -> None:
    text = SHED.replace("    interior", "interior").replace("supply PS1 {", "supply   PS1{")
    await opened(client, shed, text)
    options = lsp.FormattingOptions(tab_size=8, insert_spaces=False)
    edits = await client.text_document_formatting_async(lsp.DocumentFormattingParams(document(shed), options))
    assert edits is not None
    lines = text.split("\n")
    for edit in sorted(edits, key=lambda edit: edit.range.start.line, reverse=True):
        assert edit.range.end == lsp.Position(edit.range.start.line + 1, 0)
        lines[edit.range.start.line] = edit.new_text.rstrip("\n")
    assert "\n".join(lines) == SHED
    typed = lsp.DocumentOnTypeFormattingParams(document(shed), place(text, "interior"), "\n", options)
    line = await client.text_document_on_type_formatting_async(typed)
    assert list(line or ()) == [lsp.TextEdit(lsp.Range(place(text, "interior"), place(text, "interior")), "    ")]


async def test_a_variance_is_offered_and_holds_once_it_is_filled_in(client: LanguageClient, shed: Path) -> None:
    bare = SHED.replace("; suppression built in", "")
    await opened(client, shed, bare)
    strike = lsp.Range(place(bare, "electric-strike"), place(bare, "electric-strike", 5))
    context = lsp.CodeActionContext([], [lsp.CodeActionKind.QuickFix])
    found = await client.text_document_code_action_async(lsp.CodeActionParams(document(shed), strike, context))
    title = "Write a variance from electrical/coil-suppression for ES1, to be filled in"
    action = next(a for a in found or () if isinstance(a, lsp.CodeAction) and a.title == title)
    assert action.edit is not None
    assert action.edit.changes is not None
    (edit,) = action.edit.changes[shed.as_uri()]
    assert edit.range.start == lsp.Position(17, 0)
    filled = bare + edit.new_text.replace('reason ""', 'reason "spare"').replace('by ""', 'by "the engineer"')
    client.text_document_did_change(whole(shed, filled, 2))
    marked = next(d for d in await settled(client, shed) if d.code == "electrical/coil-suppression")
    assert "UNDER VARIANCE" in marked.message
    assert "granted by the engineer: spare" in marked.message


async def test_what_a_rule_proposes_is_offered_first_and_mends(client: LanguageClient, shed: Path) -> None:
    bare = SHED.replace("; suppression built in", "")
    await opened(client, shed, bare)
    strike = lsp.Range(place(bare, "electric-strike"), place(bare, "electric-strike", 5))
    context = lsp.CodeActionContext([])
    found = await client.text_document_code_action_async(lsp.CodeActionParams(document(shed), strike, context))
    action = (found or ())[0]
    assert isinstance(action, lsp.CodeAction)
    assert (action.title, action.is_preferred) == ("Put a diode across ES1, its cathode to plus", True)
    assert action.edit is not None
    assert action.edit.changes is not None
    edits = action.edit.changes[shed.as_uri()]
    assert [(e.range.start, e.range.end, e.new_text) for e in edits] == [
        (*[lsp.Position(7, 65)] * 2, "\ndiode D2 { rated 400 V, 1 A }"),
        (*[lsp.Position(16, 19)] * 2, "\nwire D2:cathode to ES1:+\nwire D2:anode to ES1:-"),
    ]
    lines = bare.splitlines()
    lines[7] += edits[0].new_text
    lines[16] += edits[1].new_text
    client.text_document_did_change(whole(shed, "\n".join([*lines, ""]), 2))
    assert "electrical/coil-suppression" not in {d.code for d in await settled(client, shed)}
