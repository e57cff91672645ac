"""Worked-out amounts for people who plan: rounded, aligned in columns, never for a card.

A card prints exact numbers only. What is told here is an estimate or a sum for ordering, so it may be rounded, and the
rounding is never to the flattering side: a limit of error is rounded up.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, floor, log10

from fillcards.quantities import Quantity, Unit, write_number, write_quantity

_DIGITS = 2
"""Digits told of an estimate; more would claim a knowledge nobody has."""


def write_estimate(amount: Fraction | float, unit: Unit, *, round_up: bool = False) -> str:
    """An estimate with its unit to two digits: ``0.56 units``, ``1.7 units``, ``0.03 mg``.

    Args:
        amount: 0 or more.
        unit: its unit.
        round_up: for a limit, which must not be told smaller than it is.
    """
    return write_quantity(Quantity(_round(Fraction(amount), round_up), unit))


def write_percent(percent: float, *, round_up: bool = False) -> str:
    """A share in whole per cent, or to two digits below 10: ``21 %``, ``4.2 %``."""
    exact = Fraction(percent)
    return f"{write_number(_round(exact, round_up) if exact < 10 else _to_multiple(exact, Fraction(1), round_up))} %"


def write_sum(amount: Fraction, unit: Unit) -> str:
    """A sum for ordering: rounded up to two decimals, below 1 to two digits; exact where these can say it."""
    rounded = _to_multiple(amount, Fraction(1, 100), True) if amount >= 1 else _round(amount, True)
    return write_quantity(Quantity(rounded, unit))


def write_span(least: Fraction, most: Fraction, unit: Unit) -> str:
    """A measured range: ``3.3 to 6.5 units``."""
    return f"{write_number(_round(least, False))} to {write_estimate(most, unit)}"


def align_columns(rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Rows of one table as lines, each column as wide as its widest cell and two spaces apart; nothing is cut."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return tuple(
        "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )


def _round(value: Fraction, round_up: bool) -> Fraction:
    if value == 0:
        return value
    place = floor(log10(value)) + 1 - _DIGITS
    return _to_multiple(value, Fraction(10) ** min(place, 0), round_up)


def _to_multiple(value: Fraction, step: Fraction, round_up: bool) -> Fraction:
    count = value / step
    return (ceil(count) if round_up else floor(count + Fraction(1, 2))) * step
