"""Who has checked the card, and whether it may be given to a patient: checked by a second person for what it says now,
in date, and no sample.

The last is asked only on request (``check --for-release``): a card that is not released may still be made, and then
says on every page that it must not be used. What depends on today's date is here too.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Final

from fillcards.codes import make_problem
from fillcards.plan.rules.days_and_times import DAYS_LEFT_OUT, TOO_OFTEN
from fillcards.plan.rules.rule import Finding, write_list
from fillcards.plan.rules.vials_and_labels import find_last_date
from fillcards.problems import Problem, Severity
from fillcards.regimen.fingerprint import compute_card_code, is_check_stale, is_checked, is_self_checked
from fillcards.regimen.model import Regimen
from fillcards.regimen.starters import list_invented_values, load_starter_values

CARD_DATE: Final = "DATE-003"
CHECK_TO_COME: Final = "DATE-004"
"""The two codes that depend on the day on which the program runs."""

OLDEST_CARD_DAYS: Final = 365
"""An older card gets a caution. Common practice, no source."""

_INVENTED: Final = "555-01"
"""In every phone number of the starters: 555-0100 to 555-0199 are nobody's. From memory, no source."""

_RAISED: Final = ("CHECK-", "WORDS-", DAYS_LEFT_OUT, TOO_OFTEN)
"""Codes of the cautions that forbid giving the card away: all about its check, words of a language that nobody has
signed, days nobody has answered for, and a medicine drawn on more days than its own words on the card say."""


def caution_unchecked(regimen: Regimen) -> Iterator[Finding]:
    """A card nobody has checked."""
    if regimen.is_sample or is_checked(regimen) or is_check_stale(regimen) or is_self_checked(regimen):
        return
    review, code = regimen.review, compute_card_code(regimen)
    missing = [key for key in ("prepared_by", "checked_by", "checked_on", "checked_code") if not getattr(review, key)]
    is_begun = bool(review.checked_by or review.checked_on)
    yield Finding(
        review.find_place(missing[0] if is_begun else "checked_code"),
        check=f"a check without {write_list(missing)}" if is_begun else "no check of this card",
        code=code,
    )


def caution_stale(regimen: Regimen) -> Iterator[Finding]:
    """A check older than the last change."""
    if is_check_stale(regimen):
        code = compute_card_code(regimen)
        yield Finding(regimen.review.find_place("checked_code"), review=regimen.review, code=code)


def caution_self_check(regimen: Regimen) -> Iterator[Finding]:
    """Checked by who prepared it, or by the patient."""
    if is_self_checked(regimen):
        yield Finding(regimen.review.find_place("checked_by"))


def check_release(
    regimen: Regimen, problems: tuple[Problem, ...], today: datetime.date | None = None
) -> tuple[Problem, ...]:
    """The same problems as they count for a release.

    Every caution about the check refuses, and so do days without a medicine that the file does not state, days that
    its own words contradict, a sample, a value of a starter, a day to ask again that is past, and a vial past its date.

    Args:
        regimen: as read from the file.
        problems: what all other checks found.
        today: the day that dates are compared with; ``None``: they are not.
    """
    raised = tuple(
        problem._replace(severity=Severity.REFUSE) if problem.code.startswith(_RAISED) else problem
        for problem in problems
    )
    starter_values = tuple(_list_starter_values(regimen))
    if regimen.is_sample:
        return (*raised, make_problem("RELEASE-001", regimen.find_place("sample")), *starter_values)
    return (*raised, *starter_values, *(_list_past_dates(regimen, today) if today else ()))


def caution_starter_phones(regimen: Regimen) -> Iterator[Problem]:
    """A starter's phone on a card that is no sample: told with every check, since nobody answers there."""
    # The starters are read only for a card with such a number: reading them takes longer than all rules.
    if not regimen.is_sample and any(_INVENTED in contact.phone for contact in regimen.contacts):
        for problem in _list_starter_values(regimen, "phone"):
            yield problem._replace(severity=Severity.CAUTION)


def check_card_date(regimen: Regimen, today: datetime.date) -> Iterator[Problem]:
    """A check to come is refused, a card to come or of long ago is a caution; the dates of a sample are invented."""
    review = regimen.review
    if regimen.is_sample:
        return
    for code, key, day in ((CARD_DATE, "date", review.date), (CHECK_TO_COME, "checked_on", review.checked_on)):
        if day is not None and day > today:
            found, expected = f"{key}: {day}, which is after today, {today}", "today or an earlier day"
            yield make_problem(code, review.find_place(key), found, expected=expected, remedy="check the date")
    if review.date is not None and (today - review.date).days > OLDEST_CARD_DAYS:
        yield make_problem(CARD_DATE, review.find_place("date"), date=review.date, today=today)


def _list_starter_values(regimen: Regimen, only: str = "") -> Iterator[Problem]:
    known = load_starter_values()
    for key, text, place in list_invented_values(regimen):
        if (key, text) in known and only in {"", key}:
            yield make_problem("RELEASE-003", place, key=key)


def _list_past_dates(regimen: Regimen, today: datetime.date) -> Iterator[Problem]:
    review = regimen.review
    if review.ask_again_by is not None and review.ask_again_by < today:
        yield make_problem("RELEASE-004", review.find_place("ask_again_by"), review=review, today=today)
    for medicine in regimen.medicines:
        last_date = find_last_date(medicine)
        if last_date is not None and last_date <= today:
            place = medicine.find_place("expires" if last_date == medicine.expires else "opened")
            yield make_problem("RELEASE-005", place, medicine=medicine, last_date=last_date, today=today)
