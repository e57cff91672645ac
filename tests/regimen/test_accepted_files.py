"""Every file in ``tests/regimens/accepted`` and every starter is read; what they say arrives in the regimen."""

from __future__ import annotations

import datetime
from fractions import Fraction
from pathlib import Path

import pytest
from support.regimen_folder import ACCEPTED, STARTERS
from support.regimen_texts import MIXED, change_text

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.plan.rules import check_rules
from fillcards.problems import Place, is_refused
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.fingerprint import compute_fingerprint
from fillcards.regimen.model import (
    EVERY_DAY,
    BarrelDirection,
    Contact,
    Needle,
    PatientKind,
    Regimen,
    Weekday,
)
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import decode_text


def _read(name: str) -> Regimen:
    path = next(path for path in (*ACCEPTED, *STARTERS) if path.stem == name)
    return read_regimen(decode_text(path.read_bytes()))


@pytest.mark.parametrize("path", [*ACCEPTED, *STARTERS], ids=lambda path: path.stem)
def test_an_accepted_file_is_read_and_no_rule_refuses_it(path: Path) -> None:
    """From the bytes through the schema and every safety rule."""
    regimen = read_regimen(decode_text(path.read_bytes()))
    assert not is_refused(check_rules(regimen))


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_a_starter_is_a_sample_with_an_unchecked_review(path: Path) -> None:
    """Nobody can hand out a starter as it is."""
    regimen = read_regimen(decode_text(path.read_bytes()))
    assert regimen.is_sample
    assert regimen.review.checked_by is None
    assert regimen.review.date == datetime.date(2025, 11, 25)


def test_there_are_starters_for_the_common_cases() -> None:
    """Eight or more, and each scale and each route at least once among them."""
    regimens = [read_regimen(decode_text(path.read_bytes())) for path in STARTERS]
    assert len(regimens) >= 8
    assert {regimen.syringe.scale for regimen in regimens} == set(ScaleName)
    assert {medicine.route for regimen in regimens for medicine in regimen.medicines} == set(Route)
    assert {regimen.patient.kind for regimen in regimens} == set(PatientKind)


def test_every_key_arrives_in_the_regimen() -> None:
    """One file with every key a person's card can have, value by value."""
    regimen = _read("every-key-of-a-person")
    patient, syringe, (rapid, milky) = regimen.patient, regimen.syringe, regimen.medicines
    assert patient.name == "Élodie Ångström-Núñez"
    assert patient.second_identifier == "ward #3"
    assert patient.reads is not None
    assert patient.reads.reserve == 3
    assert patient.reads.distance_mm == 400
    assert (regimen.print.paper, regimen.print.barrel) == ("4x6 in", BarrelDirection.NEEDLE_RIGHT)
    assert syringe.capacity_ml == 1
    assert [syringe.line_every, syringe.numbered_every, syringe.last_line] == [1, 20, 100]
    assert syringe.scale_length_mm == Fraction(121, 2)
    assert syringe.needle is Needle.FIXED
    assert rapid.strength == Quantity(Fraction(100), Unit.UNITS_PER_ML)
    assert rapid.vial_ml == 10
    assert rapid.on_the_label == "insulin lispro 100 IU/mL"
    assert rapid.vial_mark == "smooth"
    assert rapid.opened == datetime.date(2026, 11, 20)
    assert rapid.expires == datetime.date(2027, 8, 31)
    assert (rapid.in_use_days, rapid.in_use_days_from_label) == (14, True)
    assert rapid.mixing_checked_by == "R. Example, pharmacist"
    assert rapid.warning == "High-alert medicine."
    assert milky.key == "milky-1"
    (fill,) = regimen.fills
    assert (fill.when, fill.minutes_before) == ("before breakfast", 10)
    assert fill.days == (Weekday.MONDAY, Weekday.FRIDAY)
    assert [(draw.medicine, draw.dose) for draw in fill.draws] == [
        ("rapid", Quantity(Fraction(22), Unit.UNITS)),
        ("milky-1", Quantity(Fraction(39), Unit.UNITS)),
    ]
    assert regimen.contacts == (Contact("Clinic", "+1 (555) 010-0100 x4"), Contact("Pharmacy", "555.0101"))
    assert regimen.notes == "Next visit: bring both vials & this card."
    assert regimen.prescription == "RX 4471-b"
    review = regimen.review
    assert (review.prepared_by, review.checked_by, review.checked_code) == ("A. Example", "B. Example", "ABCD")
    assert (review.date, review.ask_again_by) == (datetime.date(2026, 11, 25), datetime.date(2027, 2, 25))
    assert not regimen.is_sample


def test_what_is_left_out_is_none_or_the_published_value() -> None:
    """No name, no notes, no contacts; letter paper, needle up; the scale's own numbers; every day for insulin."""
    regimen = _read("fewest-keys")
    assert regimen.patient.name is None
    assert regimen.notes is None
    assert regimen.contacts == ()
    assert (regimen.print.paper, regimen.print.barrel) == ("letter", BarrelDirection.NEEDLE_UP)
    assert regimen.syringe.numbered_every == 5  # ISO 8537:2007, 9.2: every 5 units on a 0.3 mL barrel
    assert regimen.syringe.scale_length_mm is None
    assert regimen.fills[0].days is None
    assert regimen.fills[0].days_given == EVERY_DAY
    (medicine,) = regimen.medicines
    assert (medicine.in_use_days, medicine.in_use_days_from_label) == (42, False)  # stability-chart-jdst-2020


