"""What ``choose`` and ``supply`` tell people: everything needed, no dose proposed, nobody named."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import Route, ScaleName
from fillcards.catalogue.scales import load_scales
from fillcards.plan.accuracy import choose_syringes
from fillcards.plan.supply import plan_supply
from fillcards.regimen.model import Needle, Patient, Regimen, Weekday
from fillcards.verbs.choose import write_choice
from fillcards.verbs.supply import write_supply

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, make_fill, make_insulin, make_mixed, make_other, make_regimen, make_syringe

START = date(2026, 11, 25)
WEEKLY = make_regimen(
    replace(make_fill("in the evening", weekly="0.25 mg"), days=(Weekday.THURSDAY,)),
    medicines=(make_other("weekly", "sample medicine", "2.5 mg/mL", vial_ml=Fraction(2)),),
)
REGIMENS = (
    make_mixed("8 units", "18 units"),
    replace(make_mixed("8 units", "18 units"), syringe=make_syringe(needle=Needle.DETACHABLE)),
    make_regimen(make_fill(clear="37 units"), medicines=(CLEAR,), syringe=make_syringe(capacity_ml="1", line_every=2)),
    make_regimen(make_fill(clear="120 units"), medicines=(CLEAR,)),
    WEEKLY,
)


def choose(regimen: Regimen) -> str:
    """The answer of ``choose`` as text."""
    return write_choice(choose_syringes(regimen, load_scales()))


@pytest.mark.parametrize("regimen", REGIMENS)
def test_texts_keep_the_writing_rules(regimen: Regimen) -> None:
    """No trailing zero, no naked point, no number against its unit, no line over 120 characters (ISMP list)."""
    for text in (choose(regimen), write_supply(plan_supply(regimen, START))):
        assert not re.search(r"[0-9]\.[0-9]*0\b", text)
        assert not re.search(r"(?<![0-9])\.[0-9]", text)
        assert not re.search(r"[0-9](units?|mg|mL|%)", text)
        assert max(map(len, text.splitlines())) <= 120


@pytest.mark.parametrize("regimen", REGIMENS)
def test_nobody_is_named(regimen: Regimen) -> None:
    """What is told on a screen does not carry the patient's name."""
    named = replace(regimen, patient=Patient(name="Sample Patient", second_identifier="ward 3"))
    for text in (choose(named), write_supply(plan_supply(named, START))):
        assert "Sample Patient" not in text
        assert "ward 3" not in text


@pytest.mark.parametrize("regimen", REGIMENS)
def test_no_dose_but_the_prescribed_ones(regimen: Regimen) -> None:
    """In the column of doses stand the prescribed doses and no other."""
    prescribed = {str(draw.dose) for fill in regimen.fills for draw in fill.draws}
    choice = choose_syringes(regimen, load_scales())
    told = {str(error.dose) for fit in choice.fits for error in fit.errors}
    assert told <= prescribed
    assert "changes no dose" in choose(regimen)


def test_a_line_is_not_a_dose() -> None:
    """0.25 mg on line 10 of a U-100 barrel never reads as 10 units (FDA alert of 26 July 2024)."""
    rows = [line for line in choose(WEEKLY).splitlines() if "sample medicine" in line]
    assert rows
    for row in rows:
        assert "0.25 mg" in row
        assert "unit" not in row


def test_smallest_and_reasons() -> None:
    """37 units: the 0.5 mL barrel is named, and for the one in the file the reason why not."""
    text = choose(REGIMENS[2])
    first, second, *_ = text.splitlines()
    assert first == "Smallest syringe that holds every fill on a line, with a numbered step left above each total:"
    assert second == "0.5 mL U-100 with a line every 1 unit."
    assert re.search(r"1 mL U-100 with a line every 2 units, named in the file\n    LINE-[0-9]+  37 units", text)


def test_nothing_fits() -> None:
    """120 units fit no barrel of the catalogue: said in so many words, and no figures."""
    text = choose(REGIMENS[3])
    assert text.startswith("No syringe tried holds every fill on a line. No dose is rounded to make one fit.")
    assert "Typical" not in text


def test_a_forbidden_mixture_is_told_once() -> None:
    """What refuses the regimen whatever the syringe stands at the top, once."""
    medicines = (CLEAR, make_insulin("long", "insulin glargine"))
    regimen = make_regimen(make_fill(clear="8 units", long="18 units"), medicines=medicines)
    (problem, *_) = choose_syringes(regimen, load_scales()).regimen_problems
    assert choose(regimen).count(problem.found) == 1


def test_detachable_needle_quotes_the_published_range() -> None:
    """3.3 to 6.5 units too much of the first, as much too little of the second (Diabetes Care 1986;9:23)."""
    text = choose(REGIMENS[1])
    assert "3.3 to 6.5 units too much of insulin regular" in text
    assert "3.3 to 6.5 units too little of insulin isophane" in text


def test_unconfirmed_figures_are_marked() -> None:
    """Where a limit is from memory or from a damaged copy, the text says so."""
    assert "from memory" in choose(make_mixed("8 units", "18 units"))


def test_supply_tells_dates_and_counts() -> None:
    """20 units a day from 1,000: thrown away after 28 days with 440 units left (see the tests of the plan)."""
    regimen = make_regimen(make_fill(clear="20 units"), medicines=(replace(CLEAR, in_use_days=28),))
    text = write_supply(plan_supply(regimen, START))
    for words in ("1,000 units", "23 December 2026", "440 units", "90 for 90 days"):
        assert words in text


def test_supply_by_mouth_speaks_of_bottles() -> None:
    """By mouth there are bottles and one oral syringe; no vial, no needle, no loss that nobody measured."""
    bottle = make_other("syrup", "sample syrup", None, route=Route.BY_MOUTH, takes_air=False, vial_ml=Fraction(100))
    syringe = make_syringe(ScaleName.ML, "3", "0.1", Needle.NONE)
    regimen = make_regimen(make_fill(syrup="2.5 mL"), medicines=(bottle,), syringe=syringe)
    text = write_supply(plan_supply(regimen, START))
    assert "Fillings of the oral syringe" in text
    for word in ("needle", "loss", "vials"):
        assert word not in text.lower().replace("each vial or bottle", "")


def test_supply_says_what_cannot_be_counted() -> None:
    """Without a vial size the text says why there are no vials."""
    regimen = make_regimen(make_fill(clear="20 units"), medicines=(replace(CLEAR, vial_ml=None),))
    assert "the file does not say what one holds" in write_supply(plan_supply(regimen, START))
