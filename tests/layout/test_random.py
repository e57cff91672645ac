"""Random regimens through every large style: what is placed is sound, what is not is refused with a reason."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from support.plans import build_card, make_plans
from support.shares import try_of_100

from fillcards.catalogue.model import Route
from fillcards.catalogue.papers import load_papers
from fillcards.layout.place import place_card
from fillcards.layout.proof import find_faults
from fillcards.layout.small import place_small
from fillcards.plan.model import Plan
from fillcards.plan.print_size import choose_print_size
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import Needle, Patient

SIZES_PT = st.sampled_from((18, 20, 22, 24, 28, 32, 36, 48, 66))


def make_possible_plans() -> st.SearchStrategy[Plan]:
    """Plans no rule refuses: by mouth goes with an oral syringe alone."""
    return make_plans().filter(
        lambda plan: (
            plan.regimen.syringe.needle is Needle.NONE
            or not any(medicine.route is Route.BY_MOUTH for medicine in plan.regimen.medicines)
        )
    )


def list_faults(plan: Plan, size_pt: int, paper: str) -> list[str]:
    """Everything wrong with the pages of a large card; empty too where it is refused."""
    size = choose_print_size(Patient(text_size_pt=Fraction(size_pt)))
    try:
        placed = place_card(build_card(plan, ()), size, load_papers()[paper])
    except RegimenRefused as refusal:
        return [problem.code for problem in refusal.problems if not problem.code.startswith("LAYOUT-")]
    return [f"{page.section} {page.side}: {fault}" for page in placed.pages for fault in find_faults(page)]


def list_small_faults(plan: Plan, paper: str) -> list[str]:
    """The same of small cards."""
    try:
        placed = place_small(build_card(plan, ()), load_papers()[paper])
    except RegimenRefused as refusal:
        return [problem.code for problem in refusal.problems if not problem.code.startswith("LAYOUT-")]
    return [f"{page.section} {page.side}: {fault}" for page in placed.pages for fault in find_faults(page)]


@try_of_100(15)
@given(make_possible_plans(), SIZES_PT, st.sampled_from(("letter", "a4")))
def test_nothing_overlaps_leaves_its_place_or_is_too_small(plan: Plan, size_pt: int, paper: str) -> None:
    """No page of any random card at any size has a fault by the geometric proof."""
    assert list_faults(plan, size_pt, paper) == []


@try_of_100(6)
@given(make_possible_plans(), st.sampled_from(("half_letter", "a5", "a6", "4x6 in")))
def test_small_cards_are_sound(plan: Plan, paper: str) -> None:
    """No random small card has a fault by the geometric proof."""
    assert list_small_faults(plan, paper) == []
