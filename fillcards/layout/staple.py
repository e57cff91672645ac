"""Small cards onto paper: each fill on a card of its own, in the largest type that needs no further card.

Nothing is under 12 pt and nothing is left out: what a side cannot hold goes on the next one of the same fill. The back
of a card belongs to its fill or stays empty. At scale exactly 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil
from typing import Final

from fillcards.card.model import Block, Card, FillSheets, Heading, Steps, WriteIn
from fillcards.catalogue.model import Paper
from fillcards.layout.blocks import leads_to
from fillcards.layout.flow import flow_parts, make_too_tall_problem
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.pages import MAKERS_TITLE, place_makers_pages
from fillcards.layout.parts import Part
from fillcards.layout.setter import Setter, space_parts
from fillcards.layout.sizes import LEAST_SMALL_PT, SMALL_MARGIN_MM, SmallTypeSizes, TypeSizes, choose_maker_sizes
from fillcards.layout.staple_front import FIGURE_SIZES_PT, WANTED_FIGURE_PT, Front, set_front
from fillcards.layout.staple_picture import SetPicture, set_picture
from fillcards.layout.staple_sides import Side, SmallSides
from fillcards.problems import InternalFault, RegimenRefused
from fillcards.typeface import LineBreaker, TextTooWide, measure_width_mm

BODY_SIZES_PT: Final = (12.5, 13.0, 13.5, 14.0, 15.0, 16.0, 17.0, 18.0)
"""Above the least. Words grow with their type, so that halving the choices finds the largest."""

BAND_SIDES_MM: Final = 6.0
"""Frame and padding beside the words of a band."""

SHORT_FORM_MM: Final = 120.0
"""Cards narrower than this have their facts in the short form."""

TITLE_TO_BODY: Final = 1.8


@dataclass(frozen=True, slots=True)
class _Draft:
    """One way to lay a card out: its sides, what each has, and whether the front has all it is to say."""

    sides: SmallSides
    contents: list[Side]
    is_front_whole: bool

    def count_leaves(self, *, has_backs: bool) -> int:
        return ceil(len(self.contents) / 2) if has_backs else len(self.contents)

    def is_as_good_as(self, other: _Draft, *, has_backs: bool) -> bool:
        """Whether nothing was given up for larger words: no card more, no fact overleaf, no smaller figures."""
        figure_pt = min(other.sides.sizes.figure_pt, WANTED_FIGURE_PT)
        return (
            self.count_leaves(has_backs=has_backs) <= other.count_leaves(has_backs=has_backs)
            and self.is_front_whole >= other.is_front_whole
            and self.sides.sizes.figure_pt >= figure_pt
        )


@dataclass(frozen=True, slots=True)
class _Draughtsman:
    """Lays one fill's card out in one size after the other."""

    fill: FillSheets
    card: Card
    paper: Paper
    first_mark: int
    breaker: LineBreaker

    def choose_draft(self, *, has_backs: bool) -> _Draft:
        """The largest type that takes no more cards than the least."""
        least = self._draft(LEAST_SMALL_PT)
        if least is None:
            height_mm = float(self.paper.height_mm)
            raise RegimenRefused((make_too_tall_problem("the stops", height_mm, "choose a larger paper"),))
        best, low, high = least, 0, len(BODY_SIZES_PT) - 1
        while low <= high:
            middle = (low + high) // 2
            larger = self._draft(BODY_SIZES_PT[middle])
            if larger is not None and larger.is_as_good_as(least, has_backs=has_backs):
                best, low = larger, middle + 1
            else:
                high = middle - 1
        done = self._draft(best.sides.sizes.body_pt, is_draft=False)
        if done is None:
            raise InternalFault("a small card that fits as a draft alone")
        return done

    def _draft(self, body_pt: float, *, is_draft: bool = True) -> _Draft | None:
        """The card in one size of type; ``None`` if the first side does not hold the stops."""
        try:
            setter = Setter(_make_sizes(body_pt, self.card, self.paper), self.first_mark, breaker=self.breaker)
            sides = SmallSides(self.fill, self.card, setter, self.paper, is_draft=is_draft)
            front = set_front(self.fill, sides)
            return None if front is None else _Draft(sides, list(_flow(self.fill, front, sides)), not front.rest)
        except TextTooWide:
            return None


