"""Page one at any print size: both stops on it where they fit, and no fact broken over two pages where they do not."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.plans import STARTERS, build_card, make_plans, plan_starter

from fillcards.card.model import Stop
from fillcards.catalogue.papers import load_papers
from fillcards.layout.front_fit import fit_print_size
from fillcards.layout.model import Page, PlacedCard
from fillcards.layout.pages import place_card
from fillcards.picture.items import Text
from fillcards.plan.model import Plan
from fillcards.plan.print_size import LARGEST_STEP_PT, PrintSize, choose_print_size
from fillcards.problems import RegimenRefused

LETTER = load_papers()["letter"]


def choose_size(plan: Plan, body_pt: float) -> PrintSize:
    """The sizes for a reader who asks for ``body_pt``."""
    return choose_print_size(replace(plan.regimen.patient, reads=None, text_size_pt=Fraction(str(body_pt))))


def place_fitting(plan: Plan, body_pt: float) -> tuple[PlacedCard, PrintSize]:
    """The pages as the program makes them, and the sizes that were chosen."""
    size = choose_size(plan, body_pt)
    fitted = fit_print_size(build_card(plan, size=size), size, LETTER)
    return place_card(build_card(plan, size=fitted), fitted, LETTER), fitted


def list_words(page: Page) -> list[str]:
    """Every run of text of a page."""
    return [item.text for placed in page.placed for item in placed.items if isinstance(item, Text)]


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
@pytest.mark.parametrize("body_pt", [18, 24, 28, 33, 36])
def test_both_figures_are_on_page_one_up_to_36_pt(path: Path, body_pt: int) -> None:
    """Page one alone is enough to fill the syringe by (design, 3.3), for every fill of every starter.

    In the largest steps' size a name of two lines with its days leaves no room for the second, which is told in short.
    """
    plan = plan_starter(path)
    placed, size = place_fitting(plan, body_pt)
    assert size.body_pt == body_pt
    for fill, sheets in zip(plan.fills, build_card(plan, size=size).fills, strict=True):
        first = next(page for page in placed.pages if page.fill_number == fill.number)
        figures = [block.figure for block in sheets.front if isinstance(block, Stop)]
        words = list_words(first)
        is_told = body_pt == LARGEST_STEP_PT and sheets.running_lines in words
        assert is_told or [word for word in words if word in figures][: len(figures)] == figures


@pytest.mark.parametrize("body_pt", [48, 66.5, 96])
def test_a_first_page_without_the_total_tells_it_in_short(body_pt: float) -> None:
    """A page with one stop of two must not look as if it were the only one."""
    plan = plan_starter(next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day"))
    placed, _ = place_fitting(plan, body_pt)
    assert "First line 11 · Total line 34" in list_words(placed.pages[0])


@given(make_plans(), st.sampled_from((18, 24, 36, 48, 72, 96)))
def test_no_fact_is_broken_over_two_pages(plan: Plan, body_pt: int) -> None:
    """Every piece in the size of the facts, larger than the steps, is whole on one page: it ends as it was begun."""
    try:
        placed, size = place_fitting(plan, body_pt)
    except RegimenRefused:
        return
    if size.body_pt <= LARGEST_STEP_PT:
        return
    pages_of: dict[int, set[int]] = {}
    for number, page in enumerate(placed.pages):
        for each in page.placed:
            sizes = {item.size_pt for item in each.items if isinstance(item, Text)}
            if each.mark is not None and size.body_pt in sizes:
                pages_of.setdefault(each.mark, set()).add(number)
    assert pages_of
    assert all(len(pages) == 1 for pages in pages_of.values())


def test_a_page_that_cannot_hold_a_fact_gets_smaller_facts_and_says_so() -> None:
    """At 96 pt a sentence of ten words is taller than a letter page; the size that fits is under it and over 36 pt."""
    plan = plan_starter(next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day"))
    _, size = place_fitting(plan, 96)
    assert LARGEST_STEP_PT < size.body_pt < 96
    assert f"Page one comes in {size.body_pt:g} pt" in size.why


def test_what_fits_on_no_line_is_refused_and_no_fault_of_ours() -> None:
    """Digits without a space, wider than the page in the size of the steps: refused by the layout, with its reason."""
    plan = plan_starter(STARTERS[0])
    fill = plan.fills[0]
    wide = replace(plan, fills=(replace(fill, fill=replace(fill.fill, when=f"before {'8' * 30}")),))
    with pytest.raises(RegimenRefused) as refused:
        place_fitting(wide, 36)
    assert {problem.code for problem in refused.value.problems} == {"LAYOUT-002"}
