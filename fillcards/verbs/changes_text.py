"""What is new since the older card, in plain sentences: which fill, from what, to what, both lines."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from fillcards.plan.replacing import Change, ChangeKind
from fillcards.quantities import Quantity, write_number, write_quantity
from fillcards.regimen.model import Weekday
from fillcards.wording.english import write_list

SEE_WHAT_IS_NEW: Final = "Some of it is new. Read “What is new” first."
NOTHING_NEW_HERE: Final = "No change at this time of day."
_NEW_SYRINGE: Final = "The syringe is new. Do not use the old kind."
_SYRINGE_DETAILS: Final = frozenset({"needle", "numbered_every", "long_every"})


def write_changes(changes: tuple[Change, ...], when: str) -> tuple[str, ...]:
    """What is new for one fill's sheet: what concerns every fill, then this fill, then fills that are no more.

    Args:
        changes: all of the regimen, as ``compare_regimens`` found them.
        when: the fill's time, as the file writes it.
    """
    everywhere = [change for change in changes if change.when is None]
    here = [change for change in changes if change.when == when and change.kind is not ChangeKind.FILL_REMOVED]
    gone = [change for change in changes if change.kind is ChangeKind.FILL_REMOVED]
    lines = [line for change in everywhere for line in _write_everywhere(change)]
    lines += [line for change in here for line in _write_here(change)] or [NOTHING_NEW_HERE]
    stops = next((change for change in here if change.old_stops != change.new_stops), None)
    if stops is not None and stops.old_stops and stops.new_stops:
        lines.append(f"{_write_stops(stops.new_stops, 'now')} {_write_stops(stops.old_stops, 'before')}")
    lines += [f"There is no fill {change.when} any more." for change in gone]
    return tuple(dict.fromkeys(lines))


def write_all_changes(changes: tuple[Change, ...]) -> tuple[str, ...]:
    """Everything that is new, for the maker's page; a change of a fill is named with its time."""
    times = dict.fromkeys(change.when for change in changes if change.when is not None)
    lines = [line for change in changes if change.when is None for line in _write_everywhere(change)]
    for when in times:
        own = tuple(change for change in changes if change.when == when)
        lines += [
            line if line.endswith("any more.") else f"{_capitalize(when)}: {line}"
            for line in write_changes(own, when)
            if line != NOTHING_NEW_HERE
        ]
    return tuple(dict.fromkeys(lines))


def _capitalize(text: str) -> str:
    """The first letter large, the rest as it is."""
    return text[:1].upper() + text[1:]


def _write_here(change: Change) -> Iterator[str]:
    """A change of one fill."""
    name = _capitalize(change.medicine or "")
    match change.kind:
        case ChangeKind.DOSE:
            yield f"{name} is now {_write_dose(change.new_dose)}. It was {_write_dose(change.old_dose)}."
        case ChangeKind.LINES:
            yield "The dose is the same. The line is another."
        case ChangeKind.FILL_ADDED:
            yield "This fill is new. There was none at this time."
        case ChangeKind.MEDICINE_ADDED:
            yield f"{name} is new here: {_write_dose(change.new_dose)}."
        case ChangeKind.MEDICINE_REMOVED:
            yield f"No more {change.medicine} here. It was {_write_dose(change.old_dose)}."
        case ChangeKind.MINUTES_BEFORE:
            yield _write_minutes(change)
        case ChangeKind.DAYS:
            yield f"Now: {_write_days(change.new)}. It was: {_write_days(change.old)}."
        case _:
            yield from _write_everywhere(change)


def _write_everywhere(change: Change) -> Iterator[str]:
    """A change that concerns the whole card."""
    name = _capitalize(change.medicine or "")
    match change.kind:
        case ChangeKind.SYRINGE:
            yield _NEW_SYRINGE
        case ChangeKind.MEDICINE:
            yield f"{name} takes the place of {change.old}. Do not use the old vial."
        case ChangeKind.STRENGTH:
            yield f"{name} is now {change.new or 'without a strength'}. Do not use the old vial."
            if change.old:
                yield f"The old vial of {change.medicine} says {change.old}."
        case ChangeKind.DETAIL if change.detail in _SYRINGE_DETAILS:
            yield _NEW_SYRINGE
        case ChangeKind.DETAIL if change.detail == "notes":
            yield "The notes are new. Read them." if change.new else "The old notes no longer count."
        case _:
            yield f"{name}: a step or a rule is new. Read all the steps."


def _write_dose(dose: Quantity | None) -> str:
    return write_quantity(dose) if dose is not None else "nothing"


def _write_stops(stops: tuple[Fraction, ...], when: str) -> str:
    numbers = [write_number(stop) for stop in stops]
    if len(numbers) == 1:
        return f"The line {'is now' if when == 'now' else 'was'} {numbers[0]}."
    return f"The lines {'are now' if when == 'now' else 'were'} {numbers[0]}, then {numbers[1]}."


def _write_minutes(change: Change) -> str:
    old = f"It was {change.old} minutes before." if change.old else "No time was set."
    new = f"Now {change.new} minutes before." if change.new else "Now no set time before."
    return f"{new} {old}"


def _write_days(days: str | None) -> str:
    """The days as the comparison words them, with the capitals that English wants."""
    words = (days or "every day").split(", ")
    known = {day.word for day in Weekday}
    return write_list([word.capitalize() if word in known else word for word in words])
