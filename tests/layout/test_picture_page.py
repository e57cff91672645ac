"""A barrel on a page of its own: at scale exactly 1, at least twice life size, with the band of the card."""

from __future__ import annotations

import io
import re

import pypdf
import pytest
from support.regimen_texts import MIXED, change_text

from fillcards import read_regimen
from fillcards.catalogue.papers import load_papers
from fillcards.finishing import write_barrel
from fillcards.layout.barrels import LEAST_ENLARGEMENT, draw_barrels
from fillcards.layout.model import Page
from fillcards.layout.picture_page import place_barrel
from fillcards.layout.proof import measure_item_box
from fillcards.options import Ending
from fillcards.picture.items import Item, move_item
from fillcards.pipeline import PlacedRegimen, place_regimen


@pytest.fixture(scope="module")
def made() -> PlacedRegimen:
    """A card nobody has checked."""
    return place_regimen(read_regimen(MIXED))


def _place(made: PlacedRegimen, fill_number: int, draw_number: int, paper: str = "letter") -> Page:
    (page,) = place_barrel(made.card, fill_number, draw_number, load_papers()[paper]).pages
    return page


def write_rounded(item: Item) -> str:
    """Everything an item is, lengths to a millionth of a millimetre: sums of floats differ by their order."""
    return re.sub(r"-?[0-9]+\.[0-9]+(?:e-[0-9]+)?", lambda number: f"{float(number[0]):.6f}", repr(item))


@pytest.mark.parametrize("draw_number", [1, 2])
def test_the_drawing_is_moved_and_not_scaled(made: PlacedRegimen, draw_number: int) -> None:
    """On a paper too small for more, every item of the barrel drawn twice life size, all moved by one distance."""
    barrels = made.card.fills[0].barrels
    twice_mm = LEAST_ENLARGEMENT * float(barrels.syringe.shortest_scale_length_mm)
    drawing = draw_barrels(barrels, twice_mm)[draw_number - 1].drawing
    page = _place(made, 1, draw_number, "a6")
    (placed,) = (each for each in page.placed if len(each.items) == len(drawing.items))
    dx_mm, dy_mm = placed.box.x_mm, placed.box.y_mm
    moved = [move_item(item, dx_mm, dy_mm) for item in drawing.items]
    assert [write_rounded(item) for item in placed.items] == [write_rounded(item) for item in moved]


def test_nothing_stands_off_the_page(made: PlacedRegimen) -> None:
    """Every item's ink lies inside the page, for every draw of every fill."""
    for fill in made.plan.fills:
        for draw_number in (1, 2):
            page = _place(made, fill.number, draw_number)
            for item in (item for placed in page.placed for item in placed.items):
                box = measure_item_box(item)
                assert min(box.x_mm, box.y_mm) >= 0
                assert box.right_mm <= page.width_mm
                assert box.bottom_mm <= page.height_mm


def test_the_page_goes_onto_the_card_s_paper(made: PlacedRegimen) -> None:
    """The picture with all its words is no larger than a letter sheet, 215.9 mm by 279.4 mm (ANSI/ASME Y14.1)."""
    page = _place(made, 1, 2)
    assert page.width_mm <= 215.9
    assert page.height_mm <= 279.4


def _read_text(made: PlacedRegimen) -> str:
    pdf = write_barrel(made, 1, 2, Ending.PDF)
    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(page.extract_text().split())


def test_an_unchecked_picture_says_so(made: PlacedRegimen) -> None:
    """A picture cut out of an unchecked card carries the same words; a checked one does not."""
    review = f"review:\n  prepared_by: A\n  checked_by: B\n  checked_on: 2026-11-26\n  checked_code: {made.card.code}"
    checked = place_regimen(read_regimen(change_text(MIXED, ("review:", review))))
    assert "Do not use" in _read_text(made)
    assert "Do not use" not in _read_text(checked)


@pytest.mark.parametrize("size_pt", [18, 32])
def test_an_enlarged_picture_says_so(size_pt: int) -> None:
    """Nobody can take the picture for life size without the card around it, whatever the card leaves to its page."""
    text = change_text(MIXED, ("patient:", f"patient:\n  text_size: {size_pt} pt"))
    assert "Your syringe is smaller." in _read_text(place_regimen(read_regimen(text)))
