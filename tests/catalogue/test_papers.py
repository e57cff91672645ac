"""Paper sizes against their standards."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fillcards.catalogue.papers import find_paper, load_papers, write_own_size

# ISO 216, A series, in mm (iso-216); size A of ANSI Y14.1 is 8.5 by 11 in (ansi-y14.1). Both from memory.
SIZES_MM = [
    ("a4", "210", "297"),
    ("a5", "148", "210"),
    ("a6", "105", "148"),
    ("letter", "215.9", "279.4"),
    ("half_letter", "139.7", "215.9"),
    ("4x6 in", "101.6", "152.4"),
    ("100 x 150 mm", "100", "150"),
]


@pytest.mark.parametrize(("name", "width", "height"), SIZES_MM)
def test_size(name: str, width: str, height: str) -> None:
    """Each paper has its standard's size, exactly."""
    paper = load_papers()[name]
    assert (paper.width_mm, paper.height_mm) == (Fraction(width), Fraction(height))


def test_every_paper_has_its_size_above() -> None:
    """Each paper of the catalogue stands in the table, and no other; only letter and a4 hold a fridge card."""
    assert load_papers().keys() == {name for name, _, _ in SIZES_MM}
    assert {name for name, paper in load_papers().items() if not paper.is_small} == {"letter", "a4"}


def test_a_series_halves() -> None:
    """Each size of the A series is the next larger one cut across, rounded down to a whole mm (iso-216)."""
    papers = load_papers()
    for larger, smaller in (("a4", "a5"), ("a5", "a6")):
        assert papers[smaller].height_mm == papers[larger].width_mm
        assert papers[smaller].width_mm == papers[larger].height_mm // 2


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [("100 x 140 mm", "100", "140"), ("110.5 x 170 mm", "110.5", "170"), ("210 x 297 mm", "210", "297")],
)
def test_a_small_card_may_have_its_own_size(name: str, width: str, height: str) -> None:
    """Width and height as they are written, and a printer's name for it (lp(1): Custom.WIDTHxLENGTHmm)."""
    paper = find_paper(name)
    assert paper is not None
    assert (paper.width_mm, paper.height_mm, paper.is_small) == (Fraction(width), Fraction(height), True)
    assert paper.media == f"Custom.{width}x{height}mm"


@pytest.mark.parametrize(
    "name",
    ["99 x 140 mm", "100 x 139 mm", "150 x 140 mm", "211 x 297 mm", "110x170 mm", "110 x 170", "110.50 x 170 mm", ""],
)
def test_other_sizes_are_none(name: str) -> None:
    """Too small, too large, longer side first, or written in another way: the name enters the card code."""
    assert find_paper(name) is None


@pytest.mark.parametrize("text", ["110x170", "170 x 110 mm", "110 mm x 170 mm", "110 X 170mm", "110\u00d7170"])
def test_how_people_write_a_size_is_understood_for_a_remedy(text: str) -> None:
    """The one way it is to be written."""
    assert write_own_size(text) == "110 x 170 mm"


def test_a_size_beyond_the_limits_gets_no_remedy() -> None:
    """Nothing near it is meant."""
    assert write_own_size("90x140") == ""
