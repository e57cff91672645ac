"""What of a prescription is taken over into a draft, and what is left blank."""

from __future__ import annotations

import datetime
import re
from fractions import Fraction
from typing import Any

import pytest
from support.prescriptions import UCUM, build_bundle, build_dosage, build_request, change, fill_in, write_json

from fillcards.intake.draft import Draft, write_draft
from fillcards.intake.fhir import read_prescription
from fillcards.intake.fhir_dosage import MOST_MINUTES_BEFORE, NAMED_TIMES
from fillcards.problems import RegimenRefused, Severity
from fillcards.quantities import Quantity, Unit
from fillcards.regimen import keys
from fillcards.regimen.model import EVERY_DAY, Weekday
from fillcards.regimen.schema import read_regimen

QUANTITY = "dosageInstruction.0.doseAndRate.0.doseQuantity"
REPEAT = "dosageInstruction.0.timing.repeat"


def _read(tree: Any, *, takes_name: bool = False) -> Draft:
    return read_prescription(write_json(tree), takes_name=takes_name)


@pytest.mark.parametrize("code", ["U", "[iU]", "[IU]", "[USP'U]", "{unit}", "{units}"])
def test_every_code_for_units_of_insulin_is_units(code: str) -> None:
    """The codes that systems write units of insulin with (facts, section 11; ucum)."""
    draft = _read(build_request("insulin lispro", build_dosage(8, unit=code)))
    assert draft.medicines[0].fills[0].dose == Quantity(Fraction(8), Unit.UNITS)


@pytest.mark.parametrize(
    ("code", "unit"), [("mg", Unit.MG), ("ug", Unit.MCG), ("mL", Unit.ML), ("ml", Unit.ML)], ids=str
)
def test_other_codes_are_units_of_other_medicines(code: str, unit: Unit) -> None:
    """Milligrams, micrograms and millilitres, for a medicine that is not called insulin (ucum)."""
    draft = _read(build_request("methotrexate", build_dosage(8, unit=code)))
    assert draft.medicines[0].fills[0].dose == Quantity(Fraction(8), unit)


@pytest.mark.parametrize("word", ["units", "Units", "unit", "U", "IU"])
def test_a_word_alone_is_a_unit(word: str) -> None:
    """Without a code, the word that the system shows."""
    tree = change(build_request(), QUANTITY, {"value": 8, "unit": word})
    assert _read(tree).medicines[0].fills[0].dose == Quantity(Fraction(8), Unit.UNITS)


@pytest.mark.parametrize(("written", "read"), [("10.0", "10 units"), ("0.5", "0.5 units"), ("1E1", "10 units")])
def test_a_number_is_read_exactly(written: str, read: str) -> None:
    """The value of a JSON number is its decimal value, however it is written (rfc-8259, 6)."""
    data = write_json(build_request()).replace(b'"value": 10,', f'"value": {written},'.encode())
    draft = read_prescription(data)
    assert str(draft.medicines[0].fills[0].dose) == read
    assert f"draw: {{aspart: {read}}}" in write_draft(draft)


def test_a_dose_over_a_thousand_has_no_comma_in_the_file() -> None:
    """A regimen file takes no comma between thousands."""
    text = write_draft(_read(build_request("testosterone", build_dosage(1500, unit="ug"))))
    assert "draw: {medicine_1: 1500 mcg}" in text


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("insulin lispro", "insulin lispro"),
        ("Insulin  Lispro", "insulin lispro"),
        ("NPH insulin", "insulin isophane"),
        ("insulin lispro protamine", None),
        ("insulin lispro 100 units/mL", "insulin lispro"),
        ("insulin glargine 100 UNT/ML Injectable Solution", "insulin glargine"),
        ("10 ML insulin lispro 100 UNT/ML Injection", "insulin lispro"),
        ("insulin, regular, human 100 UNT/ML Injectable Solution", "insulin regular"),
        ("insulin isophane, human 70 UNT/ML / insulin, regular, human 30 UNT/ML Injectable Suspension", None),
        ("insulin regular 500 units/mL", None),
        ("insulin lispro 200 UNT/ML Injectable Solution", None),
        ("lispro", None),
        ("insulin lispro-aabc", None),
        ("lispro insulin", None),
    ],
)
def test_a_name_is_taken_over_only_if_it_is_one_of_the_catalogue(name: str, kind: str | None) -> None:
    """Alone or as a product of such a name; another strength, or a word more, may make another insulin of it."""
    assert _read(build_request(name)).medicines[0].kind == kind


