"""Blocks of the card set in type: each becomes measured parts and the elements that name them in the structure tree."""

from __future__ import annotations

from typing import Final

from fillcards.card.model import (
    Band,
    Block,
    Figure,
    FigurePair,
    Heading,
    LineGaps,
    Paragraph,
    Points,
    Steps,
    Stop,
    Table,
    Weight,
    WriteIn,
)
from fillcards.layout.flow import EASE_MM, make_too_wide_problem
from fillcards.layout.forms import set_table, set_write_in
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.parts import Part, make_frame, measure_baseline_mm, move_placed, place_lines, stack_parts
from fillcards.layout.setter import SetBlock, Setter, space_parts
from fillcards.layout.sizes import LINE_PITCH, TITLE_PITCH
from fillcards.layout.stops import set_stop
from fillcards.picture.items import Dot, Polygon, place_drawing
from fillcards.problems import RegimenRefused
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import measure_width_mm, wrap_text
from fillcards.wording.english.makers import write_line_gaps

BAND_FRAME_MM: Final = 1.2


def set_block(setter: Setter, block: Block, width_mm: float) -> SetBlock:
    """Any block of the card, set in a column of the given width."""
    match block:
        case Heading():
            return _set_heading(setter, block, width_mm)
        case Paragraph():
            return _set_paragraph(setter, block, width_mm)
        case Band():
            return _set_band(setter, block, width_mm)
        case Stop():
            return set_stop(setter, block, width_mm)
        case Figure():
            return _set_figure(setter, block, width_mm)
        case FigurePair():
            return _set_figures(setter, block, width_mm)
        case Steps():
            return _set_steps(setter, block, width_mm)
        case Points():
            return _set_points(setter, block, width_mm)
        case WriteIn():
            return set_write_in(setter, block, width_mm)
        case Table():
            return set_table(setter, block, width_mm)
        case LineGaps():
            return _set_line_gaps(setter, block, width_mm)


def leads_to(block: Block, following: Block) -> bool:
    """Whether a block is read with the one after it: the words before a line to write on, the rule before the dates
    it gives, a warning before the steps.
    """
    if isinstance(following, WriteIn):
        return True
    if not isinstance(block, Paragraph):
        return False
    is_dates = isinstance(following, Paragraph) and following.weight is Weight.STRONG and block.weight is Weight.BODY
    return is_dates or isinstance(following, Steps)


def _set_heading(setter: Setter, block: Heading, width_mm: float) -> SetBlock:
    is_title = block.level == 1
    size_pt, pitch = (setter.sizes.title_pt, TITLE_PITCH) if is_title else (setter.sizes.heading_pt, LINE_PITCH)
    done = setter.set_text(block.text, size_pt, width_mm, bold=True, role=f"H{block.level}", pitch=pitch)
    above_mm = setter.sizes.gap_mm if is_title else 2.5 * setter.sizes.gap_mm
    parts = tuple(part._replace(keep_with_next=True) for part in done.parts)
    return SetBlock(space_parts(parts, above_mm), done.elements)


def _set_paragraph(setter: Setter, block: Paragraph, width_mm: float) -> SetBlock:
    size_pt = setter.sizes.fact_pt if block.weight in {Weight.FACT, Weight.STRONG} else setter.sizes.body_pt
    done = setter.set_text(block.text, size_pt, width_mm, bold=block.weight is Weight.STRONG)
    return SetBlock(space_parts(done.parts, setter.sizes.gap_mm), done.elements)


def _set_band(setter: Setter, block: Band, width_mm: float) -> SetBlock:
    mark = setter.take_mark()
    part = make_band(block.text, setter.sizes.band_pt, width_mm, mark)
    return SetBlock((part,), (Element("P", (mark,)),))


