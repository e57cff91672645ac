"""Every published worked example we found (W1 to W22), run through reading and plan.

The number in each id is the example's; the source stands beside it. "Question bank" has no address. Where a page was
seen only in another text's account, or its answer was worked out here, the row says so.
"""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import ScaleName
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import FillPlan, LineAmount, StepKind
from fillcards.plan.reading import measure_line
from fillcards.problems import RegimenRefused
from fillcards.quantities import convert_dose_to_volume_ml
from fillcards.regimen.model import Regimen
from fillcards.wording.messages import render, say

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import (
    CLEAR,
    dose,
    make_fill,
    make_insulin,
    make_mixed,
    make_other,
    make_regimen,
    make_syringe,
    strength,
)

U_100, U_500, ML = ScaleName.U_100, ScaleName.U_500, ScaleName.ML


@pytest.mark.parametrize(
    ("amount", "of", "volume_ml"),
    [
        # US Army MD0904, Pharmacology Math for the Practical Nurse, pages 2-34 to 2-36.
        pytest.param("16 units", "100 units/mL", "0.16", id="W2-MD0904-p-2-36"),
        pytest.param("20 units", "100 units/mL", "0.2", id="W3-MD0904-p-2-36"),
        pytest.param("30 units", "100 units/mL", "0.3", id="W4-MD0904-p-2-36"),
        pytest.param("5000 units", "40000 units/mL", "0.125", id="W5-MD0904-p-2-34-before-rounding"),
        pytest.param("15000 units", "20000 units/mL", "0.75", id="W6-MD0904-p-2-34"),
        pytest.param("11000 units", "20000 units/mL", "0.55", id="W7-MD0904-p-2-35"),
        # US Army MD0802, page 1-73: the question was seen, its answer worked out.
        pytest.param("60 units", "100 units/mL", "0.6", id="W8-MD0802-p-1-73"),
        # questionai.com (account of a question bank).
        pytest.param("12 units", "100 units/mL", "0.12", id="W16-questionai.com"),
        # scribd.com/document/689862527 (nursing examination notes).
        pytest.param("50 mg", "100 mg/mL", "0.5", id="W17-scribd-689862527"),
        # diabetesincontrol.com, Calibrating insulin correctly.
        pytest.param("200 units", "500 units/mL", "0.4", id="W18-diabetesincontrol.com"),
        # FDA alert of 26 July 2024, as reported by medicalbrief.co.za.
        pytest.param("5 units", "100 units/mL", "0.05", id="W21-FDA-2024"),
    ],
)
def test_volume(amount: str, of: str, volume_ml: str) -> None:
    """The volume that holds the dose is the printed one, exactly."""
    assert convert_dose_to_volume_ml(dose(amount), strength(of)) == Fraction(volume_ml)


@pytest.mark.parametrize(
    ("amount", "of", "scale", "line"),
    [
        pytest.param("16 units", "100 units/mL", U_100, "16", id="W1-MD0904-p-2-35"),
        pytest.param("16 units", "100 units/mL", ML, "0.16", id="W2-MD0904-p-2-36"),
        pytest.param("20 units", "100 units/mL", ML, "0.2", id="W3-MD0904-p-2-36"),
        pytest.param("30 units", "100 units/mL", ML, "0.3", id="W4-MD0904-p-2-36"),
        pytest.param("200 units", "500 units/mL", U_500, "200", id="W18-diabetesincontrol.com-own-syringe"),
        pytest.param("200 units", "500 units/mL", U_100, "40", id="W18-diabetesincontrol.com-historic-unsafe"),
        # docplayer.net/12747967: D / 5 is the mark of U-100 for any dose D of U-500 (historic).
        pytest.param("125 units", "500 units/mL", U_100, "25", id="W19-docplayer-12747967-historic-unsafe"),
        # droracle.ai/articles/108740.
        pytest.param("0.25 mL", "100 units/mL", U_100, "25", id="W20-droracle.ai"),
        pytest.param("0.05 mL", "100 units/mL", U_100, "5", id="W21-FDA-2024"),
    ],
)
def test_line(amount: str, of: str, scale: ScaleName, line: str) -> None:
    """The line on the scale is the printed one. That it can be read does not mean a rule lets it on a card."""
    assert measure_line(dose(amount), strength(of), scale) == Fraction(line)


def list_air(fill: FillPlan) -> list[tuple[str, Fraction | None]]:
    """Each air draw in order: into which medicine's vial, from which line."""
    return [
        (step.draw.medicine.key, step.amount.value if step.amount else None)
        for step in fill.steps
        if step.draw and step.kind in {StepKind.TWO_SECOND_AIR, StepKind.TWO_FIRST_AIR, StepKind.ONE_AIR}
    ]


