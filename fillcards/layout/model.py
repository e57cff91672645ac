"""Placed pages: what stands where on paper, in mm at scale exactly 1, and the structure it belongs to.

Outputs read this and nothing of the card, but for html, text and braille, which read the card and nothing of this.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from fillcards.picture.items import Item


class Box(NamedTuple):
    """A rectangle on the page; origin top left, y downward."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        """The right edge."""
        return self.x_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """The lower edge."""
        return self.y_mm + self.height_mm


class Placed(NamedTuple):
    """Items that belong together, with the box that holds all of them.

    Attributes:
        mark: the number by which the structure tree refers to these items; ``None`` for what is not read aloud
            (rules, frames, running heads): an artifact.
        items: in page coordinates, in paint order.
        may_overlap: whether the box is a frame around others (a band's border), exempt from the proof apart.
    """

    box: Box
    items: tuple[Item, ...]
    mark: int | None
    may_overlap: bool = False


class Page(NamedTuple):
    """One side of one sheet. ``fill_number`` is ``None`` on pages that belong to no one fill.

    Attributes:
        is_staff: for those who print, check and teach; its type may be smaller.
        small_cards: of a side of small cards, the box of each: one that fills the page, or several to be cut apart.
        free: places where nothing may stand: for a magnet on a front, for the staple on a small card.
        section: sides that are printed on both sides together and count their own pages, such as ``fill 1``.
        side: the page style, such as ``poster-two``.
        running: marks of its head and foot that may stand on other sides as well; a front's head is its own.
        body_pt: of its running text.
        line_gap_mm: of a front, from one line of the scale to the next on its barrels; 0 elsewhere.
    """

    width_mm: float
    height_mm: float
    placed: tuple[Placed, ...]
    fill_number: int | None
    is_staff: bool = False
    small_cards: tuple[Box, ...] = ()
    free: tuple[Box, ...] = ()
    section: str = ""
    side: str = ""
    running: tuple[int, ...] = ()
    body_pt: float = 0.0
    line_gap_mm: float = 0.0


class Element(NamedTuple):
    """A node of the structure tree, in reading order (ISO 32000-1, 14.8.4 names the roles).

    Attributes:
        role: ``Document``, ``Sect``, ``H1``..``H6``, ``P``, ``L``, ``LI``, ``Lbl``, ``LBody``, ``Figure``, ``Table``,
            ``TR``, ``TH``, ``TD``, ``Caption``.
        children: elements, or the marks of placed items, in reading order.
        alt: words that replace a figure.
        title: of a section, for the bookmark.
        language: of what it holds, where that is not the card's.
    """

    role: str
    children: tuple[Element | int, ...]
    alt: str | None = None
    title: str | None = None
    language: str | None = None


@dataclass(frozen=True, slots=True)
class PlacedCard:
    """The whole print: pages in order, and the one tree over them.

    Attributes:
        body_sizes_pt: of each fill's small card, its running text.
    """

    title: str
    language: str
    pages: tuple[Page, ...]
    structure: Element
    body_sizes_pt: tuple[float, ...] = ()
