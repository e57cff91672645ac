"""One card, several senses: print, screen and plain text say the same steps and the same amounts in the same order.

Each form is read back by a library that did not write it: PDF by pikepdf and pdfium along its structure tree, HTML by
html5lib and by the browser's accessibility tree. Pieces and words are made comparable in ``support.spoken_forms``.
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
    read_html,
    read_pdf,
    read_text,
)

from fillcards.card.model import Card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.pages import place_card
from fillcards.output.html import write_html
from fillcards.output.pdf import write_pdf
from fillcards.output.text import write_text
from fillcards.plan.model import Plan
from fillcards.plan.print_size import PrintSize, choose_print_size
from fillcards.regimen.model import Patient


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


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_forms_of_a_starter_have_every_step(path: Path) -> None:
    """The steps read back from each form are as many as the plan has, fill for fill."""
    plan = plan_starter(path)
    card = build_card(plan)
    count = sum(len(fill.steps) for fill in plan.fills)
    assert len(list_steps(read_html(write_html(card)))) == count
    assert len(list_steps(read_text(write_text(card)))) == count


def test_forms_that_differ_are_found() -> None:
    """The comparison can fail: a step left out, two swapped, one amount changed."""
    pieces = read_text(write_text(build_card(plan_starter(STARTERS[0]))))
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
