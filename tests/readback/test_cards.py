"""Right cards are read back without a difference: every example, every starter, and random ones."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from support.any_regimens import make_regimens, place_or_assume
from support.plans import EXAMPLES, STARTERS, UNITS, make_fill, make_other, make_syringe

from fillcards.catalogue.near_vision import parse_near_acuity
from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.quantities import Quantity, Unit
from fillcards.readback.agreement import find_disagreements
from fillcards.readback.compare import compare_with_regimen, require_same_meaning
from fillcards.readback.measure import measure_pdf
from fillcards.readback.model import PictureKind
from fillcards.regimen.model import BarrelDirection, Patient, PrintChoice, Regimen, Weekday
from fillcards.regimen.schema import read_regimen


def write_card(regimen: Regimen) -> bytes:
    """The PDF before the gate."""
    return write_pdf(place_regimen(regimen).placed)


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_an_example_is_read_back(name: str) -> None:
    """Each sort of card says what its regimen means, by the reader's own arithmetic."""
    require_same_meaning(write_card(EXAMPLES[name]), EXAMPLES[name])


@pytest.mark.parametrize("path", [pytest.param(path, id=path.stem) for path in STARTERS])
def test_a_starter_is_read_back(path: Path) -> None:
    """Each shipped starter likewise."""
    regimen = read_regimen(path.read_text(encoding="utf-8"))
    require_same_meaning(write_card(regimen), regimen)


@pytest.mark.parametrize("name", ["Featherstonehaugh-Throckmorton", "Bartholomewalexandervontestingtonsampleson"])
def test_a_word_broken_at_the_end_of_a_line_is_read_back(name: str) -> None:
    """After a hyphen of its own, or with one put in: the mark is read as the hyphen it is."""
    regimen = replace(EXAMPLES["mixed"], patient=Patient(name, text_size_pt=Fraction(42)))
    require_same_meaning(write_card(regimen), regimen)


@pytest.mark.parametrize("numbered_every", [4, 20])
def test_counts_from_unusual_numbers_are_read_back(numbered_every: int) -> None:
    """One long line past 4, or many past 20: the reader counts as the words do, whatever numbers the barrel has."""
    syringe = replace(EXAMPLES["mixed"].syringe, numbered_every=Fraction(numbered_every))
    fills = (make_fill("before breakfast", ("clear", "5", UNITS), ("cloudy", "30", UNITS)),)
    regimen = replace(EXAMPLES["mixed"], syringe=syringe, fills=fills)
    require_same_meaning(write_card(regimen), regimen)


def test_close_ups_side_by_side_are_told_apart() -> None:
    """The dots of the second picture begin nearer to the lines of the first, and are its own all the same."""
    fills = (make_fill("before breakfast", ("clear", "9.5", UNITS), ("cloudy", "16", UNITS)),)
    regimen = replace(
        EXAMPLES["mixed"],
        syringe=make_syringe("U-100", "0.3", "0.5"),
        fills=fills,
        patient=Patient(text_size_pt=Fraction(28)),
        print=PrintChoice(barrel=BarrelDirection.NEEDLE_LEFT),
    )
    require_same_meaning(write_card(regimen), regimen)


def test_a_needle_pushed_out_by_a_wide_number_is_read_back() -> None:
    """Close to the zero line of a lying barrel a wide label makes the picture longer, and the needle's hub with it."""
    first = make_other("a", "medicine E", Quantity(Fraction(10), Unit.MG_PER_ML), shares_with=("b",))
    second = replace(first, key="b", name="medicine F", look="cloudy white", shares_with=("a",))
    days = (Weekday.MONDAY, Weekday.THURSDAY)
    regimen = replace(
        EXAMPLES["mixed"],
        syringe=make_syringe("mL", "1", "0.01"),
        medicines=(first, second),
        fills=(make_fill("before breakfast", ("a", "0.01", Unit.ML), ("b", "0.05", Unit.ML), days=days),),
        patient=Patient(reads=parse_near_acuity("20/80 at 33 cm", 3.0)),
        print=PrintChoice(barrel=BarrelDirection.NEEDLE_RIGHT),
    )
    require_same_meaning(write_card(regimen), regimen)


