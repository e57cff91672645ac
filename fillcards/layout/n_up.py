"""Small cards side by side on sheets, to be cut apart; each at scale exactly 1, as it would be alone.

Cards begin in the sheet's top left corner, so that two edges need no cut. A sheet lies down where it then holds more:
two of half a sheet. Their backs stand behind them: the same rows, the columns mirrored, for sheets turned over along
their upright edge, which is the long one, or of a sheet that lies down the short one. Cut marks stand on the edges, off
the corners where the staple goes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import Final

from fillcards.catalogue.model import Paper
from fillcards.layout.grid import move_placed
from fillcards.layout.model import Box, Page, Placed, PlacedCard
from fillcards.layout.sizes import STAPLE_MM
from fillcards.picture.items import Line
from fillcards.problems import Place, Problem, RegimenRefused, Severity

CUT_MARK_MM: Final = 6.0
CUT_MARK_WIDTH_MM: Final = 0.3
CUT_MARK_FROM_CORNER_MM: Final = STAPLE_MM + 1.0
EASE_MM: Final = 0.01


def place_n_up(leaves: PlacedCard, sheet: Paper, *, has_backs: bool = True) -> PlacedCard:
    """Every card on sheets of a larger paper, as many on each as it holds.

    Args:
        leaves: small cards all of one size: with backs, fronts and backs in turn; else each page a card of its own.
        sheet: the larger paper.
        has_backs: whether every second page is the back of the one before it.

    Raises:
        RegimenRefused: ``PAPER-002`` if not one card fits.
    """
    size_mm, cards = _choose_grid(leaves.pages[0], sheet)
    step = 2 if has_backs else 1
    pages: list[Page] = []
    for start in range(0, len(leaves.pages), step * len(cards)):
        shown = leaves.pages[start : start + step * len(cards)]
        fronts = shown[::step]
        pages.append(_make_sheet(fronts, cards[: len(fronts)], size_mm))
        if has_backs:
            mirrored = tuple(card._replace(x_mm=size_mm[0] - card.right_mm) for card in cards[: len(fronts)])
            pages.append(_make_sheet(shown[1::2], mirrored, size_mm))
    return replace(leaves, pages=tuple(pages))


def _choose_grid(leaf: Page, sheet: Paper) -> tuple[tuple[float, float], tuple[Box, ...]]:
    """The sheet's size the way it is turned, and where the cards stand on it."""
    upright_mm = float(sheet.width_mm), float(sheet.height_mm)
    grids = [(size_mm, _list_cards(leaf, size_mm)) for size_mm in (upright_mm, upright_mm[::-1])]
    size_mm, cards = max(grids, key=lambda grid: len(grid[1]))
    if not cards:
        raise RegimenRefused((_make_too_small_problem(leaf, sheet),))
    return size_mm, cards


def _list_cards(leaf: Page, size_mm: tuple[float, float]) -> tuple[Box, ...]:
    columns = int((size_mm[0] + EASE_MM) / leaf.width_mm)
    rows = int((size_mm[1] + EASE_MM) / leaf.height_mm)
    return tuple(
        Box(column * leaf.width_mm, row * leaf.height_mm, leaf.width_mm, leaf.height_mm)
        for row, column in product(range(rows), range(columns))
    )


def _make_sheet(leaves: tuple[Page, ...], cards: tuple[Box, ...], size_mm: tuple[float, float]) -> Page:
    placed: list[Placed] = []
    free: list[Box] = []
    for leaf, card in zip(leaves, cards, strict=True):
        placed += [move_placed(each, card.x_mm, card.y_mm) for each in leaf.placed]
        free += [each._replace(x_mm=each.x_mm + card.x_mm, y_mm=each.y_mm + card.y_mm) for each in leaf.free]
    marks = dict.fromkeys(mark for card in cards for mark in _list_cut_marks(card, size_mm))
    return Page(
        *size_mm, (*placed, *marks), None, small_cards=cards, free=tuple(free), section="sheet", side=leaves[0].side
    )


def _list_cut_marks(card: Box, size_mm: tuple[float, float]) -> Iterator[Placed]:
    """Two on each edge along which there is something to cut off."""
    for x_mm in (card.x_mm, card.right_mm):
        if EASE_MM < x_mm < size_mm[0] - EASE_MM:
            for y_mm in _place_marks(card.y_mm, card.bottom_mm):
                yield _make_mark(x_mm, y_mm, 0.0, CUT_MARK_MM)
    for y_mm in (card.y_mm, card.bottom_mm):
        if EASE_MM < y_mm < size_mm[1] - EASE_MM:
            for x_mm in _place_marks(card.x_mm, card.right_mm):
                yield _make_mark(x_mm, y_mm, CUT_MARK_MM, 0.0)


def _place_marks(start_mm: float, end_mm: float) -> tuple[float, float]:
    """Where the marks of an edge begin."""
    return start_mm + CUT_MARK_FROM_CORNER_MM, end_mm - CUT_MARK_FROM_CORNER_MM - CUT_MARK_MM


def _make_mark(x_mm: float, y_mm: float, dx_mm: float, dy_mm: float) -> Placed:
    # Edges that two cards share come out of two sums: rounded, they are one mark.
    x_mm, y_mm = round(x_mm, 3), round(y_mm, 3)
    line = Line(x_mm, y_mm, x_mm + dx_mm, y_mm + dy_mm, CUT_MARK_WIDTH_MM)
    half_mm = CUT_MARK_WIDTH_MM / 2
    across_x_mm, across_y_mm = (half_mm, 0.0) if dy_mm else (0.0, half_mm)
    box = Box(x_mm - across_x_mm, y_mm - across_y_mm, dx_mm + 2 * across_x_mm, dy_mm + 2 * across_y_mm)
    return Placed(box, (line,), None)


def _make_too_small_problem(leaf: Page, sheet: Paper) -> Problem:
    return Problem(
        "PAPER-002",
        Severity.REFUSE,
        Place(key="print.paper"),
        f"a card of {leaf.width_mm:g} x {leaf.height_mm:g} mm on a sheet of {sheet.name}",
        "a sheet that holds at least one card",
        "choose a larger sheet or a smaller card",
    )
