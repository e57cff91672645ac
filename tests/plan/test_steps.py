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
from fillcards.plan.model import Act, LineAmount, Step, StepKind
from fillcards.regimen.model import Patient, PatientKind, Regimen, Weekday

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

INJECT: Final = "CHOOSE_PLACE CLEAN_SKIN LET_SKIN_DRY LIFT_SKIN PUT_NEEDLE_IN PUSH_ALL TAKE_OUT_OF_SKIN"


def list_steps(regimen: Regimen) -> tuple[Step, ...]:
    """The steps of the first fill."""
    return plan_fills(regimen).fills[0].steps


def write_table(regimen: Regimen) -> list[tuple[str, str, str | None]]:
    """A row a step: its kind, its acts, and the line with what it is of."""
    fill = plan_fills(regimen).fills[0]
    stops = {draw.stop: f"stop {number}" for number, draw in enumerate(fill.draws, start=1)}
    rows = []
    for step in fill.steps:
        about = None
        if step.amount is not None:
            airs = {draw.air: f"air {number}" for number, draw in enumerate(fill.draws, start=1) if step.draw is draw}
            about = (airs if any("AIR" in act.name for act in step.acts) else stops)[step.amount]
        rows.append((step.kind.value, " ".join(act.name for act in step.acts), about))
    return rows


def test_two_medicines_in_one_syringe() -> None:
    """The table of twelve: air for cloudy, air for clear, clear drawn and checked, cloudy drawn and checked."""
    assert write_table(make_mixed("11 units", "23 units")) == [
        ("wash", "WASH_HANDS TAKE_NEW_SYRINGE TAKE_CAP_OFF", None),
        ("two-2", "READ_LABEL CHECK_DATE CHECK_ENOUGH", None),
        ("two-3", "ROLL TIP", None),
        ("two-4", "LOOK WIPE LET_TOP_DRY", None),
        ("two-5", "STAND_SECOND PULL_SECOND_AIR PUSH_AIR_ABOVE_LIQUID TAKE_OUT_EMPTY", "air 2"),
        ("two-6", "STAND PULL_AIR PUSH_AIR LEAVE_NEEDLE_IN", "air 1"),
        ("two-7", "TURN_OVER KEEP_POINT_IN_LIQUID DRAW REDRAW_BUBBLE", "stop 1"),
        ("two-8", "CHECK_EDGE REDRAW_PAST TAKE_OUT LEAVE_PLUNGER", "stop 1"),
        ("two-9", "CHECK_UNMOVED ENTER_SECOND TURN_SECOND_OVER DRAW_SECOND PUSH_NOTHING_BACK", "stop 2"),
        ("two-10", "CHECK_TOTAL PULL_ON DISCARD_MIX TAKE_OUT_OF_SECOND", "stop 2"),
        ("inject-skin", INJECT, None),
        ("finish", "NO_CAP INTO_SHARPS NEVER_AGAIN WRITE_TIME", None),
    ]


def test_one_medicine() -> None:
    """The table of ten, for a cloudy medicine."""
    assert write_table(CLOUDY) == [
        ("wash", "WASH_HANDS TAKE_NEW_SYRINGE TAKE_CAP_OFF", None),
        ("one-2", "READ_LABEL CHECK_DATE CHECK_ENOUGH", None),
        ("one-3", "ROLL TIP", None),
        ("one-4", "LOOK WIPE LET_TOP_DRY", None),
        ("one-5", "STAND PULL_AIR PUSH_AIR LEAVE_NEEDLE_IN", "air 1"),
        ("one-6", "TURN_OVER KEEP_POINT_IN_LIQUID DRAW", "stop 1"),
        ("one-7", "REDRAW_BUBBLE REDRAW_PAST", "stop 1"),
        ("one-8", "CHECK_EDGE TAKE_OUT", "stop 1"),
        ("inject-skin", INJECT, None),
        ("finish", "NO_CAP INTO_SHARPS NEVER_AGAIN WRITE_TIME", None),
    ]


