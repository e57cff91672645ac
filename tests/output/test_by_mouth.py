"""A card of a syringe for the mouth speaks of a needle only to forbid it (ISMP, ``ismp-oral-syringe``)."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pypdfium2
import pytest

from fillcards.options import DEFAULT_OPTIONS, Ending, Form, Options
from fillcards.pipeline import place_regimen, read_regimen_file, write_pages

STARTER = Path(__file__).parents[2] / "templates_yaml" / "by-mouth-in-milliliters.yaml"
ALLOWED = re.compile(r"(never|without) a needle", re.IGNORECASE)
RAISED = Options(form=Form.RAISED)


@cache
def read_words(options: Options, ending: Ending) -> str:
    """Every word of the card in a form, each after one blank."""
    made = place_regimen(read_regimen_file(STARTER.read_bytes(), options), options)
    pages = write_pages(made, ending)
    if ending is Ending.PDF:
        document = pypdfium2.PdfDocument(pages[0])
        return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in document).split())
    return " ".join(" ".join(page.decode("utf-8") for page in pages).split())


@pytest.mark.parametrize(
    ("options", "ending"),
    [
        (DEFAULT_OPTIONS, Ending.TXT),
        (DEFAULT_OPTIONS, Ending.HTML),
        (DEFAULT_OPTIONS, Ending.PDF),
        (RAISED, Ending.PDF),
    ],
)
def test_a_needle_is_only_forbidden(options: Options, ending: Ending) -> None:
    """Pictures in words, the screen page, the pages in print, and what raised lines mean."""
    words = read_words(options, ending)
    assert len(re.findall("needle", words, re.IGNORECASE)) == len(ALLOWED.findall(words))
    assert "plunger" in words


def test_what_is_in_the_syringe_is_told_from_its_tip() -> None:
    """A reader of the plain text has no picture to show where it begins."""
    assert "Syringe with antibiotic example from the tip to 3.2 mL." in read_words(DEFAULT_OPTIONS, Ending.TXT)
    assert "Read its edge nearest the tip." in read_words(RAISED, Ending.PDF)
