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
from fillcards.quantities import Quantity, is_same_amount
from fillcards.regimen.model import Fill, Medicine, Regimen, Weekday

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
    LINES = "lines of the same dose"
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
    for medicine, was in _pair_medicines(old, new):
        if was.name != medicine.name:
            yield Change(ChangeKind.MEDICINE, medicine=medicine.name, old=was.name, new=medicine.name)
        if was.strength != medicine.strength:
            yield Change(
                ChangeKind.STRENGTH, medicine=medicine.name, old=_write(was.strength), new=_write(medicine.strength)
            )
        yield from _compare_details(medicine.name, was, medicine, _DETAILS)


def _pair_medicines(old: Regimen, new: Regimen) -> Iterator[tuple[Medicine, Medicine]]:
    """Each new medicine with the one it is, by its name; or with the one whose place it takes, by the file's own key.

    A key is the writer's word for a medicine and may change without anything else.
    """
    before = {medicine.name: medicine for medicine in old.medicines}
    names = {medicine.name for medicine in new.medicines}
    left = {medicine.key: medicine for medicine in old.medicines if medicine.name not in names}
    for medicine in new.medicines:
        was = before.get(medicine.name) or left.get(medicine.key)
        if was is not None:
            yield medicine, was


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
    changed = tuple(_compare_doses(was, fill, old, new))
    for kind, name, old_dose, new_dose in changed:
        yield Change(kind, fill.when, name, old_dose, new_dose, *stops)
    if not changed and stops[0] != stops[1]:
        # Another strength, or another scale: the same dose stops elsewhere.
        yield Change(ChangeKind.LINES, fill.when, None, None, None, *stops)
    if was.minutes_before != fill.minutes_before:
        yield Change(
            ChangeKind.MINUTES_BEFORE, fill.when, old=_write(was.minutes_before), new=_write(fill.minutes_before)
        )
    if was.days_given != fill.days_given:
        yield Change(ChangeKind.DAYS, fill.when, old=_write_days(was.days_given), new=_write_days(fill.days_given))


def _compare_doses(
    was: Fill, fill: Fill, old: Regimen, new: Regimen
) -> Iterator[tuple[ChangeKind, str, Quantity | None, Quantity | None]]:
    """Medicine by medicine, by name: what kind of change, the name, the old and the new dose."""
    names = {was.name: medicine.name for medicine, was in _pair_medicines(old, new)}
    before = {names.get(name, name): dose for name, dose in _list_doses(was, old)}
    after = dict(_list_doses(fill, new))
    for name in dict.fromkeys((*after, *before)):
        old_dose, new_dose = before.get(name), after.get(name)
        if new_dose is None:
            yield ChangeKind.MEDICINE_REMOVED, name, old_dose, None
        elif old_dose is None:
            yield ChangeKind.MEDICINE_ADDED, name, None, new_dose
        elif not is_same_amount(old_dose, new_dose):
            yield ChangeKind.DOSE, name, old_dose, new_dose


def _list_doses(fill: Fill, regimen: Regimen) -> Iterator[tuple[str, Quantity]]:
    return ((regimen.find_medicine(draw.medicine).name, draw.dose) for draw in fill.draws)


def _write_days(days: tuple[Weekday, ...]) -> str:
    return "every day" if len(days) == len(Weekday) else ", ".join(day.word for day in days)
