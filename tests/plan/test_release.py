"""Claims about giving a card away: a second person has checked this very regimen, and it is no sample."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fillcards.pipeline import check_regimen
from fillcards.plan.rules import check_rules
from fillcards.plan.rules.review import check_card_date, check_release
from fillcards.problems import Place, Problem, Severity
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import Needle, Regimen, Review, Weekday
from fillcards.regimen.schema import read_regimen
from fillcards.regimen.starters import ROSTER, find_starters

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_mixed, make_syringe

UNCHECKED = make_mixed("8 units", "18 units")


def make_checked(regimen: Regimen, checker: str = "Sample Pharmacist") -> Regimen:
    """The regimen with a check of what it is now."""
    review = Review(
        prepared_by="Sample Nurse",
        checked_by=checker,
        checked_on=date(2026, 11, 25),
        checked_code=compute_card_code(regimen),
    )
    return replace(regimen, review=review)


def list_refusing(regimen: Regimen) -> list[str]:
    """The codes that forbid giving this card away."""
    problems = check_release(regimen, check_rules(regimen))
    return [problem.code for problem in problems if problem.severity is Severity.REFUSE]


def test_a_checked_card_may_be_given_away() -> None:
    """Checked by another person for what it says now, and not a sample."""
    assert list_refusing(make_checked(UNCHECKED)) == []


def test_days_left_out_must_be_stated() -> None:
    """A fill without Sunday is a caution, refused for release until the file states none_on itself."""
    week = tuple(day for day in Weekday if day is not Weekday.SUNDAY)
    left_out = replace(UNCHECKED, fills=tuple(replace(fill, days=week) for fill in UNCHECKED.fills))
    assert "WHEN-004" in {problem.code for problem in check_rules(left_out) if problem.severity is Severity.CAUTION}
    assert set(list_refusing(make_checked(left_out))) == {"WHEN-004"}
    stated = tuple(replace(medicine, none_on=(Weekday.SUNDAY,)) for medicine in left_out.medicines)
    assert list_refusing(make_checked(replace(left_out, medicines=stated))) == []


def test_a_medicine_drawn_more_often_than_its_words_say_is_no_release() -> None:
    """Its warning says weekly, every day is drawn: a caution, and nothing to be given away."""
    first, *others = UNCHECKED.medicines
    weekly = replace(UNCHECKED, medicines=(replace(first, warning="Weekly only."), *others))
    assert "WHEN-006" in {problem.code for problem in check_rules(weekly) if problem.severity is Severity.CAUTION}
    assert set(list_refusing(make_checked(weekly))) == {"WHEN-006"}


@pytest.mark.parametrize(
    ("regimen", "code"),
    [
        (UNCHECKED, "CHECK-001"),
        (replace(UNCHECKED, review=make_checked(make_mixed("8 units", "16 units")).review), "CHECK-002"),
        (make_checked(UNCHECKED, "Sample Nurse"), "CHECK-003"),
    ],
    ids=["unchecked", "stale", "checked by who prepared it"],
)
def test_each_caution_about_the_check_forbids_it(regimen: Regimen, code: str) -> None:
    """A card without a check of its own by a second person may be made, but not given away."""
    assert list_refusing(regimen) == [code]


def test_other_cautions_stay_cautions() -> None:
    """Only what the check is about is raised; the rest is kept as it was."""
    regimen = make_checked(make_mixed("8 units", "18 units", make_syringe(needle=Needle.DETACHABLE)))
    found = check_rules(regimen)
    assert "MIX-008" in {problem.code for problem in found}
    assert check_release(regimen, found) == found


def test_a_sample_is_not_for_a_patient() -> None:
    """A sample is refused whatever its check, at the review, and every other problem comes with it."""
    checked = make_checked(UNCHECKED)
    regimen = replace(checked, is_sample=True, review=replace(checked.review, place=Place(30, 1, "review")))
    other = Problem("MIX-008", Severity.CAUTION, Place(), "", "", "")
    kept, sample = check_release(regimen, (other,))
    assert kept == other
    assert (sample.code, sample.severity, sample.place) == ("RELEASE-001", Severity.REFUSE, Place(30, 1, "review"))


@pytest.mark.parametrize("key", ["prepared_by", "checked_by", "checked_on", "checked_code"])
def test_a_check_that_leaves_something_open_is_no_release(key: str) -> None:
    """Two names, the day and the code are all needed."""
    checked = make_checked(UNCHECKED)
    review = replace(checked.review, **{key: None})  # type: ignore[arg-type]  # the cases name the fields
    assert list_refusing(replace(checked, review=review)) == ["CHECK-001"]


TODAY = date(2026, 11, 29)


def list_refusing_on(regimen: Regimen, today: date = TODAY) -> list[str]:
    """The codes of what refuses a regimen for release on a day, the check left aside."""
    return [problem.code for problem in check_release(regimen, (), today)]


def test_a_day_to_ask_again_that_is_past_is_no_release() -> None:
    """On the day itself the card still holds; the day after it does not."""
    regimen = replace(UNCHECKED, review=Review(ask_again_by=TODAY))
    assert list_refusing_on(regimen) == []
    assert list_refusing_on(regimen, date(2026, 11, 30)) == ["RELEASE-004"]


@pytest.mark.parametrize(("key", "day"), [("expires", TODAY), ("opened", date(2026, 11, 1))])
def test_a_vial_past_its_date_is_no_release(key: str, day: date) -> None:
    """Not to be used from the printed date on, nor from opened and its days on: 1 and 28 November make 29 November."""
    medicine, other = UNCHECKED.medicines
    medicine = replace(medicine, in_use_days=28, **{key: day})  # type: ignore[arg-type]  # the cases name the fields
    regimen = replace(UNCHECKED, medicines=(medicine, other))
    assert list_refusing_on(regimen) == ["RELEASE-005"]
    assert list_refusing_on(regimen, date(2026, 11, 28)) == []


@pytest.mark.parametrize(
    ("review", "is_told"),
    [
        (Review(date=TODAY), False),
        (Review(date=date(2026, 11, 30)), True),
        (Review(date=date(2025, 11, 29)), False),
        (Review(date=date(2025, 11, 28)), True),
        (Review(), False),
    ],
    ids=["today", "tomorrow", "a year ago", "longer ago", "none"],
)
def test_a_card_date_to_come_or_long_past_is_a_caution(review: Review, is_told: bool) -> None:
    """A slip of the pen, or a date left over; a sample's dates are invented and not asked about."""
    regimen = replace(UNCHECKED, review=review)
    found = [(problem.code, problem.severity) for problem in check_card_date(regimen, TODAY)]
    assert found == ([("DATE-003", Severity.CAUTION)] if is_told else [])
    assert not list(check_card_date(replace(regimen, is_sample=True), TODAY))


