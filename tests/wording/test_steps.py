"""Every act has its sentence, and the amounts in the sentences are the plan's."""

from __future__ import annotations

import re
from fractions import Fraction
from string import Formatter

import pytest
from hypothesis import given
from support.plans import EXAMPLES, make_plans, plan_example

from fillcards.catalogue.model import Route
from fillcards.plan.model import Act, Plan
from fillcards.quantities import write_number
from fillcards.wording.english.steps import SENTENCES, write_step


def list_steps(plan: Plan) -> list[str]:
    """The sentences of every step of the first fill."""
    fill = plan.fills[0]
    return [write_step(step, fill, plan.regimen) for step in fill.steps]


@pytest.mark.parametrize("act", Act)
def test_every_act_has_a_sentence(act: Act) -> None:
    """A new act without words is noticed here, not on a card."""
    assert SENTENCES[act]


def test_every_act_is_met_in_some_example() -> None:
    """The examples of the tests leave no act out, so that the tests below see every sentence."""
    met = {step.act for name in EXAMPLES for fill in plan_example(name).fills for step in fill.steps}
    assert met == set(Act)


@pytest.mark.parametrize(
    "act", [act for act in Act if "line" in [name for _, name, _, _ in Formatter().parse(SENTENCES[act])]]
)
def test_an_act_that_names_a_line_gets_one(act: Act) -> None:
    """Each act whose sentence has room for a line carries one in every plan, so no sentence has a hole."""
    steps = [step for name in EXAMPLES for fill in plan_example(name).fills for step in fill.steps]
    assert all(step.line is not None for step in steps if step.act is act)


@given(make_plans())
def test_the_amounts_in_the_steps_are_the_plans(plan: Plan) -> None:
    """A step with a line names that number and no other; a step without one names no amount but the fixed tens."""
    fill = plan.fills[0]
    for step in fill.steps:
        if step.act in {Act.CHECK_LABEL, Act.CHECK_SYRINGE, Act.MAKE_EVEN}:
            continue
        numbers = set(re.findall(r"\d[\d.,]*\d|\d", write_step(step, fill, plan.regimen)))
        assert numbers == (set() if step.line is None else {write_number(step.line)})


def test_the_syringe_step_names_scale_and_end() -> None:
    """The syringe is told by what is printed on it."""
    assert "Take a new syringe that says U-100 and ends at 50." in list_steps(plan_example("mixed"))


def test_air_comes_before_drawing_in_the_published_order() -> None:
    """Worked example W13 (a public nursing question bank): air 18 cloudy, air 6 clear, draw to 6, then to 24."""
    plan = plan_example("W13")
    named = [re.findall(r"to (\d+) units", step) for step in list_steps(plan)]
    pulled = [numbers[0] for numbers in named if numbers]
    assert list(dict.fromkeys(pulled)) == ["18", "6", "24"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_step_names_a_time_to_wait(name: str) -> None:
    """The card says "straight away" and never prints a number of minutes or seconds."""
    assert not re.search(r"minute|second|hour|count to", " ".join(list_steps(plan_example(name))))


@pytest.mark.parametrize("name", [name for name, regimen in EXAMPLES.items() if len(regimen.medicines) == 2])
def test_two_vials_are_told_apart_in_each_step(name: str) -> None:
    """In a mixed fill no step says "the vial" before it has said which."""
    for step in list_steps(plan_example(name)):
        first = re.search(r"the (?:\w+ )?vial\b", step)
        assert first is None or first[0] in {"the clear vial", "the cloudy vial"}


def test_the_users_marks_stand_where_the_hand_takes_a_vial() -> None:
    """Both rubber-band marks of the file are in the steps that make the hand choose a vial."""
    steps = [
        step for step in list_steps(plan_example("mixed")) if step.startswith(("Push this air", "Put the needle into"))
    ]
    assert ["(two rubber bands)" in step for step in steps] == [True, False, True]
    assert "(one rubber band)" in steps[1]


def test_cloudy_vials_are_rolled_and_tipped_ten_times() -> None:
    """10 rolls and 10 tips, not shaken: FIT recommendations (Ireland), 5.2."""
    rolled = [step for step in list_steps(plan_example("mixed")) if step.startswith("Roll")]
    assert rolled == ["Roll the cloudy vial (two rubber bands) 10 times. Tip it 10 times. Do not shake it."]


def test_shaking_is_said_only_where_the_file_says_so() -> None:
    """``motion: shake`` turns the words round."""
    assert "Shake the bottle well." in list_steps(plan_example("by mouth"))


@given(make_plans())
def test_by_mouth_knows_no_needle(plan: Plan) -> None:
    """A medicine by mouth has no needle, air, skin or sharps in any step, and comes from a bottle."""
    if plan.fills[0].first.medicine.route is Route.BY_MOUTH:
        words = " ".join(list_steps(plan))
        assert not re.search(r"needle|inject|\bair\b|skin|sharps|vial", words)


def test_a_line_of_another_medicine_is_a_bare_line() -> None:
    """0.25 mg of 2.5 mg/mL is 0.1 mL, line 10 of a U-100 scale (design 3.1): never 10 units."""
    words = " ".join(list_steps(plan_example("weekly")))
    assert "line 10" in words
    assert "unit" not in words


def test_a_line_is_exact() -> None:
    """A half unit keeps its half in every step that names it."""
    named = [step for step in list_steps(plan_example("single")) if "units." in step and "label" not in step]
    assert named
    assert all("12.5 units" in step for step in named)
    assert Fraction("12.5") == plan_example("single").fills[0].first.stop_line
