"""Claims about giving a card away: a second person has checked this very regimen, and it is no sample."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from fillcards.plan.release import check_release
from fillcards.plan.rules import check_rules
from fillcards.problems import Place, Problem, Severity
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import Needle, Regimen, Review, Weekday

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_mixed, make_syringe

UNCHECKED = make_mixed("8 units", "18 units")


def make_checked(regimen: Regimen, checker: str = "Sample Pharmacist") -> Regimen:
    """The regimen with a check of what it is now."""
    review = Review(prepared_by="Sample Nurse", checked_by=checker, checked_code=compute_card_code(regimen))
    return replace(regimen, review=review)


def list_refusing(regimen: Regimen) -> list[str]:
    """The codes that forbid giving this card away."""
    problems = check_release(regimen, check_rules(regimen))
    return [problem.code for problem in problems if problem.severity is Severity.REFUSE]


def test_a_checked_card_may_be_given_away() -> None:
    """Checked by another person for what it says now, and not a sample (design 2, principle 9)."""
    assert list_refusing(make_checked(UNCHECKED)) == []


def test_days_left_out_must_be_stated() -> None:
    """A fill without Sunday is a caution, refused for release until the file states none_on itself (design 7, days)."""
    week = tuple(day for day in Weekday if day is not Weekday.SUNDAY)
    left_out = replace(UNCHECKED, fills=tuple(replace(fill, days=week) for fill in UNCHECKED.fills))
    assert "WHEN-004" in {problem.code for problem in check_rules(left_out) if problem.severity is Severity.CAUTION}
    assert set(list_refusing(make_checked(left_out))) == {"WHEN-004"}
    stated = tuple(replace(medicine, none_on=(Weekday.SUNDAY,)) for medicine in left_out.medicines)
    assert list_refusing(make_checked(replace(left_out, medicines=stated))) == []


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


def test_a_check_of_what_nobody_has_prepared_is_no_release() -> None:
    """Without the name of who prepared the card nobody can tell that another person checked it."""
    checked = make_checked(UNCHECKED)
    place = Place(31, 16, "review.prepared_by")
    review = replace(checked.review, prepared_by=None, places={"prepared_by": place})
    regimen = replace(checked, review=review)
    (problem,) = check_release(regimen, ())
    assert (problem.code, problem.severity, problem.place) == ("RELEASE-002", Severity.REFUSE, place)
    assert check_release(checked, ()) == ()