def test_an_empty_value_means_left_out_where_that_is_harmless() -> None:
    """Names, notes, dates of vials and the review may stand empty in a form that is filled in later."""
    regimen = _read("empty-where-allowed")
    assert regimen.patient.name is None
    assert regimen.notes is None
    assert regimen.medicines[0].opened is None
    assert regimen.review.checked_by is None
    assert regimen.fills[0].when == "07:30"


def test_other_medicines_say_all_about_themselves() -> None:
    """Two medicines outside the catalogue: look, motion, air, route, life and partners are as stated."""
    one, two = _read("one-time-on-different-days").medicines
    assert (one.row, one.name, one.look, one.motion) == (None, "first example medicine", "clear", Motion.NONE)
    assert (one.takes_air, one.route, one.in_use_days, one.shares_with) == (True, Route.INTO_MUSCLE, 1, ("b",))
    assert (two.is_cloudy, two.motion, two.shares_with) == (True, Motion.ROLL, ("a",))


def test_every_part_keeps_its_place() -> None:
    """A rule can point at the line: places of medicines, fills, draws and the review by the key's name."""
    regimen = _read("every-key-of-a-person")
    text = next(path for path in ACCEPTED if path.stem == "every-key-of-a-person").read_text(encoding="utf-8")
    lines = text.split("\n")

    def find_word(place: Place) -> str:
        return lines[place.line - 1][place.column - 1 :]

    rapid, fill = regimen.medicines[0], regimen.fills[0]
    assert find_word(rapid.places["strength"]) == "100 units/mL"
    assert find_word(rapid.places["opened"]) == "2026-11-20"
    assert find_word(fill.places["when"]) == "before breakfast"
    assert find_word(fill.draws[1].place) == "39 units}"
    assert find_word(regimen.review.places["checked_code"]) == "ABCD"
    assert find_word(regimen.places["notes"]).startswith('"Next visit')
    assert fill.draws[1].place.key == "fills[1].draw.milky-1"


@pytest.mark.parametrize("path", [*ACCEPTED, *STARTERS], ids=lambda path: path.stem)
def test_line_ends_and_a_leading_mark_change_nothing(path: Path) -> None:
    """The same regimen from a file saved on Windows with a UTF-8 mark."""
    data = path.read_bytes()
    windows = b"\xef\xbb\xbf" + data.replace(b"\n", b"\r\n")
    assert read_regimen(decode_text(windows)) == read_regimen(decode_text(data))


def test_amounts_times_and_days_are_taken_as_clinics_write_them() -> None:
    """0.5 unit, 1 units, weekdays, weekends, daily, 30 min, 5:30 pm, a small-letter code, spaces at an end."""
    regimen = _read("as-clinics-write")
    one, two, three = regimen.fills
    assert (regimen.patient.name, regimen.notes) == ("the animal", "Keep the opened vial in the door.")
    assert regimen.syringe.line_every == Fraction(1, 2)
    assert (one.minutes_before, one.days) == (30, EVERY_DAY[:5])
    assert one.draws[0].dose == Quantity(Fraction(1, 2), Unit.UNITS)
    assert (two.days, two.draws[0].dose) == (EVERY_DAY[5:], Quantity(Fraction(5, 2), Unit.UNITS))
    assert (three.when, three.days, three.draws[0].dose.amount) == ("5:30 pm", EVERY_DAY, Fraction(1))
    assert regimen.review.checked_code == "ABCD"


def test_an_insulin_the_catalogue_does_not_know_is_an_insulin() -> None:
    """Written as other with all its keys it is measured like any insulin, and whoever checks is told."""
    regimen = _read("as-clinics-write")
    (zinc,) = regimen.medicines
    assert (zinc.row, zinc.is_insulin, zinc.shares_with) == (None, True, ())
    assert "MEDICINE-001" in {problem.code for problem in check_rules(regimen)}


def test_a_medicine_that_no_fill_draws_is_kept_apart() -> None:
    """It is told, and no part of the program that makes the card sees it."""
    regimen = _read("as-clinics-write")
    assert [medicine.key for medicine in regimen.not_drawn] == ["spare"]
    assert "MEDICINE-002" in {problem.code for problem in check_rules(regimen)}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("clear: 8 units", 'clear: "8 units "'),
        ("kind: insulin isophane", 'kind: " insulin isophane"'),
        ("when: before supper", 'when: "before supper "'),
        ("scale: U-100", 'scale: "U-100 "'),
    ],
)
def test_spaces_at_the_ends_of_a_value_change_nothing(old: str, new: str) -> None:
    """Nobody sees them on paper, and nobody means them."""
    assert read_regimen(change_text(MIXED, (old, new))) == read_regimen(MIXED)


def test_days_without_a_medicine_are_read() -> None:
    """``none_on`` stands with its medicine; left out it is no day."""
    assert _read("days-stated-to-be-without").medicines[0].none_on == (Weekday.SUNDAY,)
    assert _read("fewest-keys").medicines[0].none_on == ()


@pytest.mark.parametrize("key", ["scale_length", "use_within"])
def test_a_length_or_a_life_left_blank_is_left_out(key: str) -> None:
    """As a starter has them before they are filled in: nobody has measured, or read it from the label."""
    old = {"scale_length": "  needle: fixed", "use_within": "    vial: 10 mL\n  cloudy:"}[key]
    blank = change_text(MIXED, (old, f"{'    use_within:' if key == 'use_within' else '  scale_length:'}\n{old}"))
    regimen = read_regimen(blank)
    assert regimen.syringe.scale_length_mm is None
    assert not any(medicine.in_use_days_from_label for medicine in regimen.medicines)
    assert compute_fingerprint(regimen) == compute_fingerprint(read_regimen(MIXED))
