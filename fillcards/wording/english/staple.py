"""The words of the small card that no other card has: steps in short, how long a vial lasts, who filled and checked.

A short step holds the acts of one hold of the hand. What the front of the card says already (which syringe), what is
said once beside the picture (which edge to read), and what each person was taught (the skin) is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from fillcards.plan.model import Act, FillPlan
from fillcards.regimen.model import Medicine, Regimen
from fillcards.wording.english.amounts import write_line_every
from fillcards.wording.english.cautions import write_ask_again, write_cautions, write_clinic_says, write_emergency
from fillcards.wording.english.counts import write_how_to_read
from fillcards.wording.english.dates import write_list
from fillcards.wording.english.labels import container
from fillcards.wording.english.rescue import write_dose_trouble
from fillcards.wording.english.steps import write_step

STEPS: Final = "Steps in short"
CARE: Final = "Take care"
GO_BY_YOUR_SYRINGE: Final = "Go by the numbers on your syringe. It is smaller than this."
FILLED_AND_CHECKED: Final = "Prescription and initials"
FILLED_BY: Final = "Filled by"
CHECKED_BY: Final = "Checked by"
PRESCRIPTION: Final = "Prescription number"

SHORT: Final[Mapping[Act, str]] = MappingProxyType(
    {
        Act.WASH_HANDS: "Wash your hands.",
        Act.CHECK_LABEL: "Check the label of {vial}. It must say: {label}.",
        Act.MAKE_EVEN: "{make_even}",
        Act.LOOK_AT_VIAL: "Look at {bare_vial}. It must be {look}.",
        Act.WIPE_TOPS: "{wipe}",
        Act.PULL_AIR: "Pull air to {line}.",
        Act.PUSH_AIR_ABOVE_LIQUID: "Push the air into {bare_vial}.",
        Act.TAKE_NEEDLE_OUT_EMPTY: "Take the needle out.",
        Act.PUSH_AIR_IN: "Push the air into {bare_vial}. Leave the needle in.",
        Act.PUT_NEEDLE_INTO_VIAL: "Push the plunger all the way in. Put the needle into {bare_vial}.",
        Act.TURN_OVER: "Turn {bare_vial} and syringe over.",
        Act.DRAW_TO_FIRST_LINE: "Pull the plunger slowly to {line}, the first line.",
        Act.DRAW_TO_LINE: "Pull the plunger slowly to {line}.",
        Act.LOOK_FOR_BUBBLES: "A bubble? Push it all back. Draw again to {line}.",
        Act.TAKE_NEEDLE_OUT: "Take the needle out.",
        Act.ENTER_SECOND_VIAL: "Put the needle into {bare_vial}. Do not touch the plunger.",
        Act.DRAW_TO_TOTAL_LINE: "Pull the plunger slowly to {line}, the total line. Push nothing back.",
        Act.PUT_NEEDLE_IN: "Inject it now, as you were taught.",
        Act.AS_TAUGHT: "Inject it now, as you were taught.",
        Act.AS_VETERINARIAN_TAUGHT: "Give it now, as your veterinarian taught you.",
        Act.INTO_SHARPS: "Drop it into the sharps box at once. Never use it again.",
        Act.PUT_TIP_INTO_BOTTLE: "Push the plunger all the way in. Put the tip into {bare_vial}.",
        Act.DRAW_FROM_BOTTLE: "Pull the plunger slowly to {line}.",
        Act.LOOK_FOR_BUBBLES_BY_MOUTH: "A bubble? Push it all back. Draw again to {line}.",
        Act.TAKE_TIP_OUT: "Take the syringe out of {bare_vial}.",
        Act.GIVE_BY_MOUTH: "Give it by mouth now, slowly.",
        Act.RINSE: "Rinse the syringe with clean water.",
        Act.WRITE_DOWN: "Write down the time.",
    }
)
"""Every act that the small card names; words in braces as in ``steps.SENTENCES``."""

_GO_ON: Final = frozenset(
    {
        *(Act.PUSH_AIR_ABOVE_LIQUID, Act.TAKE_NEEDLE_OUT_EMPTY, Act.PUSH_AIR_IN, Act.ENTER_SECOND_VIAL),
        *(Act.DRAW_TO_FIRST_LINE, Act.DRAW_TO_LINE, Act.DRAW_TO_TOTAL_LINE, Act.DRAW_FROM_BOTTLE),
        *(Act.LOOK_FOR_BUBBLES, Act.LOOK_FOR_BUBBLES_BY_MOUTH, Act.WIPE_TOPS),
        *(Act.PUT_NEEDLE_IN, Act.AS_TAUGHT, Act.AS_VETERINARIAN_TAUGHT, Act.GIVE_BY_MOUTH, Act.WRITE_DOWN),
    }
)
"""Acts that go on where the one before them ended, in the same step; every other act begins a step."""

_FIRST: Final = Act.WASH_HANDS
"""Stands before the first label in one step. A label's words end a step, since they may hold a full stop."""


