"""What changed between an old regimen and the one that replaces it: exact, as data; the words are the wording's.

Only what touches the dose counts. Print, eyesight, contacts, review and the dates of a vial may differ freely.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from fillcards.plan.reading import is_measurable, list_stops
from fillcards.plan.serving import write_scale
from fillcards.problems import Problem, ProblemCode, RegimenRefused, Severity
from fillcards.quantities import Quantity
from fillcards.regimen.model import Fill, Regimen, Weekday

CHANGE_CODES = (
    ProblemCode(
        "CHANGE-001",
        Severity.REFUSE,
        "Old and new card are of the same patient.",
        "A card that tells one person to throw away another person's card leaves both with a wrong one.",
        ("design",),
    ),
    ProblemCode(
        "CHANGE-002",
        Severity.REFUSE,
        "Something changed since the old card.",
        "A card that announces a change where there is none hides the one that was meant.",
        ("design",),
    ),
)


class ChangeKind(Enum):
    """What kind of thing changed."""

    DOSE = "dose"
    FILL_ADDED = "fill added"
    FILL_REMOVED = "fill removed"
    MEDICINE_ADDED = "medicine added to a fill"
    MEDICINE_REMOVED = "medicine removed from a fill"
    MINUTES_BEFORE = "minutes before"
    DAYS = "days"
    SYRINGE = "syringe"
    STRENGTH = "strength"
    MEDICINE = "another medicine"
    DETAIL = "another detail"


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that changed. What does not apply is ``None`` or empty.

    Attributes:
        when: the fill's time, for changes of a fill.
        medicine: name of the medicine, in the new regimen if it is there.
        old_dose, new_dose: the doses of that medicine in that fill.
        old_stops, new_stops: the fill's lines in drawing order (the only one, or first and total), in the old and
            the new syringe's own numbers.
        old, new: what stood and stands there, for changes without doses.
        detail: which detail, for ``DETAIL``, such as ``needle`` or ``route``.
    """

    kind: ChangeKind
    when: str | None = None
    medicine: str | None = None
    old_dose: Quantity | None = None
    new_dose: Quantity | None = None
    old_stops: tuple[Fraction, ...] = ()
    new_stops: tuple[Fraction, ...] = ()
    old: str | None = None
    new: str | None = None
    detail: str | None = None


def compare_regimens(old: Regimen, new: Regimen) -> tuple[Change, ...]:
    """Everything that touches the dose and differs: syringe and medicines first, then fill by fill, then the notes.

    Args:
        old: the regimen of the card to be thrown away.
        new: the regimen of the card that replaces it.

    Raises:
        RegimenRefused: CHANGE-001 if the patients differ or cannot be told to be one, CHANGE-002 if nothing changed.
    """
    problems = check_changes(old, new)
    if problems:
        raise RegimenRefused(problems)
    return tuple(_list_changes(old, new))


def check_changes(old: Regimen, new: Regimen) -> tuple[Problem, ...]:
    """Whether the new regimen may replace the old one; empty if it may."""
    differing = _find_other_patient(old, new)
    if differing:
        keys = " and ".join(differing)
        finding = (
            f"{keys} under patient {'do' if len(differing) > 1 else 'does'} not show one patient in both files",
            "the same name, second identifier and kind in both files, and at least one of the first two written",
            "check whose old file it is; if a name was only corrected, correct it in the old file too",
        )
        return (_write_problem(CHANGE_CODES[0], new, *finding),)
    if next(_list_changes(old, new), None) is None:
        finding = (
            "both files give the same doses in the same way",
            "a new file that differs from the old one in something that touches the dose",
            "make an ordinary card, or give the file that was meant as the old one",
        )
        return (_write_problem(CHANGE_CODES[1], new, *finding),)
    return ()


def _write_problem(code: ProblemCode, new: Regimen, found: str, expected: str, remedy: str) -> Problem:
    return Problem(code.code, code.severity, new.patient.place, found, expected, remedy)


def _find_other_patient(old: Regimen, new: Regimen) -> list[str]:
    """The keys under ``patient`` that do not show one and the same patient."""
    keys = ("name", "second_identifier", "kind")
    differing = [key for key in keys if getattr(old.patient, key) != getattr(new.patient, key)]
    is_nameless = new.patient.name is None and new.patient.second_identifier is None
    return differing or (["name"] if is_nameless else [])


def _list_changes(old: Regimen, new: Regimen) -> Iterator[Change]:
    yield from _compare_syringes(old, new)
    yield from _compare_medicines(old, new)
    yield from _compare_fills(old, new)
    yield from _compare_details(None, old, new, ("notes",))


