"""The poster: a panel for each stop, its barrel as tall as the page allows, and the figure tied to the stopper's edge.

Panels stand side by side, or one above the other where the barrel is held level. Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import chain, pairwise, product
from math import dist
from typing import Final, NamedTuple

from fillcards.card.model import BarrelView, Panel
from fillcards.layout.grid import EASE_MM, At, Piece, beside, make_frame, make_plate, put, stack
from fillcards.layout.model import Box, Placed
from fillcards.layout.proof import measure_item_box
from fillcards.layout.setter import measure_line_mm
from fillcards.layout.sheet import CORNER_MM, Sheet
from fillcards.layout.sizes import Look, PosterSizes
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
LEVEL_SHARES: Final = (0.5, 0.48, 0.46, 0.44, 0.42)
"""Of two panels one above the other, the first one's part of the height: a total has more to say."""


class Panels(NamedTuple):
    """What shows the stops of a front, and from one line of its barrels to the next in mm."""

    piece: Piece
    pitch_mm: float


def set_panels(sheet: Sheet, panels: tuple[Panel, ...], height_mm: float) -> Panels | None:
    """The panels across the page; ``None`` where they do not fit in the height."""
    is_upright = panels[0].barrel.direction is BarrelDirection.NEEDLE_UP
    for figure_pt in list_figure_sizes(sheet, panels):
        done = (_set_upright if is_upright else _set_level)(sheet, panels, height_mm, figure_pt)
        if done:
            return done
    return None


def _set_upright(sheet: Sheet, panels: tuple[Panel, ...], height_mm: float, figure_pt: float) -> Panels | None:
    """Panels side by side."""
    fault: TextTooWide | None = None
    poster = sheet.poster
    shared = _list_widths(sheet, panels)
    full, *narrow = (Look(share, poster.words_pt) for share in BORE_SHARES)
    looks = *poster.looks[len(panels) - 1], full
    # Order words on one line first; where that costs the bore, on two.
    for widths, look in chain(product(shared, looks), ((widths, look) for look in narrow for widths in shared)):
        sheet = _look_like(sheet, poster, look)
        bars = [_set_bar_words(sheet, panel, width_mm) for panel, width_mm in zip(panels, widths, strict=True)]
        over_mm = max(_measure_over_mm(sheet, panel) for panel in panels)
        bar_mm = max(bar.height_mm for bar in bars) + 2.0 + 2 * over_mm
        try:
            done = [
                _set_upright_panel(sheet, panel, width_mm, height_mm, bar_mm, figure_pt)
                for panel, width_mm in zip(panels, widths, strict=True)
            ]
        except TextTooWide as error:
            fault = error
            continue
        pieces = [piece for piece in done if piece]
        if len(pieces) == len(panels):
            row = beside([each.piece for each in pieces], sheet.poster.panel_gap_mm)
            x_mm = widths[0] + sheet.poster.panel_gap_mm + sheet.poster.join_in_mm - sheet.poster.join_mm
            joins = [At(_make_join(sheet, bar_mm), x_mm, 0.0)] if len(panels) == 2 else []
            whole = put(sheet.live_mm, height_mm, (At(row, 0.0, 0.0), *joins))
            return Panels(whole, pieces[0].pitch_mm)
    if fault:
        raise fault
    return None


def _look_like(sheet: Sheet, poster: PosterSizes, look: Look) -> Sheet:
    """The same with its barrels that wide and its words that large."""
    own = poster._replace(bore_mm=look.bore * poster.bore_mm, words_pt=look.words_pt)
    return replace(sheet, poster=own)


def _set_level(sheet: Sheet, panels: tuple[Panel, ...], height_mm: float, figure_pt: float) -> Panels | None:
    """Panels one above the other."""
    fault: TextTooWide | None = None
    poster, shares = sheet.poster, LEVEL_SHARES if len(panels) > 1 else (1.0,)
    room_mm = height_mm - poster.panel_gap_mm * (len(panels) - 1)
    for look, share in product((*poster.looks[len(panels) - 1], Look(1.0, poster.words_pt)), shares):
        sheet = _look_like(sheet, poster, look)
        heights_mm = (share * room_mm, (1.0 - share) * room_mm)
        try:
            done = [
                _set_level_panel(sheet, panel, sheet.live_mm, own_mm, figure_pt)
                for panel, own_mm in zip(panels, heights_mm, strict=False)
            ]
        except TextTooWide as error:
            fault = error
            continue
        pieces = [piece for piece in done if piece]
        if len(pieces) == len(panels):
            return Panels(stack([each.piece for each in pieces], sheet.poster.panel_gap_mm), pieces[0].pitch_mm)
    if fault:
        raise fault
    return None


