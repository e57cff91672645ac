"""Strengths as they are said aloud, and counts that begin with a word."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fillcards.quantities import Quantity, Unit
from fillcards.wording.messages import write_strength
from fillcards.wording.writers import ENGLISH


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        ("100", Unit.UNITS_PER_ML, "100 units per mL"),
        ("1", Unit.UNITS_PER_ML, "1 unit per mL"),
        ("2.5", Unit.MG_PER_ML, "2.5 mg per mL"),
        ("5000", Unit.UNITS_PER_ML, "5,000 units per mL"),
        ("250", Unit.MCG_PER_ML, "250 mcg per mL"),
    ],
)
def test_a_strength_is_said_without_a_stroke(amount: str, unit: Unit, words: str) -> None:
    """A stroke was read as a 1 (ISMP list of error-prone abbreviations): a strength in a sentence says "per"."""
    assert write_strength(Quantity(Fraction(amount), unit), "en") == words


@pytest.mark.parametrize(("count", "words"), [(1, "one"), (12, "twelve"), (13, "13"), (19, "19")])
def test_counts_are_words_up_to_twelve(count: int, words: str) -> None:
    """What is counted on a barrel begins with a word, so that two figures do not touch; longer counts are rare."""
    assert ENGLISH.write_count(count) == words
