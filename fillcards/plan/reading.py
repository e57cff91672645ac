"""The one reading rule: dose -> volume -> line on the scale; and the order in which two medicines are drawn.

Everything is exact. Lines are in the scale's own numbers (units on a unit scale, mL on an mL scale). Whether a line is
printed on a given barrel, and whether the medicine may go on the scale at all, is for the rules, not for this module.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import accumulate
from typing import NamedTuple

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.quantities import Quantity, Unit, convert_dose_to_volume_ml, write_number
from fillcards.regimen.model import Fill, Medicine, PrescribedDraw, Regimen, Syringe, Weekday


def measure_line(dose: Quantity, strength: Quantity | None, scale: ScaleName) -> Fraction:
    """The line a dose alone reaches, counted from the zero line.

    Args:
        dose: in units, mg, mcg or mL.
        strength: of the vial; needed unless the dose is in mL.
        scale: the scale that is read.

    Returns:
        The exact value of the line, printed or not.

    Units: the scale's own numbers.

    Raises:
        ValueError: if the strength is missing or counts something else than the dose.

    Source: a unit scale has its number of lines in each mL (ISO 8537:2007, words on the barrel).
    """
    return convert_dose_to_volume_ml(dose, strength) * (scale.units_per_ml or 1)


def is_measurable(draw: PrescribedDraw, regimen: Regimen) -> bool:
    """Whether the dose and the strength of its medicine give a volume."""
    try:
        convert_dose_to_volume_ml(draw.dose, regimen.find_medicine(draw.medicine).strength)
    except ValueError:
        return False
    return True


def measure_draw_ml(draw: PrescribedDraw, regimen: Regimen) -> Fraction:
    """Exact volume of one dose in mL.

    Raises:
        ValueError: as ``convert_dose_to_volume_ml``.
    """
    return convert_dose_to_volume_ml(draw.dose, regimen.find_medicine(draw.medicine).strength)


def measure_draw_line(draw: PrescribedDraw, regimen: Regimen) -> Fraction:
    """The line one dose alone reaches on the regimen's syringe; also the line its air is pulled to.

    Raises:
        ValueError: as ``measure_line``.
    """
    return measure_line(draw.dose, regimen.find_medicine(draw.medicine).strength, regimen.syringe.scale)


class MeasuredDraw(NamedTuple):
    """A dose that gives a volume, with its fill."""

    fill: Fill
    draw: PrescribedDraw
    volume_ml: Fraction

    def find_line(self, scale: ScaleName) -> Fraction:
        """The line it reaches alone, in the scale's own numbers."""
        return self.volume_ml * (scale.units_per_ml or 1)


def list_measured(regimen: Regimen) -> Iterator[MeasuredDraw]:
    """Every draw whose dose and strength give a volume, in the file's order; the syringe is not looked at."""
    for fill in regimen.fills:
        for draw in fill.draws:
            if is_measurable(draw, regimen):
                yield MeasuredDraw(fill, draw, measure_draw_ml(draw, regimen))


def order_draws(fill: Fill, regimen: Regimen) -> tuple[PrescribedDraw, ...]:
    """The fill's draws in the order of drawing: clear before cloudy, whatever the file's order.

    Source: common practice, no source beyond nursing-mixing-pages; the clear vial must not receive what
    makes the other one cloudy.
    """
    return tuple(sorted(fill.draws, key=lambda draw: regimen.find_medicine(draw.medicine).is_cloudy))


def list_stops(fill: Fill, regimen: Regimen) -> tuple[Fraction, ...]:
    """Where the reading edge stands after each draw: each stop is the sum of the doses so far.

    Raises:
        ValueError: as ``measure_line``.
    """
    return tuple(accumulate(measure_draw_line(draw, regimen) for draw in order_draws(fill, regimen)))


def list_fill_medicines(fill: Fill, regimen: Regimen) -> tuple[Medicine, ...]:
    """The medicines of a fill in the file's order."""
    return tuple(regimen.find_medicine(draw.medicine) for draw in fill.draws)


class MedicineFills(NamedTuple):
    """A medicine of the file with every fill that draws it.

    Attributes:
        entries: its entries under ``medicines``, one or more.
        fills: those that draw it, in the file's order; never empty.
    """

    entries: tuple[Medicine, ...]
    fills: tuple[Fill, ...]

    @property
    def name(self) -> str:
        """As the card prints it."""
        return self.entries[0].name

    @property
    def days_drawn(self) -> frozenset[Weekday]:
        """The days on which any fill draws it."""
        return frozenset(day for fill in self.fills for day in fill.days_given)

    @property
    def days_stated_without(self) -> frozenset[Weekday]:
        """The days that the file itself states to be without it."""
        return frozenset(day for entry in self.entries for day in entry.none_on)

    def list_fills_on(self, day: Weekday) -> tuple[Fill, ...]:
        """The fills of one day."""
        return tuple(fill for fill in self.fills if day in fill.days_given)