def set_figure(sheet: Sheet, panel: Panel, size_pt: float) -> Piece:
    """The large figure, its box its ink; a total stands in a frame."""
    figure = sheet.setter.plain(sheet.setter.write(panel.figure), size_pt)
    if not panel.is_total:
        return figure
    edge_mm = sheet.poster.total_frame_mm + sheet.poster.total_pad_mm
    frame = make_frame(
        figure.width_mm + 2 * edge_mm, figure.height_mm + 2 * edge_mm, sheet.poster.total_frame_mm, CORNER_MM
    )
    return put(frame.width_mm, frame.height_mm, (At(frame, 0.0, 0.0), At(figure, edge_mm, edge_mm)))


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


def set_counting(sheet: Sheet, panel: Panel, width_mm: float) -> Piece:
    """The figure in words, how to count to it, and how both portions add up."""
    body_pt = _choose_facts_pt(sheet)
    large_pt = body_pt * FIGURE_WORDS
    figure_pt = body_pt if sheet.setter.breaks_word(panel.figure_words, large_pt, width_mm) else large_pt
    lines = [sheet.setter.text(panel.figure_words, figure_pt, width_mm)]
    lines += [sheet.setter.text(each, body_pt, width_mm) for each in (panel.count, panel.sum) if each]
    return stack(lines)


class FittedBarrel(NamedTuple):
    """A barrel as long as its room: its measures, and how it is drawn."""

    sizes: BarrelDrawing
    draw: Callable[[], BarrelDrawing]

    def set_figure(self, sheet: Sheet, alt: Say) -> Piece:
        """The picture, to be drawn if its page is made."""
        drawing = self.sizes.drawing
        return sheet.setter.late_figure(drawing.width_mm, drawing.height_mm, lambda: self.draw().drawing.items, alt)


def fit_barrel(
    sheet: Sheet,
    view: BarrelView,
    length_mm: float,
    *,
    marks: tuple[StopMark, ...] = (),
    numbers: Side = Side.AFTER,
) -> FittedBarrel | None:
    """A barrel with its stopper on the stop, as long as the room; ``None`` where its ends alone are longer."""
    draw = partial(
        draw_barrel,
        view.syringe,
        view.portions,
        view.portions[-1].end,
        view.direction,
        sheet.pen,
        number_pt=sheet.body_pt,
        marks=marks,
        numbers=numbers,
        bore_mm=sheet.poster.bore_mm,
    )

    def measure(scale_mm: float) -> tuple[BarrelDrawing, float]:
        """The barrel unfilled, and how much of it reaches past the scale."""
        sizes = draw(scale_length_mm=scale_mm, is_draft=True)
        is_upright = view.direction is BarrelDirection.NEEDLE_UP
        return sizes, (sizes.drawing.height_mm if is_upright else sizes.drawing.width_mm) - scale_mm

    key = id(view), sheet.body_pt, sheet.poster.bore_mm, numbers, marks
    # What reaches past the scale is as long on any, but for the number of a stop near the end, which moves with it.
    _, past_mm = sheet.setter.remember((key, sheet.height_mm), lambda: measure(sheet.height_mm))
    scale_mm = length_mm - past_mm
    if scale_mm <= 0:
        return None
    sizes, own_mm = sheet.setter.remember((key, scale_mm), lambda: measure(scale_mm))
    if own_mm - past_mm >= EASE_MM:
        scale_mm -= 1.1 * (own_mm - past_mm)
        sizes, _ = sheet.setter.remember((key, scale_mm), lambda: measure(scale_mm))
    return FittedBarrel(sizes, partial(draw, scale_length_mm=scale_mm))


def _list_widths(sheet: Sheet, panels: tuple[Panel, ...]) -> tuple[tuple[float, ...], ...]:
    """As wide as keeps each bar's words on one line; else half each."""
    if len(panels) == 1:
        return ((sheet.live_mm,),)
    room_mm = sheet.live_mm - sheet.poster.panel_gap_mm
    first, second = (
        sheet.setter.measure_mm(_choose_bar(sheet, panel), sheet.poster.order_pt, bold=True)
        + 2 * sheet.poster.pad_mm
        + _measure_join_mm(sheet, panel)
        + 0.1
        for panel in panels
    )
    half = room_mm / 2, room_mm / 2
    if max(first, second) <= room_mm / 2 or first + second > room_mm:
        return (half,)
    return ((first, room_mm - first) if first > second else (room_mm - second, second)), half


def _measure_bar_mm(sheet: Sheet) -> float:
    return measure_line_mm(sheet.poster.order_pt) + 2.0


