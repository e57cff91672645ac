"""Which paper goes with which form, and when a small card's type is too small for its reader."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from support.plans import EXAMPLES, SMALL_PAPERS

from fillcards.catalogue.near_vision import NearAcuity, parse_near_acuity
from fillcards.plan.print_size import (
    check_full_sheet,
    check_small_paper,
    check_small_print,
)
from fillcards.problems import Place, Severity
from fillcards.quantities import convert_pt_to_mm
from fillcards.regimen.model import Patient, PrintChoice, Regimen
from fillcards.typeface import X_HEIGHT_EM


def on_paper(name: str) -> Regimen:
    """A regimen whose file names that paper."""
    return replace(EXAMPLES["mixed"], print=PrintChoice(paper=name))


@pytest.mark.parametrize("name", SMALL_PAPERS)
def test_a_fridge_card_is_refused_on_a_small_paper(name: str) -> None:
    """The message names the paper, the full sheets, and the form that goes on it."""
    (problem,) = check_full_sheet(on_paper(name))
    assert (problem.code, problem.severity, problem.place.key) == ("PAPER-001", Severity.REFUSE, "print.paper")
    assert name in problem.found
    assert "letter, a4" in problem.expected
    assert "--as small" in problem.remedy
    assert check_small_paper(on_paper(name), None) == ()


@pytest.mark.parametrize("name", ["letter", "a4"])
def test_a_small_card_needs_a_small_paper_or_a_size(name: str) -> None:
    """Nothing is guessed: a full sheet in the file does not say how large the card is."""
    (problem,) = check_small_paper(on_paper(name), None)
    assert problem.code == "PAPER-001"
    assert all(small in problem.expected for small in SMALL_PAPERS)
    assert "--size" in problem.remedy
    assert check_small_paper(on_paper(name), "a6") == ()
    assert check_full_sheet(on_paper(name)) == ()


@pytest.mark.parametrize(
    ("patient", "is_cautioned"),
    [
        (Patient(), False),
        (Patient(text_size_pt=Fraction(18)), True),
        (Patient(reads=parse_near_acuity("20/20 at 40 cm", 2.0)), False),
        (Patient(reads=parse_near_acuity("20/100 at 40 cm", 2.0)), True),
    ],
)
def test_a_reader_of_larger_print_is_told_of(patient: Patient, is_cautioned: bool) -> None:
    """Made all the same, with a caution: that reader needs the fridge card as well."""
    problems = check_small_print(patient)
    assert [(problem.code, problem.severity) for problem in problems] == (
        [("SMALL-001", Severity.CAUTION)] if is_cautioned else []
    )


def test_only_the_papers_that_serve_are_named() -> None:
    """Small ones for a small card, full ones for a fridge card, and the way to a sheet of several cards."""
    (small_wanted,) = check_small_paper(on_paper("a6"), "a4")
    assert small_wanted.found == "paper: a4, a full sheet"
    assert small_wanted.expected == (
        "a small one: half_letter, a5, a6, 4x6 in, 100 x 150 mm; or any size from 100 x 140 mm to 210 x 297 mm, "
        "shorter side first, such as 110 x 170 mm"
    )
    assert small_wanted.remedy.endswith("--n-up")
    (full_wanted,) = check_full_sheet(on_paper("a6"))
    assert (full_wanted.found, full_wanted.expected) == ("paper: a6, a small one", "a full sheet: letter, a4")


def make_needing(size_pt: float) -> Patient:
    """A reader at 40 cm whose letters, at a reserve of 2, take that size (a letter has 5 minutes of arc)."""
    letter_mm = convert_pt_to_mm(size_pt) * X_HEIGHT_EM / 2
    return Patient(reads=NearAcuity("", math.log10(letter_mm / 400 / math.tan(math.radians(5 / 60))), 400))


def test_a_reader_of_12_pt_is_served_by_a_small_card() -> None:
    """12 pt is the least of a small card: who needs just that can read it."""
    assert check_small_print(make_needing(12)) == ()
    (problem,) = check_small_print(make_needing(12.5))
    assert problem.found == "this reader needs 12.5 pt; words on a small card may have 12 pt"


@pytest.mark.parametrize(
    ("patient", "key"),
    [(make_needing(20), "patient.reads"), (Patient(text_size_pt=Fraction(18)), "patient.text_size")],
    ids=["acuity", "text size"],
)
def test_the_caution_points_at_what_the_file_says_of_the_reader(patient: Patient, key: str) -> None:
    """At the acuity, or at the size asked for."""
    (problem,) = check_small_print(replace(patient, place=Place(4, 3, "patient")))
    assert problem.place == Place(4, 3, key)
