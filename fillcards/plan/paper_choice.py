"""Which paper suits which form of card, and whether a small card's type suits its reader. Draws nothing.

A fridge card goes on a full sheet; a small card, to be stapled to a prescription, on a small one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from fillcards.catalogue.papers import load_papers
from fillcards.plan.print_size import measure_body_pt
from fillcards.problems import Problem, Severity
from fillcards.quantities import write_number
from fillcards.regimen.model import Patient, Regimen

LEAST_SMALL_CARD_PT: Final = 12
"""What a small card may come in, in the worst case."""


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
            replace(patient.place, key=key),
            found,
            f"a reader of {LEAST_SMALL_CARD_PT} pt, in which a small card may come",
            "give the fridge card as well: make it without --as small",
        ),
    )


def _list(is_small: bool) -> str:
    return ", ".join(name for name, paper in load_papers().items() if paper.is_small is is_small)


def _refuse(regimen: Regimen, found: str, expected: str, remedy: str) -> Problem:
    place = replace(regimen.print.place, key="print.paper")
    return Problem("PAPER-001", Severity.REFUSE, place, found, expected, remedy)
