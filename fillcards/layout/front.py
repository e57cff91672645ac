"""A fill's sheets: page one by its budget, with the barrels beside the stops where they fit, then all the rest.

Page one holds the two large figures and nothing that competes with them. What it cannot hold at the patient's print
size goes on overleaf; nothing is made smaller.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from fillcards.card.model import Block, Figure, FigurePair, FillSheets, Heading, Paragraph, Stop
from fillcards.layout.barrels import FittedBarrels, fit_barrels
from fillcards.layout.blocks import set_block
from fillcards.layout.flow import flow_parts, make_too_tall_problem, measure_parts_mm
from fillcards.layout.model import Element, Page, Placed
from fillcards.layout.parts import Part, move_placed, stack_parts
from fillcards.layout.setter import space_parts
from fillcards.layout.sheets import Sheets
from fillcards.layout.sizes import measure_pitch_mm
from fillcards.layout.stops import fits_beside, measure_figure_mm, set_stop
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import BarrelDirection
from fillcards.typeface import TextTooWide, wrap_text

LEAST_STOP_COLUMN_MM: Final = 84.0
"""Narrower than this the stops stand alone and the barrels lead the next page."""

MOST_EXTRA_GAP_MM: Final = 7.0
"""Page one spreads what room is left between its groups, up to this much each."""


def place_fill(fill: FillSheets, sheets: Sheets, number: int) -> list[Page]:
    """All pages of a fill.

    Args:
        fill: what they say.
        sheets: made for this fill; collects its elements.
        number: of the fill, from 1.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if something is taller than a page.
        TextTooWide: a number is wider than a line.
    """
    front, has_barrels = _set_front(fill, sheets)
    pages = flow_parts(front, sheets.room_mm, sheets.later_room_mm)
    # What page one could not hold goes on overleaf, and the rest follows on the same page.
    over = pages.pop() if len(pages) > 1 else []
    after = [*over]
    if not has_barrels:
        used_mm = measure_parts_mm(over) + 2 * sheets.sizes.gap_mm if over else 0.0
        after += _set_barrels_alone(fill, sheets, used_mm)
    for before, block in zip((None, *fill.after), fill.after, strict=False):
        after += sheets.set(block, has_heading=isinstance(before, Heading))
    return sheets.make_pages([*pages, *flow_parts(after, sheets.later_room_mm, sheets.later_room_mm)], number)


def _set_front(fill: FillSheets, sheets: Sheets) -> tuple[list[Part], bool]:
    """Page one's parts, and whether the barrels are among them."""
    stops = tuple(block for block in fill.front if isinstance(block, Stop))
    position = fill.front.index(stops[0])
    above, below = fill.front[:position], fill.front[position + len(stops) :]
    mark, elements = sheets.setter.next_mark, sheets.elements
    # A barrel that serves this reader on the next page is better than one that does not on this.
    for must_serve in (True, False):
        if must_serve or not _can_serve_alone(fill, sheets):
            try:
                front = _set_front_with_barrels(fill, stops, above, below, sheets, must_serve=must_serve)
            except TextTooWide:
                front = None
            if front is not None:
                return _spread(front, sheets), True
            sheets.setter.next_mark, sheets.elements = mark, elements
    head, lines = set_facts(above, sheets), set_stops(stops, sheets)
    is_short = measure_parts_mm([*head, *lines]) > sheets.room_mm
    if is_short and measure_parts_mm([*head, *sheets.running_lines]) <= sheets.room_mm:
        # Page one must not look as if its stop were the only one. The next page says both at its top already.
        head += sheets.running_lines
    return _spread([*head, *lines, *set_facts(below, sheets)], sheets), False


