"""A prescription in HL7 FHIR R4 -> a draft regimen: the one entrance to reading prescriptions.

Bytes -> JSON (``json_text``) -> the orders and dispenses in force, of one patient -> a medicine and its fills for each.
Once it is clear what the file is and for whom, there is always a draft: each field either taken, with the words it was
taken from, or left blank with the reason, all reasons at once. A message never quotes who the patient is.
Source: HL7 FHIR R4, Bundle, MedicationRequest, MedicationDispense (``fhir-r4``).
"""

from __future__ import annotations

import datetime
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final, NamedTuple

from fillcards.intake.draft import Draft, DraftFill, DraftMedicine
from fillcards.intake.fhir_dosage import check_period, read_dosage
from fillcards.intake.fhir_medicine import DEPENDS, NamedMedicine, read_medicine
from fillcards.intake.fhir_words import find_untrue
from fillcards.intake.json_text import Element, read_json
from fillcards.problems import RegimenRefused, sort_problems
from fillcards.regimen.forms import FormError
from fillcards.regimen.labels import Label, Words
from fillcards.strict_text import quote_text

MOST_ENTRIES: Final = 1_000
MOST_DOSAGES: Final = 60
"""Dosage lines in a file; a regimen has at most twelve fills, and five files are no longer one patient's home."""

REQUEST: Final = "MedicationRequest"
DISPENSE: Final = "MedicationDispense"
_DOSAGES: Final = "dosageInstruction"
# Types whose entries state what holds now. A history has old versions; a transaction or batch may delete.
_TYPES_OF_TODAY: Final = ("collection", "searchset", "document", "message")
_TYPES_OF_WRITING: Final = ("transaction", "batch")
_IN_FORCE: Final = {REQUEST: ("active",), DISPENSE: ("preparation", "in-progress", "completed")}
_ENDED: Final = ("cancelled", "completed", "entered-in-error", "stopped", "declined")
# An instance order is one single dose; a reflex order waits for a result. Source: fhir-r4, request intent.
_ORDERS: Final = ("order", "original-order", "filler-order")
# What says nothing of the dose, or is looked at by itself below.
_KNOWN: Final = (
    "resourceType id meta text contained identifier status intent category priority doNotPerform reportedBoolean "
    "subject encounter context authoredOn requester performer performerType recorder reasonCode reasonReference "
    "groupIdentifier courseOfTherapyType insurance note dosageInstruction dispenseRequest medicationCodeableConcept "
    "medicationReference basedOn priorPrescription authorizingPrescription supportingInformation partOf location "
    "type quantity daysSupply whenPrepared whenHandedOver destination receiver language extension detectedIssue "
    "eventHistory substitution statusReason statusReasonCodeableConcept"
)
_OF_OTHERS: Final = "meta text subject encounter requester performer recorder"
_SHOWN: Final = (
    "identifier authoredOn statusReason statusReasonCodeableConcept category priority reasonCode reasonReference "
    "courseOfTherapyType priorPrescription basedOn dispenseRequest quantity daysSupply note extension"
)
_CONTINUOUS: Final = frozenset(("continuous", "continuous long term therapy"))
# No diagnosis needs one of these; "type 2 diabetes with hyperglycemia" has none. Common practice, no source.
_CONDITION: Final = re.compile(
    r"[<>=\u2264\u2265]|\b(?:if|when\w*|only|unless|until|above|below|greater|less|more|hold|skip|stop|units?|mg/dl|mmol)\b",
    re.IGNORECASE,
)
_MODIFIERS: Final = ("implicitRules", "modifierExtension")


class Order(NamedTuple):
    """A MedicationRequest or a MedicationDispense, and the address it has in its Bundle."""

    address: str
    element: Element

    @property
    def kind(self) -> str:
        """Its type."""
        return self.element.find_text("resourceType") or ""

    @property
    def has_ended(self) -> bool:
        """Whether it says that it no longer counts; a dispense that is completed was handed over."""
        status = self.element.find_text("status") or ""
        return status in _ENDED and status not in _IN_FORCE[self.kind]


def read_prescription(data: bytes, *, takes_name: bool = False, today: datetime.date | None = None) -> Draft:
    """Read a Bundle, a MedicationRequest or a MedicationDispense into a draft.

    Args:
        data: the bytes of the file.
        takes_name: whether the patient's name is taken over from ``subject.display``.
        today: the day on which every period of the prescription must be on; without it one with a period stays blank.

    Returns:
        The draft, with a problem for everything in it that is left blank.

    Raises:
        RegimenRefused: nobody can tell what the file is, whether it is whole or whom it is for; or nothing in it is in
            force.
    """
    root = Element(read_json(data), "", [])
    resources = _open(root)
    orders = tuple(each for each in resources if each.kind in _IN_FORCE)
    in_force = _list_in_force(root, resources, orders)
    _require_one_patient(in_force)
    medications = _index_medications(resources)
    read = [_read_order(order, orders, medications, today) for order in in_force]
    medicines = _blank_doubles(in_force, read)
    name = _read_name(in_force) if takes_name else None
    return Draft(medicines, name, sort_problems(root.problems))


