"""Prescriptions whose words, or whose lesser elements, say another thing than their coded dose: none has that dose.

The base is 10 units of insulin aspart before breakfast (ACM) once a day. Each row was drafted once without a problem.
The sentences are ours; what each element means is the standard's (https://hl7.org/fhir/R4/medicationrequest.html).
"""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from support.prescriptions import build_bundle, build_dosage, build_request, change, write_json

from fillcards.intake.draft import Draft, write_draft
from fillcards.intake.fhir import read_prescription
from fillcards.problems import Problem, Severity

TODAY = datetime.date(2026, 11, 25)
DOSAGE = "dosageInstruction[0]"
REPEAT = "dosageInstruction.0.timing.repeat"
APPROXIMATE = {"extension": [{"url": "https://example.org/precision", "valueString": "approx"}]}
GOOD = build_request("insulin isophane", build_dosage(18, "ACV"), id="good")


def _read(tree: Any, today: datetime.date | None = TODAY) -> Draft:
    return read_prescription(write_json(tree), today=today)


def _refuse(tree: Any, today: datetime.date | None = TODAY) -> list[tuple[str, str]]:
    """Code and path of the reasons why no dose of a draft is taken."""
    draft = _read(tree, today)
    assert draft.understood == 0
    return _name(draft.problems)


def _name(problems: tuple[Problem, ...]) -> list[tuple[str, str]]:
    return [(each.code, each.place.key) for each in problems if each.severity is Severity.REFUSE]


TEXTS = (
    "Inject twelve units",
    "10 units weekly",
    "ten units every other day",
    "10 units twice a day",
    "10 units for 5 days",
    "stop after one week",
    "only on Mondays",
    "double on Sundays",
    "half the dose on Sundays",
    "10 units at 7 pm",
    "Inject in the evening",
    "not before breakfast",
    "before each meal",
    "do not give when glucose below 70",
    "skip on fasting days",
    "omit when not eating",
    "use U-500 syringe",
    # Beyond those that were found: what a list of phrases could let through if it were looser.
    "1 0 units",
    ".5 units",
    "010 units",
    "10 units/mL",
    "10-20 units",
    "-10 units",
    "10½ units",
    "10 units and 10 units before breakfast",
    "10 units 10 units",
    "10 units before breakfast and dinner",
    "10 units 15 minutes before breakfast",
    "10 units once",
    "inject 10",
    "10 units after breakfast",
    "10 units before\u200bbreakfast",
    "10 units intravenously",
    "10 units by mouth",
    "10 units of insulin glargine",
    "10 mg before breakfast",
    "vor dem Essen 10 units",
    "10 units; insulin of 100 units/mL",
    "10 units as directed",
    "ten to twenty units",
    "the " * 600,
)


@pytest.mark.parametrize("words", TEXTS, ids=lambda words: words[:40])
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("text", "{}"),
        ("patientInstruction", "{}"),
        ("additionalInstruction", [{"text": "{}"}]),
        ("additionalInstruction", [{"coding": [{"code": "1", "display": "{}"}]}]),
    ],
    ids=["text", "patientInstruction", "additionalInstruction", "display"],
)
def test_words_that_no_field_explains_leave_the_dose_blank(words: str, name: str, value: Any) -> None:
    """Wherever such words stand in a dosage line, they are refused with their path, once."""
    filled = [_fill(each, words) for each in value] if isinstance(value, list) else words
    path = f"{DOSAGE}.{name}" + ("[0]" if isinstance(value, list) else "")
    assert _refuse(change(build_request(), f"dosageInstruction.0.{name}", filled)) == [("FHIR-019", path)]


def _fill(node: Any, words: str) -> Any:
    if isinstance(node, dict):
        return {name: _fill(value, words) for name, value in node.items()}
    if isinstance(node, list):
        return [_fill(each, words) for each in node]
    return words if node == "{}" else node


@pytest.mark.parametrize("words", TEXTS, ids=lambda words: words[:40])
def test_the_words_stand_in_the_draft_beside_the_blank(words: str) -> None:
    """Nothing of them is lost, and the other prescription keeps its dose."""
    bad = change(build_request(), "dosageInstruction.0.text", words)
    draft = _read(build_bundle(bad, GOOD))
    assert [fill.dose is None for medicine in draft.medicines for fill in medicine.fills] == [True, False]
    assert any(words in remark for remark in draft.medicines[0].fills[0].remarks)
    assert "LEFT BLANK FHIR-019" in write_draft(draft)


