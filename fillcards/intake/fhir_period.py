"""Whether a period of a prescription has begun and has not ended, against a date that is passed in.

A date may lack its day or its month (``2019``, ``2019-05``). It has begun only once its last possible day is here; it
ends with its last day, and an end at an hour of the day ends before that day, since the hour now is not known here.
Source: HL7 FHIR R4, data types, Period: the end of a date includes all of it (``fhir-r4``).
"""

from __future__ import annotations

import calendar
import datetime
import re
from typing import Final

from fillcards.intake.element import Element

_DATE: Final = re.compile(r"(\d{4})(?:-(\d\d)(?:-(\d\d)(T.*)?)?)?", re.ASCII)
_LAST_MONTH: Final = 12


def check_period(element: Element, name: str, today: datetime.date | None) -> None:
    """Refuse a period that is not on, or that cannot be compared.

    Args:
        element: what the period stands in.
        name: its name there.
        today: the day to compare with; without one no period that has dates is taken for one that is on.
    """
    period = element.find_child(name)
    if period is None or not (period.has("start") or period.has("end")):
        return
    if today is None:
        remedy = "say which day it is, and read the prescription again"
        element.refuse("FHIR-024", "a period, and no day to compare it with", "the day of today", remedy, name)
        return
    for bound in ("start", "end"):
        if not period.has(bound):
            continue
        text = period.find_text(bound) or ""
        last = _find_last_day(text)
        is_on = last is not None and (
            last <= today if bound == "start" else last > today or _is_open(text, last, today)
        )
        if not is_on:
            word = "has not begun, or not for certain" if bound == "start" else "has ended"
            remedy = "ask the prescriber for the order that holds today"
            period.refuse(
                "FHIR-024", f"a period that {word}: {bound} {text}", f"one that is on, {today}", remedy, bound
            )


def _is_open(text: str, last: datetime.date, today: datetime.date) -> bool:
    return last == today and "T" not in text


def _find_last_day(text: str) -> datetime.date | None:
    """The last day that a date, a month or a year can mean."""
    match = _DATE.fullmatch(text)
    if match is None:
        return None
    year, month = int(match[1]), int(match[2] or _LAST_MONTH)
    try:
        return datetime.date(year, month, int(match[3] or calendar.monthrange(year, month)[1]))
    except (ValueError, calendar.IllegalMonthError):
        return None
