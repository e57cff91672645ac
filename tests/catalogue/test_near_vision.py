"""Near acuity against published tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.catalogue.near_vision import (
    NearAcuity,
    measure_line_separation_mm,
    measure_threshold_height_mm,
    parse_near_acuity,
)
from fillcards.quantities import QuantityError

# near-acuity-table: fraction, M, height in mm printed. It takes 1.5 mm a M where 5 minutes of arc give 1.454: 3.1 %.
NEAR_TABLE_40_CM = [
    ("6/15", 1, 1.50),
    ("6/24", 1.6, 2.40),
    ("6/30", 2, 3.00),
    ("6/60", 4, 6.00),
    ("6/75", 5, 7.50),
    ("6/150", 10, 15.00),
]


def test_height_of_1_m() -> None:
    """A letter of 1 M at 1 m is 1.4544 mm high (m-unit prints 1.454)."""
    assert measure_threshold_height_mm(parse_near_acuity("1 M at 100 cm")) == pytest.approx(1.4544, abs=1e-4)


@pytest.mark.parametrize(("fraction", "m_units", "printed_mm"), NEAR_TABLE_40_CM)
def test_near_table(fraction: str, m_units: float, printed_mm: float) -> None:
    """Heights agree with the printed table within its rounding, and fraction and M units with each other."""
    by_fraction = parse_near_acuity(f"{fraction} at 40 cm")
    by_m_units = parse_near_acuity(f"{m_units} M at 40 cm")
    assert measure_threshold_height_mm(by_fraction) == pytest.approx(printed_mm, rel=0.032)
    assert by_m_units.logmar == pytest.approx(by_fraction.logmar, abs=1e-9)


@pytest.mark.parametrize(
    ("logmar", "fraction"), [("0.3", "20/40"), ("0.7", "20/100"), ("1", "20/200"), ("1.3", "20/400")]
)
def test_logmar_of_fractions(logmar: str, fraction: str) -> None:
    """LogMAR and fraction stand beside each other as in the printed table (near-acuity-table)."""
    written = parse_near_acuity(f"{logmar} logMAR at 40 cm").logmar
    assert written == pytest.approx(parse_near_acuity(f"{fraction} at 40 cm").logmar, abs=0.005)


# near-acuity-table and colenbrander-near, worked: logMAR, distance in cm, height in mm, M.
@pytest.mark.parametrize(
    ("text", "height_mm", "m_units"),
    [
        ("0.3 logMAR at 40 cm", 1.16, 0.80),
        ("0.5 logMAR at 40 cm", 1.84, 1.26),
        ("0.7 logMAR at 40 cm", 2.916, 2.005),
        ("1 logMAR at 40 cm", 5.818, 4.00),
        ("1 logMAR at 25 cm", 3.64, 2.50),
    ],
)
def test_worked_conversions(text: str, height_mm: float, m_units: float) -> None:
    """The worked table of acuity, height and M comes out (derived from m-unit and colenbrander-near)."""
    height = measure_threshold_height_mm(parse_near_acuity(text))
    assert height == pytest.approx(height_mm, rel=0.003)
    assert height / 1.454 == pytest.approx(m_units, rel=0.006)


def test_critical_x_height_of_normal_readers() -> None:
    """An x-height of 0.2 degrees at 40 cm is 1.4 mm (legge-2011): 12 minutes of arc, so a letter of MAR 2.4."""
    acuity = NearAcuity("", math.log10(12 / 5), 400)
    assert measure_threshold_height_mm(acuity) == pytest.approx(1.4, rel=0.01)


@pytest.mark.parametrize(
    ("period_mm", "logmar"), [(1.367, 0.77), (0.684, 0.47), (0.860, 0.57), (0.570, 0.39), (1.140, 0.69)]
)
def test_lines_that_can_be_told_apart(period_mm: float, logmar: float) -> None:
    """Lines of the standard's shortest scales are just told apart at these acuities (grating-acuity)."""
    assert measure_line_separation_mm(NearAcuity("", logmar, 400)) == pytest.approx(period_mm, rel=0.02)


def test_decimal_is_the_fraction() -> None:
    """A decimal acuity of 0.2 is 20/100 and 6/30."""
    values = [parse_near_acuity(f"{text} at 40 cm").logmar for text in ("0.2", "20/100", "6/30")]
    assert values == pytest.approx([math.log10(5)] * 3)


def test_text_distance_and_reserve_are_kept() -> None:
    """What was written is kept word for word, the distance in mm, the reserve as given, else 2 (cheong-2002)."""
    assert parse_near_acuity("20/100 at 40 cm", 3) == NearAcuity("20/100 at 40 cm", math.log10(5), 400, 3)
    assert parse_near_acuity("20/100 at 40 cm").reserve == 2


@pytest.mark.parametrize(
    "text",
    [
        "",
        "20/100",
        "20/100 at 40",
        "20/100 at 16 in",
        "20/100  at 40 cm",
        "20/100 at 400 mm",
        "20 / 100 at 40 cm",
        "10/100 at 40 cm",
        "20/ at 40 cm",
        "20/0 at 40 cm",
        "20/100-2 at 40 cm",
        "20/100 at 0 cm",
        "20/100 at 4 cm",
        "20/100 at 200 cm",
        "20/5 at 40 cm",
        "20/4000 at 40 cm",
        "0.70 logMAR at 40 cm",
        "-0.1 logMAR at 40 cm",
        "0.7 LogMAR at 40 cm",
        "0,2 at 40 cm",
        "2M at 40 cm",
        "N8 at 40 cm",
        "2 m at 40 cm",
        "J5 at 40 cm",
        "٢ M at 40 cm",
        "20/100 at 40 cm at 40 cm",
    ],
)
def test_anything_else_is_refused(text: str) -> None:
    """A near acuity without its distance, in another form or out of reach is refused, never guessed."""
    with pytest.raises(QuantityError) as refusal:
        parse_near_acuity(text)
    assert refusal.value.remedy


@pytest.mark.parametrize("reserve", [0, 0.5, 7, -2, math.nan, math.inf])
def test_reserve_out_of_reach(reserve: float) -> None:
    """Print is never smaller than the threshold, nor larger than six times it."""
    with pytest.raises(QuantityError):
        parse_near_acuity("20/100 at 40 cm", reserve)


@given(denominator=st.integers(10, 2000), distance_cm=st.integers(5, 100))
def test_same_angle_same_page(denominator: int, distance_cm: int) -> None:
    """Height divided by distance depends on the acuity alone."""
    near = parse_near_acuity(f"20/{denominator} at {distance_cm} cm")
    far = parse_near_acuity(f"20/{denominator} at 100 cm")
    assert measure_threshold_height_mm(near) / distance_cm == pytest.approx(measure_threshold_height_mm(far) / 100)
