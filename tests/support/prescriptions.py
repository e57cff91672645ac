"""Prescriptions in HL7 FHIR R4 for tests, and a draft filled in as its user would. Names and doses are invented."""

from __future__ import annotations

import copy
import json
import re
from typing import Any, Final

UCUM: Final = "http://unitsofmeasure.org"


def build_dosage(value: Any = 10, when: str | None = "ACM", *, unit: str = "U", **repeat: Any) -> dict[str, Any]:
    """One dosage line, once a day at an event, if one is named; more of ``repeat`` as keywords."""
    at = {"when": [when]} if when else {}
    return {
        "timing": {"repeat": {"frequency": 1, "period": 1, "periodUnit": "d", **at, **repeat}},
        "doseAndRate": [{"doseQuantity": {"value": value, "unit": unit, "system": UCUM, "code": unit}}],
    }


def build_request(name: str = "insulin aspart", *dosages: dict[str, Any], **more: Any) -> dict[str, Any]:
    """An active order for the sample patient; more elements as keywords."""
    return {
        "resourceType": "MedicationRequest",
        "status": "active",
        "intent": "order",
        "medicationCodeableConcept": {"text": name},
        "subject": {"reference": "Patient/p1", "display": "Juniper Testcase"},
        "dosageInstruction": list(dosages or (build_dosage(),)),
        **more,
    }


def build_bundle(*resources: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A collection of resources."""
    entries = [{"fullUrl": f"urn:uuid:{number}", "resource": each} for number, each in enumerate(resources)]
    return {"resourceType": "Bundle", "type": "collection", "entry": entries, **more}


def write_json(tree: Any) -> bytes:
    """The bytes of a file."""
    return json.dumps(tree).encode()


def change(tree: dict[str, Any], path: str, value: Any = None) -> dict[str, Any]:
    """A copy with the element at a dotted path put in; ``None`` takes it out."""
    changed = copy.deepcopy(tree)
    *parents, last = [int(part) if part.isdigit() else part for part in path.split(".")]
    inner: Any = changed
    for part in parents:
        inner = inner[part]
    if value is None:
        del inner[last]
    else:
        inner[last] = value
    return changed


def fill_in(draft: str, *, scale: str = "U-100", strength: str = "100 units/mL") -> str:
    """The draft with what a user reads on the syringe, the vial and the calendar; doses and times stay as they are."""
    answers = {
        "scale": scale,
        "capacity": "1 mL",
        "line_every": "2 units",
        "needle": "fixed",
        "strength": strength,
        "vial": "10 mL",
        "date": "2026-11-25",
        "days": "every day",
    }
    for key, answer in answers.items():
        draft = re.sub(rf"^( *{key}:) *(?:#.*)?$", rf"\1 {answer}", draft, flags=re.MULTILINE)
    return draft
