"""Claims about planned fills: stops, air, counts, numbering, refusal."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.scales import load_scales
from fillcards.geometry import is_on_line, place_lines
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import FillPlan, LineAmount, Plan, StepKind
from fillcards.problems import RegimenRefused
from fillcards.quantities import Quantity, Unit, write_number
from fillcards.regimen.model import Fill, PrescribedDraw, Regimen, Syringe

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_fill, make_insulin, make_mixed, make_other, make_regimen, make_syringe


def plan_one(regimen: Regimen) -> FillPlan:
    """The plan of a regimen with one fill."""
    (fill,) = plan_fills(regimen).fills
    return fill


@pytest.mark.parametrize(
    ("clear", "cloudy", "first_line", "total_line"),
    [
        pytest.param(5, 25, 5, 30, id="W9 Calculate with Confidence 6th ed., ch 20, problem 15"),
        pytest.param(10, 20, 10, 30, id="W10 nursing pages on mixing"),
        pytest.param(10, 12, 10, 22, id="W11 nursing page, weak source"),
        pytest.param(10, 40, 10, 50, id="W12 question bank"),
        pytest.param(6, 18, 6, 24, id="W13 question bank"),
        pytest.param(5, 12, 5, 17, id="W14 question bank"),
    ],
)
def test_stops_and_air_agree_with_printed_answers(clear: int, cloudy: int, first_line: int, total_line: int) -> None:
    """First line, total line, and air equal to each dose, as the sources print them."""
    fill = plan_one(make_mixed(f"{clear} units", f"{cloudy} units"))
    assert [draw.stop_line for draw in fill.draws] == [first_line, total_line]
    assert [draw.air_line for draw in fill.draws] == [clear, cloudy]


def test_air_goes_in_cloudy_first() -> None:
    """W10: air 20 into cloudy, air 10 into clear, draw to 10, then to 30."""
    fill = plan_one(make_mixed("10 units", "20 units"))
    kinds = {StepKind.TWO_SECOND_AIR, StepKind.TWO_FIRST_AIR, StepKind.TWO_DRAW, StepKind.TWO_DRAW_SECOND}
    lines = [
        (step.kind, step.draw.medicine.key, step.amount.value)
        for step in fill.steps
        if step.draw and step.amount and step.kind in kinds
    ]
    assert lines == [
        (StepKind.TWO_SECOND_AIR, "cloudy", Fraction(20)),
        (StepKind.TWO_FIRST_AIR, "clear", Fraction(10)),
        (StepKind.TWO_DRAW, "clear", Fraction(10)),
        (StepKind.TWO_DRAW_SECOND, "cloudy", Fraction(30)),
    ]


def test_first_act_on_the_syringe_is_air_for_the_cloudy_vial() -> None:
    """W15 (public question bank): of 14 cloudy and 6 clear, air of 14 units for the cloudy vial comes first."""
    fill = plan_one(make_mixed("6 units", "14 units"))
    first = next(step for step in fill.steps if step.amount is not None)
    assert (first.kind, first.amount) == (StepKind.TWO_SECOND_AIR, LineAmount(Fraction(14), False))
    assert first.draw is fill.last


def test_aspart_is_drawn_before_isophane() -> None:
    """Allowed, aspart first (label-summary-mixing)."""
    medicines = (make_insulin("cloudy", "insulin isophane"), make_insulin("clear", "insulin aspart"))
    fill = plan_one(make_regimen(make_fill(cloudy="12 units", clear="4 units"), medicines=medicines))
    assert [draw.medicine.name for draw in fill.draws] == ["insulin aspart", "insulin isophane"]


def test_u500_on_its_own_syringe_is_planned() -> None:
    """200 units of 500 units/mL stand on line 200 and are 0.4 mL (u500-syringe-steps)."""
    regimen = make_regimen(
        make_fill(strong="200 units"),
        medicines=(make_insulin("strong", "insulin regular concentrated", "500 units/mL"),),
        syringe=make_syringe(ScaleName.U_500, "0.5", 5),
    )
    fill = plan_one(regimen)
    assert (fill.first.stop_line, fill.first.volume_ml) == (Fraction(200), Fraction("0.4"))


def test_medicine_without_air_has_no_air_line() -> None:
    """Where the label wants no air, none is planned."""
    regimen = make_regimen(
        make_fill(clear="8 units"), medicines=(make_insulin("clear", "insulin regular", takes_air=False),)
    )
    assert plan_one(regimen).first.air_line is None


def test_the_count_is_to_the_stop() -> None:
    """Counting to line 26 starts from 25 (numbered every 5, ISO 8537)."""
    fill = plan_one(make_mixed("8 units", "18 units"))
    assert (fill.last.count.value, fill.last.count.from_number) == (Fraction(26), Fraction(25))


def test_first_and_last_of_a_single_medicine_are_one_draw() -> None:
    """Where the fill has one medicine, its only line is the first and the last."""
    fill = plan_one(make_regimen(make_fill(clear="8 units")))
    assert fill.first is fill.last
    assert not fill.is_mixed


def test_fills_are_numbered_in_the_order_of_the_file() -> None:
    """The number of a fill is its place in the file, from 1."""
    regimen = make_regimen(make_fill("before supper", clear="6 units"), make_fill("before breakfast", clear="8 units"))
    assert [(fill.number, fill.fill.when) for fill in plan_fills(regimen).fills] == [
        (1, "before supper"),
        (2, "before breakfast"),
    ]


def test_refused_regimen_is_not_planned() -> None:
    """A rule that refuses stops the plan, and every problem comes with it."""
    with pytest.raises(RegimenRefused) as refusal:
        plan_fills(make_mixed("8.5 units", "60 units"))
    assert {"LINE-001", "LINE-002"} <= {problem.code for problem in refusal.value.problems}


_INSULIN_OF_SCALE = {
    ScaleName.U_100: ("insulin regular", "insulin isophane", "100 units/mL"),
    ScaleName.U_40: ("insulin regular", "insulin isophane", "40 units/mL"),
}
_SHARED = [row for row in load_scales() if row.scale in _INSULIN_OF_SCALE]


def _make_syringe_of(row: SyringeScale) -> Syringe:
    return make_syringe(row.scale, row.capacity_ml, row.line_every)


@st.composite
def mixed_plans(draw: st.DrawFn) -> tuple[tuple[Fraction, Fraction], Plan]:
    """Doses of whole lines that fit, with their plan."""
    row = draw(st.sampled_from(_SHARED))
    lines = int(row.last_line / row.line_every)
    first = draw(st.integers(1, lines - 1))
    second = draw(st.integers(1, lines - first))
    doses = first * row.line_every, second * row.line_every
    clear, cloudy, of = _INSULIN_OF_SCALE[row.scale]
    medicines = make_insulin("clear", clear, of), make_insulin("cloudy", cloudy, of)
    prescribed = tuple(
        PrescribedDraw(key, Quantity(amount, Unit.UNITS))
        for key, amount in zip(("clear", "cloudy"), doses, strict=True)
    )
    fill = Fill("before supper", draw(st.sampled_from((prescribed, prescribed[::-1]))))
    return doses, plan_fills(make_regimen(fill, medicines=medicines, syringe=_make_syringe_of(row)))


@given(mixed_plans())
def test_total_is_the_sum_and_air_is_the_dose(planned: tuple[tuple[Fraction, Fraction], Plan]) -> None:
    """On every scale: the stops are the running sum of the doses, each air line is its dose alone."""
    (clear, cloudy), plan = planned
    fill = plan.fills[0]
    assert (fill.first.start_line, fill.first.stop_line) == (Fraction(0), clear)
    assert (fill.last.start_line, fill.last.stop_line) == (clear, clear + cloudy)
    assert (fill.first.air_line, fill.last.air_line) == (clear, cloudy)


@given(mixed_plans())
def test_stop_is_the_sum_of_volumes(planned: tuple[tuple[Fraction, Fraction], Plan]) -> None:
    """The total line, turned back into mL, is the sum of the two volumes."""
    _, plan = planned
    fill, scale = plan.fills[0], plan.regimen.syringe.scale
    assert fill.last.stop_line / (scale.units_per_ml or 1) == sum(draw.volume_ml for draw in fill.draws)


@given(mixed_plans())
def test_every_planned_line_is_printed_on_the_barrel(planned: tuple[tuple[Fraction, Fraction], Plan]) -> None:
    """Each line a step names is one of the lines the geometry places."""
    _, plan = planned
    printed = {line.value for line in place_lines(plan.regimen.syringe, 50.0)}
    assert {step.amount.value for step in plan.fills[0].steps if step.amount is not None} <= printed


@given(st.integers(1, 6_000), st.sampled_from(_SHARED))
def test_single_dose_is_planned_only_on_a_printed_line(hundredths: int, row: SyringeScale) -> None:
    """A dose is either planned on a line of the barrel or refused; nothing is rounded onto one."""
    amount = Fraction(hundredths, 100)
    of = _INSULIN_OF_SCALE[row.scale][2]
    syringe = _make_syringe_of(row)
    fill = Fill("before supper", (PrescribedDraw("clear", Quantity(amount, Unit.UNITS)),))
    regimen = make_regimen(fill, medicines=(make_insulin("clear", "insulin regular", of),), syringe=syringe)
    if is_on_line(syringe, amount):
        assert plan_one(regimen).first.stop_line == amount
    else:
        with pytest.raises(RegimenRefused) as refusal:
            plan_fills(regimen)
        assert {problem.code for problem in refusal.value.problems} & {"LINE-001", "LINE-002"}


@given(st.integers(1, 100))
def test_mg_on_a_unit_scale_is_a_line(lines: int) -> None:
    """A dose in mg of 2.5 mg/mL is line dose / 0.025 of a U-100 scale (0.01 mL a line)."""
    assume(lines <= 50)
    mg = Fraction(25, 1000) * lines
    weekly = make_other("weekly", "sample weekly medicine", "2.5 mg/mL")
    fill = make_fill("before breakfast", weekly=f"{write_number(mg)} mg")
    assert plan_one(make_regimen(fill, medicines=(weekly,))).first.stop_line == lines
