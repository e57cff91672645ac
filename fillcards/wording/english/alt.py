"""Words that replace a picture: what the picture says, for whoever does not see it."""

from __future__ import annotations

from fillcards.plan.model import Draw, FillPlan
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection, Syringe
from fillcards.wording.english.amounts import reads_as_line, write_line, write_line_every
from fillcards.wording.english.counts import write_place
from fillcards.wording.english.labels import FILL_LINE, FIRST_LINE, TOTAL_LINE, tip

_HELD = {
    BarrelDirection.NEEDLE_UP: "up",
    BarrelDirection.NEEDLE_LEFT: "to the left",
    BarrelDirection.NEEDLE_RIGHT: "to the right",
}

USE_CLOSE_UP = "Use the close picture to count."
"""Said at a barrel whose lines this reader cannot tell apart."""


def write_held(direction: BarrelDirection) -> str:
    """Where a barrel points, to end a sentence: ``up``, ``to the left``."""
    return _HELD[direction]


def name_stop(draw_index: int, fill: FillPlan) -> str:
    """``First line``, ``Total line``, or ``Fill line`` for a single medicine."""
    if not fill.is_mixed:
        return FILL_LINE
    return (FIRST_LINE, TOTAL_LINE)[draw_index]


def write_barrel_alt(fill: FillPlan, draw_index: int, syringe: Syringe, direction: BarrelDirection) -> str:
    """What the enlarged barrel of one draw says: how it is held, where its stop is, what is in it."""
    draw = fill.draws[draw_index]
    held = f"A large syringe, {tip(draw.medicine)} {write_held(direction)}."
    scale = f"Scale from 0 to {write_number(syringe.last_line)}. {write_line_every(draw.medicine, syringe)}"
    stop = f"{_write_stop(fill, draw_index, syringe)} {_write_content(fill, draw_index, syringe)}"
    return f"{held} {scale} {stop}"


def write_close_up_alt(fill: FillPlan, draw_index: int, syringe: Syringe) -> str:
    """What a close-up says: which line the stopper's edge is on."""
    draw = fill.draws[draw_index]
    return (
        f"The lines around the stop, up close. {_write_stop(fill, draw_index, syringe)} "
        f"The edge of the stopper nearest the {tip(draw.medicine)} is on that line."
    )


def write_close_up_caption(fill: FillPlan, draw_index: int, syringe: Syringe) -> str:
    """Under a close-up: ``First line: 8 units. 3 short lines past 5.``"""
    place = write_place(fill.draws[draw_index].count)
    return f"{write_stop_caption(fill, draw_index, syringe)}. {place[0].upper()}{place[1:]}."


def write_barrel_caption(fill: FillPlan, draw_index: int, syringe: Syringe) -> str:
    """Under an enlarged barrel; says that it is not life size."""
    return f"{write_stop_caption(fill, draw_index, syringe)}. Your syringe is smaller."


def write_stop_caption(fill: FillPlan, draw_index: int, syringe: Syringe) -> str:
    """Which stop a picture shows: ``First line: 8 units``."""
    draw = fill.draws[draw_index]
    return f"{name_stop(draw_index, fill)}: {write_line(draw.stop_line, draw.medicine, syringe)}"


def _write_stop(fill: FillPlan, draw_index: int, syringe: Syringe) -> str:
    draw = fill.draws[draw_index]
    where = "" if draw.count.lines == 0 else f", {write_place(draw.count)}"
    line = write_line(draw.stop_line, draw.medicine, syringe)
    at = "on" if reads_as_line(draw.medicine, syringe) else "at"
    return f"{name_stop(draw_index, fill)} {at} {line}{where}."


def _write_content(fill: FillPlan, draw_index: int, syringe: Syringe) -> str:
    draw: Draw = fill.draws[draw_index]
    line = write_line(draw.stop_line, draw.medicine, syringe)
    if draw_index == 0:
        return f"Filled with {draw.medicine.name} up to {line}."
    first = fill.first
    before = write_line(first.stop_line, first.medicine, syringe)
    return f"Filled with the mix up to {line}. The first line, {before}, is a lighter mark."
