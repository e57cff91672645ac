"""What carries meaning in a picture is still told apart by an eye of 20/200, on a copy, in half contrast.

The measure, its sources and its assumptions stand in ``support.seeing``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from support.seeing import (
    PIXELS_PER_MM,
    WEAK_EYE,
    Ink,
    blur,
    copy,
    draw_ring,
    halve_contrast,
    measure_difference,
    measure_ring,
)
from vision import score_digits
from vision.score_digits import FEARED, FIGURE
from vision.score_digits import score_digits as list_confusions

from fillcards.catalogue.near_vision import NearAcuity
from fillcards.picture.items import Drawing
from fillcards.picture.kit import Region, fill, point_up
from fillcards.picture.pen import Pen, make_ink_pen
from fillcards.picture.scene import Filling

TABLES = [
    (score_digits.TABLE, score_digits.write_table),
]
NUMBER = re.compile(r"\d+(?:\.\d+)?")
SHEET_MM = 40.0
PATCH_MM = (12.0, 9.0)
LEAST_SCORE = 2.5
"""Each two are two and a half times as different as the smallest readable rings."""
EASE = 0.11
"""Scores are written to 0.05; another machine's renderer may move one by as much again."""


def is_current(there: str, now: str) -> bool:
    """The same words, and numbers alike within ``EASE``, or within one for a percentage."""
    if NUMBER.sub("#", there) != NUMBER.sub("#", now):
        return False
    numbers = zip(NUMBER.findall(there), NUMBER.findall(now), strict=True)
    return all(abs(float(a) - float(b)) <= (EASE if "." in a else 1.0) for a, b in numbers)


@pytest.mark.parametrize(("path", "write"), TABLES, ids=lambda value: value.stem if isinstance(value, Path) else "")
def test_table_is_what_the_code_measures_today(path: Path, write: Callable[[], str]) -> None:
    """The committed table shows the digits the package really sets."""
    assert is_current(path.read_text(encoding="utf-8"), write())


def test_an_old_table_is_noticed() -> None:
    """Another score or another word makes a table old; a rounding does not."""
    assert is_current("dots 2.90 at 24%", "dots 3.00 at 25%")
    assert not is_current("dots 2.90 at 24%", "dots 3.10 at 24%")
    assert not is_current("dots 2.90", "strokes 2.90")


def see_filling(filling: Filling, pen: Pen) -> Ink:
    """A piece of a barrel's liquid, cut out of a larger sheet of it after the copier, as the weak eye sees it."""
    region = Region(0.5, SHEET_MM - 0.5, 0.5, SHEET_MM - 0.5)
    sheet = copy(Drawing(SHEET_MM, SHEET_MM, tuple(fill(point_up(), filling, region, pen))))
    width, height = (round(length * PIXELS_PER_MM) for length in PATCH_MM)
    top, left = (sheet.shape[0] - height) // 2, (sheet.shape[1] - width) // 2
    return blur(halve_contrast(sheet[top : top + height, left : left + width]))


@pytest.mark.parametrize("reader_pt", [18, 24, 36])
def test_fillings_are_told_apart(reader_pt: int) -> None:
    """Empty, slanted and dotted stay apart at 20/200, in what each reader's own pen draws."""
    pen = make_ink_pen(reader_pt)
    first, second = see_filling(Filling.FIRST, pen), see_filling(Filling.SECOND, pen)
    for one, other in ((first, second), (first, np.zeros_like(first)), (second, np.zeros_like(second))):
        assert measure_difference(one, other) >= LEAST_SCORE * measure_ring()


def test_two_fillings_alike_are_noticed() -> None:
    """Dots as dark as the slants would not pass."""
    pen = make_ink_pen(18)
    dark = pen._replace(dot_mm=1.8 * pen.gap_mm, dot_pitch_mm=3.4 * pen.gap_mm)
    first, second = see_filling(Filling.FIRST, pen), see_filling(Filling.SECOND, dark)
    assert measure_difference(first, second) < LEAST_SCORE * measure_ring()


def test_no_digit_of_the_large_figures_is_taken_for_another() -> None:
    """All 45 pairs, among them the slashed zero and the 8, 6 and 8, 3 and 8, 1 and 7."""
    told = list_confusions(WEAK_EYE, FIGURE)
    assert len(told) == 45
    assert set(FEARED) <= {(each.one, each.other) for each in told}
    assert min(each.score for each in told) >= score_digits.LEAST_SCORE


def test_the_unit_is_the_smallest_readable_ring() -> None:
    """A ring is no different from itself, one unit from the turned one, and the unit grows with the ring."""
    right, up = (blur(draw_ring(WEAK_EYE, gap)) for gap in (0, 90))
    assert measure_difference(right, right) == pytest.approx(0, abs=1e-5)
    assert measure_difference(right, up) == measure_ring() > 0
    # The same shape seen from half as far, twice as large: twice the root of the area.
    near = NearAcuity("", WEAK_EYE.logmar, WEAK_EYE.distance_mm / 2)
    assert measure_ring(WEAK_EYE) == pytest.approx(2 * measure_ring(near), rel=0.03)


def test_ring_has_the_measures_of_the_standard() -> None:
    """ISO 8596: outer diameter five strokes, gap one stroke wide; 5.82 mm at 20/200 and 40 cm."""
    ring = draw_ring(WEAK_EYE, 0)
    dots_per_mm = 300 / 25.4
    middle = ring.shape[0] // 2
    height = ring[:, middle].sum() / 2 * 5  # two strokes in the middle column, a fifth of the height each
    assert height / dots_per_mm == pytest.approx(5.818, rel=0.01)
    assert ring[:, :middle].any(axis=1).sum() / dots_per_mm == pytest.approx(5.818, rel=0.03)
    # In the column that cuts the right stroke in half, the gap is what is left out of the middle.
    stroke = ring[:, round(middle + 0.8 * height / 2)]
    inside = stroke[middle - round(height / 4) : middle + round(height / 4)]
    assert len(inside) - inside.sum() == pytest.approx(height / 5, rel=0.05)


def test_blur_takes_a_grating_at_the_limit() -> None:
    """A grating whose half period is the angle of resolution keeps under 2 % of its contrast; one ten times coarser
    keeps over 90 %: the blurred eye is no better than 20/200, and sees coarse things as they are.
    """

    def keep(period_mm: float) -> float:
        x = np.arange(1200) / (300 / 25.4)
        grating = np.tile(0.5 + 0.5 * np.sin(2 * np.pi * x / period_mm), (60, 1))
        seen = blur(np.pad(grating, ((600, 600), (0, 0)), mode="edge"))
        centre = seen[seen.shape[0] // 2, 500:900]
        return float(centre.max() - centre.min())

    limit_mm = 2 * 400 * np.tan(np.radians(10 / 60))
    assert keep(limit_mm) < 0.02
    assert keep(10 * limit_mm) > 0.9
