"""The sides of a small card: what stands at the top and foot of each, and the corners that are kept free.

A card is stapled through one corner. On its front that is the top left one, on its back the top right one; a later side
keeps both free, so that it may be the back of the card or a leaf of its own. The fill's name stands between.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fillcards.card.model import Block, Card, FillSheets, Heading, Paragraph
from fillcards.catalogue.model import Paper
from fillcards.layout.blocks import make_band, set_block
from fillcards.layout.flow import measure_parts_mm, place_parts
from fillcards.layout.model import Box, Element, Page, Placed
from fillcards.layout.parts import Part, merge_marks, move_placed, place_lines
from fillcards.layout.setter import Setter, space_parts
from fillcards.layout.sheets import EMPTY_SIDE
from fillcards.layout.sizes import LEAST_SMALL_PT, SMALL_MARGIN_MM, STAPLE_MM, TypeSizes, measure_pitch_mm
from fillcards.typeface import measure_width_mm, wrap_text

BESIDE_STAPLE_MM: Final = 1.5
"""White between the staple's corner and what stands next to it."""

HEAD_X_MM: Final = STAPLE_MM + BESIDE_STAPLE_MM
BODY_TOP_MM: Final = STAPLE_MM + BESIDE_STAPLE_MM


@dataclass(frozen=True, slots=True)
class Side:
    """What one side holds. ``has_own_band``: the band is among the parts, in a column beside a tall picture."""

    parts: list[Part]
    has_own_band: bool = False