def _set_front_with_barrels(
    fill: FillSheets,
    stops: tuple[Stop, ...],
    above: tuple[Block, ...],
    below: tuple[Block, ...],
    sheets: Sheets,
    *,
    must_serve: bool,
) -> list[Part] | None:
    """Page one with upright barrels in a column beside the stops, or level ones below; ``None`` if they do not fit."""
    if fill.barrels.direction is not BarrelDirection.NEEDLE_UP:
        return _set_front_over_barrels(fill, stops, above, below, sheets, must_serve=must_serve)
    above_parts = set_facts(above, sheets)
    mark, elements = sheets.setter.next_mark, sheets.elements
    below_parts = set_facts(below, sheets)
    others_mm = measure_parts_mm([*above_parts, *below_parts]) + sheets.sizes.group_gap_mm
    sheets.setter.next_mark, sheets.elements = mark, elements
    gutter_mm = 2.5 * sheets.sizes.gap_mm
    widest_mm = max(measure_figure_mm(sheets.setter, stop) for stop in stops)
    most_mm = sheets.width_mm - gutter_mm - max(LEAST_STOP_COLUMN_MM, widest_mm)
    each_mm = (most_mm - gutter_mm / 2 * (len(stops) - 1)) / len(stops)
    fitted = fit_barrels(fill.barrels, each_mm, sheets.room_mm - others_mm, must_serve=must_serve)
    if fitted is None:
        return None
    beside, barrel_elements = _set_beside(stops, fitted.figures, gutter_mm, sheets)
    below_parts = set_facts(below, sheets)
    sheets.elements += barrel_elements
    parts = [*above_parts, beside, *_set_too_fine(fill, fitted, sheets), *below_parts]
    return None if measure_parts_mm(parts) > sheets.room_mm else parts


def _set_front_over_barrels(
    fill: FillSheets,
    stops: tuple[Stop, ...],
    above: tuple[Block, ...],
    below: tuple[Block, ...],
    sheets: Sheets,
    *,
    must_serve: bool,
) -> list[Part] | None:
    """Page one with the level barrels below the stops, where so much room is left."""
    parts = [*set_facts(above, sheets), *set_stops(stops, sheets)]
    below_parts = set_facts(below, sheets)
    count = len(fill.barrels.alts)
    gap_mm = 2 * sheets.sizes.gap_mm
    spare_mm = sheets.room_mm - measure_parts_mm([*parts, *below_parts])
    fitted = fit_barrels(fill.barrels, sheets.width_mm, spare_mm / count - gap_mm, must_serve=must_serve)
    if fitted is None:
        return None
    for figure in fitted.figures:
        parts += sheets.set(figure)
    parts += [*_set_too_fine(fill, fitted, sheets), *below_parts]
    return None if measure_parts_mm(parts) > sheets.room_mm else parts


def _set_too_fine(fill: FillSheets, fitted: FittedBarrels, sheets: Sheets) -> tuple[Part, ...]:
    """Remember how far apart the barrel's lines are, and say so where this reader cannot tell them apart."""
    sheets.barrel_gap_mm = fitted.line_gap_mm
    return sheets.set(Paragraph(fill.barrels.too_fine)) if fitted.is_too_fine else ()


def set_stops(stops: tuple[Stop, ...], sheets: Sheets) -> list[Part]:
    """The stops across the whole width, without barrels beside them."""
    return [part for stop in stops for part in sheets.set(stop)]


def _set_beside(
    stops: tuple[Stop, ...], figures: tuple[Figure, ...], gutter_mm: float, sheets: Sheets
) -> tuple[Part, tuple[Element, ...]]:
    """Stops in the left column, barrels in the right, as one part."""
    barrels_mm = sum(figure.drawing.width_mm for figure in figures) + gutter_mm / 2 * (len(figures) - 1)
    column_mm = sheets.width_mm - barrels_mm - gutter_mm
    words_beside = all(fits_beside(sheets.setter, stop, column_mm) for stop in stops)
    column: list[Part] = []
    for stop in stops:
        done = set_stop(sheets.setter, stop, column_mm, words_beside=words_beside)
        sheets.elements += done.elements
        column += done.parts
    height_mm, left = stack_parts(column)
    placed: list[Placed] = [*left]
    elements: list[Element] = []
    x_mm = sheets.width_mm - barrels_mm
    for figure in figures:
        done = set_block(sheets.setter, figure, figure.drawing.width_mm)
        placed += [move_placed(item, x_mm, 0.0) for part in done.parts for item in part.placed]
        elements += done.elements
        x_mm += figure.drawing.width_mm + gutter_mm / 2
    height_mm = max(height_mm, *(figure.drawing.height_mm for figure in figures))
    return Part(height_mm, tuple(placed), sheets.sizes.group_gap_mm), tuple(elements)


