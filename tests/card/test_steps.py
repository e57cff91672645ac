"""The steps on the card: the words and the picture of each, for every kind of fill. The tables are fixed content."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from support.card_text import list_ids, list_texts
from support.plans import plan_example
from support.random_cards import RandomCard

from fillcards.card.build import build_card
from fillcards.card.model import CardStep
from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.picture.scene import Filling, Portion, SceneKind, VialLook
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Step
from fillcards.regimen.model import Needle, Patient, PatientKind, Regimen, Weekday
from fillcards.wording.messages import render, write_line_amount

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import (
    CLEAR,
    CLOUDY,
    make_fill,
    make_insulin,
    make_mixed,
    make_other,
    make_regimen,
    make_syringe,
)

MIXED = make_mixed("11 units", "23 units")
SINGLE = make_regimen(make_fill(clear="20 units"))
ML = make_syringe(ScaleName.ML, "3", "0.1", Needle.NONE)


def build_steps(regimen: Regimen) -> tuple[CardStep, ...]:
    """The steps of the first fill."""
    return build_card(plan_fills(regimen)).fills[0].steps


def make_syrup(**changes: object) -> Regimen:
    """A medicine by mouth."""
    syrup = make_other("syrup", "levetiracetam", "100 mg/mL", route=Route.BY_MOUTH, takes_air=False, **changes)
    return make_regimen(make_fill(syrup="2.4 mL"), medicines=(syrup,), syringe=ML)


def change_fill(regimen: Regimen, **changes: object) -> Regimen:
    """The regimen with another first fill."""
    return replace(regimen, fills=(replace(regimen.fills[0], **changes),))  # type: ignore[arg-type]  # named by tests


def list_pairs(regimen: Regimen) -> list[tuple[str, str]]:
    """Each step's message and scene."""
    return [(step.say.id, step.scene.kind.name) for step in build_steps(regimen)]


def test_two_medicines() -> None:
    """Twelve steps, each with its scene."""
    assert list_pairs(MIXED) == [
        ("wash", "WASH"),
        ("two-2", "LABELS"),
        ("two-3", "ROLL_AND_TIP"),
        ("two-4", "LOOK_AND_WIPE"),
        ("two-5", "AIR_OUT"),
        ("two-6", "AIR_STAY"),
        ("two-7", "DRAW"),
        ("two-8", "CHECK"),
        ("two-9", "DRAW"),
        ("two-10", "CHECK"),
        ("inject-skin", "INJECT"),
        ("finish", "SHARPS"),
    ]


def test_one_medicine() -> None:
    """Ten steps; nine where the vial is clear."""
    assert list_pairs(make_regimen(make_fill(cloudy="20 units"))) == [
        ("wash", "WASH"),
        ("one-2", "LABELS"),
        ("one-3", "ROLL_AND_TIP"),
        ("one-4-cloudy", "LOOK_AND_WIPE"),
        ("one-5", "AIR_STAY"),
        ("one-6", "DRAW"),
        ("one-7", "BUBBLE"),
        ("one-8", "CHECK"),
        ("inject-skin", "INJECT"),
        ("finish", "SHARPS"),
    ]
    assert [step.number for step in build_steps(SINGLE)] == list(range(1, 10))


def test_by_mouth() -> None:
    """Eight steps, and never a word of injecting."""
    assert list_pairs(make_syrup()) == [
        ("mouth-1", "LABELS"),
        ("mouth-2", "ORAL_SYRINGE"),
        ("mouth-3", "LOOK"),
        ("mouth-4", "ORAL_DRAW"),
        ("mouth-5", "ORAL_BUBBLE"),
        ("mouth-6", "CHECK"),
        ("mouth-7", "BY_MOUTH"),
        ("mouth-8", "RINSE"),
    ]
    words = " ".join(list_texts(build_steps(make_syrup()))).lower()
    assert "inject" not in words
    assert "sharps" not in words
    assert words.count("needle") == words.count("never a needle") + words.count("without a needle")


