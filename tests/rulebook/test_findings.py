"""What a finding says, where it points, and how jurisdictions bear on it: worked out by hand."""

from __future__ import annotations

from plancheck.circuit.conditions import Levels, Truth
from plancheck.finding import Finding
from tests.rulebook.small import EVERY, MAINS, SPACE, book, judged, levels, on, rule_text

Facts = dict[str, Levels | Truth | str | float]


def findings(body: str, facts: Facts, **rule: str) -> list[Finding]:
    verdicts = judged(book(rule_text(body, **rule)), facts)
    assert verdicts.gaps == ()
    return list(verdicts.findings)


# --- what a finding says -----------------------------------------------------------------------------------

FULL = """
for each lock L of door D
where L.keeps is given
require in every condition: L.volts <= most * L.rated-volts
at D.locks
also at L, D
path L
headline "{L} of {D}"
found "{L.volts} of {L.rated-volts}, {condition}"
required "at most {most} = {most * L.rated-volts}"
remedy "do {L.keeps} or {L.spare-parts}"
evidence "volts at {L}" is L.volts against most * L.rated-volts
evidence "share" is L.volts / L.rated-volts against at most most
evidence "kind" is L.kind
evidence "held" is L energised
evidence "locks" is D.locks
"""


def full() -> Finding:
    facts: Facts = {
        "L1 volts": levels(SPACE, (SPACE.on(MAINS), 23.456789), (EVERY & ~SPACE.on(MAINS), 0.0)),
        "L1 energised": on(MAINS),
    }
    (finding,) = findings(FULL, facts, head="limit most = 25 %\nlife-safety")
    return finding


def test_the_words_of_a_finding() -> None:
    finding = full()
    assert finding.rule == "test/r"
    assert (finding.severity, finding.life_safety) == ("error", True)
    assert finding.headline == "L1 of D1"
    assert finding.found == "23.46 V of 24 V, in normal condition"
    assert finding.required == "at most 25 % = 6 V"
    assert finding.remedy == "do latch or not given"
    assert finding.basis == ("common practice, no source",)
    assert finding.path == ("L1:+", "L1:-")


def test_the_evidence_of_a_finding() -> None:
    assert [(e.what, e.value, e.unit, e.limit) for e in full().evidence] == [
        ("volts at L1", 23.4568, "V", "at most 6 V"),
        ("share", 97.7366, "%", "at most 25 %"),
        ("kind", "holder", "", ""),
        ("held", "yes", "", ""),
        ("locks", "L1, L2", "", ""),
    ]


def test_where_a_finding_points() -> None:
    finding = full()
    assert finding.subject == "D1"
    assert finding.at.line == 7
    assert finding.at.text.startswith("L1")
    assert [s.line for s in finding.also_at] == [3, 7]


def test_the_fingerprint_tells_things_and_groups_apart() -> None:
    says = '\nfound "x"\nrequired "y"\nremedy "z"'
    found = findings(f"for each lock L of door D\nrequire no\nat D{says}\nfor each door D\nrequire no{says}", {})
    assert [f.subject for f in found] == ["D1", "D1", "D1", "D2"]
    assert len({f.fingerprint for f in found}) == 4


def test_a_second_group_takes_the_first_remedy() -> None:
    says = '\nfound "x"\nrequired "y"'
    body = f'for each lock L\nrequire yes{says}\nremedy "mend it"\nfor each door D\nrequire no{says}'
    assert {f.remedy for f in findings(body, {})} == {"mend it"}


# --- jurisdictions -----------------------------------------------------------------------------------------


def in_jurisdiction(tag: str, body: str, head: str) -> list[tuple[str, str, tuple[str, ...]]]:
    header = f"jurisdiction {tag}\n" if tag else ""
    text = f'plan "J"\n{header}holder L1 {{ rated 24 Vdc, 1 A }}\nholder L2 {{ rated 12 Vdc, 1 A }}\n'
    verdicts = judged(book(rule_text(body, head=head)), {}, text)
    return [(f.subject, f.required, f.basis) for f in verdicts.findings]


BY_PLACE = 'limit in us most = 20 V\nlimit most = 10 V\nbasis us "A"\nbasis eu "B" grade from memory'
DEMAND = 'for each lock L\nrequire L.rated-volts <= most\nrequired "at most {most}"'
COMMON = "common practice, no source"


def test_limits_and_basis_go_by_jurisdiction() -> None:
    assert in_jurisdiction("us", DEMAND, BY_PLACE) == [("L1", "at most 20 V", (COMMON, "A"))]
    assert in_jurisdiction("eu", DEMAND, BY_PLACE) == [
        ("L1", "at most 10 V", (COMMON, "B (from memory)")),
        ("L2", "at most 10 V", (COMMON, "B (from memory)")),
    ]


def test_a_plan_of_no_jurisdiction_is_held_to_the_stricter_limit_and_told_so() -> None:
    told = " (the plan states no jurisdiction: held to the stricter limit, eu)"
    basis = (COMMON, "A", "B (from memory)")
    assert in_jurisdiction("", DEMAND, BY_PLACE) == [
        ("L1", f"at most 10 V{told}", basis),
        ("L2", f"at most 10 V{told}", basis),
    ]


def test_a_rule_may_be_of_one_jurisdiction_only() -> None:
    head = "only in us\nlimit in us most = 20 V"
    assert [s for s, _, _ in in_jurisdiction("us", DEMAND, head)] == ["L1"]
    assert in_jurisdiction("eu", DEMAND, head) == []
    assert [s for s, _, _ in in_jurisdiction("", DEMAND, head)] == ["L1"]
