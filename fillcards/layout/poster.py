"""What shows the stops of a front: a poster's panels, or in large print the facts of each beside one large barrel.

A panel has its barrel as tall as the page allows, and the figure tied to the stopper's edge. Panels stand side by side,
or one above the other where the barrel is held level.

Of facts, figure, words and count stand together under the order words; what stands below both stops reaches across the
page. Their barrel shows both stops, at the right; where it is held level, it reaches across the page below them.
Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from functools import partial
from itertools import chain, pairwise, product
from math import dist
from typing import Final, NamedTuple

from fillcards.card.model import BarrelView, FillCard, Panel
from fillcards.layout.grid import EASE_MM, At, Piece, beside, make_frame, make_plate, paint, put, stack
from fillcards.layout.model import Box, Placed
from fillcards.layout.proof import measure_item_box
from fillcards.layout.search import NoRoom, find_fitting
from fillcards.layout.setter import PITCH, measure_tallness
from fillcards.layout.sheet import CORNER_MM, Sheet
from fillcards.layout.styles import Look
from fillcards.picture.items import Ink, Item, Line, Polygon, Text
from fillcards.picture.scale_view import BarrelDrawing, Side, StopMark, draw_barrel
from fillcards.quantities import convert_pt_to_mm
from fillcards.regimen.model import BarrelDirection
from fillcards.typeface import TextTooWide, measure_other_ink_em
from fillcards.wording.messages import Say

TIP_GAP_MM: Final = 0.6
CLEAR_MM: Final = 3.0
CROSSING_PARTS: Final = 60
LEAST_SHAFT_MM: Final = 0.3
"""Of an arrow between a figure and its head: a shorter one has no ink that anybody sees."""
WORD_GAP_MM: Final = 0.6
"""Between an arrow and words."""
FIGURE_WORDS: Final = 1.2
"""Of a figure said in words, size in parts of the words round it."""

LEVEL_BORE_MM: Final = 11.0
"""Of barrels one above the other, which share a page's height."""

BORE_SHARES: Final = (1.0, 0.9, 0.8)
"""Of the bore, to be tried where scale numbers of larger type take the room of figures."""

BLOCK_SHARES: Final = (0.42, 0.5, 0.6)
"""Of the room beside an upright barrel, what the figure and its words take where the facts stand beside them."""
COLUMNS_APART_EM: Final = 0.85
"""Nearer, the lines of two columns are read as one."""
LEVEL_SHARES: Final = (0.5, 0.48, 0.46, 0.44, 0.42)
"""Of two panels one above the other, the first one's part of the height: a total has more to say."""

FACTS_GAP_MM: Final = 4.0
TIGHTER: Final = ((17.0, PITCH), (14.0, 1.08), (12.0, 1.04), (10.0, 1.0))
"""Width inside the barrel, and from line to line of the facts in type sizes: to be tried in turn."""
PANELS_APART: Final = 0.6
"""Of the gap between blocks, at least, between the first figure and the bar below it: nearer, both are one in grey."""
MOST_ORDER_PT: Final = 26.0
OVERSHOOT_EM: Final = 0.0125
"""How far round figures reach below the line they stand on: of bold 3 and 5, measured."""


class Panels(NamedTuple):
    """What shows the stops of a front, and from one line of its barrels to the next in mm."""

    piece: Piece
    pitch_mm: float


def set_panels(sheet: Sheet, panels: tuple[Panel, ...], height_mm: float) -> Panels:
    """The panels across the page.

    Raises:
        NoRoom, TextTooWide: they do not fit in the height.
    """
    is_upright = panels[0].barrel.direction is BarrelDirection.NEEDLE_UP
    set_sized = partial(_set_upright if is_upright else _set_level, sheet, panels, height_mm)
    return find_fitting(list_figure_sizes(sheet, panels), set_sized, is_strict=True)


