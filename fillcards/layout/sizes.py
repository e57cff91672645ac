"""Margins and least sizes of every side. Points for type, millimetres for space."""

from __future__ import annotations

from typing import Final

MARGIN_MM: Final = 12.0
"""Sides, top and foot: wider than the border home printers cannot reach."""

MAGNET_MM: Final = 22.0
"""Height of the place that is kept free at the top of a front, beside the title, for a magnet."""

MAGNET_WIDTH_MM: Final = 30.0

SMALL_MARGIN_MM: Final = 6.0
"""Round a small card, and so twice that between two that are cut apart: common practice, no source. Office printers
leave out up to 4 or 5 mm, label printers less."""

STAPLE_MM: Final = 15.0
"""Side of the square in a small card's corner that is kept free for the staple."""

LEAST_PATIENT_PT: Final = 14.0
LEAST_FOOT_PT: Final = 12.0
SMALL_FOOT_TO_PT: Final = 20.0
"""Up to this size of the reader the foot may be of the least size; above, foot and band are as large as their line holds, at least 14 pt."""
LEAST_LARGE_FOOT_PT: Final = 14.0
LEAST_SMALL_PT: Final = 12.0
LEAST_SMALL_FOOT_PT: Final = 9.0
LEAST_MAKER_PT: Final = 10.0

LEAST_STROKE_MM: Final = 0.25
"""On a small card: two dots of a label printer with 203 dots to the inch."""
