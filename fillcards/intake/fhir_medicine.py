"""Which medicine a prescription names: the words it is named with, and the catalogue's medicine if all of them say it.

A name is taken over only where every name given is exactly one of the catalogue's generic names; any more or fewer
words may make another medicine of it, so then it is left to the person filling in the draft. No strength is ever
taken over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from fillcards.catalogue.medicines import find_medicine_named, load_medicines
from fillcards.catalogue.model import MedicineKind
from fillcards.intake.element import Element
from fillcards.intake.fhir_concept import list_codes, list_texts
from fillcards.intake.fhir_standard import check_standard
from fillcards.strict_text import quote_text


@dataclass(frozen=True, slots=True)
class NamedMedicine:
    """What a prescription says about its medicine.

    Attributes:
        names: as written, each once.
        row: the medicine of the catalogue, if all names are its names.
        is_insulin: whether a name says insulin; decides only which units and which routes can fit.
        remarks: for the draft.
        codes: system and code of each coding, to compare prescriptions with.
    """

    names: tuple[str, ...]
    row: MedicineKind | None
    is_insulin: bool
    remarks: tuple[str, ...]
    codes: frozenset[tuple[str | None, str]] = frozenset()

    def may_be(self, other: NamedMedicine) -> bool:
        """Whether both may be one medicine, so that their doses at one time must be asked about."""
        if self.codes & other.codes or set(map(_join, self.names)) & set(map(_join, other.names)):
            return True
        if self.row is not None and other.row is not None:
            return self.row is other.row
        return bool(_find_rows_within(self.names) & _find_rows_within(other.names))


def read_medicine(request: Element, medications: dict[str, Element]) -> NamedMedicine | None:
    """What a prescription says about its medicine; ``None`` where that cannot be used, which is noted.

    Args:
        request: the prescription, in the form of the standard.
        medications: the Medication resources of the file by their addresses.
    """
    concept, reference = request.find_child("medicationCodeableConcept"), request.find_child("medicationReference")
    names, codes = list_texts(concept), list_codes(concept)
    remarks = [f"source: {line}" for line in request.describe("medicationCodeableConcept")]
    ingredients: tuple[str, ...] = ()
    if reference is not None:
        if display := reference.find_text("display"):
            names += (display,)
        medication = _find_medication(request, reference, medications)
        if medication is not None:
            if not _check_medication(medication):
                return None
            names += list_texts(medication.find_child("code"))
            codes |= list_codes(medication.find_child("code"))
            ingredients = _list_ingredients(medication)
            remarks += [f"source: {line}" for line in medication.describe("code", "form", "ingredient")]
        elif names:
            remarks.append(f"source: medicationReference: {display}, a reference that leads to nothing in the file")
    names = tuple(dict.fromkeys(names))
    if not names:
        remedy = "ask for a prescription that names the medicine, or write it into a regimen by hand"
        at = "medicationReference" if reference is not None else "medicationCodeableConcept"
        request.refuse("FHIR-012", "a medicine without a name", "a name, as text or as display", remedy, at)
        return None
    is_insulin = any(map(_says_insulin, (*names, *ingredients)))
    return NamedMedicine(names, _find_row(names), is_insulin, tuple(remarks), codes)


def _list_ingredients(medication: Element) -> tuple[str, ...]:
    concepts = (part.find_child("itemCodeableConcept") for part in medication.list_children("ingredient"))
    return tuple(name for concept in concepts for name in list_texts(concept))


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
    wanted = _join(name)
    for row in load_medicines().values():
        if wanted in map(_join, (row.kind, *row.other_names)):
            return row
    return None


def _join(name: str) -> str:
    return " ".join(name.casefold().split())


def _find_rows_within(names: tuple[str, ...]) -> set[str]:
    """The kinds of the catalogue whose words stand in a name: for each name, the one with the most words."""
    found = set()
    for words in (set(re.findall(r"[a-z0-9-]+", name.casefold())) for name in names):
        fitting = {
            known: row.kind
            for row in load_medicines().values()
            for known in (row.kind, *row.other_names)
            if set(re.findall(r"[a-z0-9-]+", known.casefold())) <= words
        }
        if fitting:
            found.add(fitting[max(fitting, key=len)])
    return found


def _says_insulin(name: str) -> bool:
    return re.search(r"\binsulin\b", name, re.IGNORECASE) is not None or find_medicine_named(name) is not None