@pytest.mark.parametrize(
    ("coded", "kind"), [("Insulin aspart", "insulin aspart"), ("insulin lispro", None), ("insulin aspart mix", None)]
)
def test_all_names_must_say_the_same(coded: str, kind: str | None) -> None:
    """A code's display that says another medicine than the text leaves the name blank, and both stand in the draft."""
    concept = {"text": "insulin aspart", "coding": [{"system": "https://example.org", "code": "1", "display": coded}]}
    draft = _read(change(build_request(), "medicationCodeableConcept", concept))
    assert draft.medicines[0].kind == kind
    assert coded in write_draft(draft)


@pytest.mark.parametrize("is_contained", [True, False])
def test_a_medicine_is_found_by_its_reference(is_contained: bool) -> None:
    """Inside the prescription, or beside it in the Bundle; the strength of its one ingredient is taken over."""
    strength = {"numerator": {"value": 100, "system": UCUM, "code": "U"}, "denominator": {"value": 1, "code": "mL"}}
    insulin = {"itemCodeableConcept": {"text": "insulin glargine"}, "strength": strength}
    medication = {
        "resourceType": "Medication",
        "id": "m1",
        "code": {"text": "insulin glargine"},
        "ingredient": [insulin],
    }
    request = change(build_request(), "medicationCodeableConcept")
    if is_contained:
        tree = build_bundle(request | {"contained": [medication], "medicationReference": {"reference": "#m1"}})
    else:
        tree = build_bundle(request | {"medicationReference": {"reference": "Medication/m1"}}, medication)
    draft = _read(tree)
    assert draft.medicines[0].kind == "insulin glargine"
    assert "numerator value 100, code U" in write_draft(draft)
    assert str(draft.medicines[0].strength) == "100 units/mL"
    assert "    strength: 100 units/mL " in write_draft(draft)


def test_an_ingredient_says_which_units_fit_and_not_the_name() -> None:
    """A product whose ingredient is an insulin counts units; which insulin of the catalogue it is stays open."""
    medication = {
        "resourceType": "Medication",
        "id": "m1",
        "code": {"text": "Sample product 100"},
        "ingredient": [{"itemCodeableConcept": {"text": "Insulin aspart (substance)"}}],
    }
    request = change(build_request(), "medicationCodeableConcept") | {
        "contained": [medication],
        "medicationReference": {"reference": "#m1"},
    }
    draft = _read(request)
    assert draft.medicines[0].kind is None
    assert draft.medicines[0].fills[0].dose == Quantity(Fraction(10), Unit.UNITS)


def test_a_reference_that_leads_nowhere_leaves_the_words() -> None:
    """Its display names the medicine, and the draft says that the reference leads to nothing."""
    request = change(build_request(), "medicationCodeableConcept") | {
        "medicationReference": {"reference": "Medication/m9", "display": "insulin glulisine"}
    }
    draft = _read(request)
    assert draft.medicines[0].kind == "insulin glulisine"
    assert "leads to nothing" in write_draft(draft)


@pytest.mark.parametrize(
    ("repeat", "days"),
    [
        ({}, EVERY_DAY),
        ({"dayOfWeek": ["thu", "mon"]}, (Weekday.MONDAY, Weekday.THURSDAY)),
        ({"dayOfWeek": ["mon", "thu"], "periodUnit": "wk", "frequency": 2}, (Weekday.MONDAY, Weekday.THURSDAY)),
        ({"dayOfWeek": ["sun"], "periodUnit": "wk"}, (Weekday.SUNDAY,)),
    ],
)
def test_days_are_those_stated(repeat: dict[str, Any], days: tuple[Weekday, ...]) -> None:
    """Daily, or on named days, counted by the day or by the week."""
    (fill,) = _read(build_request("insulin aspart", build_dosage(10, **repeat))).medicines[0].fills
    assert fill.days == days


