"""What the staff sheet says of the register is what the register said, or the card does not pass."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from typing import Any, Final

import pytest
from readback.seeded import wrap
from support.finished_cards import read_starter

from fillcards.card.model import Keeping
from fillcards.desk.writing import put_date
from fillcards.options import DEFAULT_OPTIONS, Ending
from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen, read_regimen_file, write_pages
from fillcards.plan.replacing import write_successor
from fillcards.readback.gate import CardMismatch, Making, require_same_pdf
from fillcards.readback.staff import ANY_KEPT, Kept
from fillcards.regimen.fingerprint import compute_card_code

HEAD: Final = 8 * "2e5d90ac"
KEPT: Final = Kept(1204, HEAD, True)


def make_checked() -> str:
    """A starter that somebody has checked."""
    text = read_starter("one-insulin-once-a-day")
    for key, value in (("prepared_by", "A. Writer"), ("checked_by", "B. Checker"), ("checked_on", "2025-11-25")):
        text = text.replace(f'{key}: ""', f"{key}: {value}")
    code = compute_card_code(read_regimen_file(text.encode()))
    return text.replace('checked_code: ""', f"checked_code: {code}")


TEXT: Final = make_checked()


@pytest.fixture(scope="module")
def card() -> bytes:
    """A card that is kept in a register."""
    regimen = read_regimen_file(TEXT.encode())
    return write_pdf(place_regimen(regimen, DEFAULT_OPTIONS._replace(keeping=Keeping(*KEPT))).placed)


def test_what_the_register_said_is_accepted(card: bytes) -> None:
    """By the gate that knows it, and by who only has the file."""
    for kept in (KEPT, ANY_KEPT):
        require_same_pdf(card, TEXT, Making(kept=kept))


@pytest.mark.parametrize("kept", [
    None,
    KEPT._replace(line=1203),
    KEPT._replace(line=0),
    KEPT._replace(head=HEAD.replace("2e5d90ac", "2e5d90ad", 1)),
    KEPT._replace(is_checked_here=False),
], ids=["none", "another line", "no line", "another hash", "a check only stated"])  # fmt: skip
def test_anything_else_is_refused(card: bytes, kept: Kept | None) -> None:
    """A card of a register passes for no other."""
    with pytest.raises(CardMismatch):
        require_same_pdf(card, TEXT, Making(kept=kept))


@pytest.mark.parametrize("kept", [KEPT, ANY_KEPT], ids=["a known register", "an unknown one"])
def test_the_line_of_the_register_is_heard_in_its_place(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    """Heard before the sheet says anything else, it is refused, also where nobody knows which line it should be."""

    def register_first(blocks: Iterable[Any]) -> Iterator[Any]:
        for block in blocks:
            points = getattr(block, "says", ())
            first = tuple(point for point in points if point.id == "staff-register")
            others = tuple(point for point in points if point not in first)
            yield replace(block, says=(*first, *others)) if first else block

    wrap("fillcards.card.staff:_build_check", lambda original, *args: register_first(original(*args)))(monkeypatch)
    regimen = read_regimen_file(TEXT.encode())
    wrong = write_pdf(place_regimen(regimen, DEFAULT_OPTIONS._replace(keeping=Keeping(*KEPT))).placed)
    monkeypatch.undo()
    with pytest.raises(CardMismatch, match="staff: it is read in another order"):
        require_same_pdf(wrong, TEXT, Making(kept=kept))


def test_a_card_that_nobody_checked_was_not_checked_here(card: bytes) -> None:
    """Whatever a register may say, the file is what decides."""
    text = read_starter("one-insulin-once-a-day")
    regimen = read_regimen_file(text.encode())
    options = DEFAULT_OPTIONS._replace(keeping=Keeping(*KEPT))
    unchecked = write_pdf(place_regimen(regimen, options).placed)
    require_same_pdf(unchecked, text, Making(kept=KEPT))
    with pytest.raises(CardMismatch):
        require_same_pdf(card, text, Making(kept=KEPT))


def test_a_card_that_replaces_another_is_accepted_too() -> None:
    """What it replaces is read after the register, on the page and aloud."""
    older = read_regimen_file(TEXT.encode())
    text = put_date(write_successor(TEXT, older), date(2025, 11, 26))
    regimen = read_regimen_file(text.encode())
    options = DEFAULT_OPTIONS._replace(keeping=Keeping(*KEPT))
    require_same_pdf(write_pdf(place_regimen(regimen, options).placed), text, Making(kept=KEPT))


def test_no_patients_page_changes_with_the_register() -> None:
    """Only the sheet for staff: the patient's pages are the same with and without."""
    regimen = read_regimen_file(TEXT.encode())
    with_it, without = (
        place_regimen(regimen, DEFAULT_OPTIONS._replace(keeping=keeping)) for keeping in (Keeping(*KEPT), None)
    )
    pages = [[page for page in made.placed.pages if not page.is_staff] for made in (with_it, without)]
    assert pages[0] == pages[1]
    (picture, *_) = write_pages(with_it, Ending.SVG)
    assert picture == write_pages(without, Ending.SVG)[0]


def test_the_day_of_the_check_is_the_files(card: bytes) -> None:
    """The sheet names day and person as the file has them."""
    regimen = read_regimen_file(TEXT.encode())
    other = replace(regimen, review=replace(regimen.review, checked_on=date(2025, 11, 26)))
    made = write_pdf(place_regimen(other, DEFAULT_OPTIONS._replace(keeping=Keeping(*KEPT))).placed)
    assert made != card
    with pytest.raises(CardMismatch):
        require_same_pdf(made, TEXT, Making(kept=KEPT))
