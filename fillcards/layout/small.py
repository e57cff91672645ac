"""Small cards: half letter, A5, A6 and 4 x 6 in. A front, then the steps, in the largest type that needs no side more.

One corner stays free for the staple: the left upper one of a front, the one behind it of its back. Millimetres.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product
from typing import Final, TypeAlias

from fillcards.card.model import Card, CardStep, FillCard, Panel, WriteIn
from fillcards.catalogue.model import Paper
from fillcards.catalogue.papers import MOST_OWN_MM, load_papers
from fillcards.layout.grid import At, Piece, fill_rows, make_plate, put, silence, stack
from fillcards.layout.model import Box, Element, Page, PlacedCard
from fillcards.layout.poster import set_panels
from fillcards.layout.refusal import refuse
from fillcards.layout.scan import list_scan_codes
from fillcards.layout.setter import Setter, measure_rise_mm
from fillcards.layout.sheet import GAP_MM, HEAD_GAP_MM, Sheet, shorten
from fillcards.layout.sizes import (
    LARGE_POSTER,
    LEAST_SMALL_FOOT_PT,
    LEAST_SMALL_PT,
    NARROW_SPACING,
    SMALL_MARGIN_MM,
    SMALL_SPACING,
    STAPLE_MM,
    TIGHT_SMALL,
    StepSpacing,
)
from fillcards.layout.steps import measure_steps_mm, set_steps
from fillcards.picture.items import Ink
from fillcards.problems import InternalFault
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import say

FRONT_NAME: Final = "small-front"
STEPS_NAME: Final = "small-steps"
BODY_SIZES_PT: Final = (18.0, 17.0, 16.0, 15.0, 14.0, 13.5, 13.0, 12.5, LEAST_SMALL_PT)
POSTER_SHARES: Final = (0.9, 0.8, 0.7, 0.62, 0.56, 0.5, 0.45, 0.4, 0.36, 0.33, 0.3)
TITLE_SIZES_PT: Final = (32.0, 28.0, 24.0, 21.0, 18.0, 16.0, 14.0)
SIGN_GAP_MM: Final = 1.5
CORNER_MM: Final = STAPLE_MM - SMALL_MARGIN_MM + 0.5
"""Of the staple's corner, what lies inside the margins."""
SCENE_SHARES: Final = (1.0, 0.9, 0.8)
"""Of pictures, in parts of those the type asks for; the smaller ones only in the least type."""
NARROW_MM: Final = 120.0
"""Narrower cards have shorter words, and two sheets for two medicines."""
ON_NARROW: Final = {
    "air-first-two": "air-first",
    **{f"syringe{kind}": f"scan-syringe{kind}" for kind in ("", "-half", "-oral")},
}
"""That air goes in first, without where; which syringe, without what to do about another one."""
TWO_COLUMNS_MM: Final = 130.0
"""Narrower cards have one column of steps: with two, a picture and its words would share 50 mm."""
SIZE_STEP_MM: Final = 5
"""Between the heights that are tried where a card does not fit: enough to choose paper by."""
_Try: TypeAlias = tuple[float, float, int, StepSpacing]
"""Type size, size of the pictures in parts of it, columns, room in the rows."""


def place_small(card: Card, paper: Paper, *, has_backs: bool = True) -> PlacedCard:
    """Every fill's small card.

    Args:
        card: what it says.
        paper: a small one.
        has_backs: whether a card is printed on both sides; else each side is a leaf of its own, as on label stock.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if a fill does not fit on the sides it may have.
    """
    setter = Setter(card.language)
    pages: list[Page] = []
    sections: list[Element] = []
    sizes_pt: list[float] = []
    tries = tuple(_list_tries(2 if float(paper.width_mm) >= TWO_COLUMNS_MM else 1))
    for fill in card.fills:
        done = _choose(setter, card, fill, paper, tries, has_backs=has_backs)
        if done is None:
            found = f"fill {fill.number} on {paper.name}, on {_list_sides(fill, paper)[-1]} sides"
            raise refuse(f"{found}{_name_what_holds(setter, card, paper, has_backs=has_backs)}")
        size_pt, made, elements = done
        pages += made
        sizes_pt.append(size_pt)
        sections.append(Element("Sect", elements, title=setter.write(fill.title)))
    whole = Element("Document", tuple(sections))
    return PlacedCard(setter.write(card.title), card.language, tuple(pages), whole, body_sizes_pt=tuple(sizes_pt))