def test_days_that_are_not_stated_are_left_blank() -> None:
    """An event without a frequency does not say every day; the check of the draft then asks for the days."""
    draft = _read(change(build_request(), REPEAT, {"when": ["ACM"]}))
    assert draft.medicines[0].fills[0].days is None
    with pytest.raises(RegimenRefused) as caught:
        read_regimen(fill_in(write_draft(draft)).replace("days: every day", "days:"))
    assert {problem.code for problem in caught.value.problems} == {"DAYS-001"}


def test_one_line_with_two_times_is_two_fills() -> None:
    """The same dose at each of the times."""
    tree = build_request("insulin aspart", build_dosage(7, frequency=2, offset=15))
    fills = _read(change(tree, f"{REPEAT}.when", ["ACM", "ACV"])).medicines[0].fills
    assert [(fill.when, fill.minutes_before) for fill in fills] == [("before breakfast", 15), ("before dinner", 15)]
    assert {fill.dose for fill in fills} == {Quantity(Fraction(7), Unit.UNITS)}


def test_a_clock_time_is_taken_over() -> None:
    """A timeOfDay in whole minutes, as text that no reader of YAML takes for a number."""
    repeat = {"frequency": 2, "period": 1, "periodUnit": "d", "timeOfDay": ["07:30:00", "19:00:00"]}
    text = write_draft(_read(change(build_request(), REPEAT, repeat)))
    assert '  - when: "07:30"\n' in text
    assert [fill.when for fill in read_regimen(fill_in(text)).fills] == ["07:30", "19:00"]


def test_a_code_that_agrees_with_the_times_passes() -> None:
    """BID with two times of day."""
    tree = build_request("insulin aspart", build_dosage(7, when="ACM", frequency=2))
    tree = change(tree, f"{REPEAT}.when", ["ACM", "ACV"])
    tree = change(tree, "dosageInstruction.0.timing.code", {"coding": [{"code": "BID"}], "text": "BID"})
    assert _read(tree).understood == 2


def test_the_limit_on_minutes_is_that_of_the_regimen_file() -> None:
    """A minute more and the regimen file would refuse what the draft says."""
    assert keys.MINUTES_BEFORE.form is not None
    assert keys.MINUTES_BEFORE.form.parse(str(MOST_MINUTES_BEFORE)) == MOST_MINUTES_BEFORE
    with pytest.raises(ValueError, match="180"):
        keys.MINUTES_BEFORE.form.parse(str(MOST_MINUTES_BEFORE + 1))


def test_two_insulins_at_one_time_are_asked_about_and_never_joined() -> None:
    """Two fills, a question in the draft, and a check that refuses until it is answered."""
    tree = build_bundle(
        build_request("insulin regular", build_dosage(8)), build_request("insulin isophane", build_dosage(18))
    )
    text = write_draft(_read(tree))
    assert "draw: {regular: 8 units}" in text
    assert "draw: {isophane: 18 units}" in text
    assert "ASK: fill 1 (regular) is at the same time. One syringe, or two?" in text
    with pytest.raises(RegimenRefused) as caught:
        read_regimen(fill_in(text))
    assert {problem.code for problem in caught.value.problems} == {"FILL-004"}


def test_the_question_answered_gives_a_regimen() -> None:
    """Joined as the draft says, the two doses stand in one fill, each as prescribed."""
    tree = build_bundle(
        build_request("insulin regular", build_dosage(8)), build_request("insulin isophane", build_dosage(18))
    )
    text = fill_in(write_draft(_read(tree)))
    joined = text.replace("{regular: 8 units}", "{regular: 8 units, isophane: 18 units}")
    second = joined.index("  - when:", joined.index("  - when:") + 1)
    regimen = read_regimen(joined[:second] + joined[joined.index("review:") :])
    assert [(draw.medicine, str(draw.dose)) for draw in regimen.fills[0].draws] == [
        ("regular", "8 units"),
        ("isophane", "18 units"),
    ]


