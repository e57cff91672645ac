"""The pictures of a fill with the words that replace them: an enlarged barrel for each draw, and close-ups."""

from __future__ import annotations

from typing import Final

from fillcards.card.model import Barrels, Figure, FigurePair
from fillcards.catalogue.model import Paper
from fillcards.picture.close_up import draw_close_up
from fillcards.plan.model import FillPlan
from fillcards.plan.print_size import PrintSize
from fillcards.regimen.model import Regimen
from fillcards.wording.english import alt

SIDE_MARGINS_MM: Final = 30.0
GUTTER_MM: Final = 12.0

CLOSE_UP_HEIGHT_MM: Final = 78.0
LEAST_NUMBER_PT: Final = 14.0
MOST_NUMBER_PT: Final = 28.0


def build_barrels(fill: FillPlan, regimen: Regimen) -> Barrels:
    """The enlarged barrels of a fill, one a draw, in drawing order."""
    direction = regimen.print.barrel
    draws = range(len(fill.draws))
    return Barrels(
        fill,
        regimen.syringe,
        direction,
        tuple(alt.write_barrel_alt(fill, index, regimen.syringe, direction) for index in draws),
        tuple(alt.write_barrel_caption(fill, index, regimen.syringe) for index in draws),
    )


def build_close_ups(fill: FillPlan, regimen: Regimen, size: PrintSize, paper: Paper) -> FigurePair:
    """The lines around each stop, side by side for two draws."""
    live_mm = float(paper.width_mm) - SIDE_MARGINS_MM
    return FigurePair(
        tuple(
            Figure(
                draw_close_up(
                    regimen.syringe,
                    draw,
                    is_total=index == 1,
                    width_mm=(live_mm - GUTTER_MM) / 2,
                    height_mm=CLOSE_UP_HEIGHT_MM,
                    direction=regimen.print.barrel,
                    number_pt=min(max(LEAST_NUMBER_PT, size.body_pt), MOST_NUMBER_PT),
                ),
                alt.write_close_up_alt(fill, index, regimen.syringe),
                alt.write_close_up_caption(fill, index, regimen.syringe),
            )
            for index, draw in enumerate(fill.draws)
        )
    )
