"""Lines to practice on: printed, easy, and never one at which this patient stops."""

from __future__ import annotations

from fractions import Fraction
from itertools import chain
from pathlib import Path

import pytest
from support.plans import STARTERS, plan_starter
from support.rule_regimens import CLEAR, CLOUDY, make_fill, make_mixed, make_regimen

from fillcards.plan.fills import choose_practice, plan_fills
from fillcards.plan.model import Plan


def list_values(plan: Plan) -> list[Fraction]:
    """Every line of the exercises."""
    return [stop.value for stop in chain.from_iterable(choose_practice(plan))]


def test_the_three_of_a_barrel_of_fifty_lines() -> None:
    """A numbered line, the line after a number, a pair for who mixes; worked out by hand from the rule."""
    regimen = make_mixed("11 units", "23 units")
    assert list_values(plan_fills(regimen)) == [25, 21, 10, 37]


def test_who_draws_one_medicine_gets_one_line_each() -> None:
    """The third is the line before a number."""
    regimen = make_regimen(make_fill(clear="11 units"), medicines=(CLEAR,))
    assert [len(stops) for stops in choose_practice(plan_fills(regimen))] == [1, 1, 1]
    assert list_values(plan_fills(regimen)) == [25, 21, 29]


@pytest.mark.parametrize(("clear", "cloudy"), [(25, 12), (21, 4), (10, 27)])
def test_no_line_of_the_patient_is_practiced(clear: int, cloudy: int) -> None:
    """Neither a stop nor a line of air: nobody learns a wrong line for their own."""
    plan = plan_fills(make_mixed(f"{clear} units", f"{cloudy} units"))
    own = {line for fill in plan.fills for draw in fill.draws for line in (draw.stop_line, draw.air_line)}
    assert not own & set(list_values(plan))


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_each_is_a_printed_line_of_the_barrel(starter: Path) -> None:
    """On a line, past zero, at or before the last; the total past the first."""
    plan = plan_starter(starter)
    syringe = plan.regimen.syringe
    for value in list_values(plan):
        assert 0 < value <= syringe.last_line
        assert value % syringe.line_every == 0
    for stops in choose_practice(plan):
        assert [stop.value for stop in stops] == sorted({stop.value for stop in stops})


def test_medicines_do_not_choose_them() -> None:
    """Another dose that none of them meets leaves the exercises as they were: they say nothing of a dose."""
    one, other = (
        plan_fills(make_regimen(make_fill(clear=f"{dose} units"), medicines=(CLEAR, CLOUDY))) for dose in (7, 8)
    )
    assert list_values(one) == list_values(other)
