"""One card, several senses: print, screen, plain text and braille say the same steps and amounts in the same order.

Each form is read back by a library that did not write it: PDF by pikepdf and pdfium along its structure tree, HTML by
html5lib and by the browser's accessibility tree; braille by liblouis, which wrote it, the other way round. Pieces and
words are made comparable in ``support.spoken_forms``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser
from support.browser import open_browser, read_accessibility, show
from support.plans import STARTERS, build_card, make_plans, plan_starter
from support.spoken_forms import (
    Piece,
    list_amounts,
    list_plain_words,
    list_steps,
    list_words,
    read_brf,
    read_html,
    read_pdf,
    read_text,
)

from fillcards.card.model import Card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.pages import place_card
from fillcards.output.brf import write_brf
from fillcards.output.html import write_html
from fillcards.output.pdf import write_pdf
from fillcards.output.text import write_text
from fillcards.plan.model import Plan
from fillcards.plan.print_size import PrintSize, choose_print_size
from fillcards.regimen.model import Patient
from fillcards.wording.braille import DEFAULT_PAPER, Contraction

TABLES = {Contraction.UNCONTRACTED: "en-ueb-g1.ctb", Contraction.CONTRACTED: "en-ueb-g2.ctb"}


def read_braille(card: Card, contraction: Contraction) -> list[Piece]:
    """The card in braille, read back."""
    return read_brf(write_brf(card, DEFAULT_PAPER, contraction), TABLES[contraction])


def make_print(card: Card, size: PrintSize, paper: str = "letter") -> list[Piece]:
    """The printed card, read back."""
    return read_pdf(write_pdf(place_card(card, size, load_papers()[paper])))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all pages."""
    with open_browser() as opened:
        yield opened


@given(make_plans(), st.sampled_from((18, 24, 32)))
@settings(max_examples=40)
def test_forms_agree_on_steps_amounts_and_order(plan: Plan, body_pt: int) -> None:
    """For any plan and print size: the same words in the same order in print and on screen, and so in the text."""
    size = choose_print_size(Patient(text_size_pt=Fraction(body_pt)))
    card = build_card(plan, size=size)
    printed, shown, said = make_print(card, size), read_html(write_html(card)), read_text(write_text(card))
    assert list_words(shown) == list_words(printed)
    assert list_plain_words(said) == list_plain_words(printed)
    assert list_steps(said) == list_steps(shown) == list_steps(printed)
    assert list_amounts(said) == list_amounts(shown) == list_amounts(printed)
    for contraction in Contraction:
        felt = read_braille(card, contraction)
        assert list_plain_words(felt) == list_plain_words(printed)
        assert list_amounts(felt) == list_amounts(printed)
        # Of a word behind the grade 1 indicator, liblouis loses the capitals on the way back.
        assert [step.casefold() for step in list_steps(felt)] == [step.casefold() for step in list_steps(printed)]


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_forms_of_a_starter_have_every_step(path: Path) -> None:
    """The steps read back from each form are as many as the plan has, fill for fill."""
    plan = plan_starter(path)
    card = build_card(plan)
    count = sum(len(fill.steps) for fill in plan.fills)
    assert len(list_steps(read_html(write_html(card)))) == count
    assert len(list_steps(read_text(write_text(card)))) == count
    for contraction in Contraction:
        assert len(list_steps(read_braille(card, contraction))) == count
        assert list_plain_words(read_braille(card, contraction)) == list_plain_words(read_text(write_text(card)))


def test_forms_that_differ_are_found() -> None:
    """The comparison can fail: a step left out, two swapped, one amount changed."""
    card = build_card(plan_starter(STARTERS[0]))
    for pieces in (read_text(write_text(card)), read_braille(card, Contraction.CONTRACTED)):
        _require_differences_found(pieces)


def _require_differences_found(pieces: list[Piece]) -> None:
    steps = [number for number, piece in enumerate(pieces) if piece.kind == "LI"]
    first, second = steps[:2]
    swapped = [*pieces]
    swapped[first], swapped[second] = swapped[second], swapped[first]
    changed = [replace(piece, text=piece.text.replace("3.5 units", "35 units")) for piece in pieces]
    for other in (pieces[:first] + pieces[second:], swapped):
        assert list_steps(other) != list_steps(pieces)
    assert list_amounts(changed) != list_amounts(pieces)


@pytest.mark.browser
@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_screen_reader_hears_what_the_pdf_says(browser: Browser, path: Path) -> None:
    """The browser's accessibility tree has the headings, lists, pictures and words of the PDF's structure, in order."""
    plan = plan_starter(path)
    size = choose_print_size(plan.regimen.patient)
    card = build_card(plan, size=size, paper=plan.regimen.print.paper)
    page = browser.new_page()
    show(page, write_html(card))
    heard = read_accessibility(page)
    page.close()
    assert list_words(heard) == list_words(make_print(card, size, plan.regimen.print.paper))
