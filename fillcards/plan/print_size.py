"""Print size from eyesight: type sizes of a card, how far apart the lines of a scale must stand, and why.

Sizes of type in points, distances in mm. The body size is the one whose letter x stands as high as the smallest
letter the patient can read times the reserve, rounded up to a half point. Nothing is said here of pages: whether a
size fits is the layout's.

Lines are told apart from twice the minimum angle of resolution on (``grating-acuity``), times the same
reserve as for letters: that this reserve serves for lines as well is our assumption.

Sources: at least 18 pt (``acb-large-print-2022``, ``ukaaf-g003``); reserve of 2 to 1 (``cheong-2002``,
``latham-2012``); the other sizes are settled choices (``design``).

A fridge card goes on a full sheet; a small card, to be stapled to a prescription, on a small one.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.catalogue.near_vision import (
    LETTER_ARC_MINUTES,
    LINE_PAIR_ARC_MINUTES,
    NearAcuity,
    measure_line_separation_mm,
    measure_threshold_height_mm,
)
from fillcards.catalogue.papers import load_papers
from fillcards.problems import Place, Problem, Severity
from fillcards.quantities import convert_mm_to_pt, convert_pt_to_mm, write_number
from fillcards.regimen.model import Patient, Regimen, Syringe
from fillcards.typeface.metrics import X_HEIGHT_EM

SMALLEST_BODY_PT: Final = 18.0
LARGEST_BODY_PT: Final = 96.0
LARGEST_STEP_PT: Final = 36.0

WIDEST_LINE_GAP_MM: Final = 11.0
"""No picture has its lines further apart: a stop and the number it is counted from must be seen together."""


LEAST_SMALL_CARD_PT: Final = 12
"""What a small card may come in, in the worst case."""


class PrintSize(NamedTuple):
    """The reader's size of type, in points; what else a page has follows from it in the layout.

    Attributes:
        body_pt: never under 18.
        why: how the body size came about, for staff.
        line_gap_mm: from one line of a scale to the next, below which this reader cannot tell them apart; 0 if
            nothing is known of the reader's eyes.
    """

    body_pt: float
    why: str
    line_gap_mm: float = 0.0


def choose_print_size(patient: Patient) -> PrintSize:
    """The type sizes for a patient: from the near acuity, else the size asked for, else 18 pt.

    Raises:
        ValueError: a size asked for is not from 18 to 96 pt; the schema has refused it already.
    """
    body_pt = _choose_body_pt(patient)
    return PrintSize(
        body_pt=body_pt,
        why=_explain_body(patient, body_pt),
        line_gap_mm=_choose_line_gap_mm(patient),
    )


def check_print_size(patient: Patient) -> tuple[Problem, ...]:
    """Cautions about the print size: steps smaller than the rest, or an acuity no page or no picture can serve."""
    problems = []
    body_pt = _choose_body_pt(patient)
    if patient.reads:
        needed_pt = measure_body_pt(patient.reads)
        if needed_pt > LARGEST_BODY_PT:
            problems.append(_describe_too_large(patient, needed_pt))
        gap_mm = measure_line_gap_mm(patient.reads)
        if gap_mm > WIDEST_LINE_GAP_MM:
            problems.append(_describe_too_fine(patient, gap_mm))
    if body_pt > LARGEST_STEP_PT:
        problems.append(_describe_small_steps(patient, body_pt))
    return tuple(problems)


def measure_body_pt(acuity: NearAcuity) -> float:
    """The type size whose letter x is the smallest readable letter times the reserve, rounded up to a half point."""
    x_height_mm = acuity.reserve * measure_threshold_height_mm(acuity)
    exact_pt = convert_mm_to_pt(x_height_mm) / X_HEIGHT_EM
    # The slack is far under what can be seen, and keeps a size that comes out even from being raised by float noise.
    return math.ceil(exact_pt * 2 - 1e-6) / 2


def measure_line_gap_mm(acuity: NearAcuity) -> float:
    """Least distance from one line of a scale to the next, centre to centre, for this reader; the reserve included."""
    return acuity.reserve * measure_line_separation_mm(acuity)


def measure_scale_gap_mm(syringe: Syringe, scale_length_mm: Fraction | float) -> float:
    """From one line to the next on a scale of that length, zero line to last line."""
    return float(scale_length_mm) * float(syringe.line_every / syringe.last_line)


def _choose_line_gap_mm(patient: Patient) -> float:
    """From the acuity; else from the size asked for, as if an acuity had asked for it; else nothing is known."""
    if patient.reads:
        return measure_line_gap_mm(patient.reads)
    if patient.text_size_pt is None:
        return 0.0
    x_height_mm = X_HEIGHT_EM * convert_pt_to_mm(float(patient.text_size_pt))
    return x_height_mm * LINE_PAIR_ARC_MINUTES / LETTER_ARC_MINUTES


def _choose_body_pt(patient: Patient) -> float:
    if patient.reads:
        return min(max(SMALLEST_BODY_PT, measure_body_pt(patient.reads)), LARGEST_BODY_PT)
    if patient.text_size_pt is None:
        return SMALLEST_BODY_PT
    body_pt = float(patient.text_size_pt)
    if not SMALLEST_BODY_PT <= body_pt <= LARGEST_BODY_PT:
        raise ValueError(f"a text size of {body_pt:g} pt is not from 18 to 96 pt")
    return body_pt


def _explain_body(patient: Patient, body_pt: float) -> str:
    size = f"Body text is {_write(body_pt)} pt"
    if patient.reads is None:
        if patient.text_size_pt is None:
            return f"{size}, the least on a patient's page: the file states no near acuity and no text size."
        return f"{size}, as the file asks."
    acuity = patient.reads
    letter_mm = _write(measure_threshold_height_mm(acuity))
    needed_pt = measure_body_pt(acuity)
    reason = (
        f"{acuity.text} means letters of {letter_mm} mm can just be read; {_write(acuity.reserve)} times that, as the "
        f"height of the letter x, takes {_write(needed_pt)} pt."
    )
    if needed_pt > LARGEST_BODY_PT:
        return f"{size}, the most a page can hold, and too small for this reader: {reason}"
    if needed_pt < SMALLEST_BODY_PT:
        return f"{size}, the least on a patient's page: {reason}"
    return f"{size}: {reason}"


def _describe_small_steps(patient: Patient, body_pt: float) -> Problem:
    size = _write(body_pt)
    remedy = (
        "make sure that the reader can read the steps, or add the raised pages or the spoken card; page one keeps "
        "its larger size"
    )
    return _caution("SIZE-001", patient, f"a text size of {size} pt", "at most 36 pt for the numbered steps", remedy)


def _describe_too_large(patient: Patient, needed_pt: float) -> Problem:
    found = f"a near acuity that needs {_write(needed_pt)} pt"
    remedy = (
        "the card comes as large as its pages can hold; use the raised pages, the screen-reader page, the braille "
        "file or the plain text"
    )
    return _caution("SIZE-002", patient, found, "at most 96 pt on a printed page", remedy)


def _describe_too_fine(patient: Patient, gap_mm: float) -> Problem:
    found = f"a near acuity that needs the lines of a scale {_write(gap_mm)} mm apart"
    expected = f"at most {_write(WIDEST_LINE_GAP_MM)} mm in a picture"
    remedy = (
        "the close-ups come as wide as they can; let the reader count by touch or by ear: "
        "use the raised pages, the screen-reader page, the braille file or the plain text"
    )
    return _caution("SIZE-003", patient, found, expected, remedy)


def _caution(code: str, patient: Patient, found: str, expected: str, remedy: str) -> Problem:
    key = "patient.reads" if patient.reads else "patient.text_size"
    place: Place = patient.place._replace(key=key)
    return Problem(code, Severity.CAUTION, place, found, expected, remedy)


def _write(value: float) -> str:
    return write_number(Fraction(f"{value:.2f}"))


def check_full_sheet(regimen: Regimen) -> tuple[Problem, ...]:
    """Whether the regimen's paper can hold a fridge card."""
    if not load_papers()[regimen.print.paper].is_small:
        return ()
    remedy = "make the small card, with --as small; or write paper: letter or a4"
    return (_refuse(regimen, f"paper: {regimen.print.paper}, a small one", f"a full sheet: {_list(False)}", remedy),)


