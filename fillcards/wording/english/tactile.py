"""Words of the raised-line pages and of the braille file: what they can do, what each page holds, and the key.

Short sentences: in uncontracted braille a page holds about a hundred words.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.plan.model import FillPlan
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection, Medicine, Syringe
from fillcards.wording.english.alt import name_stop, write_held
from fillcards.wording.english.amounts import write_line, write_line_every
from fillcards.wording.english.labels import tip

NOTICE: Final = (
    "These pages tell the amounts. They do not set the plunger. "
    "A finger feels neither the lines nor a bubble of a real syringe. "
    "Agree with the clinic who fills it, or with what aid."
)
"""The first words of every raised or braille sheet: a raised line is no way to fill a syringe by touch."""

KEY: Final = "Key to the lines:"
LEFT_OUT: Final = "Lines too near to a stop are left out."
FINAL_LINE_KEY: Final = "Solid line across"
FIRST_LINE_KEY: Final = "Broken line across"


def write_how_to_hold(medicine: Medicine) -> str:
    """Which way up a raised page is felt, and which way the barrel on it points, whatever the card's pictures do."""
    return f"The cut corner is at the top right. The {tip(medicine)} is at the top."


def write_page_name(name: str, number: int, count: int) -> str:
    """Top of every sheet but the first words: ``Before breakfast, 2 of 5``. The numbers stay on one line."""
    return f"{name}, {number}\u00a0of\u00a0{count}"


def write_page_count(number: int, count: int) -> str:
    """At the foot of a braille page."""
    return f"page {number} of {count}"


def write_mark(draw_index: int, fill: FillPlan) -> str:
    """Beside a stop: ``first 11``, ``total 34``, ``line 12.5``."""
    stop = write_number(fill.draws[draw_index].stop_line)
    if not fill.is_mixed:
        return f"line {stop}"
    return f"{('first', 'total')[draw_index]} {stop}"


def write_picture_title(first: Fraction, last: Fraction, times: str) -> str:
    """What a picture of the scale shows, and how large: ``Lines 0 to 50, enlarged 3.5 times, not life size.``"""
    return f"Lines {write_number(first)} to {write_number(last)}, enlarged {times} times, not life size."


def write_close_up_title(draw_index: int, fill: FillPlan, syringe: Syringe, times: str) -> str:
    """What a close-up shows: ``Total line, 34 units. Every line, enlarged 9 times, not life size.``"""
    draw = fill.draws[draw_index]
    line = write_line(draw.stop_line, draw.medicine, syringe)
    return f"{name_stop(draw_index, fill)}, {line}. Every line, enlarged {times} times, not life size."


def write_times(magnification: Fraction, *, is_measured: bool) -> str:
    """``3.5``, or ``about 3.5`` where nobody has measured the syringe and the standard's shortest scale stands in."""
    return write_number(magnification) if is_measured else f"about {write_number(magnification)}"


def write_key_line(draw_index: int, fill: FillPlan, syringe: Syringe) -> str:
    """What a stop's line means: ``Solid line across: total line, 34 units.``"""
    draw = fill.draws[draw_index]
    kind = FINAL_LINE_KEY if draw_index == len(fill.draws) - 1 else FIRST_LINE_KEY
    name = name_stop(draw_index, fill)
    return f"{kind}: {name[0].lower()}{name[1:]}, {write_line(draw.stop_line, draw.medicine, syringe)}."


def write_key_pattern(draw_index: int, fill: FillPlan) -> str:
    """What a pattern means: ``Slanted lines: insulin regular.``"""
    return f"{('Slanted lines', 'Dots')[draw_index]}: {fill.draws[draw_index].medicine.name}."


def write_key_short(every: Fraction, fill: FillPlan, syringe: Syringe) -> str:
    """What the scale's own lines mean, in the picture of the whole barrel and in the close-ups."""
    each = write_line_every(fill.first.medicine, syringe)
    return f"Line at one side: a line of the scale. The barrel shows every {write_number(every)}. Up close: {each}"


def write_picture_alt(first: Fraction, last: Fraction, marks: tuple[str, ...]) -> str:
    """Words that replace a raised picture for a screen reader."""
    found = f" Marked: {', '.join(marks)}." if marks else ""
    return f"Raised picture of the scale from {write_number(first)} to {write_number(last)}.{found}"


HELPER_TITLE: Final = "For the helper"
HELPER_NOTICE: Final = (
    "The raised pages tell the amounts. They do not set the plunger. "
    "A finger feels neither the lines nor a bubble of a real syringe. "
    "Agree with the clinic who fills it, or with what aid."
)


def write_helper_points(
    medium: str, plain_pages: int, all_pages: int, medicine: Medicine, direction: BarrelDirection
) -> tuple[str, ...]:
    """How to make the raised pages, for whoever sees.

    Args:
        medium: ``swell`` or ``embosser``.
        plain_pages: pages from the first that stay flat.
        all_pages: of the file.
        medicine: by mouth, a syringe has a tip and no needle.
        direction: of the barrels on the card that is seen.
    """
    end = tip(medicine)
    turned = f"The raised pages have the {end} at the top. The card's pictures have it {write_held(direction)}."
    raised = f"Pages {plain_pages + 1} to {all_pages}"
    make = {
        "swell": f"{raised} are to be felt. Print them on swell paper, in black, with toner or ink that swells. "
        "Then put each through the heater.",
        "embosser": f"{raised} are to be felt. Send them to an embosser that takes PDF or SVG.",
    }[medium]
    return (
        f"Pages 1 to {plain_pages} are for you. Print them on plain paper.",
        make,
        "Print at actual size, not fit to page. The bar on this page must be 100 mm long.",
        "Each plain copy has the words of a raised page at the same places.",
        "Feel a finished page before you give it away. Lines and dots must all stand apart.",
        "The stroke across a corner marks the top right. You may cut that corner off.",
        *((turned,) if direction is not BarrelDirection.NEEDLE_UP else ()),
        "Give the plain copies to whoever helps the reader.",
        "Give the card in print or braille as well: it has the steps.",
    )


def write_copy_foot(page_name: str) -> str:
    """At the foot of a plain copy."""
    return f"Plain copy of the raised page: {page_name}"


def write_section_title(name: str, *, is_raised: bool) -> str:
    """In the list of bookmarks: ``Before breakfast, to be felt``."""
    return f"{name}, {'to be felt' if is_raised else 'plain copy'}"
