"""Dates and days in words that no country reads the other way round: "25 November 2026", "Monday and Thursday"."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from fillcards.regimen.model import EVERY_DAY, Weekday

_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


SHORTEST_RUN: Final = 3
"""Days in a row that are named by the first and the last."""


def write_date(day: date) -> str:
    """The month by its name, the year in full: ``25 November 2026``."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def write_days(days: tuple[Weekday, ...]) -> str | None:
    """The days of a fill: ``Monday and Thursday``, ``Monday to Friday``, ``Every day but Sunday``; ``None``: all."""
    missing = [day for day in EVERY_DAY if day not in days]
    if not missing:
        return None
    if len(missing) == 1:
        return f"Every day but {missing[0].word.capitalize()}"
    words = [day.word.capitalize() for day in EVERY_DAY if day in days]
    is_run = max(day.value for day in days) - min(day.value for day in days) == len(words) - 1
    return f"{words[0]} to {words[-1]}" if is_run and len(words) >= SHORTEST_RUN else write_list(words)


def write_list(words: Sequence[str]) -> str:
    """Words joined as one says them: ``a``, ``a and b``, ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
