"""The pictures of a fill with the words that replace them: an enlarged barrel for each draw, and close-ups."""

from __future__ import annotations

from typing import Final

from fillcards.card.model import Barrels, Figure, FigurePair, LineGaps
from fillcards.catalogue.model import Paper
from fillcards.picture.close_up import Room, draw_close_up, measure_close_up_gap_mm, measure_close_up_mm
from fillcards.plan.model import FillPlan, Plan
from fillcards.plan.print_size import PrintSize, measure_scale_gap_mm
from fillcards.regimen.model import Regimen
from fillcards.wording.english import alt
from fillcards.wording.english.labels import write_fill_name

SIDE_MARGINS_MM: Final = 30.0
GUTTER_MM: Final = 12.0

CLOSE_UP_HEIGHT_MM: Final = 78.0
LEAST_NUMBER_PT: Final = 14.0
NUMBER_STEP_PT: Final = 2.0
MOST_NUMBER_PT: Final = 28.0

BARREL_NUMBER_TO_BODY: Final = 0.75
"""The barrel's numbers stand beside figures that say the same in words, and may be smaller than the text."""


def build_barrels(fill: FillPlan, regimen: Regimen, size: PrintSize) -> Barrels:
    """The enlarged barrels of a fill, one a draw, in drawing order."""
    direction = regimen.print.barrel
    draws = range(len(fill.draws))
    return Barrels(
        fill,
        regimen.syringe,
        direction,
        tuple(alt.write_barrel_alt(fill, index, regimen.syringe, direction) for index in draws),
        tuple(alt.write_barrel_caption(fill, index, regimen.syringe) for index in draws),
        size.line_gap_mm,
        alt.USE_CLOSE_UP,
        _limit_number_pt(BARREL_NUMBER_TO_BODY * size.body_pt),
    )


def build_close_ups(fill: FillPlan, regimen: Regimen, size: PrintSize, paper: Paper) -> FigurePair:
    """The lines around each stop, side by side for two draws."""
    room = _measure_room(regimen, size, paper)
    number_pt = _choose_number_pt(fill, regimen, size, paper)
    return FigurePair(
        tuple(
            Figure(
                draw_close_up(
                    regimen.syringe,
                    draw,
                    is_total=index == 1,
                    width_mm=room.width_mm,
                    height_mm=room.height_mm,
                    direction=room.direction,
                    number_pt=number_pt,
                    least_gap_mm=room.least_gap_mm,
                ),
                alt.write_close_up_alt(fill, index, regimen.syringe),
                alt.write_close_up_caption(fill, index, regimen.syringe),
            )
            for index, draw in enumerate(fill.draws)
        )
    )


def build_line_gaps(plan: Plan, size: PrintSize, paper: Paper) -> LineGaps:
    """How far apart the scale's lines are in the close-ups, and how far apart this reader needs them."""
    syringe = plan.regimen.syringe
    room = _measure_room(plan.regimen, size, paper)

    def measure(fill: FillPlan) -> float:
        number_pt = _choose_number_pt(fill, plan.regimen, size, paper)
        return min(
            measure_close_up_gap_mm(syringe, draw, is_total=index == 1, room=room, number_pt=number_pt)
            for index, draw in enumerate(fill.draws)
        )

    return LineGaps(
        tuple(write_fill_name(fill.fill) for fill in plan.fills),
        tuple(measure(fill) for fill in plan.fills),
        measure_scale_gap_mm(syringe, syringe.shortest_scale_length_mm),
        size.line_gap_mm,
    )


def _measure_room(regimen: Regimen, size: PrintSize, paper: Paper) -> Room:
    """The place of one close-up of two."""
    width_mm = (float(paper.width_mm) - SIDE_MARGINS_MM - GUTTER_MM) / 2
    return Room(regimen.print.barrel, width_mm, CLOSE_UP_HEIGHT_MM, size.line_gap_mm)


def _choose_number_pt(fill: FillPlan, regimen: Regimen, size: PrintSize, paper: Paper) -> float:
    """Numbers of the close-ups as large as the text, or smaller until each close-up fits between the margins."""
    width_mm = float(paper.width_mm) - SIDE_MARGINS_MM
    number_pt = _limit_number_pt(size.body_pt)
    while number_pt > LEAST_NUMBER_PT:
        widths_mm = (
            measure_close_up_mm(
                regimen.syringe,
                draw,
                is_total=index == 1,
                direction=regimen.print.barrel,
                number_pt=number_pt,
                least_gap_mm=size.line_gap_mm,
            )[0]
            for index, draw in enumerate(fill.draws)
        )
        if max(widths_mm) <= width_mm:
            return number_pt
        number_pt -= NUMBER_STEP_PT
    return LEAST_NUMBER_PT


def _limit_number_pt(size_pt: float) -> float:
    return min(max(LEAST_NUMBER_PT, size_pt), MOST_NUMBER_PT)
