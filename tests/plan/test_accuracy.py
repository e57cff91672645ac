"""Which syringes serve a regimen: the smallest, the refused and why."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.shares import try_of_100

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.scales import load_scales
from fillcards.plan.accuracy import Choice, choose_syringes
from fillcards.regimen.model import Regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, make_fill, make_insulin, make_mixed, make_other, make_regimen, make_syringe


def choose(regimen: Regimen) -> Choice:
    """The choice among the catalogue's syringes."""
    return choose_syringes(regimen, load_scales())


def make_single(units: str) -> Regimen:
    """Insulin regular alone."""
    return make_regimen(make_fill(clear=units), medicines=(CLEAR,))


@pytest.mark.parametrize(
    ("total", "capacity_ml"), [("25 units", "0.3"), ("26 units", "0.5"), ("45 units", "0.5"), ("46 units", "1")]
)
def test_smallest_barrel_with_room_for_the_dose(total: str, capacity_ml: str) -> None:
    """0.3 mL ends at 30, 0.5 mL at 50 (teaching pages), with numbers every 5 (ISO 8537, 9.2): one step stays free."""
    smallest = choose(make_single(total)).smallest
    assert smallest is not None
    assert smallest.syringe.scale is ScaleName.U_100
    assert smallest.syringe.capacity_ml == Fraction(capacity_ml)


def test_no_barrel_with_room_and_none_is_recommended() -> None:
    """100 units fill the largest U-100 barrel to its last line: it fits, but nothing is recommended."""
    choice = choose(make_single("100 units"))
    assert [(fit.syringe.capacity_ml, fit.leaves_room) for fit in choice.fits] == [(Fraction(1), False)] * 2
    assert choice.smallest is None
    assert choice.as_dict()["smallest"] is None


def test_odd_dose_on_two_unit_lines() -> None:
    """37 units fall between two lines of a 1 mL barrel with 2-unit lines; 0.5 mL has the line (same pages)."""
    regimen = replace(make_single("37 units"), syringe=make_syringe(capacity_ml="1", line_every=2))
    choice = choose(regimen)
    (named,) = [refusal for refusal in choice.refused if refusal.is_named]
    assert named.syringe == regimen.syringe
    assert any("37 units" in problem.found for problem in named.problems)
    assert choice.smallest is not None
    assert choice.smallest.syringe.capacity_ml == Fraction("0.5")


def test_the_largest_fill_decides() -> None:
    """A syringe must hold every fill, not the first alone."""
    regimen = make_regimen(make_fill("before breakfast", clear="8 units"), make_fill("before supper", clear="44 units"))
    smallest = choose(regimen).smallest
    assert smallest is not None
    assert smallest.syringe.capacity_ml == Fraction("0.5")
    assert [error.fill_number for error in smallest.errors] == [1, 2]


def test_a_total_past_the_last_line_is_no_fit() -> None:
    """In a shared syringe the sum counts: 20 and 15 units do not go into 30 lines."""
    smallest = choose(make_mixed("20 units", "15 units")).smallest
    assert smallest is not None
    assert smallest.syringe.capacity_ml == Fraction("0.5")


@pytest.mark.parametrize("scale", [ScaleName.U_40, ScaleName.U_500, ScaleName.ML])
def test_insulin_stays_on_its_own_scale(scale: ScaleName) -> None:
    """No syringe of another scale is offered for insulin of 100 units/mL (2.5 times the dose on U-40)."""
    refused = [refusal for refusal in choose(make_single("10 units")).refused if refusal.syringe.scale is scale]
    assert refused
    assert all(refusal.is_other_scale and refusal.problems for refusal in refused)
    assert all(fit.syringe.scale is not scale for fit in choose(make_single("10 units")).fits)


def test_a_medicine_in_mg_is_not_moved_to_another_insulin_scale() -> None:
    """Only the scale the file names and scales in mL are offered for a medicine that is no insulin."""
    regimen = make_regimen(make_fill(weekly="0.25 mg"), medicines=(make_other("weekly", "sample", "2.5 mg/mL"),))
    choice = choose(regimen)
    assert {fit.syringe.scale for fit in choice.fits} == {ScaleName.U_100, ScaleName.ML}
    assert {refusal.syringe.scale for refusal in choice.refused if refusal.is_other_scale} == {
        ScaleName.U_40,
        ScaleName.U_500,
    }


