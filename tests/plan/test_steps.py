"""The steps of a fill: what is done in which, about which line. The order is common practice, no source, told alike by
nursing-mixing-pages; the grouping into steps is the card's own, and these tables are its fixed content.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Final

import pytest

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import LineAmount, Step, StepKind
from fillcards.regimen.model import Patient, PatientKind, Regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_fill, make_insulin, make_mixed, make_other, make_regimen, make_syringe

MIXED = make_mixed("8 units", "18 units")
SINGLE = make_regimen(make_fill(clear="8 units"))
CLOUDY = make_regimen(make_fill(cloudy="12 units"))
SYRUP = make_regimen(
    make_fill(syrup="2.4 mL"),
    medicines=(make_other("syrup", "sample syrup", None, route=Route.BY_MOUTH, motion=Motion.SHAKE),),
    syringe=make_syringe(ScaleName.ML, "5", "0.2"),
)
MUSCLE = make_regimen(
    make_fill(oil="0.5 mL"),
    medicines=(make_other("oil", "sample vitamin", None, route=Route.INTO_MUSCLE),),
    syringe=make_syringe(ScaleName.ML, "1", "0.01"),
)
ALL: Final = {"mixed": MIXED, "single": SINGLE, "cloudy": CLOUDY, "mouth": SYRUP, "muscle": MUSCLE}
MOST_STEPS: Final = {"mixed": 12, "single": 10, "cloudy": 10, "mouth": 8, "muscle": 10}


def list_steps(regimen: Regimen) -> tuple[Step, ...]:
    """The steps of the first fill."""
    return plan_fills(regimen).fills[0].steps


def write_table(regimen: Regimen) -> list[tuple[str, str | None]]:
    """A row a step: its kind, and the line with what it is of."""
    fill = plan_fills(regimen).fills[0]
    stops = {draw.stop: f"stop {number}" for number, draw in enumerate(fill.draws, start=1)}
    rows = []
    for step in fill.steps:
        about = None
        if step.amount is not None:
            airs = {draw.air: f"air {number}" for number, draw in enumerate(fill.draws, start=1) if step.draw is draw}
            about = (airs if "AIR" in step.kind.name else stops)[step.amount]
        rows.append((step.kind.value, about))
    return rows


def test_two_medicines_in_one_syringe() -> None:
    """The table of twelve: air for cloudy, air for clear, clear drawn and checked, cloudy drawn and checked."""
    assert write_table(make_mixed("11 units", "23 units")) == [
        ("wash", None),
        ("two-2", None),
        ("two-3", None),
        ("two-4", None),
        ("two-5", "air 2"),
        ("two-6", "air 1"),
        ("two-7", "stop 1"),
        ("two-8", "stop 1"),
        ("two-9", "stop 2"),
        ("two-10", "stop 2"),
        ("inject-skin", None),
        ("finish", None),
    ]


def test_one_medicine() -> None:
    """The table of ten, for a cloudy medicine."""
    assert write_table(CLOUDY) == [
        ("wash", None),
        ("one-2", None),
        ("one-3", None),
        ("one-4", None),
        ("one-5", "air 1"),
        ("one-6", "stop 1"),
        ("one-7", "stop 1"),
        ("one-8", "stop 1"),
        ("inject-skin", None),
        ("finish", None),
    ]


def test_one_medicine_by_mouth() -> None:
    """The table of eight: no needle, no air, no sharps box."""
    assert write_table(SYRUP) == [
        ("mouth-1", None),
        ("mouth-2", None),
        ("mouth-3", None),
        ("mouth-4", "stop 1"),
        ("mouth-5", "stop 1"),
        ("mouth-6", "stop 1"),
        ("mouth-7", None),
        ("mouth-8", None),
    ]


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("kind", PatientKind)
def test_steps_keep_one_order(name: str, kind: PatientKind) -> None:
    """No step stands twice; all follow the order of their table, numbered from 1 without a gap, no more than it has."""
    steps = list_steps(replace(ALL[name], patient=Patient(kind=kind)))
    order = list(StepKind)
    numbers = [order.index(step.kind) for step in steps]
    assert numbers == sorted(set(numbers))
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert len(steps) <= MOST_STEPS[name]


def test_every_kind_is_met() -> None:
    """Each kind of step stands in some fill: none was left behind."""
    vial = (make_other("cloudy", "medicine B", "10 mg/mL", look="cloudy", motion=Motion.SHAKE),)
    animal = replace(SINGLE, patient=Patient(kind=PatientKind.ANIMAL))
    regimens = (*ALL.values(), animal, make_regimen(make_fill(cloudy="1 mg"), medicines=vial))
    assert {step.kind for regimen in regimens for step in list_steps(regimen)} == set(StepKind)


def test_air_is_the_dose_alone_and_the_total_is_the_sum() -> None:
    """Air of 14 and 6 for 6 clear and 14 cloudy (a public question bank), then the first line and the sum."""
    amounts = [step.amount.value for step in list_steps(make_mixed("6 units", "14 units")) if step.amount]
    assert amounts == [14, 6, 6, 6, 20, 20]


def test_each_step_is_about_one_vial() -> None:
    """The cloudy vial is in hand where it is rolled, takes its air and is drawn from, the clear one in between."""
    vials = [step.draw.medicine.key if step.draw else None for step in list_steps(MIXED)]
    assert vials == [None, None, "cloudy", None, "cloudy", *(["clear"] * 3), *(["cloudy"] * 2), None, None]


@pytest.mark.parametrize(
    ("regimen", "is_ml"), [(MIXED, False), (SINGLE, False), (MUSCLE, True), (SYRUP, True)], ids=str
)
def test_an_amount_reads_as_its_scale_counts(regimen: Regimen, is_ml: bool) -> None:
    """A scale in units has lines, a scale in mL has mL: a line is not a dose (FDA alert of 26 July 2024)."""
    assert {step.amount.is_ml for step in list_steps(regimen) if step.amount} == {is_ml}


def test_a_medicine_in_mg_on_a_scale_in_units_has_lines() -> None:
    """0.25 mg of 2.5 mg/mL are 0.1 mL, line 10 of U-100."""
    regimen = make_regimen(make_fill(weekly="0.25 mg"), medicines=(make_other("weekly", "medicine A", "2.5 mg/mL"),))
    assert plan_fills(regimen).fills[0].first.stop == LineAmount(Fraction(10), False)


def list_kinds(regimen: Regimen) -> list[StepKind]:
    """The kinds of the first fill's steps."""
    return [step.kind for step in list_steps(regimen)]


