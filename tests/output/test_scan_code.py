"""The code to scan, read back from the printed page by zxing-cpp, which did not write it.

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
from hypothesis import given, settings
from PIL import Image, ImageFilter
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example
from support.program import run_program
from support.regimen_texts import change_text

from fillcards.card.model import Stop
from fillcards.card.scan_code import write_scan_words
from fillcards.options import Options
from fillcards.output.pdf import write_drawing_pdf, write_pdf
from fillcards.picture.scan_code import draw_scan_code
from fillcards.pipeline import make_pdf, place_regimen, read_regimen_file
from fillcards.plan.model import Plan
from fillcards.problems import RegimenRefused
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import Contact, Regimen

DPI: Final = 300
COARSE_DPI: Final = 120
"""Enough to find whether there is a code at all."""
PX_PER_MM: Final = DPI / 25.4
MOST_BYTES: Final = 300
LEAST_MODULE_MM: Final = 0.8
FINDER_MODULES: Final = 7
"""Outer side of a corner mark (ISO/IEC 18004)."""

WITH_CODE: Final = Options(has_scan_code=True)


def render(pdf: bytes, page: int = 0, dpi: int = DPI) -> Image.Image:
    """A page in grey."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        image: Image.Image = document[page].render(scale=dpi / 72, grayscale=True).to_pil()
        return image.convert("L")
    finally:
        document.close()


def scan(image: Image.Image) -> list[Any]:
    """Every code that the decoder finds."""
    return list(zxingcpp.read_barcodes(image))


def render_all(pdf: bytes, dpi: int = DPI) -> tuple[Image.Image, ...]:
    """Every page."""
    document = pypdfium2.PdfDocument(pdf)
    count = len(document)
    document.close()
    return tuple(render(pdf, page, dpi) for page in range(count))


@cache
def print_mixed() -> tuple[Image.Image, ...]:
    """The pages of the mixed example, with codes."""
    return render_all(write_pdf(place_regimen(EXAMPLES["mixed"], WITH_CODE).placed))


@cache
def scan_mixed() -> tuple[tuple[int, Any], ...]:
    """The codes on those pages, each with the position of its page."""
    return tuple((number, code) for number, image in enumerate(print_mixed()) for code in scan(image))


def test_code_is_off_unless_asked_for() -> None:
    """No page of a card holds a code by itself."""
    pages = render_all(write_pdf(place_regimen(EXAMPLES["W13"]).placed), COARSE_DPI)
    assert [code for page in pages for code in scan(page)] == []


def test_code_of_each_fill_says_its_own_stops() -> None:
    """Two fills, two codes, each on its own fill's sheets: 8 and 18 make 26; 6 and 12 make 18."""
    (first_page, first), (second_page, second) = scan_mixed()
    assert first_page < second_page
    assert "Before breakfast. First line: insulin regular, 8 units, eight. " in first.text
    assert "Total line: add insulin isophane, up to 26 units, twenty-six. 8 + 18 = 26." in first.text
    assert "Before supper. First line: insulin regular, 6 units, six. " in second.text
    assert "Total line: add insulin isophane, up to 18 units, eighteen. 6 + 12 = 18." in second.text


def test_code_warns_names_the_card_and_the_syringe() -> None:
    """As page one does: unchecked, which card, only for which syringe."""
    _, code = scan_mixed()[0]
    assert code.text.startswith("Sample, not for a patient. Not yet checked. Do not use. ")
    assert f"Card {compute_card_code(EXAMPLES['mixed'])}." in code.text
    assert "Only for a syringe that says U-100 and ends at 50." in code.text


def test_code_holds_no_name_and_no_address() -> None:
    """Neither the patient's name nor the second identifier, and nothing a phone would open."""
    for _, code in scan_mixed():
        assert "Patient" not in code.text.replace("not for a patient", "")
        assert "ward 3" not in code.text
        assert "://" not in code.text
        assert len(code.text.encode()) <= MOST_BYTES


