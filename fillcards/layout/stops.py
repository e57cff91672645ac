"""A stop set in type: the large figure, and all that belongs to it, under a rule in the style of its line."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from fillcards.card.model import Stop
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.parts import Part, measure_baseline_mm, move_placed, place_lines
from fillcards.layout.setter import SetBlock, Setter, space_parts
from fillcards.layout.sizes import measure_pitch_mm
from fillcards.picture.items import Line
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import CAP_HEIGHT_EM, measure_width_mm, wrap_text

RULE_MM: Final = 1.6
"""Width of the rule above a stop: as heavy as the stop's own line in the pictures."""


def set_stop(setter: Setter, block: Stop, width_mm: float, *, words_beside: bool | None = None) -> SetBlock:
    """A large figure with all that belongs to it, under a rule in the style of its line in the pictures.

    Args:
        setter: counts marks and knows sizes.
        block: the stop.
        width_mm: of the column.
        words_beside: whether unit and words stand beside the figure; ``None``: if there is room.
    """
    if words_beside is None:
        words_beside = fits_beside(setter, block, width_mm)
    parts = [make_stop_rule(width_mm, is_total=block.is_total)]
    head = _set_stop_head(setter, block, width_mm)
    figure = _set_figure_line(setter, block, width_mm, words_beside=words_beside)
    elements = [*head.elements, *figure.elements]
    parts += [*head.parts, *figure.parts]
    tail = [*block.count, *([block.addition] if block.addition else [])]
    for number, sentence in enumerate(tail):
        done = setter.set_text(sentence, setter.sizes.body_pt, width_mm, bold=sentence == block.addition)
        parts += done.parts if number else space_parts(done.parts, 0.0)
        elements += done.elements
    last = len(parts) - 1
    kept = tuple(replace(part, keep_with_next=number != last) for number, part in enumerate(parts))
    return SetBlock(space_parts(kept, setter.sizes.group_gap_mm), tuple(elements))


def fits_beside(setter: Setter, block: Stop, width_mm: float) -> bool:
    """Whether unit and words stand beside the figure within the column."""
    lines = _stack_words(setter, block)
    words_mm = max(measure_width_mm(line, setter.sizes.fact_pt, True) for line in lines)
    figure_mm = measure_width_mm(block.figure, setter.sizes.figure_pt, True)
    return figure_mm + _measure_beside_gap_mm(setter) + words_mm <= width_mm


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
    """The figure; its box is as tall as the digits with a little air, for digits have no descenders."""
    figure_pt, fact_pt = setter.sizes.figure_pt, setter.sizes.fact_pt
    mark, words_mark = setter.take_mark(), setter.take_mark()
    cap_mm = CAP_HEIGHT_EM * convert_pt_to_mm(figure_pt)
    air_mm = 0.05 * convert_pt_to_mm(figure_pt)
    height_mm = cap_mm + 2 * air_mm
    figure = place_lines((block.figure,), figure_pt, bold=True, mark=mark)
    rise_mm = cap_mm + air_mm - measure_baseline_mm(figure_pt)
    figure = move_placed(figure, 0.0, rise_mm)
    figure_box = Box(0.0, 0.0, figure.box.width_mm, height_mm)
    placed = [Placed(figure_box, figure.items, mark)]
    elements = (Element("P", (mark,)), Element("P", (words_mark,)))
    pitch_mm = measure_pitch_mm(fact_pt)
    if words_beside:
        lines = _stack_words(setter, block)
        x_mm = figure_box.width_mm + _measure_beside_gap_mm(setter)
        # The last line stands on the figure's own baseline.
        top_mm = cap_mm + air_mm - measure_baseline_mm(fact_pt) - pitch_mm * (len(lines) - 1)
        words = place_lines(lines, fact_pt, bold=True, mark=words_mark, x_mm=x_mm)
        placed.append(move_placed(words, 0.0, top_mm))
        # Words nearly as large as the figure reach above it, and push it down.
        down_mm = max(0.0, -top_mm)
        moved = tuple(move_placed(each, 0.0, down_mm) for each in placed)
        return SetBlock((Part(max(each.box.bottom_mm for each in moved), moved),), elements)
    below = wrap_text(f"{block.unit} · {block.words}", fact_pt, True, width_mm)
    words = place_lines(below, fact_pt, bold=True, mark=words_mark)
    return SetBlock((Part(height_mm, tuple(placed)), Part(words.box.height_mm, (words,))), elements)


def make_stop_rule(width_mm: float, *, is_total: bool) -> Part:
    """The rule above a stop: one heavy line for the first, two for the total, as the pictures mark them."""
    half_mm = RULE_MM / 2
    lines = [Line(0.0, half_mm, width_mm, half_mm, RULE_MM)]
    if is_total:
        lines.append(Line(0.0, 2.3 * RULE_MM, width_mm, 2.3 * RULE_MM, RULE_MM))
    height_mm = lines[-1].y1_mm + half_mm + RULE_MM / 2
    rule = Placed(Box(0.0, 0.0, width_mm, height_mm), tuple(lines), None)
    return Part(height_mm, (rule,))
