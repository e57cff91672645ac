"""Each rule against example files, found by listing ``examples/<code>``: those that break it and those that do not."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import pytest

from fillcards.plan.rules import RULES, check_rules
from fillcards.plan.rules.review import check_card_date, check_release
from fillcards.problems import RegimenRefused
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import read_regimen

TODAY = datetime.date(2026, 11, 29)
EXAMPLES = Path(__file__).parent / "examples"
FAILING = sorted(EXAMPLES.glob("*/fails-*.yaml"))
PASSING = sorted(EXAMPLES.glob("*/passes-*.yaml"))

OWN_CODE = "SELF"
"""Stands in an example for the card's own code."""

# Where the reader of the file refuses already; the rule still guards regimens that come another way, and has tests of
# its own on regimens built by hand.
SAID_BY_READER = {"MIX-001": "FILL-002", "WHEN-002": "DAYS-002"}


def name_example(path: Path) -> str:
    """Folder and file, as the test's name."""
    return f"{path.parent.name}/{path.stem}"


def list_found_codes(path: Path) -> set[str]:
    """Every code that the reader and the rules give for a file."""
    try:
        regimen = read_regimen(path.read_text(encoding="utf-8"))
    except RegimenRefused as refusal:
        return {problem.code for problem in refusal.problems}
    if regimen.review.checked_code == OWN_CODE:
        # A card's code changes with every sentence of its language, so an example cannot hold it.
        regimen = replace(regimen, review=replace(regimen.review, checked_code=compute_card_code(regimen)))
    return list_codes(regimen)


def list_codes(regimen: Regimen) -> set[str]:
    """Every code that the rules, the dates on one fixed day and a release give."""
    problems = (*check_rules(regimen), *check_card_date(regimen, TODAY), *check_release(regimen, (), TODAY))
    return {problem.code for problem in problems}


@pytest.mark.parametrize("path", FAILING, ids=name_example)
def test_breach_is_found(path: Path) -> None:
    """A file that breaks the rule gets its code."""
    code = path.parent.name
    assert SAID_BY_READER.get(code, code) in list_found_codes(path)


@pytest.mark.parametrize("path", PASSING, ids=name_example)
def test_near_miss_is_let_through(path: Path) -> None:
    """A file that keeps the rule can be read and does not get its code."""
    regimen = read_regimen(path.read_text(encoding="utf-8"))
    assert path.parent.name not in list_codes(regimen)


def test_every_rule_has_examples_of_both_kinds() -> None:
    """No rule without a file that breaks it and one that keeps it."""
    codes = (
        {rule.code for rule in RULES}
        | {"RELEASE-001", "RELEASE-003", "RELEASE-004", "RELEASE-005"}
        | {"DATE-003", "DATE-004"}
    )
    assert {path.parent.name for path in FAILING} == codes
    assert {path.parent.name for path in PASSING} == codes


def test_no_other_files_are_among_the_examples() -> None:
    """A misnamed example would be skipped in silence."""
    assert {path for path in EXAMPLES.rglob("*") if path.is_file()} == {*FAILING, *PASSING}
