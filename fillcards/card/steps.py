"""A fill's steps as the card shows them: each with its message, its picture and the words that replace it.

Which steps there are, in which order and about which line, is the plan's. Here each is given its words and its scene.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final, NamedTuple

from fillcards.card.model import CardStep
from fillcards.catalogue.model import Motion, Route
from fillcards.picture.scene import Filling, Portion, Scene, SceneKind, VialLook
from fillcards.plan.model import Draw, FillPlan, Step, StepKind
from fillcards.regimen.model import Medicine, Needle, PatientKind, Regimen
from fillcards.wording.messages import Value, fit, write_line_amount

FILLINGS: Final = (Filling.FIRST, Filling.SECOND)

_BANDS: Final = re.compile(r"(one|a|two|three) (?:\w+ )?(?:rubber )?bands?\b", re.IGNORECASE)
_COUNTS: Final = {"one": 1, "a": 1, "two": 2, "three": 3}


class _Shown(NamedTuple):
    """How a kind of step is pictured, the message that replaces the picture, and what its own words can depend on: the
    ends of its message's id, each used where it holds for the fill.
    """

    scene: SceneKind
    alt: str
    suffixes: tuple[str, ...] = ()


_SHOWN: Final = {
    StepKind.WASH: _Shown(SceneKind.WASH, "alt-wash", ("detachable",)),
    StepKind.TWO_LABELS: _Shown(SceneKind.LABELS, "alt-labels", ("no-strength",)),
    StepKind.TWO_MAKE_EVEN: _Shown(SceneKind.ROLL_AND_TIP, "alt-roll", ("shake",)),
    StepKind.TWO_LOOK: _Shown(SceneKind.LOOK_AND_WIPE, "alt-look-two", ("other",)),
    StepKind.TWO_SECOND_AIR: _Shown(SceneKind.AIR_OUT, "alt-air-out"),
    StepKind.TWO_FIRST_AIR: _Shown(SceneKind.AIR_STAY, "alt-air-stay", ("none",)),
    StepKind.TWO_DRAW: _Shown(SceneKind.DRAW, "alt-draw"),
    StepKind.TWO_CHECK: _Shown(SceneKind.CHECK, "alt-check"),
    StepKind.TWO_DRAW_SECOND: _Shown(SceneKind.DRAW, "alt-draw-total"),
    StepKind.TWO_CHECK_TOTAL: _Shown(SceneKind.CHECK, "alt-check"),
    StepKind.ONE_LABEL: _Shown(SceneKind.LABELS, "alt-label", ("weekly", "no-strength")),
    StepKind.ONE_MAKE_EVEN: _Shown(SceneKind.ROLL_AND_TIP, "alt-roll", ("shake",)),
    StepKind.ONE_LOOK: _Shown(SceneKind.LOOK_AND_WIPE, "alt-look", ("other", "cloudy")),
    StepKind.ONE_AIR: _Shown(SceneKind.AIR_STAY, "alt-air-stay", ("none",)),
    StepKind.ONE_DRAW: _Shown(SceneKind.DRAW, "alt-draw"),
    StepKind.ONE_BUBBLE: _Shown(SceneKind.BUBBLE, "alt-bubble"),
    StepKind.ONE_CHECK: _Shown(SceneKind.CHECK, "alt-check"),
    StepKind.INJECT_SKIN: _Shown(SceneKind.INJECT, "alt-inject"),
    StepKind.INJECT_MUSCLE: _Shown(SceneKind.INJECT_MUSCLE, "alt-inject-muscle"),
    StepKind.INJECT_ANIMAL: _Shown(SceneKind.INJECT_ANIMAL, "alt-inject-animal"),
    StepKind.FINISH: _Shown(SceneKind.SHARPS, "alt-sharps", ("weekly", "eat", "feed")),
    StepKind.MOUTH_LABEL: _Shown(SceneKind.LABELS, "alt-bottle", ("weekly", "no-strength")),
    StepKind.MOUTH_SYRINGE: _Shown(SceneKind.ORAL_SYRINGE, "alt-oral-syringe"),
    StepKind.MOUTH_LOOK: _Shown(SceneKind.LOOK, "alt-look-bottle", ("shake", "roll")),
    StepKind.MOUTH_DRAW: _Shown(SceneKind.ORAL_DRAW, "alt-oral-draw"),
    StepKind.MOUTH_BUBBLE: _Shown(SceneKind.ORAL_BUBBLE, "alt-oral-bubble"),
    StepKind.MOUTH_CHECK: _Shown(SceneKind.CHECK, "alt-check"),
    StepKind.MOUTH_GIVE: _Shown(SceneKind.BY_MOUTH, "alt-mouth", ("animal",)),
    StepKind.MOUTH_RINSE: _Shown(SceneKind.RINSE, "alt-rinse", ("weekly",)),
}
_SHOWN_BY_SUFFIX: Final = {
    "none": _Shown(SceneKind.NO_AIR, "alt-no-air"),
    "shake": _Shown(SceneKind.SHAKE, "alt-shake"),
    "roll": _Shown(SceneKind.ROLL_AND_TIP, "alt-roll"),
}

_WITH_VIALS: Final = frozenset(
    {SceneKind.LABELS, SceneKind.ROLL_AND_TIP, SceneKind.SHAKE, SceneKind.LOOK_AND_WIPE, SceneKind.LOOK}
    | {SceneKind.AIR_OUT, SceneKind.AIR_STAY, SceneKind.NO_AIR, SceneKind.DRAW, SceneKind.BUBBLE}
    | {SceneKind.ORAL_DRAW, SceneKind.ORAL_BUBBLE}
)

_FILLED: Final = frozenset((SceneKind.INJECT, SceneKind.INJECT_MUSCLE, SceneKind.INJECT_ANIMAL, SceneKind.BY_MOUTH))
"""What they show is about no amount; the syringe still holds all that was drawn."""


def build_steps(fill: FillPlan, regimen: Regimen) -> tuple[CardStep, ...]:
    """All steps of a fill."""
    return tuple(_build_step(step, fill, regimen) for step in fill.steps)


def list_portions(draws: tuple[Draw, ...]) -> tuple[Portion, ...]:
    """What is in the barrel after these draws, from the needle on."""
    return tuple(
        Portion(draw.start_line, draw.stop_line, filling) for draw, filling in zip(draws, FILLINGS, strict=False)
    )


def look_like(medicine: Medicine, filling: Filling) -> VialLook:
    """How a vial is pictured. Bands only where its mark is bands."""
    bands = _BANDS.match(medicine.vial_mark or "")
    is_bottle = medicine.route is Route.BY_MOUTH
    return VialLook(filling, _COUNTS[bands[1].lower()] if bands else 0, is_bottle)


def looks_plain(medicine: Medicine) -> bool:
    """Whether the card's own words say how it looks: clear and nothing more, or an insulin cloudy and nothing more."""
    return medicine.look == "clear" or (medicine.is_insulin and medicine.look == "cloudy")


