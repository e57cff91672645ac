"""Type sizes and spaces of the two readers' pages. Points for type, millimetres for space.

At most three text sizes stand on a patient's page beside the large figures: the fill's name, the body, and (only above
36 pt) the steps. Emphasis is weight and a line of its own, never slant, underline or capitals.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fillcards.plan.print_size import PrintSize
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import measure_width_mm

LINE_PITCH: Final = 1.3
"""Line to line, in type sizes. White space between lines of 25-30 % of the type size: USP <17>, readability."""

TITLE_PITCH: Final = 1.16
"""The fill's name, in large bold type, seldom takes two lines and needs less."""

MARGIN_MM: Final = 15.0
"""Sides and foot: wider than the border home printers cannot reach."""

MAGNET_MM: Final = 22.0
"""Top of a patient's page: kept free for a magnet or a clip."""

BAND_SIDES_MM: Final = 2 * MARGIN_MM + 10.0
"""Margins, frame and padding beside the words of a band."""

LEAST_BODY_PT: Final = 18.0

LEAST_PATIENT_PT: Final = 14.0
LEAST_MAKER_PT: Final = 10.0

SMALL_MARGIN_MM: Final = 6.0
"""Round a small card, and so twice that between two that are cut apart: common practice, no source. Office printers
leave out up to 4 or 5 mm, label printers less."""

STAPLE_MM: Final = 15.0
"""Side of the square in a small card's corner that is kept free for the staple."""

LEAST_SMALL_PT: Final = 12.0
"""On a small card."""

LEAST_STROKE_MM: Final = 0.25
"""On a small card: two dots of a label printer with 203 dots to the inch."""


@dataclass(frozen=True, slots=True)
class TypeSizes:
    """Sizes of one kind of page.

    Attributes:
        fact_pt: what page one says beside the large figures.
        body_pt: everything in running text: steps, points, counts.
        title_pt: headings of level 1.
        heading_pt: headings of level 2 and 3.
        figure_pt: the large figures.
        band_pt: the framed words of an unchecked card, which are for whoever made it.
    """

    fact_pt: float
    body_pt: float
    title_pt: float
    heading_pt: float
    figure_pt: float
    band_pt: float

    @property
    def facts_lead_steps(self) -> bool:
        """Whether the facts of page one are larger than the steps."""
        return self.fact_pt > self.body_pt

    @property
    def line_mm(self) -> float:
        """One line of body text."""
        return measure_pitch_mm(self.body_pt)

    @property
    def gap_mm(self) -> float:
        """Between paragraphs, and between steps."""
        return 0.3 * self.line_mm

    @property
    def fact_gap_mm(self) -> float:
        """Between facts of page one that belong together."""
        return 0.08 * measure_pitch_mm(self.fact_pt)

    @property
    def group_gap_mm(self) -> float:
        """Between the groups of page one: when and whose, the stops, what to do when in doubt."""
        return 0.45 * measure_pitch_mm(self.fact_pt)


class SmallTypeSizes(TypeSizes):
    """Sizes of a small card, whose paper has less white to give away."""

    __slots__ = ()

    @property
    def gap_mm(self) -> float:
        """Between paragraphs, and between steps."""
        return 0.18 * self.line_mm

    @property
    def group_gap_mm(self) -> float:
        """Between the groups of the front."""
        return 0.35 * measure_pitch_mm(self.fact_pt)


def measure_pitch_mm(size_pt: float, pitch: float = LINE_PITCH) -> float:
    """From one line of text to the next."""
    return pitch * convert_pt_to_mm(size_pt)


def choose_patient_sizes(size: PrintSize, band: str | None, page_width_mm: float) -> TypeSizes:
    """Sizes of the patient's pages. The band takes one line where it can without going under the least body size."""
    band_pt = size.body_pt
    while band and band_pt > LEAST_BODY_PT and measure_width_mm(band, band_pt, True) > page_width_mm - BAND_SIDES_MM:
        band_pt -= 1.0
    return TypeSizes(
        size.body_pt, size.step_pt, size.when_pt, size.step_pt, size.figure_pt, max(band_pt, LEAST_BODY_PT)
    )


def choose_maker_sizes() -> TypeSizes:
    """Sizes of the maker's page: read at a desk by someone who prints and checks all day."""
    return TypeSizes(11.0, 11.0, 20.0, 13.0, 20.0, 13.0)