def test_a_name_in_the_words_is_not_repeated() -> None:
    """A word that is not of the dose may be the patient's name, so no message has it."""
    tree = change(build_request(), "dosageInstruction.0.text", "10 units Juniper Testcase")
    assert [problem.found for problem in _read(tree).problems] == ["words that no field explains"]


@pytest.mark.parametrize("words", ["Twice a day", "in the evening", "as directed"])
def test_words_beside_a_code_of_timing_are_compared(words: str) -> None:
    """The code says once a day; its text must say no other thing."""
    code = {"coding": [{"code": "QD"}], "text": words}
    assert _refuse(change(build_request(), "dosageInstruction.0.timing.code", code)) == [
        ("FHIR-019", f"{DOSAGE}.timing.code")
    ]


def test_a_daily_code_with_a_day_of_the_week_leaves_time_and_days_blank() -> None:
    """QD is every day (fhir-r4, timing abbreviations); Monday is one of seven."""
    tree = build_request("insulin aspart", build_dosage(10, dayOfWeek=["mon"]))
    tree = change(tree, "dosageInstruction.0.timing.code", {"coding": [{"code": "QD"}]})
    draft = _read(tree)
    assert _name(draft.problems) == [("FHIR-017", f"{DOSAGE}.timing.code")]
    (fill,) = draft.medicines[0].fills
    assert (str(fill.dose), fill.when, fill.days) == ("10 units", None, None)


@pytest.mark.parametrize(
    ("repeat", "words"),
    [
        ({"when": ["ACM", "ACV"], "frequency": 2}, "7 units before breakfast"),
        ({"when": ["ACM", "ACV"], "frequency": 2}, "7 units in the morning"),
        ({"when": ["ACM", "ACV"], "frequency": 2}, "7 units daily"),
        ({"when": ["ACM", "ACV"], "frequency": 2}, "7 units once a day"),
        ({"dayOfWeek": ["mon", "thu"]}, "7 units on Mondays"),
        ({"dayOfWeek": ["mon"]}, "7 units daily"),
        ({"dayOfWeek": ["mon", "thu"]}, "7 units weekly"),
        ({"offset": 30}, "7 units 20 minutes before breakfast"),
        ({"when": ["HS"]}, "7 units in the morning"),
    ],
)
def test_words_that_name_fewer_or_other_times_are_refused(repeat: dict[str, Any], words: str) -> None:
    """One of two times or days, or how often in all: somebody who follows the words gives another dose."""
    tree = change(build_request("insulin aspart", build_dosage(7)), REPEAT, _merge(repeat))
    assert _refuse(change(tree, "dosageInstruction.0.text", words)) == [("FHIR-019", f"{DOSAGE}.text")]


@pytest.mark.parametrize(
    ("repeat", "words"),
    [
        ({"when": ["ACM", "ACV"], "frequency": 2}, "7 units twice daily before breakfast and before supper"),
        ({"when": ["ACM", "ACV"], "frequency": 2}, "seven units two times a day, before breakfast and dinner"),
        ({"when": ["ACM", "ACD", "ACV"], "frequency": 3}, "7 units before breakfast, lunch, and dinner"),
        ({"dayOfWeek": ["mon", "thu"]}, "7 units every Monday and Thursday"),
        ({"dayOfWeek": ["mon"], "periodUnit": "wk"}, "7 units once a week on Monday"),
        ({"offset": 30}, "7 units half an hour before breakfast"),
        ({"offset": 30}, "7 units thirty minutes before breakfast"),
        ({"when": ["HS"]}, "7 units at bedtime each day"),
        ({"when": ["WAKE"]}, "7 units every morning on waking"),
        ({"timeOfDay": ["19:00:00"], "when": None}, "7 units at 7 pm"),
        ({"timeOfDay": ["07:30:00"], "when": None}, "7 units at 7:30 a.m."),
    ],
)
def test_words_that_name_all_times_pass(repeat: dict[str, Any], words: str) -> None:
    """The times and days as the fields have them, in other words."""
    tree = change(build_request("insulin aspart", build_dosage(7)), REPEAT, _merge(repeat))
    assert _read(change(tree, "dosageInstruction.0.text", words)).problems == ()


def _merge(repeat: dict[str, Any]) -> dict[str, Any]:
    base = {"frequency": 1, "period": 1, "periodUnit": "d", "when": ["ACM"]}
    return {name: value for name, value in (base | repeat).items() if value is not None}