def write_short_steps(fill: FillPlan, regimen: Regimen) -> tuple[str, ...]:
    """The steps of a fill in short, in the plan's order.

    Args:
        fill: whose acts are told.
        regimen: for the syringe and whose card it is.
    """
    steps: list[list[str]] = []
    before: Act | None = None
    for step in fill.steps:
        if step.act not in SHORT:
            continue
        words = write_step(step, fill, regimen, SHORT)
        if before is not None and (step.act in _GO_ON or before is _FIRST or _are_looks(before, step.act)):
            steps[-1].append(words)
        else:
            steps.append([words])
        before = step.act
    return tuple(" ".join(step) for step in steps)


def _are_looks(before: Act, act: Act) -> bool:
    """Two vials are looked at in one step."""
    return before is act is Act.LOOK_AT_VIAL


def write_picture_words(fill: FillPlan, regimen: Regimen) -> str:
    """Beside the one enlarged barrel: that it is no measure, what a line is worth, and which edge is read."""
    medicine = fill.last.medicine
    return " ".join(
        (GO_BY_YOUR_SYRINGE, write_line_every(medicine, regimen.syringe), *write_how_to_read(medicine, regimen.syringe))
    )


def write_care(fill: FillPlan, regimen: Regimen) -> Iterator[str]:
    """The cautions, fewer and longer than on a large card: what belongs together stands in one point."""
    trouble = list(write_dose_trouble(fill, regimen))
    yield from (trouble[0], *([" ".join(trouble[1:])] if trouble[1:] else []), write_emergency(regimen))
    whom, fixed, _, *needles = write_cautions(regimen)
    yield from (whom, fixed, *([" ".join(needles)] if needles else []))
    yield from write_clinic_says(regimen)
    ask_again = write_ask_again(regimen)
    if ask_again:
        yield ask_again


def write_days_of_supply(medicine: Medicine, days: int) -> str:
    """How long one full vial or bottle serves: ``A full vial of insulin regular is 28 days of supply.``"""
    return f"A full {container(medicine)} of {medicine.name} is {'1 day' if days == 1 else f'{days} days'} of supply."


def write_doses_of_supply(medicine: Medicine, doses: int) -> str:
    """The same where not every day has a dose: ``A full vial of weekly injection, example is 4 doses.``"""
    return f"A full {container(medicine)} of {medicine.name} is {'1 dose' if doses == 1 else f'{doses} doses'}."


def write_supply_label(medicine: Medicine, fill: FillPlan) -> str:
    """Label of the line to write the days of supply on, where the file does not say what a vial holds."""
    return f"Days of supply, {medicine.name}" if fill.is_mixed else "Days of supply"


def write_prescription(number: str) -> str:
    """``Prescription number: 7001234``"""
    return f"{PRESCRIPTION}: {number}"


def write_printing_points() -> tuple[str, ...]:
    """How to print small cards, for the maker's page."""
    return (
        "Print at actual size (100 percent). Turn off fit to page and every other scaling.",
        "If the bar or the outline does not match, do not hand out any card.",
        "To the patient: every card, stapled through its free corner to the medicine it names. Not this page.",
    )


def write_sizes(paper_name: str, sizes_pt: tuple[float, ...]) -> str:
    """Which type small cards came out in and why, for the maker's page.

    Args:
        paper_name: of their size.
        sizes_pt: of each fill.
    """
    sizes = write_list([f"{size_pt:g} pt" for size_pt in dict.fromkeys(sizes_pt)])
    return (
        f"Cards of {paper_name}, with body text of {sizes}: the largest up to 18 pt that takes no more cards than "
        "12 pt. Who needs larger print needs the fridge card as well."
    )
