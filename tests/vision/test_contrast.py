"""Contrast of everything on a patient's page, by the arithmetic of WCAG 2.1."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.contrast import contrast_ratio, measure_luminance, parse_colour
from support.plans import STARTERS

from fillcards.layout.model import Box
from fillcards.layout.proof import measure_item_box
from fillcards.picture.items import Dot, Ink, Item, Polygon, Text
from fillcards.pipeline import place_regimen, read_regimen_file

WHITE = (1.0, 1.0, 1.0)


# wcag-2.1, relative luminance, worked out.
@pytest.mark.parametrize(
    ("colour", "ratio", "ease"),
    [
        ("#000000", 21.0, 1e-9),
        ("#767676", 4.54, 0.01),
        ("#777777", 4.48, 0.01),
        ("#595959", 7.00, 0.01),
        ("#5A5A5A", 6.90, 0.01),
    ],
)
def test_published_ratios(colour: str, ratio: float, ease: float) -> None:
    """Black is 21 to 1 on white; the greys lie on the sides of 4.5 and 7 where they are published to lie."""
    found = contrast_ratio(parse_colour(colour), WHITE)
    assert found == pytest.approx(ratio, abs=ease)
    assert (found >= 4.5) == (ratio >= 4.5)
    assert (found >= 7) == (ratio >= 7)


@pytest.mark.parametrize(("colour", "luminance"), [("#800080", 0.06147707), ("#0000FF", 0.0722)])
def test_published_luminance(colour: str, luminance: float) -> None:
    """The luminance of purple and of blue (documentation of a colour library)."""
    assert measure_luminance(parse_colour(colour)) == pytest.approx(luminance, abs=1e-8)


def test_every_ink_is_seven_to_one() -> None:
    """There are two inks, and both have 7:1 on white (SC 1.4.6)."""
    for ink in set(Ink) - {Ink.WHITE}:
        assert contrast_ratio((ink.value,) * 3, WHITE) >= 7


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_a_patients_page_is_black_on_white(path: Path) -> None:
    """All words, lines and shapes of a patient's page are black, or white inside a black bar or disc: with its contrast
    cut by half, black on white still has 10.5 to 1, which is more than the 7 to 1 asked for (SC 1.4.6).
    """
    placed = place_regimen(read_regimen_file(path.read_bytes())).placed
    for page in (page for page in placed.pages if not page.is_staff):
        items = [item for each in page.placed for item in each.items]
        assert {item.ink for item in items} <= {Ink.BLACK, Ink.WHITE}
        bars = [measure_item_box(item) for item in items if is_black_area(item)]
        white = [item for item in items if isinstance(item, Text) and item.ink is Ink.WHITE]
        assert [item for item in white if not any(holds(bar, measure_item_box(item)) for bar in bars)] == []
    assert contrast_ratio((0.0, 0.0, 0.0), WHITE) / 2 >= 7


def is_black_area(item: Item) -> bool:
    """Whether it is a filled shape in black."""
    return item.fill is Ink.BLACK if isinstance(item, Polygon) else isinstance(item, Dot) and item.ink is Ink.BLACK


def holds(bar: Box, words: Box) -> bool:
    """Whether words lie inside a bar."""
    across = bar.x_mm <= words.x_mm and words.right_mm <= bar.right_mm
    return across and bar.y_mm <= words.y_mm and words.bottom_mm <= bar.bottom_mm
