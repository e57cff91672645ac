"""Right cards are read back without a difference: every example, every starter, and random ones."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from support.any_regimens import make_regimens, place_or_assume
from support.plans import EXAMPLES, STARTERS

from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.readback.agreement import find_disagreements
from fillcards.readback.compare import compare_with_regimen, require_same_meaning
from fillcards.readback.measure import measure_pdf
from fillcards.readback.model import PictureKind
from fillcards.regimen.model import BarrelDirection, PrintChoice, Regimen
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
