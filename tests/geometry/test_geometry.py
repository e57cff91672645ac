"""The barrel in mm against the standard's table, published measures and plain arithmetic."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.pictures import ALL_SYRINGES, make_syringe

from fillcards.geometry import count_to, is_on_line, measure_bore_mm, place_lines
from fillcards.regimen.model import Syringe


@pytest.mark.parametrize(
    ("capacity_ml", "line_every", "shortest_mm"), [("0.3", "1", 41), ("0.5", "1", 43), ("1", "1", 57)]
)
def test_last_line_lies_at_the_shortest_length_the_standard_allows(
    capacity_ml: str, line_every: str, shortest_mm: int
) -> None:
    """U-100 scales of 0.3, 0.5 and 1 mL are at least 41, 43 and 57 mm long (ISO 8537:2007, Table 1)."""
    syringe = make_syringe("U-100", capacity_ml, line_every)
    assert place_lines(syringe, syringe.shortest_scale_length_mm)[-1].distance_mm == shortest_mm


@pytest.mark.parametrize(
    ("capacity_ml", "value", "distance_mm"), [("0.3", 10, 13.667), ("0.5", 25, 21.5), ("1", 50, 28.5)]
)
def test_distance_follows_from_the_length_of_the_scale(capacity_ml: str, value: int, distance_mm: float) -> None:
    """Distance is the value's part of the scale (arithmetic on the lengths of ISO 8537:2007, Table 1)."""
    syringe = make_syringe("U-100", capacity_ml, "1")
    placed = {line.value: line.distance_mm for line in place_lines(syringe, syringe.shortest_scale_length_mm)}
    assert placed[Fraction(value)] == pytest.approx(distance_mm, abs=0.001)


@pytest.mark.parametrize(
    ("capacity_ml", "scale_length_mm", "bore_mm"),
    [("0.3", 41, 3.05), ("0.5", 43, 3.85), ("1", 57, 4.73), ("1", 50, 5.05)],
)
def test_bore_is_that_of_a_cylinder(capacity_ml: str, scale_length_mm: int, bore_mm: float) -> None:
    """Widest bores that reach the standard's lengths: V = pi d^2 / 4 L over ISO 8537:2007, Table 1."""
    assert measure_bore_mm(Fraction(capacity_ml), scale_length_mm) == pytest.approx(bore_mm, abs=0.005)


def test_bore_of_1_ml_agrees_with_published_barrels() -> None:
    """Public syringe-pump code gives 4.7 mm for a 1 mL plastic barrel; the standard's length asks for 4.73 mm."""
    assert measure_bore_mm(1, 57) == pytest.approx(4.7, rel=0.01)


def test_scale_of_10_ml_agrees_with_a_measured_one() -> None:
    """At the published 14.4 mm bore, 10 mL are 61.4 mm long; the measured scale is 60 mm, within 2.5 %."""
    assert measure_bore_mm(10, 61.4) == pytest.approx(14.4, abs=0.005)
    assert measure_bore_mm(10, 60) == pytest.approx(14.4, rel=0.025)


@pytest.mark.parametrize(("capacity_ml", "numbered_every"), [("0.3", 5), ("0.5", 5), ("1", 10)])
def test_numbers_stand_where_the_standard_puts_them(capacity_ml: str, numbered_every: int) -> None:
    """Every 5 units on 0.3 and 0.5 mL, every 10 on 1 mL (ISO 8537:2007, 9.2)."""
    syringe = make_syringe("U-100", capacity_ml, "1")
    numbers = [line.number for line in place_lines(syringe, 100) if line.number]
    assert numbers == [str(value) for value in range(0, int(syringe.last_line) + 1, numbered_every)]


def test_half_millilitre_of_100_units_per_ml_holds_50_lines() -> None:
    """A 0.5 mL U-100 barrel ends at 50, long lines every 5 (common practice, no source)."""
    lines = place_lines(make_syringe("U-100", "0.5", "1"), 43)
    assert (len(lines), lines[-1].number) == (51, "50")
    assert [line.value for line in lines if line.is_long] == list(range(0, 51, 5))


def test_concentrated_scale_has_50_lines_of_5_units() -> None:
    """The 0.5 mL U-500 barrel is marked to 250 units in steps of 5 (public medication-safety article)."""
    lines = place_lines(make_syringe("U-500", "0.5", "5"), 43)
    assert [line.value for line in lines] == list(range(0, 251, 5))


