"""Small cards: half letter, A5, A6 and 4 x 6 in. A front, then the steps, in the largest type that needs no side more.

One corner stays free for the staple: the left upper one of a front, the one behind it of its back. Millimetres.

Several go side by side on sheets, to be cut apart; each at scale exactly 1, as it would be alone. They begin in the
sheet's top left corner, so that two edges need no cut. A sheet lies down where it then holds more: two of half a sheet.
Their backs stand behind them: the same rows, the columns mirrored, for sheets turned over along their upright edge,
which is the long one, or of a sheet that lies down the short one. Cut marks stand on the edges, off the corners where
the staple goes.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import product
from typing import Final, NamedTuple, TypeAlias

from fillcards.card.model import Card, CardStep, FillCard, WriteIn
from fillcards.catalogue.model import Paper
from fillcards.catalogue.papers import MOST_OWN_MM, load_papers
from fillcards.layout import styles
from fillcards.layout.grid import EASE_MM, At, Piece, fill_rows, make_plate, move_placed, put, silence, spread, stack
from fillcards.layout.model import Box, Page, Placed, PlacedCard
from fillcards.layout.poster import set_panels
from fillcards.layout.proof import measure_item_box
from fillcards.layout.search import NoRoom, find_fitting
from fillcards.layout.sections import Section, join_sections, refuse
from fillcards.layout.setter import Setter, measure_rise_mm
from fillcards.layout.sheet import GAP_MM, HEAD_GAP_MM, Sheet, make_sheet, shorten
from fillcards.layout.steps import measure_steps_mm, set_steps
from fillcards.layout.styles import StepSpacing
from fillcards.layout.vials import list_scan_codes
from fillcards.picture.items import Ink, Line
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import say

FRONT_NAME: Final = "small-front"
STEPS_NAME: Final = "small-steps"
BODY_SIZES_PT: Final = (18.0, 17.0, 16.0, 15.0, 14.0, 13.5, 13.0, 12.5, styles.LEAST_SMALL_PT)
POSTER_SHARES: Final = (0.9, 0.8, 0.7, 0.62, 0.56, 0.5, 0.45, 0.4, 0.36, 0.33, 0.3)
TITLE_SIZES_PT: Final = (32.0, 28.0, 24.0, 21.0, 18.0, 16.0, 14.0)
SIGN_GAP_MM: Final = 1.5
CORNER_MM: Final = styles.STAPLE_MM - styles.SMALL_MARGIN_MM + 0.5
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
MOST_SIDES: Final = 4
TWO_COLUMNS_MM: Final = 130.0
"""Narrower cards have one column of steps: with two, a picture and its words would share 50 mm."""
SIZE_STEP_MM: Final = 5
"""Between the heights that are tried where a card does not fit: enough to choose paper by."""
_Try: TypeAlias = tuple[float, float, int, StepSpacing]
"""Type size, size of the pictures in parts of it, columns, room in the rows."""

CUT_MARK_MM: Final = 6.0
CUT_MARK_WIDTH_MM: Final = 0.3
CUT_MARK_FROM_CORNER_MM: Final = styles.STAPLE_MM + 1.0


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
    sizes_pt: list[float] = []
    sections: list[Section] = []
    tries = tuple(_list_tries(2 if float(paper.width_mm) >= TWO_COLUMNS_MM else 1))
    for fill in card.fills:
        try:
            section = _make_section(_set_in_first(setter, card, fill, paper, tries, has_backs=has_backs))
        except (NoRoom, TextTooWide) as fault:
            found = f"fill {fill.number} on {paper.name}, on {MOST_SIDES} sides"
            raise refuse(f"{found}{_name_what_holds(setter, card, paper, has_backs=has_backs)}") from fault
        sections.append(section)
        sizes_pt.append(section.pages[0].body_pt)
    return join_sections(setter, card, sections, body_sizes_pt=tuple(sizes_pt))


def _name_what_holds(setter: Setter, card: Card, paper: Paper, *, has_backs: bool) -> str:
    """Larger named papers, and the least height at that width in steps of 5 mm, that hold every fill."""
    tries = tuple(_list_tries(1))[-1:]  # what this does not fit, none does

    def holds(paper: Paper) -> bool:
        try:
            for fill in card.fills:
                _set_in_first(setter, card, fill, paper, tries, has_backs=has_backs)
        except (NoRoom, TextTooWide):
            return False
        return True

    small = [each for each in load_papers().values() if each.is_small and each.width_mm > paper.width_mm]
    names = [each.name for each in small if each.height_mm > paper.height_mm and holds(each)]
    heights_mm = range(math.ceil((paper.height_mm + 1) / SIZE_STEP_MM) * SIZE_STEP_MM, MOST_OWN_MM[1], SIZE_STEP_MM)
    at = bisect_left(heights_mm, True, key=lambda height_mm: holds(paper._replace(height_mm=Fraction(height_mm))))
    if at < len(heights_mm):
        names.append(f"{float(paper.width_mm):g} x {heights_mm[at]} mm")
    return f"; it fits on {', '.join(names)}" if names else ""


def _set_in_first(
    setter: Setter, card: Card, fill: FillCard, paper: Paper, tries: Sequence[_Try], *, has_backs: bool
) -> _Fitted:
    """In the first way that holds it: on two sides or, the rule on narrow cards of two medicines, on four."""
    is_narrow = float(paper.width_mm) < NARROW_MM
    is_long = is_narrow and len(fill.panels) > 1
    counts = [range(1, most, 2 if has_backs else 1) for most in ((MOST_SIDES,) if is_long else (2, MOST_SIDES))]
    # Once, so that what was set of its panels is known on every paper.
    fill = setter.remember((id(fill), is_narrow), partial(_shorten, fill, is_narrow=is_narrow))

    def set_tried(way: tuple[range, _Try]) -> _Fitted:
        backs, (body_pt, scene_share, columns, spacing) = way
        sheet = replace(
            make_sheet(setter, card, paper, body_pt, fill, f"fill {fill.number}"),
            margin_mm=styles.SMALL_MARGIN_MM,
            spacing=spacing,
            step_columns=columns,
            scene_pt=scene_share * body_pt,
            has_scenes=scene_share > 0,
        )
        return _set_card(sheet, fill, backs)

    return find_fitting(product(counts, tries), set_tried)


def _shorten(fill: FillCard, *, is_narrow: bool) -> FillCard:
    """With the words of a small card; on a narrow one the sum stands under both panels, as wide as the card."""
    panels = tuple(replace(each, bar=each.short_bar, sum=None if is_narrow else each.sum) for each in fill.panels)
    names = ON_NARROW if is_narrow else {}
    above, below = (tuple(shorten(line, names) for line in lines) for lines in (fill.above, fill.below))
    return replace(fill, panels=panels, above=above, below=below)


def _list_tries(columns: int) -> Iterator[_Try]:
    """Type size, size of the pictures in parts of it, columns, room in the rows: largest type first, words without
    pictures last.
    """
    spacing = styles.NARROW_SPACING if columns == 1 else styles.SMALL_SPACING
    for size_pt in BODY_SIZES_PT:
        yield size_pt, 1.0, columns, spacing
    for share in SCENE_SHARES[1:]:
        yield styles.LEAST_SMALL_PT, share, columns, spacing
    for size_pt in BODY_SIZES_PT:
        yield size_pt, 0.0, 1, styles.SMALL_SPACING
    yield styles.LEAST_SMALL_PT, 0.0, 1, styles.TIGHT_SMALL


class _Fitted(NamedTuple):
    """What holds a fill: its front but for the foot, what that leaves to its back, the steps of each further side."""

    sheet: Sheet
    fill: FillCard
    front: tuple[Piece, Piece]
    rest: Piece
    sides: list[Sequence[CardStep]]


def _set_card(sheet: Sheet, fill: FillCard, backs: range) -> _Fitted:
    """A front with as much below its panels as it holds; what it cannot hold heads its back."""
    below = [sheet.setter.line(each, sheet.body_pt, sheet.live_mm) for each in fill.below]
    back_mm = sheet.measure_room_mm(_set_head(sheet, fill, 2), _set_foot(sheet, 2, 8))
    for kept in range(len(below), -1, -1):
        rest = stack(below[kept:])
        sides = _share_steps(sheet, fill, rest, back_mm, backs)
        try:
            front = _set_front(sheet, fill, below[:kept])
        except (NoRoom, TextTooWide):
            continue
        return _Fitted(sheet, fill, front, rest, sides)
    raise NoRoom


def _make_section(fitted: _Fitted) -> Section:
    sheet, fill, front, rest, sides = fitted
    count = len(sides) + 1
    shown = [(*front, _set_foot(sheet, 1, count))]
    for number, side in enumerate(sides, start=2):
        head, foot = _set_head(sheet, fill, number), silence(_set_foot(sheet, number, count))
        room_mm, code = sheet.measure_room_mm(head, _set_foot(sheet, 2, 8)), Piece(0.0, 0.0)
        if number == 2:
            room_mm -= rest.height_mm + HEAD_GAP_MM if rest.height_mm else 0.0
            spare_mm = room_mm - measure_steps_mm(sheet, side) - 2 * HEAD_GAP_MM
            # The card's own fill: a narrow front has shorter words, from which the code's are not made.
            whole = sheet.card.fills[fill.number - 1]
            codes = list_scan_codes(sheet.setter, sheet.card, (whole,), sheet.body_pt, sheet.live_mm)
            code = next((each for each in codes if each.height_mm <= spare_mm), code)
            room_mm -= code.height_mm + 2 * HEAD_GAP_MM if code.height_mm else 0.0
        else:
            # What the sides repeat is read once.
            head, rest = silence(head), Piece(0.0, 0.0)
        rows = stack((rest, set_steps(sheet, side, room_mm)), HEAD_GAP_MM)
        shown.append((head, stack((rows, code), 2 * HEAD_GAP_MM), foot))
    first = sheet.make_section(fill.title, shown[:1], FRONT_NAME)
    others = sheet.make_section(fill.title, shown[1:], STEPS_NAME)
    card = Box(0.0, 0.0, sheet.width_mm, sheet.height_mm)
    side_mm = styles.STAPLE_MM
    left, right = (Box(x_mm, 0.0, side_mm, side_mm) for x_mm in (0.0, sheet.width_mm - side_mm))
    pages = (
        page._replace(small_cards=(card,), free=(sheet.mirror_box(right if at % 2 else left),), running=())
        for at, page in enumerate((*first.pages, *others.pages))
    )
    return Section(fill.title, tuple(pages), first.elements + others.elements)


def _share_steps(sheet: Sheet, fill: FillCard, rest: Piece, room_mm: float, backs: range) -> list[Sequence[CardStep]]:
    """The steps of the fewest sides of these numbers that hold them, each as full as it gets."""
    for count in backs:
        waiting = fill.steps
        sides: list[Sequence[CardStep]] = []
        for index in range(count):
            left_mm = room_mm - (rest.height_mm + HEAD_GAP_MM if rest.height_mm and not index else 0.0)
            # As even as the rest of the sides allow.
            most = -(-len(waiting) // (count - index)) if index or not rest.height_mm else len(waiting)
            least = len(waiting) if index == count - 1 else 1  # the last side takes what is left
            own = next((n for n in range(most, least - 1, -1) if measure_steps_mm(sheet, waiting[:n]) <= left_mm), 0)
            sides.append(waiting[:own])
            waiting = waiting[own:]
        if not waiting and all(sides):
            return sides
    raise NoRoom


def _set_front(sheet: Sheet, fill: FillCard, kept: Sequence[Piece]) -> tuple[Piece, Piece]:
    """Title and sign beside the staple's corner, band, whose; then panels, what stands below."""
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
    band_pt = sheet.fit_pt(sheet.card.band, width_mm - GAP_MM, body_pt, styles.LEAST_SMALL_FOOT_PT)
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
    whole = sheet.card.fills[fill.number - 1].panels if sheet.width_mm < NARROW_MM else ()
    sums = [setter.text(panel.sum, body_pt, width_mm) for panel in whole if panel.sum]
    below = stack((*sums, *kept))
    room_mm = sheet.measure_room_mm(top, _set_foot(sheet, 1, 8)) - below.height_mm - HEAD_GAP_MM

    def set_scaled(share: float) -> Piece:
        poster = styles.LARGE_POSTER.scale(share)
        poster = poster._replace(order_pt=max(poster.order_pt, body_pt))
        panels = set_panels(replace(sheet, poster=poster), fill.panels, room_mm)
        if panels.pitch_mm < poster.least_pitch_mm:
            raise NoRoom
        return stack((panels.piece, below), HEAD_GAP_MM)

    return top, find_fitting(POSTER_SHARES, set_scaled)


