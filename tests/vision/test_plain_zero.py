"""What the zero gains and loses without its stroke, to an eye of 20/200: drawn by FreeType, seen as in ``seeing``."""

from __future__ import annotations

import runpy
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont
from support.seeing import PIXELS_PER_MM, Ink, blur, halve_contrast, measure_difference, measure_ring

from fillcards.typeface import find_font_file

SCRIPT = runpy.run_path(str(Path(__file__).parents[1] / "typeface" / "make_typeface.py"))
STYLE_OF = {False: "Regular", True: "Bold"}
SIZES = pytest.mark.parametrize(("size_pt", "bold"), [(66.5, False), (100.0, True)], ids=["body", "figure"])
"""Twice the least letter that this eye reads, with the reserve of a card; and a large figure."""


@cache
def see_letter(font_file: Path, letter: str, size_pt: float) -> Ink:
    """A letter in half contrast and blurred."""
    pixels = size_pt * 25.4 / 72 * PIXELS_PER_MM
    image = Image.new("L", (round(pixels * 1.2), round(pixels * 1.4)))
    ImageDraw.Draw(image).text((pixels * 0.2, 0), letter, fill=255, font=ImageFont.truetype(font_file, pixels))
    return blur(halve_contrast(np.asarray(image, dtype=np.float64) / 255.0))


def score(font_file: Path, letters: str, size_pt: float) -> float:
    """How well two letters are told apart, in smallest readable rings."""
    one, other = (see_letter(font_file, letter, size_pt) for letter in letters)
    return measure_difference(one, other, 3.0) / measure_ring()


@SIZES
def test_the_zero_is_farther_from_the_eight(size_pt: float, bold: bool) -> None:
    """The plain zero is told from an 8 by a tenth more than the packaged, slashed one."""
    ours, packaged = find_font_file(bold), SCRIPT["find_packaged_file"](STYLE_OF[bold])
    assert score(ours, "08", size_pt) > 1.1 * score(packaged, "08", size_pt)


@SIZES
def test_the_zero_stays_apart_from_the_letter(size_pt: float, bold: bool) -> None:
    """A plain zero is nearer to the letter O, and still easier to tell from it than the smallest ring's gap is seen."""
    ours, packaged = find_font_file(bold), SCRIPT["find_packaged_file"](STYLE_OF[bold])
    assert 1.0 < score(ours, "0O", size_pt) < score(packaged, "0O", size_pt)
