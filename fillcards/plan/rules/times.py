"""Rules about when: times that look like one time twice, fast insulin at night or long before a meal, too many times
a day, days that must be stated.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from fillcards.catalogue.model import Action
from fillcards.plan.reading import list_fill_medicines
from fillcards.plan.rules.by_medicine import list_medicine_fills
from fillcards.plan.rules.rule import Finding, Rule, find_place, write_list
from fillcards.problems import Severity
from fillcards.regimen.model import EVERY_DAY, Fill, Regimen
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
                find_place(fill, "when"),
                f"{write_list(f'{med.name}, {_action_word(med.row.action)}' for med in fast if med.row)}, {fill.when}",
                "insulin of this kind before a meal",
                "is this time right? Ask the prescriber unless it is plainly on the prescription",
            )


def _action_word(action: Action) -> str:
    return f"{action.value} acting"


def check_days_stated(regimen: Regimen) -> Iterator[Finding]:
    """A fill of a medicine outside the catalogue without its days."""
    for fill in regimen.fills:
        others = [medicine for medicine in list_fill_medicines(fill, regimen) if medicine.row is None]
        if others and fill.days is None:
            yield Finding(
                fill.place,
                f"{others[0].name} {fill.when}, no days",
                "days, as every day or as a list such as [monday]",
                "write the days from the prescription: a weekly medicine taken daily is seven times the dose",
            )


def ask_about_near_times(regimen: Regimen) -> Iterator[Finding]:
    """One medicine, under one key or two, twice at what looks like one time of one day."""
    for one, other in combinations(regimen.fills, 2):
        shared = {med.name.casefold() for med in list_fill_medicines(one, regimen)}
        names = sorted(med.name for med in list_fill_medicines(other, regimen) if med.name.casefold() in shared)
        if names and set(one.days_given) & set(other.days_given) and _are_near(one, other):
            yield Finding(
                find_place(other, "when"),
                f'{write_list(names)} both "{one.when}" and "{other.when}"',
                "each fill at a time of its own",
                "are both right, or was one fill written twice? Compare with the prescription",
            )


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
                yield Finding(
                    find_place(fill, "minutes_before"),
                    f"{medicine.name}, {_action_word(medicine.row.action)}, {fill.minutes_before} minutes {fill.when}",
                    f"at most {most} minutes before the meal",
                    "compare the minutes with the prescription: it may act before there is food",
                )


def ask_about_many_times(regimen: Regimen) -> Iterator[Finding]:
    """A slow insulin, under one key or several, more often on one day than it is given as a rule."""
    for medicine in list_medicine_fills(regimen):
        row = medicine.entries[0].row
        most = MOST_A_DAY.get(row.action) if row else None
        times = max(len(medicine.list_fills_on(day)) for day in EVERY_DAY)
        if row and most and times > most:
            yield Finding(
                find_place(medicine.fills[most], "when"),
                f"{medicine.name}, {_action_word(row.action)}, {times} times a day",
                f"at most {most} times a day",
                "does one of these fills mean another medicine? Compare each with the prescription",
            )


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION

RULES = (
    Rule("WHEN-001", _CAUTION, ask_about_fast_at_night),
    Rule("WHEN-002", _REFUSE, check_days_stated),
    Rule("WHEN-003", _CAUTION, ask_about_near_times),
    Rule("WHEN-007", _CAUTION, ask_about_long_wait),
    Rule("WHEN-008", _CAUTION, ask_about_many_times),
)
