"""When and on which days a dosage line is given: named times, clock times and days, or the reasons why not.

A dose "twice a day" or "with meals" has no time a card could show, so it is refused; nothing is put in its place.
Source: HL7 FHIR R4, Timing (``fhir-r4``) and its value set of events (``fhir-event-timing``).
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from fillcards.intake.element import Element
from fillcards.intake.fhir_period import check_period
from fillcards.regimen.model import EVERY_DAY, Weekday
from fillcards.strict_text import quote_text

NAMED_TIMES: Final = {
    "ACM": "before breakfast",
    "ACD": "before lunch",
    "ACV": "before dinner",
    "CM": "at breakfast",
    "CD": "at lunch",
    "CV": "at dinner",
    "PCM": "after breakfast",
    "PCD": "after lunch",
    "PCV": "after dinner",
    "WAKE": "after waking",
    "HS": "at bedtime",
    "MORN": "in the morning",
    "NOON": "at noon",
    "AFT": "in the afternoon",
    "EVE": "in the evening",
}
"""Codes of events with a time of day of their own. AC, C and PC (which meal?), NIGHT and PHS are not here."""

MOST_MINUTES_BEFORE: Final = 180
"""As in a regimen file, where ``minutes_before`` takes no more."""

_BEFORE_A_MEAL: Final = ("ACM", "ACD", "ACV")
_DAY_OF_CODE: Final = {day.word[:3]: day for day in Weekday}
_TIMES_A_DAY: Final = {"QD": 1, "BID": 2, "TID": 3, "QID": 4}
"""Codes of v3-GTSAbbreviation that say how often a day, and nothing of when. Source: fhir-r4, Timing.code."""

_ENDS: Final = ("boundsDuration", "boundsRange", "boundsPeriod", "count", "countMax")
_LOOSE: Final = ("frequencyMax", "periodMax", "duration", "durationMax", "durationUnit")
_ASK: Final = "ask the prescriber, and write time and days into the draft by hand"


@dataclass(frozen=True, slots=True)
class Schedule:
    """When a dosage line is given.

    Attributes:
        times: named times or clock times, as a regimen file writes them.
        minutes_before: of all the times, where the line says so.
        days: ``None`` where the line does not say whether it is every day.
    """

    times: tuple[str, ...]
    minutes_before: int | None
    days: tuple[Weekday, ...] | None


def read_schedule(dosage: Element, today: datetime.date | None) -> Schedule | None:
    """The times and days of a dosage line; ``None`` where they cannot be used, which is noted.

    Args:
        dosage: an item of ``dosageInstruction``, in the form of the standard.
        today: the day on which the dose must have begun, where the line says when it begins.
    """
    timing = dosage.find_child("timing")
    if timing is None:
        dosage.refuse("FHIR-016", "no timing outside the words", "a time of day, as when or timeOfDay", _ASK)
        return None
    if timing.has("event"):
        found = "single dates instead of what repeats"
        timing.refuse("FHIR-016", found, "a time of day, as when or timeOfDay", _ASK, "event")
        return None
    repeat = timing.find_child("repeat")
    if repeat is None:
        timing.refuse("FHIR-016", "no time of day", "a time of day, as when or timeOfDay", _ASK)
        return None
    known = len(dosage.problems)
    _check_end(repeat, today)
    times = _read_times(repeat)
    minutes = _read_minutes(repeat)
    days = _read_days(repeat, len(times)) if times else None
    if times and timing.has("code"):
        days = _check_code(timing, len(times), days)
    return Schedule(times, minutes, days) if len(dosage.problems) == known else None


def _check_end(repeat: Element, today: datetime.date | None) -> None:
    for name in _ENDS:
        bounds = repeat.find_child(name)
        is_open = name == "boundsPeriod" and bounds is not None and not bounds.has("end")
        if repeat.has(name) and not is_open:
            remedy = "ask whether the dose goes on; what comes after its end needs a card of its own"
            repeat.refuse("FHIR-018", f"a dose that ends ({name})", "a dose without an end", remedy, name)
        elif is_open:
            check_period(repeat, name, today)


def _read_times(repeat: Element) -> tuple[str, ...]:
    codes, clock = repeat.list_texts("when"), repeat.list_texts("timeOfDay")
    if bool(codes) == bool(clock):
        found = "both when and timeOfDay" if codes else "how often, but no time of day"
        repeat.refuse("FHIR-016", found, "a time of day, as when or timeOfDay", _ASK)
        return ()
    name, given = ("when", codes) if codes else ("timeOfDay", clock)
    read = [NAMED_TIMES.get(text) if codes else _parse_clock_time(text) for text in given]
    times = tuple(time for time in read if time is not None)
    for text, time in zip(given, read, strict=True):
        if time is None:
            expected = f"one of: {', '.join(NAMED_TIMES)}" if codes else "a time in whole minutes, such as 07:30:00"
            repeat.refuse("FHIR-016", quote_text(text), expected, _ASK, name)
    if len(set(times)) < len(times):
        repeat.refuse("FHIR-016", "a time of day twice", "each time once", _ASK, name)
    return times


def _parse_clock_time(text: str) -> str | None:
    match = re.fullmatch(r"((?:[01][0-9]|2[0-3]):[0-5][0-9]):00(?:\.0+)?", text)
    return match[1] if match else None


def _read_minutes(repeat: Element) -> int | None:
    """The offset as minutes before a meal; the standard counts it in minutes from the event."""
    offset = repeat.node.get("offset")
    if offset is None:
        return None
    is_before = set(repeat.list_texts("when")) <= set(_BEFORE_A_MEAL)
    if not isinstance(offset, int) or not is_before or not 1 <= offset <= MOST_MINUTES_BEFORE:
        found = f"an offset of {offset} minutes" if isinstance(offset, int) else "an offset in parts of minutes"
        expected = f"1 to {MOST_MINUTES_BEFORE} minutes before breakfast, lunch or dinner (ACM, ACD, ACV)"
        repeat.refuse("FHIR-016", found, expected, _ASK, "offset")
        return None
    return offset


def _read_days(repeat: Element, times_a_day: int) -> tuple[Weekday, ...] | None:
    """The days, once frequency and period agree with the times."""
    for name in _LOOSE:
        if repeat.has(name):
            repeat.refuse("FHIR-017", f"{name}, which leaves room", "how often, exactly", _ASK, name)
    days = [_DAY_OF_CODE[code] for code in repeat.list_texts("dayOfWeek") if code in _DAY_OF_CODE]
    if len(set(days)) != len(repeat.list_texts("dayOfWeek")):
        expected = f"each once, of: {', '.join(_DAY_OF_CODE)}"
        repeat.refuse("FHIR-017", "days that are not known or stand twice", expected, _ASK, "dayOfWeek")
    frequency, period, unit = (repeat.node.get(name) for name in ("frequency", "period", "periodUnit"))
    if (frequency, period, unit) == (None, None, None):
        return _sort_days(days) or None
    doses = {"d": times_a_day, "wk": times_a_day * len(days)}.get(unit if isinstance(unit, str) else "", 0)
    if doses == 0 or _as_number(period) != 1 or frequency not in (None, doses):
        found = ", ".join(repeat.describe("frequency", "period", "periodUnit", "dayOfWeek"))
        expected = f"as many doses in 1 day as times of day ({times_a_day}), or in 1 week on days that are named"
        repeat.refuse("FHIR-017", found, expected, _ASK)
        return None
    return _sort_days(days) or EVERY_DAY


def _as_number(value: object) -> Decimal | None:
    return Decimal(value) if isinstance(value, int | Decimal) and not isinstance(value, bool) else None


def _sort_days(days: list[Weekday]) -> tuple[Weekday, ...]:
    return tuple(sorted(days, key=lambda day: day.value))


def _check_code(timing: Element, times_a_day: int, days: tuple[Weekday, ...] | None) -> tuple[Weekday, ...]:
    """The days, where a code such as BID stands: every one; it must agree with times and days, another is refused."""
    concept = timing.find_child("code")
    codings = concept.list_children("coding") if concept else ()
    counts = {_TIMES_A_DAY.get(coding.find_text("code") or "") for coding in codings}
    if counts != {times_a_day} or days not in (None, EVERY_DAY):
        found = quote_text(next(timing.describe("code")).removeprefix("code: "))
        expected = f"no code, or one for {times_a_day} a day, every day ({', '.join(_TIMES_A_DAY)})"
        timing.refuse("FHIR-017", found, expected, _ASK, "code")
    return EVERY_DAY
