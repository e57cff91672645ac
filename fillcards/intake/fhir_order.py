"""Whether a prescription is an order in force, and one whose narrative and course say no more than its fields.

Source: HL7 FHIR R4, MedicationRequest (``fhir-r4``).
"""

from __future__ import annotations

import datetime
from typing import Final

from fillcards.intake.element import Element
from fillcards.intake.fhir_concept import list_texts
from fillcards.intake.fhir_period import check_period
from fillcards.strict_text import quote_text

# An instance order is one single dose; a reflex order waits for a result. Source: fhir-r4, request intent.
_ORDERS: Final = ("order", "original-order", "filler-order")
_CONTINUOUS: Final = frozenset(("continuous long term therapy", "continuous"))
_ASK: Final = "ask the prescriber, or take the medicine and its fills out of the draft"


def check_order(request: Element, today: datetime.date | None) -> None:
    """Refuse anything that is not an order to give a medicine, valid today."""
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
    if request.has("statusReason"):
        found = "a reason for its status, though it is active"
        request.refuse("FHIR-008", found, "an order that nobody stopped or held", _ASK, "statusReason")
    if dispense := request.find_child("dispenseRequest"):
        check_period(dispense, "validityPeriod", today)
    _check_course(request)
    _check_narrative(request)


def _check_course(request: Element) -> None:
    concept = request.find_child("courseOfTherapyType")
    if concept is None:
        return
    codes = {coding.find_text("code") for coding in concept.list_children("coding")}
    if codes != {"continuous"} or not {word.casefold() for word in list_texts(concept)} <= _CONTINUOUS:
        found, remedy = "a course that is not said to go on", "ask whether the dose goes on"
        request.refuse("FHIR-018", found, "no course, or the code continuous", remedy, "courseOfTherapyType")


def _check_narrative(request: Element) -> None:
    """The standard's word for a narrative that says more than the fields. Source: fhir-r4, narrative status."""
    narrative = request.find_child("text")
    if narrative is not None and narrative.find_text("status") == "additional":
        found = "a narrative that says more than the fields"
        request.refuse("FHIR-019", found, "one made from the fields alone (generated)", _ASK, "text.status")
