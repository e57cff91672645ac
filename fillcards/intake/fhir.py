"""A prescription in HL7 FHIR R4 -> a draft regimen: the one entrance to reading prescriptions.

The order: bytes -> JSON (``json_text``) -> the active prescriptions (``fhir_bundle``) -> each one singly: its form
(``fhir_standard``), its medicine, its dosage lines. One that cannot be used is refused with its path and stands blank
in the draft; the others go on. Nothing is guessed: what is not stated, or not in one way only, is left blank.
"""

from __future__ import annotations

import datetime
from typing import Final

from fillcards.intake.draft import Draft, DraftFill, DraftMedicine
from fillcards.intake.element import Element
from fillcards.intake.fhir_bundle import Entries, open_bundle, require_one_patient
from fillcards.intake.fhir_dose import read_dose
from fillcards.intake.fhir_medicine import NamedMedicine, read_medicine
from fillcards.intake.fhir_once import blank_doubles, check_once
from fillcards.intake.fhir_order import check_order
from fillcards.intake.fhir_route import read_route
from fillcards.intake.fhir_standard import check_extensions, check_standard, require_library
from fillcards.intake.fhir_timing import read_schedule
from fillcards.intake.fhir_words import check_conditions, check_names, check_notes, check_reasons, check_words
from fillcards.intake.json_text import read_json
from fillcards.problems import Problem, RegimenRefused, sort_problems
from fillcards.regimen.forms import FormError
from fillcards.regimen.labels import Label, Words

MOST_DOSAGES: Final = 60
"""Dosage lines in a file; a regimen has at most twelve fills, and five files are no longer one patient's home."""

_SHOWN_OF_REQUEST: Final = (
    "identifier",
    "authoredOn",
    "statusReason",
    "category",
    "priority",
    "reasonCode",
    "courseOfTherapyType",
    "instantiatesCanonical",
    "instantiatesUri",
    "priorPrescription",
    "basedOn",
    "dispenseRequest",
    "note",
    "extension",
)
_SHOWN_OF_DOSAGE: Final = (
    "text",
    "patientInstruction",
    "additionalInstruction",
    "timing",
    "doseAndRate",
    "asNeededBoolean",
    "asNeededCodeableConcept",
    "maxDosePerPeriod",
    "maxDosePerAdministration",
    "maxDosePerLifetime",
    "route",
    "site",
    "method",
    "extension",
)
_ASK: Final = "ask the prescriber, or take the medicine and its fills out of the draft"


def read_prescription(data: bytes, *, takes_name: bool = False, today: datetime.date | None = None) -> Draft:
    """Read a Bundle or a MedicationRequest into a draft.

    Args:
        data: the bytes of the file.
        takes_name: whether the patient's name is taken over from ``subject.display``.
        today: the day on which every period of the prescription must be on; without it a prescription with a period
            is refused.

    Returns:
        The draft, with a problem for everything in it that was refused and is left blank.

    Raises:
        RegimenRefused: the file cannot be read, is not of one patient, or nothing in it can be used.
        OutputError: the package ``fhir.resources`` is not installed.
    """
    require_library()
    problems: list[Problem] = []
    root = Element(read_json(data), "", problems)
    entries = open_bundle(root)
    require_one_patient(entries.requests)
    _require_few(root, entries.requests)
    read = [_read_request(request, entries, today) for request in entries.requests]
    medicines = blank_doubles(entries.requests, read)
    if all(fill.dose is None for medicine in medicines for fill in medicine.fills):
        raise RegimenRefused(sort_problems(problems))
    name = _read_name(entries.requests) if takes_name else None
    return Draft(medicines, name, sort_problems(problems))


def _require_few(root: Element, requests: tuple[Element, ...]) -> None:
    count = sum(len(request.list_children("dosageInstruction")) for request in requests)
    if count > MOST_DOSAGES:
        remedy = "export the prescriptions of one patient alone"
        root.refuse("FHIR-002", f"{count} dosage lines", f"at most {MOST_DOSAGES}", remedy)
        raise RegimenRefused(tuple(root.problems))


