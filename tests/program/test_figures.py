"""Estimates and sums in words: never flattering, never a trailing zero, never cut."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.quantities import Unit
from fillcards.verbs.answers import align_columns, write_estimate, write_percent, write_span, write_sum

amounts = st.fractions(Fraction(1, 10_000), 9_999)


def read_number(text: str) -> Fraction:
    """The number a text begins with."""
    return Fraction(text.split(maxsplit=1)[0].replace(",", ""))


@given(amounts)
def test_a_limit_is_never_told_too_small(amount: Fraction) -> None:
    """Rounded up, and by less than a tenth of itself or 1."""
    told = read_number(write_estimate(amount, Unit.UNITS, round_up=True))
    assert amount <= told <= amount + max(amount / 10, min(amount, Fraction(1)))


@given(amounts)
def test_a_sum_for_ordering_is_never_told_too_small(amount: Fraction) -> None:
    """Rounded up by less than a hundredth, or a tenth of an amount under 1."""
    assert 0 <= read_number(write_sum(amount, Unit.MG)) - amount < Fraction(1, 100)


@given(amounts)
def test_figures_keep_the_writing_rules(amount: Fraction) -> None:
    """A zero before a point, none at the end, one space before the unit (ISMP list, Joint Commission list)."""
    for text in (write_estimate(amount, Unit.UNITS), write_sum(amount, Unit.MG), write_percent(float(amount))):
        assert re.fullmatch(r"(0|[1-9][0-9]{0,2}(,[0-9]{3})*)(\.[0-9]*[1-9])? (units?|mg|%)", text)


@pytest.mark.parametrize(
    ("amount", "text"), [("1.44", "1.4 units"), ("1.45", "1.5 units"), ("0.999", "1 unit"), ("12.4", "12 units")]
)
def test_estimates_round_half_up(amount: str, text: str) -> None:
    """Two digits, a half going up (the rule of the worked example 0.125 to 0.13, MD0904 page 2-34)."""
    assert write_estimate(Fraction(amount), Unit.UNITS) == text


def test_span() -> None:
    """The published mis-split of 0.033 to 0.065 mL of U-100 as units."""
    assert write_span(Fraction("3.3"), Fraction("6.5"), Unit.UNITS) == "3.3 to 6.5 units"


def test_columns_are_aligned_and_whole() -> None:
    """Each column starts at one place; no cell is cut and no line ends in spaces."""
    lines = align_columns([("a", "bbb", "c"), ("aaaa", "b", "")])
    assert lines == ("  a     bbb  c", "  aaaa  b")