class SmallSides:
    """The sides of one small card while it is being laid out.

    Attributes:
        elements: what was set so far, in reading order; the fill's name is the first.
        band: words that every side carries.
        width_mm: of the text.
        room_mm: height for blocks on the first side; ``later_room_mm`` on the sides after it, and ``picture_room_mm``
            on one of those that has its band beside its picture.
    """

    def __init__(self, fill: FillSheets, card: Card, setter: Setter, paper: Paper, *, is_draft: bool = False) -> None:
        """Set what every side has. In a draft pictures are as large as they will be, and empty."""
        self.is_draft = is_draft
        self.setter = setter
        self.elements: tuple[Element, ...] = ()
        self._foot = card.foot
        self._page_mm = float(paper.width_mm), float(paper.height_mm)
        self.width_mm = self._page_mm[0] - 2 * SMALL_MARGIN_MM
        self._foot_y_mm = self._page_mm[1] - SMALL_MARGIN_MM - measure_pitch_mm(LEAST_SMALL_PT)
        self._title = self._set_title(fill)
        self._head = self._make_running_head(fill)
        self.band = card.band
        self._band = None if card.band is None else make_band(card.band, self.sizes.band_pt, self.width_mm, None)
        bottom_mm = self._foot_y_mm - self.sizes.gap_mm
        self._top_mm = max(BODY_TOP_MM, SMALL_MARGIN_MM + measure_parts_mm(self._title) + self.sizes.gap_mm)
        self._head_bottom_mm = max(BODY_TOP_MM, SMALL_MARGIN_MM + measure_parts_mm(self._head))
        self._later_top_mm = self._head_bottom_mm + self.sizes.gap_mm
        if self._band is not None:
            self._later_top_mm += self._band.height_mm + self.sizes.gap_mm
        self.room_mm = bottom_mm - self._top_mm
        self.later_room_mm = bottom_mm - self._later_top_mm
        self.picture_room_mm = bottom_mm - self._head_bottom_mm - self.sizes.gap_mm

    @property
    def sizes(self) -> TypeSizes:
        """The setter's, whose figures may change until they fit."""
        return self.setter.sizes

    def set(self, block: Block, width_mm: float | None = None) -> tuple[Part, ...]:
        """Set a block across the whole width, unless told how wide, and remember its elements."""
        done = set_block(self.setter, block, width_mm or self.width_mm)
        self.elements += done.elements
        return done.parts

    def mark_place(self) -> tuple[int, tuple[Element, ...]]:
        """Where setting has come to, for ``go_back``."""
        return self.setter.next_mark, self.elements

    def go_back(self, place: tuple[int, tuple[Element, ...]]) -> None:
        """Forget what was set since then: it did not fit."""
        self.setter.next_mark, self.elements = place

    def make_pages(self, sides: list[Side], fill_number: int, *, has_backs: bool) -> list[Page]:
        """A page for each side; where cards have backs, an empty one if the number would be odd."""
        whole = [*sides, Side([])] if has_backs and len(sides) % 2 else sides
        return [
            self._make_page(side, position, len(whole), fill_number) for position, side in enumerate(whole, start=1)
        ]

    def _set_title(self, fill: FillSheets) -> tuple[Part, ...]:
        title = next(block for block in fill.front if isinstance(block, Heading))
        return space_parts(self.set(title, self._page_mm[0] - SMALL_MARGIN_MM - HEAD_X_MM), 0.0)

    def _make_running_head(self, fill: FillSheets) -> tuple[Part, ...]:
        """Name and lines between the two corners; a repeat, so it is not read aloud again."""
        size_pt, width_mm = self.sizes.body_pt, self._page_mm[0] - 2 * HEAD_X_MM
        lines = (wrap_text(text, size_pt, True, width_mm) for text in (fill.name, fill.running_lines))
        placed = (place_lines(each, size_pt, bold=True, mark=None) for each in lines)
        return tuple(Part(each.box.height_mm, (each,)) for each in placed)

    def _make_page(self, side: Side, position: int, count: int, fill_number: int) -> Page:
        width_mm, height_mm = self._page_mm
        corners = [Box(0.0, 0.0, STAPLE_MM, STAPLE_MM)]
        if position == 1:
            placed, top_mm = place_parts(self._title, HEAD_X_MM, SMALL_MARGIN_MM), self._top_mm
        else:
            placed, top_mm = self._place_head(side)
            corners.append(Box(width_mm - STAPLE_MM, 0.0, STAPLE_MM, STAPLE_MM))
        placed += place_parts(side.parts or [self._make_empty_note()], SMALL_MARGIN_MM, top_mm)
        return Page(
            width_mm,
            height_mm,
            (*merge_marks(placed), *self._place_foot(position, count)),
            fill_number,
            small_cards=(Box(0.0, 0.0, width_mm, height_mm),),
            free=tuple(corners),
        )

    def _place_head(self, side: Side) -> tuple[tuple[Placed, ...], float]:
        """What stands above a later side's own blocks, and where those begin."""
        placed = place_parts(self._head, HEAD_X_MM, SMALL_MARGIN_MM)
        band_mm = self._head_bottom_mm + self.sizes.gap_mm
        if side.has_own_band or self._band is None:
            return placed, band_mm
        return placed + place_parts((self._band,), SMALL_MARGIN_MM, band_mm), self._later_top_mm

    def _make_empty_note(self) -> Part:
        note = place_lines((EMPTY_SIDE,), self.sizes.body_pt, bold=False, mark=None)
        return Part(note.box.height_mm, (note,))

    def _place_foot(self, position: int, count: int) -> tuple[Placed, ...]:
        """The card's code and date, and the page count. In the least type, so that there is always room for both."""
        size_pt = LEAST_SMALL_PT
        right = f"page {position} of {count}"
        right_x_mm = self.width_mm - measure_width_mm(right, size_pt, False)
        return tuple(
            move_placed(
                place_lines((text,), size_pt, bold=False, mark=None, x_mm=x_mm), SMALL_MARGIN_MM, self._foot_y_mm
            )
            for text, x_mm in ((self._foot, 0.0), (right, right_x_mm))
        )


def set_facts(blocks: tuple[Block, ...], sides: SmallSides, width_mm: float | None = None) -> list[Part]:
    """Facts that follow one another stand close, as one group; the first stands apart from what is above it."""
    parts: list[Part] = []
    for before, block in zip((None, *blocks), blocks, strict=False):
        done = sides.set(block, width_mm)
        if isinstance(block, Paragraph):
            is_apart = not isinstance(before, Heading | Paragraph)
            done = space_parts(done, sides.sizes.group_gap_mm if is_apart else sides.sizes.fact_gap_mm)
        parts += done
    return parts
