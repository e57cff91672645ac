"""Margins and least sizes of every side, and the table of page styles: which front, how many steps serve which size.

Points for type, millimetres for space. Choosing is a pure function of the reader's size and of what must fit.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from fillcards.plan.print_size import LARGEST_STEPS_PT
from fillcards.regimen.languages import ENGLISH

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
"""Up to this size of the reader the foot may be of the least size; above, foot and band are of the reader's own where a
side has the room, and at least 14 pt."""
LEAST_SMALL_PT: Final = 12.0
LEAST_SMALL_FOOT_PT: Final = 9.0
LEAST_STAFF_PT: Final = 10.0

FINE_MM_PER_PT: Final = 0.07
"""A reader needs the lines of a scale so far apart, for each point of type."""

LEAST_STROKE_MM: Final = 0.25
"""On a small card: two dots of a label printer with 203 dots to the inch."""


class StepSpacing(NamedTuple):
    """Room in and between the rows of steps.

    Attributes:
        pitch: from line to line of the words, in type sizes.
        row_gap_mm: above and below what stands in a row.
        picture_gap_em: white between a picture and its words, in type sizes.
        has_edge: whether the words of a column begin at one edge, its widest picture's.
        is_close: whether words stand as close to a narrow picture as to any other.
    """

    pitch: float
    row_gap_mm: float
    picture_gap_em: float
    has_edge: bool = False
    is_close: bool = False


SMALL_SPACING: Final = StepSpacing(1.12, 0.6, 0.2)
NARROW_SPACING: Final = StepSpacing(1.12, 0.6, 0.45)
"""Of one column on a small card: its words stand beside every picture, and a number must not read on into them."""
TIGHT_SMALL: Final = StepSpacing(1.055, 0.25, 0.2)
"""Of a small card whose words would need another sheet else."""
SPACINGS: Final = (
    StepSpacing(1.12, 1.6, 0.8, has_edge=True),
    StepSpacing(1.12, 1.0, 0.7, has_edge=True),
    StepSpacing(1.08, 0.8, 0.6, has_edge=True),
    StepSpacing(1.08, 0.8, 0.6),
    StepSpacing(1.04, 0.5, 0.5, is_close=True),
    StepSpacing(1.0, 0.52, 0.5, is_close=True),
    StepSpacing(1.0, 0.52, 0.43, is_close=True),
)
"""Of a large card, best first. The last serve readers of 19 and 20 pt; 0.43 is 3 mm for the latter: a number of a
close-up must not read on into the words beside it. Lines that stand so close reach out of their height, 0.34 mm for
20 pt, and the rule between rows is 0.35 mm thick."""

TIGHT_LARGE: Final = StepSpacing(1.0, 0.9, 0.5, is_close=True)
"""Of the largest type, where words of a front go on the other sides: rules need more room there from the lines."""


class Look(NamedTuple):
    """How wide the barrels of a poster are, in parts of what all are at least, and how large the words beside them."""

    bore: float
    words_pt: float


class PosterSizes(NamedTuple):
    """Measures of a poster's panels: type in points, all else in mm.

    Attributes:
        order_pt: of the order words, on a large card to be read from a metre away.
        figures_pt: of the figures, for one panel and for two; the first that fits. The same for all readers up to
            36 pt, so that no figure falls as the type grows.
        long_figures_pt: where three digits or a point must fit.
        words_pt: least size of the words beside a stop; 0 for the body's.
        looks: ways to be tried first, for one panel and for two, best first, since nothing gives way to them: the
            barrel's bore in parts of ``bore_mm``, and the least size of the words.
        bore_mm: width inside a barrel; wider than to scale, so that the picture leads.
        arrow_room_mm: between words and barrel, where an arrow and its elbow stand.
        least_pitch_mm: from one line of a barrel to the next, at least.
        join_mm, join_in_mm: length of the arrow that joins two bars, and how far it reaches into the second.
    """

    order_pt: float
    figures_pt: tuple[tuple[float, ...], tuple[float, ...]]
    long_figures_pt: tuple[tuple[float, ...], tuple[float, ...]]
    words_pt: float = 0.0
    looks: tuple[tuple[Look, ...], tuple[Look, ...]] = ((), ())
    bore_mm: float = 21.0
    panel_gap_mm: float = 3.0
    pad_mm: float = 2.8
    frame_mm: float = 0.8
    total_frame_mm: float = 1.6
    total_pad_mm: float = 3.0
    arrow_mm: float = 1.6
    head_mm: float = 4.5
    arrow_room_mm: float = 6.2
    join_mm: float = 11.0
    join_in_mm: float = 2.6
    least_pitch_mm: float = 0.0

    def scale(self, share: float) -> PosterSizes:
        """The same smaller, for a small card."""
        first, second = (_shrink(sizes, share) for sizes in self.figures_pt)
        long_first, long_second = (_shrink(sizes, share) for sizes in self.long_figures_pt)
        # On the smallest cards only what is drawn shrinks on: closer words would read on into the next panel.
        lengths = {
            name: getattr(self, name) * (share if name in DRAWN_SMALL else max(share, LEAST_SPACE_SHARE))
            for name in self._fields
            if name.endswith("_mm")
        }
        return self._replace(
            order_pt=self.order_pt * share,
            looks=((), ()),
            figures_pt=(first, second),
            long_figures_pt=(long_first, long_second),
            **lengths | {"least_pitch_mm": 2 * LEAST_STROKE_MM},
        )


LEAST_FIGURE_PT: Final = 30.0
"""On the smallest cards a figure stays the largest thing."""
LEAST_SPACE_SHARE: Final = 0.4
DRAWN_SMALL: Final = frozenset(("bore_mm", "arrow_room_mm"))


def _shrink(sizes_pt: tuple[float, ...], share: float) -> tuple[float, ...]:
    return tuple(max(size * share, LEAST_FIGURE_PT) for size in sizes_pt)


LONE_LOOKS: Final = tuple(
    Look(bore, words_pt)
    for bore, words_pt in (
        (2.2, 32.0), (2.0, 30.0), (2.0, 26.0), (1.7, 28.0), (1.7, 24.0), (1.5, 26.0),
        (1.5, 24.0), (1.5, 22.0), (1.3, 24.0), (1.3, 22.0), (1.0, 24.0),
    )
)  # fmt: skip
TWO_LOOKS: Final = tuple(
    Look(bore, words_pt)
    for bore, words_pt in (
        (1.3, 24.0), (1.2, 22.0), (1.2, 20.0), (1.15, 20.0), (1.15, 19.0), (1.1, 20.0), (1.05, 20.0), (1.0, 20.0)
    )
)  # fmt: skip
LARGE_POSTER: Final = PosterSizes(
    24.0,
    ((180.0, 165.0, 150.0, 120.0), (104.0,)),
    ((140.0, 130.0, 120.0, 110.0, 100.0), (84.0,)),
    looks=(LONE_LOOKS, TWO_LOOKS),
)

LEAST_SCENE_PT: Final = 18.0


class Style(NamedTuple):
    """A front and the steps that follow it.

    Attributes:
        name: of the front's sides; ``steps_name`` of the steps'.
        most_pt: largest type of the reader it serves.
        is_poster: a panel for each stop, each with its barrel; else facts beside one barrel, and what the front cannot
            hold may go on the other side.
        step_columns: columns of steps.
        most_sides: of a fill (the table of sides).
        grown_shares: sizes of small pictures to try last, where words and sides leave them room, in parts of those the
            reader's type asks for.
        scene_shares: sizes to try first. With the least, lines of a window still stand 0.07 mm apart for each point.
        spacings: of the steps, to be tried with each of those.
    """

    name: str
    steps_name: str
    most_pt: float
    is_poster: bool
    step_columns: int
    most_sides: int
    grown_shares: tuple[float, ...]
    scene_shares: tuple[float, ...]
    spacings: tuple[StepSpacing, ...]

    def list_step_sizes(self, body_pt: float) -> Iterator[tuple[float, StepSpacing, float]]:
        """Size of pictures, spacing, type size of whom to call at the head, 0 for the least: best first.

        Up to 20 pt pictures may be as for 18 pt.
        """
        shares = self.scene_shares if self.scene_shares else tuple({1.0: None, LEAST_SCENE_PT / body_pt: None})
        calls = (1.0, 0.0) if self.is_poster else (1.0, 0.7, 0.0)
        yield from ((share, spacing, call * body_pt) for call in calls for share in shares for spacing in self.spacings)


GROWN_SHARES: Final = (1.8, 1.65, 1.5, 1.35, 1.3, 1.2, 1.1)
LARGE_SHARES: Final = (1.0, 0.95, 0.9, 0.85, 0.78)
"""The words of two insulins' twelve steps fill the four sides of 28 pt and the six of 36 pt, and a long name or what
a front could not hold takes more: there a picture's cell has no more room, and its height gives way before a side is
added."""
LARGE_SPACINGS: Final = SPACINGS[0], SPACINGS[3]

STYLES: Final = (
    Style("poster", "steps-2x6", 20.0, True, 2, 2, GROWN_SHARES[3:], (), SPACINGS),
    Style("facts-left", "steps-1", 28.0, False, 1, 4, GROWN_SHARES, LARGE_SHARES, LARGE_SPACINGS),
    Style("facts-left-few", "steps-1", 36.0, False, 1, 6, GROWN_SHARES, LARGE_SHARES, (*LARGE_SPACINGS, TIGHT_LARGE)),
)

GROWN_FROM_PT: Final = 29.0
GROWN_SIDES: Final = (8, 10)
"""Of a fill in another language than English, whose words are longer: what six sides do not hold goes on to more."""


def list_styles(body_pt: float, language: str = ENGLISH) -> tuple[Style, ...]:
    """Those that serve a reader's size in a language, best first."""
    styles = tuple(style for style in STYLES if body_pt <= style.most_pt)
    if language == ENGLISH or body_pt < GROWN_FROM_PT:
        return styles
    return (*styles, *(style._replace(most_sides=sides) for sides in GROWN_SIDES for style in styles))


