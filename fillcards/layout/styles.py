"""The table of page styles of the large card: which front and how many steps serve which size of type.

Choosing is a pure function of the reader's size and of what must fit.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from fillcards.layout.sizes import SPACINGS, TIGHT_LARGE, StepSpacing
from fillcards.typeface.faces import LANGUAGES

LEAST_SCENE_PT: Final = 18.0


class Style(NamedTuple):
    """A front and the steps that follow it.

    Attributes:
        name: of the front's sides; ``steps_name`` of the steps'.
        most_pt: largest type of the reader it serves.
        is_poster: a panel for each stop, each with its barrel; else facts beside one barrel.
        step_columns: columns of steps.
        most_sides: of a fill (the table of sides).
        may_spill: whether what a front cannot hold may go on the other side.
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
    may_spill: bool
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

STYLES: Final = (
    Style("poster", "steps-2x6", 20.0, True, 2, 2, False, GROWN_SHARES[3:], (), SPACINGS),
    Style("facts-left", "steps-1", 28.0, False, 1, 4, True, GROWN_SHARES, LARGE_SHARES, (SPACINGS[0], SPACINGS[3])),
    Style(
        "facts-left-few",
        "steps-1",
        36.0,
        False,
        1,
        6,
        True,
        GROWN_SHARES,
        LARGE_SHARES,
        (SPACINGS[0], SPACINGS[3], TIGHT_LARGE),
    ),
)

LARGEST_STEPS_PT: Final = 36.0


GROWN_FROM_PT: Final = 29.0
GROWN_SIDES: Final = (8, 10)
"""Of a fill, where a script's own factor carries a reader's size so far: what six sides do not hold goes on to more."""


def list_styles(body_pt: float, language: str = "en") -> tuple[Style, ...]:
    """Those that serve a reader's size in a language, best first."""
    styles = tuple(style for style in STYLES if body_pt <= style.most_pt)
    if LANGUAGES[language].size == 1 or body_pt < GROWN_FROM_PT:
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
        most_pt: largest type of the reader in which it is made; for others it is the helper's.
        least_mm: what it may not be smaller than: a practice barrel's scale, a box to write in.
        most_columns: of what stands side by side, or one above the other where barrels are held level.
    """

    name: str
    most_pt: float
    least_mm: float
    most_columns: int

    def choose_pt(self, body_pt: float) -> float:
        """Its type size for a reader."""
        return body_pt if body_pt <= self.most_pt else HELPER_PT


PRACTICE: Final = SheetStyle("practice", LARGEST_STEPS_PT, 110.0, 3)
ANSWERS: Final = SheetStyle("answers", LARGEST_STEPS_PT, 80.0, 6)
LOG: Final = SheetStyle("log", LARGEST_STEPS_PT, 24.0, 4)