def _measure_over_mm(sheet: Sheet, panel: Panel) -> float:
    return sheet.setter.measure_over_mm(_choose_bar(sheet, panel), sheet.poster.order_pt)


def _choose_bar(sheet: Sheet, panel: Panel) -> Say:
    return panel.short_bar if sheet.poster.has_short_bars else panel.bar


def _set_bar_words(sheet: Sheet, panel: Panel, width_mm: float) -> Piece:
    return sheet.setter.text(
        _choose_bar(sheet, panel),
        sheet.poster.order_pt,
        width_mm - 2 * sheet.poster.pad_mm - _measure_join_mm(sheet, panel),
        bold=True,
        ink=Ink.WHITE,
        role="H2",
    )


def _measure_join_mm(sheet: Sheet, panel: Panel) -> float:
    """How far the arrow to the second bar reaches into the words of the first, beyond what is free beside them."""
    if panel.bar.id != "bar-first":
        return 0.0
    poster = sheet.poster
    return max(0.0, poster.join_mm - poster.join_in_mm - poster.panel_gap_mm - poster.pad_mm)


def _set_upright_panel(
    sheet: Sheet, panel: Panel, width_mm: float, height_mm: float, bar_mm: float, figure_pt: float
) -> Panels | None:
    room_mm = height_mm - bar_mm - 2 * sheet.poster.pad_mm
    syringe = panel.barrel.syringe
    if room_mm * float(syringe.line_every / syringe.last_line) < sheet.poster.least_pitch_mm:
        return None
    fitted = fit_barrel(sheet, panel.barrel, room_mm)
    if fitted is None:
        return None
    drawing = fitted.sizes
    if drawing.pitch_mm < sheet.poster.least_pitch_mm:
        return None
    barrel_x_mm = width_mm - sheet.poster.pad_mm - drawing.drawing.width_mm
    barrel_y_mm = bar_mm + sheet.poster.pad_mm
    edge_y_mm = barrel_y_mm + drawing.edge_y_mm
    wide_mm = barrel_x_mm - 2 * sheet.poster.pad_mm
    # Beside the barrel itself, yet not into its flanges.
    column_mm = barrel_x_mm - sheet.poster.pad_mm + min(0.0, drawing.edge_x_mm - sheet.poster.arrow_room_mm)
    facts = set_facts(sheet, panel, wide_mm)
    if bar_mm + sheet.poster.pad_mm + facts.height_mm > edge_y_mm - sheet.poster.head_mm:
        facts = set_facts(sheet, panel, column_mm)
    top_mm, bottom_mm = (
        bar_mm + sheet.poster.pad_mm + facts.height_mm + sheet.gap_mm / 2,
        height_mm - sheet.poster.pad_mm,
    )
    figure = set_figure(sheet, panel, figure_pt)
    block, block_x_mm = _fix(stack((figure, set_counting(sheet, panel, wide_mm)), 1.5)), sheet.poster.pad_mm
    highest_mm = bar_mm + sheet.poster.pad_mm
    if panel.bar.id == "bar-single":
        # Beside the facts the figure of a single stop is near its line and level with it, wherever that is.
        tries = [_set_beside(sheet, panel, figure, column_mm, share * column_mm) for share in BLOCK_SHARES]
        rise_mm = figure.height_mm - sheet.poster.arrow_mm
        level = [
            (near_facts, near)
            for near_facts, near in filter(None, tries)
            if near_facts.height_mm <= bottom_mm - highest_mm
            and highest_mm + sheet.poster.arrow_mm <= edge_y_mm <= bottom_mm - near.height_mm + rise_mm
        ]
        if level:
            facts, block = min(level, key=lambda pair: pair[0].height_mm + pair[1].height_mm)
            top_mm, block_x_mm = highest_mm, sheet.poster.pad_mm + column_mm - block.width_mm
    if figure.width_mm > column_mm:
        return None
    frame = make_frame(width_mm, height_mm, sheet.poster.frame_mm, CORNER_MM)
    around = At(frame, 0.0, 0.0), *_set_bar(sheet, panel, width_mm, bar_mm)
    tip = barrel_x_mm + drawing.edge_x_mm - TIP_GAP_MM, edge_y_mm

    def list_ways() -> Iterator[tuple[Piece, Piece, float]]:
        """Facts, figure with its words, where these begin at the highest; made one after the other as needed."""
        yield facts, block, top_mm
        own_mm = wide_mm - (block_x_mm - sheet.poster.pad_mm)
        if panel.notes:
            few = set_facts(sheet, replace(panel, notes=()), column_mm)
            notes = [sheet.setter.text(each, _choose_facts_pt(sheet), own_mm) for each in panel.notes]
            yield few, _fix(stack((block, *notes), 1.5)), highest_mm + few.height_mm + sheet.gap_mm / 2
        narrow_mm = min(figure.width_mm + CLEAR_MM, own_mm)
        narrow = _set_narrow(partial(set_counting, sheet, panel), narrow_mm, own_mm)
        yield facts, _fix(stack((figure, narrow), 1.5)), top_mm

    for above, below, least_y_mm in list_ways():
        if below.height_mm > bottom_mm - least_y_mm:
            continue
        figure_y_mm = min(max(edge_y_mm - figure.height_mm / 2, least_y_mm), bottom_mm - below.height_mm)
        words = At(above, sheet.poster.pad_mm, highest_mm), At(below, block_x_mm, figure_y_mm)
        # Where it slopes up, it does so past the words above the figure.
        slopes_up = edge_y_mm < figure_y_mm + figure.height_mm / 2 and block_x_mm == sheet.poster.pad_mm
        past_x_mm = block_x_mm + (above.width_mm if slopes_up else 0.0) + 1.5
        start = block_x_mm + figure.width_mm + 1.5, figure_y_mm, figure.height_mm
        arrow = _make_arrow(sheet, start, past_x_mm, tip)
        if tip[0] - sheet.poster.head_mm - start[0] >= LEAST_SHAFT_MM and not _crosses(sheet, arrow, words):
            barrel = At(fitted.set_figure(sheet, panel.alt), barrel_x_mm, barrel_y_mm)
            shown = _fix(put(width_mm, height_mm, (*words, At(arrow, 0.0, 0.0), barrel)))
            return Panels(put(width_mm, height_mm, (*around, At(shown, 0.0, 0.0))), drawing.pitch_mm)
    return None


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


