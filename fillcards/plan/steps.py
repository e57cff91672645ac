"""The acts of one fill in the field's order, each with the medicine and the line it is about. No words.

The order of air, clear and cloudy is common practice, told alike by the nursing pages of facts 4.1 (no standard states
it). What to do past the total line, or with a large bubble in the mixture, is no step: the card says it apart.
"""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.catalogue.model import Motion, Route
from fillcards.plan.model import Act, Draw, Step
from fillcards.regimen.model import PatientKind


def order_steps(draws: tuple[Draw, ...], patient: PatientKind) -> tuple[Step, ...]:
    """All acts of a fill, from washing the hands to writing it down.

    Args:
        draws: one or two, in the order they are drawn.
        patient: an animal's card tells no injection or feeding technique for people.
    """
    route = draws[0].medicine.route
    if route is Route.BY_MOUTH:
        return (*_prepare_bottle(draws[0]), *_draw_by_mouth(draws[0]), *_finish_by_mouth(patient))
    drawing = _draw_mixed(*draws) if len(draws) == 2 else _draw_single(draws[0])
    return (*_prepare_vials(draws), *drawing, *_finish_injection(route, patient))


def _look_over(draws: tuple[Draw, ...]) -> Iterator[Step]:
    yield Step(Act.WASH_HANDS)
    yield from (Step(Act.CHECK_LABEL, draw) for draw in draws)
    yield from (Step(Act.MAKE_EVEN, draw) for draw in draws if draw.medicine.motion is not Motion.NONE)
    yield from (Step(Act.LOOK_AT_VIAL, draw) for draw in draws)


def _prepare_vials(draws: tuple[Draw, ...]) -> Iterator[Step]:
    yield from _look_over(draws)
    yield Step(Act.WIPE_TOPS)
    yield Step(Act.CHECK_SYRINGE)


def _enter_vial(draw: Draw) -> Iterator[Step]:
    """Into the vial that is drawn from next: with its air, or with the plunger at the zero line where it takes none."""
    if draw.air_line is None:
        yield Step(Act.PUT_NEEDLE_INTO_VIAL, draw)
    else:
        yield Step(Act.PULL_AIR, draw, draw.air_line)
        yield Step(Act.PUSH_AIR_IN, draw)
    yield Step(Act.TURN_OVER, draw)


def _draw_single(draw: Draw) -> Iterator[Step]:
    yield from _enter_vial(draw)
    yield Step(Act.DRAW_TO_LINE, draw, draw.stop_line)
    yield Step(Act.LOOK_FOR_BUBBLES, draw, draw.stop_line)
    yield Step(Act.CHECK_LINE, draw, draw.stop_line)
    yield Step(Act.TAKE_NEEDLE_OUT, draw)


def _draw_mixed(clear: Draw, cloudy: Draw) -> Iterator[Step]:
    """Air into the cloudy vial, air into the clear one, draw clear, draw cloudy."""
    if cloudy.air_line is not None:
        yield Step(Act.PULL_AIR, cloudy, cloudy.air_line)
        yield Step(Act.PUSH_AIR_ABOVE_LIQUID, cloudy)
        yield Step(Act.TAKE_NEEDLE_OUT_EMPTY, cloudy)
    yield from _enter_vial(clear)
    yield Step(Act.DRAW_TO_FIRST_LINE, clear, clear.stop_line)
    # Bubbles are put right here, while all that is in the syringe belongs to this vial; after the second draw
    # nothing may go back into either.
    yield Step(Act.LOOK_FOR_BUBBLES, clear, clear.stop_line)
    yield Step(Act.CHECK_FIRST_LINE, clear, clear.stop_line)
    yield Step(Act.TAKE_NEEDLE_OUT, clear)
    yield Step(Act.ENTER_SECOND_VIAL, cloudy)
    yield Step(Act.TURN_OVER, cloudy)
    yield Step(Act.DRAW_TO_TOTAL_LINE, cloudy, cloudy.stop_line)
    yield Step(Act.CHECK_TOTAL_LINE, cloudy, cloudy.stop_line)
    yield Step(Act.TAKE_NEEDLE_OUT, cloudy)


def _finish_injection(route: Route, patient: PatientKind) -> tuple[Step, ...]:
    if patient is PatientKind.ANIMAL:
        acts: tuple[Act, ...] = (Act.AS_VETERINARIAN_TAUGHT,)
    elif route is Route.INTO_MUSCLE:
        acts = (Act.AS_TAUGHT,)
    else:
        acts = (
            Act.CHOOSE_PLACE,
            Act.CLEAN_SKIN,
            Act.LET_SKIN_DRY,
            Act.LIFT_SKIN,
            Act.PUT_NEEDLE_IN,
            Act.PUSH_PLUNGER,
            Act.TAKE_OUT_OF_SKIN,
        )
    return tuple(Step(act) for act in (*acts, Act.INTO_SHARPS, Act.WRITE_DOWN))


def _prepare_bottle(draw: Draw) -> Iterator[Step]:
    yield from _look_over((draw,))
    yield Step(Act.CHECK_SYRINGE)


def _draw_by_mouth(draw: Draw) -> Iterator[Step]:
    yield Step(Act.PUT_TIP_INTO_BOTTLE, draw)
    yield Step(Act.DRAW_FROM_BOTTLE, draw, draw.stop_line)
    yield Step(Act.LOOK_FOR_BUBBLES_BY_MOUTH, draw, draw.stop_line)
    yield Step(Act.CHECK_LINE_BY_MOUTH, draw, draw.stop_line)
    yield Step(Act.TAKE_TIP_OUT, draw)


def _finish_by_mouth(patient: PatientKind) -> tuple[Step, ...]:
    give = Act.AS_VETERINARIAN_TAUGHT if patient is PatientKind.ANIMAL else Act.GIVE_BY_MOUTH
    return tuple(Step(act) for act in (give, Act.RINSE, Act.WRITE_DOWN))
