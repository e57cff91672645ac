"""Claims about the order of the acts. The order is common practice, no source, told alike by the pages of facts 4.1."""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Act, Step
from fillcards.regimen.model import Patient, PatientKind, Regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_fill, make_insulin, make_mixed, make_other, make_regimen, make_syringe

MIXED = make_mixed("8 units", "18 units")
SINGLE = make_regimen(make_fill(clear="8 units"))
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

SKIN_ACTS = {
    Act.CHOOSE_PLACE,
    Act.CLEAN_SKIN,
    Act.LET_SKIN_DRY,
    Act.LIFT_SKIN,
    Act.PUT_NEEDLE_IN,
    Act.PUSH_PLUNGER,
    Act.TAKE_OUT_OF_SKIN,
}
NEEDLE_ACTS = {act for act in Act if "NEEDLE" in act.name or act in {Act.TURN_OVER, Act.WIPE_TOPS}}
AIR_ACTS = {Act.PULL_AIR, Act.PUSH_AIR_IN, Act.PUSH_AIR_ABOVE_LIQUID}


def list_steps(regimen: Regimen) -> tuple[Step, ...]:
    """The steps of the first fill."""
    return plan_fills(regimen).fills[0].steps


def list_acts(regimen: Regimen) -> list[Act]:
    """The acts of the first fill, without what they are about."""
    return [step.act for step in list_steps(regimen)]


def make_animal(regimen: Regimen) -> Regimen:
    """The same regimen for an animal."""
    return replace(regimen, patient=Patient(kind=PatientKind.ANIMAL))


def test_mixed_fill_in_full() -> None:
    """Every act of a mixed fill in the order of facts 4.1, air for cloudy before clear, clear drawn before cloudy."""
    found = [(step.act, step.draw.medicine.key if step.draw else None) for step in list_steps(MIXED)]
    assert found == [
        (Act.WASH_HANDS, None),
        (Act.CHECK_LABEL, "clear"),
        (Act.CHECK_LABEL, "cloudy"),
        (Act.MAKE_EVEN, "cloudy"),
        (Act.LOOK_AT_VIAL, "clear"),
        (Act.LOOK_AT_VIAL, "cloudy"),
        (Act.WIPE_TOPS, None),
        (Act.CHECK_SYRINGE, None),
        (Act.PULL_AIR, "cloudy"),
        (Act.PUSH_AIR_ABOVE_LIQUID, "cloudy"),
        (Act.TAKE_NEEDLE_OUT_EMPTY, "cloudy"),
        (Act.PULL_AIR, "clear"),
        (Act.PUSH_AIR_IN, "clear"),
        (Act.TURN_OVER, "clear"),
        (Act.DRAW_TO_FIRST_LINE, "clear"),
        (Act.LOOK_FOR_BUBBLES, "clear"),
        (Act.CHECK_FIRST_LINE, "clear"),
        (Act.TAKE_NEEDLE_OUT, "clear"),
        (Act.ENTER_SECOND_VIAL, "cloudy"),
        (Act.TURN_OVER, "cloudy"),
        (Act.DRAW_TO_TOTAL_LINE, "cloudy"),
        (Act.CHECK_TOTAL_LINE, "cloudy"),
        (Act.TAKE_NEEDLE_OUT, "cloudy"),
        (Act.CHOOSE_PLACE, None),
        (Act.CLEAN_SKIN, None),
        (Act.LET_SKIN_DRY, None),
        (Act.LIFT_SKIN, None),
        (Act.PUT_NEEDLE_IN, None),
        (Act.PUSH_PLUNGER, None),
        (Act.TAKE_OUT_OF_SKIN, None),
        (Act.INTO_SHARPS, None),
        (Act.WRITE_DOWN, None),
    ]