@pytest.mark.parametrize(
    ("path", "value", "expected"),
    [
        ("note", [{"text": "Dose changed by phone to 6 units. Stop this one."}], ("FHIR-025", "note[0]")),
        ("note", [{"text": "Skip tomorrow"}], ("FHIR-025", "note[0]")),
        ("note", [{"text": "Now 6"}], ("FHIR-025", "note[0]")),
        ("note", [{"text": "Rx replaced"}], ("FHIR-025", "note[0]")),
        ("note", [{"text": "Void: wrong patient"}], ("FHIR-025", "note[0]")),
        ("reasonCode", [{"text": "for the sliding scale"}], ("FHIR-015", "reasonCode[0]")),
        ("reasonCode", [{"text": "Glucose above 200 mg/dL"}], ("FHIR-015", "reasonCode[0]")),
        ("reasonReference", [{"display": "only when eating"}], ("FHIR-015", "reasonReference[0]")),
        ("statusReason", {"text": "stopped by patient"}, ("FHIR-008", "statusReason")),
        (
            "dispenseRequest",
            {"validityPeriod": {"start": "2018-01-01", "end": "2019-12-31"}},
            ("FHIR-024", "dispenseRequest.validityPeriod.end"),
        ),
        (
            "dispenseRequest",
            {"validityPeriod": {"start": "2035"}},
            ("FHIR-024", "dispenseRequest.validityPeriod.start"),
        ),
        (f"{REPEAT}.boundsPeriod", {"start": "2035-01-01"}, ("FHIR-024", f"{DOSAGE}.timing.repeat.boundsPeriod.start")),
        ("courseOfTherapyType", {"coding": [{"code": "acute"}]}, ("FHIR-018", "courseOfTherapyType")),
        (
            "text",
            {"status": "additional", "div": '<div xmlns="http://www.w3.org/1999/xhtml">6 units</div>'},
            ("FHIR-019", "text.status"),
        ),
        ("dosageInstruction.0.site", {"text": "intravenous line"}, ("FHIR-020", f"{DOSAGE}.site")),
        ("dosageInstruction.0.site", {"text": "deltoid muscle"}, ("FHIR-020", f"{DOSAGE}.site")),
        ("dosageInstruction.0.site", {"coding": [{"code": "1"}]}, ("FHIR-020", f"{DOSAGE}.site")),
        ("dosageInstruction.0.method", {"text": "infuse"}, ("FHIR-020", f"{DOSAGE}.method")),
        ("dosageInstruction.0.method", {"text": "swallow"}, ("FHIR-020", f"{DOSAGE}.method")),
        (
            "dosageInstruction.0.method",
            {"coding": [{"system": "http://snomed.info/sct", "code": "421521009", "display": "Inject"}]},
            ("FHIR-020", f"{DOSAGE}.method"),
        ),
        (
            "dosageInstruction.0.route",
            {"coding": [{"system": "http://snomed.info/sct", "code": "34206005", "display": "Intravenous route"}]},
            ("FHIR-020", f"{DOSAGE}.route"),
        ),
        (
            "dosageInstruction.0.doseAndRate.0.doseQuantity._value",
            APPROXIMATE,
            ("FHIR-009", f"{DOSAGE}.doseAndRate[0].doseQuantity._value"),
        ),
        (
            "dosageInstruction.0.extension",
            [{"url": "https://example.org/when", "valueString": "only as needed"}],
            ("FHIR-009", f"{DOSAGE}.extension"),
        ),
        ("dosageInstruction.0._text", APPROXIMATE, ("FHIR-009", f"{DOSAGE}._text")),
        ("_status", APPROXIMATE, ("FHIR-009", "_status")),
        ("medicationCodeableConcept._text", APPROXIMATE, ("FHIR-009", "medicationCodeableConcept._text")),
        (
            "dosageInstruction.0.additionalInstruction",
            [{"coding": [{"system": "http://snomed.info/sct", "code": "311504000"}]}],
            ("FHIR-019", f"{DOSAGE}.additionalInstruction[0]"),
        ),
        (
            "dosageInstruction.0.doseAndRate.0.type",
            {"coding": [{"code": "ordered", "display": "Calculated"}]},
            ("FHIR-013", f"{DOSAGE}.doseAndRate[0].type"),
        ),
        (
            "medicationCodeableConcept.text",
            "insulin regular sliding scale",
            ("FHIR-015", "medicationCodeableConcept"),
        ),
        ("medicationCodeableConcept.text", "insulin aspart 6 units", ("FHIR-019", "medicationCodeableConcept")),
    ],
)
def test_a_lesser_element_that_contradicts_is_refused(path: str, value: Any, expected: tuple[str, str]) -> None:
    """What stands beside the dose may undo it; it is refused with its path."""
    assert _refuse(change(build_request(), path, value)) == [expected]