def place_staple(card: Card, paper: Paper, *, has_backs: bool = True) -> PlacedCard:
    """Every fill's small card.

    Args:
        card: as ``build_staple_card`` makes it.
        paper: a small one; the size of the cards.
        has_backs: whether two sides make one card; else each side is a leaf of its own, as on label stock.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if the stops do not fit on the first side.
    """
    pages: list[Page] = []
    sections: list[Element] = []
    next_mark = 0
    sizes_pt: list[float] = []
    breaker = LineBreaker()
    for number, fill in enumerate(card.fills, start=1):
        draft = _Draughtsman(fill, card, paper, next_mark, breaker).choose_draft(has_backs=has_backs)
        pages += draft.sides.make_pages(draft.contents, number, has_backs=has_backs)
        sections.append(Element("Sect", draft.sides.elements, title=fill.name))
        next_mark = draft.sides.setter.next_mark
        sizes_pt.append(draft.sides.sizes.body_pt)
    structure = Element("Document", tuple(sections))
    return PlacedCard(card.title, card.language, tuple(pages), structure, body_sizes_pt=tuple(sizes_pt))


def needs_short_form(paper: Paper) -> bool:
    """Whether a card of that size has room for the short form of its facts only."""
    return float(paper.width_mm) < SHORT_FORM_MM


def add_makers_pages(placed: PlacedCard, card: Card, sheet: Paper) -> PlacedCard:
    """The same cards with the maker's pages at the end, on full sheets.

    Args:
        placed: the small cards, or sheets of them.
        card: has the blocks of the maker's page.
        sheet: what those pages are set for.
    """
    marks = [each.mark for page in placed.pages for each in page.placed if each.mark is not None]
    pages, elements = place_makers_pages(card, Setter(choose_maker_sizes(), max(marks) + 1), sheet)
    section = Element("Sect", elements, title=MAKERS_TITLE)
    structure = placed.structure._replace(children=(*placed.structure.children, section))
    return replace(placed, pages=(*placed.pages, *pages), structure=structure)


def _flow(fill: FillSheets, front: Front, sides: SmallSides) -> Iterator[Side]:
    """Everything in order, on as many sides as it takes."""
    room_mm, later_mm = sides.room_mm, sides.later_room_mm
    main, closing = _split_closing(fill.after)
    picture = SetPicture([], left=closing) if front.has_barrel else set_picture(fill, front.rest, closing, sides)
    # What stands beside the picture is read with it; what does not keeps its place, the closing words the last.
    ahead = tuple(block for block in picture.left if block not in closing)
    after = _set_after((*ahead, *main, *(block for block in closing if block in picture.left)), sides)
    if picture.is_side:
        yield from (Side(each) for each in flow_parts(front.parts, room_mm, later_mm))
        yield Side(list(space_parts(tuple(picture.parts), 0.0)), has_own_band=True)
        yield from (Side(each) for each in flow_parts(after, later_mm, later_mm))
    else:
        yield from (Side(each) for each in flow_parts([*front.parts, *picture.parts, *after], room_mm, later_mm))


def _split_closing(after: tuple[Block, ...]) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """All but the last heading with what stands under it; and that."""
    last = max(position for position, block in enumerate(after) if isinstance(block, Heading))
    return after[:last], after[last:]


def _set_after(blocks: tuple[Block, ...], sides: SmallSides) -> list[Part]:
    """What leads to the next block stays with it, and so do lines to write on with each other."""
    parts: list[Part] = []
    for block, following in zip(blocks, (*blocks[1:], None), strict=True):
        first, *others = sides.set(block)
        if isinstance(block, Steps):
            # One step at the foot of a side is no loss: the last two stay together.
            first = first._replace(keep_with_next=False)
        done = [first, *others]
        if isinstance(block, WriteIn):
            done = [part._replace(keep_with_next=True) for part in done[:-1]] + done[-1:]
        if following is not None and leads_to(block, following):
            done[-1] = done[-1]._replace(keep_with_next=True)
        parts += done
    return parts


def _make_sizes(body_pt: float, card: Card, paper: Paper) -> TypeSizes:
    """Of one card; the figures come as large as the front has room for, the band on one line where it can."""
    band_pt, room_mm = body_pt, float(paper.width_mm) - 2 * SMALL_MARGIN_MM - BAND_SIDES_MM
    while card.band and band_pt > LEAST_SMALL_PT and measure_width_mm(card.band, band_pt, True) > room_mm:
        band_pt -= 0.5
    return SmallTypeSizes(
        fact_pt=body_pt,
        body_pt=body_pt,
        title_pt=TITLE_TO_BODY * body_pt,
        heading_pt=body_pt,
        figure_pt=FIGURE_SIZES_PT[0],
        band_pt=band_pt,
    )
