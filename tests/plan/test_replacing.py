"""Claims about what is new since the replaced card, and about what a file may say of that card."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.plan.fills import plan_fills
from fillcards.plan.replacing import Change, ChangeKind, check_changes, compare_replaced, describe_replaced
from fillcards.problems import Place
from fillcards.regimen.fingerprint import compute_fingerprint
from fillcards.regimen.model import Fill, Patient, PatientKind, Regimen, ReplacedStop, Review, Weekday

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, CLOUDY, make_fill, make_insulin, make_regimen

PATIENT = Patient(name="Sample Patient")
WEEK = (Weekday.MONDAY, Weekday.TUESDAY, Weekday.WEDNESDAY, Weekday.THURSDAY, Weekday.FRIDAY)
WEEKEND = (Weekday.SATURDAY, Weekday.SUNDAY)


def make_old(*fills: Fill) -> Regimen:
    """The old regimen: 8 and 18 before breakfast unless other fills are named."""
    made = make_regimen(*(fills or (make_fill(clear="8 units", cloudy="18 units"),)))
    return replace(made, patient=PATIENT, review=Review(date=date(2026, 11, 2)))


def succeed(old: Regimen, *fills: Fill) -> Regimen:
    """The regimen that replaces an old one, with other fills and a later date."""
    return replace(old, fills=fills, replaces=describe_replaced(old), review=Review(date=date(2026, 11, 25)))


def compare(old: Regimen, *fills: Fill) -> tuple[Change, ...]:
    """What is new where these fills take the place of the old ones."""
    return compare_replaced(plan_fills(succeed(old, *fills)))


def on(days: tuple[Weekday, ...], **doses: str) -> Fill:
    """A fill before breakfast on some days."""
    return replace(make_fill(**doses), days=days)


def test_a_file_that_replaces_nothing_tells_nothing() -> None:
    """Without ``replaces`` there is no older card to speak of."""
    assert compare_replaced(plan_fills(make_old())) == ()


def test_a_changed_dose_tells_both_pairs_of_lines() -> None:
    """8 and 18 stop at 8 and 26, 8 and 16 at 8 and 24: the second stop is the sum."""
    (change,) = compare(make_old(), make_fill(clear="8 units", cloudy="16 units"))
    assert (change.kind, change.days) == (ChangeKind.LINES, ())
    assert change.old_stops == (Fraction(8), Fraction(26))
    assert change.new_stops == (Fraction(8), Fraction(24))


def test_one_time_twice_is_compared_day_by_day() -> None:
    """Weekday and weekend share the name of a meal; each is compared with its own old lines."""
    old = make_old(on(WEEK, clear="8 units"), on(WEEKEND, clear="6 units"))
    weekend, week = on(WEEKEND, clear="7 units"), on(WEEK, clear="8 units")
    first, second = compare(old, weekend, week)
    assert (first.kind, first.fill, first.old_stops) == (ChangeKind.LINES, weekend, (Fraction(6),))
    assert (second.kind, second.fill) == (ChangeKind.SAME_LINES, week)


def test_a_fill_parted_by_days_tells_the_old_lines_of_each() -> None:
    """Every day became weekdays and weekend: only the weekend's line moved."""
    week, weekend = compare(
        make_old(make_fill(clear="8 units")), on(WEEK, clear="8 units"), on(WEEKEND, clear="9 units")
    )
    assert week.kind is ChangeKind.SAME_LINES
    assert (weekend.kind, weekend.days, weekend.old_stops) == (ChangeKind.LINES, (), (Fraction(8),))


def test_fills_joined_over_days_tell_which_days_were_otherwise() -> None:
    """Weekdays and weekend became every day with the weekdays' dose: the change is the weekend's alone."""
    old = make_old(on(WEEK, clear="8 units"), on(WEEKEND, clear="6 units"))
    (change,) = compare(old, make_fill(clear="8 units"))
    assert (change.kind, change.days, change.old_stops) == (ChangeKind.LINES, WEEKEND, (Fraction(6),))


def test_days_that_are_left_out_are_told() -> None:
    """Nothing is filled on the weekend any more, and the fill that stays does not hide it."""
    kinds = [
        (change.kind, change.days)
        for change in compare(make_old(make_fill(clear="8 units")), on(WEEK, clear="8 units"))
    ]
    assert kinds == [(ChangeKind.SAME_LINES, ()), (ChangeKind.FILL_REMOVED, WEEKEND)]


def test_a_fill_at_another_time_is_one_added_and_one_removed() -> None:
    """The fill that is gone belongs to no sheet."""
    supper = make_fill("before supper", clear="8 units", cloudy="18 units")
    added, removed = compare(make_old(), supper)
    assert (added.kind, added.when, added.fill) == (ChangeKind.FILL_ADDED, "before supper", supper)
    assert (removed.kind, removed.when, removed.fill) == (ChangeKind.FILL_REMOVED, "before breakfast", None)
    assert removed.days == ()


def test_an_exchanged_medicine_is_told_even_where_the_line_stays() -> None:
    """The key is the writer's word: what the card printed and what it prints now are compared."""
    old = make_old()
    new = replace(succeed(old, *old.fills), medicines=(make_insulin("clear", "insulin aspart"), CLOUDY))
    (change,) = compare_replaced(plan_fills(new))
    assert (change.kind, change.old_medicine, change.medicine) == (
        ChangeKind.MEDICINE_EXCHANGED,
        "insulin regular",
        "insulin aspart",
    )


