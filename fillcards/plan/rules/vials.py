"""Rules about the vial: its dates against the card's date, and whether it holds what it is asked for.

There is no clock here: "now" is the card's own date, ``review.date``.

A mark is a thing put on the vial: a look or a medicine in it can contradict the vial it stands for, and the hand
follows the mark. Colours may stand in it, since tape and caps have them.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache
from typing import Final

from fillcards.catalogue.medicines import load_medicines
from fillcards.plan.reading import is_measurable, measure_draw_ml
from fillcards.plan.rules.doses import list_draws
from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import Severity
from fillcards.quantities import write_number
from fillcards.regimen.free_words import list_plain_words
from fillcards.regimen.loose_names import find_insulin_word, find_near_word, list_loose_words
from fillcards.regimen.model import Medicine, Regimen

DAYS_PER_WEEK = 7


def find_last_date(medicine: Medicine) -> date | None:
    """The day from which the vial must not be used: days of use after opening, or the printed expiry if sooner."""
    days = [medicine.expires] if medicine.expires else []
    if medicine.opened:
        days.append(medicine.opened + timedelta(days=medicine.in_use_days))
    return min(days, default=None)


def check_opened_in_future(regimen: Regimen) -> Iterator[Finding]:
    """A vial opened after the card's date."""
    today = regimen.review.date
    for medicine in regimen.medicines:
        if medicine.opened and today and medicine.opened > today:
            yield Finding(
                find_place(medicine, "opened"),
                f"{medicine.name} opened {medicine.opened}, but the card is of {today}",
                f"a day not after {today}",
                "correct the date, or leave it out: the card then has a line for it",
            )


def check_past_last_date(regimen: Regimen) -> Iterator[Finding]:
    """A vial that must not be used any more on the card's date."""
    today = regimen.review.date
    for medicine in regimen.medicines:
        last_date = find_last_date(medicine)
        if last_date is None or today is None or today < last_date:
            continue
        is_expired = last_date == medicine.expires
        found = f"expires {medicine.expires}" if is_expired else f"opened {medicine.opened}"
        rule = "the printed expiry" if is_expired else f"opened and {medicine.in_use_days} days"
        yield Finding(
            find_place(medicine, "expires" if is_expired else "opened"),
            f"{medicine.name} {found}; the card is of {today}",
            f"a vial that may still be used: this one must not be used from {last_date} ({rule})",
            "throw the vial away, open a new one, and write its dates; or leave the dates out",
        )


def _measure_weekly_ml(medicine: Medicine, regimen: Regimen) -> Fraction:
    return sum(
        (
            measure_draw_ml(draw, regimen) * len(fill.days_given)
            for fill, draw in list_draws(regimen)
            if draw.medicine == medicine.key and is_measurable(draw, regimen)
        ),
        Fraction(0),
    )


def _list_used_vials(regimen: Regimen) -> Iterator[tuple[Medicine, Fraction, Fraction]]:
    """Each medicine whose vial size and use are known: with its vial and its use in a day on average, in mL."""
    for medicine in regimen.medicines:
        weekly_ml = _measure_weekly_ml(medicine, regimen)
        if medicine.vial_ml is not None and weekly_ml > 0:
            yield medicine, medicine.vial_ml, weekly_ml / DAYS_PER_WEEK


def caution_empty_early(regimen: Regimen) -> Iterator[Finding]:
    """A vial that is empty before its days of use are over."""
    for medicine, vial_ml, daily_ml in _list_used_vials(regimen):
        days = vial_ml // daily_ml
        if days < medicine.in_use_days:
            yield Finding(
                find_place(medicine, "vial"),
                f"{medicine.name}: a vial of {write_number(vial_ml)} mL is empty after {days} days at most",
                f"a new vial by then, not after {medicine.in_use_days} days",
                "make sure that the next vial is prescribed in time, and never draw the last dose from two vials",
            )


