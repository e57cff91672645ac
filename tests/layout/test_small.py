"""Claims about small cards and about several of them on one sheet."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Final

import pytest
from support.plans import STARTERS, build_card, plan_starter

from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Element, PlacedCard
from fillcards.layout.n_up import place_n_up
from fillcards.layout.proof import find_faults
from fillcards.layout.small import place_small
from fillcards.picture.items import Text
from fillcards.problems import RegimenRefused

HALF: Final = ("half_letter", "a5")


def make(starter: Path, paper: str) -> PlacedCard:
    """A starter's small cards."""
    return place_small(build_card(plan_starter(starter), ()), load_papers()[paper])


REFUSED: Final = (PlacedCard("LAYOUT-001", "en", (), Element("Document", ())),)


def make_or_refuse(starter: Path, paper: str) -> PlacedCard:
    """The cards; where they are refused, an empty one that bears the problem's code."""
    try:
        return make(starter, paper)
    except RegimenRefused as refusal:
        return PlacedCard(refusal.problems[0].code, "en", (), Element("Document", ()))


@pytest.mark.parametrize("paper", HALF)
@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_half_a_sheet_holds_a_fill_front_and_back(starter: Path, paper: str) -> None:
    """The front, and the steps with their pictures behind it."""
    placed = make(starter, paper)
    assert [page.side for page in placed.pages] == ["small-front", "small-steps"] * (len(placed.pages) // 2)
    assert all(one.section == other.section for one, other in zip(placed.pages[::2], placed.pages[1::2], strict=True))


@pytest.mark.parametrize("paper", [*HALF, "a6", "4x6 in"])
@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_small_cards_are_sound(starter: Path, paper: str) -> None:
    """By the geometric proof, the staple's corner and the least stroke included; or the paper is refused."""
    placed = make_or_refuse(starter, paper)
    assert placed in REFUSED or [fault for page in placed.pages for fault in find_faults(page)] == []


def test_backs_stand_behind_their_fronts() -> None:
    """On a sheet turned over along its long edge, each back is mirrored to where its front stands."""
    placed = make(STARTERS[0], "a5")
    sheet = place_n_up(placed, load_papers()["letter"])
    for front, back in zip(sheet.pages[::2], sheet.pages[1::2], strict=True):
        for card, behind in zip(front.small_cards, back.small_cards, strict=True):
            assert behind.x_mm == pytest.approx(front.width_mm - card.right_mm)
            assert behind.y_mm == card.y_mm


def test_a_sheet_says_all_its_cards_say() -> None:
    """Every run of every small card is on the sheets, in the same size."""
    placed = make(STARTERS[0], "a5")
    sheet = place_n_up(placed, load_papers()["letter"])
    assert sorted(_list_runs(sheet)) == sorted(_list_runs(placed))


def _list_runs(placed: PlacedCard) -> list[tuple[str, float]]:
    return [
        (item.text, item.size_pt)
        for page in placed.pages
        for each in page.placed
        for item in each.items
        if isinstance(item, Text)
    ]


def test_type_grows_with_the_paper() -> None:
    """A larger card has words at least as large."""
    sizes = [min(make(STARTERS[5], paper).body_sizes_pt) for paper in ("4x6 in", "half_letter")]
    assert all(larger >= smaller for smaller, larger in pairwise(sizes))
