"""What is new since the older card: every kind of change has words, with both lines and nothing left open."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fillcards.plan.replacing import Change, ChangeKind
from fillcards.regimen.model import Weekday
from fillcards.wording.english.changes import LINES_AS_BEFORE, write_all_changes, write_changes

WHEN = "before breakfast"
OLD, NEW = (Fraction(7), Fraction(25)), (Fraction(8), Fraction(26))
DAYS = (Weekday.SATURDAY, Weekday.SUNDAY)


def make_change(kind: ChangeKind, days: tuple[Weekday, ...] = ()) -> Change:
    """A change with everything a kind can carry."""
    number = None if kind is ChangeKind.FILL_REMOVED else 1
    return Change(kind, WHEN, number, days, "insulin aspart", "insulin regular", OLD, NEW)


@pytest.mark.parametrize("kind", ChangeKind)
@pytest.mark.parametrize("days", [(), DAYS], ids=["all days", "some days"])
def test_every_kind_of_change_has_words(kind: ChangeKind, days: tuple[Weekday, ...]) -> None:
    """Neither the patient's page nor the maker's page stays silent, and nothing in a sentence is left open."""
    change = make_change(kind, days)
    for lines in (write_changes((change,), 1), write_all_changes((change,))):
        assert lines
        assert "None" not in " ".join(lines)


@pytest.mark.parametrize("kind", [kind for kind in ChangeKind if kind is not ChangeKind.SAME_LINES])
def test_a_change_of_some_days_names_them(kind: ChangeKind) -> None:
    """A line that was another on two days of the week is told with those days."""
    assert "on Saturday and Sunday" in " ".join(write_changes((make_change(kind, DAYS),), 1))


def test_both_pairs_of_lines_are_told() -> None:
    """The new lines first; 7 and 18 make 25, 8 and 18 make 26 (doses invented)."""
    told = write_changes((make_change(ChangeKind.LINES),), 1)
    assert told == ("The lines are now 8, then 26. The lines were 7, then 25.",)


def test_an_exchanged_medicine_names_both() -> None:
    """Which medicine came and which must no longer be used."""
    (told,) = write_changes((make_change(ChangeKind.MEDICINE_EXCHANGED),), 1)
    assert told == "Insulin aspart takes the place of insulin regular. Do not use the old vial."


def test_a_fill_with_the_same_lines_says_no_more_than_that() -> None:
    """Something else may be new, so no sentence says that nothing is."""
    (told,) = write_changes((make_change(ChangeKind.SAME_LINES),), 1)
    assert told == LINES_AS_BEFORE
    assert "no change" not in told.lower()


def test_a_change_of_one_fill_is_not_told_on_another() -> None:
    """Two fills may share the name of a meal, so the fill's number decides."""
    assert write_changes((make_change(ChangeKind.LINES),), 2) == ()


def test_a_fill_that_is_gone_is_told_on_every_sheet() -> None:
    """Nobody reads the sheet of a fill that is no more, so the others tell."""
    lines = write_changes((make_change(ChangeKind.FILL_REMOVED),), 2)
    assert lines == ("There is no fill before breakfast any more.",)