def test_one_bad_prescription_does_not_fail_the_others() -> None:
    """It is refused with its path and stands blank in the draft; the good one keeps its dose; the check refuses."""
    bad = change(build_request("insulin isophane"), f"{QUANTITY}.value", "10")
    draft = _read(build_bundle(bad, build_request("insulin regular", build_dosage(8))))
    assert [(problem.code, problem.place.key) for problem in draft.problems] == [
        ("FHIR-013", "entry[0].resource.dosageInstruction[0].doseAndRate[0].doseQuantity.value")
    ]
    assert (draft.understood, draft.left_blank) == (1, 1)
    text = write_draft(draft)
    assert "LEFT BLANK FHIR-013" in text
    assert "draw: {isophane: }" in text
    assert "insulin isophane" in text
    with pytest.raises(RegimenRefused) as caught:
        read_regimen(fill_in(text))
    # Blank stays blank; and both insulins are at one time, which is asked about.
    assert {problem.place.key for problem in caught.value.problems} == {"fills[1].draw.isophane", "fills[2].when"}


def test_one_bad_line_does_not_fail_the_others_of_its_prescription() -> None:
    """A range before lunch is left blank; the line before breakfast keeps its dose."""
    lines = build_dosage(8), change({"x": build_dosage(9, "ACD")}, "x.doseAndRate.0", {"doseRange": {}})["x"]
    draft = _read(build_request("insulin regular", *lines))
    assert [fill.dose for fill in draft.medicines[0].fills] == [Quantity(Fraction(8), Unit.UNITS), None]
    assert {problem.code for problem in draft.problems} <= {"FHIR-006", "FHIR-013"}


def test_all_problems_of_a_line_are_told_at_once() -> None:
    """Dose, time, condition and route are wrong together: four problems, each with its own path."""
    tree = change(build_request(), f"{QUANTITY}.unit", "mL")
    tree = change(tree, f"{REPEAT}.when", ["AC"])
    tree = change(tree, "dosageInstruction.0.asNeededBoolean", True)
    tree = change(tree, "dosageInstruction.0.route", {"text": "intravenous"})
    assert [(problem.code, problem.place.key) for problem in _read(tree).problems] == [
        ("FHIR-015", "dosageInstruction[0].asNeededBoolean"),
        ("FHIR-014", "dosageInstruction[0].doseAndRate[0].doseQuantity"),
        ("FHIR-020", "dosageInstruction[0].route"),
        ("FHIR-016", "dosageInstruction[0].timing.repeat.when"),
    ]


@pytest.mark.parametrize(
    "words",
    [
        "inject 10 units under the skin before breakfast",
        "10 U before breakfast",
        "10.0 units of insulin",
        "10 units daily before breakfast, rotating the injection site",
        "Inject ten units under the skin every morning before breakfast.",
        "INJECT 10 (TEN) UNITS SUBCUTANEOUSLY ONCE DAILY BEFORE BREAKFAST",
        "Insulin aspart: 10 units (ten units) once a day, before breakfast",
        "Take your dose before breakfast",
        "Check your blood glucose level before injecting",
    ],
)
def test_words_that_agree_pass(words: str) -> None:
    """The same dose in digits or words, the time, the medicine, the route; what says nothing of amount or time."""
    assert _read(change(build_request(), "dosageInstruction.0.text", words)).problems == ()


