"""Claims about raised pages. Braille here is a stand-in, about as long as real braille: no library is needed."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from support.plans import STARTERS, UNITS, build_card, make_fill, plan_starter

from fillcards.catalogue.papers import load_papers
from fillcards.layout.deck import WINDOW_GAPS
from fillcards.layout.model import PlacedCard
from fillcards.layout.proof import find_faults
from fillcards.layout.raised import CLOSE_UP_GAPS, place_raised
from fillcards.picture.items import Line, Text
from fillcards.picture.pen import PRINT_BESIDE_BRAILLE_PT
from fillcards.picture.scale_view import LONG_TO_BORE, choose_window
from fillcards.picture.tactile_style import DEFAULT_STYLE, OUTLINE_MM, Medium, TactileStyle
from fillcards.plan.fills import plan_fills
from fillcards.quantities import write_number
from fillcards.wording.braille import BrailleText, BrailleWord
from fillcards.wording.messages import render


def translate(text: str) -> BrailleText:
    """Each letter as the full cell, and one more before a capital that begins a word."""
    return tuple(BrailleWord("⠿" * (len(word) + len(re.findall(r"^[A-Z]", word))), word) for word in text.split())


@cache
def make(starter: Path, paper: str = "letter", style: TactileStyle = DEFAULT_STYLE) -> PlacedCard:
    """A starter's raised pages."""
    return place_raised(build_card(plan_starter(starter), ()), load_papers()[paper], style, translate)


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_a_fill_has_at_most_three_raised_pages_and_all_share_a_key(starter: Path) -> None:
    """The whole barrel, a close-up of each stop; one key."""
    placed = make(starter)
    sections = [page.section for page in placed.pages]
    assert all(sections.count(section) <= 3 for section in sections)
    assert sections.count("key") == 1


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_large_cells_fit_for_every_starter(starter: Path, paper: str) -> None:
    """On swell paper, which needs the widest gaps; the barrel gives way, and has still room for a texture."""
    placed = make(starter, paper, TactileStyle(Medium.SWELL, large_cell=True))
    assert [fault for page in placed.pages for fault in find_faults(page)] == []
    for page in placed.pages:
        for each in page.placed:
            walls = [item for item in each.items if isinstance(item, Line) and item.width_mm == OUTLINE_MM]
            upright = sorted({item.x1_mm for item in walls if item.x1_mm == item.x2_mm})
            if len(upright) > 1:
                texture_mm = (upright[-1] - upright[0] - OUTLINE_MM) * (1 - LONG_TO_BORE)
                assert texture_mm >= 6.35  # a quarter of an inch (``hasty-tactile``)


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


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_a_close_up_shows_the_number_counted_from_and_the_stop_in_large_print(starter: Path) -> None:
    """Its words say how many lines past which number; beside the braille both numbers stand in print of 24 pt."""
    card = build_card(plan_starter(starter), ())
    for fill in card.fills:
        closes = [page for page in make(starter).pages if page.section == f"fill {fill.number}"][1:]
        for panel, page in zip(fill.panels, closes, strict=True):
            values = dict(panel.count.values)
            counted_from = values.get("from_number", values.get("number", 0))
            assert isinstance(counted_from, Fraction | int)
            numbers = {write_number(counted_from), render(panel.figure).text}
            large = {
                item.text
                for each in page.placed
                for item in each.items
                if isinstance(item, Text) and item.size_pt == PRINT_BESIDE_BRAILLE_PT
            }
            assert numbers - large == set()


def test_a_double_name_longer_than_a_line_gets_its_pages() -> None:
    """A name is parted at its hyphen; the page is not refused for it."""
    plan = plan_starter(next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day"))
    patient = replace(plan.regimen.patient, name="Wilhelmina Featherstonehaugh-Throckmorton")
    card = build_card(plan_fills(replace(plan.regimen, patient=patient)))
    placed = place_raised(card, load_papers()["letter"], DEFAULT_STYLE, translate)
    assert [fault for page in placed.pages for fault in find_faults(page)] == []


@pytest.mark.parametrize(("first", "total"), [("28", "2"), ("2", "12"), ("26", "4"), ("35", "5")])
def test_stops_close_to_each_other_or_to_an_end_of_the_scale_fit_on_their_pages(first: str, total: str) -> None:
    """The numbers at both stops give way to each other, by more the smaller the scale is drawn."""
    plan = plan_starter(next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day"))
    keys = [draw.medicine.key for draw in plan.fills[0].draws]
    fill = make_fill("before breakfast", *((key, dose, UNITS) for key, dose in zip(keys, (first, total), strict=True)))
    card = build_card(plan_fills(replace(plan.regimen, fills=(fill,))))
    for paper in ("letter", "a4"):
        placed = place_raised(card, load_papers()[paper], DEFAULT_STYLE, translate)
        assert [fault for page in placed.pages for fault in find_faults(page)] == []


@pytest.mark.parametrize("gaps", [CLOSE_UP_GAPS, WINDOW_GAPS], ids=["raised", "deck"])
@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_a_window_round_any_line_holds_the_number_it_is_counted_from(starter: Path, gaps: tuple[int, int]) -> None:
    """However many lines lie between: the end of the window past the stop goes first."""
    syringe = plan_starter(starter).regimen.syringe
    stop = syringe.line_every
    while stop <= syringe.last_line:
        window = choose_window(syringe, stop, *gaps)
        assert window.first <= stop // syringe.numbered_every * syringe.numbered_every
        assert window.last >= stop
        stop += syringe.line_every