@pytest.mark.parametrize(
    ("syringe", "value", "from_number", "lines", "all_short"),
    [
        (("U-100", "0.5", "1"), "18", "15", 3, True),
        (("U-100", "0.5", "1"), "3", "0", 3, True),
        (("U-100", "0.5", "1"), "25", "25", 0, False),
        (("U-100", "0.5", "1"), "50", "50", 0, False),
        (("U-100", "0.3", "0.5"), "4.5", "0", 9, True),
        (("U-100", "0.3", "0.5"), "12.5", "10", 5, True),
        (("U-100", "1", "2"), "34", "30", 2, True),
        (("U-100", "1", "1"), "34", "30", 4, True),
        (("U-100", "1", "1"), "36", "30", 6, False),
        (("U-500", "0.5", "5"), "135", "125", 2, True),
        (("mL", "1", "0.01"), "0.16", "0.1", 6, False),
        (("mL", "1", "0.01"), "0.14", "0.1", 4, True),
        (("mL", "3", "0.1"), "1.4", "1", 4, True),
        (("mL", "5", "0.2"), "2.6", "2", 3, True),
        (("mL", "20", "1"), "13", "10", 3, True),
    ],
)
def test_count_goes_from_the_number_below(
    syringe: tuple[str, str, str], value: str, from_number: str, lines: int, all_short: bool
) -> None:
    """Counting starts at the nearest number toward the needle and says whether a long line is passed."""
    count = count_to(make_syringe(*syringe), Fraction(value))
    assert (count.from_number, count.lines, count.all_short) == (Fraction(from_number), lines, all_short)


def test_count_over_a_long_unit_line_is_not_all_short() -> None:
    """Where every unit has a long line and halves are short, nine half units past 0 are not nine short lines."""
    syringe = replace(make_syringe("U-100", "0.3", "0.5"), long_every=Fraction(1))
    assert not count_to(syringe, Fraction("4.5")).all_short


def test_count_finds_a_number_that_is_on_a_line() -> None:
    """On lines of 2 with numbers every 5 only every tenth line can be numbered: 36 is counted from 30."""
    syringe = replace(make_syringe("U-100", "1", "2"), numbered_every=Fraction(5))
    count = count_to(syringe, Fraction(36))
    assert (count.from_number, count.lines) == (Fraction(30), 3)


@pytest.mark.parametrize("value", ["0", "0.5", "51", "-1", "8.25"])
def test_what_is_on_no_line_is_refused(value: str) -> None:
    """A stop between lines, past the last or at the zero line is never counted to the nearest."""
    syringe = make_syringe("U-100", "0.5", "1")
    assert not is_on_line(syringe, Fraction(value))
    with pytest.raises(ValueError, match="not on a line"):
        count_to(syringe, Fraction(value))


@pytest.mark.parametrize(("capacity_ml", "length_mm"), [(0, 43), (1, 0), (-1, 43)])
def test_no_bore_without_volume_and_length(capacity_ml: int, length_mm: int) -> None:
    """A barrel needs a volume and a length above 0."""
    with pytest.raises(ValueError, match="no bore"):
        measure_bore_mm(capacity_ml, length_mm)


@given(st.sampled_from(ALL_SYRINGES), st.floats(20, 300))
def test_lines_strictly_rise_at_one_distance(syringe: Syringe, length_mm: float) -> None:
    """Lines follow each other at the same distance, the first at 0 and the last at the scale's length."""
    lines = place_lines(syringe, length_mm)
    gap_mm = length_mm / (len(lines) - 1)
    for one, other in pairwise(lines):
        assert other.distance_mm - one.distance_mm == pytest.approx(gap_mm, rel=1e-9)
    assert lines[0].distance_mm == 0
    assert lines[-1].distance_mm == pytest.approx(length_mm)


@given(st.sampled_from(ALL_SYRINGES), st.data())
def test_counting_arrives_at_the_line(syringe: Syringe, data: st.DataObject) -> None:
    """From the number, so many lines of that worth make the value, and no number lies between."""
    index = data.draw(st.integers(1, int(syringe.last_line / syringe.line_every)))
    value = index * syringe.line_every
    count = count_to(syringe, value)
    assert count.from_number + count.lines * count.line_every == value
    assert value - count.from_number < syringe.numbered_every
    numbers = {line.value for line in place_lines(syringe, 1) if line.number}
    assert count.from_number in numbers
