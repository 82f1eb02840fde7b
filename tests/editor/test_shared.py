"""Texts that others use, packs and the company's file: whoever hangs on them hears of a change."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path

import pytest
from lsprotocol import types as lsp
from pytest_lsp import LanguageClient

from plancheck.library.house import HOUSE_FILE
from tests.editor.plans import SHED, item, settled, whole

pytestmark = pytest.mark.asyncio

PARTS = """\
electric-strike ES1 "Shed" { rated 24 Vdc, 225 mA; fails secure; suppression built in }
"""
USING = SHED.replace(PARTS, 'use "parts.plan"\n')


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A plan and a text that it uses."""
    (tmp_path / "shed.plan").write_text(USING, encoding="utf-8")
    (tmp_path / "parts.plan").write_text(PARTS, encoding="utf-8")
    return tmp_path


Of = Callable[[lsp.Diagnostic], bool]


async def hears(client: LanguageClient, path: Path, of: Of, *, ends: bool = False) -> None:
    """Waits until a text has a diagnostic, or, with `ends`, until it has none such any longer."""
    for _ in range(1000):
        if any(map(of, client.diagnostics.get(path.as_uri(), ()))) is not ends:
            return
        await asyncio.sleep(0.02)
    raise TimeoutError(f"{client.diagnostics.get(path.as_uri())}")


def of_rule(rule: str) -> Of:
    return lambda diagnostic: diagnostic.code == rule


def names(word: str) -> Of:
    return lambda diagnostic: word in diagnostic.message


async def test_a_change_of_a_shared_text_is_heard_by_who_uses_it(client: LanguageClient, folder: Path) -> None:
    plan, parts = folder / "shed.plan", folder / "parts.plan"
    client.text_document_did_open(item(plan, USING))
    await settled(client, plan)
    assert not any(map(names("“ES1”"), client.diagnostics[plan.as_uri()]))
    client.text_document_did_open(item(parts, PARTS))
    # In the shared text the suppression is struck: the finding is shown there, where the strike stands.
    client.text_document_did_change(whole(parts, PARTS.replace("; suppression built in", ""), 2))
    await hears(client, parts, of_rule("electrical/coil-suppression"))
    # Under another name there it is missed here; and put right there, it is found here again.
    client.text_document_did_change(whole(parts, PARTS.replace("ES1", "ES2"), 3))
    await hears(client, plan, names("“ES1”"))
    client.text_document_did_change(whole(parts, PARTS, 4))
    await hears(client, plan, names("“ES1”"), ends=True)
    await hears(client, parts, of_rule("electrical/coil-suppression"), ends=True)


async def test_a_file_that_somebody_else_changed_is_read_again(client: LanguageClient, folder: Path) -> None:
    plan, parts = folder / "shed.plan", folder / "parts.plan"
    client.text_document_did_open(item(plan, USING))
    await settled(client, plan)
    parts.write_text(PARTS.replace("ES1", "ES2"), encoding="utf-8")
    change = lsp.FileEvent(parts.as_uri(), lsp.FileChangeType.Changed)
    client.workspace_did_change_watched_files(lsp.DidChangeWatchedFilesParams([change]))
    await hears(client, plan, names("“ES1”"))
    parts.unlink()
    gone = lsp.FileEvent(parts.as_uri(), lsp.FileChangeType.Deleted)
    client.workspace_did_change_watched_files(lsp.DidChangeWatchedFilesParams([gone]))
    await hears(client, plan, names("parts.plan"))


async def test_a_plan_that_is_not_open_is_reviewed_with_the_shared_text(client: LanguageClient, folder: Path) -> None:
    """What is wrong with the strike shows in its own text: the plan that uses it switches it."""
    parts = folder / "parts.plan"
    bare = PARTS.replace("; suppression built in", "")
    client.text_document_did_open(item(parts, bare))
    await hears(client, parts, of_rule("electrical/coil-suppression"))


async def test_a_rename_reaches_every_file(client: LanguageClient, folder: Path) -> None:
    plan, parts = folder / "shed.plan", folder / "parts.plan"
    client.text_document_did_open(item(plan, USING))
    await settled(client, plan)
    name = USING.splitlines().index("    locks ES1")
    at = lsp.RenameParams(lsp.TextDocumentIdentifier(plan.as_uri()), lsp.Position(name, 11), "ES9")
    edit = await client.text_document_rename_async(at)
    assert edit is not None
    assert edit.changes is not None
    assert {uri: len(edits) for uri, edits in edit.changes.items()} == {plan.as_uri(): 3, parts.as_uri(): 1}


RULE = """\
pack ours "Ours"

rule strikes-are-counted {
    title     "There are few strikes"
    severity  warning
    basis     "house rule" grade common practice
    known limits "None."
    for each  lock L
    require   (count load X of L) < 1
    found     "{L} draws"
    required  "nothing"
    remedy    "None."
    passes "none" {
        cable C1 { conductors 2 of 18 AWG; length 20 ft }
    }
    fails "one" {
        electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure }
    }
}
"""


async def test_a_rule_of_the_company_counts_as_it_is_written(client: LanguageClient, tmp_path: Path) -> None:
    """A pack that the company's file adopts: a rule of it changed in the editor is the rule of the open plan."""
    rules, plan = tmp_path / "ours" / "ours.rules", tmp_path / "shed.plan"
    rules.parent.mkdir()
    rules.write_text(RULE, encoding="utf-8")
    house = 'house "Boat school" {\n    packs "ours"\n    adopt "ours"\n}\n'
    (tmp_path / HOUSE_FILE).write_text(house, encoding="utf-8")
    client.text_document_did_open(item(plan, SHED))
    await hears(client, plan, of_rule("ours/strikes-are-counted"))
    client.text_document_did_open(item(rules, RULE))
    client.text_document_did_change(whole(rules, RULE.replace("< 1", "< 9"), 2))
    await hears(client, plan, of_rule("ours/strikes-are-counted"), ends=True)
    # The example that must fail passes now.
    await hears(client, rules, of_rule("file/example"))
