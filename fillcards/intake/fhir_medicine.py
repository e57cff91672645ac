"""Which medicine a prescription names: the words it is named with, and the catalogue's medicine if all of them say it.

A name is taken over only where every name given is exactly one of the catalogue's generic names; any more or fewer
words may make another medicine of it, so then it is left to whoever fills in the draft. No strength is ever taken over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from fillcards.catalogue.medicines import find_medicine_named, load_medicines
from fillcards.catalogue.model import MedicineKind, Route
from fillcards.intake.element import Element
from fillcards.intake.fhir_standard import check_standard
from fillcards.strict_text import quote_text

# Codes: SNOMED CT in the FHIR R4 value set of routes; the words are those a route is written with in English.
# Source: snomed-ct-routes; 78421000 is from memory.
_SNOMED: Final = "http://snomed.info/sct"
_ROUTE_OF_CODE: Final = {
    "34206005": Route.UNDER_THE_SKIN,
    "78421000": Route.INTO_MUSCLE,
    "26643006": Route.BY_MOUTH,
}
_ROUTE_OF_WORD: Final = {
    "subcutaneous": Route.UNDER_THE_SKIN,
    "subcutaneous use": Route.UNDER_THE_SKIN,
    "intramuscular": Route.INTO_MUSCLE,
    "intramuscular use": Route.INTO_MUSCLE,
    "oral": Route.BY_MOUTH,
    "oral use": Route.BY_MOUTH,
}


@dataclass(frozen=True, slots=True)
class NamedMedicine:
    """What a prescription says about its medicine.

    Attributes:
        names: as written, each once.
        row: the medicine of the catalogue, if all names are its names.
        is_insulin: whether a name says insulin; decides only which units can fit.
        remarks: for the draft.
    """

    names: tuple[str, ...]
    row: MedicineKind | None
    is_insulin: bool
    remarks: tuple[str, ...]


def read_medicine(request: Element, medications: dict[str, Element]) -> NamedMedicine | None:
    """What a prescription says about its medicine; ``None`` where that cannot be used, which is noted.

    Args:
        request: the prescription, in the form of the standard.
        medications: the Medication resources of the file by their addresses.
    """
    concept, reference = request.find_child("medicationCodeableConcept"), request.find_child("medicationReference")
    names = _list_names(concept)
    remarks = [f"source: {line}" for line in request.describe("medicationCodeableConcept")]
    ingredients: tuple[str, ...] = ()
    if reference is not None:
        if display := reference.find_text("display"):
            names += (display,)
        medication = _find_medication(request, reference, medications)
        if medication is not None:
            if not _check_medication(medication):
                return None
            names += _list_names(medication.find_child("code"))
            ingredients = _list_ingredients(medication)
            remarks += [f"source: {line}" for line in medication.describe("code", "form", "ingredient")]
        elif names:
            remarks.append(f"source: medicationReference: {display}, a reference that leads to nothing in the file")
    names = tuple(dict.fromkeys(names))
    if not names:
        remedy = "have the medicine named in the prescription, or write it into a regimen by hand"
        at = "medicationReference" if reference is not None else "medicationCodeableConcept"
        request.refuse("FHIR-012", "a medicine without a name", "a name, as text or as display", remedy, at)
        return None
    return NamedMedicine(names, _find_row(names), any(map(_says_insulin, (*names, *ingredients))), tuple(remarks))


def _list_names(concept: Element | None) -> tuple[str, ...]:
    """The names that a concept gives, as written."""
    if concept is None:
        return ()
    texts = (concept.find_text("text"), *(coding.find_text("display") for coding in concept.list_children("coding")))
    return tuple(text for text in texts if text)


def _list_ingredients(medication: Element) -> tuple[str, ...]:
    concepts = (part.find_child("itemCodeableConcept") for part in medication.list_children("ingredient"))
    return tuple(name for concept in concepts for name in _list_names(concept))


def _find_medication(request: Element, reference: Element, medications: dict[str, Element]) -> Element | None:
    address = (reference.find_text("reference") or "").partition("/_history/")[0]
    if address.startswith("#"):
        contained = request.list_children("contained")
        return next((each for each in contained if f"#{each.find_text('id')}" == address), None)
    return medications.get(address)


def _check_medication(medication: Element) -> bool:
    """Note what makes a Medication one that cannot be used."""
    known = len(medication.problems)
    if not check_standard(medication):
        return False
    status = medication.find_text("status")
    if status not in (None, "active"):
        remedy = "ask for a prescription of a medicine that is in use"
        medication.refuse("FHIR-008", f"the status {quote_text(status)}", '"active"', remedy, "status")
    return len(medication.problems) == known


def _find_row(names: tuple[str, ...]) -> MedicineKind | None:
    rows = {_find_row_named(name) for name in names}
    return rows.pop() if len(rows) == 1 else None


def _find_row_named(name: str) -> MedicineKind | None:
    """The row one of whose names this is, letter by letter but for capitals and runs of spaces."""
    wanted = " ".join(name.casefold().split())
    for row in load_medicines().values():
        if wanted in (" ".join(known.casefold().split()) for known in (row.kind, *row.other_names)):
            return row
    return None


def _says_insulin(name: str) -> bool:
    return re.search(r"\binsulin\b", name, re.IGNORECASE) is not None or find_medicine_named(name) is not None


def check_route(dosage: Element, medicine: NamedMedicine) -> None:
    """Refuse a route that no card is made for, or that does not fit an insulin; no route at all is let through."""
    concept = dosage.find_child("route")
    if concept is None:
        return
    stated = {_find_route(coding) for coding in concept.list_children("coding")}
    if (text := concept.find_text("text")) is not None:
        stated.add(_ROUTE_OF_WORD.get(text.casefold().removesuffix(" route")))
    fitting = (Route.UNDER_THE_SKIN,) if medicine.is_insulin else tuple(Route)
    route = stated.pop() if len(stated) == 1 else None
    if route not in fitting:
        expected = f"one of: {', '.join(each.value for each in fitting)}"
        remedy = "ask the prescriber or the pharmacist; no card is made for another way of giving it"
        found = f"the route {quote_text(next(dosage.describe('route')).removeprefix('route: '))}"
        dosage.refuse("FHIR-020", found, expected, remedy, "route")


def _find_route(coding: Element) -> Route | None:
    if coding.find_text("system") == _SNOMED:
        return _ROUTE_OF_CODE.get(coding.find_text("code") or "")
    return _ROUTE_OF_WORD.get((coding.find_text("display") or "").casefold().removesuffix(" route"))