def _set_head(sheet: Sheet, fill: FillCard, number: int) -> Piece:
    """Of a side after the front: name and lines in a bar beside the corner behind the staple, then the time of day;
    whom to call, band.
    """
    setter, width_mm = sheet.setter, sheet.live_mm
    sign = sheet.set_sign(fill, CORNER_MM)
    bar_mm = width_mm - CORNER_MM - sign.width_mm - SIGN_GAP_MM
    corner_x_mm, sign_x_mm = (0.0, bar_mm + SIGN_GAP_MM) if number % 2 == 0 else (CORNER_MM, width_mm - sign.width_mm)
    inner_mm = bar_mm - 3.0
    size_pt = sheet.body_pt
    white = [setter.text(each, size_pt, inner_mm, bold=True, ink=Ink.WHITE) for each in (fill.title, fill.running)]
    rows = [_spread(white, inner_mm)]
    call: list[Piece] = []
    if isinstance(sheet.card.stop_call, WriteIn):
        call.append(setter.line(sheet.card.stop_call, styles.LEAST_SMALL_PT, width_mm, bold=True))
    else:
        rows.append(setter.text(sheet.card.stop_call, styles.LEAST_SMALL_PT, inner_mm, bold=True, ink=Ink.WHITE))
    inner = stack(rows)
    over_mm = max(setter.measure_over_mm(each, size_pt) for each in (fill.title, fill.running))
    plate = make_plate(bar_mm, max(CORNER_MM, inner.height_mm + 1.0 + 2 * over_mm), 1.0)
    inside = At(inner, corner_x_mm + 1.5, (plate.height_mm - inner.height_mm) / 2)
    beside = At(sign, sign_x_mm, (plate.height_mm - sign.height_mm) / 2)
    bar = put(width_mm, plate.height_mm, (At(plate, corner_x_mm, 0.0), inside, beside))
    band_pt = sheet.fit_pt(sheet.card.band, width_mm, styles.LEAST_SMALL_PT, styles.LEAST_SMALL_FOOT_PT)
    band = setter.text(sheet.card.band, band_pt, width_mm, bold=True)
    # Marks on tall letters of the line below would touch the bar.
    return stack((bar, *call, band), 0.4 + setter.measure_over_mm(sheet.card.band, band_pt, clear_mm=sheet.clear_mm))