@pytest.mark.parametrize(
    "words",
    [
        "1" + " " * 500_000,
        "1,1" * 200_000,
        "1-" * 300_000,
        "9" * 600_000,
        "9" * 9_000 + " units",
        "as" + "\n" * 500_000 + "needed",
    ],
)
def test_long_words_are_looked_at_in_a_moment(words: str) -> None:
    """A megabyte made to slow the search down is refused in seconds, and spaces hide no condition."""
    tree = build_bundle(change(build_request(), "dosageInstruction.0.text", words), build_request("insulin detemir"))
    draft = _read(tree)
    assert {problem.code for problem in draft.problems} == {"FHIR-019"}


@pytest.mark.parametrize("when", sorted(NAMED_TIMES))
def test_the_names_that_the_draft_suggests_are_taken(when: str) -> None:
    """Two syringes at one time, each named as the draft says: the reader of regimen files accepts it."""
    tree = build_bundle(
        build_request("insulin regular", build_dosage(8, when)),
        build_request("insulin glargine", build_dosage(18, when)),
    )
    text = write_draft(_read(tree))
    suggested = re.search(r"# Two: name each, such as  (when: .*)", text)
    assert suggested is not None
    first, second = f"  - when: {NAMED_TIMES[when]}\n", f"  - {suggested[1]}\n"
    named = text.replace(first, second).replace(second, first, 1)
    assert len(read_regimen(fill_in(named)).fills) == 2


@pytest.mark.parametrize("repeat", [{"dayOfWeek": ["mon"]}, {"offset": 30}])
def test_fills_on_other_days_are_not_to_be_joined(repeat: dict[str, Any]) -> None:
    """Joined, a dose for Mondays would be drawn daily, or one for half an hour before the meal at the meal."""
    later = build_request("insulin isophane", build_dosage(18, **repeat))
    text = write_draft(_read(build_bundle(build_request("insulin regular"), later)))
    assert "do not join them as they stand" in text
    assert "# One: move this dose" not in text


@pytest.mark.parametrize(
    "route",
    [
        {"coding": [{"system": "http://snomed.info/sct", "code": "34206005", "display": "Subcutaneous route"}]},
        {"text": "Subcutaneous"},
    ],
)
def test_under_the_skin_passes(route: dict[str, Any]) -> None:
    """By its code (snomed-ct-routes) or by its word."""
    assert _read(change(build_request(), "dosageInstruction.0.route", route)).problems == ()


def test_a_start_without_an_end_passes() -> None:
    """A period that has begun and does not end leaves the dose as it is, and stands in the draft."""
    tree = change(build_request(), f"{REPEAT}.boundsPeriod", {"start": "2026-11-25"})
    draft = read_prescription(write_json(tree), today=datetime.date(2026, 11, 25))
    assert draft.problems == ()
    assert "boundsPeriod start 2026-11-25" in write_draft(draft)


def test_the_name_is_taken_over_only_if_asked() -> None:
    """Left out, a line is ruled for it; asked for, it stands as the prescription shows it."""
    assert read_regimen(fill_in(write_draft(_read(build_request())))).patient.name is None
    asked = write_draft(_read(build_request(), takes_name=True))
    assert read_regimen(fill_in(asked)).patient.name == "Juniper Testcase"


def test_a_draft_is_never_checked() -> None:
    """Nobody prepared or checked it, and no code stands in it."""
    review = read_regimen(fill_in(write_draft(_read(build_request())))).review
    assert (review.prepared_by, review.checked_by, review.checked_code) == (None, None, None)


def test_what_the_prescription_cannot_say_is_blank() -> None:
    """Syringe, needle, strength, vial and date: each is asked for by the reader of regimen files."""
    with pytest.raises(RegimenRefused) as caught:
        read_regimen(write_draft(_read(build_request())))
    assert {problem.place.key for problem in caught.value.problems} == {
        "syringe.scale",
        "syringe.capacity",
        "syringe.line_every",
        "syringe.needle",
        "medicines.aspart.strength",
        "medicines.aspart.vial",
        "review.date",
    }