def _set_beside(
    sheet: Sheet, panel: Panel, figure: Piece, room_mm: float, block_mm: float
) -> tuple[Piece, Piece] | None:
    """Facts, and beside them the figure with its words; ``None`` where either is too narrow for its words."""
    if figure.width_mm > block_mm:
        return None
    try:
        block = _fix(stack((figure, set_counting(sheet, panel, block_mm)), 1.5))
        return set_facts(sheet, panel, room_mm - block_mm - 2 * sheet.gap_mm), block._replace(width_mm=block_mm)
    except TextTooWide:
        return None


def _set_narrow(make: Callable[[float], Piece], narrow_mm: float, wide_mm: float) -> Piece:
    """Words as narrow as asked for, if the longest of them allows it."""
    try:
        return make(narrow_mm)
    except TextTooWide:
        return make(wide_mm)


def _set_level_panel(sheet: Sheet, panel: Panel, width_mm: float, height_mm: float, figure_pt: float) -> Panels | None:
    """Words above, the barrel across the whole width below, the figure over its line as far as the edges allow."""
    bar_mm = _measure_bar_mm(sheet) + 2 * _measure_over_mm(sheet, panel)
    is_tight = height_mm < sheet.live_mm / 2
    pad_mm = sheet.poster.pad_mm * (0.6 if is_tight else 1.0)
    narrow = sheet.poster._replace(bore_mm=min(sheet.poster.bore_mm, LEVEL_BORE_MM)) if is_tight else sheet.poster
    fitted = fit_barrel(replace(sheet, poster=narrow), panel.barrel, width_mm - 2 * pad_mm)
    if fitted is None:
        return None
    drawing, barrel = fitted.sizes, fitted.set_figure(sheet, panel.alt)
    barrel_y_mm = height_mm - pad_mm - barrel.height_mm
    edge_x_mm, edge_y_mm = pad_mm + drawing.edge_x_mm, barrel_y_mm + drawing.edge_y_mm
    figure = set_figure(sheet, panel, figure_pt)
    x_mm = min(max(edge_x_mm - figure.width_mm / 2, pad_mm), width_mm - pad_mm - figure.width_mm)
    left_mm, right_mm = x_mm - pad_mm - sheet.gap_mm, width_mm - pad_mm - x_mm - figure.width_mm - sheet.gap_mm
    words_x_mm = pad_mm if left_mm >= right_mm else x_mm + figure.width_mm + sheet.gap_mm
    words_mm = max(left_mm, right_mm)
    column_mm = (words_mm - sheet.gap_mm) / 2 if is_tight else words_mm
    pieces = set_facts(sheet, panel, column_mm), set_counting(sheet, panel, column_mm)
    words = beside(pieces, sheet.gap_mm) if is_tight else stack(pieces, sheet.gap_mm / 2)
    if is_tight and min(left_mm, right_mm) > width_mm / 5:
        # Facts before the figure, how to count to it after it.
        after_mm = x_mm + figure.width_mm + sheet.gap_mm
        before, after = set_facts(sheet, panel, left_mm), set_counting(sheet, panel, right_mm)
        parted = At(before, 0.0, 0.0), At(after, after_mm - pad_mm, 0.0)
        split = _fix(put(width_mm - pad_mm, max(before.height_mm, after.height_mm), parted))
        if split.height_mm <= words.height_mm:
            words, words_x_mm = split, pad_mm
    top_mm = bar_mm + pad_mm
    # Clear of a bare figure, whose point it could pass for or hide.
    clear_mm = 1.0 if panel.is_total else 4.0
    room_mm = edge_y_mm - sheet.poster.head_mm - clear_mm - 1.5 - top_mm
    if figure.height_mm > room_mm or top_mm + words.height_mm > barrel_y_mm:
        return None
    figure_y_mm = top_mm + (room_mm - figure.height_mm) / 2
    start_mm = edge_x_mm, figure_y_mm + figure.height_mm + clear_mm
    spoken = [At(words, words_x_mm, top_mm)]
    facts, counting = pieces
    counting_y_mm = figure_y_mm + (figure.height_mm - counting.height_mm) / 2
    if not is_tight and counting_y_mm >= top_mm + facts.height_mm + sheet.gap_mm / 2:
        # How to count stands beside its figure, not stranded at the other end.
        near_mm = x_mm - 2 * sheet.gap_mm - counting.width_mm if left_mm >= right_mm else words_x_mm + sheet.gap_mm
        near_mm = max(pad_mm, min(near_mm, width_mm - pad_mm - counting.width_mm))
        spoken = [At(facts, words_x_mm, top_mm), At(counting, near_mm, counting_y_mm)]
    arrow = _place_items(_draw_shaft(sheet, (start_mm, (edge_x_mm, edge_y_mm - TIP_GAP_MM))))
    shown = *spoken, At(figure, x_mm, figure_y_mm), At(arrow, 0.0, 0.0), At(barrel, pad_mm, barrel_y_mm)
    parts = (
        At(make_frame(width_mm, height_mm, sheet.poster.frame_mm, CORNER_MM), 0.0, 0.0),
        *_set_bar(sheet, panel, width_mm, bar_mm),
        At(_fix(put(width_mm, height_mm, shown)), 0.0, 0.0),
    )
    return Panels(put(width_mm, height_mm, parts), drawing.pitch_mm)