def test_single_fill_in_full() -> None:
    """Every act of a single fill in the order of facts 4.1, with the line where the reading edge must stand."""
    found = [(step.act, step.line) for step in list_steps(SINGLE)]
    assert found == [
        (Act.WASH_HANDS, None),
        (Act.CHECK_LABEL, None),
        (Act.LOOK_AT_VIAL, None),
        (Act.WIPE_TOPS, None),
        (Act.CHECK_SYRINGE, None),
        (Act.PULL_AIR, Fraction(8)),
        (Act.PUSH_AIR_IN, None),
        (Act.TURN_OVER, None),
        (Act.DRAW_TO_LINE, Fraction(8)),
        (Act.LOOK_FOR_BUBBLES, Fraction(8)),
        (Act.CHECK_LINE, Fraction(8)),
        (Act.TAKE_NEEDLE_OUT, None),
        (Act.CHOOSE_PLACE, None),
        (Act.CLEAN_SKIN, None),
        (Act.LET_SKIN_DRY, None),
        (Act.LIFT_SKIN, None),
        (Act.PUT_NEEDLE_IN, None),
        (Act.PUSH_PLUNGER, None),
        (Act.TAKE_OUT_OF_SKIN, None),
        (Act.INTO_SHARPS, None),
        (Act.WRITE_DOWN, None),
    ]


def test_each_line_of_a_mixed_fill_is_the_one_of_its_act() -> None:
    """Air of each dose alone, the first line for the first draw and its checks, the sum for the second."""
    assert [(step.act, step.line) for step in list_steps(MIXED) if step.line is not None] == [
        (Act.PULL_AIR, Fraction(18)),
        (Act.PULL_AIR, Fraction(8)),
        (Act.DRAW_TO_FIRST_LINE, Fraction(8)),
        (Act.LOOK_FOR_BUBBLES, Fraction(8)),
        (Act.CHECK_FIRST_LINE, Fraction(8)),
        (Act.DRAW_TO_TOTAL_LINE, Fraction(26)),
        (Act.CHECK_TOTAL_LINE, Fraction(26)),
    ]


def test_single_fill_names_one_line_only() -> None:
    """A single medicine has no first and no total line, and every line its steps name is the dose."""
    steps = list_steps(SINGLE)
    assert {step.line for step in steps if step.line is not None} == {8}
    assert not {step.act for step in steps} & {Act.DRAW_TO_FIRST_LINE, Act.DRAW_TO_TOTAL_LINE, Act.ENTER_SECOND_VIAL}
    assert [act for act in list_acts(SINGLE) if act in AIR_ACTS] == [Act.PULL_AIR, Act.PUSH_AIR_IN]


def test_bubbles_are_put_right_before_the_needle_leaves_the_first_vial() -> None:
    """Nothing goes back into a vial once both medicines are in (facts 4.1)."""
    acts = list_acts(MIXED)
    assert acts.index(Act.LOOK_FOR_BUBBLES) < acts.index(Act.TAKE_NEEDLE_OUT) < acts.index(Act.ENTER_SECOND_VIAL)
    assert acts.count(Act.LOOK_FOR_BUBBLES) == 1


def test_plunger_is_not_touched_between_the_vials() -> None:
    """From the checked first line to the second vial no act moves the plunger."""
    acts = list_acts(MIXED)
    between = acts[acts.index(Act.CHECK_FIRST_LINE) + 1 : acts.index(Act.DRAW_TO_TOTAL_LINE)]
    assert between == [Act.TAKE_NEEDLE_OUT, Act.ENTER_SECOND_VIAL, Act.TURN_OVER]


def test_clear_vial_is_not_rolled() -> None:
    """Only a medicine with a motion is made even."""
    assert Act.MAKE_EVEN not in list_acts(SINGLE)


def test_single_cloudy_vial_is_rolled_before_it_is_looked_at() -> None:
    """An isophane vial can look right only after it was made even (facts 5.3)."""
    acts = list_acts(make_regimen(make_fill(cloudy="12 units")))
    assert acts.index(Act.MAKE_EVEN) < acts.index(Act.LOOK_AT_VIAL)