@pytest.mark.parametrize(("day", "is_told"), [(TODAY, False), (date(2026, 11, 30), True), (date(2099, 1, 1), True)])
def test_a_check_to_come_is_refused(day: date, is_told: bool) -> None:
    """For every card, not only for release: each of its pages would say that it was checked."""
    regimen = replace(UNCHECKED, review=Review(checked_on=day))
    found = [(problem.code, problem.severity) for problem in check_card_date(regimen, TODAY)]
    assert found == ([("DATE-004", Severity.REFUSE)] if is_told else [])


@pytest.mark.parametrize("path", sorted(path for name, path in find_starters().items() if name != ROSTER))
def test_a_starter_whose_sample_line_is_gone_is_no_release(path: Path) -> None:
    """Its name, its phones and its dates are still invented, and each is named where it stands."""
    regimen = replace(read_regimen(path.read_text(encoding="utf-8")), is_sample=False)
    found = [problem for problem in check_release(regimen, ()) if problem.code == "RELEASE-003"]
    keys = {problem.place.key.rpartition(".")[2] for problem in found}
    assert keys >= {"name", "phone", "date"}
    assert all(problem.place.line for problem in found)


@pytest.mark.parametrize("path", sorted(path for name, path in find_starters().items() if name != ROSTER))
def test_a_starters_phone_is_a_caution_with_every_check(path: Path) -> None:
    """Each of them, once the card is no sample: somebody would call it. Nothing else is told before a release."""
    starter = read_regimen(path.read_text(encoding="utf-8"))
    found = [each for each in check_regimen(replace(starter, is_sample=False)) if each.code == "RELEASE-003"]
    assert {each.place for each in found} == {contact.find_place("phone") for contact in starter.contacts}
    assert {each.severity for each in found} == {Severity.CAUTION}
    assert not [each for each in check_regimen(starter) if each.code == "RELEASE-003"]


def test_a_value_of_the_patients_own_is_no_starter_value() -> None:
    """Only what equals a starter's value is told."""
    starter = read_regimen(find_starters()["one-insulin-once-a-day"].read_text(encoding="utf-8"))
    own = replace(
        starter,
        patient=replace(starter.patient, name="Juniper Testcase", born=date(1944, 2, 18)),
        contacts=(replace(starter.contacts[0], phone="555-0199"),),
        review=Review(date=TODAY),
        is_sample=False,
    )
    assert list_refusing_on(own) == []
