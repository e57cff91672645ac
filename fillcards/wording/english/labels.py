"""Names and short fixed words: the fill, the vials, the stops, the headings, the bands.

Two vials are named the way the eye and the hand tell them apart: the clear one and the cloudy one, with the user's own
marks. A medicine by mouth comes from a bottle.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from fillcards.catalogue.model import Route, ScaleName
from fillcards.plan.model import FillPlan
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen.free_words import says_name
from fillcards.regimen.model import EVERY_DAY, Fill, Medicine, PatientKind, Regimen, Syringe
from fillcards.wording.english.amounts import write_line
from fillcards.wording.english.dates import write_date, write_days

UNCHECKED: Final = "Not yet checked. Do not use."
SAMPLE: Final = "Sample, not for a patient."
FOR_THE_ANIMAL: Final = "For the animal, never for a person."

FIRST_LINE: Final = "First line"
TOTAL_LINE: Final = "Total line"
FILL_LINE: Final = "Fill line"
"""The one stop of a single medicine: plain English for the line something is filled to."""


@dataclass(frozen=True, slots=True)
class Headings:
    """Headings of the patient's pages."""

    what_is_new: str = "What is new"
    close_up: str = "The lines up close"
    before_you_start: str = "Before you start"
    get_ready: str = "Get ready"
    fill: str = "Fill the syringe"
    inject: str = "Inject"
    give: str = "Give it"
    trouble: str = "If something goes wrong"
    vials: str = "How it must look"
    throw_away: str = "When to throw it away"
    storage: str = "Where to keep it"
    call: str = "Whom to call"
    notes: str = "Notes"
    always: str = "Always"


HEADINGS: Final = Headings()


def write_band(*, is_checked: bool, is_sample: bool) -> str | None:
    """The words every page carries: unchecked, a sample, both, or ``None``."""
    parts = ([SAMPLE] if is_sample else []) + ([] if is_checked else [UNCHECKED])
    return " ".join(parts) or None


def capitalize(text: str) -> str:
    """The first letter large, the rest as it is: ``insulin NPH`` keeps its letters."""
    return text[:1].upper() + text[1:]


def write_fill_name(fill: Fill) -> str:
    """When, with the days where not every day: ``Before breakfast``, ``Monday, before breakfast``, ``At 07:30``."""
    when = f"at {fill.when}" if fill.when[0].isdigit() else fill.when
    days = write_days(fill.days_given)
    return f"{days}, {when}" if days else capitalize(when)


def write_minutes_before(fill: Fill, route: Route) -> str | None:
    """``Inject 30 minutes before breakfast.``; ``None`` where the prescription names no minutes."""
    if fill.minutes_before is None:
        return None
    event = re.sub(r"^before ", "", fill.when, flags=re.IGNORECASE)
    act = "Give it" if route is Route.BY_MOUTH else "Inject"
    minutes = "1 minute" if fill.minutes_before == 1 else f"{fill.minutes_before} minutes"
    return f"{act} {minutes} before {event}."


def write_only_days(fill: Fill, *, is_short: bool = False) -> str | None:
    """``Only on Monday. Not on any other day.``; ``None`` for every day. A weekly dose taken daily can kill."""
    days = write_days(fill.days_given)
    if days is None:
        return None
    missing = [day for day in EVERY_DAY if day not in fill.days_given]
    if len(missing) == 1:
        return f"Not on {missing[0].word.capitalize()}."
    only = f"Only {days}." if " to " in days else f"Only on {days}."
    return only if is_short else f"{only} Not on any other day."


def write_whose(regimen: Regimen) -> str | None:
    """Whose card it is; ``None`` where a line is to be ruled for the name."""
    name = regimen.patient.name
    return f"For {', '.join((name, *_list_identifiers(regimen)))}" if name else None


def write_name_label(regimen: Regimen) -> tuple[str, ...]:
    """Labels of the ruled lines for a name that the file leaves out."""
    label = "Name of the animal" if regimen.patient.kind is PatientKind.ANIMAL else "Name"
    identifiers = ", ".join(_list_identifiers(regimen))
    return (f"{label} ({identifiers})" if identifiers else label,)


def _list_identifiers(regimen: Regimen) -> tuple[str, ...]:
    """What stands beside the name."""
    patient = regimen.patient
    born = f"born {write_date(patient.born)}" if patient.born else None
    return tuple(part for part in (born, patient.second_identifier) if part)


def write_card_line(regimen: Regimen, code: str, old_code: str | None, *, is_short: bool = False) -> str:
    """Date and code of this card, and what to do with older ones; the short form leaves the date to the foot."""
    if is_short:
        return f"Card {code}. Throw {f'away card {old_code}' if old_code else 'old cards away'}."
    when = f" of {write_date(regimen.review.date)}" if regimen.review.date else ""
    old = f"Throw away card {old_code} and all older cards." if old_code else "Throw older cards away."
    return f"Card {code}{when}. {old}"


