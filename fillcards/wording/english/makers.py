"""The maker's page: what whoever prints and checks needs to see, measure and initial. Not given to the patient.

Written for a nurse or a pharmacist; the reading level of the patient's pages does not bind it, their writing rules do.
"""

from __future__ import annotations

from fractions import Fraction

from fillcards.catalogue.model import Route
from fillcards.plan.model import Draw, FillPlan, Plan
from fillcards.problems import Problem
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen.model import Medicine, Needle, Regimen, Syringe
from fillcards.sources import Evidence, Source
from fillcards.wording.english.amounts import write_line
from fillcards.wording.english.dates import write_date, write_list
from fillcards.wording.english.labels import write_fill_name, write_general_name

TITLE = "For whoever prints and checks"
KEEP_THIS_PAGE = "Keep this page. It is not for the patient."

PRINT_CHECK = "Print check"
BAR_CAPTION = "Measure this bar with a ruler. It must be 100 mm long."
BAR_ALT = "A bar 100 mm long with a mark every 10 mm, to be measured with a ruler."
OUTLINE_CAPTION = "Lay any card of the ISO ID-1 size on this outline. Its edges must meet the outline."
OUTLINE_ALT = "An outline of the ISO ID-1 card size, 85.6 mm by 53.98 mm, to lay a card on."
LIFE_SIZE_ALT = "The empty barrel in life size, with its scale, to lay the real syringe on."

COMPUTED = "What was worked out"
COMPUTED_HEADER = ("Fill and medicine", "Dose", "Strength", "Volume", "Air to", "Stop at")
SYRINGE = "Syringe and vials"
SIZES = "Sizes, and why"
CAUTIONS = "Cautions to settle before this card leaves"
NO_CAUTIONS = "None found."
TEACHING = "For the one who teaches"
CHECKING = "Prepared and checked"
PRINTING = "How to print"
SOURCES = "Where the values come from"


def write_working(regimen: Regimen) -> str:
    """The one reading rule in a sentence, with this scale's own number."""
    per_ml = regimen.syringe.scale.units_per_ml
    volume = "Volume is dose divided by strength."
    if per_ml is None:
        return f"{volume} The stop is the volume, added to what is in the syringe already."
    return f"{volume} The stop is volume times {per_ml} lines for each mL, added to what is in the syringe already."


def write_computed_row(fill: FillPlan, draw: Draw, syringe: Syringe) -> tuple[str, ...]:
    """One row of ``COMPUTED_HEADER``."""
    return (
        f"{write_fill_name(fill.fill)}: {draw.medicine.name}",
        write_quantity(draw.dose),
        write_quantity(draw.medicine.strength) if draw.medicine.strength else "not needed",
        write_quantity(Quantity(draw.volume_ml, Unit.ML)),
        "no air" if draw.air_line is None else write_line(draw.air_line, draw.medicine, syringe),
        write_line(draw.stop_line, draw.medicine, syringe),
    )


def write_syringe_facts(syringe: Syringe) -> tuple[str, ...]:
    """The barrel the card is drawn for, and whether its scale was measured."""
    word = syringe.scale.unit_word
    unit = Unit.ML if word == "mL" else Unit.UNITS
    needle = "fixed" if syringe.needle is Needle.FIXED else "detachable"
    facts = (
        f"Syringe: scale {syringe.scale.value}, {write_quantity(Quantity(syringe.capacity_ml, Unit.ML))}, "
        f"a line every {write_quantity(Quantity(syringe.line_every, unit))}, "
        f"a number every {write_quantity(Quantity(syringe.numbered_every, unit))}; {needle} needle."
    )
    if syringe.scale_length_mm is None:
        return (facts, "Scale length not measured: no life-size picture. The enlarged pictures are not life size.")
    return (facts, f"Scale length as measured, zero line to last line: {write_number(syringe.scale_length_mm)} mm.")


def write_life_size_caption(scale_length_mm: Fraction) -> str:
    """Under the life-size barrel."""
    return (
        f"Life size, scale {write_number(scale_length_mm)} mm. Lay the real syringe on it: every line must meet. "
        "If not, do not use this card."
    )


def write_vial_fact(medicine: Medicine) -> str:
    """One medicine: how long an opened vial lasts and who settled what the catalogue leaves open."""
    origin = "as its label says" if medicine.in_use_days_from_label else "the shortest published"
    fact = f"{medicine.name}: {medicine.in_use_days} days once opened, {origin}."
    if medicine.mixing_checked_by:
        fact += f" Mixing was checked on the label by {medicine.mixing_checked_by}."
    return fact


def write_caution(problem: Problem) -> str:
    """A caution with its code."""
    return f"{problem.code}: found {problem.found}; expected {problem.expected}. To do: {problem.remedy}."


