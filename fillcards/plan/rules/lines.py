"""Rules about the lines of the barrel: a dose falls on a printed line, at or below the last, or there is no card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fillcards.catalogue.model import ScaleName
from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.plan.reading import is_measurable, list_stops, measure_draw_line
from fillcards.plan.rules.rule import Finding, Rule, find_place, write_line, write_list
from fillcards.plan.serving import find_serving_scales, leaves_room, prefer_room, write_scale
from fillcards.problems import Severity
from fillcards.quantities import write_number
from fillcards.regimen.model import Fill, Regimen

_MOST_OFFERED = 3

FIRST_U_500_LINE = 25
"""The dedicated U-500 syringe is marked from 25 to 250 units; no account tells of lines before that."""


def _list_measurable_fills(regimen: Regimen) -> Iterator[Fill]:
    for fill in regimen.fills:
        if fill.draws and all(is_measurable(draw, regimen) for draw in fill.draws):
            yield fill


def _offer_syringes(regimen: Regimen, fill: Fill) -> str:
    """What to do about a fill this syringe cannot serve: syringes for all fills, else for this one, else to ask."""
    scales = load_scales()
    for fills, whom in ((regimen.fills, "every fill"), ((fill,), "this fill, though not every other")):
        serving = find_serving_scales(regimen, fills, scales)
        serving = prefer_room(serving, replace(regimen, fills=fills))[:_MOST_OFFERED]
        if serving:
            return f"use a syringe that serves {whom}: {write_list(map(write_scale, serving), 'or')}"
    return "no syringe of the catalogue has these lines: ask the prescriber or the pharmacist; the dose is not rounded"


def check_last_line(regimen: Regimen) -> Iterator[Finding]:
    """A total past the last line."""
    syringe = regimen.syringe
    for fill in _list_measurable_fills(regimen):
        total = list_stops(fill, regimen)[-1]
        if total > syringe.last_line:
            yield Finding(
                fill.place,
                f"{' and '.join(str(draw.dose) for draw in fill.draws)}, up to {write_line(total, syringe.scale)}",
                f"at most {write_line(syringe.last_line, syringe.scale)}, the last of this syringe",
                _offer_syringes(regimen, fill),
            )


def check_printed_lines(regimen: Regimen) -> Iterator[Finding]:
    """A dose that is not a whole number of lines, so that its stop, the total or its air is on no line."""
    syringe = regimen.syringe
    for fill in regimen.fills:
        for draw in fill.draws:
            # Where each dose is a whole number of lines, so are every sum and every air draw. Past the last line is
            # another rule's.
            if not is_measurable(draw, regimen) or measure_draw_line(draw, regimen) % syringe.line_every == 0:
                continue
            unit = "unit" if syringe.line_every == 1 and syringe.scale is not ScaleName.ML else syringe.scale.unit_word
            yield Finding(
                draw.place,
                f"{draw.dose} would be {write_line(measure_draw_line(draw, regimen), syringe.scale)}",
                f"a dose on a printed line; this syringe has one every {write_number(syringe.line_every)} {unit}",
                _offer_syringes(regimen, fill),
            )


def check_first_line(regimen: Regimen) -> Iterator[Finding]:
    """A dose below the first line that is known of the barrel for 500 units/mL."""
    if regimen.syringe.scale is not ScaleName.U_500:
        return
    for fill in regimen.fills:
        for draw in fill.draws:
            if is_measurable(draw, regimen) and measure_draw_line(draw, regimen) < FIRST_U_500_LINE:
                yield Finding(
                    draw.place,
                    f"{draw.dose} would be {write_line(measure_draw_line(draw, regimen), regimen.syringe.scale)}",
                    f"line {FIRST_U_500_LINE} or a later one: published accounts mark this barrel from there on",
                    "ask the prescriber and the pharmacist: this strength and its syringe are for large doses",
                )


def caution_coarse_lines(regimen: Regimen) -> Iterator[Finding]:
    """A dose of more than half the barrel on lines of 2 units, where a barrel of that size has finer ones."""
    syringe = regimen.syringe
    # Half-unit lines are no gain over whole ones: they did not help in the study of 2004.
    if syringe.line_every <= 1:
        return
    finer = [
        scale
        for scale in load_scales()
        if (scale.scale, scale.capacity_ml) == (syringe.scale, syringe.capacity_ml)
        and scale.line_every < syringe.line_every
    ]
    if not finer:
        return
    for fill in regimen.fills:
        for draw in fill.draws:
            if is_measurable(draw, regimen) and measure_draw_line(draw, regimen) > syringe.last_line / 2:
                yield Finding(
                    draw.place,
                    f"{draw.dose}, more than half of the barrel, on lines every {write_number(syringe.line_every)} "
                    f"{syringe.scale.unit_word}",
                    f"finer lines, which exist: {write_list(map(write_scale, finer), 'or')}",
                    "consider the finer barrel, or check that the person counts these lines correctly",
                )


def caution_larger_barrel(regimen: Regimen) -> Iterator[Finding]:
    """A barrel larger than needed: a smaller one of the same scale would serve every fill, with room to spare."""
    syringe = regimen.syringe
    rows = tuple(row for row in load_scales() if row.scale is syringe.scale and row.capacity_ml < syringe.capacity_ml)
    smaller = [row for row in find_serving_scales(regimen, regimen.fills, rows) if leaves_room(row, regimen)]
    if smaller:
        yield Finding(
            syringe.place,
            write_scale(syringe),
            f"the smallest barrel that holds every fill with a numbered step to spare: {write_scale(smaller[0])}",
            "consider the smaller barrel, whose lines are further apart; keep this one if there is a reason",
        )


def caution_full_barrel(regimen: Regimen) -> Iterator[Finding]:
    """A total on the last line: nobody can see that the plunger was drawn too far."""
    syringe = regimen.syringe
    for fill in _list_measurable_fills(regimen):
        if list_stops(fill, regimen)[-1] == syringe.last_line:
            rows = tuple(row for row in load_scales() if row.scale is syringe.scale)
            larger = [row for row in find_serving_scales(regimen, regimen.fills, rows) if leaves_room(row, regimen)]
            doses = " and ".join(str(draw.dose) for draw in fill.draws)
            yield Finding(
                fill.place,
                f"{doses}, up to {write_line(syringe.last_line, syringe.scale)}, the last of this syringe",
                "at least one line beyond the total, which shows when the plunger was drawn too far",
                f"consider a larger barrel: {write_scale(larger[0])}"
                if larger
                else "no larger barrel has these lines; teach the person to draw slowly near the end of the scale",
            )


def caution_unusual_numbers(regimen: Regimen) -> Iterator[Finding]:
    """Printed numbers in other steps than the standard's for that barrel."""
    syringe = regimen.syringe
    row = find_scale(load_scales(), syringe.scale, syringe.capacity_ml, syringe.line_every)
    # A barrel from the user's own syringes file has no published step.
    if row is None or row.numbered_every == syringe.numbered_every:
        return
    unit = syringe.scale.unit_word
    yield Finding(
        find_place(syringe, "numbered_every"),
        f"numbers every {write_number(syringe.numbered_every)} {unit} on {write_scale(syringe)}",
        f"numbers every {write_number(row.numbered_every)} {unit}, as the standard or common practice has them",
        "look at the barrel again: the card counts lines from these numbers",
    )


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION

RULES = (
    Rule("LINE-001", _REFUSE, check_last_line, needs_syringe=True),
    Rule("LINE-002", _REFUSE, check_printed_lines, needs_syringe=True),
    Rule("LINE-003", _CAUTION, caution_coarse_lines, needs_syringe=True),
    Rule("LINE-004", _CAUTION, caution_larger_barrel, needs_syringe=True),
    Rule("LINE-005", _CAUTION, caution_unusual_numbers, needs_syringe=True),
    Rule("LINE-006", _CAUTION, caution_full_barrel, needs_syringe=True),
    Rule("LINE-007", _REFUSE, check_first_line, needs_syringe=True),
)