def _stop(element: Element, code: str, found: str, at: str = "") -> RegimenRefused:
    element.note(code, found, at)
    return RegimenRefused(sort_problems(element.problems))


def _open(root: Element) -> tuple[Order, ...]:
    """Every resource of a file.

    Raises:
        RegimenRefused: the file is of another kind, or not whole.
    """
    kind = root.find_text("resourceType")
    if kind in _IN_FORCE:
        return (Order("", root),)
    if kind != "Bundle":
        found = f"a resource of the type {quote_text(kind)}" if kind else "no resourceType"
        raise _stop(root, "FHIR-004", found, "resourceType")
    _check_whole(root)
    entries = root.list_children("entry")
    if len(entries) > MOST_ENTRIES:
        root.note("FHIR-002", f"{len(entries):,} entries", "entry")
    resources = []
    for entry in entries:
        resource = entry.find_child("resource")
        kind = resource.find_text("resourceType")
        if kind is None:
            entry.note("FHIR-006", "an entry without a resource")
        elif kind == "Bundle":
            resource.note("FHIR-005", "a Bundle inside a Bundle")
        else:
            resources.append(Order(entry.find_text("fullUrl") or "", resource))
    if root.problems:
        raise RegimenRefused(sort_problems(root.problems))
    return tuple(resources)


def _check_whole(root: Element) -> None:
    """Note what says that the Bundle has more than this, or other than what holds today."""
    kind = root.find_text("type")
    entries = root.list_children("entry")
    methods = [entry.find_child("request").node.get("method") for entry in entries]
    is_written = all(method in ("POST", "PUT") for method in methods)
    if kind not in _TYPES_OF_TODAY and not (kind in _TYPES_OF_WRITING and is_written):
        found = f"a Bundle of the type {quote_text(kind)}" if kind else "a Bundle without a type"
        root.note("FHIR-005", found, "type")
    if any(link.find_text("relation") == "next" for link in root.list_children("link")):
        root.note("FHIR-005", "a link to a next page", "link")
    matches = sum(entry.find_child("search").node.get("mode") in (None, "match") for entry in entries)
    if root.node.get("total", matches) != matches:
        root.note("FHIR-005", "another number of entries", "total")
    for part in (root, *entries):
        for name in filter(part.has, _MODIFIERS):
            part.note("FHIR-009", f"{name}, which may change what all of it means", name)


def _list_in_force(root: Element, resources: tuple[Order, ...], orders: tuple[Order, ...]) -> tuple[Order, ...]:
    """The orders and dispenses to read; what is left out is told.

    Raises:
        RegimenRefused: there is none, or there are too many dosage lines.
    """
    kept = []
    for order in orders:
        is_filled = order.kind == DISPENSE and order.element.node.get("authorizingPrescription")
        wanted = order.element.list_children("authorizingPrescription") if is_filled else ()
        is_repeated = any(_leads_to(each, other) for each in wanted for other in orders if other.kind == REQUEST)
        if order.has_ended or is_repeated:
            found = "a dispense of a prescription of this file" if is_repeated else "a prescription that has ended"
            order.element.note("FHIR-022", found, "status")
        else:
            kept.append(order)
    kinds = Counter(each.kind for each in resources if each.kind not in (*_IN_FORCE, "Medication", "Patient"))
    if kinds:
        others = ", ".join(f"{count} {quote_text(kind)}" for kind, count in kinds.items())
        root.note("FHIR-022", f"left out: {others}", "entry")
    if not kept:
        raise _stop(root, "FHIR-011", "no prescription in force")
    lines = sum(len(order.element.list_children(_DOSAGES)) for order in kept)
    if lines > MOST_DOSAGES:
        raise _stop(root, "FHIR-002", f"{lines} dosage lines")
    return tuple(kept)


def _require_one_patient(orders: tuple[Order, ...]) -> None:
    """Compare whom the prescriptions are for.

    Raises:
        RegimenRefused: they differ, or nothing that they all state can be compared.
    """
    subjects = [order.element.find_child("subject") for order in orders]
    stated = [_name_subject(subject) for subject in subjects]
    for subject, each in zip(subjects, stated, strict=True):
        if subject.node.get("type") == "Group" or "Group/" in each.get("reference", ""):
            raise _stop(subject, "FHIR-007", "a prescription for a group")
    common = set.intersection(*map(set, stated))
    for order, each in zip(orders[1:], stated[1:], strict=True):
        if not common or any(each[name] != stated[0][name] for name in common):
            found = "another patient than in the first one" if common else "patients that cannot be compared"
            raise _stop(order.element, "FHIR-007", found, "subject")