def write_teaching_points(plan: Plan) -> tuple[str, ...]:
    """What the card leaves to the teacher, with the published advice."""
    draws = [draw for fill in plan.fills for draw in fill.draws]
    points = [
        "The card says “as you were taught” for what depends on the person: show it, and have it shown back.",
        "Have the patient set both stops with this card and an empty syringe before the card leaves.",
    ]
    if any(draw.medicine.route is Route.UNDER_THE_SKIN for draw in draws):
        points.append(
            "A 6 mm needle: children and adults of normal weight lift a fold of skin, or go in at 45 degrees "
            "(Frid and others, Mayo Clinic Proceedings 2016;91:1231)."
        )
    return tuple(points)


def write_checking_points(regimen: Regimen, code: str, *, is_checked: bool) -> tuple[str, ...]:
    """What checking means, and how the file is told."""
    points = ["Compare every dose, strength, syringe and time with the prescription itself, not with the file."]
    review = regimen.review
    if is_checked and review.checked_by and review.checked_on:
        day = write_date(review.checked_on)
        points.append(f"Checked by {review.checked_by} on {day}, for card code {code}.")
    else:
        points.append(
            "Once it is right, write into the file: checked_by, checked_on (the day), and "
            f"checked_code: {code}. Make it again."
        )
    return tuple(points)


def write_signing_labels(regimen: Regimen) -> tuple[str, str]:
    """Labels of the lines to initial."""
    prepared, checked = regimen.review.prepared_by, regimen.review.checked_by
    return (
        f"Prepared by {prepared}, initials" if prepared else "Prepared by, initials",
        f"Checked by {checked}, initials" if checked else "Checked by, initials",
    )


def write_fingerprint(fingerprint: str, replaced: str | None) -> tuple[str, ...]:
    """The full fingerprint, in groups of four so that it can be compared by eye; and that of the replaced card."""
    lines = [f"Fingerprint: {_group(fingerprint)}"]
    if replaced:
        lines.append(f"Replaces the card with the fingerprint {_group(replaced)}. Take that card back.")
    return tuple(lines)


def _group(fingerprint: str) -> str:
    return " ".join(fingerprint[start : start + 4] for start in range(0, len(fingerprint), 4))


def write_printing_points(plan: Plan) -> tuple[str, ...]:
    """How to print, and which pages go to the patient."""
    names = write_list([f"“{write_fill_name(fill.fill)}”" for fill in plan.fills])
    general = write_general_name(plan.regimen)
    return (
        "Print at actual size (100 percent). Turn off fit to page and every other scaling.",
        "Print on one side, on matte paper; laminate matte, if at all.",
        "If the bar or the outline does not match, do not hand out any page.",
        f"To the patient: every page of {names}, and of “{general}”. Keep these pages for whoever prints.",
    )


def write_line_gaps(
    names: tuple[str, ...],
    barrel_mm: tuple[float, ...],
    close_up_mm: tuple[float, ...],
    real_mm: float,
    least_mm: float,
) -> tuple[str, ...]:
    """How far apart the lines of the scale come out, and whether this reader can tell them apart.

    Args:
        names: of the fills.
        barrel_mm: from line to line on the enlarged barrel of each fill.
        close_up_mm: likewise in its close-ups.
        real_mm: on the standard's shortest barrel.
        least_mm: for this reader; 0 if nothing is known.
    """
    times = f"the standard's shortest barrel has its lines {_write_figure(real_mm)} mm apart"
    needed = "Nothing is known of how far apart this reader needs the lines of a scale"
    if least_mm:
        needed = f"This reader needs the lines of a scale {_write_gap(least_mm, real_mm)}"
    points = [f"{needed}; {times}."]
    for name, barrel, close in zip(names, barrel_mm, close_up_mm, strict=True):
        got = f"{name}: lines {_write_gap(barrel, real_mm)} on the whole barrel, {_write_gap(close, real_mm)} up close."
        if barrel < least_mm:
            got += " The whole barrel is too fine for counting, and the card says so."
        if close < least_mm:
            got += " Up close they are too fine as well: let the reader count by touch or by ear."
        points.append(got)
    return tuple(points)


def _write_gap(gap_mm: float, real_mm: float) -> str:
    return f"{_write_figure(gap_mm)} mm apart ({_write_figure(gap_mm / real_mm, places=1)} times)"


def _write_figure(value: float, places: int = 2) -> str:
    """Rounded, and no zero after the last figure."""
    return write_number(Fraction(f"{value:.{places}f}"))


def write_source(source: Source) -> str:
    """A citation, honest about how the value was obtained."""
    where = f", {source.where}" if source.where else ""
    how = "" if source.evidence in {Evidence.SEEN, Evidence.COMMON_PRACTICE} else f" ({source.evidence.value})"
    return f"{source.document}{where}{how}."