def _set_upright(sheet: Sheet, panels: tuple[Panel, ...], height_mm: float, figure_pt: float) -> Panels:
    """Panels side by side."""
    poster = sheet.poster
    shared = _list_widths(sheet, panels)
    full, *narrow = (Look(share, poster.words_pt) for share in BORE_SHARES)
    looks = *poster.looks[len(panels) - 1], full

    def set_row(way: tuple[tuple[float, ...], Look]) -> Panels:
        widths, look = way
        own = _look_like(sheet, look)
        bars = [_set_bar_words(own, panel, width_mm) for panel, width_mm in zip(panels, widths, strict=True)]
        over_mm = max(sheet.setter.measure_over_mm(panel.bar, poster.order_pt) for panel in panels)
        bar_mm = max(bar.height_mm for bar in bars) + 2.0 + 2 * over_mm
        done = [
            _set_upright_panel(own, panel, width_mm, height_mm, bar_mm, figure_pt)
            for panel, width_mm in zip(panels, widths, strict=True)
        ]
        row = beside([each.piece for each in done], poster.panel_gap_mm)
        x_mm = widths[0] + poster.panel_gap_mm + poster.join_in_mm - poster.join_mm
        joins = [At(_make_join(own, bar_mm), x_mm, 0.0)] if len(panels) == 2 else []
        return Panels(put(sheet.live_mm, height_mm, (At(row), *joins)), done[0].pitch_mm)

    # Order words on one line first; where that costs the bore, on two.
    ways = chain(product(shared, looks), ((widths, look) for look in narrow for widths in shared))
    return find_fitting(ways, set_row)


def _look_like(sheet: Sheet, look: Look) -> Sheet:
    """The same with its barrels that wide and its words that large."""
    own = sheet.poster._replace(bore_mm=look.bore * sheet.poster.bore_mm, words_pt=look.words_pt)
    return replace(sheet, poster=own)


def _set_level(sheet: Sheet, panels: tuple[Panel, ...], height_mm: float, figure_pt: float) -> Panels:
    """Panels one above the other."""
    poster, shares = sheet.poster, LEVEL_SHARES if len(panels) > 1 else (1.0,)
    room_mm = height_mm - poster.panel_gap_mm * (len(panels) - 1)

    def set_column(way: tuple[Sheet, float]) -> Panels:
        own, share = way
        heights_mm = (share * room_mm, (1.0 - share) * room_mm)
        done = [
            _set_level_panel(own, panel, own_mm, figure_pt) for panel, own_mm in zip(panels, heights_mm, strict=False)
        ]
        return Panels(stack([each.piece for each in done], poster.panel_gap_mm), done[0].pitch_mm)

    looks = *poster.looks[len(panels) - 1], Look(1.0, poster.words_pt)
    return find_fitting(product([_look_like(sheet, look) for look in looks], shares), set_column)


def set_figure(sheet: Sheet, panel: Panel, size_pt: float) -> Piece:
    """The large figure, its box its ink; a total stands in a frame."""
    figure = sheet.setter.plain(sheet.setter.write(panel.figure), size_pt)
    if not panel.is_total:
        return figure
    edge_mm = sheet.poster.total_frame_mm + sheet.poster.total_pad_mm
    frame = make_frame(
        figure.width_mm + 2 * edge_mm, figure.height_mm + 2 * edge_mm, sheet.poster.total_frame_mm, CORNER_MM
    )
    return put(frame.width_mm, frame.height_mm, (At(frame), At(figure, edge_mm, edge_mm)))


def list_figure_sizes(sheet: Sheet, panels: tuple[Panel, ...]) -> tuple[float, ...]:
    """Sizes to be tried for all figures of a front, largest first."""
    is_long = any(len(sheet.setter.write(panel.figure)) > 2 for panel in panels)
    sizes = sheet.poster.long_figures_pt if is_long else sheet.poster.figures_pt
    return sizes[len(panels) - 1]


def set_facts(sheet: Sheet, panel: Panel, width_mm: float) -> Piece:
    """Medicine, dose, and what tells the vial from another."""
    size_pt = _choose_facts_pt(sheet)
    lines = (panel.medicine, panel.dose, *panel.notes)
    return stack([sheet.setter.text(each, size_pt, width_mm, is_filled=True) for each in lines])


def _choose_facts_pt(sheet: Sheet) -> float:
    """Words beside a stop may have the room to be larger."""
    return max(sheet.body_pt, sheet.poster.words_pt)


def measure_apart_mm(size_pt: float) -> float:
    """How far two columns of words must stand apart, or a column and the numbers of a scale."""
    return COLUMNS_APART_EM * convert_pt_to_mm(size_pt)


def set_counting(sheet: Sheet, panel: Panel, width_mm: float) -> Piece:
    """The figure in words, how to count to it, and how both portions add up."""
    body_pt = _choose_facts_pt(sheet)
    large_pt = body_pt * FIGURE_WORDS
    figure_pt = body_pt if sheet.setter.breaks_word(panel.figure_words, large_pt, width_mm) else large_pt
    lines = [sheet.setter.text(panel.figure_words, figure_pt, width_mm)]
    lines += [sheet.setter.text(each, body_pt, width_mm) for each in (panel.count, panel.sum) if each]
    return stack(lines)


