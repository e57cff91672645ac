"""Claims about the check of a card, and that it cannot outlive a change."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fillcards.plan.rules import check_rules
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import Patient, PatientKind, Regimen, Review

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_fill, make_mixed


def mark_checked(regimen: Regimen) -> Regimen:
    """The regimen with a check of exactly what it is now."""
    review = Review(
        prepared_by="Sample Nurse",
        checked_by="Sample Pharmacist",
        checked_on=date(2026, 11, 25),
        checked_code=compute_card_code(regimen),
    )
    return replace(regimen, review=review)


def list_check_codes(regimen: Regimen) -> set[str]:
    """The codes about the check that a regimen gets."""
    return {problem.code for problem in check_rules(regimen) if problem.code.startswith("CHECK")}


def test_checked_card_gets_no_caution() -> None:
    """A check with the card's own code is a check."""
    assert list_check_codes(mark_checked(make_mixed("8 units", "18 units"))) == set()


@pytest.mark.parametrize("key", ["prepared_by", "checked_by", "checked_on", "checked_code"])
def test_a_check_that_leaves_something_open_is_none(key: str) -> None:
    """Who prepared, who checked, on which day, for which code: what is missing is named."""
    checked = mark_checked(make_mixed("8 units", "18 units"))
    regimen = replace(checked, review=replace(checked.review, **{key: None}))  # type: ignore[arg-type]  # the cases name the fields
    (problem,) = (problem for problem in check_rules(regimen) if problem.code == "CHECK-001")
    assert problem.found == f"a check without {key}"


def test_check_ends_with_a_change_of_dose() -> None:
    """One dose changed after the check: the check is stale, not merely missing."""
    checked = mark_checked(make_mixed("8 units", "18 units"))
    changed = replace(checked, fills=(make_fill(clear="8 units", cloudy="16 units"),))
    assert list_check_codes(changed) == {"CHECK-002"}


@pytest.mark.parametrize(
    ("prepared_by", "checked_by", "is_same"),
    [
        ("Sample Nurse", "Sample Nurse", True),
        ("Sample Nurse", "SAMPLE NURSE", True),
        ("SAMPLE NURSE", "Sample Nurse", True),
        ("Sample Nurse", "Sample Pharmacist", False),
        ("Cara Low", "CL", True),
        ("Cara Low", "C. Low", True),
        ("Sample Nurse", None, False),
        (None, "Sample Pharmacist", False),
        (None, None, False),
    ],
)
def test_who_prepared_a_card_does_not_check_it(prepared_by: str | None, checked_by: str | None, is_same: bool) -> None:
    """One person under both keys, in any spelling, is told; a key left out is no person."""
    review = Review(prepared_by=prepared_by, checked_by=checked_by)
    assert ("CHECK-003" in list_check_codes(replace(make_mixed("8 units", "18 units"), review=review))) is is_same


@pytest.mark.parametrize(("kind", "is_told"), [(PatientKind.PERSON, True), (PatientKind.ANIMAL, False)])
def test_a_patient_checks_no_card(kind: PatientKind, is_told: bool) -> None:
    """The patient's own name is no second person; an animal's name may be somebody's."""
    review = Review(prepared_by="Cara Low", checked_by="Max Moe")
    regimen = replace(make_mixed("8 units", "18 units"), patient=Patient(name="Max Moe", kind=kind), review=review)
    assert ("CHECK-003" in list_check_codes(regimen)) is is_told


def test_unchecked_card_is_told_its_code() -> None:
    """The caution names the code to be written once somebody has checked."""
    regimen = make_mixed("8 units", "18 units")
    (problem,) = (problem for problem in check_rules(regimen) if problem.code == "CHECK-001")
    assert compute_card_code(regimen) in problem.expected
