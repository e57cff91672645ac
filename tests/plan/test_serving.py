"""Claims about which syringes serve."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.scales import load_scales
from fillcards.plan.reading import find_serving_scales, is_counted_in_units, list_allowed_scales, write_scale
from fillcards.regimen.model import Medicine, Regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, make_fill, make_insulin, make_mixed, make_other, make_regimen, make_syringe

OTHER = make_other("b", "another medicine", "2.5 mg/mL")


def find_for(regimen: Regimen) -> tuple[SyringeScale, ...]:
    """The serving scales of the catalogue."""
    return find_serving_scales(regimen, regimen.fills, load_scales())


@pytest.mark.parametrize(("total", "capacity_ml"), [(30, "0.3"), (31, "0.5"), (50, "0.5"), (51, "1")])
def test_smallest_barrel_by_published_table(total: int, capacity_ml: str) -> None:
    """Up to 30 units 0.3 mL, to 50 units 0.5 mL, above 1 mL (u100-syringe-practice)."""
    serving = find_for(make_regimen(make_fill(clear=f"{total} units"), syringe=make_syringe(capacity_ml="1")))
    assert str(serving[0].capacity_ml) == str(make_syringe(capacity_ml=capacity_ml).capacity_ml)


def test_odd_dose_is_on_no_two_unit_scale() -> None:
    """37 units are on no line of 2 units; a 0.5 mL barrel has the line."""
    serving = find_for(make_regimen(make_fill(clear="37 units"), syringe=make_syringe(capacity_ml="1", line_every=2)))
    assert [(row.capacity_ml, row.line_every) for row in serving] == [
        (Fraction(1, 2), Fraction(1)),
        (Fraction(1), Fraction(1)),
    ]


def test_insulin_is_served_by_the_scale_of_its_strength_only() -> None:
    """U-40 insulin on U-40 scales only (u40-veterinary)."""
    regimen = make_regimen(
        make_fill(clear="12 units"), medicines=(make_insulin("clear", "insulin regular", "40 units/mL"),)
    )
    assert {row.scale for row in find_for(regimen)} == {ScaleName.U_40}


def test_other_units_are_served_by_ml_only() -> None:
    """Units of heparin are no lines of an insulin syringe."""
    heparin = make_other("heparin", "heparin", "20000 units/mL")
    regimen = make_regimen(make_fill(heparin="11000 units"), medicines=(heparin,))
    assert list_allowed_scales(heparin, regimen) == {ScaleName.ML}
    assert [(row.scale, row.capacity_ml) for row in find_for(regimen)] == [(ScaleName.ML, Fraction(1))]


def test_lines_are_compared_in_the_scale_that_is_tried() -> None:
    """0.25 mg of 2.5 mg/mL is 0.1 mL: line 10 of U-100 and the 0.1 mL line of an mL barrel."""
    regimen = make_regimen(
        make_fill(weekly="0.25 mg"), medicines=(make_other("weekly", "sample medicine", "2.5 mg/mL"),)
    )
    assert {(row.scale, str(row.capacity_ml)) for row in find_for(regimen)} >= {
        (ScaleName.U_100, "3/10"),
        (ScaleName.ML, "1"),
        (ScaleName.ML, "3"),
    }


@pytest.mark.parametrize(
    ("medicine", "amount", "allowed"),
    [
        (make_insulin("a", "insulin regular", "100 units/mL"), "8 units", {ScaleName.U_100}),
        (make_insulin("a", "insulin regular", "40 units/mL"), "8 units", {ScaleName.U_40}),
        (make_insulin("a", "insulin regular concentrated", "500 units/mL"), "8 units", {ScaleName.U_500}),
        (make_insulin("a", "insulin regular", "80 units/mL"), "8 units", set()),
        (make_insulin("a", "insulin regular", "100 mg/mL"), "8 units", set()),
        (make_insulin("a", "insulin regular", strength=None), "8 units", set()),
        (make_other("a", "heparin", "5000 units/mL"), "1 mL", {ScaleName.ML}),
        (make_other("a", "sample medicine", "100 mg/mL"), "8 units", {ScaleName.ML}),
        (make_other("a", "sample medicine", None), "8 units", {ScaleName.ML}),
        (make_other("a", "sample medicine", "2.5 mg/mL"), "1 mg", {ScaleName.ML, ScaleName.U_40}),
        (make_other("a", "sample medicine", None), "1 mL", {ScaleName.ML, ScaleName.U_40}),
    ],
)
def test_scales_a_medicine_may_be_measured_on(medicine: Medicine, amount: str, allowed: set[ScaleName]) -> None:
    """On a file that names a U-40 syringe: units in dose or strength keep it off unit scales."""
    syringe = make_syringe(ScaleName.U_40, "1", 1)
    regimen = make_regimen(make_fill(a=amount, b="2 mg"), medicines=(medicine, OTHER), syringe=syringe)
    assert list_allowed_scales(medicine, regimen) == allowed


def test_units_of_another_medicine_do_not_count() -> None:
    """Whether a medicine is counted in units is told by its own doses, in any fill."""
    regimen = make_regimen(make_fill(b="2 mg"), make_fill("before supper", clear="8 units"), medicines=(OTHER, CLEAR))
    assert not is_counted_in_units(OTHER, regimen)
    later = make_fill("before supper", b="2 units")
    assert is_counted_in_units(OTHER, make_regimen(make_fill(clear="8 units"), later, medicines=(OTHER, CLEAR)))


def test_smallest_first_then_fewest_lines() -> None:
    """By capacity; of two alike, the wider spacing first (Keith 2004: half-unit lines were no more exact)."""
    regimen = make_regimen(make_fill(clear="10 units"))
    assert [(float(row.capacity_ml), float(row.line_every)) for row in find_for(regimen)] == [
        (0.3, 1),
        (0.3, 0.5),
        (0.5, 1),
        (1, 2),
        (1, 1),
    ]


def test_a_scale_must_suit_both_medicines_of_a_fill() -> None:
    """Insulin goes on its unit scale, units of heparin on mL: no syringe serves both."""
    heparin = make_other("b", "heparin", "100 units/mL")
    assert find_for(make_regimen(make_fill(clear="8 units", b="8 units"), medicines=(CLEAR, heparin))) == ()


def test_a_fill_without_a_volume_is_served_by_none() -> None:
    """One dose that cannot be measured is enough; nothing is offered for it."""
    unknown = make_other("b", "sample medicine", None)
    regimen = make_regimen(make_fill(clear="8 units", b="2 mg"), medicines=(CLEAR, unknown))
    assert find_for(regimen) == ()


@pytest.mark.parametrize(
    ("scale", "capacity_ml", "line_every", "words"),
    [
        (ScaleName.U_100, "0.3", "0.5", "0.3 mL U-100 with a line every 0.5 units"),
        (ScaleName.U_100, "0.5", "1", "0.5 mL U-100 with a line every 1 unit"),
        (ScaleName.U_100, "1", "2", "1 mL U-100 with a line every 2 units"),
        (ScaleName.ML, "1", "0.01", "1 mL with a line every 0.01 mL"),
        (ScaleName.ML, "20", "1", "20 mL with a line every 1 mL"),
    ],
)
def test_a_syringe_in_words(scale: ScaleName, capacity_ml: str, line_every: str, words: str) -> None:
    """Capacity, scale and spacing, as one would ask for it; an mL scale needs no name."""
    assert write_scale(make_syringe(scale, capacity_ml, line_every)) == words


def test_both_fills_must_be_served() -> None:
    """A syringe too small for one of the fills does not serve."""
    regimen = make_regimen(make_fill(clear="8 units"), make_fill("before supper", clear="44 units"))
    assert min(row.capacity_ml for row in find_for(regimen)) == make_syringe().capacity_ml


def test_air_of_each_dose_must_be_on_a_line() -> None:
    """Two halves make a whole sum, but not whole air: only a half-unit barrel serves 8.5 and 9.5."""
    assert {str(row.line_every) for row in find_for(make_mixed("8.5 units", "9.5 units"))} == {"1/2"}
    assert {str(row.line_every) for row in find_for(make_mixed("8.5 units", "9 units"))} == {"1/2"}


def test_a_file_that_names_an_ml_syringe_is_served_by_the_same_volume() -> None:
    """0.3 mL is on a line of 0.01 and of 0.1 mL, not of 0.2 or 1 mL."""
    oil = make_other("oil", "sample medicine", None)
    syringe = make_syringe(ScaleName.ML, "5", "0.2")
    serving = find_for(make_regimen(make_fill(oil="0.3 mL"), medicines=(oil,), syringe=syringe))
    assert [row.capacity_ml for row in serving] == [1, 2, 3]
