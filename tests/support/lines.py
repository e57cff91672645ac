"""Texts in lines, as ``Words.wrap`` breaks them."""

from __future__ import annotations

from fillcards.typeface.wrapping import BoldPlaces, Runs, Words


def wrap_runs(text: str, bold: BoldPlaces, size_pt: float, width_mm: float) -> tuple[Runs, ...]:
    """A single text in lines."""
    return tuple(line.runs for line in Words(text, bold).wrap(size_pt, width_mm))


def wrap_text(text: str, size_pt: float, bold: bool, width_mm: float) -> tuple[str, ...]:
    """A single text of one weight in lines."""
    lines = wrap_runs(text, ((0, len(text)),) if bold else (), size_pt, width_mm)
    return tuple(run.text for (run,) in lines)