def caution_waste(regimen: Regimen) -> Iterator[Finding]:
    """A vial of which half or more must be thrown away."""
    for medicine, vial_ml, daily_ml in _list_used_vials(regimen):
        used_ml = daily_ml * medicine.in_use_days
        if used_ml <= vial_ml / 2:
            yield Finding(
                find_place(medicine, "vial"),
                f"{medicine.name}: a vial of {write_number(vial_ml)} mL, of which about "
                f"{round(used_ml / vial_ml * 100)} % is used in its {medicine.in_use_days} days",
                "more than half of the vial used before it must be thrown away",
                "ask the pharmacist for a smaller vial; tell the person to throw it away even though it is not empty",
            )


def check_vial_holds_dose(regimen: Regimen) -> Iterator[Finding]:
    """A dose larger than a whole vial."""
    for _, draw in list_draws(regimen):
        medicine = regimen.find_medicine(draw.medicine)
        if medicine.vial_ml is None or not is_measurable(draw, regimen):
            continue
        if measure_draw_ml(draw, regimen) > medicine.vial_ml:
            yield Finding(
                draw.place,
                f"{draw.dose} of {medicine.name} from a vial of {write_number(medicine.vial_ml)} mL",
                "a dose that one vial holds",
                "compare dose, strength and vial with the prescription and the label",
            )


def caution_long_life(regimen: Regimen) -> Iterator[Finding]:
    """A life from the label that is longer than the shortest published one."""
    for medicine in regimen.medicines:
        if medicine.row and medicine.in_use_days_from_label and medicine.in_use_days > medicine.row.in_use_days:
            yield Finding(
                find_place(medicine, "use_within"),
                f"{medicine.name}: {medicine.in_use_days} days after opening",
                f"{medicine.row.in_use_days} days, the shortest published life; labels of this medicine differ",
                "read it again on the label of this vial; a pen's days are not a vial's",
            )


# What a liquid looks like, and what the liquid is called. Common practice, no source.
_LOOKS: Final = frozenset(
    (
        *("clear", "cloudy", "milky", "colourless", "colorless", "transparent", "turbid", "hazy", "murky", "opaque"),
        *("liquid", "fluid", "solution", "suspension", "medicine", "medication", "contents", "acting"),
    )
)
# "The white one" points at the vial itself, not at a mark on it.
_POINTS_AT_VIAL: Final = ("one", "ones")
_COUNTS: Final = frozenset(("a", "an", "and", "of", "on", "in", "the", "with", "for", "to"))


@lru_cache(maxsize=1)
def _load_names() -> frozenset[str]:
    kinds = (name for row in load_medicines().values() for name in (row.kind, *row.other_names))
    return frozenset(word for kind in kinds for word in list_loose_words(kind)) - _COUNTS


def check_mark_is_a_thing(regimen: Regimen) -> Iterator[Finding]:
    """A mark that states a look or a medicine, or that points at the vial."""
    names = frozenset(word for medicine in regimen.medicines for word in list_plain_words(medicine.name)) - _COUNTS
    for medicine in regimen.medicines:
        word = _find_content(medicine, names) if medicine.vial_mark else None
        if word:
            yield Finding(
                find_place(medicine, "vial_mark"),
                f'"{word}" in the mark "{medicine.vial_mark}"',
                "a thing put on the vial, such as one rubber band or a blue dot; no look and no medicine",
                "write what can be felt or seen on the vial, not what is in it: the card says that already",
            )


def _find_content(medicine: Medicine, names: frozenset[str]) -> str | None:
    mark = medicine.vial_mark or ""
    words = list_loose_words(mark)
    for word in words:
        if find_near_word(word, _LOOKS) or word in names or word in _load_names():
            return word
    return find_insulin_word(mark) or (words[-1] if words and words[-1] in _POINTS_AT_VIAL else None)


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION
_LIFE = ("stability-chart-jdst-2020", "pharmacy-stability-chart")

RULES = (
    Rule("VIAL-001", _REFUSE, check_opened_in_future),
    Rule("VIAL-002", _REFUSE, check_past_last_date),
    Rule("VIAL-003", _CAUTION, caution_empty_early),
    Rule("VIAL-004", _CAUTION, caution_waste),
    Rule("VIAL-005", _REFUSE, check_vial_holds_dose),
    Rule("VIAL-006", _CAUTION, caution_long_life),
    Rule("LABEL-006", Severity.REFUSE, check_mark_is_a_thing),
)
