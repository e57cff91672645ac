"""Print size from eyesight: type sizes of a card, how far apart the lines of a scale must stand, and why.

Sizes of type in points, distances in mm. The body size is the one whose letter x stands as high as the smallest
letter the patient can read times the reserve, rounded up to a half point. Nothing is said here of pages: whether a
size fits is the layout's.

Lines are told apart from twice the minimum angle of resolution on (``grating-acuity``), times the same
reserve as for letters: that this reserve serves for lines as well is our assumption.

Sources: at least 18 pt (``acb-large-print-2022``, ``ukaaf-g003``); reserve of 2 to 1 (``cheong-2002``,
``latham-2012``); the other sizes are settled choices (``design``).

Past 83 pt no fridge card is printed; what does not depend on print size is made for everybody.

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
from fillcards.catalogue.papers import load_papers, take_paper, write_own_limits
from fillcards.codes import make_problem
from fillcards.problems import Place, Problem, Severity
from fillcards.quantities import convert_mm_to_pt, convert_pt_to_mm, write_number
from fillcards.regimen.model import Patient, Regimen, Syringe
from fillcards.typeface.faces import LANGUAGES
from fillcards.typeface.metrics import X_HEIGHT_EM

SMALLEST_BODY_PT: Final = 18.0
LARGEST_ASKED_PT: Final = 96.0
LARGEST_PRINT_PT: Final = 83.0
LARGEST_STEPS_PT: Final = 36.0
"""Up to this size steps are set in the reader's own type; above, the front is a deck and the steps are for a helper."""

WIDEST_LINE_GAP_MM: Final = 11.0
"""No picture has its lines further apart: a stop and the number it is counted from must be seen together."""


LEAST_SMALL_CARD_PT: Final = 12
"""What a small card may come in, in the worst case."""


class PrintSize(NamedTuple):
    """The reader's size of type, in points; what else a page has follows from it in the layout.

    Attributes:
        body_pt: what the reader needs, never under 18; past 83 there is no print of it.
        why: how the body size came about, for staff.
        line_gap_mm: from one line of a scale to the next, below which this reader cannot tell them apart; 0 if
            nothing is known of the reader's eyes.
    """

    body_pt: float
    why: str
    line_gap_mm: float = 0.0


def choose_print_size(patient: Patient, language: str = "en") -> PrintSize:
    """The type sizes for a patient: from the near acuity, else the size asked for, else 18 pt; larger in a script whose
    letters are harder to tell apart.

    Raises:
        ValueError: a size asked for is not from 18 to 96 pt; the schema has refused it already.
    """
    body_pt = _choose_body_pt(patient, language)
    return PrintSize(
        body_pt=body_pt,
        why=_explain_body(patient, body_pt, language),
        line_gap_mm=_choose_line_gap_mm(patient),
    )


def check_print_size(patient: Patient, language: str = "en") -> tuple[Problem, ...]:
    """Cautions about the print size: steps smaller than the rest, or a reader no page or no picture can serve."""
    problems = []
    body_pt = _choose_body_pt(patient, language)
    place = _find_place(patient)
    if body_pt > LARGEST_PRINT_PT:
        problems.append(make_problem("SIZE-002", place, needed=_write(body_pt)))
    elif body_pt > LARGEST_STEPS_PT:
        problems.append(make_problem("SIZE-001", place, needed=_write(body_pt)))
    if patient.reads and (gap_mm := measure_line_gap_mm(patient.reads)) > WIDEST_LINE_GAP_MM:
        problems.append(make_problem("SIZE-003", place, gap=_write(gap_mm), widest=_write(WIDEST_LINE_GAP_MM)))
    return tuple(problems)


def has_print(patient: Patient, language: str = "en") -> bool:
    """Whether a fridge card in print can serve this reader."""
    return _choose_body_pt(patient, language) <= LARGEST_PRINT_PT


def check_print_serves(patient: Patient, language: str = "en") -> tuple[Problem, ...]:
    """A refusal of the printed fridge card where no print serves this reader."""
    return tuple(
        problem._replace(code="LAYOUT-003", severity=Severity.REFUSE)
        for problem in check_print_size(patient, language)
        if problem.code == "SIZE-002"
    )


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