def write_foot(regimen: Regimen, code: str) -> str:
    """At the foot of each page: ``Card MX4T, 25 November 2026``."""
    when = f", {write_date(regimen.review.date)}" if regimen.review.date else ""
    return f"{write_short_foot(code)}{when}"


def write_short_foot(code: str) -> str:
    """The same where the line is short."""
    return f"Card {code}"


def write_title(code: str, band: str | None) -> str:
    """The document's title; it stands in window titles and lists of files, so it names no patient.

    A screen reader says it before anything else, and a list of open windows shows nothing else: an unchecked card says
    here already that it is one.
    """
    return " ".join(text for text in (band, f"Fill card {code}") if text)


def write_general_name(regimen: Regimen) -> str:
    """The name of the sheets that hold for every fill."""
    by_mouth = all(medicine.route is Route.BY_MOUTH for medicine in regimen.medicines)
    several = len(regimen.medicines) > 1
    return f"Your {'bottle' if by_mouth else 'vial'}{'s' if several else ''}"


def name_stock(medicine: Medicine) -> str:
    """A vial as the sheets for every fill name it: by medicine and mark, ``insulin regular (one rubber band)``."""
    return medicine.name + (f" ({medicine.vial_mark})" if medicine.vial_mark else "")


def container(medicine: Medicine) -> str:
    """What the medicine comes in: ``vial``, or ``bottle`` by mouth."""
    return "bottle" if medicine.route is Route.BY_MOUTH else "vial"


def tip(medicine: Medicine) -> str:
    """The end that goes into the vial: ``needle``, or ``tip`` by mouth."""
    return "tip" if medicine.route is Route.BY_MOUTH else "needle"


def name_bare_vial(medicine: Medicine, fill: FillPlan) -> str:
    """Without its mark: ``vial``, ``clear vial``, ``bottle``."""
    # Two medicines share a syringe only where one is clear and one cloudy (rule MIX-005).
    return f"{'cloudy' if medicine.is_cloudy else 'clear'} vial" if fill.is_mixed else container(medicine)


def name_vial(medicine: Medicine, fill: FillPlan) -> str:
    """As a sentence names it: ``the clear vial (one rubber band)``."""
    return f"the {name_bare_vial(medicine, fill)}" + (f" ({medicine.vial_mark})" if medicine.vial_mark else "")


def name_medicine(fill: FillPlan, draw_index: int, *, is_short: bool = False) -> str:
    """As a stop names it: ``insulin regular, clear``, ``add insulin isophane, cloudy``.

    Without the look in the short form, or where there is but one. The second is added: its total line is not its dose.
    """
    medicine = fill.draws[draw_index].medicine
    if not fill.is_mixed:
        return medicine.name
    name = f"add {medicine.name}" if draw_index else medicine.name
    return name if is_short else f"{name}, {'cloudy' if medicine.is_cloudy else 'clear'}"


def write_label_words(medicine: Medicine) -> str:
    """The words to look for on the label, with the strength: the user's own, and the generic name if they lack it."""
    words = medicine.on_the_label or medicine.name
    if medicine.row is None and not says_name(words, medicine.name):
        words = f"{medicine.name}, {words}"
    strength = write_quantity(medicine.strength) if medicine.strength else ""
    return words if strength in words else f"{words}, {strength}"


def write_only_this_syringe(syringe: Syringe) -> str:
    """Which barrel the card is for, by what a person can see on it."""
    if syringe.scale is ScaleName.ML:
        return f"Only for a syringe that says mL and ends at {write_quantity(Quantity(syringe.last_line, Unit.ML))}."
    return f"Only for a syringe that says {syringe.scale.value} and ends at {write_number(syringe.last_line)}."


def write_running_lines(fill: FillPlan, syringe: Syringe) -> str:
    """The lines in short, for the top of every page: ``First line 8 · Total line 26``, ``Fill line 12.5 units``."""
    if fill.is_mixed:
        first, total = (write_number(draw.stop_line) for draw in fill.draws)
        return f"{FIRST_LINE} {first} · {TOTAL_LINE} {total}"
    draw = fill.first
    return f"{FILL_LINE} {write_line(draw.stop_line, draw.medicine, syringe).removeprefix('line ')}"


def write_addition(fill: FillPlan) -> str | None:
    """``8 + 18 = 26`` on the total line of a mixed fill."""
    if not fill.is_mixed:
        return None
    first, last = fill.draws
    parts = (first.stop_line, last.stop_line - last.start_line, last.stop_line)
    return "{} + {} = {}".format(*(write_number(part) for part in parts))
