"""The words a code to scan carries, so that a phone can read page one aloud; and the words beside the code.

No name, no address, no link: whoever finds the page learns what the page already says, and the phone asks nobody.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fillcards.plan.model import Draw, FillPlan
from fillcards.regimen.model import Regimen
from fillcards.wording.english import alt, amounts, cautions, labels, numbers, rescue

HEADING: Final = "For a phone"
CAPTION: Final = "Point a phone at this code. It shows the lines in words."
NEEDED_DOSE_NOTES: Final = 2
"""Dose, volume and line together, and for which vial; what follows only stresses it."""
ALT: Final = "A square code for a phone. It holds what page one says, without the name."


def write_needed_words(fill: FillPlan, regimen: Regimen, band: str | None, code: str) -> str:
    """What the code must say: whether checked, which card and fill, both stops in figures and words, which syringe.

    It begins with words of ours, so that no phone takes it for an address or a command.
    """
    name = labels.write_fill_name(fill.fill)
    return " ".join(
        (
            *((band,) if band else ()),
            f"Card {code}.",
            f"{name}.",
            *_list_days(fill),
            *(_write_stop(fill, index, regimen) for index in range(len(fill.draws))),
            *(note for draw in fill.draws for note in _list_dose_notes(draw, regimen)[:NEEDED_DOSE_NOTES]),
            labels.write_only_this_syringe(regimen.syringe),
        )
    )


def list_further_words(fill: FillPlan, regimen: Regimen) -> tuple[str, ...]:
    """What it says beside, where there is room: the most useful first."""
    minutes = labels.write_minutes_before(fill.fill, fill.first.medicine.route)
    return (
        *(note for draw in fill.draws for note in _list_dose_notes(draw, regimen)[NEEDED_DOSE_NOTES:]),
        rescue.write_whom_to_call(regimen),
        rescue.write_past_the_line(fill),
        *((minutes,) if minutes else ()),
    )


def _list_days(fill: FillPlan) -> Iterator[str]:
    days = labels.write_only_days(fill.fill, is_short=True)
    if days:
        yield days


def _write_stop(fill: FillPlan, index: int, regimen: Regimen) -> str:
    """``Total line: add insulin isophane, up to 26 units, twenty-six. 8 + 18 = 26.``"""
    draw = fill.draws[index]
    line = amounts.write_line(draw.stop_line, draw.medicine, regimen.syringe)
    words = numbers.write_in_words(draw.stop_line)
    addition = labels.write_addition(fill) if index else None
    line = f"up to {line}" if index else line
    stop = f"{alt.name_stop(index, fill)}: {labels.name_medicine(fill, index, is_short=True)}, {line}, {words}."
    return f"{stop} {addition}." if addition else stop


def _list_dose_notes(draw: Draw, regimen: Regimen) -> tuple[str, ...]:
    syringe = regimen.syringe
    return () if amounts.dose_is_line(draw, syringe) else cautions.write_dose_notes(draw, syringe)
