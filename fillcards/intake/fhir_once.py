"""Whether a prescription occurs only once in its file: by its ids, by what it replaces, by its medicine and time.

Two versions of one order are both left out: the file does not tell which one is valid.
Source: HL7 FHIR R4, MedicationRequest: ``priorPrescription`` is replaced, ``basedOn`` is fulfilled by it (``fhir-r4``).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from typing import Final

from fillcards.intake.draft import DraftFill, DraftMedicine
from fillcards.intake.element import Element
from fillcards.intake.fhir_bundle import NOT_IN_FORCE_ANY_MORE, REQUEST, Entries
from fillcards.intake.fhir_medicine import NamedMedicine

_ASK: Final = "ask the prescriber which holds, and write that one into the draft by hand"
_ASK_WHICH: Final = "ask the prescriber: one order written twice, or two doses; then write what holds by hand"


def check_once(request: Element, entries: Entries) -> None:
    """Refuse a prescription that another one in the file may be a version of."""
    identifier = request.find_text("id")
    others = [other for other in entries.all_requests if other[1] is not request]
    own = [address for address, each in entries.all_requests if each is request and address]
    if identifier and any(other.find_text("id") == identifier for _, other in others):
        request.refuse("FHIR-010", "a prescription with the id of another", "each id once", _ASK, "id")
    elif any(address in own for address, _ in others):
        request.refuse("FHIR-010", "a prescription with the address of another", "each address once", _ASK)
    _check_contained(request)
    in_force = [(address, other) for address, other in others if not has_ended(other)]
    for name in ("priorPrescription", "basedOn"):
        for reference in _list_references(request, name):
            if _leads_inside(request, reference) or any(_leads_to(reference, *other) for other in in_force):
                found = "a reference to another prescription of this file that is in force"
                request.refuse("FHIR-010", found, "one of the two in force", _ASK, name)
    named = [reference for _, other in in_force for reference in _list_all_references(other)]
    if any(_leads_to(reference, own[0] if own else "", request) for reference in named):
        found = "a prescription that another one of this file replaces or rests on"
        request.refuse("FHIR-010", found, "one of the two in force", _ASK)


def has_ended(request: Element) -> bool:
    """Whether the prescription says that it no longer counts."""
    return request.find_text("status") in NOT_IN_FORCE_ANY_MORE


def _check_contained(request: Element) -> None:
    ids = Counter(each.find_text("id") for each in request.list_children("contained"))
    if any(count > 1 for identifier, count in ids.items() if identifier):
        remedy = "export the file again: there is no telling which of the two is meant"
        request.refuse("FHIR-010", "two contained resources with one id", "each id once", remedy, "contained")


def _list_all_references(request: Element) -> Iterator[Element]:
    yield from _list_references(request, "priorPrescription")
    yield from _list_references(request, "basedOn")


def _list_references(request: Element, name: str) -> tuple[Element, ...]:
    child = request.find_child(name)
    return (child,) if child else request.list_children(name)


def _leads_inside(request: Element, reference: Element) -> bool:
    address = reference.find_text("reference") or ""
    return any(
        address == f"#{each.find_text('id')}" and each.find_text("resourceType") == REQUEST and not has_ended(each)
        for each in request.list_children("contained")
    )


def _leads_to(reference: Element, address: str, request: Element) -> bool:
    """By address, by type and id whatever server stands before them, or by identifier."""
    written = (reference.find_text("reference") or "").partition("/_history/")[0]
    name = f"{REQUEST}/{request.find_text('id')}"
    if written and (written == address or f"/{written}".endswith(f"/{name}")):
        return True
    wanted = reference.find_child("identifier")
    if wanted is None or not wanted.find_text("value"):
        return False
    return any(_is_same_identifier(wanted, each) for each in request.list_children("identifier"))


def _is_same_identifier(one: Element, other: Element) -> bool:
    return all(one.find_text(name) == other.find_text(name) for name in ("system", "value"))


def blank_doubles(
    requests: tuple[Element, ...], read: list[tuple[NamedMedicine | None, DraftMedicine]]
) -> tuple[DraftMedicine, ...]:
    """Blank all doses of two prescriptions that give one medicine at one time, or at one meal.

    Args:
        requests: the prescriptions.
        read: what was understood of each, in the same order.
    """
    blanked = [medicine for _, medicine in read]
    for pair in combinations(range(len(read)), 2):
        if not _is_double(*(read[number] for number in pair)):
            continue
        for number in pair:
            request, known = requests[number], len(requests[number].problems)
            found = "what may be the same medicine at the same time in another prescription"
            request.refuse("FHIR-021", found, "one dose at each time", _ASK_WHICH)
            remarks = request.describe_refusals(known)
            fills = tuple(fill.blanked(*remarks) for fill in blanked[number].fills)
            blanked[number] = replace(blanked[number], fills=fills)
    return tuple(blanked)


def _is_double(
    one: tuple[NamedMedicine | None, DraftMedicine], other: tuple[NamedMedicine | None, DraftMedicine]
) -> bool:
    if one[0] is None or other[0] is None or not one[0].may_be(other[0]):
        return False
    return any(_is_at_one_meal(fill, later) for fill in one[1].fills for later in other[1].fills)


def _is_at_one_meal(fill: DraftFill, other: DraftFill) -> bool:
    """Whether both are given at one time, or before, at or after one and the same meal, on a common day."""
    if fill.when is None or other.when is None:
        return False
    return replace(fill, when=fill.when.split()[-1]).meets(replace(other, when=other.when.split()[-1]))
