"""The phrases that the fields of a dosage line explain, and those that say nothing of the dose.

All of them are plain English, common practice, no source. Each phrase carries what it states (the dose, one of the
times, one of the days), so that a text that names one of two times is noticed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from fractions import Fraction
from itertools import product
from typing import Final, TypeAlias

from fillcards.catalogue.model import Route
from fillcards.intake.fhir_dose import UNIT_OF_WORD
from fillcards.intake.fhir_explain import DOSE, Phrase, build_phrase, write_number_form, write_number_words
from fillcards.intake.fhir_medicine import NamedMedicine
from fillcards.intake.fhir_route import WORDS_OF_ROUTE
from fillcards.intake.fhir_timing import Schedule
from fillcards.quantities import Quantity
from fillcards.regimen.model import EVERY_DAY

Phrases: TypeAlias = dict[Phrase, frozenset[str]]
_Said: TypeAlias = Iterator[tuple[str, frozenset[str]]]

_GLUE: Final = (
    *("give", "given", "administer", "administered", "take", "taken", "use", "draw", "draw up", "please"),
    *("the", "your", "of", "dose", "a dose of"),
)
_GLUE_OF_A_NEEDLE: Final = ("inject", "injected", "by injection")
_GLUE_BY_MOUTH: Final = ("swallow", "swallowed", "drink")
_CHECKS: Final = tuple(
    " ".join(words)
    for words in product(
        ("check", "check your"),
        ("", "blood"),
        ("sugar", "glucose"),
        ("", "level", "levels"),
        ("before use", "before taking insulin", "before injecting", "before injecting insulin"),
    )
)
_ROTATIONS: Final = tuple(
    " ".join(words)
    for words in product(
        ("rotate", "rotating"), ("", "the", "your"), ("site", "sites", "injection site", "injection sites")
    )
)

_PLACES: Final = {
    "before": ("before", "before your"),
    "at": ("at", "with", "with your"),
    "after": ("after", "after your"),
}
_MEALS: Final = {"breakfast": ("breakfast",), "lunch": ("lunch",), "dinner": ("dinner", "supper")}
_OTHER_TIMES: Final = {
    "after waking": ("after waking", "after waking up", "on waking", "upon waking"),
    "at bedtime": ("at bedtime", "before bed", "before going to bed", "before sleep"),
    "in the morning": ("in the morning",),
    "at noon": ("at noon", "at midday"),
    "in the afternoon": ("in the afternoon",),
    "in the evening": ("in the evening",),
}
_PART_OF_DAY: Final = {"breakfast": "morning", "waking": "morning", "morning": "morning", "dinner": "evening"} | {
    "evening": "evening",
    "afternoon": "afternoon",
}
_OFTEN: Final = {1: ("once", "one time", "1 time"), 2: ("twice", "two times", "2 times")} | {
    3: ("three times", "3 times"),
    4: ("four times", "4 times"),
}
_ABBREVIATIONS: Final = {1: "QD", 2: "BID", 3: "TID", 4: "QID"}
_PER_DAY: Final = ("daily", "a day", "per day", "every day", "each day")
_PER_WEEK: Final = ("weekly", "a week", "per week", "every week", "each week")
_MINUTES: Final = ("minutes", "minute", "mins", "min")
_NOON_HOUR: Final = 12


def build_plain_phrases(medicine: NamedMedicine, route: Route | None) -> Phrases:
    """What says nothing of amount, time or days: the medicine's words, the route's words, and what is said beside."""
    names = [*medicine.names, *(("insulin",) if medicine.is_insulin else ())]
    if medicine.row is not None:
        names += [medicine.row.kind, *medicine.row.other_names]
    own = _GLUE_BY_MOUTH if route is Route.BY_MOUTH else _GLUE_OF_A_NEEDLE
    ways = WORDS_OF_ROUTE.get(route, ()) if route else ()
    return _collect((text, frozenset()) for text in (*names, *_GLUE, *own, *ways, *_CHECKS, *_ROTATIONS))


def build_phrases(medicine: NamedMedicine, route: Route | None, dose: Quantity, schedule: Schedule) -> Phrases:
    """All phrases that a text of a dosage line may be made of."""
    several = len(schedule.times) > 1 or len(schedule.days or ()) > 1
    said = (
        *_say_dose(dose),
        *_say_times(schedule),
        *_say_days(schedule),
        *_say_how_often(schedule),
        *((("and", frozenset[str]()),) if several else ()),
    )
    return build_plain_phrases(medicine, route) | _collect(said)


def _collect(said: Iterable[tuple[str, frozenset[str]]]) -> Phrases:
    """Phrases with what they state; one that can stand for two times states both."""
    phrases: Phrases = {}
    for text, stated in said:
        phrase = build_phrase(text)
        phrases[phrase] = phrases.get(phrase, frozenset()) | stated
    return phrases


def _write_number(value: Fraction) -> tuple[str, ...]:
    """A number in digits and, if it is whole, in words."""
    digits = write_number_form(Decimal(value.numerator) / Decimal(value.denominator))
    return (digits, *(write_number_words(int(value)) if value.denominator == 1 else ()))


def _say_dose(dose: Quantity) -> _Said:
    stated = frozenset((DOSE,))
    digits, *words = _write_number(dose.amount)
    for unit in (word for word, each in UNIT_OF_WORD.items() if each is dose.unit):
        yield f"{digits} {unit}", stated
        for word in words:
            yield f"{word} {unit}", stated
            yield f"{digits} ({word}) {unit}", stated
            yield f"{digits} {unit} ({word})", stated
            yield f"{digits} {unit} ({word} {unit})", stated


def _say_times(schedule: Schedule) -> _Said:
    for number, time in enumerate(schedule.times):
        stated = frozenset((f"time {number}",))
        for text in _name_time(time):
            yield text, stated
            if schedule.minutes_before is not None and text.startswith("before "):
                for before in _name_minutes(schedule.minutes_before):
                    yield f"{before} {text}", stated
        part = _PART_OF_DAY.get(time.rpartition(" ")[2])
        if part is not None:
            yield f"in the {part}", stated
            if schedule.days == EVERY_DAY:
                yield f"every {part}", stated
                yield f"each {part}", stated
    yield from _say_times_together(schedule)


def _name_time(time: str) -> Iterator[str]:
    if ":" in time:
        yield from _name_clock_time(time)
        return
    place, _, event = time.partition(" ")
    if event in _MEALS:
        yield from (" ".join(words) for words in product(_PLACES[place], _MEALS[event]))
    else:
        yield from _OTHER_TIMES[time]


def _name_clock_time(time: str) -> Iterator[str]:
    """07:30, 7:30 am; 19:00, 7:00 pm, 7 pm; each with or without "at"."""
    hour, minute = map(int, time.split(":"))
    half = "am" if hour < _NOON_HOUR else "pm"
    small = (hour - 1) % _NOON_HOUR + 1
    forms = [time, f"{hour}:{minute:02}", f"{small}:{minute:02} {half}", f"{small:02}:{minute:02} {half}"]
    for form in (*forms, *((f"{small} {half}",) if minute == 0 else ())):
        yield form
        yield f"at {form}"


def _name_minutes(minutes: int) -> Iterator[str]:
    yield from (" ".join(words) for words in product(_write_number(Fraction(minutes)), _MINUTES))
    yield from {30: ("half an hour",), 60: ("1 hour", "one hour")}.get(minutes, ())


def _say_times_together(schedule: Schedule) -> _Said:
    """Before breakfast and dinner; before breakfast, lunch and dinner."""
    places, meals = zip(*(time.partition(" ")[::2] for time in schedule.times), strict=True)
    if len(meals) < 2 or len(set(places)) > 1 or not set(meals) <= set(_MEALS):
        return
    stated = frozenset(f"time {number}" for number in range(len(meals)))
    for names in product(*(_MEALS[meal] for meal in meals)):
        for place, joint in product(_PLACES[places[0]], (" and ", ", and ")):
            yield f"{place} {', '.join(names[:-1])}{joint}{names[-1]}", stated


def _say_days(schedule: Schedule) -> _Said:
    if schedule.days is None or schedule.days == EVERY_DAY:
        return
    for day in schedule.days:
        stated = frozenset((f"day {day.value}",))
        for name, before in product((day.word, f"{day.word}s", day.word[:3]), ("", "on ", "every ", "each ")):
            yield f"{before}{name}", stated


def _say_how_often(schedule: Schedule) -> _Said:
    """How often a day, or a week; "daily" alone only for one dose a day, since it may count all of a day together."""
    times, days = len(schedule.times), schedule.days
    if days is None:
        return
    is_daily = days == EVERY_DAY
    count, pers = (times, _PER_DAY) if is_daily else (times * len(days), _PER_WEEK)
    alone = pers if count == 1 else ()
    abbreviation = (_ABBREVIATIONS[count],) if is_daily and count in _ABBREVIATIONS else ()
    counted = (" ".join(words) for words in product(_OFTEN.get(count, ()), pers))
    yield from ((text, frozenset()) for text in (*alone, *abbreviation, *counted))