def fit_barrel(
    sheet: Sheet,
    view: BarrelView,
    length_mm: float,
    bore_mm: float | None,
    alt: Say,
    *,
    marks: tuple[StopMark, ...] = (),
    numbers: Side = Side.AFTER,
) -> tuple[BarrelDrawing, Piece]:
    """The measures of a barrel as long as the room, and its picture, which is drawn if its page is made.

    Args:
        sheet: for whose reader.
        view: its stopper stands where what is in it ends; it has none where nothing is.
        length_mm: the room.
        bore_mm: width inside; left out: enlarged as the scale is.
        alt: words that replace the picture.
        marks: stops with a wedge.
        numbers: the side of the scale's numbers.

    Raises:
        NoRoom: its ends alone are longer.
    """
    stop = view.portions[-1].end if view.portions else None
    draw = partial(
        draw_barrel,
        *(view.syringe, view.portions, stop, view.direction, sheet.pen),
        number_pt=sheet.body_pt,
        marks=marks,
        numbers=numbers,
        bore_mm=bore_mm,
    )

    def measure(scale_mm: float) -> tuple[BarrelDrawing, float]:
        """The barrel unfilled, and how much of it reaches past the scale."""
        sizes = draw(scale_length_mm=scale_mm, is_draft=True)
        is_upright = view.direction is BarrelDirection.NEEDLE_UP
        return sizes, (sizes.drawing.height_mm if is_upright else sizes.drawing.width_mm) - scale_mm

    key = id(view), sheet.body_pt, numbers, marks
    # What reaches past the scale is as long on any, however wide, but for the number of a stop near the end, which
    # moves with it.
    _, past_mm = sheet.setter.remember((key, sheet.height_mm), lambda: measure(sheet.height_mm))
    scale_mm = length_mm - past_mm
    if scale_mm <= 0:
        raise NoRoom
    sizes, own_mm = sheet.setter.remember((key, bore_mm, scale_mm), lambda: measure(scale_mm))
    if own_mm - past_mm >= EASE_MM:
        scale_mm -= 1.1 * (own_mm - past_mm)
        sizes, _ = sheet.setter.remember((key, bore_mm, scale_mm), lambda: measure(scale_mm))
    size_mm = sizes.drawing.width_mm, sizes.drawing.height_mm
    return sizes, sheet.setter.late_figure(*size_mm, lambda: draw(scale_length_mm=scale_mm).drawing.items, alt)


def _list_widths(sheet: Sheet, panels: tuple[Panel, ...]) -> tuple[tuple[float, ...], ...]:
    """As wide as keeps each bar's words on one line; else half each."""
    if len(panels) == 1:
        return ((sheet.live_mm,),)
    room_mm = sheet.live_mm - sheet.poster.panel_gap_mm
    first, second = (
        sheet.setter.measure_mm(panel.bar, sheet.poster.order_pt, bold=True)
        + 2 * sheet.poster.pad_mm
        + _measure_join_mm(sheet, panel)
        + 0.1
        for panel in panels
    )
    half = room_mm / 2, room_mm / 2
    if max(first, second) <= room_mm / 2 or first + second > room_mm:
        return (half,)
    return ((first, room_mm - first) if first > second else (room_mm - second, second)), half


def _set_bar_words(sheet: Sheet, panel: Panel, width_mm: float) -> Piece:
    room_mm = width_mm - 2 * sheet.poster.pad_mm - _measure_join_mm(sheet, panel)
    return sheet.setter.text(panel.bar, sheet.poster.order_pt, room_mm, bold=True, ink=Ink.WHITE, role="H2")


def _measure_join_mm(sheet: Sheet, panel: Panel) -> float:
    """How far the arrow to the second bar reaches into the words of the first, beyond what is free beside them."""
    if panel.bar.id != "bar-first":
        return 0.0
    poster = sheet.poster
    return max(0.0, poster.join_mm - poster.join_in_mm - poster.panel_gap_mm - poster.pad_mm)