def test_a_clear_vial_is_not_rolled() -> None:
    """Only a medicine with a motion is made even, and before it is looked at (insulin-appearance)."""
    assert StepKind.ONE_MAKE_EVEN not in list_kinds(SINGLE)
    kinds = list_kinds(CLOUDY)
    assert kinds.index(StepKind.ONE_MAKE_EVEN) < kinds.index(StepKind.ONE_LOOK)


def test_a_medicine_is_shaken_only_where_the_file_says_so() -> None:
    """A motion of shaking makes a step, as rolling and tipping do; its words are the card's."""
    medicines = (make_other("milk", "medicine B", "10 mg/mL", look="cloudy", motion=Motion.SHAKE),)
    assert StepKind.ONE_MAKE_EVEN in list_kinds(make_regimen(make_fill(milk="1 mg"), medicines=medicines))


def test_where_no_air_goes_in() -> None:
    """There is no amount to pull."""
    medicines = (make_insulin("clear", "insulin regular", takes_air=False),)
    step = next(
        step
        for step in list_steps(make_regimen(make_fill(clear="8 units"), medicines=medicines))
        if step.kind is StepKind.ONE_AIR
    )
    assert step.amount is None


def test_a_cloudy_vial_without_air_is_entered_once() -> None:
    """Without air for the second vial there is no first visit to it."""
    medicines = (make_insulin("clear", "insulin regular"), make_insulin("cloudy", "insulin isophane", takes_air=False))
    kinds = list_kinds(make_regimen(make_fill(clear="8 units", cloudy="18 units"), medicines=medicines))
    assert StepKind.TWO_SECOND_AIR not in kinds
    assert StepKind.TWO_FIRST_AIR in kinds


@pytest.mark.parametrize("name", ALL)
def test_an_animals_card_teaches_no_human_technique(name: str) -> None:
    """It is injected as the veterinarian taught; up to the full syringe nothing differs."""
    people, animals = list_kinds(ALL[name]), list_kinds(replace(ALL[name], patient=Patient(kind=PatientKind.ANIMAL)))
    technique = {StepKind.INJECT_SKIN, StepKind.INJECT_MUSCLE}
    assert not set(animals) & technique
    assert [StepKind.INJECT_ANIMAL if kind in technique else kind for kind in people] == animals
