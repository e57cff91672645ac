"""Rules about when: days left out, times that look like one time twice, fast insulin at night, too many times a day; a
birth after the card's own date.

A medicine under two keys is one medicine here: drawn on Sunday under either, it is given on Sunday.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations
from typing import Final

from fillcards.catalogue.model import Action
from fillcards.plan.reading import MedicineFills, list_fill_medicines, list_medicine_fills
from fillcards.plan.rules.rule import Finding, write_list
from fillcards.regimen.free_words import fold_text
from fillcards.regimen.model import EVERY_DAY, Fill, Regimen, Weekday
from fillcards.regimen.times import Sign, read_time

MINUTES_APART = 60
"""Two clock times of one medicine nearer than this are asked about."""

_FAST = (Action.RAPID, Action.SHORT)
MOST_MINUTES_BEFORE = {Action.RAPID: 15, Action.SHORT: 60, Action.PREMIXED: 60}
"""Longest published wait from the injection to the meal: rapid within 15 minutes, regular 30 to 60. Premixed, whose
fast part is one of these, as the slower of them: common practice, no source."""

MOST_A_DAY = {Action.LONG: 2, Action.INTERMEDIATE: 3, Action.PREMIXED: 3}
"""More times a day than this are asked about. Long-acting once or twice, isophane usually twice: published; the third
time of isophane and of premixed: common practice, no source."""

# The part of the day that each sign stands for, by the clock. Common practice, no source.
_HOURS_OF_SIGN = {Sign.RISING_SUN: (5, 11), Sign.HIGH_SUN: (11, 15), Sign.SETTING_SUN: (16, 21), Sign.MOON: (21, 28)}
_NIGHT_FROM, _NIGHT_TO = 22 * 60, 4 * 60


def _is_night(when: str) -> bool:
    time = read_time(when)
    if time.minute is None:
        return time.sign is Sign.MOON
    return time.minute >= _NIGHT_FROM or time.minute < _NIGHT_TO


def ask_about_fast_at_night(regimen: Regimen) -> Iterator[Finding]:
    """A rapid or short insulin at bedtime or at night."""
    for fill in regimen.fills:
        fast = [med for med in list_fill_medicines(fill, regimen) if med.row is not None and med.row.action in _FAST]
        if fast and _is_night(fill.when):
            yield Finding(
                fill.find_place("when"),
                fast=write_list(f"{med.name}, {med.row.action.value} acting" for med in fast if med.row),
                fill=fill,
            )


def check_days_stated(regimen: Regimen) -> Iterator[Finding]:
    """A fill of a medicine outside the catalogue without its days."""
    for fill in regimen.fills:
        others = [medicine for medicine in list_fill_medicines(fill, regimen) if medicine.row is None]
        if others and fill.days is None:
            yield Finding(fill.place, medicine=others[0], fill=fill)


def ask_about_near_times(regimen: Regimen) -> Iterator[Finding]:
    """One medicine, under one key or two, twice at what looks like one time of one day."""
    for one, other in combinations(regimen.fills, 2):
        shared = {med.name.casefold() for med in list_fill_medicines(one, regimen)}
        names = sorted(med.name for med in list_fill_medicines(other, regimen) if med.name.casefold() in shared)
        if names and set(one.days_given) & set(other.days_given) and _are_near(one, other):
            yield Finding(other.find_place("when"), names=write_list(names), one=one, other=other)


def _are_near(one: Fill, other: Fill) -> bool:
    minutes = read_time(one.when).minute, read_time(other.when).minute
    if minutes[0] is not None and minutes[1] is not None:
        apart = abs(minutes[0] - minutes[1])
        return min(apart, 24 * 60 - apart) < MINUTES_APART
    return _find_part_of_day(one.when) is _find_part_of_day(other.when) is not None


def _find_part_of_day(when: str) -> Sign | None:
    """The sign of a named time; of a clock time the sign in whose hours it falls, if it falls in any."""
    time = read_time(when)
    if time.minute is None:
        return time.sign
    hours = (time.minute / 60, time.minute / 60 + 24)
    return next(
        (sign for sign, (start, end) in _HOURS_OF_SIGN.items() if any(start <= hour < end for hour in hours)), None
    )


def ask_about_long_wait(regimen: Regimen) -> Iterator[Finding]:
    """A rapid, short or premixed insulin longer before the meal than is published for it."""
    for fill in regimen.fills:
        for medicine in list_fill_medicines(fill, regimen):
            most = MOST_MINUTES_BEFORE.get(medicine.row.action) if medicine.row else None
            if medicine.row and most and fill.minutes_before and fill.minutes_before > most:
                yield Finding(fill.find_place("minutes_before"), medicine=medicine, fill=fill, most=most)


def ask_about_many_times(regimen: Regimen) -> Iterator[Finding]:
    """A slow insulin, under one key or several, more often on one day than it is given as a rule."""
    for medicine in list_medicine_fills(regimen):
        row = medicine.entries[0].row
        most = MOST_A_DAY.get(row.action) if row else None
        times = max(len(medicine.list_fills_on(day)) for day in EVERY_DAY)
        if row and most and times > most:
            yield Finding(medicine.fills[most].find_place("when"), medicine=medicine, row=row, times=times, most=most)


# What says how many days a week a medicine is for, and how many. Common practice, no source.
_SAYS_HOW_OFTEN: Final = (
    (re.compile(r"\b(?:twice|two times) (?:a|each|every|per) week\b|\b(?:twice|bi)[ -]?weekly\b"), 2),
    (re.compile(r"\b(?:once|one|1x?)(?: \w+)? (?:a|per) (?:week|month|fortnight)\b"), 1),
    (re.compile(r"\b(?:each|every) (?:week|fortnight|(?:7|seven) days)\b|\b(?:weekly|monthly|fortnightly)\b"), 1),
)


def _write_days(days: frozenset[Weekday]) -> str:
    return write_list(day.word.capitalize() for day in EVERY_DAY if day in days)


def _write_key(days: frozenset[Weekday]) -> str:
    return f"none_on: [{', '.join(day.word for day in EVERY_DAY if day in days)}]"


def caution_days_left_out(regimen: Regimen) -> Iterator[Finding]:
    """Days of the week on which no fill draws a medicine, and of which the file does not say so itself."""
    for medicine in list_medicine_fills(regimen):
        without = frozenset(EVERY_DAY) - medicine.days_drawn
        if without - medicine.days_stated_without:
            yield Finding(
                medicine.fills[0].find_place("days"),
                medicine=medicine,
                days=_write_days(without),
                key=_write_key(without),
            )


def check_none_on(regimen: Regimen) -> Iterator[Finding]:
    """A day that the file states to be without a medicine, although a fill draws it then."""
    for medicine in list_medicine_fills(regimen):
        for entry in medicine.entries:
            wrong = frozenset(entry.none_on) & medicine.days_drawn
            if wrong:
                first = next(day for day in EVERY_DAY if day in wrong)
                when = f"{medicine.list_fills_on(first)[0].when} on {first.word.capitalize()}"
                yield Finding(entry.find_place("none_on"), days=_write_days(wrong), medicine=medicine, when=when)


def check_born(regimen: Regimen) -> Iterator[Finding]:
    """A date of birth after the card's own date: a slip of the year, which would name nobody."""
    born, written = regimen.patient.born, regimen.review.date
    if born and written and born > written:
        yield Finding(regimen.patient.find_place("born"), born=born, written=written)


def ask_about_weekly(regimen: Regimen) -> Iterator[Finding]:
    """A medicine whose own words say once a week, drawn on more days than that."""
    for medicine in list_medicine_fills(regimen):
        found = _find_how_often(medicine)
        if found and len(medicine.days_drawn) > found[1]:
            words, most = found
            yield Finding(
                medicine.fills[0].find_place("days"),
                words=words,
                medicine=medicine,
                days=len(medicine.days_drawn),
                most=most,
                unit="day" if most == 1 else "days",
            )


def _find_how_often(medicine: MedicineFills) -> tuple[str, int] | None:
    for entry in medicine.entries:
        for text in (entry.name, entry.on_the_label, entry.warning, entry.key.replace("_", " ").replace("-", " ")):
            for pattern, most in _SAYS_HOW_OFTEN:
                match = pattern.search(fold_text(text)) if text else None
                if match:
                    return match[0], most
    return None


DAYS_LEFT_OUT: Final = "WHEN-004"
TOO_OFTEN: Final = "WHEN-006"