def _name_subject(subject: Element) -> dict[str, str]:
    """What a reference says about who it is: address, identifier, name; an address inside its own resource is none."""
    reference = (subject.find_text("reference") or "").partition("/_history/")[0]
    stated = {"reference": reference} if reference and not reference.startswith("#") else {}
    identifier = subject.find_child("identifier")
    if identifier.has("value"):
        stated["identifier"] = f"{identifier.node.get('system')}|{identifier.find_text('value')}"
    if display := subject.find_text("display"):
        stated["display"] = display
    return stated


def _index_medications(resources: tuple[Order, ...]) -> dict[str, Element]:
    """Medications by address; one address for two of them leads to neither."""
    found: dict[str, list[Element]] = {}
    for address, resource in resources:
        if resource.node.get("resourceType") == "Medication":
            identifier = resource.find_text("id")
            for name in {address, f"Medication/{identifier}" if identifier else ""} - {""}:
                found.setdefault(name, []).append(resource)
    for several in found.values():
        if len(several) > 1:
            several[1].note("FHIR-010", "two medicines with one address")
    return {name: several[0] for name, several in found.items() if len(several) == 1}


def _read_order(
    order: Order, orders: tuple[Order, ...], medications: dict[str, Element], today: datetime.date | None
) -> tuple[NamedMedicine, DraftMedicine]:
    """One prescription, and what it says of its medicine; all its doses are blank where it cannot be trusted."""
    element = order.element
    known = len(element.problems)
    _check_order(order, today)
    _check_once(order, orders)
    medicine = read_medicine(element, medications)
    _check_words(element, medicine)
    reasons = element.describe_problems(known)
    is_trusted = all(problem.code == "FHIR-022" for problem in element.problems[known:])
    lines = element.list_children(_DOSAGES)
    if not lines:
        element.note("FHIR-013", "no dosage")
    fills = _check_overlaps(element, [read_dosage(line, medicine, today) for line in lines])
    fills = fills or (DraftFill((element.path or order.kind,)),)
    if not is_trusted:
        fills = tuple(fill.blanked("left blank: see what is said of this medicine") for fill in fills)
    remarks = (element.path or order.kind, *medicine.remarks, *element.describe(_SHOWN), *reasons)
    kind = medicine.row.kind if medicine.row else None
    return medicine, DraftMedicine(kind, remarks, fills, medicine.strength)


def _check_order(order: Order, today: datetime.date | None) -> None:
    """Note anything that is not an order to give a medicine, in force today, or that no rule here reads."""
    element, node = order.element, order.element.node
    element.note_unknown(_KNOWN, dict.fromkeys(_MODIFIERS, "FHIR-009"))
    element.note_modifiers(_OF_OTHERS)
    if element.has("extension"):
        element.note("FHIR-022", "left out: what extends the standard", "extension")
    course = {word.casefold() for word in element.list_words("courseOfTherapyType")}
    course |= {code for _, code in element.list_codes("courseOfTherapyType")}
    faults = {
        "FHIR-006 subject": not element.find_child("subject"),
        "FHIR-008 status": node.get("status") not in _IN_FORCE[order.kind],
        "FHIR-008 intent": order.kind == REQUEST and node.get("intent") not in _ORDERS,
        "FHIR-008 doNotPerform": node.get("doNotPerform") not in (None, False),
        "FHIR-008 reportedBoolean": node.get("reportedBoolean") not in (None, False),
        "FHIR-008 statusReason": element.has("statusReason"),
        "FHIR-018 courseOfTherapyType": element.has("courseOfTherapyType") and not course <= _CONTINUOUS,
        "FHIR-019 text.status": element.find_child("text").node.get("status") == "additional",
    }
    for fault in (fault for fault, is_there in faults.items() if is_there):
        code, name = fault.split()
        element.note(code, f"{name} as it stands there", name)
    check_period(element.find_child("dispenseRequest"), "validityPeriod", today)


def _check_words(element: Element, medicine: NamedMedicine) -> None:
    """Note words beside the order that may change it: no note may speak of a dose, no reason of a condition."""
    for index, note in enumerate(element.list_children("note")):
        if found := find_untrue(note.find_text("text") or "", medicine.words):
            element.note("FHIR-025", f"a note: {found}", f"note[{index}]")
    for name in ("reasonCode", "reasonReference", "category"):
        for index, reason in enumerate(element.list_children(name)):
            words = (*reason.list_own_words(), reason.find_text("display") or "")
            if any(DEPENDS.search(text) or _CONDITION.search(text) for text in words):
                element.note("FHIR-015", "a reason with a condition", f"{name}[{index}]")