def test_site_and_method_are_refused_apart() -> None:
    """An intravenous line and to infuse: two problems, each with its path; an extension beside them a third."""
    tree = change(build_request(), "dosageInstruction.0.site", {"text": "intravenous line"})
    tree = change(tree, "dosageInstruction.0.method", {"text": "infuse"})
    extension = [{"url": "https://example.org/when", "valueString": "only as needed"}]
    assert _refuse(change(tree, "dosageInstruction.0.extension", extension)) == [
        ("FHIR-009", f"{DOSAGE}.extension"),
        ("FHIR-020", f"{DOSAGE}.method"),
        ("FHIR-020", f"{DOSAGE}.site"),
    ]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("dosageInstruction.0.site", {"text": "Left thigh"}),
        (
            "dosageInstruction.0.site",
            {"coding": [{"code": "1", "display": "Abdominal wall structure (body structure)"}]},
        ),
        ("dosageInstruction.0.method", {"text": "Inject"}),
        (
            "dosageInstruction.0.method",
            {
                "coding": [
                    {
                        "system": "http://snomed.info/sct",
                        "code": "422145002",
                        "display": "Inject - dosing instruction imperative (qualifier value)",
                    }
                ]
            },
        ),
        (
            "dosageInstruction.0.route",
            {
                "coding": [
                    {
                        "system": "http://snomed.info/sct",
                        "code": "34206005",
                        "display": "Subcutaneous route (qualifier value)",
                    }
                ]
            },
        ),
        ("dispenseRequest", {"validityPeriod": {"start": "2026-11-25", "end": "2026-11-25"}}),
        ("dispenseRequest", {"validityPeriod": {"start": "2025", "end": "2026"}}),
        (f"{REPEAT}.boundsPeriod", {"start": "2026-11-25T08:00:00+01:00"}),
        ("courseOfTherapyType", {"coding": [{"code": "continuous", "display": "Continuous long term therapy"}]}),
        ("text", {"status": "generated", "div": '<div xmlns="http://www.w3.org/1999/xhtml">10 units</div>'}),
        ("priorPrescription", {"reference": "MedicationRequest/elsewhere"}),
        ("dosageInstruction.0.timing.code", {"coding": [{"code": "QD", "display": "QD"}], "text": "Once a day"}),
        ("medicationCodeableConcept.text", "insulin aspart 100 units/mL"),
    ],
)
def test_a_lesser_element_that_agrees_passes(path: str, value: Any) -> None:
    """The same elements, where they say what the dose says."""
    assert _read(change(build_request(), path, value)).problems == ()


@pytest.mark.parametrize(
    ("period", "bound"),
    [
        ({"end": "2026-11-24"}, "end"),
        ({"end": "2026-10"}, "end"),
        ({"end": "2026-11-25T00:01:00Z"}, "end"),
        ({"start": "2026-11-26"}, "start"),
        ({"start": "2026-11"}, "start"),
        ({"start": "2026"}, "start"),
    ],
)
def test_a_period_that_is_not_on_for_certain_is_refused(period: dict[str, str], bound: str) -> None:
    """Its last day is over (fhir-r4: an end includes all of its date), or its first may be still to come."""
    tree = change(build_request(), "dispenseRequest", {"validityPeriod": period})
    assert _refuse(tree) == [("FHIR-024", f"dispenseRequest.validityPeriod.{bound}")]


def test_a_period_without_a_day_to_compare_with_is_refused() -> None:
    """The reader never asks the clock: whoever calls it says which day it is."""
    tree = change(build_request(), "dispenseRequest", {"validityPeriod": {"start": "2020-01-01"}})
    assert _refuse(tree, None) == [("FHIR-024", "dispenseRequest.validityPeriod")]


@pytest.mark.parametrize("words", ["Allergic to penicillin", "Bitte um Rückruf", "Monika and Juniper live alone"])
def test_a_note_about_something_else_leaves_the_dose_to_a_person(words: str) -> None:
    """No rule can tell which note changes a dose: it stands in the draft, and in no message."""
    draft = _read(build_request(note=[{"text": words}]))
    assert _name(draft.problems) == [("FHIR-025", "note[0]")]
    assert words not in draft.problems[0].found
    assert draft.understood == 0
    text = write_draft(draft)
    assert words in text
    assert "LEFT BLANK FHIR-025" in text


