"""Claims about the ink of the letters, read from the font files with fontTools."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont

from fillcards.readback.looks import ASCENDER_EM, RINGED
from fillcards.typeface import ACCENT_EM, DESCENDER_EM, find_font_file

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789ÀÁÂÄÅÉÈÊËÍÖÓÔÜÚÑ.,:;?!()/·+=-%°"


@pytest.mark.parametrize("bold", [False, True])
def test_no_letter_leaves_the_room_a_line_gives_it(bold: bool) -> None:
    """The tallest accent and the deepest letter are within the constants, and one of each comes near."""
    font = TTFont(find_font_file(bold))
    em = font["head"].unitsPerEm
    glyphs = [font["glyf"][font.getBestCmap()[ord(letter)]] for letter in LETTERS]
    highest = max(glyph.yMax for glyph in glyphs) / em
    lowest = -min(glyph.yMin for glyph in glyphs) / em
    assert ACCENT_EM - 0.03 <= highest <= ACCENT_EM
    assert DESCENDER_EM - 0.03 <= lowest <= DESCENDER_EM


@pytest.mark.parametrize("bold", [False, True])
def test_accents_of_small_letters_but_a_ring_rise_no_higher_than_plain_ones(bold: bool) -> None:
    """The readback looks for them no higher, where a step's number may stand."""
    font = TTFont(find_font_file(bold))
    characters = {chr(code): font["glyf"][name] for code, name in font.getBestCmap().items()}
    highest = {
        letter: glyph.yMax for letter, glyph in characters.items() if letter.islower() and glyph.numberOfContours
    }
    tall = {letter for letter, y_max in highest.items() if y_max > ASCENDER_EM * font["head"].unitsPerEm}
    assert tall <= RINGED