def test_a_prescription_that_has_ended_is_left_out_with_a_caution() -> None:
    """It cannot be in the draft by mistake, and it is named."""
    ended = change(build_request("insulin isophane"), "status", "stopped")
    draft = _read(build_bundle(ended, build_request("insulin regular")))
    assert [medicine.kind for medicine in draft.medicines] == ["insulin regular"]
    assert [(problem.severity, problem.place.key) for problem in draft.problems] == [
        (Severity.CAUTION, "entry[0].resource.status")
    ]


def test_the_same_patient_by_an_address_of_a_version_is_one() -> None:
    """A version of a reference leads to the same patient (fhir-r4, versioned references)."""
    later = change(
        build_request("insulin isophane", build_dosage(8, "ACV")), "subject", {"reference": "Patient/p1/_history/2"}
    )
    assert _read(build_bundle(build_request("insulin regular"), later)).understood == 2


def test_a_patient_inside_each_prescription_is_compared_by_identifier() -> None:
    """An address inside its own resource says nothing about another; the identifier does."""
    requests = []
    for number, value in enumerate(("7", "8")):
        who = {"reference": "#p", "identifier": {"system": "https://example.org", "value": value}}
        patient = {"resourceType": "Patient", "id": "p"}
        requests.append(build_request("insulin regular", build_dosage(8 + number), subject=who, contained=[patient]))
    with pytest.raises(RegimenRefused) as caught:
        _read(build_bundle(*requests))
    assert [problem.code for problem in caught.value.problems] == ["FHIR-007"]


def test_words_alone_are_shown_and_never_made_a_dose() -> None:
    """A line of text: everything of it is blank, and the text stands beside it."""
    draft = _read(build_request("insulin aspart", {"text": "10 units before breakfast"}))
    assert [(fill.dose, fill.when, fill.days) for fill in draft.medicines[0].fills] == [(None, None, None)]
    assert "10 units before breakfast" in write_draft(draft)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_frequency_without_times_leaves_the_times_blank(count: int) -> None:
    """A fill for each dose of the day, each with its dose; which meal it goes with is asked for."""
    repeat = {"frequency": count, "period": 1, "periodUnit": "d"}
    draft = _read(change(build_request(), REPEAT, repeat))
    assert [(str(fill.dose), fill.when, fill.days) for fill in draft.medicines[0].fills] == [
        ("10 units", None, EVERY_DAY)
    ] * count
    assert [problem.code for problem in draft.problems] == ["FHIR-016"]


def test_times_and_frequency_that_differ_are_both_blank() -> None:
    """Three a day, and one time: which of the two holds is not guessed."""
    draft = _read(change(build_request(), f"{REPEAT}.frequency", 3))
    assert [(str(fill.dose), fill.when, fill.days) for fill in draft.medicines[0].fills] == [("10 units", None, None)]


def test_the_code_for_bedtime_is_a_time() -> None:
    """BED, of the standard's timing abbreviations; it says nothing of the days."""
    timing = {"code": {"coding": [{"code": "BED"}]}}
    (fill,) = _read(change(build_request(), "dosageInstruction.0.timing", timing)).medicines[0].fills
    assert (str(fill.dose), fill.when, fill.days) == ("10 units", "at bedtime", None)


def test_an_end_that_is_to_come_is_the_day_to_ask_again() -> None:
    """The first of the ends, as `ask_again_by`; the doses stand."""
    tree = build_bundle(
        build_request("insulin regular", build_dosage(8, boundsPeriod={"end": "2027-03-01"})),
        build_request("insulin isophane", build_dosage(18, "ACV", boundsPeriod={"end": "2027-02-01"})),
    )
    draft = read_prescription(write_json(tree), today=datetime.date(2026, 11, 25))
    assert draft.understood == 2
    assert "  ask_again_by: 2027-02-01\n" in write_draft(draft)