@pytest.mark.parametrize(
    ("regimen", "expected"),
    [
        (replace(MIXED, syringe=make_syringe(needle=Needle.DETACHABLE)), "wash-detachable"),
        (change_fill(SINGLE, days=(Weekday.THURSDAY,)), "one-2-weekly"),
        (change_fill(SINGLE, days=(Weekday.THURSDAY,)), "finish-weekly"),
        (change_fill(SINGLE, days=(Weekday.THURSDAY,), minutes_before=30), "finish-weekly"),
        (change_fill(SINGLE, minutes_before=30), "finish-eat"),
        (replace(change_fill(SINGLE, minutes_before=30), patient=Patient(kind=PatientKind.ANIMAL)), "finish-feed"),
        (replace(SINGLE, patient=Patient(kind=PatientKind.ANIMAL)), "inject-animal"),
        (make_regimen(make_fill(clear="20 units"), medicines=(replace(CLEAR, takes_air=False),)), "one-5-none"),
        (replace(MIXED, medicines=(replace(CLEAR, takes_air=False), CLOUDY)), "two-6-none"),
        (replace(make_syrup(), patient=Patient(kind=PatientKind.ANIMAL)), "mouth-7-animal"),
        (change_fill(make_syrup(), days=(Weekday.THURSDAY,)), "mouth-1-weekly"),
        (change_fill(make_syrup(), days=(Weekday.THURSDAY,)), "mouth-8-weekly"),
        (make_syrup(look="cloudy", motion=Motion.SHAKE), "mouth-3-shake"),
        (make_syrup(look="cloudy", motion=Motion.ROLL), "mouth-3-roll"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_depends_on_the_fill_is_said(regimen: Regimen, expected: str) -> None:
    """Needle, days, minutes, air, motion, route and whom it is for each change the words of their step."""
    assert expected in [step.say.id for step in build_steps(regimen)]


@pytest.mark.parametrize(
    ("changes", "dose", "expected"),
    [
        ({"look": "clear"}, "1 mg", "one-4"),
        ({"look": "clear red"}, "1 mg", "one-4-other"),
        ({"look": "cloudy"}, "1 mg", "one-4-other"),
        ({"look": "cloudy", "motion": Motion.SHAKE}, "1 mg", "one-3-shake"),
        ({"route": Route.INTO_MUSCLE}, "1 mg", "inject-muscle"),
    ],
)
def test_medicines_that_are_no_insulin(changes: dict[str, object], dose: str, expected: str) -> None:
    """How it looks is told in the file's words, unless it is clear and nothing more."""
    medicine = make_other("other", "medicine A", "10 mg/mL", **changes)
    syringe = make_syringe(ScaleName.ML, "1", "0.01")
    regimen = make_regimen(make_fill(other=dose), medicines=(medicine,), syringe=syringe)
    assert expected in [step.say.id for step in build_steps(regimen)]


def test_a_medicine_without_a_strength_names_none() -> None:
    """A dose in mL needs no strength, and the label step then asks for none."""
    medicine = make_other("other", "medicine A", None)
    syringe = make_syringe(ScaleName.ML, "1", "0.01")
    regimen = make_regimen(make_fill(other="0.1 mL"), medicines=(medicine,), syringe=syringe)
    assert "one-2-no-strength" in [step.say.id for step in build_steps(regimen)]


def test_two_others_are_told_by_their_looks() -> None:
    """Only two insulins are known to be like water and milky."""
    ids = [step.say.id for step in build_card(plan_example("two others")).fills[0].steps]
    assert "two-4-other" in ids
    assert "two-4" not in ids


def test_air_and_stops_are_where_the_steps_say() -> None:
    """Air is the dose alone, in an empty barrel; stops are shown with what is in the barrel."""
    scenes = {step.say.id: step.scene for step in build_steps(MIXED)}
    assert (scenes["two-5"].air, scenes["two-5"].air_text, scenes["two-5"].portions) == (Fraction(23), "23", ())
    assert (scenes["two-6"].air, scenes["two-6"].stop) == (Fraction(11), None)
    slanted = Portion(Fraction(0), Fraction(11), Filling.FIRST)
    dots = Portion(Fraction(11), Fraction(34), Filling.SECOND)
    assert [scenes[f"two-{number}"].stop for number in (7, 8, 9, 10)] == [11, 11, 34, 34]
    assert [scenes[f"two-{number}"].portions for number in (7, 8)] == [(slanted,)] * 2
    assert [scenes[f"two-{number}"].portions for number in (9, 10)] == [(slanted, dots)] * 2
    assert scenes["two-10"].stop_text == "34"


def test_the_plunger_is_left_alone_between_the_vials() -> None:
    """From the checked first line to the second draw, no words move the plunger (nursing-mixing-pages)."""
    texts = {step.say.id: render(step.say).text for step in build_steps(MIXED)}
    between = texts["two-8"].partition("Yes?")[2] + texts["two-9"].partition("pull to")[0]
    assert between.startswith(" Needle out.")
    assert not {"pull", "push", "plunger"} & set(between.lower().split())


def test_each_scene_has_the_vials_in_hand() -> None:
    """The cloudy vial carries dots and is rolled; bands are drawn only where a mark is bands."""
    medicines = (replace(CLEAR, vial_mark="one rubber band"), replace(CLOUDY, vial_mark="a red lid"))
    scenes = {step.say.id: step.scene for step in build_steps(replace(MIXED, medicines=medicines))}
    clear, cloudy = VialLook(Filling.FIRST, 1), VialLook(Filling.SECOND, 0)
    assert scenes["two-2"].vials == scenes["two-4"].vials == (clear, cloudy)
    assert scenes["two-3"].vials == scenes["two-5"].vials == scenes["two-9"].vials == (cloudy,)
    assert scenes["two-6"].vials == scenes["two-7"].vials == (clear,)
    assert scenes["wash"].vials == scenes["two-10"].vials == ()


@pytest.mark.parametrize(
    ("mark", "bands"),
    [
        ("one rubber band", 1),
        ("two rubber bands", 2),
        ("three blue bands", 3),
        ("a rubber band", 1),
        ("Two bands", 2),
        ("a red lid", 0),
        ("one strip of tape", 0),
        ("one bandage", 0),
        ("in a box with two bands", 0),
        (None, 0),
    ],
)
def test_bands_are_counted_from_the_mark(mark: str | None, bands: int) -> None:
    """Only a mark that is bands is drawn as bands, so many as it says."""
    regimen = make_regimen(make_fill(clear="20 units"), medicines=(replace(CLEAR, vial_mark=mark),))
    assert build_steps(regimen)[1].scene.vials == (VialLook(Filling.FIRST, bands),)


def test_a_bottle_is_pictured_as_one() -> None:
    """By mouth there are no vials."""
    looks = [vial for step in build_steps(make_syrup()) for vial in step.scene.vials]
    assert looks
    assert all(look.is_bottle for look in looks)


def list_random_steps(random_cards: tuple[RandomCard, ...]) -> Iterator[tuple[CardStep, Step]]:
    """Each step of the first fill of each card, with the planned one."""
    for plan, card in random_cards:
        yield from zip(card.fills[0].steps, plan.fills[0].steps, strict=True)


def test_a_picture_and_its_words_are_about_one_amount(random_cards: tuple[RandomCard, ...]) -> None:
    """A scene's stop or air is the only amount its step names, written as the step writes it.

    Where the syringe is emptied it is drawn full, and no amount is named.
    """
    for step, planned in list_random_steps(random_cards):
        amount = planned.amount
        if step.scene.kind.name.startswith("INJECT") or step.scene.kind is SceneKind.BY_MOUTH:
            assert amount is None
            assert not step.scene.stop_text
            continue
        values = {step.scene.stop, step.scene.air} - {None}
        assert values == ({amount.value} if amount else set())
        if amount:
            text = write_line_amount(amount, "en")
            assert text in (step.scene.stop_text, step.scene.air_text)
            assert text in render(step.say).text


def test_no_amount_is_named_without_its_scene(random_cards: tuple[RandomCard, ...]) -> None:
    """Steps without an amount name neither a line nor mL, but for the syringe's last number and the strength."""
    for step, _ in list_random_steps(random_cards):
        if step.scene.stop is None and step.scene.air is None:
            assert not {"stop", "first", "total", "air", "still"} & {slot for slot, _ in step.say.values}


def test_the_words_of_a_picture_say_what_it_shows() -> None:
    """Alternative texts name the same line as the picture."""
    texts = {step.say.id: render(step.alt).text for step in build_steps(MIXED)}
    assert texts["two-9"].endswith("from line 11 to line 34.")
    assert texts["two-5"].startswith("A standing vial.")
    assert "Air from 23" in texts["two-5"]
    assert list_ids(build_steps(MIXED)).count("alt-check") == 2


def test_every_scene_kind_is_met() -> None:
    """The kit of scenes has none that no card shows."""
    no_air = make_regimen(make_fill(i="20 units"), medicines=(make_insulin("i", "insulin regular", takes_air=False),))
    shaken = make_syrup(look="cloudy", motion=Motion.SHAKE)
    deep = make_other("deep", "medicine A", "0.5 mg/mL", route=Route.INTO_MUSCLE)
    muscle = make_regimen(make_fill(deep="1 mg"), medicines=(deep,), syringe=ML)
    animal = replace(no_air, patient=Patient(kind=PatientKind.ANIMAL))
    regimens = (MIXED, make_regimen(make_fill(cloudy="20 units")), make_syrup(), no_air, shaken, muscle, animal)
    met = {step.scene.kind for regimen in regimens for step in build_steps(regimen)}
    assert met == set(SceneKind)
