"""What is new since the older card: every kind of change has words, with both lines and nothing left open."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from support.rule_regimens import make_fill

from fillcards.plan.replacing import Change, ChangeKind
from fillcards.regimen.model import Weekday
from fillcards.verbs.changes import LINES_AS_BEFORE, write_all_changes

WHEN = "before breakfast"
OLD, NEW = (Fraction(7), Fraction(25)), (Fraction(8), Fraction(26))
FILL = make_fill(WHEN, clear="8 units", cloudy="18 units")
OTHER = replace(FILL, days=(Weekday.MONDAY,))
DAYS = (Weekday.SATURDAY, Weekday.SUNDAY)


def make_change(kind: ChangeKind, days: tuple[Weekday, ...] = ()) -> Change:
    """A change with everything a kind can carry."""
    fill = None if kind is ChangeKind.FILL_REMOVED else FILL
    return Change(kind, WHEN, fill, days, "insulin aspart", "insulin regular", OLD, NEW)


@pytest.mark.parametrize("kind", ChangeKind)
@pytest.mark.parametrize("days", [(), DAYS], ids=["all days", "some days"])
def test_every_kind_of_change_has_words(kind: ChangeKind, days: tuple[Weekday, ...]) -> None:
    """None stays silent, and nothing in a sentence is left open."""
    lines = write_all_changes((make_change(kind, days),))
    assert lines
    assert "None" not in " ".join(lines)


@pytest.mark.parametrize("kind", [kind for kind in ChangeKind if kind is not ChangeKind.SAME_LINES])
def test_a_change_of_some_days_names_them(kind: ChangeKind) -> None:
    """A line that was another on two days of the week is told with those days."""
    assert "on Saturday and Sunday" in " ".join(write_all_changes((make_change(kind, DAYS),)))


def test_both_pairs_of_lines_are_told() -> None:
    """The new lines first; 7 and 18 make 25, 8 and 18 make 26 (doses invented)."""
    (told,) = write_all_changes((make_change(ChangeKind.LINES),))
    assert told.endswith(": The lines are now 8, then 26. The lines were 7, then 25.")


def test_an_exchanged_medicine_names_both() -> None:
    """Which medicine came and which must no longer be used."""
    (told,) = write_all_changes((make_change(ChangeKind.MEDICINE_EXCHANGED),))
    assert told.endswith("Insulin aspart takes the place of insulin regular. Do not use the old vial.")


def test_a_fill_with_the_same_lines_says_no_more_than_that() -> None:
    """Something else may be new, so no sentence says that nothing is."""
    (told,) = write_all_changes((make_change(ChangeKind.SAME_LINES),))
    assert told.endswith(LINES_AS_BEFORE)
    assert "no change" not in told.lower()


def test_a_fill_that_is_gone_is_told() -> None:
    """Nobody reads the sheet of a fill that is no more, so whoever makes the card is told."""
    lines = write_all_changes((make_change(ChangeKind.FILL_REMOVED),))
    assert lines == ("There is no fill before breakfast any more.",)


def test_two_fills_at_one_time_are_told_apart() -> None:
    """Two fills before breakfast are told apart by their days."""
    (told,) = write_all_changes((make_change(ChangeKind.SAME_LINES)._replace(fill=OTHER),))
    assert told.startswith("Monday, before breakfast: ")
