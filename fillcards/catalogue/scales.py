"""Scales of syringes: ours from ``scales.yaml``, and a user's own from a file of the same form.

A user's row has ``source:`` with the user's own words (such as ``measured on ten syringes of one box, 2026-11-02``)
where ours have ``sources:`` with keys. It stands for one kind of syringe that was looked at and measured, so its
``shortest_scale_length`` is the shortest that was measured.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache, partial
from typing import Final

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.rows import Row, read_own_rows, read_rows, take_sources
from fillcards.quantities import Unit, write_number

THICKEST_LINE_MM: Final = Fraction(4, 10)
"""Most that a graduation line may be thick. Source: ``iso-8537-2007``, 9.1."""

_SHORTEST_MM: Final = Fraction(10)
_LONGEST_MM: Final = Fraction(200)
"""Scale lengths outside these belong to no syringe filled by hand. Common practice, no source."""

_SCALE_OF_WORD: Final = {scale.value: scale for scale in ScaleName}


@lru_cache(maxsize=1)
def load_scales() -> tuple[SyringeScale, ...]:
    """Every scale of the catalogue, in its order: by scale, then capacity, then finer lines first.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    return read_own_rows("scales.yaml", "scales", partial(_build_scale, is_users=False, seen=set()))


def read_scales(text: str) -> tuple[SyringeScale, ...]:
    """Read a user's own syringes file. Its rows carry ``sources=("user",)`` and the user's words in ``note``.

    To let them stand before the catalogue's: ``read_scales(text) + load_scales()``.

    Raises:
        RegimenRefused: with every problem found.
    """
    return read_rows(text, "scales", partial(_build_scale, is_users=True, seen=set()))


def find_scale(
    scales: tuple[SyringeScale, ...], scale: ScaleName, capacity_ml: Fraction, line_every: Fraction
) -> SyringeScale | None:
    """The first row with that scale, capacity and lines, or ``None``."""
    wanted = (scale, capacity_ml, line_every)
    return next((row for row in scales if (row.scale, row.capacity_ml, row.line_every) == wanted), None)


def _build_scale(row: Row, *, is_users: bool, seen: set[tuple[ScaleName, Fraction, Fraction]]) -> SyringeScale | None:
    scale = row.take_choice("scale", _SCALE_OF_WORD)
    units = (Unit.UNITS, Unit.ML) if scale is None else (Unit.ML,) if scale is ScaleName.ML else (Unit.UNITS,)
    capacity = row.take_quantity("capacity", (Unit.ML,))
    line_every = row.take_quantity("line_every", units)
    numbered_every = row.take_quantity("numbered_every", units)
    long_every = row.take_quantity("long_every", units)
    length = row.take_quantity("shortest_scale_length", (Unit.MM,))
    if is_users:
        note, not_confirmed = row.take_text("source", code_if_missing="CAT-007"), ""
        sources: tuple[str, ...] = ("user",) if note else ()
    else:
        sources = take_sources(row)
        note = row.take_text("note", is_optional=True)
        not_confirmed = row.take_text("not_confirmed", is_optional=True)
    if not (scale and capacity and line_every and numbered_every and long_every and length and sources):
        return None
    built = SyringeScale(
        scale,
        capacity.amount,
        line_every.amount,
        numbered_every.amount,
        long_every.amount,
        length.amount,
        sources,
        note,
        not_confirmed,
    )
    _check_division(row, built)
    _check_length(row, built)
    identity = (built.scale, built.capacity_ml, built.line_every)
    if identity in seen:
        row.add_problem(
            "CAT-008",
            "scale",
            "the same scale, capacity and lines twice",
            "each once, whatever numbers stand at the lines",
            "keep the right one; say other numbers in the regimen file, under syringe.numbered_every",
        )
    seen.add(identity)
    return built


def _check_division(row: Row, scale: SyringeScale) -> None:
    divisions = (
        ("line_every", scale.line_every, "the last line", scale.last_line),
        ("long_every", scale.line_every, "the first long line", scale.long_every),
        ("numbered_every", scale.long_every, "the first number", scale.numbered_every),
    )
    for key, step, name, whole in divisions:
        if whole % step != 0:
            found = f"steps of {write_number(step)} up to {write_number(whole)} {scale.scale.unit_word} ({name})"
            row.add_problem("CAT-006", key, found, "steps that come out even", "read the lines on the barrel again")
    if scale.numbered_every > scale.last_line:
        last_line = write_number(scale.last_line)
        found = f"numbers every {write_number(scale.numbered_every)} on a scale that ends at {last_line}"
        row.add_problem(
            "CAT-006", "numbered_every", found, "at least one number", "read the numbers on the barrel again"
        )


def _check_length(row: Row, scale: SyringeScale) -> None:
    length_mm = scale.shortest_scale_length_mm
    remedy = "measure in mm from the zero line to the last line, with a ruler"
    if not _SHORTEST_MM <= length_mm <= _LONGEST_MM:
        expected = f"{write_number(_SHORTEST_MM)} to {write_number(_LONGEST_MM)} mm"
        row.add_problem(
            "CAT-009", "shortest_scale_length", f"a length of {write_number(length_mm)} mm", expected, remedy
        )
        return
    lines = scale.last_line / scale.line_every
    if length_mm / lines <= THICKEST_LINE_MM:
        found = f"{write_number(length_mm)} mm for {float(lines):.10g} lines"
        expected = f"more than {write_number(THICKEST_LINE_MM)} mm a line"
        row.add_problem("CAT-009", "shortest_scale_length", found, expected, remedy)