def _spread(pieces: Sequence[Piece], width_mm: float) -> Piece:
    """Two pieces at both ends of a row, or one below the other where it is too short."""
    is_short = sum(piece.width_mm for piece in pieces) + GAP_MM > width_mm
    return stack(pieces) if is_short else spread(pieces, width_mm, 1.0)


def _set_foot(sheet: Sheet, page: int, pages: int) -> Piece:
    """Whose and the page; code and date."""
    setter, size_pt, width_mm = sheet.setter, styles.LEAST_SMALL_FOOT_PT, sheet.live_mm
    count = setter.text(say("page", page=page, pages=pages), size_pt, width_mm)
    foot = setter.text(sheet.card.foot, size_pt, width_mm)
    if page == 1:
        return _spread((foot, count), width_mm)
    return stack((_spread((setter.lines(sheet.card.whose, size_pt, width_mm), count), width_mm), foot))


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
    return Placed(measure_item_box(line), (line,), None)


def _make_too_small_problem(leaf: Page, sheet: Paper) -> Problem:
    return Problem(
        "PAPER-002",
        Severity.REFUSE,
        Place(key="print.paper"),
        f"a card of {leaf.width_mm:g} x {leaf.height_mm:g} mm on a sheet of {sheet.name}",
        "a sheet that holds at least one card",
        "choose a larger sheet or a smaller card",
    )