HELPER_PT: Final = 18.0
"""Of the sheet that goes with a deck, for whoever helps."""

VIALS_SIZES_PT: Final = (33.0, 30.0, 28.0, 26.0, 24.0, 22.0, 20.0, 18.0)
"""Of the sheet for all fills, where four sides do not hold it at the reader's size."""
HELPERS_VIALS_PT: Final = 24.0
"""At most, where it is for the helper."""


def list_vials_sizes(body_pt: float) -> tuple[float, ...]:
    """To be tried, largest first: the reader's own as long as they read steps themselves."""
    most_pt = HELPERS_VIALS_PT if body_pt > LARGEST_STEPS_PT else body_pt
    return (most_pt, *(size for size in VIALS_SIZES_PT if size < most_pt))


class SheetStyle(NamedTuple):
    """A sheet that goes with a card: to practice on, to write down on.

    Attributes:
        name: of its sides.
        least_mm: what it may not be smaller than: a practice barrel's scale, a box to write in.
        most_columns: of what stands side by side, or one above the other where barrels are held level.
    """

    name: str
    least_mm: float
    most_columns: int


PRACTICE: Final = SheetStyle("practice", 110.0, 3)
ANSWERS: Final = SheetStyle("answers", 80.0, 6)
LOG: Final = SheetStyle("log", 24.0, 4)
