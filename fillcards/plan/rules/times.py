"""Rules about when: days that must be stated, times that look like one meal twice, fast insulin at night."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from fillcards.catalogue.model import Action
from fillcards.plan.reading import list_fill_medicines
from fillcards.plan.rules.rule import Finding, Rule, find_place, write_list
from fillcards.problems import ProblemCode, Severity
from fillcards.regimen.model import Fill, Regimen
from fillcards.regimen.times import fold_time, read_time

MINUTES_APART = 60
"""Two clock times of one medicine nearer than this are asked about."""

_FAST = (Action.RAPID, Action.SHORT)
# Words that often mean one time of day; dinner is at midday for some, so that nobody is refused for it. Common
# practice, no source.
_ONE_TIME = (
    frozenset(("breakfast", "morning")),
    frozenset(("lunch", "noon", "midday", "dinner")),
    frozenset(("supper", "dinner", "evening")),
    frozenset(("bedtime", "bed", "night")),
)
_AT_NIGHT = ("bedtime", "bed", "night", "sleep")
_NIGHT_FROM, _NIGHT_TO = 22 * 60, 4 * 60


def _parse_minute(when: str) -> int | None:
    """Minutes after midnight of a clock time; ``None`` for a named time."""
    return read_time(when).minute


def _is_night(when: str) -> bool:
    minute = _parse_minute(when)
    if minute is None:
        # Night stands in midnight, overnight and nighttime too.
        return any(word.startswith(_AT_NIGHT) or "night" in word for word in fold_time(when).split())
    return minute >= _NIGHT_FROM or minute < _NIGHT_TO


def ask_about_fast_at_night(regimen: Regimen) -> Iterator[Finding]:
    """A rapid or short insulin at bedtime or at night."""
    for fill in regimen.fills:
        fast = [med for med in list_fill_medicines(fill, regimen) if med.row is not None and med.row.action in _FAST]
        if fast and _is_night(fill.when):
            yield Finding(
                find_place(fill, "when"),
                f"{write_list(f'{med.name}, {_action_word(med.row.action)}' for med in fast if med.row)}, {fill.when}",
                "insulin of this kind before a meal",
                "is this time meant? Ask the prescriber if it is not plainly on the prescription",
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
                "write the days from the prescription: a weekly medicine taken daily is a grave error",
            )


def ask_about_near_times(regimen: Regimen) -> Iterator[Finding]:
    """One medicine twice at what looks like one time of one day."""
    for one, other in combinations(regimen.fills, 2):
        shared = {draw.medicine for draw in one.draws} & {draw.medicine for draw in other.draws}
        if not shared or not set(one.days_given) & set(other.days_given) or not _are_near(one, other):
            continue
        names = write_list(sorted(regimen.find_medicine(key).name for key in shared))
        yield Finding(
            find_place(other, "when"),
            f'{names} both "{one.when}" and "{other.when}"',
            "each fill at a time of its own",
            "are both meant, or is one the other written twice? Compare with the prescription",
        )


def _are_near(one: Fill, other: Fill) -> bool:
    minutes = _parse_minute(one.when), _parse_minute(other.when)
    if minutes[0] is not None and minutes[1] is not None:
        apart = abs(minutes[0] - minutes[1])
        return min(apart, 24 * 60 - apart) < MINUTES_APART
    first, second = fold_time(one.when), fold_time(other.when)
    return first == second or any(names & set(first.split()) and names & set(second.split()) for names in _ONE_TIME)


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION

RULES = (
    Rule(
        ProblemCode(
            "WHEN-001",
            _CAUTION,
            "Rapid or short insulin at bedtime.",
            "It works within hours; taken without a meal it can bring the sugar too low in sleep.",
            ("common-practice",),
        ),
        ask_about_fast_at_night,
    ),
    Rule(
        ProblemCode(
            "WHEN-002",
            _REFUSE,
            "The days of a medicine outside the catalogue must be stated.",
            "A weekly medicine taken daily is seven times the dose; nothing is assumed.",
            ("common-practice", "design"),
        ),
        check_days_stated,
    ),
    Rule(
        ProblemCode(
            "WHEN-003",
            _CAUTION,
            "One medicine twice at nearly the same time.",
            "The same fill entered twice doubles the dose.",
            ("common-practice", "design"),
        ),
        ask_about_near_times,
    ),
)
