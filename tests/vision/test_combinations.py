"""Random regimens for all eyes on every paper: nothing overlaps, is cut off, or is set smaller than its side allows.

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
from fillcards.layout.model import PlacedCard
from fillcards.layout.place import place_card
from fillcards.layout.proof import find_faults
from fillcards.layout.small import place_small
from fillcards.plan.print_size import choose_print_size
from fillcards.problems import RegimenRefused

SEED: Final = 20261125
QUICK: Final = 40
LONG: Final = 10_000


def place(combination: Combination) -> PlacedCard:
    """The card that the paper is for.

    Raises:
        RegimenRefused: a piece of the card is larger than the paper; then no card is made.
    """
    card, paper = build_card(combination.plan), load_papers()[combination.paper]
    if paper.is_small:
        return place_small(card, paper)
    return place_card(card, choose_print_size(combination.plan.regimen.patient), paper)


def run(count: int, seed: int) -> Counter[str]:
    """Place so many random combinations; what was met, by its name. Fails at the first fault."""
    random, met = Random(seed), Counter[str]()
    for number in range(count):
        combination = draw_combination(random)
        met[combination.paper] += 1
        try:
            placed = place(combination)
        except RegimenRefused as refusal:
            met["refused"] += 1
            met.update({problem.code for problem in refusal.problems})
            continue
        faults = [f"page {n}: {fault}" for n, page in enumerate(placed.pages, 1) for fault in find_faults(page)]
        assert faults == [], f"seed {seed}, number {number}"
        met["placed"] += 1
        met["pages"] += len(placed.pages)
    return met


def test_random_combinations_are_sound() -> None:
    """Forty combinations; most are placed, and what is refused is refused because the paper is too small."""
    met = run(QUICK, SEED)
    assert met["placed"] >= QUICK / 2
    assert met["placed"] + met["refused"] == QUICK
    assert met["refused"] <= sum(met[f"LAYOUT-00{number}"] for number in (1, 2, 3))


@pytest.mark.campaign
def test_ten_thousand_combinations_are_sound() -> None:
    """The same over 10,000 combinations."""
    met = run(LONG, SEED)
    sys.stdout.write(f"seed {SEED}, {LONG} combinations: {dict(sorted(met.items()))}\n")
    assert met["placed"] >= LONG / 2
    assert met["placed"] + met["refused"] == LONG