def _compare_syringes(old: Regimen, new: Regimen) -> Iterator[Change]:
    before, after = write_scale(old.syringe), write_scale(new.syringe)
    if before != after:
        yield Change(ChangeKind.SYRINGE, old=before, new=after)
    yield from _compare_details(None, old.syringe, new.syringe, ("needle", "numbered_every", "long_every"))


_DETAILS = ("look", "motion", "takes_air", "route", "on_the_label", "vial_mark", "vial_ml", "in_use_days", "warning")


def _compare_medicines(old: Regimen, new: Regimen) -> Iterator[Change]:
    before = {medicine.key: medicine for medicine in old.medicines}
    for medicine in new.medicines:
        was = before.get(medicine.key)
        if was is None:
            continue
        if was.name != medicine.name:
            yield Change(ChangeKind.MEDICINE, medicine=medicine.name, old=was.name, new=medicine.name)
        if was.strength != medicine.strength:
            yield Change(
                ChangeKind.STRENGTH, medicine=medicine.name, old=_write(was.strength), new=_write(medicine.strength)
            )
        yield from _compare_details(medicine.name, was, medicine, _DETAILS)


def _compare_details(medicine: str | None, old: object, new: object, keys: tuple[str, ...]) -> Iterator[Change]:
    for key in keys:
        was, now = getattr(old, key), getattr(new, key)
        if was != now:
            yield Change(ChangeKind.DETAIL, medicine=medicine, old=_write(was), new=_write(now), detail=key)


def _write(value: object) -> str | None:
    if value is None:
        return None
    return str(value.value) if isinstance(value, Enum) else str(value)


def _compare_fills(old: Regimen, new: Regimen) -> Iterator[Change]:
    """Fills are the same fill if they have the same time and, where a time stands twice, overlapping days."""
    left = list(old.fills)
    for fill in new.fills:
        was = _find_same(left, fill)
        if was is None:
            yield _change_of_fill(ChangeKind.FILL_ADDED, fill, None, fill, old, new)
        else:
            left.remove(was)
            yield from _compare_fill(was, fill, old, new)
    for gone in left:
        yield _change_of_fill(ChangeKind.FILL_REMOVED, gone, gone, None, old, new)


def _find_same(fills: list[Fill], wanted: Fill) -> Fill | None:
    same = [fill for fill in fills if fill.when == wanted.when]
    exact = [fill for fill in same if fill.days_given == wanted.days_given]
    overlapping = [fill for fill in same if set(fill.days_given) & set(wanted.days_given)]
    return next(iter(exact or overlapping or same), None)


def _change_of_fill(
    kind: ChangeKind, named: Fill, old_fill: Fill | None, new_fill: Fill | None, old: Regimen, new: Regimen
) -> Change:
    return Change(
        kind, when=named.when, old_stops=_list_known_stops(old_fill, old), new_stops=_list_known_stops(new_fill, new)
    )


def _list_known_stops(fill: Fill | None, regimen: Regimen) -> tuple[Fraction, ...]:
    if fill is None or not all(is_measurable(draw, regimen) for draw in fill.draws):
        return ()
    return list_stops(fill, regimen)


def _compare_fill(was: Fill, fill: Fill, old: Regimen, new: Regimen) -> Iterator[Change]:
    stops = _list_known_stops(was, old), _list_known_stops(fill, new)
    before = {draw.medicine: draw.dose for draw in was.draws}
    after = {draw.medicine: draw.dose for draw in fill.draws}
    for key in dict.fromkeys((*after, *before)):
        old_dose, new_dose = before.get(key), after.get(key)
        if old_dose == new_dose:
            continue
        kind = ChangeKind.DOSE
        if old_dose is None:
            kind = ChangeKind.MEDICINE_ADDED
        elif new_dose is None:
            kind = ChangeKind.MEDICINE_REMOVED
        name = (new if key in after else old).find_medicine(key).name
        yield Change(kind, fill.when, name, old_dose, new_dose, *stops)
    if was.minutes_before != fill.minutes_before:
        yield Change(
            ChangeKind.MINUTES_BEFORE, fill.when, old=_write(was.minutes_before), new=_write(fill.minutes_before)
        )
    if was.days_given != fill.days_given:
        yield Change(ChangeKind.DAYS, fill.when, old=_write_days(was.days_given), new=_write_days(fill.days_given))


def _write_days(days: tuple[Weekday, ...]) -> str:
    return "every day" if len(days) == len(Weekday) else ", ".join(day.word for day in days)
