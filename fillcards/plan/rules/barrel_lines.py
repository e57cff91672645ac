"""Rules about scale, strength and lines: a line is no dose, and a dose falls on a printed line, or there is no card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.plan.reading import (
    UNIT_SCALES,
    find_serving_scales,
    is_counted_in_units,
    is_measurable,
    leaves_room,
    list_allowed_scales,
    list_measured,
    list_stops,
    prefer_room,
    write_scale,
)
from fillcards.plan.rules.rule import Finding, write_line, write_list
from fillcards.quantities import Quantity, Unit, has_exact_decimal, write_number
from fillcards.regimen.model import Fill, Medicine, Regimen

# Insulin of 200 and 300 units/mL is sold in pens only (from memory, high confidence).
_PENS_ONLY = (200, 300)


def _is_pens_only(strength: Quantity | None) -> bool:
    return strength is not None and strength.unit is Unit.UNITS_PER_ML and strength.amount in _PENS_ONLY


def _on_unit_scale_not_counted_in_units(regimen: Regimen) -> Iterator[Medicine]:
    if regimen.syringe.scale in UNIT_SCALES:
        for medicine in regimen.medicines:
            if not medicine.is_insulin and not is_counted_in_units(medicine, regimen):
                yield medicine


def check_insulin_scale(regimen: Regimen) -> Iterator[Finding]:
    """Insulin on the unit scale of another strength."""
    scale = regimen.syringe.scale
    for medicine in regimen.medicines:
        # A strength the catalogue does not know for this insulin is refused by another rule.
        if not medicine.is_insulin or (medicine.row and medicine.strength not in medicine.row.strengths):
            continue
        if scale is ScaleName.ML or scale in list_allowed_scales(medicine, regimen):
            continue
        yield Finding(medicine.find_place("strength"), medicine=medicine, scale=scale)


def check_insulin_on_ml(regimen: Regimen) -> Iterator[Finding]:
    """Insulin on an mL scale."""
    if regimen.syringe.scale is not ScaleName.ML:
        return
    for medicine in regimen.medicines:
        if medicine.is_insulin:
            yield Finding(medicine.place, medicine=medicine)


def check_units_on_unit_scale(regimen: Regimen) -> Iterator[Finding]:
    """A medicine counted in units, not insulin, on an insulin scale."""
    if regimen.syringe.scale not in UNIT_SCALES:
        return
    for medicine in regimen.medicines:
        if not medicine.is_insulin and is_counted_in_units(medicine, regimen):
            yield Finding(medicine.find_place("strength"), medicine=medicine, syringe=regimen.syringe)


def caution_line_is_no_dose(regimen: Regimen) -> Iterator[Finding]:
    """A medicine in mg, mcg or mL on a unit scale: the tenfold warning, with mg, mL and line together."""
    keys = {medicine.key for medicine in _on_unit_scale_not_counted_in_units(regimen)}
    for each in list_measured(regimen):
        strength = regimen.find_medicine(each.draw.medicine).strength
        if each.draw.medicine in keys and strength is not None:
            volume_ml = each.volume_ml
            yield Finding(
                each.draw.place,
                draw=each.draw,
                strength=strength,
                volume=f"{write_number(volume_ml)} mL" if has_exact_decimal(volume_ml) else "no exact volume",
                line=write_line(each.find_line(regimen.syringe.scale), regimen.syringe.scale),
                syringe=regimen.syringe,
            )


def check_strength_given(regimen: Regimen) -> Iterator[Finding]:
    """A medicine on a unit scale whose strength is not stated."""
    for medicine in _on_unit_scale_not_counted_in_units(regimen):
        if medicine.strength is None:
            yield Finding(medicine.place, medicine=medicine, syringe=regimen.syringe)


def check_pens_only(regimen: Regimen) -> Iterator[Finding]:
    """Insulin of a strength that is sold in pens only."""
    for medicine in regimen.medicines:
        if medicine.is_insulin and _is_pens_only(medicine.strength):
            yield Finding(medicine.find_place("strength"), medicine=medicine)


def check_known_strength(regimen: Regimen) -> Iterator[Finding]:
    """A strength the catalogue does not know for that insulin, or none."""
    for medicine in regimen.medicines:
        if medicine.row is None or _is_pens_only(medicine.strength) or medicine.strength in medicine.row.strengths:
            continue
        strength = f" of {medicine.strength}" if medicine.strength else ", no strength"
        yield Finding(
            medicine.find_place("strength"),
            strength=strength,
            medicine=medicine,
            strengths=write_list(map(str, medicine.row.strengths), "or"),
            other_kinds=_name_other_kinds(medicine),
        )


def _name_other_kinds(medicine: Medicine) -> str:
    """The insulins that do come in that strength, where the name has the same words; else nothing."""
    words = set(medicine.name.split())
    kinds = [
        kind
        for kind, row in load_medicines().items()
        if medicine.strength in row.strengths and words < set(kind.split())
    ]
    return f"this strength is {write_list(kinds, 'or')} here; or " if kinds else ""


def caution_unconfirmed_barrel(regimen: Regimen) -> Iterator[Finding]:
    """A barrel whose row is not confirmed in every part."""
    syringe = regimen.syringe
    row = find_scale(load_scales(), syringe.scale, syringe.capacity_ml, syringe.line_every)
    if row is None or row.shortest_scale_length_mm != syringe.shortest_scale_length_mm:
        return  # a barrel of the user's own file, who has measured it
    if row.not_confirmed:
        yield Finding(syringe.place, syringe=write_scale(syringe), row=row)


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


def _join_doses(fill: Fill) -> str:
    return " and ".join(str(draw.dose) for draw in fill.draws)


def check_last_line(regimen: Regimen) -> Iterator[Finding]:
    """A total past the last line."""
    syringe = regimen.syringe
    for fill in _list_measurable_fills(regimen):
        total = list_stops(fill, regimen)[-1]
        if total > syringe.last_line:
            yield Finding(
                fill.place,
                doses=_join_doses(fill),
                total=write_line(total, syringe.scale),
                last=write_line(syringe.last_line, syringe.scale),
                remedy=_offer_syringes(regimen, fill),
            )


def check_printed_lines(regimen: Regimen) -> Iterator[Finding]:
    """A dose that is not a whole number of lines, so that its stop, the total or its air is on no line."""
    syringe = regimen.syringe
    for each in list_measured(regimen):
        # Where each dose is a whole number of lines, so are every sum and every air draw. Past the last line is
        # another rule's.
        if (line := each.find_line(syringe.scale)) % syringe.line_every:
            unit = "unit" if syringe.line_every == 1 and syringe.scale is not ScaleName.ML else syringe.scale.unit_word
            written, remedy = write_line(line, syringe.scale), _offer_syringes(regimen, each.fill)
            yield Finding(each.draw.place, draw=each.draw, line=written, syringe=syringe, unit=unit, remedy=remedy)


def check_first_line(regimen: Regimen) -> Iterator[Finding]:
    """A dose below the first line that is known of the barrel for 500 units/mL."""
    scale = regimen.syringe.scale
    for each in list_measured(regimen):
        if scale is ScaleName.U_500 and (line := each.find_line(scale)) < FIRST_U_500_LINE:
            yield Finding(each.draw.place, draw=each.draw, line=write_line(line, scale), most=FIRST_U_500_LINE)


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
    for each in list_measured(regimen):
        if each.find_line(syringe.scale) > syringe.last_line / 2:
            finer_scales = write_list(map(write_scale, finer), "or")
            yield Finding(each.draw.place, draw=each.draw, syringe=syringe, finer=finer_scales)


def _list_with_room(regimen: Regimen) -> list[SyringeScale]:
    """The scales of the same numbers that serve every fill with room to spare, smallest first."""
    rows = tuple(row for row in load_scales() if row.scale is regimen.syringe.scale)
    return [row for row in find_serving_scales(regimen, regimen.fills, rows) if leaves_room(row, regimen)]


def caution_larger_barrel(regimen: Regimen) -> Iterator[Finding]:
    """A barrel larger than needed: a smaller one of the same scale would serve every fill, with room to spare."""
    syringe = regimen.syringe
    smaller = [row for row in _list_with_room(regimen) if row.capacity_ml < syringe.capacity_ml]
    if smaller:
        yield Finding(syringe.place, syringe=write_scale(syringe), smaller=write_scale(smaller[0]))


def caution_full_barrel(regimen: Regimen) -> Iterator[Finding]:
    """A total on the last line: nobody can see that the plunger was drawn too far."""
    syringe = regimen.syringe
    for fill in _list_measurable_fills(regimen):
        if list_stops(fill, regimen)[-1] == syringe.last_line:
            larger = _list_with_room(regimen)
            yield Finding(
                fill.place,
                doses=_join_doses(fill),
                last=write_line(syringe.last_line, syringe.scale),
                remedy=f"consider a larger barrel: {write_scale(larger[0])}"
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
        syringe.find_place("numbered_every"),
        own=syringe.numbered_every,
        unit=unit,
        syringe=write_scale(syringe),
        row=row,
    )