def _set_figure(setter: Setter, block: Figure, width_mm: float) -> SetBlock:
    drawing = block.drawing
    if drawing.width_mm > width_mm + EASE_MM:
        raise RegimenRefused((make_too_wide_problem(drawing.width_mm, width_mm),))
    mark = setter.take_mark()
    box = Box(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    picture = Part(
        drawing.height_mm,
        (Placed(box, place_drawing(drawing, 0.0, 0.0), mark),),
        2 * setter.sizes.gap_mm,
        keep_with_next=block.caption is not None,
    )
    figure = Element("Figure", (mark,), alt=block.alt)
    if block.caption is None:
        return SetBlock((picture,), (figure,))
    caption = setter.set_text(block.caption, setter.sizes.body_pt, width_mm, bold=False)
    # One piece: where picture and words are taller than a page, the words go overleaf whole, not from mid-sentence on.
    words = Part(*stack_parts(caption.parts), setter.sizes.gap_mm / 2)
    return SetBlock((picture, words), (figure, *caption.elements))


def _set_figures(setter: Setter, block: FigurePair, width_mm: float) -> SetBlock:
    """Side by side if the column holds them, else one below the other."""
    gutter_mm = 2 * setter.sizes.gap_mm
    widths = [figure.drawing.width_mm for figure in block.figures]
    if sum(widths) + gutter_mm * (len(widths) - 1) > width_mm:
        done = [_set_figure(setter, figure, width_mm) for figure in block.figures]
        return SetBlock(tuple(p for d in done for p in d.parts), tuple(e for d in done for e in d.elements))
    column_mm = (width_mm - gutter_mm * (len(widths) - 1)) / len(widths)
    spare_mm = width_mm - sum(widths) - gutter_mm * (len(widths) - 1)
    placed: list[Placed] = []
    elements: list[Element] = []
    x_mm = height_mm = 0.0
    for figure, figure_mm in zip(block.figures, widths, strict=True):
        own_mm = column_mm if max(widths) <= column_mm else figure_mm + spare_mm / len(widths)
        done_one = _set_figure(setter, figure, own_mm)
        own_height_mm, own = stack_parts(done_one.parts)
        placed += [move_placed(item, x_mm, 0.0) for item in own]
        elements += done_one.elements
        height_mm = max(height_mm, own_height_mm)
        x_mm += own_mm + gutter_mm
    return SetBlock((Part(height_mm, tuple(placed), 2 * setter.sizes.gap_mm),), tuple(elements))


def _set_steps(setter: Setter, block: Steps, width_mm: float) -> SetBlock:
    """Numbers hang in a column of their own. A step stays whole; the first and the last two stay together."""
    size_pt = setter.sizes.body_pt
    last_number = block.first_number + len(block.items) - 1
    indent_mm = measure_width_mm(f"{max(last_number, 88)}. ", size_pt, True)
    parts: list[Part] = []
    elements: list[Element] = []
    for position, text in enumerate(block.items):
        label_mark, body_mark = setter.take_mark(), setter.take_mark()
        label = place_lines((f"{block.first_number + position}.",), size_pt, bold=True, mark=label_mark)
        lines = setter.breaker.wrap(text, size_pt, False, width_mm - indent_mm)
        body = place_lines(lines, size_pt, bold=False, mark=body_mark, x_mm=indent_mm)
        is_kept = position in {0, len(block.items) - 2}
        parts.append(Part(body.box.height_mm, (label, body), setter.sizes.gap_mm, keep_with_next=is_kept))
        elements.append(Element("LI", (Element("Lbl", (label_mark,)), Element("LBody", (body_mark,)))))
    parts[-1] = parts[-1]._replace(keep_with_next=False)
    return SetBlock(tuple(parts), (Element("L", tuple(elements)),))


def _set_points(setter: Setter, block: Points, width_mm: float) -> SetBlock:
    """A dot before each; the dot is paint, the list says the rest."""
    size_pt = setter.sizes.body_pt
    size_mm = convert_pt_to_mm(size_pt)
    indent_mm, dot_mm = 0.9 * size_mm, 0.26 * size_mm
    parts: list[Part] = []
    elements: list[Element] = []
    for text in block.items:
        mark = setter.take_mark()
        bold = block.weight is Weight.STRONG
        lines = setter.breaker.wrap(text, size_pt, bold, width_mm - indent_mm)
        body = place_lines(lines, size_pt, bold=bold, mark=mark, x_mm=indent_mm)
        y_mm = measure_baseline_mm(size_pt) - 0.25 * size_mm
        dot = Placed(Box(0.0, y_mm - dot_mm / 2, dot_mm, dot_mm), (Dot(dot_mm / 2, y_mm, dot_mm),), None)
        parts.append(Part(body.box.height_mm, (dot, body), setter.sizes.gap_mm))
        elements.append(Element("LI", (Element("LBody", (mark,)),)))
    return SetBlock(tuple(parts), (Element("L", tuple(elements)),))


def _set_line_gaps(setter: Setter, block: LineGaps, width_mm: float) -> SetBlock:
    """What the card knows of the scale's lines, with what the layout made of the barrels."""
    told = write_line_gaps(block.names, setter.barrel_gaps_mm, block.close_up_mm, block.real_mm, block.least_mm)
    return _set_points(setter, Points(told), width_mm)


def make_band(text: str, size_pt: float, width_mm: float, mark: int | None) -> Part:
    """Words in a heavy frame across the page; without a mark it is a repeat and is not read again."""
    # Lines bring white space of their own above and below; page one in large print has none to give away.
    pad_mm, rise_mm = (share * convert_pt_to_mm(size_pt) + BAND_FRAME_MM for share in (0.35, 0.1))
    lines = wrap_text(text, size_pt, True, width_mm - 2 * pad_mm)
    words = move_placed(place_lines(lines, size_pt, bold=True, mark=mark), pad_mm, rise_mm)
    height_mm = words.box.height_mm + 2 * rise_mm
    box = Box(0.0, 0.0, width_mm, height_mm)
    frame = Polygon(make_frame(box, BAND_FRAME_MM), None, BAND_FRAME_MM)
    return Part(height_mm, (Placed(box, (frame,), None, may_overlap=True), words))