def _name_what_holds(setter: Setter, card: Card, paper: Paper, *, has_backs: bool) -> str:
    """Larger named papers, and the least height at that width in steps of 5 mm, that hold every fill."""
    tries = tuple(_list_tries(1))[-1:]  # what this does not fit, none does

    def holds(paper: Paper) -> bool:
        return all(_choose(setter, card, fill, paper, tries, has_backs=has_backs) for fill in card.fills)

    small = [each for each in load_papers().values() if each.is_small and each.width_mm > paper.width_mm]
    names = [each.name for each in small if each.height_mm > paper.height_mm and holds(each)]
    heights_mm = range(math.ceil((paper.height_mm + 1) / SIZE_STEP_MM) * SIZE_STEP_MM, MOST_OWN_MM[1], SIZE_STEP_MM)
    at = bisect_left(heights_mm, True, key=lambda height_mm: holds(paper._replace(height_mm=Fraction(height_mm))))
    if at < len(heights_mm):
        names.append(f"{float(paper.width_mm):g} x {heights_mm[at]} mm")
    return f"; it fits on {', '.join(names)}" if names else ""


def _list_sides(fill: FillCard, paper: Paper) -> tuple[int, ...]:
    """How many sides a fill may have, the fewest first."""
    is_narrow = float(paper.width_mm) < NARROW_MM
    return (4,) if is_narrow and len(fill.panels) > 1 else (2, 4)


def _choose(
    setter: Setter, card: Card, fill: FillCard, paper: Paper, tries: Sequence[_Try], *, has_backs: bool
) -> tuple[float, list[Page], tuple[Element, ...]] | None:
    if float(paper.width_mm) < NARROW_MM:
        above, below = (tuple(shorten(line, ON_NARROW) for line in lines) for lines in (fill.above, fill.below))
        fill = replace(fill, above=above, below=below)
    for most_sides, (body_pt, scene_share, columns, spacing) in product(_list_sides(fill, paper), tries):
        sheet = Sheet(
            setter,
            card,
            float(paper.width_mm),
            float(paper.height_mm),
            body_pt,
            fill,
            f"fill {fill.number}",
            margin_mm=SMALL_MARGIN_MM,
            spacing=spacing,
            scene_pt=scene_share * body_pt,
            has_scenes=scene_share > 0,
        )
        try:
            done = _set_card(sheet, fill, columns, most_sides, has_backs=has_backs)
        except TextTooWide:
            continue
        if done:
            return body_pt, *done
    return None


def _list_tries(columns: int) -> Iterator[_Try]:
    """Type size, size of the pictures in parts of it, columns, room in the rows: largest type first, words without
    pictures last.
    """
    spacing = NARROW_SPACING if columns == 1 else SMALL_SPACING
    for size_pt in BODY_SIZES_PT:
        yield size_pt, 1.0, columns, spacing
    for share in SCENE_SHARES[1:]:
        yield LEAST_SMALL_PT, share, columns, spacing
    for size_pt in BODY_SIZES_PT:
        yield size_pt, 0.0, 1, SMALL_SPACING
    yield LEAST_SMALL_PT, 0.0, 1, TIGHT_SMALL


def _set_card(
    sheet: Sheet, fill: FillCard, columns: int, most_sides: int, *, has_backs: bool
) -> tuple[list[Page], tuple[Element, ...]] | None:
    """A front with as much below its panels as it holds; what it cannot hold heads its back."""
    below = [sheet.setter.line(each, sheet.body_pt, sheet.live_mm) for each in fill.below]
    for kept in range(len(below), -1, -1):
        rest = stack(below[kept:])
        sides = _share_steps(sheet, fill, rest, columns, most_sides, has_backs=has_backs)
        front = _set_front(sheet, fill, below[:kept]) if sides else None
        if front is not None and sides is not None:
            return _make_pages(sheet, fill, front, rest, sides, columns)
        if sides is None:
            return None
    return None


def _make_pages(
    sheet: Sheet, fill: FillCard, front: Piece, rest: Piece, sides: list[Sequence[CardStep]], columns: int
) -> tuple[list[Page], tuple[Element, ...]]:
    page, elements = _make_page(sheet, front, 1, len(sides) + 1, Piece(0.0, 0.0), FRONT_NAME)
    pages = [page]
    for number, side in enumerate(sides, start=2):
        # What the sides repeat is read once.
        head = _set_head(sheet, fill, number) if number == 2 else silence(_set_head(sheet, fill, number))
        top = rest if number == 2 else Piece(0.0, 0.0)
        room_mm = _measure_room_mm(sheet, head) - (top.height_mm + HEAD_GAP_MM if top.height_mm else 0.0)
        code = None
        if number == 2:
            spare_mm = room_mm - measure_steps_mm(sheet, side, columns) - 2 * HEAD_GAP_MM
            # The card's own fill: a narrow front has shorter words, from which the code's are not made.
            whole = sheet.card.fills[fill.number - 1]
            codes = list_scan_codes(sheet.setter, sheet.card, (whole,), sheet.body_pt, sheet.live_mm)
            code = next((each for each in codes if each.height_mm <= spare_mm), None)
            room_mm -= code.height_mm + 2 * HEAD_GAP_MM if code else 0.0
        rows = set_steps(sheet, side, room_mm, columns)
        if rows is None:
            raise InternalFault("steps that were measured to fit")
        body = stack((top, rows), HEAD_GAP_MM)
        body = stack((body, code), 2 * HEAD_GAP_MM) if code else body
        page, own = _make_page(sheet, body, number, len(sides) + 1, head, STEPS_NAME)
        pages.append(page)
        elements += own
    return pages, elements


