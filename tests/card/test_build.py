"""What every side carries: band, whose, code and date, whom to call; and the whole card in reading order."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from support.card_text import list_ids, list_says, list_texts
from support.plans import EXAMPLES, STARTERS, plan_example, plan_starter
from support.random_cards import RandomCard

from fillcards.card.build import build_card
from fillcards.card.model import Card, WriteIn
from fillcards.card.scan_code import write_scan_words
from fillcards.picture.scan_code import MOST_BYTES
from fillcards.plan.fills import plan_fills
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import Contact, Patient, PatientKind, Regimen, Review
from fillcards.wording.messages import render

MIXED = EXAMPLES["mixed"]
PERSON = replace(MIXED, patient=Patient("Sample Patient"))


def build(regimen: Regimen) -> Card:
    """The card of a regimen."""
    return build_card(plan_fills(regimen))


def check(regimen: Regimen, **changes: object) -> Regimen:
    """The regimen as checked by a second person."""
    review = Review(date(2026, 11, 25), prepared_by="B. Example", checked_by="A. Sample", checked_on=date(2026, 11, 26))
    dated = replace(regimen, review=replace(review, **changes))  # type: ignore[arg-type]  # the tests name the fields
    code = dated.review.checked_code or compute_card_code(dated)
    return replace(dated, review=replace(dated.review, checked_code=code))


@pytest.mark.parametrize(
    ("regimen", "band"),
    [
        (replace(PERSON, is_sample=True), "Sample, not for a patient. Not yet checked. Do not use."),
        (check(replace(PERSON, is_sample=True)), "Sample, not for a patient."),
        (replace(PERSON, is_sample=False), "Not yet checked. Do not use."),
        (check(replace(PERSON, is_sample=False), checked_code="AAAA"), "Not yet checked. Do not use."),
        (check(replace(PERSON, is_sample=False), checked_on=None), "Not yet checked. Do not use."),
        (check(replace(PERSON, is_sample=False), checked_by="B. Example"), "Not yet checked. Do not use."),
    ],
)
def test_unchecked_is_visible(regimen: Regimen, band: str) -> None:
    """The band goes only where another person has checked this very card and said on which day."""
    assert list_texts(build(regimen).band) == [band]


def test_a_checked_card_says_who_and_when() -> None:
    """The band gives its place to the check; the sheet for staff says the same."""
    regimen = check(replace(PERSON, is_sample=False))
    card = build(regimen)
    assert list_texts(card.band) == [f"Checked by A. Sample on 26 November 2026. Card {card.code}."]
    assert "staff-checked" in list_ids(card.staff)


def list_whose(**changes: object) -> list[str]:
    """Whose card it is."""
    return list_texts(build(replace(MIXED, patient=Patient(**changes))).whose)  # type: ignore[arg-type]  # named above


def test_whose_card_it_is() -> None:
    """Name, birth date and identifier as the file has them; a person without a birth date gets a line for it."""
    born = date(1951, 5, 4)
    assert list_whose(name="Sample Patient", born=born) == ["Sample Patient, born 4 May 1951"]
    assert list_whose(name="Sample Patient", born=born, second_identifier="record 4471") == [
        "Sample Patient, born 4 May 1951, record 4471"
    ]
    assert list_whose(name="Sample Patient", second_identifier="record 4471") == [
        "Sample Patient, record 4471",
        "Born:",
    ]
    assert list_whose(name="Sample Cat", kind=PatientKind.ANIMAL) == ["Sample Cat"]


def test_a_name_that_is_missing_gets_a_line() -> None:
    """No birth date stands alone, and no identifier is lost."""
    assert list_whose() == ["Name:", "Born:"]
    assert list_whose(born=date(1951, 5, 4)) == ["Name:"]
    assert list_whose(second_identifier="grey, white paws", kind=PatientKind.ANIMAL) == ["Name (grey, white paws):"]
    assert all(isinstance(line, WriteIn) for line in build(replace(MIXED, patient=Patient())).whose)


def test_whom_to_call_stands_on_every_side() -> None:
    """The first contact's phone; a ruled line where there is none."""
    called = build(replace(MIXED, contacts=(Contact("Clinic", "555-0142"), Contact("Pharmacy", "555-0143"))))
    assert list_texts(called.stop_call) == ["Not sure? Stop. Call 555-0142"]
    assert isinstance(build(replace(MIXED, contacts=())).stop_call, WriteIn)


