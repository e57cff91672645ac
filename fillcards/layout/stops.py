"""A stop set in type: the large figure and all that belongs to it. The total stands in a frame, as in the pictures."""

from __future__ import annotations

from typing import Final

from fillcards.card.model import Stop
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.parts import Part, make_frame, measure_baseline_mm, move_placed, place_lines
from fillcards.layout.setter import SetBlock, Setter, space_parts
from fillcards.layout.sizes import measure_pitch_mm
from fillcards.picture.items import Line, Polygon
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import CAP_HEIGHT_EM, measure_width_mm

RULE_MM: Final = 1.6
"""Above each stop."""

FRAME_MM: Final = 1.4
"""Around the total, as around its number in the pictures."""


def set_stop(setter: Setter, block: Stop, width_mm: float, *, words_beside: bool | None = None) -> SetBlock:
    """A large figure with all that belongs to it, under a rule.

    Args:
        setter: counts marks and knows sizes.
        block: the stop.
        width_mm: of the column.
        words_beside: whether unit and words stand beside the figure; ``None``: if there is room.
    """
    if words_beside is None:
        words_beside = fits_beside(setter, block, width_mm)
    head = _set_stop_head(setter, block, width_mm)
    figure = _set_figure_line(setter, block, width_mm, words_beside=words_beside)
    elements = [*head.elements, *figure.elements]
    kept = _keep_together((make_stop_rule(width_mm), *head.parts, *figure.parts))
    tail: tuple[Part, ...] = ()
    # A sum stays on one line, so it never comes larger than the steps; nobody needs it to stop a plunger.
    sentences = [(sentence, setter.sizes.fact_pt, False) for sentence in block.count]
    sentences += [(block.addition, setter.sizes.body_pt, True)] if block.addition else []
    for sentence, size_pt, bold in sentences:
        done = setter.set_text(sentence, size_pt, width_mm, bold=bold)
        tail += done.parts if tail else space_parts(done.parts, 0.0)
        elements += done.elements
    # No page may hold a whole stop in print larger than the steps': it goes on overleaf between two sentences.
    if tail and not setter.sizes.facts_lead_steps:
        tail = (*_keep_together(tail[:-1]), tail[-1])
    else:
        kept = (*kept[:-1], kept[-1]._replace(keep_with_next=False))
    return SetBlock(space_parts((*kept, *tail), setter.sizes.group_gap_mm), tuple(elements))