def _build_step(step: Step, fill: FillPlan, regimen: Regimen) -> CardStep:
    holds = set(_list_conditions(step, fill, regimen))
    shown = _SHOWN[step.kind]
    suffixes = tuple(suffix for suffix in shown.suffixes if suffix in holds)
    shown = next((_SHOWN_BY_SUFFIX[suffix] for suffix in suffixes if suffix in _SHOWN_BY_SUFFIX), shown)
    values = _list_values(step, fill, regimen)
    return CardStep(
        step.number,
        fit("-".join((step.kind.value, *suffixes)), values, regimen.language),
        _build_scene(step, shown.scene, fill, regimen),
        fit(shown.alt, values, regimen.language),
    )


def _list_conditions(step: Step, fill: FillPlan, regimen: Regimen) -> Iterator[str]:
    """The ends of messages' ids that hold for a step. The last medicine is the one that is rolled or shaken."""
    first, last = fill.first.medicine, fill.last.medicine
    is_plain = looks_plain(first) and looks_plain(last)
    is_plain = is_plain and (not fill.is_mixed or (first.is_insulin and last.is_insulin))
    is_animal = regimen.patient.kind is PatientKind.ANIMAL
    yield from ("none",) if step.amount is None else ()
    yield from () if last.motion is Motion.NONE else (last.motion.value,)
    yield from ("detachable",) if regimen.syringe.needle is Needle.DETACHABLE else ()
    yield from ("no-strength",) if first.strength is None else ()
    yield from () if is_plain else ("other",)
    yield from ("cloudy",) if is_plain and first.is_cloudy else ()
    yield from ("animal",) if is_animal else ()
    if fill.fill.is_weekly:
        # The day wins over the minutes: one thing to write down, or one thing more to do.
        yield "weekly"
    elif fill.fill.minutes_before is not None:
        yield "feed" if is_animal else "eat"


def _list_values(step: Step, fill: FillPlan, regimen: Regimen) -> dict[str, Value | None]:
    """Every value that a step's words can ask for."""
    first, last = fill.first, fill.last
    return {
        "scale": regimen.syringe.scale,
        "last": regimen.syringe.last_line,
        "day": fill.fill.days_given,
        "minutes": fill.fill.minutes_before,
        "medicine": first.medicine.name,
        "first_medicine": first.medicine.name,
        "second_medicine": last.medicine.name,
        "strength": first.medicine.strength,
        "look": first.medicine.look,
        "first_look": first.medicine.look,
        "second_look": last.medicine.look,
        "air": step.amount,
        "stop": step.amount,
        "first": first.stop,
        "still": first.stop,
        "total": last.stop,
    }


def _build_scene(step: Step, kind: SceneKind, fill: FillPlan, regimen: Regimen) -> Scene:
    pairs = zip(fill.draws, FILLINGS, strict=False)
    vials = tuple(
        look_like(draw.medicine, filling) for draw, filling in pairs if step.draw is None or step.draw is draw
    )
    scene = Scene(kind, regimen.syringe, vials=vials if kind in _WITH_VIALS else ())
    if kind in _FILLED:
        return replace(scene, portions=list_portions(fill.draws), stop=fill.last.stop_line)
    if step.amount is None:
        return scene
    text = write_line_amount(step.amount, regimen.language)
    if kind in {SceneKind.AIR_OUT, SceneKind.AIR_STAY}:
        return replace(scene, air=step.amount.value, air_text=text)
    portions = list_portions(fill.draws if step.draw is fill.last else fill.draws[:1])
    return replace(scene, portions=portions, stop=step.amount.value, stop_text=text)
