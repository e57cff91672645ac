"""What is new since the older card: every kind of change has words, with both amounts and nothing left open."""

from __future__ import annotations

from fractions import Fraction

import pytest
from support.plans import EXAMPLES

from fillcards.plan.replacing import Change, ChangeKind, compare_regimens
from fillcards.quantities import Quantity, Unit
from fillcards.verbs.changes_text import NOTHING_NEW_HERE, write_all_changes, write_changes

WHEN = "before breakfast"
OLD, NEW = Quantity(Fraction(6), Unit.UNITS), Quantity(Fraction(8), Unit.UNITS)
OF_A_FILL = (
    *(ChangeKind.DOSE, ChangeKind.FILL_ADDED, ChangeKind.FILL_REMOVED, ChangeKind.MEDICINE_ADDED),
    *(ChangeKind.MEDICINE_REMOVED, ChangeKind.MINUTES_BEFORE, ChangeKind.DAYS),
)


def make_change(kind: ChangeKind, old: str | None = "3", new: str | None = "4") -> Change:
    """A change with everything its kind can carry."""
    when = WHEN if kind in OF_A_FILL else None
    return Change(kind, when, "insulin regular", OLD, NEW, old=old, new=new, detail="look")


@pytest.mark.parametrize("kind", ChangeKind)
def test_every_kind_of_change_has_words(kind: ChangeKind) -> None:
    """Neither the patient's page nor the maker's page stays silent about a change."""
    change = make_change(kind)
    assert [line for line in write_changes((change,), WHEN) if line != NOTHING_NEW_HERE]
    assert write_all_changes((change,))


@pytest.mark.parametrize("kind", [kind for kind in ChangeKind if kind is not ChangeKind.MEDICINE])
@pytest.mark.parametrize(("old", "new"), [(None, "4"), ("3", None)])
def test_what_is_missing_on_one_side_leaves_no_hole(kind: ChangeKind, old: str | None, new: str | None) -> None:
    """A value that only one of the files has never reads as "None"; a medicine always has its name in both."""
    assert "None" not in " ".join(write_changes((make_change(kind, old, new),), WHEN))


def test_a_dose_is_told_from_and_to() -> None:
    """The new amount first, then the old one, each with its unit."""
    assert write_changes((make_change(ChangeKind.DOSE),), WHEN) == ("Insulin regular is now 8 units. It was 6 units.",)


def test_both_stops_are_told_once() -> None:
    """6 + 18 and 8 + 18 (invented): the lines were 6 and 24 and are now 8 and 26."""
    lines = write_changes(compare_regimens(EXAMPLES["W13"], EXAMPLES["mixed"]), WHEN)
    assert sum("8, then 26" in line and "6, then 24" in line for line in lines) == 1


def test_a_fill_without_a_change_says_so() -> None:
    """A sheet whose fill did not change must not leave the reader searching."""
    assert NOTHING_NEW_HERE in write_changes((make_change(ChangeKind.DOSE),), "before supper")


def test_a_fill_that_is_gone_is_told_on_every_sheet() -> None:
    """Nobody reads the sheet of a fill that is no more, so the others tell."""
    lines = write_changes((make_change(ChangeKind.FILL_REMOVED),), "before supper")
    assert "There is no fill before breakfast any more." in lines
