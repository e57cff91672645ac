"""Claims about what counts as a change of a regimen."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from enum import Enum
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import Motion, Route
from fillcards.plan.replacing import Change, ChangeKind, check_changes, compare_regimens
from fillcards.problems import Place, RegimenRefused
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


def test_a_changed_regimen_may_replace_the_old_one() -> None:
    """Nothing stands against a card of the same patient with another dose."""
    assert check_changes(make_old(), make_old(make_fill(clear="9 units", cloudy="18 units"))) == ()


@pytest.mark.parametrize(
    ("other", "keys"),
    [
        (Patient(name="Another Patient"), "name under patient does not"),
        (Patient(name="Another Patient", kind=PatientKind.ANIMAL), "name and kind under patient do not"),
    ],
    ids=["one", "two"],
)
def test_the_refusal_names_the_keys_that_differ(other: Patient, keys: str) -> None:
    """Whoever reads the message knows which lines under patient to look at, and where they are."""
    (problem,) = check_changes(make_old(), replace(make_old(), patient=replace(other, place=Place(4, 3, "patient"))))
    assert problem.found.startswith(keys)
    assert problem.place == Place(4, 3, "patient")


def test_an_identifier_alone_shows_one_patient() -> None:
    """Of name and second identifier one is enough, where a clinic prints no names."""
    old = replace(make_old(), patient=Patient(second_identifier="ward 3"))
    assert check_changes(old, replace(old, fills=(make_fill(clear="9 units"),))) == ()
    nameless = replace(old, patient=Patient())
    (problem,) = check_changes(nameless, replace(nameless, fills=(make_fill(clear="9 units"),)))
    assert problem.found.startswith("name under patient")


@pytest.mark.parametrize(
    ("detail", "before", "after"),
    [
        ("look", "clear", "clear yellow"),
        ("motion", Motion.NONE, Motion.ROLL),
        ("takes_air", True, False),
        ("route", Route.UNDER_THE_SKIN, Route.INTO_MUSCLE),
        ("on_the_label", None, "R"),
        ("vial_mark", None, "one rubber band"),
        ("vial_ml", Fraction(10), Fraction(3)),
        ("in_use_days", 28, 14),
        ("warning", None, "High alert."),
    ],
)
def test_each_detail_of_a_medicine_is_told(detail: str, before: object, after: object) -> None:
    """How the vial looks, is told apart, handled, given and kept touches the dose, and is told with its medicine."""
    changed = replace(CLEAR, **{detail: before}), replace(CLEAR, **{detail: after})  # type: ignore[arg-type]  # the cases name the fields
    old, new = (replace(make_old(), medicines=(medicine, CLOUDY)) for medicine in changed)
    (change,) = compare_regimens(old, new)
    assert (change.kind, change.detail, change.medicine) == (ChangeKind.DETAIL, detail, "insulin regular")
    assert (change.old is None) is (before is None)
    assert change.new == str(after.value if isinstance(after, Enum) else after)


@pytest.mark.parametrize("detail", ["numbered_every", "long_every"])
def test_other_numbers_on_the_barrel_are_told(detail: str) -> None:
    """The count in words goes by the numbered and the long lines, so a barrel with others is another barrel."""
    old = make_old()
    other = replace(old.syringe, **{detail: Fraction(10)})  # type: ignore[arg-type]  # the cases name the fields
    (change,) = compare_regimens(old, replace(old, syringe=other))
    assert (change.detail, change.old, change.new, change.medicine) == (detail, "5", "10", None)


def test_a_medicine_new_in_the_file_is_told_where_it_is_drawn() -> None:
    """A medicine under a new key has nothing to be compared with; the fill it was added to tells it."""
    old = replace(make_old(make_fill(clear="8 units")), medicines=(CLEAR,))
    (change,) = compare_regimens(old, make_old())
    assert (change.kind, change.medicine) == (ChangeKind.MEDICINE_ADDED, "insulin isophane")
    assert (change.old_dose, change.new_dose) == (None, dose("18 units"))
    assert (change.old_stops, change.new_stops) == ((Fraction(8),), (Fraction(8), Fraction(26)))


def test_a_removed_medicine_is_named_from_the_old_file() -> None:
    """What is gone from the file as well keeps the name it had."""
    new = replace(make_old(make_fill(clear="8 units")), medicines=(CLEAR,))
    (change,) = compare_regimens(make_old(), new)
    assert (change.kind, change.medicine) == (ChangeKind.MEDICINE_REMOVED, "insulin isophane")


def test_a_medicine_under_both_keys_is_named_from_the_new_file() -> None:
    """Where the vial behind a key changed together with the dose, the dose is told with what is drawn now."""
    new = replace(
        make_old(make_fill(clear="9 units", cloudy="18 units")),
        medicines=(make_insulin("clear", "insulin aspart"), CLOUDY),
    )
    (change,) = [change for change in compare_regimens(make_old(), new) if change.kind is ChangeKind.DOSE]
    assert change.medicine == "insulin aspart"


def test_a_dose_without_a_volume_has_no_stops() -> None:
    """Where one dose of a fill cannot be turned into a line, no stops are told, and the change still is."""
    new = replace(
        make_old(make_fill(clear="9 units", cloudy="18 units")), medicines=(replace(CLEAR, strength=None), CLOUDY)
    )
    (change,) = [change for change in compare_regimens(make_old(), new) if change.kind is ChangeKind.DOSE]
    assert (change.old_stops, change.new_stops) == ((Fraction(8), Fraction(26)), ())


def test_an_added_fill_has_new_stops_only() -> None:
    """What was not there before stopped nowhere."""
    old = make_old()
    new = replace(old, fills=(*old.fills, make_fill("before supper", clear="6 units", cloudy="12 units")))
    (change,) = compare_regimens(old, new)
    assert (change.old_stops, change.new_stops) == ((), (Fraction(6), Fraction(18)))


MON, TUE, WED = Weekday.MONDAY, Weekday.TUESDAY, Weekday.WEDNESDAY


@pytest.mark.parametrize(
    ("old_days", "new_days", "old_dose"),
    [
        pytest.param(((MON, TUE), (TUE,)), (TUE,), "6 units", id="the same days before overlapping ones"),
        pytest.param(((MON,), (TUE, WED)), (WED,), "6 units", id="overlapping days before others"),
        pytest.param(((MON,), (TUE,)), (WED,), "8 units", id="else the first at that time"),
    ],
)
def test_of_fills_at_one_time_the_days_decide(
    old_days: tuple[tuple[Weekday, ...], ...], new_days: tuple[Weekday, ...], old_dose: str
) -> None:
    """A changed fill is compared with the old one it most plainly stands for."""
    amounts = ("8 units", "6 units")
    fills = (replace(make_fill(clear=amount), days=days) for amount, days in zip(amounts, old_days, strict=True))
    new = make_old(replace(make_fill(clear="9 units"), days=new_days))
    (change,) = [change for change in compare_regimens(make_old(*fills), new) if change.kind is ChangeKind.DOSE]
    assert change.old_dose == dose(old_dose)


def test_days_are_told_one_by_one() -> None:
    """Fewer days than seven are told by their names."""
    new = make_old(replace(make_old().fills[0], days=(MON, WED)))
    (change,) = compare_regimens(make_old(), new)
    assert change.new == "monday, wednesday"


def test_same_time_on_other_days_is_matched_by_its_days() -> None:
    """Two fills at one time on different days are each compared with their own."""
    week = (Weekday.MONDAY, Weekday.TUESDAY)
    weekend = (Weekday.SATURDAY,)
    old = make_old(replace(make_fill(clear="8 units"), days=week), replace(make_fill(clear="6 units"), days=weekend))
    new = make_old(replace(make_fill(clear="6 units"), days=weekend), replace(make_fill(clear="9 units"), days=week))
    (change,) = compare_regimens(old, new)
    assert (change.kind, change.old_dose, change.new_dose) == (ChangeKind.DOSE, dose("8 units"), dose("9 units"))
