"""The catalogue's scales against the standards' tables."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.scales import THICKEST_LINE_MM, find_scale, load_scales

# ISO 8537:2007, Table 1 (iso-8537-2007): scale, capacity in mL, least scale length in mm, interval in units; numbers
# by 9.2: every 5 units on 0.3 and 0.5 mL, every 10 on 1 and 2 mL. Typed anew.
ISO_8537_TABLE_1 = [
    ("U-100", "0.3", 41, "0.5", 5),
    ("U-100", "0.3", 41, "1", 5),
    ("U-100", "0.5", 43, "1", 5),
    ("U-100", "1", 57, "1", 10),
    ("U-100", "1", 57, "2", 10),
    ("U-40", "0.5", 43, "0.5", 5),
    ("U-40", "0.5", 43, "1", 5),
    ("U-40", "1", 50, "1", 10),
    ("U-40", "2", 60, "1", 10),
    ("U-40", "2", 60, "2", 10),
]

# ISO 7886-1:1993, Table 1 (iso-7886-1-1993, from memory): capacities from, below, least scale length in mm, greatest
# interval in mL, greatest step between numbers in mL.
ISO_7886_1_TABLE_1 = [
    ("0", "2", 57, "0.05", "0.1"),
    ("2", "5", 27, "0.2", "1"),
    ("5", "10", 36, "0.5", "1"),
    ("10", "20", 44, "1", "5"),
    ("20", "30", 52, "2", "10"),
]

ML_SCALES = [scale for scale in load_scales() if scale.scale is ScaleName.ML]


def make_scale(scale: ScaleName, capacity_ml: str, line_every: int) -> SyringeScale:
    """A row that no catalogue holds, for arithmetic alone."""
    step = Fraction(line_every)
    return SyringeScale(scale, Fraction(capacity_ml), step, step * 5, step * 5, Fraction(40), ("design",))


@pytest.mark.parametrize(("scale", "capacity", "length_mm", "interval", "numbered"), ISO_8537_TABLE_1)
def test_every_row_of_iso_8537_table_1(scale: str, capacity: str, length_mm: int, interval: str, numbered: int) -> None:
    """Each row of the standard is in the catalogue with the standard's length and numbers."""
    row = find_scale(load_scales(), ScaleName(scale), Fraction(capacity), Fraction(interval))
    assert row is not None
    assert [row.shortest_scale_length_mm, row.numbered_every] == [length_mm, numbered]


def test_no_unit_scale_beyond_the_standard_but_u_500() -> None:
    """The catalogue has no unit scale but those of ISO 8537:2007 and the U-500 syringe; others are a user's own."""
    known = {(scale, Fraction(capacity), Fraction(interval)) for scale, capacity, _, interval, _ in ISO_8537_TABLE_1}
    ours = {(row.scale.value, row.capacity_ml, row.line_every) for row in load_scales() if row not in ML_SCALES}
    assert ours - known == {("U-500", Fraction("0.5"), Fraction(5))}


@pytest.mark.parametrize("row", ML_SCALES, ids=lambda row: f"{row.capacity_ml} mL")
def test_ml_scales_within_iso_7886_1_table_1(row: SyringeScale) -> None:
    """Length, interval and numbers of each scale in mL keep to the limits of its class of capacity."""
    limits = next(limit for limit in ISO_7886_1_TABLE_1 if Fraction(limit[0]) <= row.capacity_ml < Fraction(limit[1]))
    assert row.shortest_scale_length_mm == limits[2]
    assert row.line_every <= Fraction(limits[3])
    assert row.numbered_every <= Fraction(limits[4])


@pytest.mark.parametrize(
    ("capacity", "interval"), [("1", "0.01"), ("3", "0.1"), ("5", "0.2"), ("10", "0.2"), ("20", "1")]
)
def test_ml_lines_in_common_use(capacity: str, interval: str) -> None:
    """The scales in mL have the lines that nursing and trade pages name (ml-syringe-practice)."""
    assert find_scale(load_scales(), ScaleName.ML, Fraction(capacity), Fraction(interval)) is not None


@pytest.mark.parametrize(("scale", "units"), [(ScaleName.U_100, 30), (ScaleName.U_40, 12)])
def test_units_in_0_3_ml(scale: ScaleName, units: int) -> None:
    """0.3 mL hold 30 units of U-100 and 12 of U-40 (two patient teaching pages)."""
    assert make_scale(scale, "0.3", 1).last_line == units


def test_u_500_scale() -> None:
    """The U-500 syringe holds 250 units on 50 lines of 5, the first number being 25 (u500-syringe-scale)."""
    row = find_scale(load_scales(), ScaleName.U_500, Fraction("0.5"), Fraction(5))
    assert row is not None
    assert [row.last_line, row.last_line / row.line_every, row.numbered_every] == [250, 50, 25]


@pytest.mark.parametrize(("total", "capacity"), [(30, "0.3"), (31, "0.5"), (50, "0.5"), (51, "1")])
def test_smallest_u_100_barrel(total: int, capacity: str) -> None:
    """Up to 30 units fit 0.3 mL, up to 50 fit 0.5 mL, more take 1 mL (u100-syringe-practice)."""
    barrels = [row for row in load_scales() if row.scale is ScaleName.U_100 and row.last_line >= total]
    assert min(row.capacity_ml for row in barrels) == Fraction(capacity)


def test_thickness_of_lines() -> None:
    """Lines are at most 0.4 mm thick (iso-8537-2007, 9.1)."""
    assert str(THICKEST_LINE_MM) == "2/5"


def test_unknown_scale_is_not_found() -> None:
    """A scale the catalogue does not have is not replaced by a near one: no U-100 barrel of 0.5 mL has 2-unit lines."""
    assert find_scale(load_scales(), ScaleName.U_100, Fraction("0.5"), Fraction(2)) is None