def _set_upright_panel(
    sheet: Sheet, panel: Panel, width_mm: float, height_mm: float, bar_mm: float, figure_pt: float
) -> Panels:
    poster, syringe = sheet.poster, panel.barrel.syringe
    room_mm = height_mm - bar_mm - 2 * poster.pad_mm
    if room_mm * float(syringe.line_every / syringe.last_line) < poster.least_pitch_mm:
        raise NoRoom
    # Words that are too wide beside the bore alone spare measuring the barrel.
    set_facts(sheet, panel, width_mm - 3 * poster.pad_mm - poster.bore_mm)
    drawing, barrel = fit_barrel(sheet, panel.barrel, room_mm, poster.bore_mm, panel.alt)
    if drawing.pitch_mm < poster.least_pitch_mm:
        raise NoRoom
    barrel_x_mm, highest_mm = width_mm - poster.pad_mm - barrel.width_mm, bar_mm + poster.pad_mm
    edge_y_mm = highest_mm + drawing.edge_y_mm
    wide_mm = barrel_x_mm - 2 * poster.pad_mm
    # Beside the barrel itself, yet not into its flanges.
    column_mm = barrel_x_mm - poster.pad_mm + min(0.0, drawing.edge_x_mm - poster.arrow_room_mm)
    facts = set_facts(sheet, panel, wide_mm)
    if highest_mm + facts.height_mm > edge_y_mm - poster.head_mm:
        facts = set_facts(sheet, panel, column_mm)
    top_mm, bottom_mm = highest_mm + facts.height_mm + sheet.gap_mm / 2, height_mm - poster.pad_mm
    figure = set_figure(sheet, panel, figure_pt)
    block, block_x_mm = _fix(stack((figure, set_counting(sheet, panel, wide_mm)), 1.5)), poster.pad_mm
    if figure.width_mm > column_mm:
        raise NoRoom
    if panel.bar.id == "bar-single":
        # Beside the facts the figure of a single stop is near its line and level with it, wherever that is.
        rise_mm = figure.height_mm - poster.arrow_mm
        level = [
            (near_facts, near)
            for near_facts, near in _list_beside(sheet, panel, figure, column_mm)
            if near_facts.height_mm <= bottom_mm - highest_mm
            and highest_mm + poster.arrow_mm <= edge_y_mm <= bottom_mm - near.height_mm + rise_mm
        ]
        if level:
            facts, block = min(level, key=lambda pair: pair[0].height_mm + pair[1].height_mm)
            top_mm, block_x_mm = highest_mm, poster.pad_mm + column_mm - block.width_mm
    frame = make_frame(width_mm, height_mm, poster.frame_mm, CORNER_MM)
    around = At(frame), *_set_bar(sheet, _set_bar_words(sheet, panel, width_mm), width_mm, bar_mm)
    tip = barrel_x_mm + drawing.edge_x_mm - TIP_GAP_MM, edge_y_mm

    def list_ways() -> Iterator[tuple[Piece, Piece, float]]:
        """Facts, figure with its words, where these begin at the highest; made one after the other as needed."""
        yield facts, block, top_mm
        own_mm = wide_mm - (block_x_mm - poster.pad_mm)
        if panel.notes:
            few = set_facts(sheet, replace(panel, notes=()), column_mm)
            notes = [sheet.setter.text(each, _choose_facts_pt(sheet), own_mm) for each in panel.notes]
            yield few, _fix(stack((block, *notes), 1.5)), highest_mm + few.height_mm + sheet.gap_mm / 2
        # As narrow as the figure, if the longest word allows it.
        widths = min(figure.width_mm + CLEAR_MM, own_mm), own_mm
        narrow = find_fitting(widths, partial(set_counting, sheet, panel))
        yield facts, _fix(stack((figure, narrow), 1.5)), top_mm

    for above, below, least_y_mm in list_ways():
        if below.height_mm > bottom_mm - least_y_mm:
            continue
        figure_y_mm = min(max(edge_y_mm - figure.height_mm / 2, least_y_mm), bottom_mm - below.height_mm)
        words = At(above, poster.pad_mm, highest_mm), At(below, block_x_mm, figure_y_mm)
        # Where it slopes up, it does so past the words above the figure.
        slopes_up = edge_y_mm < figure_y_mm + figure.height_mm / 2 and block_x_mm == poster.pad_mm
        past_x_mm = block_x_mm + (above.width_mm if slopes_up else 0.0) + 1.5
        start = block_x_mm + figure.width_mm + 1.5, figure_y_mm, figure.height_mm
        arrow = _make_arrow(sheet, start, past_x_mm, tip)
        if tip[0] - poster.head_mm - start[0] >= LEAST_SHAFT_MM and not _crosses(sheet, arrow, words):
            shown = _fix(put(width_mm, height_mm, (*words, At(arrow), At(barrel, barrel_x_mm, highest_mm))))
            return Panels(put(width_mm, height_mm, (*around, At(shown))), drawing.pitch_mm)
    raise NoRoom


