"""A short sentence or two for every act, amounts filled in. One act a step; the order is the plan's.

The technique is what nursing pages tell alike (facts 4.1 and 6); where they leave room ("lift the skin", the angle) the
step says "as you were taught". No step names a number of minutes or seconds to wait. A vial's own mark is named where
the hand takes hold of it, and left out where the needle is already in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.plan.model import Act, FillPlan, Step
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen.model import Medicine, PatientKind, Regimen, Syringe
from fillcards.wording.english.amounts import write_line
from fillcards.wording.english.labels import HEADINGS, name_bare_vial, name_vial, tip, write_label_words

SENTENCES: Final[Mapping[Act, str]] = MappingProxyType(
    {
        Act.WASH_HANDS: "Wash your hands.",
        Act.CHECK_LABEL: "Check the label of {vial}. It must say: {label}.",
        Act.MAKE_EVEN: "{make_even}",
        Act.LOOK_AT_VIAL: "Look at {vial}. It must be {look}.",
        Act.WIPE_TOPS: "{wipe} Let the alcohol dry.",
        Act.CHECK_SYRINGE: "Take {syringe}.",
        Act.PULL_AIR: "Pull air to {line}.{air_for}",
        Act.PUSH_AIR_ABOVE_LIQUID: "Push this air into {vial}. The needle must not touch the liquid.",
        Act.TAKE_NEEDLE_OUT_EMPTY: "Take the needle out. Draw nothing from {bare_vial} yet.",
        Act.PUSH_AIR_IN: "Push this air into {vial}. Leave the needle in.",
        Act.PUT_NEEDLE_INTO_VIAL: "Push the plunger all the way in. Put the needle into {vial}.",
        Act.TURN_OVER: "Turn {bare_vial} and syringe over. The vial is on top.",
        Act.DRAW_TO_FIRST_LINE: "Pull the plunger slowly to {line}, the first line. Keep the needle in the liquid.",
        Act.DRAW_TO_LINE: "Pull the plunger slowly to {line}. Keep the needle in the liquid.",
        Act.LOOK_FOR_BUBBLES: "A bubble? Push it all back. Draw again to {line}.",
        Act.CHECK_FIRST_LINE: "Leave the needle in. {check} {line}.",
        Act.CHECK_LINE: "Leave the needle in. {check} {line}.",
        Act.TAKE_NEEDLE_OUT: "Take the needle out. Do not touch the plunger.",
        Act.ENTER_SECOND_VIAL: "Put the needle into {vial}. Do not touch the plunger.",
        Act.DRAW_TO_TOTAL_LINE: "Pull the plunger slowly to {line}, the total line. Push nothing back.",
        Act.CHECK_TOTAL_LINE: "{check} {line}.",
        Act.CHOOSE_PLACE: "Choose a place a finger's width from the last one.",
        Act.CLEAN_SKIN: "Clean the skin there.",
        Act.LET_SKIN_DRY: "Let the skin dry.",
        Act.LIFT_SKIN: "Lift the skin, if you were taught to.",
        Act.PUT_NEEDLE_IN: "Now put the needle in, as you were taught.",
        Act.PUSH_PLUNGER: "Push the plunger slowly, all the way in. Wait as you were taught.",
        Act.TAKE_OUT_OF_SKIN: "Take the needle straight out.",
        Act.AS_TAUGHT: "Inject it now, as you were taught.",
        Act.AS_VETERINARIAN_TAUGHT: "Give it now, as your veterinarian taught you.",
        Act.INTO_SHARPS: "Drop it into the sharps box at once. Never use it again.",
        Act.PUT_TIP_INTO_BOTTLE: "Push the plunger all the way in. Put the tip into {vial}.",
        Act.DRAW_FROM_BOTTLE: "Pull the plunger slowly to {line}. Keep the tip in the liquid.",
        Act.LOOK_FOR_BUBBLES_BY_MOUTH: "A bubble? Push it all back. Draw again to {line}.",
        Act.CHECK_LINE_BY_MOUTH: "{check} {line}.",
        Act.TAKE_TIP_OUT: "Take the syringe out of {bare_vial}. Do not touch the plunger.",
        Act.GIVE_BY_MOUTH: "Give it by mouth now, slowly.",
        Act.RINSE: "Rinse the syringe with clean water.",
        Act.WRITE_DOWN: "Write down the time, so that you know it was done.",
    }
)
"""Every act's sentences; ``write_step`` fills in the words in braces. ``bare_vial`` is ``vial`` without its mark."""