def _read_request(
    request: Element, entries: Entries, today: datetime.date | None
) -> tuple[NamedMedicine | None, DraftMedicine]:
    """One prescription and the medicine it names; blank where it cannot be used."""
    known = len(request.problems)
    medicine = None
    if check_standard(request):
        check_order(request, today)
        check_once(request, entries)
        medicine = read_medicine(request, entries.medications)
        if medicine is not None:
            check_names(request, medicine)
        check_notes(request, medicine)
        check_reasons(request)
    is_usable = medicine is not None and not request.describe_refusals(known)
    dosages = request.list_children("dosageInstruction")
    if is_usable and not dosages:
        request.refuse("FHIR-013", "no dosage", "at least one dosageInstruction", _ASK)
    own = tuple(request.describe_problems(known))
    usable = medicine if is_usable else None
    fills = tuple(fill for dosage in dosages for fill in _read_dosage(dosage, usable, today))
    fills = _check_overlaps(request, fills or (DraftFill((request.path or "MedicationRequest",)),))
    remarks = (
        request.path or "MedicationRequest",
        *(medicine.remarks if medicine else _describe_medicine(request)),
        *(f"source: {line}" for line in request.describe(*_SHOWN_OF_REQUEST)),
        *own,
    )
    return medicine, DraftMedicine(medicine.row.kind if medicine and medicine.row else None, remarks, fills)


def _describe_medicine(request: Element) -> tuple[str, ...]:
    names = ("medicationCodeableConcept", "medicationReference")
    return tuple(f"source: {line}" for line in request.describe(*names))


def _read_dosage(dosage: Element, medicine: NamedMedicine | None, today: datetime.date | None) -> tuple[DraftFill, ...]:
    """One fill for each time of a dosage line; one blank fill where the line or its prescription cannot be used."""
    remarks = (dosage.path, *(f"source: {line}" for line in dosage.describe(*_SHOWN_OF_DOSAGE)))
    if medicine is None:
        return (DraftFill((*remarks, "left blank: see what was refused of this medicine")),)
    known = len(dosage.problems)
    check_extensions(dosage)
    check_conditions(dosage)
    route = read_route(dosage, is_insulin=medicine.is_insulin)
    dose = read_dose(dosage, is_insulin=medicine.is_insulin)
    schedule = read_schedule(dosage, today)
    if dose is not None and schedule is not None:
        check_words(dosage, medicine, route, dose, schedule)
    if dose is None or schedule is None or dosage.describe_refusals(known):
        return (DraftFill((*remarks, *dosage.describe_refusals(known))),)
    return tuple(DraftFill(remarks, time, dose, schedule.minutes_before, schedule.days) for time in schedule.times)


def _check_overlaps(request: Element, fills: tuple[DraftFill, ...]) -> tuple[DraftFill, ...]:
    """Blank all doses of a prescription that has two for one time; which of them holds nobody can say."""
    if not any(fill.meets(other) for number, fill in enumerate(fills) for other in fills[:number]):
        return fills
    known = len(request.problems)
    remedy = "ask the prescriber which holds now, and write it into the draft by hand"
    request.refuse("FHIR-021", "two doses at one time", "one dose at each time", remedy, "dosageInstruction")
    return tuple(fill.blanked(*request.describe_refusals(known)) for fill in fills)


def _read_name(requests: tuple[Element, ...]) -> str | None:
    """The patient's name, where all prescriptions that state one state the same and a card can print it."""
    subjects = [subject for request in requests if (subject := request.find_child("subject"))]
    names = {name for subject in subjects if (name := subject.find_text("display"))}
    expected, remedy = "one name that the card can print, in subject.display", "write the name into the draft by hand"
    if len(names) == 1:
        name = names.pop()
        try:
            return Label(60, Words.NAME).parse(name)
        except FormError as error:
            expected = error.expected
    requests[0].warn("FHIR-023", "no name to take over", expected, remedy, "subject")
    return None
