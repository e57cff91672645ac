"""The published R4 example medrx0321 and what else the standard itself shows, in numbers written out here.

Source: https://hl7.org/fhir/R4b/medicationrequest0321.json.html (three lines: 10 units 10 minutes before breakfast, ACM
with offset 10; 15 before lunch, ACD; 20 before dinner, ACV; UCUM code U). The medicine is named generically here, and
the patient is ours.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from support.prescriptions import UCUM, build_bundle, build_request, change, fill_in, write_json

from fillcards.intake.draft import write_draft
from fillcards.intake.fhir import read_prescription
from fillcards.intake.fhir_dosage import NAMED_TIMES
from fillcards.plan.fills import plan_fills
from fillcards.problems import RegimenRefused
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.schema import read_regimen


def _build_line(sequence: int, words: str, dose: int, when: str, offset: int | None) -> dict[str, Any]:
    repeat: dict[str, Any] = {"frequency": 1, "period": 1, "periodUnit": "d", "when": [when]}
    ordered = {
        "system": "http://terminology.hl7.org/CodeSystem/dose-rate-type",
        "code": "ordered",
        "display": "Ordered",
    }
    return {
        "sequence": sequence,
        "text": words,
        "additionalInstruction": [{"text": "Check sugar levels before use"}],
        "timing": {"repeat": repeat if offset is None else {**repeat, "offset": offset}},
        "doseAndRate": [
            {"type": {"coding": [ordered]}, "doseQuantity": {"value": dose, "unit": "U", "system": UCUM, "code": "U"}}
        ],
    }


PUBLISHED = build_request(
    "insulin aspart",
    _build_line(1, "inject 10 units subcut 10 minutes before breakfast", 10, "ACM", 10),
    _build_line(2, "15 units before lunch", 15, "ACD", None),
    _build_line(3, "20 units before dinner", 20, "ACV", None),
    note=[{"text": "Check blood sugar levels before taking insulin"}],
)


def test_the_published_doses_and_times_come_through() -> None:
    """10, 15 and 20 units before breakfast, lunch and dinner; ten minutes before breakfast alone; every day."""
    draft = read_prescription(write_json(PUBLISHED))
    regimen = read_regimen(fill_in(write_draft(draft)))
    assert draft.problems == ()
    assert [(fill.when, fill.minutes_before, fill.draws[0].dose) for fill in regimen.fills] == [
        ("before breakfast", 10, Quantity(Fraction(10), Unit.UNITS)),
        ("before lunch", None, Quantity(Fraction(15), Unit.UNITS)),
        ("before dinner", None, Quantity(Fraction(20), Unit.UNITS)),
    ]
    assert all(len(fill.draws) == 1 and len(fill.days_given) == 7 for fill in regimen.fills)
    assert [medicine.name for medicine in regimen.medicines] == ["insulin aspart"]


def test_the_published_doses_reach_their_lines() -> None:
    """On a U-100 scale, 10, 15 and 20 units of 100 units/mL are the lines of those numbers (15 needs a 1-unit line)."""
    text = fill_in(write_draft(read_prescription(write_json(PUBLISHED)))).replace("capacity: 1 mL", "capacity: 0.5 mL")
    regimen = read_regimen(text.replace("line_every: 2 units", "line_every: 1 unit"))
    assert [fill.draws[0].stop_line for fill in plan_fills(regimen).fills] == [10, 15, 20]


def test_a_published_dose_without_a_unit_is_left_blank() -> None:
    """5 before breakfast without a unit, as in the example of NHSN: left blank with its path, never completed.

    Source: https://hl7.org/fhir/us/nhsn-dqm/MedicationRequest-medicationrequest-example-ach-pass2-insulin-lispro.html
    """
    path = "dosageInstruction[0].doseAndRate[0].doseQuantity"
    bare = change(build_request("insulin lispro"), "dosageInstruction.0.doseAndRate.0.doseQuantity", {"value": 5})
    draft = read_prescription(write_json(bare))
    (problem,) = draft.problems
    assert draft.medicines[0].fills[0].dose is None
    assert (problem.code, problem.place.key) == ("FHIR-014", path)
    assert "ask the prescriber" in problem.remedy


def test_the_published_answer_to_a_search_is_not_whole() -> None:
    """A total of 3 and a next page, as in bundle-example: refused for both (fhir-r4-bundle-example)."""
    page = change(build_bundle(PUBLISHED), "type", "searchset")
    page |= {"total": 3, "link": [{"relation": "self", "url": "a"}, {"relation": "next", "url": "b"}]}
    with pytest.raises(RegimenRefused) as caught:
        read_prescription(write_json(page))
    assert [(problem.code, problem.place.key) for problem in caught.value.problems] == [
        ("FHIR-005", "link"),
        ("FHIR-005", "total"),
    ]


@pytest.mark.parametrize(
    ("code", "word"),
    [
        ("ACM", "before breakfast"),
        ("ACD", "before lunch"),
        ("ACV", "before dinner"),
        ("CM", "at breakfast"),
        ("CD", "at lunch"),
        ("CV", "at dinner"),
        ("PCM", "after breakfast"),
        ("PCD", "after lunch"),
        ("PCV", "after dinner"),
        ("HS", "at bedtime"),
        ("WAKE", "after waking"),
    ],
)
def test_a_code_has_the_time_of_its_definition(code: str, word: str) -> None:
    """Each event as the value set defines it (https://hl7.org/fhir/r4/valueset-event-timing.html; PC codes: memory)."""
    assert NAMED_TIMES[code] == word


@pytest.mark.parametrize("code", ["AC", "C", "PC", "NIGHT", "PHS", "MORN.early", "EVE.late"])
def test_a_code_without_one_time_has_none(code: str) -> None:
    """A meal that is not named, the night, a part of a part of the day: no time that a card could show."""
    assert code not in NAMED_TIMES