def check_small_paper(regimen: Regimen, size: str | None) -> tuple[Problem, ...]:
    """Whether it is known how large a small card is to be.

    Args:
        regimen: its paper, if a small one, is the card's size.
        size: a paper that is asked for instead.
    """
    name = size or regimen.print.paper
    if load_papers()[name].is_small:
        return ()
    remedy = f"give the card's size: --size with one of these, or write it as paper; {name} may be the sheet it is "
    remedy += "cut from: --n-up"
    return (_refuse(regimen, f"paper: {name}, a full sheet", f"a small one: {_list(True)}", remedy),)


def check_small_print(patient: Patient) -> tuple[Problem, ...]:
    """A caution where the file says that its reader needs more than a small card may have."""
    if patient.text_size_pt is not None:
        key, found = "patient.text_size", f"a text size of {write_number(patient.text_size_pt)} pt"
    elif patient.reads and measure_body_pt(patient.reads) > LEAST_SMALL_CARD_PT:
        key, found = "patient.reads", f"a near acuity that needs {measure_body_pt(patient.reads):g} pt"
    else:
        return ()
    return (
        Problem(
            "SMALL-001",
            Severity.CAUTION,
            patient.place._replace(key=key),
            found,
            f"a reader of {LEAST_SMALL_CARD_PT} pt, in which a small card may come",
            "give the fridge card as well: make it without --as small",
        ),
    )


def _list(is_small: bool) -> str:
    return ", ".join(name for name, paper in load_papers().items() if paper.is_small is is_small)


def _refuse(regimen: Regimen, found: str, expected: str, remedy: str) -> Problem:
    place = regimen.print.place._replace(key="print.paper")
    return Problem("PAPER-001", Severity.REFUSE, place, found, expected, remedy)
