"""Numbers in words, held against num2words, a library that does not know this package."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from fillcards.wording.writers import ENGLISH


@given(st.integers(0, 999_999))
def test_whole_numbers_agree_with_num2words(value: int) -> None:
    """Whole numbers read as num2words reads them, less its British "and" and commas, which a card leaves out."""
    outside = num2words(value).replace(" and ", " ").replace(",", "")
    assert ENGLISH.write_in_words(value) == outside


@given(st.integers(0, 400), st.integers(1, 9999).filter(lambda digits: digits % 10 and digits != 5))
def test_decimals_agree_with_num2words(whole: int, digits: int) -> None:
    """Decimals that are not halves are read digit by digit, as num2words does."""
    text = f"{whole}.{digits}"
    outside = num2words(text).replace(" and ", " ").replace(",", "")
    assert ENGLISH.write_in_words(Fraction(text)) == outside


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("8", "eight"),
        ("1.5", "1 and a half"),
        ("12.5", "12 and a half"),
        ("0.25", "zero point two five"),
        ("135", "one hundred thirty-five"),
        ("0.5", "one half"),
        ("0.05", "zero point zero five"),
    ],
)
def test_the_forms_the_design_fixes(value: str, words: str) -> None:
    """The design (section 2, 11) names these forms; a half is written so that 12.5 cannot become 125."""
    assert ENGLISH.write_in_words(Fraction(value)) == words


@given(st.integers(1, 2000), st.integers(1, 2000))
def test_different_numbers_have_different_words(first: int, second: int) -> None:
    """No two amounts on any scale share their words."""
    one, other = Fraction(first, 20), Fraction(second, 20)
    assert (ENGLISH.write_in_words(one) == ENGLISH.write_in_words(other)) == (one == other)


@pytest.mark.parametrize("value", [Fraction(-1), Fraction(1, 3), Fraction(1_000_000)])
def test_what_has_no_safe_words_is_refused(value: Fraction) -> None:
    """A negative, endless or huge number has no words; nothing is rounded to get some."""
    with pytest.raises(ValueError, match=r"."):
        ENGLISH.write_in_words(value)