def _choose_body_pt(patient: Patient, language: str) -> float:
    return grow_for_script(_choose_latin_pt(patient), language)


def grow_for_script(size_pt: float, language: str) -> float:
    """A size of Latin type as the language needs it, to be as legible; in half points, rounded up."""
    share = LANGUAGES[language].size
    return size_pt if share == 1 else math.ceil(2 * size_pt * share - 1e-6) / 2


def _choose_latin_pt(patient: Patient) -> float:
    if patient.reads:
        return max(SMALLEST_BODY_PT, measure_body_pt(patient.reads))
    if patient.text_size_pt is None:
        return SMALLEST_BODY_PT
    body_pt = float(patient.text_size_pt)
    if not SMALLEST_BODY_PT <= body_pt <= LARGEST_ASKED_PT:
        raise ValueError(f"a text size of {body_pt:g} pt is not from 18 to 96 pt")
    return body_pt


def _explain_body(patient: Patient, body_pt: float, language: str) -> str:
    size = f"Body text is {_write(body_pt)} pt"
    if body_pt > LARGEST_PRINT_PT:
        size = f"No print has body text of {_write(body_pt)} pt"
    if LANGUAGES[language].size != 1:
        size += f" ({_write(LANGUAGES[language].size)} times that of Latin letters, to be as legible in this script)"
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
    if needed_pt < SMALLEST_BODY_PT:
        return f"{size}, the least on a patient's page: {reason}"
    return f"{size}: {reason}"


def _find_place(patient: Patient) -> Place:
    return patient.place._replace(key="patient.reads" if patient.reads else "patient.text_size")


def _write(value: float) -> str:
    return write_number(Fraction(f"{value:.2f}"))


def check_full_sheet(regimen: Regimen) -> tuple[Problem, ...]:
    """Whether the regimen's paper can hold a fridge card."""
    if not take_paper(regimen.print.paper).is_small:
        return ()
    wanted = f"a full sheet: {_list(False)}"
    remedy = "make the small card, with --as small; or write paper: letter or a4"
    return (_refuse(regimen, f"{regimen.print.paper}, a small one", wanted, remedy),)


def check_small_paper(regimen: Regimen, size: str | None) -> tuple[Problem, ...]:
    """Whether it is known how large a small card is to be.

    Args:
        regimen: its paper, if a small one, is the card's size.
        size: a paper that is asked for instead.
    """
    name = size or regimen.print.paper
    if take_paper(name).is_small:
        return ()
    remedy = f"give the card's size: --size with one of these, or write it as paper; {name} may be the sheet it is "
    remedy += "cut from: --n-up"
    return (_refuse(regimen, f"{name}, a full sheet", f"a small one: {_list(True)}", remedy),)


def check_small_print(patient: Patient, language: str = "en") -> tuple[Problem, ...]:
    """A caution where the file says that its reader needs more than a small card may have."""
    needed_pt = measure_body_pt(patient.reads) if patient.reads else float(patient.text_size_pt or 0)
    needed_pt = grow_for_script(max(needed_pt, LEAST_SMALL_CARD_PT), language)
    if needed_pt <= LEAST_SMALL_CARD_PT:
        return ()
    other = "fridge card as well, without --as small"
    if not has_print(patient, language):
        other = "screen page as well: -o card.html"
    values = {"needed": _write(needed_pt), "most": LEAST_SMALL_CARD_PT, "other": other}
    return (make_problem("SMALL-001", _find_place(patient), **values),)


def _list(is_small: bool) -> str:
    names = ", ".join(name for name, paper in load_papers().items() if paper.is_small is is_small)
    return f"{names}; or {write_own_limits()}" if is_small else names


def _refuse(regimen: Regimen, paper: str, expected: str, remedy: str) -> Problem:
    place = regimen.print.place._replace(key="print.paper")
    return make_problem("PAPER-001", place, paper=paper, expected=expected, remedy=remedy)
