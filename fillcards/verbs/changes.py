"""What is new on a card since the one that it replaces, in words for the staff."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from fillcards.plan.model import Plan
from fillcards.plan.replacing import Change, ChangeKind, compare_replaced
from fillcards.plan.rules.rule import write_list
from fillcards.quantities import write_number
from fillcards.regimen.model import EVERY_DAY, Fill
from fillcards.wording.writers import ENGLISH

LINES_AS_BEFORE: Final = "Here the old card has the same lines."


def list_changes(plan: Plan) -> tuple[str, ...]:
    """Everything that is new, a line each under its head; nothing where no card is replaced."""
    lines = write_all_changes(compare_replaced(plan))
    return tuple(f"  {'as before ' if line.endswith(LINES_AS_BEFORE) else 'changed   '} {line}" for line in lines)


def write_all_changes(changes: tuple[Change, ...]) -> tuple[str, ...]:
    """Everything that is new, for the staff; a change of a fill is named with its days and time."""
    lines = [
        line if change.fill is None else f"{_name_fill(change.fill)}: {line}"
        for change in changes
        for line in _write_change(change)
    ]
    return tuple(dict.fromkeys(lines))


def _name_fill(fill: Fill) -> str:
    days = "" if fill.days_given == EVERY_DAY else f"{ENGLISH.write_days(fill.days_given)}, "
    return _capitalize(f"{days}{fill.when}")


def _capitalize(text: str) -> str:
    return text[:1].upper() + text[1:]


def _write_change(change: Change) -> Iterator[str]:
    name, old_name = _capitalize(change.medicine or ""), change.old_medicine
    on = f" on {write_list([_capitalize(day.word) for day in change.days])}" if change.days else ""
    match change.kind:
        case ChangeKind.LINES:
            yield f"{_write_stops(change.new_stops, 'now')} {_write_stops(change.old_stops, 'before', on)}"
        case ChangeKind.FILL_ADDED:
            yield f"This fill is new{on}. There was none at this time."
        case ChangeKind.FILL_REMOVED:
            yield f"There is no fill {change.when}{on} any more."
        case ChangeKind.MEDICINE_ADDED:
            yield f"{name} is new here{on}."
        case ChangeKind.MEDICINE_REMOVED:
            yield f"No more {old_name} here{on}."
        case ChangeKind.MEDICINE_EXCHANGED:
            yield f"{name} takes the place of {old_name}{on}. Do not use the old vial."
        case ChangeKind.SAME_LINES:
            yield LINES_AS_BEFORE


def _write_stops(stops: tuple[Fraction, ...], when: str, on: str = "") -> str:
    numbers = [write_number(stop) for stop in stops]
    if len(numbers) == 1:
        return f"The line {'is now' if when == 'now' else 'was'} {numbers[0]}{on}."
    return f"The lines {'are now' if when == 'now' else 'were'} {numbers[0]}, then {numbers[1]}{on}."
