"""The code to scan, drawn and read back by zxing-cpp, which did not write it.

Sizes: 300 bytes and modules of 0.8 mm are the project's own limits. The blur stands for a camera out of focus.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, Final

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from hypothesis import assume, given
from PIL import Image, ImageFilter
from support.card_text import list_texts
from support.placed_cards import place_alone
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_starter
from support.shares import try_of_100

from fillcards.card.scan_code import write_scan_words
from fillcards.output.pdf import write_pdf
from fillcards.picture.scan_code import draw_scan_code
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.problems import RegimenRefused
from fillcards.regimen.fingerprint import compute_card_code

DPI: Final = 300
PX_PER_MM: Final = DPI / 25.4
MOST_BYTES: Final = 300
LEAST_MODULE_MM: Final = 0.8
FINDER_MODULES: Final = 7
"""Outer side of a corner mark (ISO/IEC 18004)."""


def write_words(plan: Plan) -> tuple[str, ...]:
    """The words of every fill's code."""
    card = build_card(plan)
    return tuple(words for fill in card.fills if (words := write_scan_words(card, fill)) is not None)


def render(words: str) -> Image.Image:
    """The code as printed, in grey."""
    document = pypdfium2.PdfDocument(write_pdf(place_alone(draw_scan_code(words))))
    try:
        image: Image.Image = document[0].render(scale=DPI / 72, grayscale=True).to_pil()
        return image.convert("L")
    finally:
        document.close()


def scan(image: Image.Image) -> list[Any]:
    """Every code that the decoder finds."""
    # The decoder also takes bars inside a matrix code for codes of one dimension: only matrix codes are asked for.
    return list(zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)))


@cache
def write_mixed() -> tuple[str, ...]:
    """The words of the mixed example, two fills."""
    return write_words(plan_example("mixed"))


def test_code_of_each_fill_says_its_own_stops() -> None:
    """Two fills, two codes, each with its own stops: 8 and 18 make 26; 6 and 12 make 18."""
    first, second = (words.split("\n") for words in write_mixed())
    assert [line for line in first if line.startswith(("Before", "line"))] == [
        "Before breakfast", "line eight", "line twenty-six"
    ]  # fmt: skip
    assert [line for line in second if line.startswith(("Before", "line"))] == [
        "Before supper", "line six", "line eighteen"
    ]  # fmt: skip


def test_code_warns_names_the_card_and_the_syringe() -> None:
    """As the front does: unchecked, which card, only for which syringe."""
    words = write_mixed()[0]
    assert words.startswith("Sample, not for a patient. Not yet checked. Do not use.\n")
    assert f"\nFill card {compute_card_code(EXAMPLES['mixed'])}\n" in words
    assert "Syringe: says U-100, last number 50." in words


def test_code_holds_no_name_and_no_address() -> None:
    """Neither the patient's name nor the second identifier, and nothing a phone would open."""
    for words in write_mixed():
        assert "Patient" not in words.replace("not for a patient", "")
        assert "ward 3" not in words
        assert "://" not in words
        assert len(words.encode()) <= MOST_BYTES


@pytest.mark.parametrize("radius", [2, 4])
@pytest.mark.parametrize("degrees", [0, 7])
def test_code_is_read_blurred_and_turned(radius: int, degrees: int) -> None:
    """Grey, faint and out of focus by up to a third of a module, and not held straight."""
    words = write_mixed()[0]
    image = render(words).rotate(degrees, expand=True, fillcolor=255)
    grey = image.point(lambda level: 96 + level // 2).filter(ImageFilter.GaussianBlur(radius))
    (code,) = scan(grey)
    assert code.text == words


def test_code_modules_are_wide_enough() -> None:
    """Measured in the picture: a corner mark of seven modules, row by row."""
    image = render(write_mixed()[0])
    (code,) = scan(image)
    corner = code.position.top_left
    row = np.asarray(image)[corner.y + 3, max(corner.x - 5, 0) :] < 128
    begins = int(np.argmax(row))
    length = int(np.argmin(row[begins:]))
    assert length / PX_PER_MM / FINDER_MODULES >= LEAST_MODULE_MM


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_code_of_every_starter_can_be_made(path: Path) -> None:
    """Each starter's fills have a code each, read back word for word."""
    for words in write_words(plan_starter(path)):
        (code,) = scan(render(words))
        assert code.text == words


@given(make_plans())
@try_of_100(20)
def test_code_of_any_plan_says_the_stop(plan: Plan) -> None:
    """Drawn, rendered and decoded, the words are those that were meant, and hold every stop."""
    try:
        (words,) = write_words(plan)
    except RegimenRefused:
        assume(False)
        raise
    (code,) = scan(render(words))
    assert code.text == words
    for panel in build_card(plan).fills[0].panels:
        stop = panel.bar if panel.bar.id == "bar-single" else panel.figure_words
        assert list_texts(stop)[0] in words.split("\n")


def test_code_says_the_day_of_a_weekly_medicine() -> None:
    """A weekly dose taken daily can kill: the day is among the words, and so are dose, volume and line."""
    (words,) = write_words(plan_example("weekly"))
    assert "\nMonday, in the morning\n" in words
    assert "\nPull to line 10\n" in words
    assert "0.25 mg is 0.1 mL. On this syringe, that is line 10." in words
    assert "10 units" not in words


def test_code_in_letters_beyond_ascii_is_read() -> None:
    """A medicine's name with an accent comes back whole."""
    words = "Fill line: préparation à l’arnica, 8 units, eight."
    (code,) = scan(render(words))
    assert code.text == words


def test_too_many_words_make_no_code() -> None:
    """A long name of a medicine pushes the words over 300 bytes."""
    weekly = EXAMPLES["weekly"]
    long = replace(weekly.medicines[0], name="weekly medicine of an invented name " + "that goes on " * 6)
    assert write_words(plan_fills(weekly))
    assert not write_words(plan_fills(replace(weekly, medicines=(long,))))


def test_drawing_more_than_fits_is_an_error() -> None:
    """The picture itself refuses too many bytes, whoever asks."""
    with pytest.raises(ValueError, match="301 bytes"):
        draw_scan_code("a" * 301)