def test_an_extension_outside_the_dosage_is_pointed_out_and_kept() -> None:
    """A reader may pass over it by the standard (fhir-r4, extensibility); it stands in the draft."""
    extension = [{"url": "https://example.org/ward", "valueString": "west wing"}]
    draft = _read(build_request(extension=extension))
    assert [(each.code, each.severity, each.place.key) for each in draft.problems] == [
        ("FHIR-022", Severity.CAUTION, "extension")
    ]
    assert "west wing" in write_draft(draft)


REPLACED = build_request("insulin aspart", build_dosage(12, "ACD"), id="old")


@pytest.mark.parametrize("name", ["priorPrescription", "basedOn"])
@pytest.mark.parametrize(
    "reference",
    [
        {"reference": "MedicationRequest/old"},
        {"reference": "urn:uuid:0"},
        {"reference": "https://example.org/fhir/MedicationRequest/old/_history/2"},
        {"identifier": {"system": "https://example.org", "value": "7"}},
    ],
)
def test_an_order_and_the_one_it_replaces_are_both_left_out(name: str, reference: dict[str, Any]) -> None:
    """Both are active in one file: one of them is out of date, whichever way the reference is written."""
    old = REPLACED | {"identifier": [{"system": "https://example.org", "value": "7"}]}
    value = [reference] if name == "basedOn" else reference
    new = build_request("insulin aspart", build_dosage(10), **{name: value})
    draft = _read(build_bundle(old, new, GOOD))
    assert _name(draft.problems) == [("FHIR-010", "entry[0].resource"), ("FHIR-010", f"entry[1].resource.{name}")]
    assert [medicine.fills[0].dose is None for medicine in draft.medicines] == [True, True, False]


def test_an_order_that_replaces_one_that_has_ended_is_drafted() -> None:
    """As it should be: the old one is stopped, and named in a caution."""
    new = build_request(priorPrescription={"reference": "MedicationRequest/old"})
    draft = _read(build_bundle(REPLACED | {"status": "stopped"}, new))
    assert _name(draft.problems) == []
    assert draft.understood == 1


def test_an_order_that_replaces_one_inside_itself_is_refused() -> None:
    """A contained order that is active is a second version just the same."""
    new = build_request(priorPrescription={"reference": "#old"}, contained=[REPLACED])
    assert _refuse(new) == [("FHIR-010", "priorPrescription")]


@pytest.mark.parametrize("status", ["active", "stopped"])
def test_two_orders_with_one_id_are_both_left_out(status: str) -> None:
    """The first is no more certain than the second, and one that is stopped may be the later version."""
    first, second = (
        build_request(id="7"),
        build_request("insulin aspart", build_dosage(6, "ACD"), id="7", status=status),
    )
    draft = _read(build_bundle(first, second, GOOD))
    paths = ["entry[0].resource.id", "entry[1].resource.id"][: 2 if status == "active" else 1]
    assert _name(draft.problems) == [("FHIR-010", path) for path in paths]
    assert draft.understood == 1


def test_two_orders_with_one_address_are_both_left_out() -> None:
    """An address in a Bundle is of one resource (fhir-r4, Bundle, bdl-7)."""
    tree = build_bundle(build_request(), build_request("insulin aspart", build_dosage(6, "ACD")), GOOD)
    tree["entry"][1]["fullUrl"] = tree["entry"][0]["fullUrl"]
    assert _name(_read(tree).problems) == [("FHIR-010", "entry[0].resource"), ("FHIR-010", "entry[1].resource")]


def test_two_contained_medicines_with_one_id_are_refused() -> None:
    """Which of them the reference means nobody can say."""
    contained = [
        {"resourceType": "Medication", "id": "m", "code": {"text": name}}
        for name in ("insulin aspart", "insulin glargine")
    ]
    request = change(build_request(), "medicationCodeableConcept")
    request |= {"contained": contained, "medicationReference": {"reference": "#m"}}
    assert _refuse(request) == [("FHIR-010", "contained")]