def _set_barrels_alone(fill: FillSheets, sheets: Sheets, used_mm: float) -> tuple[Part, ...]:
    """The barrels: side by side if held upright, else one below the other.

    They lead page two, under what page one could not hold (``used_mm``) if they fit there, else on the next; with
    their captions if those leave room, else without, for the tag in the picture names the line as well. Before all
    that goes that this reader can tell the lines apart; where no page can show them so, that is said below.
    """
    barrels = fill.barrels
    width_mm, rows = _measure_alone(fill, sheets)
    note_mm = _measure_caption_mm(barrels.too_fine, sheets.width_mm, sheets) if barrels.too_fine else 0.0
    # At worst the words below the barrels go on overleaf.
    for must_serve, kept_mm in ((True, 0.0), (False, note_mm), (False, 0.0)):
        for captions in (barrels.captions, (None,) * len(barrels.alts)):
            caption_mm = max(_measure_caption_mm(caption, width_mm, sheets) for caption in captions)
            for room_mm in (sheets.later_room_mm - used_mm - kept_mm, sheets.later_room_mm - kept_mm):
                fitted = fit_barrels(barrels, width_mm, room_mm / rows - caption_mm, must_serve=must_serve)
                if fitted is not None:
                    captioned = zip(fitted.figures, captions, strict=True)
                    pair = FigurePair(tuple(replace(figure, caption=words) for figure, words in captioned))
                    return sheets.set(pair) + _set_too_fine(fill, fitted, sheets)
    sideways = "" if rows > 1 else ", or barrel: needle_left"
    remedy = f"choose a larger paper or a smaller text size{sideways}"
    raise RegimenRefused((make_too_tall_problem("the barrel at twice its size", sheets.later_room_mm / rows, remedy),))


def _can_serve_alone(fill: FillSheets, sheets: Sheets) -> bool:
    """Whether a page of their own holds barrels whose lines this reader can tell apart."""
    width_mm, rows = _measure_alone(fill, sheets)
    room_mm = sheets.later_room_mm / rows - _measure_caption_mm(None, width_mm, sheets)
    return fit_barrels(fill.barrels, width_mm, room_mm, must_serve=True) is not None


def _measure_alone(fill: FillSheets, sheets: Sheets) -> tuple[float, int]:
    """Width for each barrel on a page of their own, and how many stand one below the other."""
    count = len(fill.barrels.alts)
    if fill.barrels.direction is not BarrelDirection.NEEDLE_UP:
        return sheets.width_mm, count
    return (sheets.width_mm - 2 * sheets.sizes.gap_mm * (count - 1)) / count, 1


def _measure_caption_mm(caption: str | None, width_mm: float, sheets: Sheets) -> float:
    """Height of a caption with the space above it, and that between one row of pictures and the next."""
    size_pt = sheets.sizes.body_pt
    lines = 0 if caption is None else len(wrap_text(caption, size_pt, False, width_mm))
    return lines * measure_pitch_mm(size_pt) + 2 * sheets.sizes.gap_mm


def set_facts(blocks: tuple[Block, ...], sheets: Sheets) -> list[Part]:
    """Facts that follow one another stand close, as one group; the first stands apart from what is above it.

    In print where every fact may take a page, the title waits for none of them.
    """
    parts: list[Part] = []
    for before, block in zip((None, *blocks), blocks, strict=False):
        done = sheets.set(block)
        if isinstance(block, Paragraph):
            is_apart = not isinstance(before, Heading | Paragraph)
            done = space_parts(done, sheets.sizes.group_gap_mm if is_apart else sheets.sizes.fact_gap_mm)
        elif isinstance(block, Heading) and sheets.sizes.facts_lead_steps:
            done = (*done[:-1], done[-1]._replace(keep_with_next=False))
        parts += done
    return parts


def _spread(parts: list[Part], sheets: Sheets) -> list[Part]:
    """The room left on page one goes between its groups, never inside them."""
    spare_mm = sheets.room_mm - measure_parts_mm(parts)
    least_mm = min(sheets.sizes.gap_mm, sheets.sizes.group_gap_mm)
    gaps = [number for number, part in enumerate(parts) if number and part.space_before_mm >= least_mm]
    if spare_mm <= 0 or not gaps:
        return parts
    extra_mm = min(spare_mm / len(gaps), MOST_EXTRA_GAP_MM)
    return [
        part._replace(space_before_mm=part.space_before_mm + extra_mm) if number in gaps else part
        for number, part in enumerate(parts)
    ]