# Rows 12 to 17 of the table of check values.
MIXTURES = [
    # Calculate with Confidence, 6th edition, chapter 20, problem 15.
    pytest.param(5, 25, 30, id="W9-row-12-calculate-with-confidence"),
    # nurseslabs.com, How to mix insulin in one syringe; the same numbers in scribd.com/document/689862527.
    pytest.param(10, 20, 30, id="W10-row-13-nurseslabs.com"),
    # pdhdrawings.com (weak account of a nursing page; the arithmetic is exact).
    pytest.param(10, 12, 22, id="W11-row-14-pdhdrawings.com"),
    # questionai.com (account of a question bank).
    pytest.param(10, 40, 50, id="W12-row-15-questionai.com"),
    pytest.param(6, 18, 24, id="W13-row-16-question-bank"),
    pytest.param(5, 12, 17, id="W14-row-17-question-bank"),
    pytest.param(6, 14, 20, id="W15-question-bank"),
]


@pytest.mark.parametrize(("clear", "cloudy", "total"), MIXTURES)
def test_mixture(clear: int, cloudy: int, total: int) -> None:
    """Clear to the first line, cloudy to the sum; air for cloudy first, then air for clear, each its own dose."""
    (fill,) = plan_fills(make_mixed(f"{clear} units", f"{cloudy} units")).fills
    assert [draw.medicine.key for draw in fill.draws] == ["clear", "cloudy"]
    assert [draw.stop_line for draw in fill.draws] == [clear, total]
    assert list_air(fill) == [("cloudy", Fraction(cloudy)), ("clear", Fraction(clear))]
    assert fill.last.stop_line / 100 == sum(draw.volume_ml for draw in fill.draws)


def test_mixture_volume() -> None:
    """W14: 5 and 12 units of U-100 are 0.17 mL (question bank)."""
    (fill,) = plan_fills(make_mixed("5 units", "12 units")).fills
    assert sum(draw.volume_ml for draw in fill.draws) == Fraction("0.17")


def test_first_action_with_the_plunger() -> None:
    """W15: of 14 isophane and 6 regular, the first is 14 units of air into the cloudy vial (question bank)."""
    (fill,) = plan_fills(make_mixed("6 units", "14 units")).fills
    first = next(step for step in fill.steps if step.amount is not None)
    assert first.kind is StepKind.TWO_SECOND_AIR
    assert first.amount == LineAmount(Fraction(14), False)
    assert first.draw is not None
    assert first.draw.medicine.is_cloudy


def test_order_of_the_whole_procedure() -> None:
    """W10, W12: air to cloudy, needle out empty, air to clear, draw clear, draw cloudy (nurseslabs.com)."""
    (fill,) = plan_fills(make_mixed("10 units", "20 units")).fills
    order = (StepKind.TWO_SECOND_AIR, StepKind.TWO_FIRST_AIR, StepKind.TWO_DRAW, StepKind.TWO_DRAW_SECOND)
    told = [(step.kind, step.draw.medicine.key) for step in fill.steps if step.draw and step.kind in order]
    assert told == list(zip(order, ("cloudy", "clear", "clear", "cloudy"), strict=True))
    air_out = render(say("two-5", air=LineAmount(Fraction(20), False))).text
    assert air_out.endswith("push air in. Needle out.")


def test_air_for_a_single_dose() -> None:
    """W22: before 10 units, 10 units of air (healthlinkbc.ca, Preparing a single dose)."""
    (fill,) = plan_fills(make_regimen(make_fill(clear="10 units"), medicines=(CLEAR,))).fills
    assert list_air(fill) == [("clear", Fraction(10))]


def find_codes(regimen: Regimen) -> set[str]:
    """The codes that refuse a regimen."""
    with pytest.raises(RegimenRefused) as refusal:
        plan_fills(regimen)
    return {problem.code for problem in refusal.value.problems}


def test_the_rounding_example_makes_no_card() -> None:
    """W5: the page rounds 0.125 mL to 0.13 (half up); a card does not round: between two lines is refused."""
    heparin = make_other("thin", "heparin", "40000 units/mL")
    regimen = make_regimen(make_fill(thin="5000 units"), medicines=(heparin,), syringe=make_syringe(ML, "1", "0.01"))
    assert "LINE-002" in find_codes(regimen)


def test_the_historic_conversion_makes_no_card() -> None:
    """W18, W19: insulin of 500 units/mL on a U-100 scale is refused (regulator, July 2016)."""
    strong = make_insulin("strong", "insulin regular concentrated", "500 units/mL")
    regimen = make_regimen(make_fill(strong="200 units"), medicines=(strong,), syringe=make_syringe(capacity_ml="1"))
    assert "SCALE-001" in find_codes(regimen)


def test_insulin_on_a_tuberculin_syringe_makes_no_card() -> None:
    """W2 to W4: the pages of 16, 20 and 30 units on a scale in mL are arithmetic; insulin has its own syringe here."""
    regimen = make_regimen(make_fill(clear="16 units"), medicines=(CLEAR,), syringe=make_syringe(ML, "1", "0.01"))
    assert "SCALE-002" in find_codes(regimen)
