"""Claims about raised pages. Braille here is a stand-in: one cell for each letter, so that no library is needed."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.plans import STARTERS, build_card, plan_starter

from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import PlacedCard
from fillcards.layout.proof import find_faults
from fillcards.layout.raised import place_raised
from fillcards.picture.items import Text
from fillcards.picture.tactile_style import DEFAULT_STYLE
from fillcards.wording.braille import BrailleText, BrailleWord


def translate(text: str) -> BrailleText:
    """Each letter as the full cell."""
    return tuple(BrailleWord("⠿" * len(word), word) for word in text.split())


def make(starter: Path) -> PlacedCard:
    """A starter's raised pages."""
    return place_raised(build_card(plan_starter(starter), ()), load_papers()["letter"], DEFAULT_STYLE, translate)


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_a_fill_has_at_most_three_raised_pages_and_all_share_a_key(starter: Path) -> None:
    """The whole barrel, a close-up of each stop; one key."""
    placed = make(starter)
    sections = [page.section for page in placed.pages]
    assert all(sections.count(section) <= 3 for section in sections)
    assert sections.count("key") == 1


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_raised_pages_are_sound(starter: Path) -> None:
    """By the geometric proof."""
    assert [fault for page in make(starter).pages for fault in find_faults(page)] == []


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_every_raised_page_says_whose_it_is_and_the_card_code(starter: Path) -> None:
    """In print beside the braille, with the band."""
    card = build_card(plan_starter(starter), ())
    for page in make(starter).pages:
        words = " ".join(item.text for each in page.placed for item in each.items if isinstance(item, Text))
        assert card.code in words
        assert "Sample" in words
