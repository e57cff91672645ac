"""Cards in every language that is offered: whole, gated like English, never ready while their words are unsigned."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Final

import pytest
from support.card_text import list_texts
from support.starters import write_in

from fillcards.card.build import build_pairs
from fillcards.card.model import Card, StaffBlock, StaffPairs
from fillcards.options import DEFAULT_OPTIONS, Ending, Form
from fillcards.pipeline import check_regimen, place_regimen, read_regimen_file, write_pages
from fillcards.problems import RegimenRefused, is_refused
from fillcards.readback.gate import CardMismatch
from fillcards.readback.other_forms import require_same_text
from fillcards.regimen.fingerprint import compute_card_code, hash_messages
from fillcards.regimen.languages import LANGUAGES
from fillcards.wording.messages import render

STARTERS: Final = Path(__file__).parents[2] / "templates_yaml"
NAMES: Final = (
    "two-insulins-twice-a-day",
    "by-mouth-in-milliliters",
    "milliliters-into-muscle",
    "weekly-milligrams-on-a-unit-scale",
)
OTHERS: Final = tuple(language for language in LANGUAGES if language != "en")
BAND: Final = "Not yet checked. Do not use."


def write_regimen(name: str, language: str) -> str:
    """A starter in a language, for a patient."""
    text = write_in((STARTERS / f"{name}.yaml").read_text(encoding="utf-8"), language)
    return re.sub(r"(?m)^sample: true.*\n", "", text)


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", NAMES)
def test_a_right_card_passes_its_gates(name: str, language: str) -> None:
    """What the file means stands in each form, claimed by the readback's own words for numbers, dates and days."""
    regimen = read_regimen_file(write_regimen(name, language).encode())
    made = place_regimen(regimen, is_for_print=False)
    assert write_pages(made, Ending.HTML)
    assert write_pages(made, Ending.TXT)


@pytest.mark.parametrize(("name", "language"), [
    *(("milliliters-into-muscle", language) for language in OTHERS if language != "ar"),
    pytest.param("milliliters-into-muscle", "ar", marks=pytest.mark.campaign),
    ("two-insulins-twice-a-day", "es"),
])  # fmt: skip
def test_a_right_print_passes_its_gate(name: str, language: str) -> None:
    """The same of the pages, the staff sheet with both languages among them; steps on lines of mL, and one in which an
    accent stands close under the disc of a step's number. Arabic pages are made in ``test_right_to_left.py``.
    """
    regimen = read_regimen_file(write_regimen(name, language).encode())
    assert write_pages(place_regimen(regimen), Ending.PDF)


@pytest.mark.parametrize("language", OTHERS)
def test_a_wrong_word_is_noticed(language: str) -> None:
    """Another number word in the text of a card is refused, whatever language it is in."""
    text = write_regimen("two-insulins-twice-a-day", language)
    (data,) = write_pages(place_regimen(read_regimen_file(text.encode()), is_for_print=False), Ending.TXT)
    lines = data.decode().splitlines()
    # From right to left it stands between an isolate's marks.
    at = next(number for number, line in enumerate(lines) if re.sub("[\u2066\u2069.\u0964]", "", line) == "11")
    lines[at + 1] = lines[at + 1][:-2] + lines[at + 1][-1]
    with pytest.raises(CardMismatch, match="should say"):
        require_same_text("\n".join(lines).encode() + b"\n", text)


@pytest.mark.parametrize("language", OTHERS)
def test_unsigned_words_keep_the_card_unchecked(language: str) -> None:
    """Two people have checked it, and every side still says in both languages that it must not be used."""
    text = write_regimen("two-insulins-twice-a-day", language)
    review = "review:\n  prepared_by: Sample Nurse\n  checked_by: Sample Pharmacist\n  checked_on: 2025-11-25\n"
    text = re.sub(r"(?s)review:\n.*", f"{review}  checked_code: CODE\n  date: 2025-11-25\n", text)
    text = text.replace("CODE", compute_card_code(read_regimen_file(text.replace("CODE", "AAAA").encode())))
    made = place_regimen(read_regimen_file(text.encode()), is_for_print=False)
    band = render(made.card.band, language).text
    assert band.endswith(BAND)
    assert band != BAND


@pytest.mark.parametrize("language", OTHERS)
def test_unsigned_words_are_not_released(language: str) -> None:
    """``check --for-release`` refuses the card, with what to do."""
    regimen = read_regimen_file(write_regimen("two-insulins-twice-a-day", language).encode())
    options = DEFAULT_OPTIONS._replace(for_release=True, today=date(2025, 11, 26))
    assert "WORDS-001" in {problem.code for problem in check_regimen(regimen, options) if is_refused((problem,))}


@pytest.mark.parametrize("language", [pytest.param("es", marks=pytest.mark.campaign), "hi"])
def test_a_sentence_without_its_english_is_noticed(language: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The staff sheet shows every sentence of the card beside its English: one that is left out stops the card."""

    def leave_one_out(card: Card) -> tuple[StaffBlock, ...]:
        *blocks, pairs = build_pairs(card)
        assert isinstance(pairs, StaffPairs)
        return (*blocks, StaffPairs((*pairs.says[:20], *pairs.says[21:])))

    monkeypatch.setattr("fillcards.card.build.build_pairs", leave_one_out)
    regimen = read_regimen_file(write_regimen("milliliters-into-muscle", language).encode())
    with pytest.raises(CardMismatch, match="staff"):
        write_pages(place_regimen(regimen), Ending.PDF)


def test_english_says_that_nobody_signed_it() -> None:
    """The staff sheet of an English card names its edition."""
    regimen = read_regimen_file(write_regimen("milliliters-into-muscle", "en").encode())
    texts = list_texts(place_regimen(regimen, is_for_print=False).card.staff)
    edition = hash_messages("en")[:8].upper()
    assert f"Words of this card: English, edition {edition}. No clinician has signed them." in texts


@pytest.mark.parametrize("form", [Form.TEACHING, Form.LOG])
@pytest.mark.parametrize("language", ["es", "hi"])
def test_sheets_beside_the_card_pass_their_gate(form: Form, language: str) -> None:
    """The practice sheet and the log are in the patient's language, the answers for staff in English."""
    regimen = read_regimen_file(write_regimen("two-insulins-twice-a-day", language).encode())
    made = place_regimen(regimen, DEFAULT_OPTIONS._replace(form=form))
    assert write_pages(made, Ending.PDF)


def test_a_language_without_messages_is_refused() -> None:
    """With its place, what was found, and what there is."""
    with pytest.raises(RegimenRefused) as refusal:
        read_regimen_file(write_regimen("two-insulins-twice-a-day", "tlh").encode())
    (problem,) = (each for each in refusal.value.problems if is_refused((each,)))
    assert (problem.place.key, problem.found) == ("language", '"tlh"')
    assert "es" in problem.expected
