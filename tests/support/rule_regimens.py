"""Regimens built by hand, for the rules and the plan; doses and names are invented."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from support.syringes import build_syringe

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.quantities import DOSE_UNITS, STRENGTH_UNITS, Quantity, parse_quantity
from fillcards.regimen.model import EVERY_DAY, Fill, Medicine, Needle, PrescribedDraw, Regimen, Syringe


def dose(text: str) -> Quantity:
    """A dose as a file writes it."""
    return parse_quantity(text, DOSE_UNITS)


def strength(text: str) -> Quantity:
    """A strength as a file writes it."""
    return parse_quantity(text, STRENGTH_UNITS)


def make_syringe(
    scale: ScaleName = ScaleName.U_100,
    capacity_ml: Fraction | str = "0.5",
    line_every: Fraction | str | int = 1,
    needle: Needle = Needle.FIXED,
) -> Syringe:
    """A syringe of the catalogue."""
    row = find_scale(load_scales(), scale, Fraction(capacity_ml), Fraction(line_every))
    assert row is not None
    return build_syringe(row, needle=needle)


def make_insulin(key: str, kind: str, of: str = "100 units/mL", **changes: object) -> Medicine:
    """An insulin of the catalogue."""
    row = load_medicines()[kind]
    medicine = Medicine(
        key=key,
        row=row,
        name=row.kind,
        strength=strength(of),
        vial_ml=Fraction(10),
        look=row.look,
        motion=row.motion,
        takes_air=True,
        route=Route.UNDER_THE_SKIN,
        shares_with=row.shares_with,
        in_use_days=row.in_use_days,
    )
    return replace(medicine, **changes)  # type: ignore[arg-type]  # the tests name the fields


def make_other(key: str, name: str, of: str | None, **changes: object) -> Medicine:
    """A medicine outside the catalogue."""
    medicine = Medicine(
        key=key,
        row=None,
        name=name,
        strength=strength(of) if of else None,
        vial_ml=None,
        look="clear",
        motion=Motion.NONE,
        takes_air=True,
        route=Route.UNDER_THE_SKIN,
        shares_with=(),
        in_use_days=28,
    )
    return replace(medicine, **changes)  # type: ignore[arg-type]  # the tests name the fields


CLEAR = make_insulin("clear", "insulin regular")
CLOUDY = make_insulin("cloudy", "insulin isophane")


def make_fill(when: str = "before breakfast", **doses: str) -> Fill:
    """A fill of every day; the doses by the keys of their medicines."""
    return Fill(when, tuple(PrescribedDraw(key, dose(text)) for key, text in doses.items()), days=EVERY_DAY)


def make_regimen(
    *fills: Fill, medicines: tuple[Medicine, ...] = (CLEAR, CLOUDY), syringe: Syringe | None = None
) -> Regimen:
    """A regimen of these fills, on a 0.5 mL U-100 barrel unless another is named."""
    return Regimen(syringe=syringe or make_syringe(), medicines=medicines, fills=fills)


def make_mixed(clear: str, cloudy: str, syringe: Syringe | None = None) -> Regimen:
    """One fill of insulin regular and insulin isophane."""
    return make_regimen(make_fill(clear=clear, cloudy=cloudy), syringe=syringe)
