"""Which syringes of the catalogue would serve: right scale for the medicine, every stop and air draw on a line.

Used for the messages of refused doses. It offers syringes, never another dose.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.plan.reading import is_measurable, list_fill_medicines, measure_draw_line
from fillcards.quantities import Unit, write_number
from fillcards.regimen.model import Fill, Medicine, Regimen, Syringe

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