def test_one_medicine_by_mouth() -> None:
    """The table of eight: no needle, no air, no sharps box."""
    assert write_table(SYRUP) == [
        ("mouth-1", "WASH_HANDS READ_LABEL CHECK_DATE CHECK_ENOUGH", None),
        ("mouth-2", "TAKE_ORAL_SYRINGE", None),
        ("mouth-3", "SHAKE LOOK", None),
        ("mouth-4", "PUSH_PLUNGER_IN PUT_TIP_INTO_BOTTLE DRAW", "stop 1"),
        ("mouth-5", "REDRAW_BUBBLE REDRAW_PAST", "stop 1"),
        ("mouth-6", "CHECK_EDGE TAKE_TIP_OUT CLOSE_BOTTLE", "stop 1"),
        ("mouth-7", "SIT_UP GIVE_INTO_CHEEK CALL_IF_SPAT_OUT", None),
        ("mouth-8", "RINSE WRITE_TIME", None),
    ]


@pytest.mark.parametrize("name", ALL)
def test_each_act_stands_in_one_step(name: str) -> None:
    """No act is said twice, and the steps count from 1 without a gap, no more than their table has."""
    steps = list_steps(ALL[name])
    acts = [act for step in steps for act in step.acts]
    assert len(acts) == len(set(acts))
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert len(steps) <= MOST_STEPS[name]


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("kind", PatientKind)
def test_acts_keep_one_order(name: str, kind: PatientKind) -> None:
    """Whatever the fill, what is done follows one order, from the first look at the label to the last word written."""
    order = {act: number for number, act in enumerate(ORDER)}
    order[Act.REDRAW_PAST] = order[Act.CHECK_EDGE]  # one look: one medicine has what to do before it, two after it
    steps = list_steps(replace(ALL[name], patient=Patient(kind=kind)))
    numbers = [order[act] for step in steps for act in step.acts]
    assert numbers == sorted(numbers)


ORDER: Final = tuple(
    Act[name]
    for name in (
        "CHECK_DAY WASH_HANDS TAKE_NEW_SYRINGE TAKE_CAP_OFF READ_LABEL CHECK_DATE CHECK_ENOUGH TAKE_ORAL_SYRINGE "
        "ROLL TIP SHAKE LOOK WIPE LET_TOP_DRY "
        "STAND_SECOND PULL_SECOND_AIR PUSH_AIR_ABOVE_LIQUID TAKE_OUT_EMPTY "
        "STAND PULL_AIR PUSH_AIR PUSH_PLUNGER_IN PUSH_NEEDLE_IN LEAVE_NEEDLE_IN PUT_TIP_INTO_BOTTLE "
        "TURN_OVER KEEP_POINT_IN_LIQUID DRAW REDRAW_BUBBLE CHECK_EDGE REDRAW_PAST TAKE_OUT LEAVE_PLUNGER "
        "TAKE_TIP_OUT CLOSE_BOTTLE "
        "CHECK_UNMOVED ENTER_SECOND TURN_SECOND_OVER DRAW_SECOND PUSH_NOTHING_BACK "
        "CHECK_TOTAL PULL_ON DISCARD_MIX TAKE_OUT_OF_SECOND "
        f"CHANGE_NEEDLE {INJECT} AS_VETERINARIAN_TAUGHT NO_CAP INTO_SHARPS NEVER_AGAIN "
        "SIT_UP GIVE_INTO_CHEEK CALL_IF_SPAT_OUT RINSE WRITE_DAY WRITE_TIME EAT"
    ).split()
)
"""Every act there is, in the order of nursing-mixing-pages, air-equal-to-dose and frid-2016."""


