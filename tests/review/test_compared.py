"""Two revisions compared: each sort of change by hand; what is no change shows nothing."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from random import Random

import networkx as nx
import pytest

from plancheck.review.comparing.compare import compared
from plancheck.review.comparing.comparison import Change, Comparison, NetChange
from plancheck.review.comparing.nets import nets
from tests.render.works import SAMPLES, document_of, name_of, reviewed_sample
from tests.review.planned import reviewed
from tests.review.test_acceptance import ONE_LOCK


def _compared(old: str, new: str) -> Comparison:
    return compared(reviewed(old), reviewed(new))


def _instead(old: str, new: str) -> Comparison:
    assert old in ONE_LOCK
    return _compared(ONE_LOCK, ONE_LOCK.replace(old, new))


def test_the_same_plan() -> None:
    assert not _compared(ONE_LOCK, ONE_LOCK).changed


def test_other_words_for_the_same() -> None:
    """Order, layout, comments, the other end of a wire first, a unit of the same size, a title."""
    lines = ONE_LOCK.strip().splitlines()[::-1]
    other = "\n# turned round\n".join(lines).replace("wire PS1:+ to EB1:COM", "wire EB1:COM   to PS1:+")
    other = other.replace("250 mA", "0.25 A").replace("door D1 {", 'door D1 "Hall" {')
    found = _compared(ONE_LOCK, other)
    assert (found.changed, found.title, found.renamed) == (False, (), ())


def test_data() -> None:
    found = _instead("rated 24 Vdc, 250 mA", "rated 24 Vdc, 500 mA")
    assert found.data == (Change("ML1", "rated amps", "250 mA", "500 mA"),)
    # 0.25 A more through 1.307 ohm: the lock stands 0.32 V lower (24 V x 48 / 49.307 against 96 / 97.307).
    (state,) = [change for change in found.states if change.what == "in normal condition"]
    assert [float(told.split()[1]) for told in (state.old, state.new)] == pytest.approx([23.68, 23.36], abs=0.02)
    assert (found.come, found.gone, found.nets, found.conductors) == ((), (), (), ())


def test_a_contact_taken_for_the_other() -> None:
    found = _instead("wire EB1:NC to ML1:+", "wire EB1:NO to ML1:+")
    assert found.nets == (NetChange(("ML1:+",), ("EB1:NO",), ("EB1:NC",)),)
    assert {(c.of, c.old, c.new) for c in found.conductors} == {
        ("EB1:NC to ML1:+", "jumper", ""),
        ("EB1:NO to ML1:+", "", "jumper"),
    }
    assert any(c.what == "EB1 pressed" and c.old.startswith("released") for c in found.states)
    assert any(finding.life_safety for finding in found.findings_come)


def test_a_device_comes_and_goes() -> None:
    more = ONE_LOCK + "clamp MV1 { rated 38 Vdc }\nwire MV1:1 to ML1:+\nwire MV1:2 to ML1:-\n"
    found = _compared(ONE_LOCK, more)
    assert (found.come, found.gone) == (("MV1",), ())
    assert [finding.rule for finding in found.findings_gone] == ["electrical/coil-suppression"]
    back = _compared(more, ONE_LOCK)
    assert (back.come, back.gone) == ((), ("MV1",))
    assert [(n.joined, n.left) for n in back.nets] == [((), ("MV1:1",)), ((), ("MV1:2",))]


def test_a_device_under_another_name() -> None:
    found = _compared(ONE_LOCK, ONE_LOCK.replace("ML1", "ML7").replace("EB1", "EB7"))
    assert dict(found.renamed) == {"ML1": "ML7", "EB1": "EB7"}
    assert (found.changed, found.come, found.gone, found.states) == (False, (), (), ())


def test_a_conductor_and_its_run() -> None:
    found = _instead("in C1/black", "in C1/white")
    assert [(c.of, c.old, c.new) for c in found.conductors] == [("ML1:- to PS1:-", "C1/black", "C1/white")]
    assert found.nets == ()


def test_the_title_block_is_told_apart() -> None:
    old = reviewed(ONE_LOCK)
    new = reviewed(ONE_LOCK.replace("supply", "supply", 1))
    assert compared(old, new).title == ()


@pytest.mark.parametrize("path", [path for path in SAMPLES if path.parent.name == "samples"], ids=name_of)
def test_statements_in_another_order_are_no_change(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    pieces = re.split(r"(?m)^(?=[a-z])", text)
    head = [piece for piece in pieces if not re.match(r"wire|cable", piece)]
    rest = [piece if piece.endswith("\n") else piece + "\n" for piece in pieces if re.match(r"wire|cable", piece)]
    Random(path.stem).shuffle(rest)
    found = compared(reviewed_sample(path), reviewed_sample(path, "".join(head + rest)))
    assert found == replace(found, **dict.fromkeys(_CHANGES, ()))


_CHANGES = (
    "title", "come", "gone", "renamed", "data", "nets", "conductors", "states", "findings_come", "findings_gone",
    "findings_changed",
)  # fmt: skip


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_nets_are_what_a_graph_library_says(path: Path) -> None:
    """Connected components of wires and links, by networkx, made here anew."""
    graph = document_of(path).works.facts.graph
    wired = nx.Graph([(w.a.key, w.b.key) for w in graph.plan.wires])
    inside = [(b.a, b.b) for b in graph.branches if b.what == "link"]
    wired.add_edges_from(inside)
    ends = {end for w in graph.plan.wires for end in (w.a.key, w.b.key)}
    expected = {frozenset(c & ends) for c in nx.connected_components(wired) if len(c & ends) > 1}
    assert set(nets(graph)) == expected


def test_a_sound_plan_and_its_faulty_twin_change_what_the_faulty_one_is_found_with() -> None:
    sound, faulty = (
        reviewed_sample(next(p for p in SAMPLES if p.stem == stem)) for stem in ("rear-exit", "rear-exit-faulty")
    )
    found = compared(sound, faulty)
    assert {f.fingerprint for f in found.findings_come} == {f.fingerprint for f in faulty.report.findings}
    assert found.findings_gone == ()
    assert [(c.what, c.old, c.new) for c in found.title] == [
        ("revision", "C", "A"),
        ("date", "2026-11-20", "2026-10-02"),
    ]
