"""A syringe of the regimen from a row of the catalogue."""

from __future__ import annotations

from fractions import Fraction

from fillcards.catalogue.model import SyringeScale
from fillcards.regimen.model import Needle, Syringe


def build_syringe(row: SyringeScale, scale_length_mm: Fraction | None = None, needle: Needle = Needle.FIXED) -> Syringe:
    """The syringe of a row, measured or not."""
    return Syringe(
        scale=row.scale,
        capacity_ml=row.capacity_ml,
        line_every=row.line_every,
        numbered_every=row.numbered_every,
        long_every=row.long_every,
        shortest_scale_length_mm=row.shortest_scale_length_mm,
        scale_length_mm=scale_length_mm,
        needle=needle,
    )
