"""A syringe of the regimen from a row of the catalogue."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from fillcards.catalogue.model import SyringeScale
from fillcards.regimen.model import Needle, Syringe


def build_syringe(row: SyringeScale, scale_length_mm: Fraction | None = None, needle: Needle = Needle.FIXED) -> Syringe:
    """The syringe of a row, measured or not."""
    return replace(Syringe.of(row, needle), scale_length_mm=scale_length_mm)