@pytest.mark.parametrize(
    ("name", "dosage"),
    [
        ("insulin aspart", build_dosage(10)),
        ("insulin aspart", build_dosage(12)),
        ("Insulin Aspart 100 units/mL", build_dosage(10)),
        ("insulin aspart", build_dosage(10, "CM")),
        ("insulin aspart", build_dosage(10, dayOfWeek=["mon"])),
        ("insulin aspart", build_dosage(10, "MORN")),
        ("insulin aspart", build_dosage(10, None, timeOfDay=["07:30:00"])),
        ("insulin aspart", build_dosage(12, None)),
    ],
)
def test_one_medicine_twice_at_one_time_is_left_blank(name: str, dosage: dict[str, Any]) -> None:
    """Two orders for one insulin that may mean one time of day may be one order written twice: neither has a dose."""
    draft = _read(build_bundle(build_request(), build_request(name, dosage), GOOD))
    found = [(code, path) for code, path in _name(draft.problems) if code != "FHIR-016"]
    assert found == [("FHIR-021", "entry[0].resource"), ("FHIR-021", "entry[1].resource")]
    assert [medicine.fills[0].dose is None for medicine in draft.medicines] == [True, True, False]


@pytest.mark.parametrize(
    ("dosage", "is_asked"),
    [
        (build_dosage(9, "ACM"), True),
        (build_dosage(9, "CM"), True),
        (build_dosage(9, None), True),
        (build_dosage(9, None, timeOfDay=["08:00:00"]), True),
        (build_dosage(9, "ACD"), False),
        (build_dosage(9, None, timeOfDay=["12:30:00"]), False),
    ],
)
def test_two_dosages_that_may_be_one_time_are_left_blank(dosage: dict[str, Any], *, is_asked: bool) -> None:
    """As in two orders: half past seven and before breakfast may be one dose, written twice."""
    request = build_request() | {"dosageInstruction": [build_dosage(8, None, timeOfDay=["07:30:00"]), dosage]}
    if not is_asked:
        assert _read(request).understood == 2
    else:
        assert ("FHIR-021", "dosageInstruction") in _refuse(request)


def test_one_code_twice_at_one_time_is_left_blank() -> None:
    """Two names with one code are one product."""
    requests = [
        change(
            build_request(),
            "medicationCodeableConcept",
            {"text": name, "coding": [{"system": "https://example.org", "code": "1"}]},
        )
        for name in ("insulin of the clinic", "insulin in the fridge")
    ]
    assert _refuse(build_bundle(*requests)) == [("FHIR-021", "entry[0].resource"), ("FHIR-021", "entry[1].resource")]


@pytest.mark.parametrize(
    ("name", "dosage"),
    [
        ("insulin aspart", build_dosage(6, "ACD")),
        ("insulin aspart", build_dosage(6, None, timeOfDay=["12:30:00"])),
        ("insulin glargine", build_dosage(6)),
        ("insulin", build_dosage(6)),
    ],
)
def test_orders_that_are_not_the_same_stay(name: str, dosage: dict[str, Any]) -> None:
    """Another time of day, another medicine, or a name that says only insulin: both have their dose."""
    draft = _read(build_bundle(build_request(), build_request(name, dosage)))
    assert (_name(draft.problems), draft.understood) == ([], 2)


def test_a_strength_in_a_name_is_no_dose() -> None:
    """Units in a volume are a strength, however it is written."""
    for name in ("insulin aspart 100 units/mL", "insulin aspart 100 units per mL", "insulin 300 units in 3 mL"):
        assert _name(_read(build_request(name)).problems) == []


def test_a_route_that_is_not_said_explains_no_words_of_it() -> None:
    """A medicine that is no insulin may go by mouth or under the skin; words alone do not decide it."""
    dosage = build_dosage(5, unit="mg") | {"text": "5 mg by mouth"}
    assert _refuse(build_request("methotrexate", dosage)) == [("FHIR-019", f"{DOSAGE}.text")]
    said = build_request("methotrexate", dosage | {"route": {"text": "Oral"}})
    assert _read(said).problems == ()


def test_the_numbers_of_a_message_are_the_numbers_of_the_text() -> None:
    """The message repeats what contradicts, so that whoever reads it need not look for it."""
    tree = change(build_request(), "dosageInstruction.0.text", "Inject twelve units")
    (problem,) = _read(tree).problems
    assert '"12 units"' in problem.found


def test_another_unit_in_words_is_not_explained() -> None:
    """A dose in micrograms explains mcg, and not mg: a thousandfold."""
    dosage = build_dosage(5, unit="ug")
    assert _read(build_request("liothyronine", dosage | {"text": "5 mcg"})).problems == ()
    assert _refuse(build_request("liothyronine", dosage | {"text": "5 mg"})) == [("FHIR-019", f"{DOSAGE}.text")]