def _fix(piece: Piece) -> Piece:
    """A barrel with its figure and what ties them: as it is on every page, whichever way that is read."""
    return piece._replace(is_fixed=True)


def _crosses(sheet: Sheet, arrow: Piece, words: Iterable[At]) -> bool:
    """Whether shaft or head of an arrow meet a line of words."""
    shown = sheet.place(_fix(put(0.0, 0.0, words)))
    items = [item for placed in shown for item in placed.items if isinstance(item, Text)]
    boxes = [_measure_reach(item) for item in items]
    return any(_meets(mark, box) for placed in arrow.placed for mark in placed.items for box in boxes)


def _measure_reach(text: Text) -> Box:
    """The box of words with what other scripts have above their capitals and below."""
    box, em_mm = measure_item_box(text), convert_pt_to_mm(text.size_pt)
    rise_mm, depth_mm = (em_mm * reach_em for reach_em in measure_other_ink_em(text.text, text.bold))
    top_mm, bottom_mm = min(box.y_mm, text.y_mm - rise_mm), max(box.bottom_mm, text.y_mm + depth_mm)
    return Box(box.x_mm, top_mm, box.width_mm, bottom_mm - top_mm)


def _meets(mark: Item, box: Box) -> bool:
    """Whether a stroke, or a corner of a head, comes into a box."""
    match mark:
        case Line():
            parts = [part / CROSSING_PARTS for part in range(CROSSING_PARTS + 1)]
            dx_mm, dy_mm = mark.x2_mm - mark.x1_mm, mark.y2_mm - mark.y1_mm
            points = [(mark.x1_mm + part * dx_mm, mark.y1_mm + part * dy_mm) for part in parts]
            over_mm = mark.width_mm / 2 + WORD_GAP_MM
        case Polygon():
            points, over_mm = list(mark.points_mm), WORD_GAP_MM
        case _:
            return False
    left_mm, right_mm = box.x_mm - over_mm, box.right_mm + over_mm
    top_mm, bottom_mm = box.y_mm - over_mm, box.bottom_mm + over_mm
    return any(left_mm < x < right_mm and top_mm < y < bottom_mm for x, y in points)


def _list_beside(sheet: Sheet, panel: Panel, figure: Piece, room_mm: float) -> Iterator[tuple[Piece, Piece]]:
    """Facts, and beside them the figure with its words, wherever both are wide enough for their words."""
    for block_mm in (share * room_mm for share in BLOCK_SHARES):
        if figure.width_mm <= block_mm:
            with suppress(TextTooWide):
                block = _fix(stack((figure, set_counting(sheet, panel, block_mm)), 1.5))
                facts = set_facts(sheet, panel, room_mm - block_mm - 2 * sheet.gap_mm)
                yield facts, block._replace(width_mm=block_mm)


def _set_level_panel(sheet: Sheet, panel: Panel, height_mm: float, figure_pt: float) -> Panels:
    """Words above, the barrel across the whole width below, the figure over its line as far as the edges allow."""
    is_tight = height_mm < sheet.live_mm / 2
    # A search tries many heights, on which neither words nor barrel depend.
    key = "level", id(panel), sheet.poster, sheet.body_pt, sheet.live_mm, figure_pt, is_tight
    make = partial(_set_level_parts, sheet, panel, figure_pt, is_tight=is_tight)
    return sheet.setter.remember(key, make)(height_mm)


