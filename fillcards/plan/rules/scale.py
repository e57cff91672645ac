"""Rules about the scale and the strength: a line is not a dose."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import ScaleName
from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.plan.reading import is_measurable, measure_draw_line, measure_draw_ml
from fillcards.plan.rules.rule import Finding, Rule, find_place, write_line, write_list
from fillcards.plan.serving import UNIT_SCALES, is_counted_in_units, list_allowed_scales, write_scale
from fillcards.problems import Severity
from fillcards.quantities import Quantity, Unit, has_exact_decimal, write_number
from fillcards.regimen.model import Medicine, Regimen

# Facts 3: insulin of 200 and 300 units/mL is sold in pens only (from memory, high confidence).
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
        yield Finding(
            find_place(medicine, "strength"),
            f"{medicine.name} of {medicine.strength} on a {scale.value} scale",
            f"insulin of {scale.units_per_ml} units/mL, or a syringe whose scale is made for {medicine.strength}",
            "look at the vial and at the barrel: correct the one that is wrong here, or ask the pharmacist "
            "for the syringe that belongs to this strength",
        )


def check_insulin_on_ml(regimen: Regimen) -> Iterator[Finding]:
    """Insulin on an mL scale."""
    if regimen.syringe.scale is not ScaleName.ML:
        return
    for medicine in regimen.medicines:
        if medicine.is_insulin:
            yield Finding(
                medicine.place,
                f"{medicine.name} on an mL scale",
                "an insulin syringe, its scale in units and made for the strength of the vial",
                "use an insulin syringe; never measure insulin in mL",
            )


def check_units_on_unit_scale(regimen: Regimen) -> Iterator[Finding]:
    """A medicine counted in units, not insulin, on an insulin scale."""
    if regimen.syringe.scale not in UNIT_SCALES:
        return
    for medicine in regimen.medicines:
        if not medicine.is_insulin and is_counted_in_units(medicine, regimen):
            yield Finding(
                find_place(medicine, "strength"),
                f"{medicine.name}, counted in units, on a {regimen.syringe.scale.value} scale",
                "an mL scale: the units of an insulin syringe are units of insulin only",
                "use a syringe marked in mL",
            )


def caution_line_is_no_dose(regimen: Regimen) -> Iterator[Finding]:
    """A medicine in mg, mcg or mL on a unit scale: the tenfold warning, with mg, mL and line together."""
    keys = {medicine.key for medicine in _on_unit_scale_not_counted_in_units(regimen)}
    for fill in regimen.fills:
        for draw in fill.draws:
            strength = regimen.find_medicine(draw.medicine).strength
            if draw.medicine not in keys or strength is None or not is_measurable(draw, regimen):
                continue
            volume_ml = measure_draw_ml(draw, regimen)
            volume = f"{write_number(volume_ml)} mL" if has_exact_decimal(volume_ml) else "no exact volume"
            line = write_line(measure_draw_line(draw, regimen), regimen.syringe.scale)
            yield Finding(
                draw.place,
                f"{draw.dose} of {strength} is {volume}: {line} of a {regimen.syringe.scale.value} scale",
                f'the words "{line}", never "units": the scale counts insulin, and taking a line for a dose has given '
                "5 to 20 times the dose",
                f"teach the line, and use this card only with a vial that says {strength}",
            )


def check_strength_given(regimen: Regimen) -> Iterator[Finding]:
    """A medicine on a unit scale whose strength is not stated."""
    for medicine in _on_unit_scale_not_counted_in_units(regimen):
        if medicine.strength is None:
            yield Finding(
                medicine.place,
                f"{medicine.name} on a {regimen.syringe.scale.value} scale, no strength",
                "the strength of the vial in mg/mL or mcg/mL",
                "write the strength from the label: a line means nothing without it",
            )


def check_pens_only(regimen: Regimen) -> Iterator[Finding]:
    """Insulin of a strength that is sold in pens only."""
    for medicine in regimen.medicines:
        if medicine.is_insulin and _is_pens_only(medicine.strength):
            yield Finding(
                find_place(medicine, "strength"),
                f"{medicine.name} of {medicine.strength}",
                "a strength sold in vials; 200 and 300 units/mL come in pens only",
                "never draw from a pen into a syringe; use the pen by its own dial and make no card for it",
            )


def check_known_strength(regimen: Regimen) -> Iterator[Finding]:
    """A strength the catalogue does not know for that insulin, or none."""
    for medicine in regimen.medicines:
        if medicine.row is None or _is_pens_only(medicine.strength) or medicine.strength in medicine.row.strengths:
            continue
        found = f"{medicine.name} of {medicine.strength}" if medicine.strength else f"{medicine.name}, no strength"
        yield Finding(
            find_place(medicine, "strength"),
            found,
            f"{medicine.name} in vials of {write_list(map(str, medicine.row.strengths), 'or')}",
            _name_other_kinds(medicine) + "read the strength on the vial's label and correct it here",
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
        yield Finding(
            syringe.place,
            f"{write_scale(syringe)}: not confirmed; {row.not_confirmed}",
            "a barrel whose lines, numbers and length are all confirmed by a published source",
            "compare the real barrel with the card before handing it out: every line and every number must match",
        )


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION

RULES = (
    Rule("SCALE-001", _REFUSE, check_insulin_scale, needs_syringe=True),
    Rule("SCALE-002", _REFUSE, check_insulin_on_ml, needs_syringe=True),
    Rule("SCALE-003", _REFUSE, check_units_on_unit_scale, needs_syringe=True),
    Rule("SCALE-004", _CAUTION, caution_line_is_no_dose, needs_syringe=True),
    Rule("SCALE-005", _REFUSE, check_strength_given, needs_syringe=True),
    Rule("SCALE-006", _REFUSE, check_pens_only),
    Rule("SCALE-007", _REFUSE, check_known_strength),
    Rule("SOURCE-001", Severity.CAUTION, caution_unconfirmed_barrel, needs_syringe=True),
)
