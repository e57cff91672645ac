"""What an eye would miss on a page is missed by the readback's: a letter that is covered, in any size."""

from __future__ import annotations

from collections.abc import Iterator
from ctypes import c_char_p, c_void_p
from dataclasses import replace
from functools import lru_cache
from itertools import permutations

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from pypdfium2_raw import bindings
from support.finished_cards import read_starter

from fillcards.card.build import build_card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Box, Placed, PlacedCard
from fillcards.layout.small import place_small
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Ink, Polygon, Text
from fillcards.plan.fills import plan_fills
from fillcards.readback.gate import look
from fillcards.readback.looks import MOST_UNLIKE, draw_letter, measure_unlikeness
from fillcards.readback.pdfium import list_functions
from fillcards.regimen.schema import read_regimen
from fillcards.typeface import find_font_file, measure_width_mm

MM_PER_PT = 25.4 / 72


@lru_cache(maxsize=1)
def place() -> PlacedCard:
    """A small card: its letters are the smallest that any card has."""
    return place_small(
        build_card(plan_fills(read_regimen(read_starter("two-insulins-twice-a-day")))), load_papers()["a6"]
    )


def find_letters(letter: str) -> Iterator[tuple[int, Text, int]]:
    """Where a letter stands, once in each size: page, item, place in its words."""
    seen = set()
    for page, text in ((n, i) for n, p in enumerate(place().pages[:2]) for e in p.placed for i in e.items):
        if isinstance(text, Text) and text.ink is Ink.BLACK and text.anchor.value == "start" and letter in text.text:
            if text.size_pt not in seen:
                yield page, text, text.text.index(letter)
            seen.add(text.size_pt)


def cover(page: int, text: Text, at: int) -> bytes:
    """The card with white over one letter's ink, and over no neighbour's."""
    size_mm = text.size_pt * MM_PER_PT
    start = text.x_mm + measure_width_mm(text.text[:at], text.size_pt, text.bold)
    with TTFont(find_font_file(text.bold)) as font:
        pen = BoundsPen(glyphs := font.getGlyphSet())
        glyphs[font.getBestCmap()[ord(text.text[at])]].draw(pen)
        em = font["head"].unitsPerEm
    left, right = (start + edge * size_mm / em for edge in pen.bounds[::2])
    bottom, top = (text.y_mm - edge * size_mm / em for edge in pen.bounds[1::2])
    patch = Polygon(((left, top), (right, top), (right, bottom), (left, bottom)), Ink.WHITE)
    pages = list(place().pages)
    over = Placed(Box(20.0, 20.0, 10.0, 10.0), (patch,), None, may_overlap=True)
    pages[page] = pages[page]._replace(placed=(*pages[page].placed, over))
    return write_pdf(replace(place(), pages=tuple(pages)))


def test_nothing_is_missed_on_a_right_card() -> None:
    """Every letter looks as it reads."""
    assert not look(write_pdf(place())).faults


@pytest.mark.parametrize("letter", [".", ",", "l", "1", "5"])
def test_a_covered_letter_is_missed_in_every_size(letter: str) -> None:
    """A point no less than a digit: 2.5 without it is 25."""
    places = list(find_letters(letter))
    assert places
    for page, text, at in places:
        faults = look(cover(page, text, at)).faults
        assert any("does not look as it reads" in fault for fault in faults), (text.text, text.size_pt)


@pytest.mark.parametrize(("size_pt", "dpi"), [(9.0, 150), (12.0, 96), (14.0, 96), (18.0, 96), (24.0, 96), (24.0, 150)])
@pytest.mark.parametrize("bold", [False, True])
def test_no_two_digits_are_nearer_than_twice_what_may_differ(bold: bool, size_pt: float, dpi: int) -> None:
    """So a digit that passes is nearer to itself than to any other."""
    high = round(0.7 * size_pt * dpi / 72)
    drawn = [draw_letter(digit, bold, size_pt, dpi, high, 2) for digit in "0123456789"]
    apart = [measure_unlikeness(a.mask, b.mask) for a, b in permutations(drawn, 2) if a.width == b.width]
    assert min(apart) > 2 * MOST_UNLIKE


def test_pdfium_is_called_as_its_own_bindings_call_it() -> None:
    """What each function gives back and is given; a pointer is an address whatever it points at."""
    for name, kinds in list_functions():
        function = getattr(bindings, name)
        for one, other in zip(kinds, (function.restype, *function.argtypes), strict=True):
            is_address = hasattr(other, "contents") or other in {c_char_p, c_void_p}
            assert one is (c_void_p if is_address else other), name