def _set_level_parts(sheet: Sheet, panel: Panel, figure_pt: float, *, is_tight: bool) -> Callable[[float], Panels]:
    """The same but for its height: what puts it together in one."""
    poster, width_mm = sheet.poster, sheet.live_mm
    over_mm = sheet.setter.measure_over_mm(panel.bar, poster.order_pt)
    order = _set_bar_words(sheet, panel, width_mm)
    bar_mm = order.height_mm + 2.0 + 2 * over_mm
    pad_mm = poster.pad_mm * (0.6 if is_tight else 1.0)
    bore_mm = min(poster.bore_mm, LEVEL_BORE_MM) if is_tight else poster.bore_mm
    drawing, barrel = fit_barrel(sheet, panel.barrel, width_mm - 2 * pad_mm, bore_mm, panel.alt)
    edge_x_mm = pad_mm + drawing.edge_x_mm
    figure = set_figure(sheet, panel, figure_pt)
    x_mm = min(max(edge_x_mm - figure.width_mm / 2, pad_mm), width_mm - pad_mm - figure.width_mm)
    left_mm, right_mm = x_mm - pad_mm - sheet.gap_mm, width_mm - pad_mm - x_mm - figure.width_mm - sheet.gap_mm
    words_x_mm = pad_mm if left_mm >= right_mm else x_mm + figure.width_mm + sheet.gap_mm
    words_mm = max(left_mm, right_mm)
    column_mm = (words_mm - sheet.gap_mm) / 2 if is_tight else words_mm
    facts, counting = pieces = set_facts(sheet, panel, column_mm), set_counting(sheet, panel, column_mm)
    apart_mm = max(sheet.gap_mm, measure_apart_mm(_choose_facts_pt(sheet)))
    words = beside(pieces, apart_mm) if is_tight else stack(pieces, sheet.gap_mm / 2)
    if is_tight and min(left_mm, right_mm) > width_mm / 5:
        # Facts before the figure, how to count to it after it.
        after_mm = x_mm + figure.width_mm + sheet.gap_mm
        before, after = set_facts(sheet, panel, left_mm), set_counting(sheet, panel, right_mm)
        parted = At(before, 0.0, 0.0), At(after, after_mm - pad_mm, 0.0)
        split = _fix(put(width_mm - pad_mm, max(before.height_mm, after.height_mm), parted))
        if split.height_mm <= words.height_mm or words.width_mm > words_mm:
            words, words_x_mm, words_mm = split, pad_mm, split.width_mm
    if words.width_mm > words_mm:
        raise NoRoom
    top_mm = bar_mm + pad_mm
    # Clear of a bare figure, whose point it could pass for or hide.
    clear_mm = 1.0 if panel.is_total else 4.0

    def set_in(height_mm: float) -> Panels:
        barrel_y_mm = height_mm - pad_mm - barrel.height_mm
        edge_y_mm = barrel_y_mm + drawing.edge_y_mm
        room_mm = edge_y_mm - poster.head_mm - clear_mm - 1.5 - top_mm
        if figure.height_mm > room_mm or top_mm + words.height_mm > barrel_y_mm:
            raise NoRoom
        figure_y_mm = top_mm + (room_mm - figure.height_mm) / 2
        start_mm = edge_x_mm, figure_y_mm + figure.height_mm + clear_mm
        spoken = [At(words, words_x_mm, top_mm)]
        counting_y_mm = figure_y_mm + (figure.height_mm - counting.height_mm) / 2
        if not is_tight and counting_y_mm >= top_mm + facts.height_mm + sheet.gap_mm / 2:
            # How to count stands beside its figure, not stranded at the other end.
            near_mm = x_mm - 2 * sheet.gap_mm - counting.width_mm if left_mm >= right_mm else words_x_mm + sheet.gap_mm
            near_mm = max(pad_mm, min(near_mm, width_mm - pad_mm - counting.width_mm))
            spoken = [At(facts, words_x_mm, top_mm), At(counting, near_mm, counting_y_mm)]
        arrow = _fix(paint(_draw_shaft(sheet, (start_mm, (edge_x_mm, edge_y_mm - TIP_GAP_MM))), may_overlap=True))
        shown = *spoken, At(figure, x_mm, figure_y_mm), At(arrow), At(barrel, pad_mm, barrel_y_mm)
        parts = (
            At(make_frame(width_mm, height_mm, poster.frame_mm, CORNER_MM)),
            *_set_bar(sheet, order, width_mm, bar_mm),
            At(_fix(put(width_mm, height_mm, shown))),
        )
        return Panels(put(width_mm, height_mm, parts), drawing.pitch_mm)

    return set_in


def _set_bar(sheet: Sheet, words: Piece, width_mm: float, bar_mm: float) -> tuple[At, At]:
    return (At(make_plate(width_mm, bar_mm, CORNER_MM)), At(words, sheet.poster.pad_mm, (bar_mm - words.height_mm) / 2))


def _make_join(sheet: Sheet, bar_mm: float) -> Piece:
    """A white arrow from the first bar into the second: one syringe, one after the other."""
    half_mm, middle_mm = sheet.poster.join_mm * 0.32, bar_mm / 2
    ends_mm = 0.5, sheet.poster.join_mm - 0.5
    back_mm, tip_mm = reversed(ends_mm) if sheet.setter.is_backward else ends_mm
    corners = ((back_mm, middle_mm - half_mm), (tip_mm, middle_mm), (back_mm, middle_mm + half_mm))
    box = Box(0.0, 0.0, sheet.poster.join_mm, bar_mm)
    return Piece(
        sheet.poster.join_mm, bar_mm, (Placed(box, (Polygon(corners, Ink.WHITE, 0.5),), None, may_overlap=True),)
    )