_GET_READY: Final = frozenset(
    {Act.WASH_HANDS, Act.CHECK_LABEL, Act.MAKE_EVEN, Act.LOOK_AT_VIAL, Act.WIPE_TOPS, Act.CHECK_SYRINGE}
)
_FINISH: Final = frozenset(
    {
        *(Act.CHOOSE_PLACE, Act.CLEAN_SKIN, Act.LET_SKIN_DRY, Act.LIFT_SKIN, Act.PUT_NEEDLE_IN, Act.PUSH_PLUNGER),
        *(Act.TAKE_OUT_OF_SKIN, Act.AS_TAUGHT, Act.AS_VETERINARIAN_TAUGHT, Act.INTO_SHARPS),
        *(Act.GIVE_BY_MOUTH, Act.RINSE, Act.WRITE_DOWN),
    }
)


def write_step(step: Step, fill: FillPlan, regimen: Regimen, sentences: Mapping[Act, str] = SENTENCES) -> str:
    """The sentences of one step.

    Args:
        step: one of the fill's.
        fill: the fill it belongs to.
        regimen: for the syringe and whose card it is.
        sentences: of every act, with the words in braces to be filled in.
    """
    draw = step.draw or fill.first
    medicine = draw.medicine
    line = write_line(step.line, medicine, regimen.syringe) if step.line is not None else ""
    vial = name_vial(medicine, fill)
    return sentences[step.act].format(
        vial=vial,
        air_for=f" It is for the {name_bare_vial(medicine, fill)}." if fill.is_mixed else "",
        bare_vial=f"the {name_bare_vial(medicine, fill)}",
        line=line,
        label=write_label_words(medicine),
        look=write_look(medicine),
        make_even=write_make_even(medicine, vial),
        wipe="Wipe the tops of both vials with alcohol." if fill.is_mixed else f"Wipe the top of {vial} with alcohol.",
        syringe=write_syringe(regimen.syringe, medicine.route),
        check=f"The edge of the stopper nearest the {tip(medicine)} must be on",
    )


def write_group(act: Act, fill: FillPlan, regimen: Regimen) -> str:
    """The heading an act stands under."""
    if act in _GET_READY:
        return HEADINGS.get_ready
    if act not in _FINISH:
        return HEADINGS.fill
    is_injected = fill.first.medicine.route is not Route.BY_MOUTH and regimen.patient.kind is PatientKind.PERSON
    return HEADINGS.inject if is_injected else HEADINGS.give


def write_look(medicine: Medicine) -> str:
    """How the vial must look, to end a sentence: ``clear, with no bits``, ``cloudy all through, with no lumps``."""
    if medicine.is_cloudy:
        return f"{medicine.look} all through, with no lumps"
    return f"{medicine.look}, with no bits"


def write_make_even(medicine: Medicine, vial: str) -> str:
    """How the vial is made even. Ten rolls and ten tips, not shaken: FIT recommendations (Ireland) 5.2."""
    match medicine.motion:
        case Motion.ROLL:
            return f"Roll {vial} 10 times. Tip it 10 times. Do not shake it."
        case Motion.SHAKE:
            return f"Shake {vial} well."
        case Motion.NONE:
            return f"Do not shake {vial}."


def write_syringe(syringe: Syringe, route: Route) -> str:
    """The syringe to take: ``a new syringe that says U-100 and ends at 50``."""
    kind = "your oral syringe" if route is Route.BY_MOUTH else "a new syringe"
    if syringe.scale is ScaleName.ML:
        return f"{kind} that says mL and ends at {write_quantity(Quantity(syringe.last_line, Unit.ML))}"
    return f"{kind} that says {syringe.scale.value} and ends at {write_number(syringe.last_line)}"
