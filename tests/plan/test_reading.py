"""Claims about the reading rule, against printed answers. W numbers are rows of section 3.1 of the project's facts.

MD0904 is US Army, Pharmacology Math for the Practical Nurse; MD0802 is US Army, Pharmaceutical Calculations.
"""

from __future__ import annotations

import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.catalogue.model import ScaleName
from fillcards.plan.reading import is_measurable, list_stops, measure_draw_ml, measure_line, order_draws
from fillcards.quantities import Quantity, Unit, convert_dose_to_volume_ml

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import dose, make_fill, make_mixed, make_other, make_regimen, make_syringe, strength


@pytest.mark.parametrize(
    ("dose_text", "strength_text", "volume_ml"),
    [
        pytest.param("16 units", "100 units/mL", "0.16", id="W2 MD0904 p 2-36"),
        pytest.param("20 units", "100 units/mL", "0.2", id="W3 MD0904 p 2-36"),
        pytest.param("30 units", "100 units/mL", "0.3", id="W4 MD0904 p 2-36"),
        pytest.param("60 units", "100 units/mL", "0.6", id="W8 question MD0802 p 1-73, answer derived"),
        pytest.param("12 units", "100 units/mL", "0.12", id="W16 question bank, secondary"),
        pytest.param("17 units", "100 units/mL", "0.17", id="W14 public question bank, secondary"),
        pytest.param("200 units", "500 units/mL", "0.4", id="W18 secondary; the same by W19, dose/500"),
        pytest.param("11000 units", "20000 units/mL", "0.55", id="W7 MD0904 p 2-35"),
        pytest.param("15000 units", "20000 units/mL", "0.75", id="W6 MD0904 p 2-34"),
        pytest.param("5000 units", "40000 units/mL", "0.125", id="W5 MD0904 p 2-34, before its rounding to 0.13"),
        pytest.param("50 mg", "100 mg/mL", "0.5", id="W17 question bank, secondary"),
    ],
)
def test_volume_agrees_with_printed_answer(dose_text: str, strength_text: str, volume_ml: str) -> None:
    """A dose and a strength give the volume the handbook prints, exactly."""
    assert convert_dose_to_volume_ml(dose(dose_text), strength(strength_text)) == Fraction(volume_ml)


@pytest.mark.parametrize(
    ("dose_text", "strength_text", "scale", "line"),
    [
        pytest.param("16 units", "100 units/mL", ScaleName.U_100, "16", id="W1 MD0904 p 2-35"),
        pytest.param("16 units", "100 units/mL", ScaleName.ML, "0.16", id="W2 MD0904 p 2-36, tuberculin syringe"),
        pytest.param("0.25 mL", "100 units/mL", ScaleName.U_100, "25", id="W20 secondary"),
        pytest.param("0.05 mL", "100 units/mL", ScaleName.U_100, "5", id="W21 FDA alert of 2024 as reported"),
        pytest.param("200 units", "500 units/mL", ScaleName.U_500, "200", id="u500-syringe-steps"),
        pytest.param("200 units", "500 units/mL", ScaleName.U_100, "40", id="W18: 40 marks of U-100, historic, unsafe"),
        pytest.param("0.25 mg", "2.5 mg/mL", ScaleName.U_100, "10", id="worked by hand"),
        pytest.param("250 mcg", "2.5 mg/mL", ScaleName.U_100, "10", id="the same in mcg, SI prefixes"),
    ],
)
def test_line_agrees_with_printed_answer(dose_text: str, strength_text: str, scale: ScaleName, line: str) -> None:
    """A dose, a strength and a scale give the line the source prints, exactly."""
    assert measure_line(dose(dose_text), strength(strength_text), scale) == Fraction(line)


def test_u100_insulin_on_ten_marks_of_u40_is_twenty_five_units() -> None:
    """A U-40 barrel gives 2.5 times U-100 insulin (u40-veterinary, exact by arithmetic)."""
    assert measure_line(dose("25 units"), strength("100 units/mL"), ScaleName.U_40) == 10


# mL in one unit, as printed in section 3 of the facts; typed here, not taken from the package.
_ML_PER_UNIT = {ScaleName.U_40: "0.025", ScaleName.U_100: "0.01", ScaleName.U_500: "0.002", ScaleName.ML: "1"}


@given(
    tenths=st.integers(1, 9_999),
    unit_strength=st.sampled_from((40, 100, 500)),
    scale=st.sampled_from(tuple(ScaleName)),
)
def test_line_agrees_with_a_naive_oracle(tenths: int, unit_strength: int, scale: ScaleName) -> None:
    """The line is (dose times mL in one unit of the insulin) divided by mL in one number of the scale."""
    ml_in_unit = {40: "0.025", 100: "0.01", 500: "0.002"}[unit_strength]
    expected = Decimal(tenths) / 10 * Decimal(ml_in_unit) / Decimal(_ML_PER_UNIT[scale])
    found = measure_line(
        Quantity(Fraction(tenths, 10), Unit.UNITS), Quantity(Fraction(unit_strength), Unit.UNITS_PER_ML), scale
    )
    assert found == Fraction(expected)


def test_dose_in_mg_needs_its_strength() -> None:
    """No strength is ever assumed."""
    with pytest.raises(ValueError, match="needs a strength"):
        measure_line(dose("1 mg"), None, ScaleName.U_100)


@pytest.mark.parametrize(
    ("amount", "of", "is_known"),
    [
        ("8 units", "100 units/mL", True),
        ("0.25 mg", "2.5 mg/mL", True),
        ("1 mL", None, True),
        ("8 units", "2.5 mg/mL", False),
        ("1 mg", None, False),
    ],
)
def test_a_volume_is_known_only_from_a_strength_of_the_same_kind(amount: str, of: str | None, is_known: bool) -> None:
    """What has no volume is told as such, before anything is worked out of it."""
    regimen = make_regimen(make_fill(a=amount), medicines=(make_other("a", "sample medicine", of),))
    assert is_measurable(regimen.fills[0].draws[0], regimen) is is_known


def test_clear_is_drawn_first_whatever_the_file_says() -> None:
    """Clear before cloudy (common practice, no source; told alike in nursing-mixing-pages)."""
    regimen = make_regimen(make_fill(cloudy="12 units", clear="6 units"))
    assert [draw.medicine for draw in order_draws(regimen.fills[0], regimen)] == ["clear", "cloudy"]


def test_second_stop_is_the_sum() -> None:
    """W13 (public question bank): 6 and 18 stop at 6 and 24."""
    regimen = make_mixed("6 units", "18 units")
    assert list_stops(regimen.fills[0], regimen) == (Fraction(6), Fraction(24))


def test_volume_is_known_without_strength_for_a_dose_in_ml() -> None:
    """A dose in mL is its own volume."""
    regimen = make_regimen(
        make_fill(syrup="2.5 mL"),
        medicines=(make_other("syrup", "sample syrup", None),),
        syringe=make_syringe(ScaleName.ML, "5", "0.2"),
    )
    assert measure_draw_ml(regimen.fills[0].draws[0], regimen) == Fraction(5, 2)
