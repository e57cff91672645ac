"""Claims about what counts as a change of a regimen."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.plan.replacing import Change, ChangeKind, check_changes, compare_regimens
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import Contact, Fill, Needle, Patient, PatientKind, Regimen, Review, Weekday

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, CLOUDY, dose, make_fill, make_insulin, make_regimen, make_syringe, strength

PATIENT = Patient(name="Sample Patient")


def make_old(*fills: Fill) -> Regimen:
    """The old regimen: 8 and 18 before breakfast unless other fills are named."""
    return replace(make_regimen(*(fills or (make_fill(clear="8 units", cloudy="18 units"),))), patient=PATIENT)


def test_changed_dose_tells_both_doses_and_both_stops() -> None:
    """18 became 16: from line 8 and 26 to line 8 and 24."""
    new = make_old(make_fill(clear="8 units", cloudy="16 units"))
    assert compare_regimens(make_old(), new) == (
        Change(
            ChangeKind.DOSE,
            when="before breakfast",
            medicine="insulin isophane",
            old_dose=dose("18 units"),
            new_dose=dose("16 units"),
            old_stops=(Fraction(8), Fraction(26)),
            new_stops=(Fraction(8), Fraction(24)),
        ),
    )


def test_order_in_the_file_is_no_change() -> None:
    """Fills in another order, and doses in another order within a fill, are the same regimen."""
    supper = make_fill("before supper", clear="6 units", cloudy="12 units")
    old = make_old(make_fill(clear="8 units", cloudy="18 units"), supper)
    new = make_old(supper, make_fill(cloudy="18 units", clear="8 units"))
    assert [problem.code for problem in check_changes(old, new)] == ["CHANGE-002"]


def test_added_and_removed_fills_are_told() -> None:
    """A fill at another time is one removed and one added."""
    new = make_old(make_fill("before supper", clear="8 units", cloudy="18 units"))
    kinds = [(change.kind, change.when) for change in compare_regimens(make_old(), new)]
    assert kinds == [(ChangeKind.FILL_ADDED, "before supper"), (ChangeKind.FILL_REMOVED, "before breakfast")]


def test_medicine_taken_out_of_a_fill_is_told() -> None:
    """A dose that is gone is a change without a new dose."""
    (change,) = compare_regimens(make_old(), make_old(make_fill(clear="8 units")))
    assert (change.kind, change.medicine, change.new_dose) == (ChangeKind.MEDICINE_REMOVED, "insulin isophane", None)
    assert change.new_stops == (Fraction(8),)


def test_another_medicine_under_the_same_key_is_told() -> None:
    """The key is the user's word; what is in the vial counts."""
    new = replace(make_old(), medicines=(make_insulin("clear", "insulin aspart"), CLOUDY))
    kinds = {change.kind: (change.old, change.new) for change in compare_regimens(make_old(), new)}
    assert kinds[ChangeKind.MEDICINE] == ("insulin regular", "insulin aspart")


def test_syringe_and_strength_are_told() -> None:
    """Another syringe and another strength are changes in words."""
    old = make_old()
    new = replace(
        old,
        syringe=make_syringe(capacity_ml="0.3"),
        medicines=(replace(CLEAR, strength=strength("40 units/mL")), CLOUDY),
    )
    found = {(change.kind, change.old, change.new) for change in compare_regimens(old, new)}
    assert (
        ChangeKind.SYRINGE,
        "0.5 mL U-100 with a line every 1 unit",
        "0.3 mL U-100 with a line every 1 unit",
    ) in found
    assert (ChangeKind.STRENGTH, "100 units/mL", "40 units/mL") in found


@pytest.mark.parametrize(
    ("new", "kind", "before", "after"),
    [
        (make_old(replace(make_old().fills[0], minutes_before=30)), ChangeKind.MINUTES_BEFORE, None, "30"),
        (make_old(replace(make_old().fills[0], days=(Weekday.MONDAY,))), ChangeKind.DAYS, "every day", "monday"),
        (replace(make_old(), notes="Keep it cold."), ChangeKind.DETAIL, None, "Keep it cold."),
        (
            replace(make_old(), syringe=make_syringe(needle=Needle.DETACHABLE)),
            ChangeKind.DETAIL,
            "fixed",
            "detachable",
        ),
    ],
    ids=["minutes", "days", "notes", "needle"],
)
def test_smaller_changes_are_told(new: Regimen, kind: ChangeKind, before: str | None, after: str) -> None:
    """Minutes, days, notes and needle touch how the dose is given."""
    (change,) = compare_regimens(make_old(), new)
    assert (change.kind, change.old, change.new) == (kind, before, after)


@pytest.mark.parametrize(
    "other",
    [
        Patient(name="Another Patient"),
        Patient(name="Sample Patient", second_identifier="ward 3"),
        Patient(name="Sample Patient", kind=PatientKind.ANIMAL),
        Patient(),
    ],
    ids=["name", "identifier", "kind", "nameless"],
)
def test_other_patient_is_refused(other: Patient) -> None:
    """A card never tells one patient to throw away another's, and the message names no patient."""
    new = replace(make_old(make_fill(clear="6 units")), patient=other)
    with pytest.raises(RegimenRefused) as refusal:
        compare_regimens(make_old(), new)
    (problem,) = refusal.value.problems
    assert problem.code == "CHANGE-001"
    assert "Patient" not in str(problem.as_dict())


def test_two_nameless_files_are_refused() -> None:
    """Without name and identifier nobody can tell that two files are of one patient."""
    nameless = replace(make_old(), patient=Patient())
    changed = replace(nameless, fills=(make_fill(clear="6 units"),))
    assert [problem.code for problem in check_changes(nameless, changed)] == ["CHANGE-001"]


def test_what_does_not_touch_the_dose_is_no_change() -> None:
    """Contacts, review, and the dates of a vial may differ; that alone is no change."""
    new = replace(
        make_old(),
        contacts=(Contact("Clinic", "555-0100"),),
        review=Review(date=date(2026, 11, 25)),
        medicines=(replace(CLEAR, opened=date(2026, 11, 2)), CLOUDY),
    )
    with pytest.raises(RegimenRefused) as refusal:
        compare_regimens(make_old(), new)
    assert [problem.code for problem in refusal.value.problems] == ["CHANGE-002"]


def test_same_time_on_other_days_is_matched_by_its_days() -> None:
    """Two fills at one time on different days are each compared with their own."""
    week = (Weekday.MONDAY, Weekday.TUESDAY)
    weekend = (Weekday.SATURDAY,)
    old = make_old(replace(make_fill(clear="8 units"), days=week), replace(make_fill(clear="6 units"), days=weekend))
    new = make_old(replace(make_fill(clear="6 units"), days=weekend), replace(make_fill(clear="9 units"), days=week))
    (change,) = compare_regimens(old, new)
    assert (change.kind, change.old_dose, change.new_dose) == (ChangeKind.DOSE, dose("8 units"), dose("9 units"))
