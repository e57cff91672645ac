"""How large things on a raised page are, so that a finger can tell them apart. Millimetres throughout.

Gaps between elements: 1/8 inch is the absolute least, 1/4 inch is needed on swell paper (``hasty-tactile``). Braille:
``nls-800``. Widths of lines for swell paper were not found in any source; these are common practice. A line or dot on
swell paper comes out wider than it was printed (``swell-growth``): dots are printed smaller by so much, and gaps wider.

Knows nothing of syringes, paper or words. y grows downward.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from fillcards.picture.items import Dot
from fillcards.quantities import MM_PER_INCH
from fillcards.wording.braille import list_dots

LEAST_GAP_MM: Final = float(MM_PER_INCH / 8)
WIDE_GAP_MM: Final = float(MM_PER_INCH / 4)

DOT_SPACING_MM: Final = 2.34
CELL_SPACING_MM: Final = 6.2
LINE_SPACING_MM: Final = 10.0
DOT_DIAMETER_MM: Final = 1.44
"""Braille on paper: dot to dot, cell to cell, line to line, a dot's diameter at its base (``nls-800``, 3.2)."""

LARGE_CELL: Final = 1.3
"""A larger cell by choice: its dots are 3.04 mm apart, over the 2.5 mm at which blind readers with diabetes felt two
points as two (``touch-diabetes``); the published 2.34 mm are under it. The factor is ours."""

SWELL_GROWTH_MM: Final = 0.25
"""Of a printed dot's diameter: 24 pt braille became 29 pt, so 1.19 mm become 1.44 (``swell-growth``)."""
MOST_GROWTH_MM: Final = 0.7

OUTLINE_MM: Final = 1.8
STOP_MM: Final = 2.2
SCALE_LINE_MM: Final = 1.2
TEXTURE_LINE_MM: Final = 1.2
TEXTURE_DOT_MM: Final = 2.4
"""No line is thinner than 1 mm. Texture dots differ from braille by size and distance."""


class Medium(Enum):
    """What makes the page stand up: swell paper in a heater, or an embosser that takes PDF or SVG."""

    SWELL = "swell"
    EMBOSSER = "embosser"


@dataclass(frozen=True, slots=True)
class TactileStyle:
    """The choices for one set of raised pages.

    Attributes:
        growth_mm: how much wider a printed line or dot comes out, all in all.
        large_cell: braille larger by ``LARGE_CELL``.
        raised_digits: ordinary digits beside the stops as well.
    """

    medium: Medium = Medium.SWELL
    growth_mm: float = SWELL_GROWTH_MM
    large_cell: bool = False
    raised_digits: bool = False

    def __post_init__(self) -> None:
        """Refuse a growth that would leave no dot to print."""
        if not 0 <= self.growth_mm <= MOST_GROWTH_MM:
            raise ValueError(f"a growth of {self.growth_mm:g} mm: expected 0 to {MOST_GROWTH_MM:g} mm")

    @property
    def gap_mm(self) -> float:
        """Least gap between two elements as printed."""
        return (WIDE_GAP_MM if self.medium is Medium.SWELL else LEAST_GAP_MM) + self.growth_mm

    @property
    def texture_gap_mm(self) -> float:
        """Between the strokes or dots of one texture, which need not be told apart from each other."""
        return LEAST_GAP_MM + self.growth_mm

    @property
    def dot_mm(self) -> float:
        """Diameter of a braille dot as printed."""
        return DOT_DIAMETER_MM * self._size - self.growth_mm

    @property
    def dot_spacing_mm(self) -> float:
        """From dot to dot in a cell, centre to centre."""
        return DOT_SPACING_MM * self._size

    @property
    def cell_mm(self) -> float:
        """From cell to cell."""
        return CELL_SPACING_MM * self._size

    @property
    def line_mm(self) -> float:
        """From line to line."""
        return LINE_SPACING_MM * self._size

    @property
    def cell_height_mm(self) -> float:
        """Height of the ink of a full cell."""
        return 2 * self.dot_spacing_mm + self.dot_mm

    def measure_width_mm(self, cells: int) -> float:
        """Width of the ink of so many full cells."""
        return (cells - 1) * self.cell_mm + self.dot_spacing_mm + self.dot_mm if cells else 0.0

    def count_cells(self, width_mm: float) -> int:
        """How many cells a width holds."""
        return max(0, int((width_mm - self.dot_spacing_mm - self.dot_mm) / self.cell_mm + 1e-9) + 1)

    @property
    def _size(self) -> float:
        return LARGE_CELL if self.large_cell else 1.0


DEFAULT_STYLE: Final = TactileStyle()


def draw_cells(cells: str, x_mm: float, y_mm: float, style: TactileStyle) -> tuple[Dot, ...]:
    """Braille from its left upper corner: a full first cell's ink would begin exactly there."""
    radius_mm = style.dot_mm / 2
    return tuple(
        Dot(
            x_mm + radius_mm + number * style.cell_mm + (dot > 3) * style.dot_spacing_mm,
            y_mm + radius_mm + (dot - 1) % 3 * style.dot_spacing_mm,
            style.dot_mm,
        )
        for number, cell in enumerate(cells)
        for dot in list_dots(cell)
    )