def _make_arrow(sheet: Sheet, figure: tuple[float, float, float], past_x_mm: float, tip: tuple[float, float]) -> Piece:
    """From a figure's right side (x, top, height) to an edge: level where they overlap, else sloping to its height.

    A level run up to the barrel at any other height would point at a line that is not meant, an upright one beside the
    figure could pass for a 1. ``past_x_mm`` is where the slope may begin at the earliest.
    """
    x_mm, top_mm, height_mm = figure
    if top_mm + sheet.poster.arrow_mm <= tip[1] <= top_mm + height_mm - sheet.poster.arrow_mm:
        return _fix(paint(_draw_shaft(sheet, ((x_mm, tip[1]), tip)), may_overlap=True))
    bend_x_mm = max(x_mm, past_x_mm)
    corner_x_mm = max(tip[0] - sheet.poster.head_mm - 1.0, bend_x_mm + sheet.poster.arrow_mm)
    across_mm = corner_x_mm - bend_x_mm
    near, next_nearest = (0.12, 0.22) if tip[1] < top_mm + height_mm / 2 else (0.88, 0.78)
    # Off 45 degrees, at which the slanted filling rises.
    starts = [top_mm + height_mm * share for share in (near, next_nearest)]
    start_y_mm = max(starts, key=lambda y_mm: abs(abs(y_mm - tip[1]) - across_mm) > 0.08 * across_mm)
    level = ((x_mm, start_y_mm),) if bend_x_mm > x_mm else ()
    shaft = _draw_shaft(sheet, (*level, (bend_x_mm, start_y_mm), (corner_x_mm, tip[1]), tip))
    return _fix(paint(shaft, may_overlap=True))


def _draw_shaft(sheet: Sheet, points: tuple[tuple[float, float], ...]) -> tuple[Item, ...]:
    """A line round its corners, with a solid head whose tip is the last point."""
    *_, before, tip = points
    dx, dy = (0.0, 1.0) if before[0] == tip[0] else (1.0, 0.0)
    base = tip[0] - dx * sheet.poster.head_mm, tip[1] - dy * sheet.poster.head_mm
    half_mm = sheet.poster.head_mm * 0.55
    head = Polygon(
        (tip, (base[0] - dy * half_mm, base[1] - dx * half_mm), (base[0] + dy * half_mm, base[1] + dx * half_mm)),
        Ink.BLACK,
    )
    lines: list[Item] = []
    for start, end in pairwise((*points[:-1], base)):
        # Butt ends: a stroke runs on by half its width, so that corners are whole.
        over = 0.0 if end == base else sheet.poster.arrow_mm / 2 / dist(start, end)
        x_mm, y_mm = (to + over * (to - at) for at, to in zip(start, end, strict=True))
        lines.append(Line(*start, x_mm, y_mm, sheet.poster.arrow_mm))
    return (*lines, head)


class Told(NamedTuple):
    """What a front says of its stops; the rest stands on the other side.

    Attributes:
        sum: whether the sum stands with the second stop.
        notes: what tells one vial from another.
        counts: how to count to a line.
    """

    sum: bool = True
    notes: bool = True
    counts: bool = True


def set_facts_left(sheet: Sheet, fill: FillCard, height_mm: float, told: Told) -> Panels:
    """Facts and barrel, at most that high.

    Raises:
        NoRoom: they do not fit.
    """
    sizes = product(list_figure_sizes(sheet, fill.panels), TIGHTER)
    try:
        return find_fitting(sizes, lambda size: _set_sized(sheet, fill, height_mm, told, size[0], *size[1]))
    except TextTooWide:
        raise NoRoom from None


