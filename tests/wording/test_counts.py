"""How to count to a line: the words lead a reader, counting by hand, to the line meant."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from support.plans import CLEAR, EXAMPLES, U100_HALF_ML, make_plans, make_syringe

from fillcards.geometry import LineCount, count_to
from fillcards.plan.model import Plan
from fillcards.wording.english.counts import write_count, write_how_to_read

WEEKLY = EXAMPLES["weekly"].medicines[0]
THINNER = EXAMPLES["units on mL"].medicines[0]


def make_count(value: str, from_number: str, lines: int, line_every: str, *, all_short: bool = True) -> LineCount:
    """A count, written shortly."""
    return LineCount(Fraction(value), Fraction(from_number), lines, Fraction(line_every), all_short)


def test_units_past_a_number() -> None:
    """The form the design gives: lines past a number, and what one line is worth."""
    count = make_count("18", "15", 3, "1")
    assert write_count(count, CLEAR, U100_HALF_ML) == ("3 short lines past 15.", "Each line is 1 unit.")


def test_a_numbered_line_is_named() -> None:
    """Where the number itself stands, nothing is counted."""
    count = make_count("15", "15", 0, "1")
    assert write_count(count, CLEAR, U100_HALF_ML) == ("It is the line with the number 15.",)


def test_half_units() -> None:
    """A half-unit scale says so in words, and calls no line short: barrels differ in which they make longer."""
    syringe = make_syringe("U-100", "0.3", "0.5")
    count = make_count("5.5", "5", 1, "0.5")
    assert write_count(count, CLEAR, syringe) == ("1 line past 5.", "Each line is half a unit.")
    assert "Count every line, short or long." in write_how_to_read(CLEAR, syringe)


def test_ml() -> None:
    """An mL scale counts in mL, with the zero before the point."""
    syringe = make_syringe("mL", "3", "0.1")
    count = make_count("0.7", "0.5", 2, "0.1")
    assert write_count(count, THINNER, syringe) == ("2 short lines past 0.5.", "Each line is 0.1 mL.")


def test_a_medicine_in_mg_never_counts_units() -> None:
    """On a unit scale a line of another medicine is worth a number, not units: a line is not a dose."""
    sentences = write_count(make_count("18", "15", 3, "1"), WEEKLY, U100_HALF_ML)
    assert sentences == ("3 short lines past 15.", "Each line counts 1.")
    assert "unit" not in " ".join(sentences)


def test_long_lines_count_too() -> None:
    """Where a long line without a number lies on the way, the words do not say "short"."""
    count = make_count("17", "10", 7, "1", all_short=False)
    assert write_count(count, CLEAR, U100_HALF_ML)[0] == "7 lines past 10, short and long."


def test_a_single_long_line_is_called_long() -> None:
    """Numbered every 4 with a long line every 5, the line of 5 is one long line past 4, and nothing is short."""
    syringe = replace(U100_HALF_ML, numbered_every=Fraction(4))
    assert write_count(count_to(syringe, Fraction(5)), CLEAR, syringe)[0] == "1 long line past 4."
    assert write_count(count_to(syringe, Fraction(6)), CLEAR, syringe)[0] == "2 lines past 4, short and long."


def test_the_way_to_count_is_away_from_the_needle() -> None:
    """Counting goes away from the needle, from the edge nearest to it; by mouth there is no needle."""
    syringe = EXAMPLES["by mouth"].syringe
    assert "needle" in " ".join(write_how_to_read(CLEAR, syringe))
    by_mouth = EXAMPLES["by mouth"].medicines[0]
    assert "needle" not in " ".join(write_how_to_read(by_mouth, syringe))


@given(make_plans())
def test_counting_by_the_words_reaches_the_stop(plan: Plan) -> None:
    """A reader who takes the numbers of the two sentences and counts arrives at the stop, on every scale."""
    syringe = plan.regimen.syringe
    for draw in plan.fills[0].draws:
        first, *rest = write_count(draw.count, draw.medicine, syringe)
        if not rest:
            assert Fraction(first.removesuffix(".").split()[-1]) == draw.stop_line
            continue
        told = re.match(r"(\d+) (?:short )?lines? past (the zero line|[\d.]*\d)", first)
        assert told is not None
        start = Fraction(0) if told[2] == "the zero line" else Fraction(told[2])
        numbers = re.findall(r"[\d.]*\d", rest[0])
        each = Fraction(numbers[0]) if numbers else Fraction(1, 2)
        assert start + int(told[1]) * each == draw.stop_line


@pytest.mark.parametrize("lines", [1, 2])
def test_one_line_is_singular(lines: int) -> None:
    """One line is a line."""
    count = make_count(str(15 + lines), "15", lines, "1")
    assert ("1 short line past" in write_count(count, CLEAR, U100_HALF_ML)[0]) == (lines == 1)
