"""No string of any card breaks the writing rules of medication safety, and each can be printed.

Sources: Joint Commission "Do Not Use" list; ISMP list of error-prone abbreviations (facts, section 7, rows 62 and 63).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Final

import pytest
from support.card_text import list_all_texts
from support.plans import EXAMPLES, STARTERS, plan_example, plan_starter
from support.random_cards import RandomCard

from fillcards.card.build import build_card
from fillcards.card.model import Card
from fillcards.typeface import find_missing_glyphs

FORBIDDEN: Final = {
    "U for units": r"(?<![A-Za-z])[Uu](?![A-Za-z'’-])|U/mL",
    "IU": r"\b(?:IU|iu)\b",
    "cc": r"\bcc\b",
    "ml without the capital": r"\bmls?\b",
    "a Greek letter for mcg": "[µμ]",
    "no zero before the point": r"(?<!\d)\.\d",
    "a zero after the point": r"\d\.\d*0(?!\d)",
    "no space before the unit": r"\d(?:units?|mL|mg|mcg|mm|pt|days?)\b",
    "thousands without a comma": r"(?<![\d,.])\d{4,}(?= (?:units?|mg|mcg|mL))",
    "a Latin short form": r"\b(?:[Qq]\.?[Dd]|BID|TID|QID|HS|SC|SQ|IM|subcut|prn)\b",
    "a fraction with a stroke": r"\b\d/\d\b|[½¼¾]",
    "a range": r"\d ?[-–] ?\d+ (?:units?|mg|mL)",
}
"""What must not be found, by what it is."""


def find_broken_rules(texts: Iterable[str]) -> list[str]:
    """Each broken rule with the string that breaks it."""
    return [problem for text in texts for problem in _search(text)]


@cache
def _search(text: str) -> tuple[str, ...]:
    """The broken rules of one string; most strings stand on many cards."""
    return tuple(f"{rule}: {text}" for rule, pattern in FORBIDDEN.items() if re.search(pattern, text))


def list_written_texts(card: Card, all_texts: Iterable[str]) -> tuple[str, ...]:
    """Every string, pictures' words too, without the fingerprint's random letters, which are no words."""
    texts = [text.replace(card.code, "") for text in all_texts if not text.startswith("Fingerprint ")]
    scenes = [step.scene for fill in card.fills for step in fill.steps]
    return (*texts, *(text for scene in scenes for text in (scene.stop_text, scene.air_text)))


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_forbidden_form_on_the_examples(name: str) -> None:
    """Patient's pages, the sheet for staff and the words inside pictures keep the rules."""
    card = build_card(plan_example(name))
    assert find_broken_rules(list_written_texts(card, list_all_texts(card))) == []


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_no_forbidden_form_on_the_starters(path: Path) -> None:
    """What is shipped is an example to whoever copies it."""
    card = build_card(plan_starter(path))
    assert find_broken_rules(list_written_texts(card, list_all_texts(card))) == []


def test_no_forbidden_form_on_random_cards(random_cards: tuple[RandomCard, ...]) -> None:
    """The same whatever the amounts, scales and routes."""
    for made in random_cards:
        assert find_broken_rules(list_written_texts(made.card, made.write_all())) == []


def test_every_letter_can_be_printed(random_cards: tuple[RandomCard, ...]) -> None:
    """The typeface has every character of every string, in both weights: a missing one would vanish."""
    letters = "".join(sorted({letter for made in random_cards for text in made.write_all() for letter in text}))
    assert find_missing_glyphs(letters) == find_missing_glyphs(letters, True) == ""


def test_nothing_is_shouted(random_cards: tuple[RandomCard, ...]) -> None:
    """No word of a patient's page is in block capitals; the card's code is no word."""
    for made in random_cards:
        words = " ".join(made.write_given_away()).replace(made.card.code, "")
        assert re.findall(r"\b[A-Z]{2,}\b", words) == []


@pytest.mark.parametrize(
    "text", ["10 U", "10 IU", ".5 units", "5.0 units", "10units", "5000 units", "0.5 ml", "½ unit", "20 - 22 units"]
)
def test_each_forbidden_form_is_found(text: str) -> None:
    """The search can fail: rows 62 and 63 of the facts, and more, are all found."""
    assert find_broken_rules((text,))


@pytest.mark.parametrize(
    "text", ["10 units", "0.5 units", "5 units", "5,000 units", "U-100", "0.05 mL", "100 units/mL"]
)
def test_right_forms_pass(text: str) -> None:
    """The rewritten forms of the same rows are not found."""
    assert find_broken_rules((text,)) == []