def _set_sized(
    sheet: Sheet, fill: FillCard, height_mm: float, told: Told, figure_pt: float, bore_mm: float, pitch: float
) -> Panels:
    is_level = fill.panels[-1].barrel.direction is not BarrelDirection.NEEDLE_UP
    barrel, pitch_mm = _fit_barrel(sheet, fill, sheet.live_mm if is_level else height_mm, bore_mm)
    apart_mm = max(FACTS_GAP_MM, measure_apart_mm(sheet.body_pt))
    facts_mm = sheet.live_mm if is_level else sheet.live_mm - barrel.width_mm - apart_mm
    room_mm = height_mm - barrel.height_mm - FACTS_GAP_MM if is_level else height_mm
    set_panel = partial(_set_panel, sheet, told=told, width_mm=facts_mm, figure_pt=figure_pt, pitch=pitch)
    panels = [set_panel(panel) for panel in fill.panels]
    spare_mm = room_mm - sum(panel.height_mm for panel in panels)
    if spare_mm < PANELS_APART * sheet.gap_mm * (len(panels) - 1) or max(panel.width_mm for panel in panels) > facts_mm:
        raise NoRoom
    if len(panels) == 1 and measure_tallness(sheet.setter.language) > 1:
        # Deep letters above a figure would touch it.
        ease_mm = min(spare_mm / 2, 0.8 * sheet.gap_mm)
        panels = [set_panel(panel, ease_mm=ease_mm) for panel in fill.panels]
        spare_mm -= ease_mm
    # The first figure keeps clear of the second bar before anything is left below.
    between_mm = max(spare_mm / len(panels), min(spare_mm, sheet.gap_mm))
    column = stack(panels, min(between_mm, 6 * sheet.gap_mm))
    parts = At(column, 0.0, 0.0), At(barrel, sheet.live_mm - barrel.width_mm, height_mm - barrel.height_mm)
    return Panels(put(sheet.live_mm, height_mm, parts), pitch_mm)


def _set_panel(
    sheet: Sheet, panel: Panel, *, told: Told, width_mm: float, figure_pt: float, pitch: float, ease_mm: float = 0.0
) -> Piece:
    """One stop: its order words, medicine and dose, then so much more room, the figure with its words."""
    body_pt = sheet.body_pt
    text = partial(sheet.setter.text, pitch=pitch)

    def over_mm(*messages: Say) -> float:
        """Between these words and the bar or the figure above."""
        return max(sheet.setter.measure_over_mm(each, body_pt, pitch, sheet.clear_mm) for each in messages)

    order_pt = max(sheet.poster.order_pt, min(body_pt, MOST_ORDER_PT))
    is_short = sheet.setter.measure_mm(panel.bar, order_pt, bold=True) > width_mm - order_pt / 2
    bar = sheet.plate(panel.short_bar if is_short else panel.bar, order_pt, width_mm, role="H2")
    facts = [text(each, body_pt, width_mm) for each in (panel.medicine, panel.dose)]
    if sum(fact.width_mm for fact in facts) + 2 * sheet.gap_mm <= width_mm:
        facts = [beside(facts, 2 * sheet.gap_mm)]
    facts += [text(each, body_pt, width_mm) for each in panel.notes if told.notes]
    figure, beside_mm = set_figure(sheet, panel, figure_pt), 1.5 * sheet.gap_mm
    words_mm = width_mm - figure.width_mm - beside_mm
    counting = (panel.figure_words, panel.count) if told.counts else (panel.figure_words,)
    below = [text(each, body_pt, width_mm) for each in counting]
    rows = [figure, *below]
    if sheet.setter.fits(panel.figure_words, body_pt, words_mm):
        words = text(panel.figure_words, body_pt, words_mm)
        if words.height_mm <= figure.height_mm + below[0].height_mm:
            rows = [beside((figure, words), beside_mm, 0.5), *below[1:]]
    if all(sheet.setter.fits(each, body_pt, words_mm) for each in counting):
        both = stack([text(each, body_pt, words_mm) for each in counting])
        if both.height_mm <= figure.height_mm + sheet.gap_mm:
            rows = [beside((figure, both), beside_mm, 0.5)]
    if panel.sum and told.sum:
        rows.append(text(panel.sum, body_pt, width_mm))
    gap_mm = 0.2 * sheet.gap_mm
    below_mm = over_mm(*counting) + OVERSHOOT_EM * convert_pt_to_mm(figure_pt)
    about = stack((stack(facts), stack(rows, max(gap_mm, below_mm))), gap_mm + ease_mm)
    return stack((bar, about), max(gap_mm, over_mm(panel.medicine, panel.dose)))


def _fit_barrel(sheet: Sheet, fill: FillCard, length_mm: float, bore_mm: float) -> tuple[Piece, float]:
    """As the reader holds it, a wedge with its number at each stop, opposite the scale's own; and from one line to
    the next.
    """
    view = fill.panels[-1].barrel
    marks = tuple(
        StopMark(panel.barrel.portions[-1].end, sheet.setter.write(panel.figure), not panel.is_total)
        for panel in fill.panels
    )
    numbers = Side.BEFORE if view.direction is BarrelDirection.NEEDLE_UP else Side.AFTER
    alt = fill.both or fill.panels[0].alt
    sizes, barrel = fit_barrel(sheet, view, length_mm, bore_mm, alt, marks=marks, numbers=numbers)
    return barrel, sizes.pitch_mm
