"""The syringe of a regimen: its keys -> ``Syringe``, matched against the scales that exist. Lengths in mm."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.scales import find_scale
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen import keys
from fillcards.regimen.model import Needle, Syringe
from fillcards.regimen.section import Section

LONGEST_SCALE_FACTOR: Final = Fraction(2)
"""A scale over twice the standard's shortest length is taken for a measuring error. Common practice, no source: the
one measured barrel in our facts is 1.4 times as long as its standard asks."""


def build_syringe(section: Section, scales: tuple[SyringeScale, ...]) -> Syringe | None:
    """The syringe, or ``None`` where something about it was noted as a problem."""
    scale = section.read(keys.SCALE)
    capacity = section.read(keys.CAPACITY)
    line_every = _require_unit(section, keys.LINE_EVERY, scale)
    numbered_every = _require_unit(section, keys.NUMBERED_EVERY, scale)
    scale_length = section.read(keys.SCALE_LENGTH)
    needle = section.read(keys.NEEDLE)
    if scale is None or capacity is None or line_every is None:
        return None
    row = find_scale(scales, scale, capacity.amount, line_every.amount)
    if row is None:
        _note_no_such_scale(section, scale, capacity, line_every, scales)
        return None
    _check_numbers(section, row, numbered_every)
    _check_length(section, row, scale_length)
    if needle is None:
        return None
    return Syringe(
        scale=scale,
        capacity_ml=row.capacity_ml,
        line_every=row.line_every,
        numbered_every=numbered_every.amount if numbered_every else row.numbered_every,
        long_every=row.long_every,
        shortest_scale_length_mm=row.shortest_scale_length_mm,
        scale_length_mm=scale_length.amount if scale_length else None,
        needle=needle,
        place=section.place,
        places=section.places,
    )


def _require_unit(section: Section, key: keys.Key[Quantity], scale: ScaleName | None) -> Quantity | None:
    """An amount in the unit of the scale's own numbers."""
    quantity = section.read(key)
    if quantity is None or scale is None:
        return quantity
    unit = Unit.ML if scale is ScaleName.ML else Unit.UNITS
    if quantity.unit is unit:
        return quantity
    expected = f"an amount in {unit}: a {scale.value} scale counts {unit}"
    section.note("QTY-004", section.find_place(key), f'"{quantity}"', expected, "read the barrel again")
    return None


def _note_no_such_scale(
    section: Section, scale: ScaleName, capacity: Quantity, line_every: Quantity, scales: tuple[SyringeScale, ...]
) -> None:
    """Name the rows that exist: for that capacity if there are any, else for that scale."""
    same_scale = [row for row in scales if row.scale is scale]
    same_capacity = [row for row in same_scale if row.capacity_ml == capacity.amount]
    rows = "; ".join(write_row(row) for row in same_capacity or same_scale) or "none of this scale"
    key = keys.LINE_EVERY if same_capacity else keys.CAPACITY
    found = f"a {scale.value} syringe of {capacity} with a line every {line_every}"
    remedy = "read capacity and lines on the barrel again; a syringe that is not listed goes into a syringes file"
    section.note("SYRINGE-001", section.find_place(key), found, f"one of these syringes: {rows}", remedy)


def write_row(row: SyringeScale) -> str:
    """A scale for a message, such as ``0.5 mL with a line every 1 unit``."""
    unit = Unit.ML if row.scale is ScaleName.ML else Unit.UNITS
    line = write_quantity(Quantity(row.line_every, unit))
    return f"{write_number(row.capacity_ml)} mL with a line every {line}"


def _check_numbers(section: Section, row: SyringeScale, numbered_every: Quantity | None) -> None:
    if numbered_every is None:
        return
    amount = numbered_every.amount
    if amount % row.line_every or row.last_line % amount:
        unit = row.scale.unit_word
        expected = (
            f"steps that fall on lines (every {write_number(row.line_every)}) and end at the last line "
            f"({write_number(row.last_line)} {unit}), such as {write_number(row.numbered_every)}"
        )
        remedy = "read on the barrel from one printed number to the next"
        section.note("SYRINGE-002", section.find_place(keys.NUMBERED_EVERY), f'"{numbered_every}"', expected, remedy)


def _check_length(section: Section, row: SyringeScale, scale_length: Quantity | None) -> None:
    if scale_length is None:
        return
    shortest = row.shortest_scale_length_mm
    longest = shortest * LONGEST_SCALE_FACTOR
    if not shortest <= scale_length.amount <= longest:
        expected = f"{write_number(shortest)} mm (the standard's least) to {write_number(longest)} mm"
        remedy = "measure again from the zero line to the last line in mm, or delete the line"
        section.note("SYRINGE-003", section.find_place(keys.SCALE_LENGTH), f'"{scale_length}"', expected, remedy)


def check_needle(section: Section, needle: Needle | None, by_mouth: tuple[bool, ...]) -> None:
    """An oral syringe takes no needle, and an injection needs one."""
    if needle is None or not by_mouth:
        return
    if needle is Needle.NONE and not all(by_mouth):
        expected = "fixed or detachable, for a medicine that is injected"
        remedy = "look at the syringe; none is for an oral syringe"
    elif needle is not Needle.NONE and all(by_mouth):
        expected = "none, for a medicine by mouth"
        remedy = "use an oral syringe, which takes no needle: oral medicine in an injection syringe has been injected"
    else:
        return
    section.note("SYRINGE-004", section.find_place(keys.NEEDLE), f'"{needle.value}"', expected, remedy)