def list_medicine_fills(regimen: Regimen) -> Iterator[MedicineFills]:
    """Each medicine that a fill draws, once, however many keys it has; in the file's order."""
    by_name: dict[str, list[Medicine]] = {}
    for medicine in regimen.medicines:
        by_name.setdefault(medicine.name.casefold(), []).append(medicine)
    for entries in by_name.values():
        keys = {entry.key for entry in entries}
        fills = tuple(fill for fill in regimen.fills if any(draw.medicine in keys for draw in fill.draws))
        if fills:
            yield MedicineFills(tuple(entries), fills)


UNIT_SCALES = (ScaleName.U_100, ScaleName.U_40, ScaleName.U_500)


def list_allowed_scales(medicine: Medicine, regimen: Regimen) -> frozenset[ScaleName]:
    """The scales a medicine may be measured on.

    Insulin: the unit scale of its own strength. Counted in units and no insulin: mL. Anything else: mL, and the scale
    the file names already.
    """
    strength = medicine.strength
    if medicine.is_insulin:
        if strength is None or strength.unit is not Unit.UNITS_PER_ML:
            return frozenset()
        return frozenset(scale for scale in UNIT_SCALES if scale.units_per_ml == strength.amount)
    if is_counted_in_units(medicine, regimen):
        return frozenset({ScaleName.ML})
    return frozenset({ScaleName.ML, regimen.syringe.scale})


def is_counted_in_units(medicine: Medicine, regimen: Regimen) -> bool:
    """Whether the strength or any dose of the medicine is in units."""
    if medicine.strength is not None and medicine.strength.unit is Unit.UNITS_PER_ML:
        return True
    draws = (draw for fill in regimen.fills for draw in fill.draws)
    return any(draw.medicine == medicine.key and draw.dose.unit is Unit.UNITS for draw in draws)


def find_serving_scales(
    regimen: Regimen, fills: Iterable[Fill], scales: tuple[SyringeScale, ...]
) -> tuple[SyringeScale, ...]:
    """The scales on which every one of the fills can be drawn, smallest barrel first, then fewest lines.

    Args:
        regimen: whose medicines and syringe the fills are about.
        fills: those to serve; a fill whose volume is not known is served by none.
        scales: the catalogue, or the user's own rows with it.
    """
    wanted = tuple(fills)
    if not all(is_measurable(draw, regimen) for fill in wanted for draw in fill.draws):
        return ()
    serving = [scale for scale in scales if all(_serves(scale, fill, regimen) for fill in wanted)]
    return tuple(sorted(serving, key=lambda scale: (scale.capacity_ml, -scale.line_every)))


def leaves_room(scale: SyringeScale | Syringe, regimen: Regimen) -> bool:
    """Whether at least one numbered step is left between every fill's total and the last line.

    A plunger that is drawn too far must be seen to have passed the total, and by how much; at the last line there is
    nothing to see it by. How much room that takes: our choice, no source. Of published tables one gives the 30 unit
    barrel to doses *under* 30 units, others to 30 and under.
    """
    return all(
        _measure_total(fill, scale.scale, regimen) + scale.numbered_every <= scale.last_line for fill in regimen.fills
    )


def prefer_room(scales: tuple[SyringeScale, ...], regimen: Regimen) -> tuple[SyringeScale, ...]:
    """The same scales in their order, but those that leave room before those that do not."""
    return tuple(sorted(scales, key=lambda scale: not leaves_room(scale, regimen)))


def _measure_total(fill: Fill, scale: ScaleName, regimen: Regimen) -> Fraction:
    factor = Fraction(scale.units_per_ml or 1, regimen.syringe.scale.units_per_ml or 1)
    return sum((measure_draw_line(draw, regimen) * factor for draw in fill.draws), Fraction(0))


def _serves(scale: SyringeScale, fill: Fill, regimen: Regimen) -> bool:
    if any(scale.scale not in list_allowed_scales(med, regimen) for med in list_fill_medicines(fill, regimen)):
        return False
    factor = Fraction(scale.scale.units_per_ml or 1, regimen.syringe.scale.units_per_ml or 1)
    lines = [measure_draw_line(draw, regimen) * factor for draw in fill.draws]
    # Where each dose is a whole number of lines, so is each sum of them.
    return sum(lines) <= scale.last_line and all(line % scale.line_every == 0 for line in lines)


def write_scale(scale: SyringeScale | Syringe) -> str:
    """A syringe in words: ``0.5 mL U-100 with a line every 1 unit``."""
    if scale.scale is ScaleName.ML:
        return f"{write_number(scale.capacity_ml)} mL with a line every {write_number(scale.line_every)} mL"
    word = "unit" if scale.line_every == 1 else "units"
    name = f"{write_number(scale.capacity_ml)} mL {scale.scale.value}"
    return f"{name} with a line every {write_number(scale.line_every)} {word}"