def test_a_dispense_is_read_as_an_order_is() -> None:
    """A dispense that was handed over; one of a prescription in the same file is left out, and told."""
    order = build_request("insulin regular", build_dosage(8), id="7")
    dispense = {**order, "resourceType": "MedicationDispense", "status": "completed", "id": "8"}
    del dispense["intent"]
    assert str(_read(dispense).medicines[0].fills[0].dose) == "8 units"
    both = dispense | {"authorizingPrescription": [{"reference": "MedicationRequest/7"}]}
    draft = _read(build_bundle(order, both))
    assert (draft.understood, draft.left_blank) == (1, 0)
    assert [problem.code for problem in draft.problems] == ["FHIR-022"]


def test_the_form_of_another_release_is_left_blank() -> None:
    """R5 has the medicine elsewhere: what stands there is not passed over."""
    tree = change(build_request(), "medicationCodeableConcept") | {
        "medication": {"concept": {"text": "insulin aspart"}}
    }
    draft = _read(tree)
    assert draft.understood == 0
    assert {problem.code for problem in draft.problems} == {"FHIR-006", "FHIR-012"}


@pytest.mark.parametrize(("code", "is_insulin"), [("263887005", True), ("255559005", False), ("78421000", False)])
def test_routes_of_the_official_examples_are_known(code: str, *, is_insulin: bool) -> None:
    """Subcutaneous as in medrx0320, intramuscular as in medrx0332 (fhir-r4)."""
    name, dosage = ("insulin aspart", build_dosage(8)) if is_insulin else ("methotrexate", build_dosage(8, unit="mg"))
    route = {"coding": [{"system": "http://snomed.info/sct", "code": code}]}
    assert _read(build_request(name, dosage | {"route": route})).problems == ()


@pytest.mark.parametrize(
    "words",
    [
        "10 units before breakfast and before dinner",
        "10 units before breakfast, before dinner",
        "10 units on Monday and Thursday",
    ],
)
def test_words_for_more_times_than_doses_leave_the_line_blank(words: str) -> None:
    """Once a day without a time, and words that name two: one of the two is wrong."""
    tree = change(build_request(), REPEAT, {"frequency": 1, "period": 1, "periodUnit": "d"})
    draft = _read(change(tree, "dosageInstruction.0.text", words))
    assert draft.understood == 0
    assert {problem.code for problem in draft.problems} == {"FHIR-016", "FHIR-019"}


def test_words_that_name_the_time_stand_beside_the_blank() -> None:
    """The field leaves the time open, the words name one: the dose is taken, the time is for a person to write."""
    tree = change(build_request(), REPEAT, {"frequency": 1, "period": 1, "periodUnit": "d"})
    (fill,) = _read(change(tree, "dosageInstruction.0.text", "10 units before lunch")).medicines[0].fills
    assert (str(fill.dose), fill.when) == ("10 units", None)
    assert any("10 units before lunch" in remark for remark in fill.remarks)


def test_a_brand_in_brackets_is_not_passed_over() -> None:
    """A faster form of an insulin can bear its generic name, and be told from it by the brand alone."""
    assert _read(build_request("insulin aspart 100 UNT/ML Injectable Solution [Sample]")).medicines[0].kind is None


def test_a_modifier_beside_the_medicine_leaves_its_doses_blank() -> None:
    """In a Medication of the Bundle as much as in the order itself (fhir-r4, extensibility)."""
    medication: dict[str, Any] = {"resourceType": "Medication", "id": "m1", "code": {"text": "insulin aspart"}}
    medication["modifierExtension"] = [{"url": "https://example.org/not", "valueBoolean": True}]
    request = change(build_request(), "medicationCodeableConcept")
    draft = _read(build_bundle(request | {"medicationReference": {"reference": "Medication/m1"}}, medication))
    assert draft.understood == 0
    assert [problem.code for problem in draft.problems] == ["FHIR-009"]


def test_two_orders_of_which_one_names_no_patient_are_refused() -> None:
    """Nobody can say that they are for one patient."""
    nameless = change(build_request("insulin isophane", build_dosage(8, "ACV")), "subject")
    with pytest.raises(RegimenRefused) as caught:
        _read(build_bundle(build_request(), nameless))
    assert [problem.code for problem in caught.value.problems] == ["FHIR-007"]
