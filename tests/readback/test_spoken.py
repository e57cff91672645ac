"""Numbers read back from digits and words. Outside source of the words: the library num2words."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from fillcards.quantities import write_number
from fillcards.readback.spoken import parse_card_number, parse_spoken_number


@given(st.integers(0, 999_999))
def test_whole_numbers_in_words(value: int) -> None:
    """As num2words spells them, without its "and" and comma."""
    words = num2words(value).replace(" and ", " ").replace(",", "")
    assert parse_spoken_number(words) == value


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("one half", "1/2"),
        ("12 and a half", "25/2"),
        ("zero point two five", "1/4"),
        ("two point zero five", "41/20"),
        ("twenty-six", "26"),
    ],
)
def test_parts_in_words(words: str, value: str) -> None:
    """Halves and decimals, as plain English has them (common practice, no source)."""
    assert parse_spoken_number(words) == Fraction(value)


@pytest.mark.parametrize(
    "words",
    ["", "eight nine", "twenty twelve", "hundred", "one zero", "zero point", "point five", "0 and a half", "twenty-",
     "zero point two zero", "one hundred two hundred", "half", "eight units"],
)  # fmt: skip
def test_no_number_in_words(words: str) -> None:
    """What is not one number in words is none; nothing is guessed."""
    if words == "twenty-":
        assert parse_spoken_number(words) == 20  # a hyphen at a line's end is the layout's
    else:
        assert parse_spoken_number(words) is None


@given(
    st.fractions(min_value=0, max_value=9999, max_denominator=1).map(Fraction)
    | st.sampled_from((Fraction(1, 8), Fraction(25, 2)))
)
def test_digits(value: Fraction) -> None:
    """What the writing rules write is read as the same number."""
    assert parse_card_number(write_number(value)) == value


@pytest.mark.parametrize("text", ["", "08", "8.", ".5", "0.50", "1,00", "8 units", "-8", "1e3", "٨"])
def test_no_number_in_digits(text: str) -> None:
    """What the writing rules do not write is no number of a card."""
    assert parse_card_number(text) is None
