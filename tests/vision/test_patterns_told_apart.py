"""What carries meaning in a picture is still told apart by an eye of 20/200, on a copy, in half contrast.

The measure, its sources and its assumptions stand in ``support.seeing``; the tables beside this file show every
candidate, the chosen and the rejected.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from support.seeing import WEAK_EYE, blur, draw_ring, measure_difference, measure_ring
from vision import score_digits, score_patterns, score_stops
from vision.score_digits import FEARED, FIGURE
from vision.score_digits import score_digits as list_confusions
from vision.score_patterns import CHOSEN, list_pairs, score_pair
from vision.score_stops import ARROW, PASSED, TAG, list_framed, list_others, score_marks

from fillcards.catalogue.near_vision import NearAcuity

TABLES = [
    (score_patterns.TABLE, score_patterns.write_table),
    (score_stops.TABLE, score_stops.write_table),
    (score_digits.TABLE, score_digits.write_table),
]
NUMBER = re.compile(r"\d+(?:\.\d+)?")
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
    """The committed table shows the patterns and marks the package really draws."""
    assert is_current(path.read_text(encoding="utf-8"), write())


def test_an_old_table_is_noticed() -> None:
    """Another score or another word makes a table old; a rounding does not."""
    assert is_current("dots 2.90 at 24%", "dots 3.00 at 25%")
    assert not is_current("dots 2.90 at 24%", "dots 3.10 at 24%")
    assert not is_current("dots 2.90", "strokes 2.90")


def test_the_chosen_patterns_win() -> None:
    """Of all pairs that may be chosen, the two in use are told apart best, by at least 5 %."""
    allowed = [pair for pair in list_pairs() if not any(each.rejected for each in pair)]
    scores = {pair: score_pair(*pair, WEAK_EYE).worst for pair in allowed}
    chosen = scores.pop(CHOSEN)
    assert chosen >= score_patterns.LEAST_LEAD * max(scores.values())


def test_the_chosen_patterns_are_told_apart() -> None:
    """Empty, first liquid and mixture are each two and a half times as different as the smallest readable rings."""
    assert score_pair(*CHOSEN, WEAK_EYE).worst >= score_patterns.LEAST_SCORE


def test_better_eyes_have_more_than_the_shade() -> None:
    """At 20/40 strokes and dots differ clearly even where a copy made both the same grey."""
    assert score_pair(*CHOSEN, NearAcuity("20/40 at 40 cm", 0.30103, 400)).structure >= 5


def test_the_chosen_marks_win() -> None:
    """The arrow is furthest from the passed line, the tag furthest from the arrow, each by at least 5 %."""
    bare = max(score_marks(name, PASSED) for name in list_others(ARROW, *list_framed()))
    assert score_marks(ARROW, PASSED) >= score_stops.LEAST_LEAD * bare
    other = max(score_marks(name, ARROW) for name in list_others(ARROW, TAG))
    assert score_marks(TAG, ARROW) >= score_stops.LEAST_LEAD * other


def test_the_chosen_marks_are_told_apart() -> None:
    """Any two of the three marks are three times as different as the smallest readable rings."""
    scores = [score_marks(*pair) for pair in ((ARROW, TAG), (ARROW, PASSED), (TAG, PASSED))]
    assert min(scores) >= score_stops.LEAST_SCORE


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
    """ISO 8596: outer diameter five strokes, gap one stroke wide; 5.82 mm at 20/200 and 40 cm (facts 8.3)."""
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
