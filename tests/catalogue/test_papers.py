"""Paper sizes against their standards."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fillcards.catalogue.papers import load_papers

# ISO 216, A series, in mm (iso-216); size A of ANSI Y14.1 is 8.5 by 11 in (ansi-y14.1). Both from memory.
SIZES_MM = [
    ("a4", "210", "297"),
    ("a5", "148", "210"),
    ("a6", "105", "148"),
    ("letter", "215.9", "279.4"),
    ("half_letter", "139.7", "215.9"),
    ("4x6 in", "101.6", "152.4"),
]


@pytest.mark.parametrize(("name", "width", "height"), SIZES_MM)
def test_size(name: str, width: str, height: str) -> None:
    """Each paper has its standard's size, exactly."""
    paper = load_papers()[name]
    assert (paper.width_mm, paper.height_mm) == (Fraction(width), Fraction(height))


def test_names() -> None:
    """The papers are those the regimen file may name, and only letter and a4 hold a fridge card (design 3.1)."""
    assert load_papers().keys() == {name for name, _, _ in SIZES_MM}
    assert {name for name, paper in load_papers().items() if not paper.is_small} == {"letter", "a4"}


def test_a_series_halves() -> None:
    """Each size of the A series is the next larger one cut across, rounded down to a whole mm (iso-216)."""
    papers = load_papers()
    for larger, smaller in (("a4", "a5"), ("a5", "a6")):
        assert papers[smaller].height_mm == papers[larger].width_mm
        assert papers[smaller].width_mm == papers[larger].height_mm // 2
