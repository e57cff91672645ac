"""A prescription in HL7 FHIR R4 -> a draft regimen: the one entrance to reading prescriptions.

The order: bytes -> JSON (``json_text``) -> the prescriptions in force (``fhir_bundle``) -> each one singly: its form
(``fhir_standard``), its medicine, its dosage lines. One that cannot be used is refused with its path and stands blank
in the draft; the others go on. Nothing is guessed: what is not stated, or not in one way only, is left blank.
"""

from __future__ import annotations

from typing import Final

from fillcards.intake.draft import Draft, DraftFill, DraftMedicine
from fillcards.intake.element import Element
from fillcards.intake.fhir_bundle import Entries, open_bundle, require_one_patient
from fillcards.intake.fhir_dose import read_dose
from fillcards.intake.fhir_medicine import NamedMedicine, check_route, read_medicine
from fillcards.intake.fhir_standard import check_standard, require_library
from fillcards.intake.fhir_timing import read_schedule
from fillcards.intake.fhir_words import check_conditions, check_words, require_no_condition
from fillcards.intake.json_text import read_json
from fillcards.problems import Problem, RegimenRefused, Severity, sort_problems
from fillcards.regimen.forms import FormError
from fillcards.regimen.labels import Label
from fillcards.strict_text import quote_text

MOST_DOSAGES: Final = 60
"""Dosage lines in a file; a regimen has at most twelve fills, and five files are no longer one patient's home."""

# An instance order is one single dose; a reflex order waits for a result. Source: fhir-r4, request intent.
_ORDERS: Final = ("order", "original-order", "filler-order")
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
)
_ASK: Final = "ask the prescriber, or take the medicine and its fills out of the draft"


def read_prescription(data: bytes, *, takes_name: bool = False) -> Draft:
    """Read a Bundle or a MedicationRequest into a draft.

    Args:
        data: the bytes of the file.
        takes_name: whether the patient's name is taken over from ``subject.display``.

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
    medicines = tuple(_read_request(request, entries) for request in entries.requests)
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


def _read_request(request: Element, entries: Entries) -> DraftMedicine:
    """One prescription; blank where it cannot be used."""
    known = len(request.problems)
    medicine = None
    if check_standard(request):
        _check_order(request)
        _check_once(request, entries.requests)
        for index, note in enumerate(request.list_children("note")):
            require_no_condition(request, f"note[{index}].text", note.find_text("text") or "")
        medicine = read_medicine(request, entries.medications)
    is_usable = medicine is not None and not _list_refusals(request, known)
    dosages = request.list_children("dosageInstruction")
    if is_usable and not dosages:
        request.refuse("FHIR-013", "no dosage", "at least one dosageInstruction", _ASK)
    own = tuple(_list_refusals(request, known))
    usable = medicine if is_usable else None
    fills = tuple(fill for dosage in dosages for fill in _read_dosage(dosage, usable))
    fills = _check_overlaps(request, fills or (DraftFill((request.path or "MedicationRequest",)),))
    remarks = (
        request.path or "MedicationRequest",
        *(medicine.remarks if medicine else _describe_medicine(request)),
        *(f"source: {line}" for line in request.describe("identifier", "authoredOn", "dispenseRequest", "note")),
        *own,
    )
    return DraftMedicine(medicine.row.kind if medicine and medicine.row else None, remarks, fills)


def _describe_medicine(request: Element) -> tuple[str, ...]:
    names = ("medicationCodeableConcept", "medicationReference")
    return tuple(f"source: {line}" for line in request.describe(*names))


def _list_refusals(element: Element, known: int) -> list[str]:
    """What was refused since that many problems were known, as remarks for the draft."""
    refusals = (problem for problem in element.problems[known:] if problem.severity is Severity.REFUSE)
    return [f"REFUSED {each.code}: {each.found}; expected {each.expected}. Do: {each.remedy}" for each in refusals]


def _check_order(request: Element) -> None:
    status, intent = request.find_text("status"), request.find_text("intent")
    if status != "active":
        request.refuse("FHIR-008", f"the status {quote_text(status or '')}", '"active"', _ASK, "status")
    if intent not in _ORDERS:
        found = f"the intent {quote_text(intent or '')}"
        request.refuse("FHIR-008", found, f"one of: {', '.join(_ORDERS)}", _ASK, "intent")
    if request.node.get("doNotPerform") is True:
        found = "an order that the medicine is not to be given"
        request.refuse("FHIR-008", found, "an order to give it", _ASK, "doNotPerform")
    if request.node.get("reportedBoolean") is True or request.has("reportedReference"):
        at = "reportedBoolean" if request.has("reportedBoolean") else "reportedReference"
        request.refuse("FHIR-008", "what somebody reported", "the prescription itself", _ASK, at)


def _check_once(request: Element, requests: tuple[Element, ...]) -> None:
    identifier = request.find_text("id")
    same = [each for each in requests if identifier and each.find_text("id") == identifier]
    if len(same) > 1 and same[0] is not request:
        remedy = "keep the one that holds, and take the other out of the draft"
        request.refuse("FHIR-010", "a prescription with the id of one before it", "each once", remedy, "id")


def _read_dosage(dosage: Element, medicine: NamedMedicine | None) -> tuple[DraftFill, ...]:
    """One fill for each time of a dosage line; one blank fill where the line or its prescription cannot be used."""
    remarks = (dosage.path, *(f"source: {line}" for line in dosage.describe(*_SHOWN_OF_DOSAGE)))
    if medicine is None:
        return (DraftFill((*remarks, "left blank: see what was refused of this medicine")),)
    known = len(dosage.problems)
    check_conditions(dosage)
    check_route(dosage, medicine)
    dose = read_dose(dosage, is_insulin=medicine.is_insulin)
    schedule = read_schedule(dosage)
    if dose is not None and schedule is not None:
        check_words(dosage, dose, schedule)
    if dose is None or schedule is None or _list_refusals(dosage, known):
        return (DraftFill((*remarks, *_list_refusals(dosage, known))),)
    return tuple(DraftFill(remarks, time, dose, schedule.minutes_before, schedule.days) for time in schedule.times)


def _check_overlaps(request: Element, fills: tuple[DraftFill, ...]) -> tuple[DraftFill, ...]:
    """Blank all doses of a prescription that has two for one time; which of them holds nobody can say."""
    if not any(fill.meets(other) for number, fill in enumerate(fills) for other in fills[:number]):
        return fills
    known = len(request.problems)
    remedy = "ask the prescriber which holds now, and write it into the draft by hand"
    request.refuse("FHIR-021", "two doses at one time", "one dose at each time", remedy, "dosageInstruction")
    return tuple(fill.blanked(*_list_refusals(request, known)) for fill in fills)


def _read_name(requests: tuple[Element, ...]) -> str | None:
    """The patient's name, where all prescriptions that state one state the same and a card can print it."""
    subjects = [subject for request in requests if (subject := request.find_child("subject"))]
    names = {name for subject in subjects if (name := subject.find_text("display"))}
    expected, remedy = "one name that the card can print, in subject.display", "write the name into the draft by hand"
    if len(names) == 1:
        name = names.pop()
        try:
            return Label(60).parse(name)
        except FormError as error:
            expected = error.expected
    requests[0].warn("FHIR-023", "no name to take over", expected, remedy, "subject")
    return None
