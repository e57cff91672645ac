"""Rules about the vial: its dates against the card's date, and whether it holds what it is asked for.

There is no clock here: "now" is the card's own date, ``review.date``.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction

from fillcards.plan.reading import is_measurable, measure_draw_ml
from fillcards.plan.rules.doses import list_draws
from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import Severity
from fillcards.quantities import write_number
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


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION
_LIFE = ("stability-chart-jdst-2020", "pharmacy-stability-chart")

RULES = (
    Rule("VIAL-001", _REFUSE, check_opened_in_future),
    Rule("VIAL-002", _REFUSE, check_past_last_date),
    Rule("VIAL-003", _CAUTION, caution_empty_early),
    Rule("VIAL-004", _CAUTION, caution_waste),
    Rule("VIAL-005", _REFUSE, check_vial_holds_dose),
    Rule("VIAL-006", _CAUTION, caution_long_life),
)