@pytest.mark.parametrize("radius", [2, 4])
@pytest.mark.parametrize("degrees", [0, 7])
def test_code_is_read_from_a_blurred_and_turned_page(radius: int, degrees: int) -> None:
    """Grey, faint and out of focus by up to a third of a module, and not held straight."""
    page, clear = scan_mixed()[0]
    image = print_mixed()[page].rotate(degrees, expand=True, fillcolor=255)
    grey = image.point(lambda level: 96 + level // 2).filter(ImageFilter.GaussianBlur(radius))
    (code,) = scan(grey)
    assert code.text == clear.text


def test_code_modules_are_wide_enough() -> None:
    """Measured in the picture of the page: a corner mark of seven modules, row by row."""
    page, code = scan_mixed()[0]
    corner = code.position.top_left
    row = np.asarray(print_mixed()[page])[corner.y + 3, corner.x - 5 :] < 128
    begins = int(np.argmax(row))
    length = int(np.argmin(row[begins:]))
    assert length / PX_PER_MM / FINDER_MODULES >= LEAST_MODULE_MM


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_code_of_every_starter_can_be_made(path: Path) -> None:
    """Each starter's card with codes passes the gates, and has as many codes as fills."""
    regimen = read_regimen_file(path.read_bytes())
    codes = [code for page in render_all(make_pdf(regimen, WITH_CODE), COARSE_DPI) for code in scan(page)]
    assert len(codes) == len(regimen.fills)


@given(make_plans())
@settings(max_examples=40)
def test_code_of_any_plan_says_the_stop(plan: Plan) -> None:
    """Drawn, rendered and decoded, the words are those that were meant, and hold every stop."""
    (fill,) = plan.fills
    words = write_scan_words(fill, plan.regimen, "Not yet checked. Do not use.", "ABCD")
    (code,) = scan(render(write_drawing_pdf(draw_scan_code(words), "code", "code"), 0))
    assert code.text == words
    stops = [block for block in build_card(plan).fills[0].front if isinstance(block, Stop)]
    assert len(stops) == len(fill.draws)
    for stop in stops:
        assert f" {stop.figure}" in words
        assert f", {stop.words}." in words


def test_code_says_the_day_of_a_weekly_medicine() -> None:
    """A weekly dose taken daily can kill: the day is among the words, and so are dose, volume and line."""
    plan = plan_example("weekly")
    words = write_scan_words(plan.fills[0], plan.regimen, None, "ABCD")
    assert "Only on Monday." in words
    assert "line 10, ten." in words
    assert "0.25 mg is 0.1 mL. On this syringe, that is line 10." in words
    assert "10 units" not in words


def test_code_in_letters_beyond_ascii_is_read() -> None:
    """A medicine's name with an accent comes back whole."""
    words = "Fill line: préparation à l’arnica, 8 units, eight."
    (code,) = scan(render(write_drawing_pdf(draw_scan_code(words), "code", "code"), 0))
    assert code.text == words


def refuse(regimen: Regimen) -> list[str]:
    """The codes a regimen is refused with when a code to scan is asked for."""
    with pytest.raises(RegimenRefused) as caught:
        place_regimen(regimen, WITH_CODE)
    return [problem.code for problem in caught.value.problems if problem.code.startswith("SCAN")]


def test_code_with_too_many_words_is_refused() -> None:
    """A long name of a medicine pushes the words over 300 bytes: refused, with the count and what to do."""
    (path,) = (path for path in STARTERS if path.stem == "weekly-milligrams-on-a-unit-scale")
    text = change_text(
        path.read_text(encoding="utf-8"),
        ("name: weekly injection, example", "name: weekly injection, of an invented name"),
    )
    ran = run_program("make", "--scan-code", "-", "-o", "-", stdin=text.encode())
    assert ran.code == 1
    assert "SCAN-001 refused" in ran.err
    assert "bytes" in ran.err
    assert "without the code" in ran.err


def test_code_with_an_address_is_refused() -> None:
    """A contact that is an address would be opened by the phone: refused, and only where a code is asked for."""
    regimen = replace(EXAMPLES["W13"], contacts=(Contact("Clinic", "https://x.example"),))
    assert refuse(regimen) == ["SCAN-002"]
    assert place_regimen(regimen).placed.pages


def test_drawing_more_than_fits_is_an_error() -> None:
    """The picture itself refuses too many bytes, whoever asks."""
    with pytest.raises(ValueError, match="301 bytes"):
        draw_scan_code("a" * 301)
