"""Random regimens at every size on every paper: nothing overlaps, is cut off, or is set smaller than its size.

``python -m pytest -m campaign tests/vision/test_combinations.py -s`` runs 10,000 and tells what was met.
"""

from __future__ import annotations

import sys
from collections import Counter
from random import Random
from typing import Final

import pytest
from support.plans import build_card
from support.random_regimens import Combination, draw_combination

from fillcards.catalogue.papers import load_papers
from fillcards.layout.front_fit import fit_print_size
from fillcards.layout.model import Element, Placed, PlacedCard
from fillcards.layout.pages import place_card
from fillcards.layout.proof import find_faults
from fillcards.picture.items import Text
from fillcards.plan.print_size import SMALLEST_BODY_PT, PrintSize, choose_print_size
from fillcards.problems import RegimenRefused

SEED: Final = 20261125
QUICK: Final = 40
LONG: Final = 10_000


def find_all_faults(combination: Combination) -> tuple[list[str], PlacedCard]:
    """Everything wrong with a combination's pages.

    Raises:
        RegimenRefused: a piece of the card is larger than the paper; then no card is made.
    """
    plan, paper = combination.plan, load_papers()[combination.paper]
    asked = choose_print_size(plan.regimen.patient)
    size = fit_print_size(build_card(plan, size=asked, paper=combination.paper), asked, paper)
    placed = place_card(build_card(plan, size=size, paper=combination.paper), size, paper)
    faults = [f"page {n}: {fault}" for n, page in enumerate(placed.pages, 1) for fault in find_faults(page)]
    return [*faults, *find_small_text(placed, size)], placed


def find_small_text(placed: PlacedCard, size: PrintSize) -> list[str]:
    """Words on a patient's page under the size that this reader's card has for them.

    Beside pictures nothing that is read aloud is set smaller than the steps are. What is not (the framed words of an
    unchecked card, the name and the code at the foot) is for those who handle the pages, and never under 18 pt.
    """
    pictures = set(list_marks(placed.structure, "Figure"))
    return [
        f"{item.text!r} in {item.size_pt:g} pt, the steps in {size.step_pt:g} pt"
        for page in placed.pages
        if not page.is_staff
        for each in page.placed
        if each.mark not in pictures
        for item in each.items
        if isinstance(item, Text) and item.size_pt < (SMALLEST_BODY_PT if is_repeat(each, item) else size.step_pt)
    ]


def is_repeat(placed: Placed, item: Text) -> bool:
    """Whether words are not read aloud, or are those of the check band, which is read once."""
    band = "Sample, not for a patient. Not yet checked. Do not use."
    return placed.mark is None or item.text in band


def list_marks(element: Element, role: str, *, inside: bool = False) -> list[int]:
    """Marks of everything in elements of a role."""
    inside = inside or element.role == role
    marks: list[int] = []
    for child in element.children:
        if isinstance(child, Element):
            marks += list_marks(child, role, inside=inside)
        elif inside:
            marks.append(child)
    return marks


def run(count: int, seed: int) -> Counter[str]:
    """Place so many random combinations; what was met, by its name. Fails at the first fault."""
    random, met = Random(seed), Counter[str]()
    for number in range(count):
        combination = draw_combination(random)
        met[combination.paper] += 1
        try:
            faults, placed = find_all_faults(combination)
        except RegimenRefused as refusal:
            met.update(problem.code for problem in refusal.problems)
            continue
        assert faults == [], f"seed {seed}, number {number}"
        met["placed"] += 1
        met["pages"] += len(placed.pages)
    return met


def test_random_combinations_are_sound() -> None:
    """Forty combinations; most are placed, and what is refused is refused because the paper is too small."""
    met = run(QUICK, SEED)
    assert met["placed"] >= QUICK / 2
    assert met["placed"] + met["LAYOUT-001"] + met["LAYOUT-002"] == QUICK


@pytest.mark.campaign
def test_ten_thousand_combinations_are_sound() -> None:
    """The same over 10,000 combinations."""
    met = run(LONG, SEED)
    sys.stdout.write(f"seed {SEED}, {LONG} combinations: {dict(sorted(met.items()))}\n")
    assert met["placed"] >= LONG / 2
    assert met["placed"] + met["LAYOUT-001"] + met["LAYOUT-002"] == LONG