def _share_steps(
    sheet: Sheet, fill: FillCard, rest: Piece, columns: int, most_sides: int, *, has_backs: bool
) -> list[Sequence[CardStep]] | None:
    """As few sides as make whole cards with the front, each as full as it gets."""
    room_mm = _measure_room_mm(sheet, _set_head(sheet, fill, 2))
    for count in range(1, most_sides, 2 if has_backs else 1):
        waiting = fill.steps
        sides: list[Sequence[CardStep]] = []
        for index in range(count):
            left_mm = room_mm - (rest.height_mm + HEAD_GAP_MM if rest.height_mm and not index else 0.0)
            # As even as the rest of the sides allow.
            most = -(-len(waiting) // (count - index)) if index or not rest.height_mm else len(waiting)
            own = next((n for n in range(most, 0, -1) if measure_steps_mm(sheet, waiting[:n], columns) <= left_mm), 0)
            sides.append(waiting[:own])
            waiting = waiting[own:]
        if not waiting and all(sides):
            return sides
    return None


def _set_front(sheet: Sheet, fill: FillCard, kept: Sequence[Piece]) -> Piece | None:
    """Title and sign beside the staple's corner, band, whose, panels, what stands below."""
    setter, width_mm, body_pt = sheet.setter, sheet.live_mm, sheet.body_pt
    sign = sheet.set_sign(fill, CORNER_MM)
    title_mm = width_mm - CORNER_MM - sign.width_mm - GAP_MM
    for title_pt in TITLE_SIZES_PT:
        title = setter.text(fill.title, title_pt, title_mm, bold=True, role="H1")
        if title.height_mm <= CORNER_MM + 3.0:
            break
    rise_mm = measure_rise_mm(title_pt, setter.language)
    low_mm = title.height_mm + setter.measure_over_mm(fill.title, title_pt, clear_mm=sheet.clear_mm) - rise_mm
    row_mm = max(CORNER_MM, low_mm, sign.height_mm + 0.8)
    band_pt = sheet.fit_pt(sheet.card.band, width_mm - GAP_MM, body_pt, LEAST_SMALL_FOOT_PT)
    band = sheet.plate(sheet.card.band, band_pt, width_mm)
    head = put(
        width_mm,
        row_mm + band.height_mm,
        (At(band, 0.0, row_mm), At(title, CORNER_MM, -rise_mm), At(sign, width_mm - sign.width_mm, 0.0)),
    )
    top = stack((
        head,
        setter.lines(sheet.card.whose, body_pt, width_mm),
        fill_rows(
            [setter.line(each, body_pt, width_mm, bold=True) for each in (*fill.above, *fill.news)], width_mm, GAP_MM
        ),
    ))  # fmt: skip
    panels_shown, sums = _part_sums(sheet, fill)
    below = stack((*sums, *kept))
    room_mm = _measure_room_mm(sheet, Piece(0.0, 0.0)) - top.height_mm - below.height_mm - 2 * HEAD_GAP_MM
    for share in POSTER_SHARES:
        poster = LARGE_POSTER.scale(share)
        if poster.order_pt < body_pt:
            poster = poster._replace(order_pt=body_pt)
        try:
            panels = set_panels(replace(sheet, poster=poster), panels_shown, room_mm)
        except TextTooWide:
            continue
        if panels and panels.pitch_mm >= poster.least_pitch_mm:
            return stack((top, panels.piece, below), HEAD_GAP_MM)
    return None


def _part_sums(sheet: Sheet, fill: FillCard) -> tuple[tuple[Panel, ...], list[Piece]]:
    """On a narrow card the sum stands under both panels, where it has the whole width."""
    if sheet.width_mm >= NARROW_MM:
        return fill.panels, []
    sums = [sheet.setter.text(panel.sum, sheet.body_pt, sheet.live_mm) for panel in fill.panels if panel.sum]
    return tuple(replace(panel, sum=None) for panel in fill.panels), sums


def _set_head(sheet: Sheet, fill: FillCard, number: int) -> Piece:
    """Of a side after the front: name and lines in a bar beside the corner behind the staple, then the time of day;
    whom to call, band.
    """
    setter, width_mm = sheet.setter, sheet.live_mm
    sign = sheet.set_sign(fill, CORNER_MM)
    bar_mm = width_mm - CORNER_MM - sign.width_mm - SIGN_GAP_MM
    corner_x_mm, sign_x_mm = (0.0, bar_mm + SIGN_GAP_MM) if number % 2 == 0 else (CORNER_MM, width_mm - sign.width_mm)
    plate = make_plate(bar_mm, CORNER_MM, 1.0)
    inner_mm = plate.width_mm - 3.0
    size_pt = sheet.body_pt
    white = [setter.text(each, size_pt, inner_mm, bold=True, ink=Ink.WHITE) for each in (fill.title, fill.running)]
    rows = [_spread(white, inner_mm)]
    call: list[Piece] = []
    if isinstance(sheet.card.stop_call, WriteIn):
        call.append(setter.line(sheet.card.stop_call, LEAST_SMALL_PT, width_mm, bold=True))
    else:
        words = setter.text(sheet.card.stop_call, LEAST_SMALL_PT, inner_mm, bold=True, ink=Ink.WHITE)
        rows.append(words)
    inner = stack(rows)
    over_mm = max(setter.measure_over_mm(each, size_pt) for each in (fill.title, fill.running))
    plate = make_plate(bar_mm, max(CORNER_MM, inner.height_mm + 1.0 + 2 * over_mm), 1.0)
    inside = At(inner, corner_x_mm + 1.5, (plate.height_mm - inner.height_mm) / 2)
    beside = At(sign, sign_x_mm, (plate.height_mm - sign.height_mm) / 2)
    bar = put(width_mm, plate.height_mm, (At(plate, corner_x_mm, 0.0), inside, beside))
    band_pt = sheet.fit_pt(sheet.card.band, width_mm, LEAST_SMALL_PT, LEAST_SMALL_FOOT_PT)
    band = setter.text(sheet.card.band, band_pt, width_mm, bold=True)
    return stack((bar, *call, band), 0.4)


def _spread(pieces: Sequence[Piece], width_mm: float) -> Piece:
    """Two pieces at both ends of a row, or one below the other where it is too short."""
    first, last = pieces
    if first.width_mm + GAP_MM + last.width_mm > width_mm:
        return stack(pieces)
    height_mm = max(first.height_mm, last.height_mm)
    parts = At(first, 0.0, height_mm - first.height_mm), At(last, width_mm - last.width_mm, height_mm - last.height_mm)
    return put(width_mm, height_mm, parts)


def _set_foot(sheet: Sheet, page: int, pages: int) -> Piece:
    """Whose and the page; code and date."""
    setter, size_pt, width_mm = sheet.setter, LEAST_SMALL_FOOT_PT, sheet.live_mm
    count = setter.text(say("page", page=page, pages=pages), size_pt, width_mm)
    foot = setter.text(sheet.card.foot, size_pt, width_mm)
    if page == 1:
        return _spread((foot, count), width_mm)
    return stack((_spread((setter.lines(sheet.card.whose, size_pt, width_mm), count), width_mm), foot))


def _measure_room_mm(sheet: Sheet, head: Piece) -> float:
    foot = _set_foot(sheet, 2 if head.height_mm else 1, 8)
    gaps_mm = 2 * HEAD_GAP_MM if head.height_mm else HEAD_GAP_MM
    return sheet.height_mm - 2 * sheet.margin_mm - head.height_mm - foot.height_mm - gaps_mm


def _make_page(
    sheet: Sheet, body: Piece, number: int, count: int, head: Piece, style: str
) -> tuple[Page, tuple[Element, ...]]:
    foot = _set_foot(sheet, number, count) if number == 1 else silence(_set_foot(sheet, number, count))
    body_y_mm = sheet.margin_mm + (head.height_mm + HEAD_GAP_MM if head.height_mm else 0.0)
    parts = (
        At(head, sheet.margin_mm, sheet.margin_mm),
        At(body, sheet.margin_mm, body_y_mm),
        At(foot, sheet.margin_mm, sheet.height_mm - sheet.margin_mm - foot.height_mm),
    )
    whole = put(sheet.width_mm, sheet.height_mm, parts)
    card = Box(0.0, 0.0, sheet.width_mm, sheet.height_mm)
    x_mm = 0.0 if number % 2 else sheet.width_mm - STAPLE_MM
    corner = Box(x_mm, 0.0, STAPLE_MM, STAPLE_MM)
    fill = sheet.fill.number if sheet.fill else None
    page = Page(
        sheet.width_mm,
        sheet.height_mm,
        sheet.place(whole),
        fill,
        small_cards=(card,),
        free=(sheet.mirror_box(corner),),
        section=sheet.section,
        side=style,
    )
    return page, (*head.elements, *body.elements, *foot.elements)
