"""Widths, coverage and heights against the installed font files, read by fontTools."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from fillcards.problems import InternalFault
from fillcards.typeface import (
    CAP_HEIGHT_EM,
    X_HEIGHT_EM,
    find_font_file,
    find_missing_glyphs,
    measure_width_mm,
)
from fillcards.typeface.metrics import WIDTHS_FILE, load_widths

FONTS: dict[bool, Any] = {bold: TTFont(find_font_file(bold)) for bold in (False, True)}
WEIGHTS = pytest.mark.parametrize("bold", [False, True], ids=["regular", "bold"])


def read_advance_em(character: str, bold: bool) -> float:
    """A character's advance as fontTools reads it."""
    font = FONTS[bold]
    return float(font["hmtx"].metrics[font.getBestCmap()[ord(character)]][0] / font["head"].unitsPerEm)


def read_top_em(character: str, bold: bool) -> float:
    """The highest point of a character's outline."""
    font = FONTS[bold]
    glyphs = font.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[font.getBestCmap()[ord(character)]].draw(pen)
    return float(pen.bounds[3] / font["head"].unitsPerEm)


def test_the_table_is_what_the_script_makes() -> None:
    """The table in the package is, byte for byte, what the script makes of the installed files."""
    script = runpy.run_path(str(Path(__file__).with_name("make_typeface.py")))
    assert WIDTHS_FILE.read_text(encoding="ascii") == script["make_widths"]()


@WEIGHTS
@given(text=st.text(alphabet=sorted(load_widths()[0]), max_size=40), size_pt=st.floats(6, 144))
def test_width_is_the_sum_of_advances(bold: bool, text: str, size_pt: float) -> None:
    """A text is as wide as the advances fontTools reads, at 25.4/72 mm a point."""
    expected_mm = sum(read_advance_em(character, bold) for character in text) * size_pt * 25.4 / 72
    assert measure_width_mm(text, size_pt, bold) == pytest.approx(expected_mm, abs=1e-9)


@WEIGHTS
def test_heights(bold: bool) -> None:
    """Heights of x and H are those of the outlines, and both weights share them."""
    assert read_top_em("x", bold) == X_HEIGHT_EM
    assert read_top_em("H", bold) == CAP_HEIGHT_EM


@WEIGHTS
def test_what_cards_need_is_there(bold: bool) -> None:
    """Letters, figures and signs of the cards, and names with Western and Central European accents, are there."""
    needed = "ABCXYZabcxyz0123456789 .,:;·+=-–/()%°½¼\N{MINUS SIGN}×’“”" + "ÀÉÎÕÜßçñøŁőŠž"
    assert find_missing_glyphs(needed, bold) == ""


@WEIGHTS
def test_missing_ones_are_named_once(bold: bool) -> None:
    """What the typeface lacks, and what nothing here could place, comes back once each in its order."""
    text = "A→אa\u0301→\u00ad☐\n"
    assert find_missing_glyphs(text, bold) == "→א\u0301\u00ad☐\n"


@WEIGHTS
def test_coverage_is_the_fonts_own(bold: bool) -> None:
    """No character of the table maps to the empty box in the font file."""
    names = FONTS[bold].getBestCmap()
    assert [c for c in load_widths()[bold] if names.get(ord(c), ".notdef") == ".notdef"] == []


def test_measuring_what_is_missing_is_our_fault() -> None:
    """A missing character cannot be measured; the message names it by number only."""
    with pytest.raises(InternalFault, match=r"U\+2192"):
        measure_width_mm("line → 8", 18)
