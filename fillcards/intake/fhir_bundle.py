"""A Bundle, or a lone MedicationRequest -> the prescriptions in it that count, each with its path.

Knows what makes a Bundle whole and whether all of it is for one patient; nothing of medicines and doses. A message
never quotes who the patient is.
Source: HL7 FHIR R4, Bundle and MedicationRequest (``fhir-r4``).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

from fillcards.intake.element import Element
from fillcards.intake.fhir_standard import MODIFIERS
from fillcards.problems import RegimenRefused
from fillcards.strict_text import quote_text

MOST_ENTRIES: Final = 1_000
REQUEST: Final = "MedicationRequest"

# Types whose entries state what holds now. A history has old versions, a transaction may delete, a batch may do both.
_TYPES_OF_TODAY: Final = ("collection", "searchset", "document", "message")
NOT_IN_FORCE_ANY_MORE: Final = ("cancelled", "completed", "entered-in-error", "stopped")


@dataclass(frozen=True, slots=True)
class Entries:
    """What a file holds.

    Attributes:
        requests: the prescriptions that are to be read, in the order of the file.
        all_requests: those that have ended too, each with the address it has in the Bundle.
        medications: the Medication resources by each address they can be named with.
    """

    requests: tuple[Element, ...]
    all_requests: tuple[tuple[str, Element], ...]
    medications: dict[str, Element]


def open_bundle(root: Element) -> Entries:
    """Find the prescriptions of a file; those that have ended are left out with a caution.

    Raises:
        RegimenRefused: the file is of another kind, incomplete, or holds no prescription.
    """
    kind = root.find_text("resourceType")
    if kind == REQUEST:
        resources: tuple[tuple[str, Element], ...] = (("", root),)
    elif kind == "Bundle":
        resources = _open_entries(root)
    else:
        found = f"a resource of the type {quote_text(kind)}" if kind else "no resourceType"
        remedy = "export the prescriptions as a Bundle"
        root.refuse("FHIR-004", found, "a Bundle or a MedicationRequest of HL7 FHIR R4", remedy, "resourceType")
        raise RegimenRefused(tuple(root.problems))
    requests = tuple(each for each in resources if each[1].find_text("resourceType") == REQUEST)
    in_force = tuple(request for _, request in requests if not _has_ended(request))
    _name_others(root, resources)
    if not in_force:
        remedy = "export the prescriptions that are active"
        found = f"{len(requests)} prescriptions, none of them active" if requests else "no prescription"
        root.refuse("FHIR-011", found, f"at least one {REQUEST} that is active", remedy)
        raise RegimenRefused(tuple(root.problems))
    return Entries(in_force, requests, _index_medications(resources))


def _open_entries(root: Element) -> tuple[tuple[str, Element], ...]:
    """Every resource of a Bundle with its address.

    Raises:
        RegimenRefused: the Bundle is not whole, or an entry is none.
    """
    _check_whole(root)
    entries = root.list_children("entry")
    items = root.node.get("entry", [])
    if not isinstance(items, list) or len(entries) < len(items):
        remedy = "export the file again"
        root.refuse("FHIR-006", "an entry that is not an object", "a list of objects", remedy, "entry")
    elif len(items) > MOST_ENTRIES:
        remedy = "export the prescriptions of one patient alone"
        root.refuse("FHIR-002", f"{len(items):,} entries", f"at most {MOST_ENTRIES:,}", remedy, "entry")
    resources = []
    for entry in entries:
        resource = entry.find_child("resource")
        if resource is not None and resource.find_text("resourceType") == "Bundle":
            remedy = "take the prescriptions out of it into one Bundle"
            resource.refuse("FHIR-005", "a Bundle inside a Bundle", "all prescriptions in one Bundle", remedy)
        elif resource is not None and resource.find_text("resourceType"):
            resources.append((entry.find_text("fullUrl") or "", resource))
        else:
            remedy = "export the file again: a prescription may be missing here"
            entry.refuse("FHIR-006", "an entry without a resource", "a resource with its resourceType", remedy)
    if root.problems:
        raise RegimenRefused(tuple(root.problems))
    return tuple(resources)


def _check_whole(root: Element) -> None:
    """Note what says that the Bundle has more than this, or other than what holds today."""
    kind = root.find_text("type")
    if kind not in _TYPES_OF_TODAY:
        found = f"a Bundle of the type {quote_text(kind)}" if kind else "a Bundle without a type"
        remedy = "export the prescriptions that are active, as a collection or as the answer to a search"
        root.refuse("FHIR-005", found, f"one of: {', '.join(_TYPES_OF_TODAY)}", remedy, "type")
    if any(link.find_text("relation") == "next" for link in root.list_children("link")):
        remedy = "export all pages into one Bundle: a medicine for the same syringe may stand on the next"
        root.refuse("FHIR-005", "a link to a next page", "all prescriptions in one Bundle", remedy, "link")
    total = root.node.get("total")
    if total is not None:
        matches = sum(_is_match(entry) for entry in root.list_children("entry"))
        if total != matches:
            said = str(total) if isinstance(total, int) else "another total"
            found = f"{matches} entries that match, of {said}"
            remedy = "export all that was found into one Bundle"
            root.refuse("FHIR-005", found, "as many entries as the total says", remedy, "total")
    for name in MODIFIERS:
        if root.has(name):
            remedy = "ask the sender for a file without it"
            root.refuse("FHIR-009", f"{name}, which may change what all of it means", f"no {name}", remedy, name)


def _is_match(entry: Element) -> bool:
    search = entry.find_child("search")
    return search is None or search.find_text("mode") in (None, "match")


def _has_ended(request: Element) -> bool:
    """Whether a prescription no longer counts; then it is named in a caution."""
    status = request.find_text("status")
    if status not in NOT_IN_FORCE_ANY_MORE:
        return False
    remedy = "nothing, if that is right; it is not in the draft"
    request.warn("FHIR-022", f"a prescription that is {status}", "active prescriptions", remedy, "status")
    return True


def _name_others(root: Element, resources: tuple[tuple[str, Element], ...]) -> None:
    """One caution for all resources that say nothing here, by their types."""
    passed = (REQUEST, "Medication", "Patient")
    kinds = Counter(resource.find_text("resourceType") or "" for _, resource in resources)
    others = [f"{count} {quote_text(kind)}" for kind, count in kinds.items() if kind not in passed]
    if others:
        expected = "prescriptions, and the medicines they name"
        remedy = "compare with the whole record: nothing of these is in the draft"
        root.warn("FHIR-022", f"left out: {', '.join(others)}", expected, remedy, "entry")


def _index_medications(resources: tuple[tuple[str, Element], ...]) -> dict[str, Element]:
    """Medications by address; one address for two of them leads to neither."""
    found: dict[str, Element] = {}
    twice: set[str] = set()
    for address, resource in resources:
        if resource.find_text("resourceType") != "Medication":
            continue
        identifier = resource.find_text("id")
        for name in {address, f"Medication/{identifier}" if identifier else ""} - {""}:
            if name in found:
                remedy = "export the file again: there is no telling which of the two is meant"
                resource.refuse("FHIR-010", "two medicines with one address", "each address once", remedy)
                twice.add(name)
            found[name] = resource
    return {name: resource for name, resource in found.items() if name not in twice}


def require_one_patient(requests: tuple[Element, ...]) -> None:
    """Compare whom the prescriptions are for.

    Raises:
        RegimenRefused: they differ, or nothing that they all state can be compared.
    """
    subjects = [subject for request in requests if (subject := request.find_child("subject"))]
    for subject in subjects:
        if subject.find_text("type") == "Group" or "Group/" in (subject.find_text("reference") or ""):
            remedy = "a card is for one person or one animal: ask for a prescription for each"
            subject.refuse("FHIR-007", "a prescription for a group", "one patient", remedy)
            raise RegimenRefused(tuple(subject.problems))
    if len(subjects) < 2:
        return
    stated = [_name_subject(subject) for subject in subjects]
    common = set.intersection(*(set(each) for each in stated))
    for index, each in enumerate(stated):
        if not common or any(each[name] != stated[0][name] for name in common):
            found = "another patient than in the first prescription" if common else "patients that cannot be compared"
            remedy = "export the prescriptions of one patient, each with the same reference to that patient"
            subjects[max(index, 1)].refuse("FHIR-007", found, "one patient in all prescriptions", remedy)
            raise RegimenRefused(tuple(subjects[0].problems))


def _name_subject(subject: Element) -> dict[str, str]:
    """What a reference says about who it is: address, identifier, name; an address inside its own resource is none."""
    stated = {}
    reference = (subject.find_text("reference") or "").partition("/_history/")[0]
    if reference and not reference.startswith("#"):
        stated["reference"] = reference
    identifier = subject.find_child("identifier")
    if identifier and identifier.find_text("value"):
        stated["identifier"] = f"{identifier.find_text('system')}|{identifier.find_text('value')}"
    if display := subject.find_text("display"):
        stated["display"] = display
    return stated
