"""Our way of measuring an x-height, on a face whose x-height is published."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

DEJAVU = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")
"""Where Debian's ``fonts-dejavu-core`` puts it; no package of the tests brings it."""


@pytest.mark.skipif(not DEJAVU.exists(), reason="needs Debian's fonts-dejavu-core")
def test_x_height_of_dejavu_sans() -> None:
    """The top of the letter x stands at 1120 of 2048 (measured in the file)."""
    font = TTFont(DEJAVU)
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()["x"].draw(pen)
    assert pen.bounds is not None
    assert pen.bounds[3] / font["head"].unitsPerEm == 1120 / 2048 == 0.546875
