"""Rules about how the medicine is given: by mouth or injected, never both with one syringe."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.catalogue.model import Route, ScaleName
from fillcards.plan.reading import list_fill_medicines
from fillcards.plan.rules.rule import Finding, Rule, find_place, write_list
from fillcards.plan.serving import is_counted_in_units
from fillcards.problems import Severity
from fillcards.regimen.model import Medicine, PatientKind, Regimen


def _by_mouth(regimen: Regimen) -> Iterator[Medicine]:
    return (medicine for medicine in regimen.medicines if medicine.route is Route.BY_MOUTH)


def check_one_route_a_fill(regimen: Regimen) -> Iterator[Finding]:
    """Medicines of different routes in one syringe."""
    for fill in regimen.fills:
        medicines = list_fill_medicines(fill, regimen)
        if len({medicine.route for medicine in medicines}) > 1:
            yield Finding(
                find_place(fill, "draw"),
                write_list(f"{medicine.name} {medicine.route.value}" for medicine in medicines) + " in one syringe",
                "one route for everything in a syringe",
                "write two fills, and a file for each kind of syringe",
            )


def check_one_kind_of_syringe(regimen: Regimen) -> Iterator[Finding]:
    """One file, so one syringe, for medicines by mouth and injected ones."""
    injected = [medicine for medicine in regimen.medicines if medicine.route is not Route.BY_MOUTH]
    for medicine in _by_mouth(regimen):
        if injected:
            yield Finding(
                find_place(medicine, "route"),
                f"{medicine.name} by mouth and {injected[0].name} {injected[0].route.value}, with one syringe",
                "a file names one syringe; one for the mouth is not one for injection",
                "write a second file for the medicines by mouth",
            )


def check_mouth_scale(regimen: Regimen) -> Iterator[Finding]:
    """A medicine by mouth on a unit scale."""
    if regimen.syringe.scale is ScaleName.ML:
        return
    for medicine in _by_mouth(regimen):
        yield Finding(
            find_place(medicine, "route"),
            f"{medicine.name} by mouth on a {regimen.syringe.scale.value} scale",
            "an oral syringe marked in mL",
            "use an oral syringe marked in mL only; an insulin syringe is for insulin under the skin",
        )


def check_mouth_units(regimen: Regimen) -> Iterator[Finding]:
    """A medicine by mouth counted in units."""
    for medicine in _by_mouth(regimen):
        if is_counted_in_units(medicine, regimen):
            yield Finding(
                find_place(medicine, "strength"),
                f"{medicine.name} by mouth, counted in units",
                "a dose by mouth in mL, or in mg or mcg with its strength",
                "ask the pharmacist for the dose in mL; this card never says units for a medicine by mouth",
            )


def check_mouth_alone(regimen: Regimen) -> Iterator[Finding]:
    """Two medicines by mouth in one syringe."""
    for fill in regimen.fills:
        medicines = list_fill_medicines(fill, regimen)
        if len(medicines) > 1 and all(medicine.route is Route.BY_MOUTH for medicine in medicines):
            yield Finding(
                find_place(fill, "draw"),
                f"{write_list(medicine.name for medicine in medicines)} in one oral syringe",
                "each medicine by mouth drawn and given on its own, so that none gets into the other's bottle",
                "write two fills",
            )


def caution_no_veterinarian(regimen: Regimen) -> Iterator[Finding]:
    """An animal's card that names no veterinarian."""
    if regimen.patient.kind is not PatientKind.ANIMAL:
        return
    if not any("vet" in contact.who.lower() for contact in regimen.contacts):
        yield Finding(
            regimen.patient.place,
            "an animal, no veterinarian under contacts",
            "the veterinarian under contacts: the card sends the owner there when unsure",
            "add a contact such as {who: Veterinarian, phone: ...}",
        )


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION

RULES = (
    Rule("ROUTE-001", _REFUSE, check_one_route_a_fill),
    Rule("ROUTE-002", _REFUSE, check_one_kind_of_syringe),
    Rule("ROUTE-003", _REFUSE, check_mouth_scale, needs_syringe=True),
    Rule("ROUTE-004", _REFUSE, check_mouth_units),
    Rule("ROUTE-005", _REFUSE, check_mouth_alone),
    Rule("ROUTE-006", _CAUTION, caution_no_veterinarian),
)