def test_a_name_that_fills_page_one_is_read_back() -> None:
    """Where page one holds the fill's name alone, the next says the line at its top once, not twice."""
    by_mouth = EXAMPLES["by mouth"]
    fill = replace(by_mouth.fills[0], when="before lunch, second syringe", days=tuple(Weekday)[:5])
    patient = Patient(reads=parse_near_acuity("20/200 at 40 cm", 3.0))
    regimen = replace(by_mouth, fills=(fill,), patient=patient)
    require_same_meaning(write_card(regimen), regimen)


def test_words_under_a_tall_picture_are_read_back() -> None:
    """A close-up with eighteen counted lines leaves no room for all its words: they stand overleaf, in one piece."""
    syringe = replace(make_syringe("mL", "10", "0.2"), numbered_every=Fraction(5))
    medicine = make_other("a", "medicine E", Quantity(Fraction(20), Unit.UNITS_PER_ML), takes_air=False)
    fills = (make_fill("at bedtime", ("a", "72", UNITS), days=(Weekday.MONDAY, Weekday.THURSDAY)),)
    patient, paper = Patient(text_size_pt=Fraction(68)), PrintChoice("a4", BarrelDirection.NEEDLE_UP)
    regimen = replace(EXAMPLES["mixed"], syringe=syringe, medicines=(medicine,), fills=fills, is_sample=False)
    regimen = replace(regimen, patient=patient, print=paper)
    require_same_meaning(write_card(regimen), regimen)


@settings(max_examples=12)
@given(make_regimens(directions=(BarrelDirection.NEEDLE_UP,)))
def test_a_random_card_is_read_back(regimen: Regimen) -> None:
    """Any scale, route, size of text and paper: no difference, and the card agrees with itself."""
    pdf = write_pdf(place_or_assume(regimen).placed)
    reading = measure_pdf(pdf)
    assert compare_with_regimen(reading, regimen) == ()
    assert list(find_disagreements(reading)) == []


@pytest.mark.campaign
@given(make_regimens())
def test_many_random_cards_are_read_back(regimen: Regimen) -> None:
    """The same for every direction of the barrel, many times."""
    assert compare_with_regimen(measure_pdf(write_pdf(place_or_assume(regimen).placed)), regimen) == ()


@pytest.mark.parametrize("direction", list(BarrelDirection))
def test_the_scale_is_measured_to_a_micrometre(direction: BarrelDirection) -> None:
    """By least squares over the numbers: the life-size scale is as long as the file says, and residuals are nothing."""
    regimen = replace(EXAMPLES["mixed"], print=PrintChoice(barrel=direction))
    reading = measure_pdf(write_card(regimen))
    (life_size,) = [p for s in reading.makers for p in s.pictures if p.kind is PictureKind.LIFE_SIZE]
    assert life_size.length_mm == pytest.approx(48.0, abs=0.001)
    assert life_size.mm_per_number == pytest.approx(48.0 / 50, abs=0.00005)
    assert life_size.direction is direction
    pictures = [p for sheets in reading.fills for p in sheets.pictures]
    assert max(picture.residual_mm for picture in pictures) < 0.001
    assert {picture.direction for picture in pictures} == {direction}


def test_a_right_card_of_another_regimen_is_refused() -> None:
    """Two different right cards differ: comparing can fail in every part of a card."""
    differences = compare_with_regimen(measure_pdf(write_card(EXAMPLES["mixed"])), EXAMPLES["W13"])
    found = " ".join(str(difference) for difference in differences)
    for part in (
        "fills",
        "card code",
        "large figure",
        "stop mark",
        "steps",
        "band: sample",
        "lines at the top",
    ):
        assert part in found, part
