"""The PNG read back by Pillow: resolution, true size, and what is asked of the system."""

from __future__ import annotations

import struct
from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from support.placed_cards import A4_MM, LETTER_MM, make_bar_card, make_card

from fillcards.output.pdf import write_pdf
from fillcards.output.png import write_png_pages


def read_levels(png: bytes) -> np.ndarray:
    """Grey levels."""
    with Image.open(BytesIO(png)) as image:
        assert image.mode == "L"
        return np.asarray(image, dtype=float)


def measure_ink_mm(row: np.ndarray, dpi: int) -> float:
    """How much of a row is ink, grey pixels by their share."""
    return float((255 - row).sum()) / 255 * 25.4 / dpi


def read_resolution(png: bytes) -> tuple[int, int, int]:
    """The pHYs chunk: pixels a metre across and down, and the unit (PNG specification, 11.3.5.3)."""
    position = png.index(b"pHYs")
    found: tuple[int, int, int] = struct.unpack(">IIB", png[position + 4 : position + 13])
    return found


@pytest.mark.parametrize("dpi", [150, 300, 600])
def test_png_states_its_resolution(dpi: int) -> None:
    """Pages carry pixels a metre: dpi / 0.0254."""
    expected = (round(dpi / 0.0254), round(dpi / 0.0254), 1)
    assert read_resolution(write_png_pages(write_pdf(make_bar_card()), dpi)[0]) == expected


def test_png_resolution_is_what_pillow_reads() -> None:
    """A reader's own idea of the resolution is ours."""
    with Image.open(BytesIO(write_png_pages(write_pdf(make_bar_card()), 300)[0])) as image:
        assert image.info["dpi"] == pytest.approx((300, 300), abs=0.01)


@pytest.mark.parametrize("page_mm", [LETTER_MM, A4_MM])
@pytest.mark.parametrize("dpi", [150, 300, 433])
def test_png_bar_of_a_page_measures_one_hundred_mm(page_mm: tuple[float, float], dpi: int) -> None:
    """The row through the bar holds 100 mm of ink, on paper that is no whole number of pixels too."""
    levels = read_levels(write_png_pages(write_pdf(make_bar_card(page_mm)), dpi)[0])
    assert measure_ink_mm(levels[round(250 / 25.4 * dpi)], dpi) == pytest.approx(100.0, abs=0.05)


def test_png_has_whole_pixels_around_the_paper() -> None:
    """Letter at 300 dpi is 2550 x 3300 pixels; A4 needs 2481 x 3508 to hold 2480.3 x 3507.9."""
    sizes = []
    for page_mm in (LETTER_MM, A4_MM):
        (png,) = write_png_pages(write_pdf(make_bar_card(page_mm)), 300)
        sizes.append(read_levels(png).shape[::-1])
    assert sizes == [(2550, 3300), (2481, 3508)]


def test_png_has_one_picture_for_each_page() -> None:
    """Two pages, two files, and they differ."""
    first, second = write_png_pages(write_pdf(make_card()), 60)
    assert first != second


def test_png_same_card_same_bytes() -> None:
    """Twice the same."""
    pdf = write_pdf(make_bar_card())
    assert write_png_pages(pdf, 100) == write_png_pages(pdf, 100)
