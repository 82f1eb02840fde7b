"""Files of rules before the server: what it says of them, and that it says what loading and trying them says."""

from __future__ import annotations

import asyncio
import random
from pathlib import Path

import pytest
from lsprotocol import types as lsp
from pytest_lsp import LanguageClient

from plancheck.editor.diagnostics import Diagnostics
from plancheck.editor.documents import uri_of
from plancheck.editor.positions import Positions
from plancheck.library.load import load_library
from plancheck.review.review import review_text
from plancheck.review.tried import trial_finding
from plancheck.rulebook.trial import try_rules
from plancheck.source import Source
from tests.authoring.of_rules.ours import OURS
from tests.editor.benches import DAY, Author, shown
from tests.editor.edits import changed_texts
from tests.editor.plans import item, place, settled, whole

asked = pytest.mark.asyncio


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    path = tmp_path / "ours" / "ours.rules"
    path.parent.mkdir()
    path.write_text(OURS, encoding="utf-8")
    return path


def document(path: Path) -> lsp.TextDocumentIdentifier:
    return lsp.TextDocumentIdentifier(path.as_uri())


async def opened(client: LanguageClient, path: Path, text: str = OURS) -> list[lsp.Diagnostic]:
    client.text_document_did_open(item(path, text))
    return await settled(client, path)


@asked
async def test_rules_in_order_have_no_diagnostics(client: LanguageClient, ours: Path) -> None:
    assert await opened(client, ours) == []


@asked
async def test_an_example_that_does_not_do_as_it_says_is_shown_at_its_title(client: LanguageClient, ours: Path) -> None:
    """12 V for the sound plan too: 12 is less than 20."""
    await opened(client, ours)
    wrong = OURS.replace("output 24 Vdc", "output 12 Vdc")
    client.text_document_did_change(whole(ours, wrong, 2))
    (found,) = await settled(client, ours)
    assert (found.code, found.severity) == ("file/example", lsp.DiagnosticSeverity.Error)
    assert found.message.startswith("ours/held-at-night finds fault with a plan that it must pass")
    assert "ML1 gets 12 V" in found.message
    title = '"a magnet on 24 V"'
    assert found.range == lsp.Range(place(wrong, title), place(wrong, title, len(title)))
    assert found.related_information is not None
    assert found.related_information[0].location.range.start == place(wrong, "ML1 {", -len("magnetic-lock "))
    client.text_document_did_change(whole(ours, OURS, 3))
    assert await settled(client, ours) == []


@asked
async def test_a_mistake_in_a_rule_is_shown_where_it_stands(client: LanguageClient, ours: Path) -> None:
    wrong = OURS.replace("X.volts >= least", "X.volts >= 5 A")
    (found,) = await opened(client, ours, wrong)
    assert found.range.start == place(wrong, "5 A")
    assert found.code == "file/reading"
    half = OURS.replace("severity  warning", "severty  warning")
    client.text_document_did_change(whole(ours, half, 2))
    assert "Did you mean “severity”?" in (await settled(client, ours))[0].message


@asked
async def test_what_is_asked_of_rules_is_answered(client: LanguageClient, ours: Path) -> None:
    await opened(client, ours)
    fact = await client.text_document_hover_async(lsp.HoverParams(document(ours), place(OURS, "fails-safe", 1)))
    assert fact is not None
    assert isinstance(fact.contents, lsp.MarkupContent)
    assert "without power it is not secured" in fact.contents.value
    topic = place(OURS, "sensor-release", 1)
    (clause,) = list(await client.text_document_definition_async(lsp.DefinitionParams(document(ours), topic)) or ())
    assert isinstance(clause, lsp.Location)
    assert clause.uri.endswith("rules/clauses.rules")
    symbols = await client.text_document_document_symbol_async(lsp.DocumentSymbolParams(document(ours)))
    assert [symbol.name for symbol in symbols or ()][2] == "held-at-night"
    folds = await client.text_document_folding_range_async(lsp.FoldingRangeParams(document(ours)))
    assert (22, 27) in {(fold.start_line, fold.end_line) for fold in folds or ()}
    tokens = await client.text_document_semantic_tokens_full_async(lsp.SemanticTokensParams(document(ours)))
    assert tokens is not None
    assert len(tokens.data) % 5 == 0
    wider = await client.text_document_selection_range_async(
        lsp.SelectionRangeParams(document(ours), [place(OURS, "X.volts >=")])
    )
    assert wider is not None
    assert wider[0].range == lsp.Range(place(OURS, "X.volts >="), place(OURS, "X.volts >=", 1))


@asked
async def test_a_limit_is_offered_and_renamed(client: LanguageClient, ours: Path) -> None:
    typed = OURS.replace("X.volts >= least", "X.volts >= le")
    await opened(client, ours, typed)
    at = place(typed, "X.volts >= le", len("X.volts >= le"))
    found = await client.text_document_completion_async(lsp.CompletionParams(document(ours), at))
    assert isinstance(found, lsp.CompletionList)
    assert [entry.label for entry in found.items] == ["least"]
    client.text_document_did_change(whole(ours, OURS, 2))
    await settled(client, ours)
    name = lsp.RenameParams(document(ours), place(OURS, "least =", 1), "enough")
    edit = await client.text_document_rename_async(name)
    assert edit is not None
    assert edit.changes is not None
    assert len(edit.changes[ours.as_uri()]) == 4


@asked
async def test_a_file_that_is_not_saved_yet_is_a_pack_by_itself(client: LanguageClient, tmp_path: Path) -> None:
    unsaved = tmp_path / "new" / "ours.rules"
    wrong = OURS.replace("output 24 Vdc", "output 12 Vdc")
    assert [found.code for found in await opened(client, unsaved, wrong)] == ["file/example"]
    client.text_document_did_change(whole(unsaved, OURS, 2))
    assert await settled(client, unsaved) == []


# --- whatever is typed -------------------------------------------------------------------------------------


def test_the_server_says_what_loading_and_trying_says(ours: Path) -> None:
    asyncio.run(edited(ours, OURS, 60, 10))


async def edited(path: Path, text: str, edits: int, looks: int) -> None:
    """Changes a file of rules so many times."""
    author = Author(path)
    author.writes(text)
    rng = random.Random(path.name)
    try:
        for number, state in enumerate(changed_texts(text, rng, edits), 1):
            author.writes(state)
            if number % looks == 0:
                await author.waits()
                assert author.seen() == _expected(path, state)
            else:
                await asyncio.sleep(rng.choice((0, 0, 0.01)))
    finally:
        author.leaves()


def _expected(path: Path, text: str) -> list[str]:
    """What loading the folder says of the file, and what its rules' examples come to, from nothing."""
    path.write_text(text, encoding="utf-8", newline="")
    library = load_library([str(path.parent)])

    def review(example: Source) -> object:
        return review_text(example, library.kinds, library.rulebook, lambda *_: "nothing", DAY, excerpt=True)

    trials = try_rules(library.rules_of(str(path.parent)), review)  # type: ignore[arg-type]
    findings = [finding for report in library.broken for finding in report.findings]
    findings += [trial_finding(trial) for trial in trials if not trial.right]
    diagnostics = Diagnostics(Positions(), lambda each: uri_of(each.name))
    found = {(f.at.start, f.at.end, f.rule, f.subject, f.headline, f.found): f for f in findings}
    return sorted(shown(diagnostics.of(finding, {})) for finding in found.values())