def _check_once(order: Order, orders: tuple[Order, ...]) -> None:
    """Note that another prescription in the file may be a version of this one; which one holds the file does not say.

    Source: HL7 FHIR R4: ``priorPrescription`` is replaced, ``basedOn`` is fulfilled by it (``fhir-r4``).
    """
    element = order.element
    others = [other for other in orders if other.element is not element]
    if any(element.has("id") and other.element.node.get("id") == element.node["id"] for other in others):
        element.note("FHIR-010", "a prescription with the id of another", "id")
    elif order.address and any(other.address == order.address for other in others):
        element.note("FHIR-010", "a prescription with the address of another")
    contained = [Order("", each) for each in element.list_children("contained")]
    inner = [each for each in contained if each.kind in _IN_FORCE]
    in_force = [each for each in (*others, *inner) if not each.has_ended]
    for name, reference in _list_references(element):
        if any(_leads_to(reference, other) for other in in_force):
            found = "a reference to another prescription of this file that is in force"
            element.note("FHIR-010", found, name)
    if any(_leads_to(reference, order) for other in in_force for _, reference in _list_references(other.element)):
        found = "a prescription that another one of this file replaces or rests on"
        element.note("FHIR-010", found)


def _list_references(element: Element) -> Iterator[tuple[str, Element]]:
    if prior := element.find_child("priorPrescription"):
        yield "priorPrescription", prior
    yield from (("basedOn", each) for each in element.list_children("basedOn"))


def _leads_to(reference: Element, order: Order) -> bool:
    """By address, by type and id whatever server stands before them, or by identifier."""
    written = str(reference.node.get("reference") or "").partition("/_history/")[0]
    identifier = order.element.node.get("id")
    if written in (order.address or None, f"#{identifier}") or f"/{written}".endswith(f"/{order.kind}/{identifier}"):
        return True
    wanted = reference.find_child("identifier")
    return wanted.has("value") and any(
        all(own.node.get(name) == wanted.node.get(name) for name in ("system", "value"))
        for own in order.element.list_children("identifier")
    )


def _check_overlaps(element: Element, lines: Sequence[tuple[DraftFill, ...]]) -> tuple[DraftFill, ...]:
    """The doses of a prescription, all blank where two may be for one time; which of them holds nobody can say.

    Within one dosage the times are those that it lists; two dosages may say one time in two ways.
    """
    fills = tuple(fill for line in lines for fill in line)
    found = ""
    if any(fill.may_meet(other) for one, later in combinations(lines, 2) for fill in one for other in later):
        found = "two doses at what may be one time"
    if any(fill.meets(other) for fill, other in combinations(fills, 2)):
        found = "two doses at one time"
    if not found:
        return fills
    return _blank(element, fills, found, _DOSAGES)


def _blank(element: Element, fills: tuple[DraftFill, ...], found: str, at: str = "") -> tuple[DraftFill, ...]:
    """The fills left blank, with the doses that may meet noted as the reason."""
    known = len(element.problems)
    element.note("FHIR-021", found, at)
    return tuple(fill.blanked(*element.describe_problems(known)) for fill in fills)


def _blank_doubles(
    orders: tuple[Order, ...], read: list[tuple[NamedMedicine, DraftMedicine]]
) -> tuple[DraftMedicine, ...]:
    """Blank all doses of two prescriptions that may give one medicine at one time."""
    blanked = [draft for _, draft in read]
    for pair in combinations(range(len(read)), 2):
        (one, draft), (other, later) = (read[number] for number in pair)
        if not one.may_be(other) or not any(fill.may_meet(each) for fill in draft.fills for each in later.fills):
            continue
        for number in pair:
            found = "what may be the same medicine at the same time in another prescription"
            fills = _blank(orders[number].element, blanked[number].fills, found)
            blanked[number] = blanked[number]._replace(fills=fills)
    return tuple(blanked)


def _read_name(orders: tuple[Order, ...]) -> str | None:
    """The patient's name, where all prescriptions that state one state the same and a card can print it."""
    subjects = (_name_subject(order.element.find_child("subject")) for order in orders)
    names = {stated["display"] for stated in subjects if "display" in stated}
    if len(names) == 1:
        try:
            return Label(60, Words.NAME).parse(names.pop())
        except FormError:
            pass
    orders[0].element.note("FHIR-023", "no name to take over", "subject")
    return None