def _keep_together(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    return tuple(part._replace(keep_with_next=True) for part in parts)


def fits_beside(setter: Setter, block: Stop, width_mm: float) -> bool:
    """Whether unit and words stand beside the figure within the column."""
    lines = _stack_words(setter, block)
    words_mm = max(measure_width_mm(line, setter.sizes.fact_pt, True) for line in lines)
    figure_mm = measure_figure_mm(setter, block)
    return figure_mm + _measure_beside_gap_mm(setter) + words_mm <= width_mm


def measure_figure_mm(setter: Setter, block: Stop) -> float:
    """Width of the large figure with its frame."""
    frame_mm = 2 * (FRAME_MM + 0.05 * convert_pt_to_mm(setter.sizes.figure_pt)) if block.is_total else 0.0
    return measure_width_mm(block.figure, setter.sizes.figure_pt, True) + frame_mm


def _stack_words(setter: Setter, block: Stop) -> tuple[str, ...]:
    """Unit above words where the figure is tall enough for two lines beside it, else both on one."""
    if 2 * measure_pitch_mm(setter.sizes.fact_pt) <= CAP_HEIGHT_EM * convert_pt_to_mm(setter.sizes.figure_pt):
        return (block.unit, block.words)
    return (f"{block.unit} · {block.words}",)


def _measure_beside_gap_mm(setter: Setter) -> float:
    return 0.6 * convert_pt_to_mm(setter.sizes.fact_pt)


def _set_stop_head(setter: Setter, block: Stop, width_mm: float) -> SetBlock:
    size_pt = setter.sizes.fact_pt
    label_mm = measure_width_mm(f"{block.label}:  ", size_pt, True)
    if label_mm + measure_width_mm(block.medicine, size_pt, True) <= width_mm:
        return setter.set_text(f"{block.label}: {block.medicine}", size_pt, width_mm, bold=True, role="H2")
    label = setter.set_text(f"{block.label}:", size_pt, width_mm, bold=True, role="H2")
    medicine = setter.set_text(block.medicine, size_pt, width_mm, bold=True)
    return SetBlock((*label.parts, *medicine.parts), (*label.elements, *medicine.elements))


def _set_figure_line(setter: Setter, block: Stop, width_mm: float, *, words_beside: bool) -> SetBlock:
    """The figure with unit and words; the words' last line stands on the figure's own baseline."""
    fact_pt = setter.sizes.fact_pt
    mark, words_mark = setter.take_mark(), setter.take_mark()
    figure, baseline_mm = _place_figure(setter, block, mark)
    elements = (Element("P", (mark,)), Element("P", (words_mark,)))
    if words_beside:
        lines = _stack_words(setter, block)
        x_mm = figure[0].box.right_mm + _measure_beside_gap_mm(setter)
        top_mm = baseline_mm - measure_baseline_mm(fact_pt) - measure_pitch_mm(fact_pt) * (len(lines) - 1)
        words = move_placed(place_lines(lines, fact_pt, bold=True, mark=words_mark, x_mm=x_mm), 0.0, top_mm)
        # Words nearly as large as the figure reach above it, and push it down.
        placed = tuple(move_placed(each, 0.0, max(0.0, -top_mm)) for each in (*figure, words))
        return SetBlock((Part(max(each.box.bottom_mm for each in placed), placed),), elements)
    below = setter.breaker.wrap(f"{block.unit} · {block.words}", fact_pt, True, width_mm)
    words = place_lines(below, fact_pt, bold=True, mark=words_mark)
    figure_part = Part(figure[0].box.bottom_mm, figure)
    return SetBlock((figure_part, Part(words.box.height_mm, (words,))), elements)


def _place_figure(setter: Setter, block: Stop, mark: int) -> tuple[tuple[Placed, ...], float]:
    """The digits, and where their baseline is; the total stands in a frame, as its number does in the pictures.

    The box is as tall as the digits with a little air: digits have no descenders.
    """
    figure_pt = setter.sizes.figure_pt
    cap_mm = CAP_HEIGHT_EM * convert_pt_to_mm(figure_pt)
    air_mm = 0.05 * convert_pt_to_mm(figure_pt)
    frame_mm = FRAME_MM + air_mm if block.is_total else 0.0
    baseline_mm = cap_mm + air_mm + FRAME_MM if block.is_total else cap_mm + air_mm
    line = place_lines((block.figure,), figure_pt, bold=True, mark=mark, x_mm=frame_mm)
    items = move_placed(line, 0.0, baseline_mm - measure_baseline_mm(figure_pt)).items
    width_mm, height_mm = line.box.width_mm, cap_mm + 2 * air_mm
    if not block.is_total:
        return (Placed(Box(0.0, 0.0, width_mm, height_mm), items, mark),), baseline_mm
    outer = Box(0.0, 0.0, width_mm + 2 * frame_mm, height_mm + 2 * FRAME_MM)
    inner = Box(frame_mm, FRAME_MM, width_mm, height_mm)
    frame = Polygon(make_frame(outer, FRAME_MM), None, FRAME_MM)
    return (Placed(outer, (frame,), None, may_overlap=True), Placed(inner, items, mark)), baseline_mm


def make_stop_rule(width_mm: float) -> Part:
    """The rule above a stop."""
    rule = Line(0.0, RULE_MM / 2, width_mm, RULE_MM / 2, RULE_MM)
    return Part(1.5 * RULE_MM, (Placed(Box(0.0, 0.0, width_mm, RULE_MM), (rule,), None),))