def test_concentrated_insulin_gets_its_own_syringe() -> None:
    """200 units of 500 units/mL go on a U-500 scale only (regulator, July 2016)."""
    concentrated = make_insulin("strong", "insulin regular concentrated", "500 units/mL")
    syringe = make_syringe(ScaleName.U_500, line_every=5)
    choice = choose(make_regimen(make_fill(strong="200 units"), medicines=(concentrated,), syringe=syringe))
    assert [fit.syringe.scale for fit in choice.fits] == [ScaleName.U_500]


def test_a_forbidden_mixture_is_no_fault_of_the_syringe() -> None:
    """Glargine shares no syringe (labels): no syringe fits, and none is blamed for it."""
    medicines = (CLEAR, make_insulin("long", "insulin glargine"))
    choice = choose(make_regimen(make_fill(clear="8 units", long="18 units"), medicines=medicines))
    assert choice.smallest is None
    assert choice.regimen_problems
    blamed = {problem for refusal in choice.refused for problem in refusal.problems}
    assert not blamed & set(choice.regimen_problems)


def test_the_users_own_syringe_is_tried_once() -> None:
    """A syringe of no catalogue row is tried beside the rows, and the one named in the file is marked once."""
    own = replace(make_syringe(), capacity_ml=Fraction(1, 4))
    choice = choose(replace(make_single("10 units"), syringe=own))
    assert [fit.syringe for fit in choice.fits if fit.is_named] == [own]
    assert choice.smallest is not None
    assert choice.smallest.is_named
    assert len(choice.fits) + len(choice.refused) == len(load_scales()) + 1
    catalogued = choose(make_single("10 units"))
    assert len(catalogued.fits) + len(catalogued.refused) == len(load_scales())
    assert sum(fit.is_named for fit in catalogued.fits) == 1


def test_wider_lines_first_within_one_capacity() -> None:
    """Of two 0.3 mL barrels the one with wider lines is named: finer ones were no more exact (Keith 2004)."""
    smallest = choose(make_single("10 units")).smallest
    assert smallest is not None
    assert smallest.syringe.line_every == 1


def test_answer_for_programs_is_json() -> None:
    """The answer survives a trip through JSON and says what was chosen."""
    answer = json.loads(json.dumps(choose(make_mixed("8 units", "18 units")).as_dict()))
    assert answer["smallest"]["capacity_ml"] == 0.5
    assert [fit["leaves_room"] for fit in answer["fits"]] == [False, False, True, True, True]
    assert [draw["dose"] for draw in answer["fits"][0]["draws"]] == ["8 units", "18 units"]


def test_every_key_of_the_answer_for_programs() -> None:
    """A program finds scale, syringe, fit and refusal under these names; the figures are those of the barrels."""
    choice = choose(make_single("10 units"))
    answer = choice.as_dict()
    assert answer["smallest"] == {
        "scale": "U-100",
        "capacity_ml": 0.3,
        "line_every": 1,
        "last_line": 30,
        "unit": "units",
        "needle": "fixed",
    }
    fits, refused = answer["fits"], answer["refused"]
    assert isinstance(answer["smallest"], dict)
    assert isinstance(fits, list)
    assert isinstance(refused, list)
    said = {"is_named_in_file": False, "leaves_room": True, "draws": [choice.fits[0].errors[0].as_dict()]}
    assert fits[0] == answer["smallest"] | said
    assert [fit["capacity_ml"] for fit in fits if fit["is_named_in_file"]] == [0.5]
    on_ml = next(refusal for refusal in refused if refusal["scale"] == "mL")
    assert (on_ml["is_named_in_file"], on_ml["is_other_scale"], on_ml["unit"]) == (False, True, "mL")
    assert [problem["code"] for problem in on_ml["problems"]] == ["SCALE-002"]
    assert answer["regimen_problems"] == []


