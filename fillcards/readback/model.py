"""What was read off a card, as frozen data: pages, pictures, statements. No PDF and no regimen in here.

Lengths in mm; values of a scale are exact in the scale's own numbers; pages count from 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from fillcards.problems import FillcardsError
from fillcards.readback.conventions import (
    FIGURE_LEAST_PT,
    SMALL_FIGURE_LEAST_PT,
    SMALL_TITLE_LEAST_PT,
    TITLE_LEAST_PT,
)
from fillcards.regimen.model import BarrelDirection


class UnreadableCard(FillcardsError):
    """The file is not one whose marks can be read for certain; says why in a few words."""


class PictureKind(Enum):
    """What a drawn scale belongs to."""

    ENLARGED = "enlarged barrel"
    CLOSE_UP = "close-up"
    LIFE_SIZE = "life-size barrel"
    BAR = "bar to measure"


class MarkStyle(Enum):
    """The form of a stop mark."""

    FIRST = "first line"
    TOTAL = "total line"
    NONE = "no mark"


class Liquid(Enum):
    """The pattern in the barrel."""

    FIRST = "strokes"
    MIXTURE = "dots"
    NONE = "empty"


class StopReading(NamedTuple):
    """A stop as drawn.

    Attributes:
        line: the nearest graduation line.
        off_lines: how far the stop is from it, in gaps between lines; away from the needle is positive.
        label: the number at the mark.
        edge_off_lines: likewise for the stopper's edge that is read; ``None``: there is no stopper.
        liquid_short_mm: how far before the stop the liquid's pattern ends.
        counted_dots: dots beside counted lines.
    """

    line: Fraction
    off_lines: float
    style: MarkStyle
    label: Fraction | None
    edge_off_lines: float | None
    liquid: Liquid
    liquid_short_mm: float | None
    counted_dots: int = 0


class PassedReading(NamedTuple):
    """The first line in the second picture: a dashed mark."""

    line: Fraction
    off_lines: float
    label: Fraction | None


class PictureReading(NamedTuple):
    """A scale with what is drawn on it.

    Attributes:
        direction: where the needle points, by the way the numbers grow; ``None``: down.
        has_needle: whether a needle is drawn before the zero line, and none past the last.
        is_consistent: whether every number stands where the others put it.
        numbers: the numbers beside the lines.
        mm_per_number: least squares over the numbers; ``None`` where there is only one.
        residual_mm: the largest distance of a number from that line.
        line_every: from one line to the next.
        first_line, last_line: the values of the outermost lines.
        long_lines: values whose lines are longer than the shortest of the picture.
        length_mm: between the outermost lines.
    """

    page: int
    kind: PictureKind
    direction: BarrelDirection | None
    has_needle: bool
    is_consistent: bool
    numbers: tuple[Fraction, ...]
    mm_per_number: float | None
    residual_mm: float
    line_every: Fraction
    first_line: Fraction
    last_line: Fraction
    long_lines: frozenset[Fraction]
    length_mm: float
    stops: tuple[StopReading, ...]
    passed: tuple[PassedReading, ...]


class Statement(NamedTuple):
    """One thing the card says in words.

    Attributes:
        kind: which of the sentences of ``phrases`` it is; ``other`` for any other.
        text: as printed. It may name the patient and is never shown.
        found: the parts that carry meaning, by the names of the pattern.
        size_pt, bold: how it is set.
        step: the number of the step it is part of.
    """

    page: int
    kind: str
    text: str
    found: Mapping[str, str]
    size_pt: float
    bold: bool
    step: int | None = None

    def __repr__(self) -> str:
        """Nothing of its words: they may name the patient."""
        return f"Statement({self.kind!r} on page {self.page}, {self.size_pt:g} pt)"


class Fault(NamedTuple):
    """Something an eye would miss or trip over, whatever the card is about. Says nothing of the patient's."""

    page: int
    what: str


class PageReading(NamedTuple):
    """One page: its size, and its number within its fill (or among the maker's pages)."""

    number: int
    width_mm: float
    height_mm: float
    is_makers: bool
    position: int | None
    of_pages: int | None


class TableRow(NamedTuple):
    """One row of the maker's table, its cells from left to right."""

    page: int
    cells: tuple[str, ...]


class Sheets(NamedTuple):
    """The pages that belong together: one fill's, those for every fill, or the maker's; or one small card's sides."""

    is_makers: bool
    pages: tuple[int, ...]
    pictures: tuple[PictureReading, ...]
    statements: tuple[Statement, ...]
    is_small: bool = False

    @property
    def figure_least_pt(self) -> float:
        """A bold number at least this large is one of the large figures."""
        return SMALL_FIGURE_LEAST_PT if self.is_small else FIGURE_LEAST_PT

    @property
    def title_least_pt(self) -> float:
        """Bold words at least this large name the fill."""
        return SMALL_TITLE_LEAST_PT if self.is_small else TITLE_LEAST_PT

    def list(self, *kinds: str) -> tuple[Statement, ...]:
        """The statements of these kinds, in the order of the pages."""
        return tuple(statement for statement in self.statements if statement.kind in kinds)


class PaperReading(NamedTuple):
    """One side of paper as it comes out of the printer; several small cards may be on it.

    Attributes:
        is_empty: whether it says that it is left empty, and nothing else.
    """

    width_mm: float
    height_mm: float
    is_makers: bool
    is_empty: bool


class Reading(NamedTuple):
    """Everything a card says. ``papers`` are told of small cards alone."""

    pages: tuple[PageReading, ...]
    sheets: tuple[Sheets, ...]
    table: tuple[TableRow, ...]
    faults: tuple[Fault, ...]
    papers: tuple[PaperReading, ...] = ()

    @property
    def fills(self) -> tuple[Sheets, ...]:
        """The patient's sheets that say where to stop, one a fill."""
        return tuple(sheets for sheets in self.sheets if not sheets.is_makers and sheets.list("stop"))

    @property
    def general(self) -> tuple[Sheets, ...]:
        """The patient's sheets that hold for every fill."""
        return tuple(sheets for sheets in self.sheets if not sheets.is_makers and not sheets.list("stop"))

    @property
    def makers(self) -> tuple[Sheets, ...]:
        """The maker's pages."""
        return tuple(sheets for sheets in self.sheets if sheets.is_makers)


class Difference(NamedTuple):
    """A place where the card does not say what the regimen means. Holds nothing of the patient's.

    Attributes:
        page: 0 where it concerns the whole card.
        what: what was looked at, such as ``first line, large figure``.
    """

    page: int
    what: str
    read: str
    meant: str

    def __str__(self) -> str:
        place = f"page {self.page}" if self.page else "the card"
        return f"{place}, {self.what}: read {self.read}, meant {self.meant}"