def test_another_key_for_the_same_medicine_is_no_change() -> None:
    """The printed name is the same, and so are the lines."""
    old = make_old()
    new = replace(
        succeed(old, make_fill(morning="8 units", cloudy="18 units")),
        medicines=(replace(CLEAR, key="morning"), CLOUDY),
    )
    assert [change.kind for change in compare_replaced(plan_fills(new))] == [ChangeKind.SAME_LINES]


def test_a_medicine_added_and_one_taken_out_are_told() -> None:
    """Each with the lines of the fill, which have one stop more, or one fewer."""
    both, alone = make_fill(clear="8 units", cloudy="18 units"), make_fill(clear="8 units")
    added, _ = compare(make_old(alone), both)
    removed, lines = compare(make_old(both), alone)
    assert (added.kind, added.medicine) == (ChangeKind.MEDICINE_ADDED, "insulin isophane")
    assert (removed.kind, removed.old_medicine) == (ChangeKind.MEDICINE_REMOVED, "insulin isophane")
    assert (lines.old_stops, lines.new_stops) == ((Fraction(8), Fraction(26)), (Fraction(8),))


def test_what_a_file_says_of_the_older_card_is_its_plan() -> None:
    """One entry a stop, in the order of drawing, whatever the order in the file; and the whole fingerprint."""
    old = make_old(make_fill(cloudy="18 units", clear="8 units"))
    said = describe_replaced(old)
    stops = [(stop.medicine, stop.line) for stop in said.stops]
    assert stops == [("insulin regular", Fraction(8)), ("insulin isophane", Fraction(26))]
    assert (said.fingerprint, said.dated) == (compute_fingerprint(old), date(2026, 11, 2))
    assert said.fingerprint.startswith(said.card_code)


def list_codes(old: Regimen, new: Regimen) -> list[str]:
    """The codes that refuse the older file for the new one."""
    return [problem.code for problem in check_changes(old, new)]


NEW = succeed(make_old(), make_fill(clear="9 units", cloudy="18 units"))


def test_a_true_word_about_the_older_card_is_accepted() -> None:
    """Same patient, an older date, the older card's own fingerprint and lines, and something changed."""
    assert list_codes(make_old(), NEW) == []


def test_a_file_without_replaces_is_refused() -> None:
    """An option of the program cannot put onto a page what the file does not say."""
    (problem,) = check_changes(make_old(), replace(NEW, replaces=None))
    assert problem.code == "CHANGE-003"
    assert "new --from" in problem.remedy


def test_the_whole_fingerprint_is_compared() -> None:
    """A card whose code has the same four characters is another card (four letters collide among ten thousand)."""
    said = describe_replaced(make_old())
    other = f"{said.fingerprint[:4]}{'A' * 48}"
    assert list_codes(make_old(), replace(NEW, replaces=replace(said, fingerprint=other))) == ["CHANGE-003"]


@pytest.mark.parametrize("is_date", [True, False], ids=["date", "lines"])
def test_an_edited_word_about_the_older_card_is_refused(is_date: bool) -> None:
    """Date and lines are the older card's own, though the fingerprint is right."""
    said = describe_replaced(make_old())
    stops = (ReplacedStop("before breakfast", said.stops[0].days, "insulin regular", Fraction(7)), said.stops[1])
    edited = replace(said, dated=date(2026, 11, 1)) if is_date else replace(said, stops=stops)
    assert list_codes(make_old(), replace(NEW, replaces=edited)) == ["CHANGE-003"]


def test_a_newer_file_is_not_taken_for_the_older_one() -> None:
    """Old and new exchanged would bring back the dose that was changed."""
    assert "CHANGE-004" in list_codes(NEW, make_old())


def test_a_file_of_the_same_day_may_be_the_older_one() -> None:
    """A dose may be changed twice in a day."""
    assert list_codes(make_old(), replace(NEW, review=make_old().review)) == []


def test_a_copy_without_a_change_is_refused() -> None:
    """Announcing a change where there is none would hide the change that was meant."""
    assert list_codes(make_old(), succeed(make_old(), *make_old().fills)) == ["CHANGE-002"]


@pytest.mark.parametrize(
    "other",
    [
        Patient(name="Another Patient"),
        Patient(name="Sample Patient", born=date(1951, 5, 4)),
        Patient(name="Sample Patient", second_identifier="ward 3"),
        Patient(name="Sample Patient", kind=PatientKind.ANIMAL),
        Patient(),
    ],
    ids=["name", "born", "identifier", "kind", "nameless"],
)
def test_another_patient_is_refused(other: Patient) -> None:
    """A card never tells one patient to throw away another's, and the message names no patient."""
    (problem,) = check_changes(make_old(), replace(NEW, patient=other))
    assert problem.code == "CHANGE-001"
    assert "Patient" not in str(problem.as_dict())


def test_two_nameless_files_are_refused() -> None:
    """Without name and identifier nobody can tell that two files are of one patient."""
    nameless = replace(make_old(), patient=Patient())
    assert list_codes(nameless, succeed(nameless, make_fill(clear="6 units"))) == ["CHANGE-001"]


def test_an_identifier_alone_shows_one_patient() -> None:
    """Of name and second identifier one is enough, where a clinic prints no names."""
    old = replace(make_old(), patient=Patient(second_identifier="ward 3"))
    assert list_codes(old, succeed(old, make_fill(clear="9 units"))) == []


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
    (problem,) = check_changes(make_old(), replace(NEW, patient=replace(other, place=Place(4, 3, "patient"))))
    assert problem.found.startswith(keys)
    assert problem.place == Place(4, 3, "patient")