def _set_bar(sheet: Sheet, panel: Panel, width_mm: float, bar_mm: float) -> tuple[At, At]:
    words = _set_bar_words(sheet, panel, width_mm)
    return (
        At(make_plate(width_mm, bar_mm, CORNER_MM), 0.0, 0.0),
        At(words, sheet.poster.pad_mm, (bar_mm - words.height_mm) / 2),
    )


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
        return _place_items(_draw_shaft(sheet, ((x_mm, tip[1]), tip)))
    bend_x_mm = max(x_mm, past_x_mm)
    corner_x_mm = max(tip[0] - sheet.poster.head_mm - 1.0, bend_x_mm + sheet.poster.arrow_mm)
    across_mm = corner_x_mm - bend_x_mm
    near, next_nearest = (0.12, 0.22) if tip[1] < top_mm + height_mm / 2 else (0.88, 0.78)
    # Off 45 degrees, at which the slanted filling rises.
    starts = [top_mm + height_mm * share for share in (near, next_nearest)]
    start_y_mm = max(starts, key=lambda y_mm: abs(abs(y_mm - tip[1]) - across_mm) > 0.08 * across_mm)
    level = ((x_mm, start_y_mm),) if bend_x_mm > x_mm else ()
    return _place_items(_draw_shaft(sheet, (*level, (bend_x_mm, start_y_mm), (corner_x_mm, tip[1]), tip)))


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


def _place_items(items: tuple[Item, ...]) -> Piece:
    """Strokes where they stand already, in a box that holds them."""
    boxes = [measure_item_box(item) for item in items]
    left_mm, top_mm = min(box.x_mm for box in boxes), min(box.y_mm for box in boxes)
    right_mm, bottom_mm = max(box.right_mm for box in boxes), max(box.bottom_mm for box in boxes)
    box = Box(left_mm, top_mm, right_mm - left_mm, bottom_mm - top_mm)
    return _fix(Piece(0.0, 0.0, (Placed(box, items, None, may_overlap=True),)))