def test_nothing_fits_and_the_answer_says_why() -> None:
    """Glargine in a shared syringe (labels): no smallest, and the problem stands with the regimen."""
    medicines = (CLEAR, make_insulin("long", "insulin glargine"))
    answer = choose(make_regimen(make_fill(clear="8 units", long="18 units"), medicines=medicines)).as_dict()
    assert (answer["smallest"], answer["fits"]) == (None, [])
    problems = answer["regimen_problems"]
    assert isinstance(problems, list)
    assert "MIX-003" in {problem["code"] for problem in problems}


def test_with_one_syringe_nobody_can_tell_whose_fault_it_is() -> None:
    """Only what several syringes bring up alike is put down to the regimen; two are enough for that."""
    medicines = (CLEAR, make_insulin("long", "insulin glargine"))
    regimen = make_regimen(make_fill(clear="8 units", long="18 units"), medicines=medicines)
    alone = choose_syringes(regimen, ())
    assert alone.regimen_problems == ()
    assert "MIX-003" in {problem.code for problem in alone.refused[0].problems}
    (another,) = [row for row in U_100_ROWS if (row.capacity_ml, row.line_every) == (Fraction("0.3"), Fraction(1))]
    assert "MIX-003" in {problem.code for problem in choose_syringes(regimen, (another,)).regimen_problems}


def test_a_measured_barrel_is_not_tried_a_second_time_unmeasured() -> None:
    """The length a user measured makes no other syringe of it."""
    own = replace(make_syringe(capacity_ml="0.3"), scale_length_mm=Fraction(48))
    choice = choose(replace(make_single("10 units"), syringe=own))
    like_own = [fit.syringe for fit in choice.fits if fit.syringe.capacity_ml == own.capacity_ml]
    assert [syringe.line_every for syringe in like_own] == [1, Fraction("0.5")]
    assert [fit.syringe for fit in choice.fits if fit.is_named] == [own]
    assert [fit.syringe.scale_length_mm for fit in choice.fits if not fit.is_named] == [None] * 4


def test_smallest_first_then_fewest_lines() -> None:
    """The U-100 barrels in the order of the teaching pages: by capacity; of two alike, wider lines first."""
    found = [(fit.syringe.capacity_ml, fit.syringe.line_every) for fit in choose(make_single("10 units")).fits]
    assert found == [
        (Fraction("0.3"), Fraction(1)),
        (Fraction("0.3"), Fraction("0.5")),
        (Fraction("0.5"), Fraction(1)),
        (Fraction(1), Fraction(2)),
        (Fraction(1), Fraction(1)),
    ]


U_100_ROWS = tuple(row for row in load_scales() if row.scale is ScaleName.U_100)


def holds(row: SyringeScale, halves: tuple[int, ...]) -> bool:
    """Whether doses in half units fall on lines of a barrel: whole steps each, and their sum at most the last line."""
    step = int(row.line_every * 2)
    return all(half % step == 0 for half in halves) and sum(halves) <= row.capacity_ml * 200


@try_of_100(40)
@given(st.tuples(st.integers(4, 120), st.integers(4, 120)))
def test_fits_are_those_that_hold_both_doses(halves: tuple[int, int]) -> None:
    """A U-100 syringe fits exactly where simple counting in half units says so; the smallest has a number to spare."""
    clear, cloudy = (Fraction(half, 2) for half in halves)
    regimen = make_mixed("8 units", "18 units")
    (fill,) = regimen.fills
    draws = tuple(
        replace(draw, dose=replace(draw.dose, amount=amount))
        for draw, amount in zip(fill.draws, (clear, cloudy), strict=True)
    )
    choice = choose_syringes(replace(regimen, fills=(replace(fill, draws=draws),)), U_100_ROWS)
    fitting = {(fit.syringe.capacity_ml, fit.syringe.line_every) for fit in choice.fits}
    expected = {(row.capacity_ml, row.line_every) for row in U_100_ROWS if holds(row, halves)}
    assert fitting == expected
    # ISO 8537:2007, 9.2: numbers every 5 units on 0.3 and 0.5 mL, every 10 on 1 mL.
    roomy = [capacity for capacity, _ in expected if sum(halves) + (20 if capacity == 1 else 10) <= capacity * 200]
    assert (choice.smallest.syringe.capacity_ml if choice.smallest else None) == min(roomy, default=None)