def test_the_foot_has_code_and_date() -> None:
    """The card's date where the file has one."""
    card = build(MIXED)
    assert list_texts(card.foot) == [f"Card {card.code}, made 25 November 2026 · throw older cards away"]
    undated = build(replace(MIXED, review=Review()))
    assert list_texts(undated.foot) == [f"Card {undated.code} · throw older cards away"]


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_the_starters_become_cards(path: Path) -> None:
    """Every message of every starter has its words, and no picture is without words of its own."""
    card = build_card(plan_starter(path))
    for message in list_says(card):
        assert render(message, card.language).text
    for fill in card.fills:
        assert all(step.alt for step in fill.steps)


def test_every_plan_becomes_a_card_with_words(random_cards: tuple[RandomCard, ...]) -> None:
    """Whatever the scale, route and amounts, each message has the values that its slots want."""
    for made in random_cards:
        assert all(text.strip() for text in made.write_all())


def write_words(regimen: Regimen) -> str:
    """What the code of the first fill says."""
    card = build(regimen)
    return write_scan_words(card, card.fills[0]) or ""


def test_a_code_to_scan_says_what_is_needed() -> None:
    """Whether checked, which card and fill, each stop with its dose, and the syringe; never the name."""
    words = write_words(MIXED).split("\n")
    assert words[0] == "Sample, not for a patient. Not yet checked. Do not use."
    assert words[2:11] == [
        "Before breakfast",
        "1 Clear first",
        "insulin regular",
        "8 units",
        "line eight",
        "2 Same syringe: cloudy",
        "add insulin isophane",
        "18 units",
        "line twenty-six",
    ]
    assert "Syringe: says U-100, last number 50. Each line is 1 unit." in words
    assert "Sample Patient" not in "\n".join(words)


def test_a_code_to_scan_tells_whom_to_call_before_what_else_has_room() -> None:
    """Of what is not needed to fill the syringe, the phone comes first."""
    regimen = replace(EXAMPLES["concentrated"], contacts=(Contact("Clinic", "555-0142"),))
    assert "Not sure? Stop. Call Clinic: 555-0142." in write_words(regimen).split("\n")


def test_a_code_to_scan_never_gets_too_full(random_cards: tuple[RandomCard, ...]) -> None:
    """What does not fit is left out, the least needed first; a code of more than 300 bytes is hard to scan."""
    for _, card in random_cards:
        words = write_scan_words(card, card.fills[0]) or ""
        assert 0 < len(words.encode()) <= MOST_BYTES


def test_a_code_to_scan_never_drops_a_stop(random_cards: tuple[RandomCard, ...]) -> None:
    """However little room there is, each medicine has its dose and its line."""
    for _, card in random_cards:
        fill = card.fills[0]
        words = (write_scan_words(card, fill) or "").split("\n")
        for panel in fill.panels:
            stop = panel.bar if panel.bar.id == "bar-single" else panel.figure_words
            assert set(list_texts((panel.medicine, panel.dose, stop))) <= set(words)


@pytest.mark.parametrize("who", ["https://example.org", "www.example.org", "tel:555"])
def test_a_code_to_scan_holds_no_address(who: str) -> None:
    """A phone that opens an address tells the network who looked: there is no code."""
    assert not write_words(replace(EXAMPLES["concentrated"], contacts=(Contact(who, "555-0142"),)))


def test_words_that_do_not_fit_make_no_code() -> None:
    """Needed words are never cut."""
    long = replace(EXAMPLES["two others"].medicines[0], name="medicine " + 25 * "long ")
    assert not write_words(replace(EXAMPLES["two others"], medicines=(long, EXAMPLES["two others"].medicines[1])))


@pytest.mark.parametrize("name", EXAMPLES)
def test_checked_and_unchecked_cards_have_the_same_pages(name: str) -> None:
    """The checker sees what the patient gets: all but band and staff sheet is equal."""
    regimen = EXAMPLES[name]
    one, other = build_card(plan_example(name)), build(check(regimen, date=regimen.review.date))
    assert (one.fills, one.whose, one.stop_call) == (other.fills, other.whose, other.stop_call)