def test_no_air_no_air_step() -> None:
    """Where no air goes in, the needle is put into the vial instead, before the vial is turned over."""
    acts = list_acts(
        make_regimen(make_fill(clear="8 units"), medicines=(make_insulin("clear", "insulin regular", takes_air=False),))
    )
    assert not set(acts) & AIR_ACTS
    assert acts[acts.index(Act.TURN_OVER) - 1] is Act.PUT_NEEDLE_INTO_VIAL


def test_cloudy_vial_without_air_is_entered_once() -> None:
    """Without air for the second vial there is no first visit to it."""
    medicines = (
        make_insulin("clear", "insulin regular"),
        make_insulin("cloudy", "insulin isophane", takes_air=False),
    )
    acts = list_acts(make_regimen(make_fill(clear="8 units", cloudy="18 units"), medicines=medicines))
    assert not set(acts) & {Act.PUSH_AIR_ABOVE_LIQUID, Act.TAKE_NEEDLE_OUT_EMPTY}
    assert acts.count(Act.PULL_AIR) == 1


def test_into_muscle_the_rest_is_as_taught() -> None:
    """The card teaches no injection into muscle (design 3.3)."""
    acts = list_acts(MUSCLE)
    assert not set(acts) & SKIN_ACTS
    assert acts[-3:] == [Act.AS_TAUGHT, Act.INTO_SHARPS, Act.WRITE_DOWN]


def test_by_mouth_has_no_needle_air_skin_or_sharps() -> None:
    """A medicine by mouth is drawn from the bottle, given, and the syringe rinsed (design 3.3)."""
    acts = list_acts(SYRUP)
    assert not set(acts) & (NEEDLE_ACTS | AIR_ACTS | SKIN_ACTS | {Act.INTO_SHARPS, Act.AS_TAUGHT})
    assert acts == [
        Act.WASH_HANDS,
        Act.CHECK_LABEL,
        Act.MAKE_EVEN,
        Act.LOOK_AT_VIAL,
        Act.CHECK_SYRINGE,
        Act.PUT_TIP_INTO_BOTTLE,
        Act.DRAW_FROM_BOTTLE,
        Act.LOOK_FOR_BUBBLES_BY_MOUTH,
        Act.CHECK_LINE_BY_MOUTH,
        Act.TAKE_TIP_OUT,
        Act.GIVE_BY_MOUTH,
        Act.RINSE,
        Act.WRITE_DOWN,
    ]


@pytest.mark.parametrize("regimen", [MIXED, SINGLE, MUSCLE, SYRUP], ids=["mixed", "single", "muscle", "mouth"])
def test_animals_get_no_human_technique(regimen: Regimen) -> None:
    """An animal's card says the rest is as the veterinarian taught (design 3.3)."""
    acts = list_acts(make_animal(regimen))
    assert Act.AS_VETERINARIAN_TAUGHT in acts
    assert not set(acts) & (SKIN_ACTS | {Act.AS_TAUGHT, Act.GIVE_BY_MOUTH})


@pytest.mark.parametrize("regimen", [MIXED, SINGLE, MUSCLE], ids=["mixed", "single", "muscle"])
def test_animals_fill_as_people_do(regimen: Regimen) -> None:
    """Up to the full syringe nothing differs between an animal's and a person's fill."""
    people, animals = list_acts(regimen), list_acts(make_animal(regimen))
    filled = len(people) - 1 - people[::-1].index(Act.TAKE_NEEDLE_OUT)
    assert people[: filled + 1] == animals[: filled + 1]


@pytest.mark.parametrize("regimen", [MIXED, SINGLE, MUSCLE], ids=["mixed", "single", "muscle"])
def test_sharps_come_at_once(regimen: Regimen) -> None:
    """The syringe goes into the sharps container before anything is written down (FDA, Sharps Disposal Containers)."""
    assert list_acts(regimen)[-2:] == [Act.INTO_SHARPS, Act.WRITE_DOWN]
