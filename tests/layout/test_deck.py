"""Claims about the deck, for readers above 36 pt."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Final

import pytest
from campaign.forms import FORMS
from campaign.stages import try_plan
from support.fifths import TURNED, keep_a_fifth
from support.plans import build_card, plan_starter

from fillcards.card.model import Card, FillCard
from fillcards.catalogue.papers import load_papers
from fillcards.layout.deck import set_deck
from fillcards.layout.model import Page
from fillcards.layout.proof import find_faults
from fillcards.layout.sections import Section
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import make_sheet
from fillcards.picture.items import Text
from fillcards.picture.pen import FIGURE_HEIGHT_EM
from fillcards.quantities import convert_pt_to_mm
from fillcards.wording.messages import Say, render

PAPERS: Final = ("letter", "a4")
SIZES_PT: Final = (40.0, 48.0, 60.0, 66.5)
"""66.5 pt: what 20/200 at 40 cm needs, with a reserve."""
LARGEST_PT: Final = 83.0


@cache
def make_card(starter: Path) -> Card:
    """A starter's card."""
    return build_card(plan_starter(starter), ())


@cache
def make(starter: Path, paper: str, size_pt: float) -> tuple[tuple[FillCard, Section], ...]:
    """Each fill and its deck."""
    card, setter = make_card(starter), Setter("en")
    return tuple(
        (fill, set_deck(make_sheet(setter, card, load_papers()[paper], size_pt, fill, "fill").turn(), fill))
        for fill in card.fills
    )


def list_texts(page: Page) -> list[Text]:
    """Every run of a side."""
    return [item for each in page.placed for item in each.items if isinstance(item, Text)]


def write_words(page: Page) -> str:
    """What a side says, in one line."""
    return " ".join(item.text.strip() for item in list_texts(page))


def find_figure(page: Page) -> Text | None:
    """The large figure of a stop's side."""
    return next((item for item in list_texts(page) if item.size_pt >= 140.0), None)


@pytest.mark.parametrize(("starter", "paper", "size_pt"), keep_a_fifth(TURNED, PAPERS, (*SIZES_PT, LARGEST_PT)))
def test_every_fill_has_a_sound_deck_of_six_sides_at_most(starter: Path, paper: str, size_pt: float) -> None:
    """In whole sheets, by the geometric proof."""
    for _, deck in make(starter, paper, size_pt):
        assert len(deck.pages) in {2, 4, 6}
        assert [fault for page in deck.pages for fault in find_faults(page)] == []


@pytest.mark.parametrize(("starter", "size_pt"), keep_a_fifth(TURNED, (*SIZES_PT, LARGEST_PT)))
def test_a_stop_is_one_side_with_its_medicine_dose_and_number(starter: Path, size_pt: float) -> None:
    """The dose and the medicine are never on another side than the figure they could be taken for."""
    for fill, deck in make(starter, "a4", size_pt):
        sides = [page for page in deck.pages if find_figure(page)]
        assert len(sides) == len(fill.panels)
        for panel, page in zip(fill.panels, sides, strict=True):
            figure, words = find_figure(page), write_words(page)
            assert figure is not None
            assert figure.text == render(panel.figure).text
            assert f"{render(panel.medicine).text.removeprefix('add ')}, {render(panel.dose).text}" in words


@pytest.mark.parametrize(("starter", "size_pt"), keep_a_fifth(TURNED, SIZES_PT))
def test_figures_of_two_digits_are_sixty_millimeters_tall_beside_a_close_up(starter: Path, size_pt: float) -> None:
    """The deck's own measure; each stop's side has its picture."""
    for fill, deck in make(starter, "letter", size_pt):
        figures = [figure for page in deck.pages if (figure := find_figure(page))]
        if all(len(figure.text) <= 2 for figure in figures):
            assert all(FIGURE_HEIGHT_EM * convert_pt_to_mm(figure.size_pt) > 59.9 for figure in figures)
        assert sum(element.role == "Figure" for element in deck.elements) == len(fill.panels)


@pytest.mark.parametrize(("starter", "paper"), keep_a_fifth(TURNED, PAPERS))
def test_a_deck_says_large_which_fill_from_its_first_stop_on(starter: Path, paper: str) -> None:
    """In 18 pt and more, where the small words of the foot are 14 pt: loose sides must not be mixed up."""
    for fill, deck in make(starter, paper, 48.0):
        stops = [number for number, page in enumerate(deck.pages) if find_figure(page)]
        for page in deck.pages[stops[0] :]:
            large = " ".join(text.text.strip() for text in list_texts(page) if text.bold and text.size_pt >= 18)
            assert render(fill.title).text in large


@pytest.mark.parametrize(("starter", "paper"), keep_a_fifth(TURNED, PAPERS))
def test_where_the_steps_are_stands_before_the_stops(starter: Path, paper: str) -> None:
    """With air first, where there is air; one sheet more is not taken for it."""
    for fill, deck in make(starter, paper, 40.0):
        first = next(number for number, page in enumerate(deck.pages) if find_figure(page))
        words = " ".join(write_words(page) for page in deck.pages[:first])
        assert "Steps: by sound" in words
        has_air = any(line.id.startswith("air-first") for line in fill.above if isinstance(line, Say))
        assert ("Air first." in words) == has_air


def test_a_close_up_is_as_wide_as_its_room_when_its_lines_are_apart() -> None:
    """With room for longer numbers between its lines it ran over the figure, and no card was made."""
    trial = try_plan(331, 2014, is_text=True)
    assert FORMS["pdf-large"](trial) == []
