"""Both renderings of every sample: the letter fits its page, the JSON fits its schema."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest

from plancheck.render.columns import width
from plancheck.render.json_report import as_json, schema
from plancheck.render.layout import Page
from plancheck.render.text import letter
from tests.samples.test_samples import FAULTY, PLANS, review

VERDICTS = re.compile(r"\b(compliant|approved|safe)\b", re.IGNORECASE)


@pytest.mark.parametrize("columns", [60, 100])
def test_letters_fit_their_page(columns: int) -> None:
    lines = letter([review(path) for path in PLANS], Page(columns)).split("\n")
    assert [line for line in lines if width(line) > columns] == []


def test_json_fits_its_schema() -> None:
    report = json.loads(as_json([review(path) for path in PLANS]))
    assert list(jsonschema.Draft202012Validator(schema()).iter_errors(report)) == []


def test_every_finding_says_all_that_it_owes() -> None:
    for path in FAULTY:
        for finding in review(path).findings:
            owed = (finding.headline, finding.found, finding.required, finding.remedy, finding.basis, finding.subject)
            assert all(owed), finding.rule
            assert finding.check_local_code == finding.life_safety


def test_fingerprints_are_apart() -> None:
    for path in FAULTY:
        prints = [finding.fingerprint for finding in review(path).findings]
        assert len(set(prints)) == len(prints)


def test_no_letter_gives_a_verdict() -> None:
    text = " ".join(letter([review(path) for path in PLANS], Page(400)).split())
    # "fails safe" and "fail-safe" are a lock's fail mode, SAFE a gate operator's terminal: no verdict on the plan.
    assert VERDICTS.findall(re.sub(r"fails?[ -]safe|:SAFE\d*\b", "", text)) == []