def test_every_act_is_met() -> None:
    """The order names every act, and each stands in a step of some fill: none was left behind."""
    weekly = replace(SINGLE.fills[0], days=(Weekday.THURSDAY,))
    minutes = replace(SINGLE.fills[0], minutes_before=30)
    no_air = (make_insulin("clear", "insulin regular", takes_air=False),)
    regimens = (
        *ALL.values(),
        replace(SINGLE, fills=(weekly,)),
        replace(SINGLE, fills=(minutes,)),
        replace(SINGLE, patient=Patient(kind=PatientKind.ANIMAL)),
        make_regimen(make_fill(clear="8 units"), medicines=no_air),
    )
    met = {act for regimen in regimens for step in list_steps(regimen) for act in step.acts}
    assert met == set(Act) == set(ORDER)


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
    """A motion of shaking replaces rolling and tipping."""
    medicines = (make_other("milk", "medicine B", "10 mg/mL", look="cloudy", motion=Motion.SHAKE),)
    steps = list_steps(make_regimen(make_fill(milk="1 mg"), medicines=medicines))
    assert next(step.acts for step in steps if step.kind is StepKind.ONE_MAKE_EVEN) == (Act.SHAKE,)


def test_where_no_air_goes_in() -> None:
    """The needle goes in with the plunger all the way in, and there is no amount to pull."""
    medicines = (make_insulin("clear", "insulin regular", takes_air=False),)
    step = next(
        step
        for step in list_steps(make_regimen(make_fill(clear="8 units"), medicines=medicines))
        if step.kind is StepKind.ONE_AIR
    )
    assert (step.amount, step.acts[1:3]) == (None, (Act.PUSH_PLUNGER_IN, Act.PUSH_NEEDLE_IN))


def test_a_cloudy_vial_without_air_is_entered_once() -> None:
    """Without air for the second vial there is no first visit to it."""
    medicines = (make_insulin("clear", "insulin regular"), make_insulin("cloudy", "insulin isophane", takes_air=False))
    kinds = list_kinds(make_regimen(make_fill(clear="8 units", cloudy="18 units"), medicines=medicines))
    assert StepKind.TWO_SECOND_AIR not in kinds
    assert StepKind.TWO_FIRST_AIR in kinds


def test_the_plunger_is_left_alone_between_the_vials() -> None:
    """From the checked first line to the second draw, no act moves the plunger (nursing-mixing-pages)."""
    acts = [act for step in list_steps(MIXED) for act in step.acts]
    between = acts[acts.index(Act.REDRAW_PAST) + 1 : acts.index(Act.DRAW_SECOND)]
    expected = [Act.TAKE_OUT, Act.LEAVE_PLUNGER, Act.CHECK_UNMOVED, Act.ENTER_SECOND, Act.TURN_SECOND_OVER]
    assert between == expected


@pytest.mark.parametrize("name", ALL)
def test_an_animals_card_teaches_no_human_technique(name: str) -> None:
    """The rest is as the veterinarian taught; up to the full syringe nothing differs."""
    people = [act for step in list_steps(ALL[name]) for act in step.acts]
    animals = [
        act for step in list_steps(replace(ALL[name], patient=Patient(kind=PatientKind.ANIMAL))) for act in step.acts
    ]
    technique = {Act[word] for word in f"{INJECT} CHANGE_NEEDLE SIT_UP GIVE_INTO_CHEEK".split()}
    assert not set(animals) & technique
    assert [act for act in people if act not in technique] == [
        act for act in animals if act is not Act.AS_VETERINARIAN_TAUGHT
    ]


def test_a_weekly_medicine_asks_for_the_day() -> None:
    """One day a week: the day is looked up first, and written down; a reminder to eat gives way to it."""
    fill = replace(SINGLE.fills[0], days=(Weekday.THURSDAY,), minutes_before=30)
    steps = list_steps(replace(SINGLE, fills=(fill,)))
    assert steps[1].acts[0] is Act.CHECK_DAY
    assert steps[-1].acts[-2:] == (Act.WRITE_DAY, Act.WRITE_TIME)


def test_minutes_before_a_meal_end_with_eating() -> None:
    """Where the file gives minutes, the last act is to wait and eat."""
    fill = replace(SINGLE.fills[0], minutes_before=30)
    assert list_steps(replace(SINGLE, fills=(fill,)))[-1].acts[-1] is Act.EAT
