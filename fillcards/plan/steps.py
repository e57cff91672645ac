"""The steps of one fill: acts grouped once, for every form of the card. No words, no pictures.

The order of air, clear and cloudy is common practice, told alike in nursing-mixing-pages (no standard states
it). A step is as much as a hand does before the eye goes back to the card, so that twelve steps hold two medicines, ten
one, and eight one by mouth.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from fillcards.catalogue.model import Motion, Route
from fillcards.plan.model import Act, Draw, LineAmount, Step, StepKind
from fillcards.regimen.model import Fill, PatientKind


class _Row(NamedTuple):
    """A row of a table: a step without its number."""

    kind: StepKind
    acts: tuple[Act, ...]
    amount: LineAmount | None = None
    draw: Draw | None = None


_LABEL: Final = (Act.READ_LABEL, Act.CHECK_DATE, Act.CHECK_ENOUGH)
_LOOK: Final = (Act.LOOK, Act.WIPE, Act.LET_TOP_DRY)
_AIR: Final = (Act.STAND, Act.PULL_AIR, Act.PUSH_AIR, Act.LEAVE_NEEDLE_IN)
_NO_AIR: Final = (Act.STAND, Act.PUSH_PLUNGER_IN, Act.PUSH_NEEDLE_IN, Act.LEAVE_NEEDLE_IN)
_DRAW: Final = (Act.TURN_OVER, Act.KEEP_POINT_IN_LIQUID, Act.DRAW)
_SECOND_AIR: Final = (Act.STAND_SECOND, Act.PULL_SECOND_AIR, Act.PUSH_AIR_ABOVE_LIQUID, Act.TAKE_OUT_EMPTY)
_CHECK_FIRST: Final = (Act.CHECK_EDGE, Act.REDRAW_PAST, Act.TAKE_OUT, Act.LEAVE_PLUNGER)
_DRAW_SECOND: Final = (
    *(Act.CHECK_UNMOVED, Act.ENTER_SECOND, Act.TURN_SECOND_OVER, Act.DRAW_SECOND),
    Act.PUSH_NOTHING_BACK,
)
_CHECK_TOTAL: Final = (Act.CHECK_TOTAL, Act.PULL_ON, Act.DISCARD_MIX, Act.TAKE_OUT_OF_SECOND)
_FROM_BOTTLE: Final = (Act.PUSH_PLUNGER_IN, Act.PUT_TIP_INTO_BOTTLE, Act.DRAW)
_INJECT: Final = (
    *(Act.CHOOSE_PLACE, Act.CLEAN_SKIN, Act.LET_SKIN_DRY, Act.LIFT_SKIN),
    *(Act.PUT_NEEDLE_IN, Act.PUSH_ALL, Act.TAKE_OUT_OF_SKIN),
)


def order_steps(draws: tuple[Draw, ...], fill: Fill, patient: PatientKind) -> tuple[Step, ...]:
    """All steps of a fill, from washing the hands to writing it down, numbered from 1.

    Args:
        draws: one or two, in the order they are drawn.
        fill: for its days and the minutes before eating.
        patient: an animal's card tells no injection or feeding technique for people.
    """
    if draws[0].medicine.route is Route.BY_MOUTH:
        rows = _list_by_mouth(draws[0], fill, patient)
    elif len(draws) == 2:
        rows = _list_mixed(*draws, fill, patient)
    else:
        rows = _list_single(draws[0], fill, patient)
    return tuple(Step(number, *row) for number, row in enumerate(rows, start=1))


def _list_mixed(first: Draw, second: Draw, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    """Air into the second vial, air into the first, draw the first, draw the second."""
    yield _wash()
    yield _Row(StepKind.TWO_LABELS, _LABEL)
    yield from _make_even(StepKind.TWO_MAKE_EVEN, second)
    yield _Row(StepKind.TWO_LOOK, _LOOK)
    if second.air is not None:
        yield _Row(StepKind.TWO_SECOND_AIR, _SECOND_AIR, second.air, second)
    yield _Row(StepKind.TWO_FIRST_AIR, _AIR if first.air else _NO_AIR, first.air, first)
    # Bubbles are put right here, while all that is in the syringe belongs to this vial; after the second draw
    # nothing may go back into either.
    yield _Row(StepKind.TWO_DRAW, (*_DRAW, Act.REDRAW_BUBBLE), first.stop, first)
    yield _Row(StepKind.TWO_CHECK, _CHECK_FIRST, first.stop, first)
    yield _Row(StepKind.TWO_DRAW_SECOND, _DRAW_SECOND, second.stop, second)
    yield _Row(StepKind.TWO_CHECK_TOTAL, _CHECK_TOTAL, second.stop, second)
    yield from _finish(first.medicine.route, fill, patient)


def _list_single(draw: Draw, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    yield _wash()
    yield _Row(StepKind.ONE_LABEL, (*_check_day(fill), *_LABEL), draw=draw)
    yield from _make_even(StepKind.ONE_MAKE_EVEN, draw)
    yield _Row(StepKind.ONE_LOOK, _LOOK, draw=draw)
    yield _Row(StepKind.ONE_AIR, _AIR if draw.air else _NO_AIR, draw.air, draw)
    yield _Row(StepKind.ONE_DRAW, _DRAW, draw.stop, draw)
    yield _Row(StepKind.ONE_BUBBLE, (Act.REDRAW_BUBBLE, Act.REDRAW_PAST), draw.stop, draw)
    yield _Row(StepKind.ONE_CHECK, (Act.CHECK_EDGE, Act.TAKE_OUT), draw.stop, draw)
    yield from _finish(draw.medicine.route, fill, patient)


def _list_by_mouth(draw: Draw, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    yield _Row(StepKind.MOUTH_LABEL, (*_check_day(fill), Act.WASH_HANDS, *_LABEL), draw=draw)
    yield _Row(StepKind.MOUTH_SYRINGE, (Act.TAKE_ORAL_SYRINGE,))
    shake = (Act.SHAKE,) if draw.medicine.motion is Motion.SHAKE else ()
    yield _Row(StepKind.MOUTH_LOOK, (*shake, Act.LOOK), draw=draw)
    yield _Row(StepKind.MOUTH_DRAW, _FROM_BOTTLE, draw.stop, draw)
    yield _Row(StepKind.MOUTH_BUBBLE, (Act.REDRAW_BUBBLE, Act.REDRAW_PAST), draw.stop, draw)
    yield _Row(StepKind.MOUTH_CHECK, (Act.CHECK_EDGE, Act.TAKE_TIP_OUT, Act.CLOSE_BOTTLE), draw.stop, draw)
    is_animal = patient is PatientKind.ANIMAL
    give = (Act.AS_VETERINARIAN_TAUGHT,) if is_animal else (Act.SIT_UP, Act.GIVE_INTO_CHEEK)
    yield _Row(StepKind.MOUTH_GIVE, (*give, Act.CALL_IF_SPAT_OUT))
    yield _Row(StepKind.MOUTH_RINSE, (Act.RINSE, *_write_down(fill)))


def _wash() -> _Row:
    return _Row(StepKind.WASH, (Act.WASH_HANDS, Act.TAKE_NEW_SYRINGE, Act.TAKE_CAP_OFF))


def _make_even(kind: StepKind, draw: Draw) -> Iterator[_Row]:
    """Rolled and tipped, or shaken; no step where the medicine needs neither."""
    match draw.medicine.motion:
        case Motion.ROLL:
            yield _Row(kind, (Act.ROLL, Act.TIP), draw=draw)
        case Motion.SHAKE:
            yield _Row(kind, (Act.SHAKE,), draw=draw)
        case Motion.NONE:
            pass


def _finish(route: Route, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    if patient is PatientKind.ANIMAL:
        yield _Row(StepKind.INJECT_ANIMAL, (Act.AS_VETERINARIAN_TAUGHT,))
    elif route is Route.INTO_MUSCLE:
        yield _Row(StepKind.INJECT_MUSCLE, (Act.CHANGE_NEEDLE, *_INJECT))
    else:
        yield _Row(StepKind.INJECT_SKIN, _INJECT)
    eat = (Act.EAT,) if fill.minutes_before is not None and not fill.is_weekly else ()
    yield _Row(StepKind.FINISH, (Act.NO_CAP, Act.INTO_SHARPS, Act.NEVER_AGAIN, *_write_down(fill), *eat))


def _check_day(fill: Fill) -> tuple[Act, ...]:
    return (Act.CHECK_DAY,) if fill.is_weekly else ()


def _write_down(fill: Fill) -> tuple[Act, ...]:
    return (Act.WRITE_DAY, Act.WRITE_TIME) if fill.is_weekly else (Act.WRITE_TIME,)
