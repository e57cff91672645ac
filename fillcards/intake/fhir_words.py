"""Whether the words beside a dose say what its fields say, and nothing else. Words are compared, never read as a dose.

From the fields come all phrases that are true of them. Whatever of a text is neither such a phrase nor on a short list
of words that say nothing of the dose is not trusted: a denial, another number, another day or a word of another
language cannot get through because no rule is against it. English alone; common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.catalogue.model import Route
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import EVERY_DAY, Weekday

LONGEST_TEXT: Final = 2_000
"""A longer text is not looked at: the draft does not show all of it (``draft.LONGEST_REMARK``)."""

WORDS_OF_UNIT: Final = {
    Unit.UNITS: (
        *("unit", "units", "u", "iu", "unt", "[iu]", "[usp'u]", "{unit}", "{units}"),
        *("international unit", "international units", "usp units"),
    ),
    Unit.MG: ("mg", "milligram", "milligrams"),
    Unit.MCG: ("mcg", "ug", "\u00b5g", "\u03bcg", "microgram", "micrograms"),
    Unit.ML: ("ml", "milliliter", "milliliters", "millilitre", "millilitres"),
}
WORDS_OF_ROUTE: Final = {
    Route.UNDER_THE_SKIN: (
        *("subcutaneous", "subcutaneously", "subcut", "sc", "sq", "subcutaneous use", "subcutaneous injection"),
        *("by subcutaneous injection", "under the skin", "under your skin"),
    ),
    Route.INTO_MUSCLE: (
        *("intramuscular", "intramuscularly", "im", "intramuscular use", "intramuscular injection", "into muscle"),
        *("into the muscle", "by intramuscular injection"),
    ),
    Route.BY_MOUTH: ("oral", "orally", "po", "oral use", "by mouth"),
}
_SAY_NOTHING: Final = "give given administer administered take taken use draw please the your of dose"
_NEEDLE_WORDS: Final = "inject injected by injection"
_ASIDES: Final = (
    "draw up",
    r"check (?:your )?(?:blood )?(?:sugar|glucose)(?: levels?)? before (?:use|(?:taking|injecting)(?: insulin)?)",
    r"rotat(?:e|ing)(?: the| your)?(?: injection)? sites?",
)
_ONES: Final = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_NUMBER_WORD: Final = re.compile(
    rf"\b(?:(?:({'|'.join(_TENS)})(?:[ -]({'|'.join(_ONES[1:10])}))?)|({'|'.join(_ONES)}))\b"
)
_MEALS: Final = {"breakfast": "breakfast", "lunch": "lunch", "dinner": "(?:dinner|supper)"}
_OTHER_TIMES: Final = {
    "after waking": "(?:after waking(?: up)?|(?:up)?on waking)",
    "at bedtime": "(?:at bedtime|before bed|before going to bed|before sleep)",
    "at noon": "at (?:noon|midday)",
}
_PART_OF_DAY: Final = {"breakfast": "morning", "waking": "morning", "morning": "morning", "dinner": "evening"} | {
    "evening": "evening",
    "afternoon": "afternoon",
}
_ANY_TIME: Final = (
    r"(?:\d+ (?:minutes?|mins?) )?(?:before|after|at|with) (?:your )?(?:breakfast|lunch|dinner|supper|bedtime)"
    r"|(?:in the|every|each) (?:morning|afternoon|evening)|at noon|before bed"
)
_ABBREVIATIONS: Final = {1: "qd", 2: "bid", 3: "tid", 4: "qid"}
# What a message may repeat: no birthday, no telephone, and words that are nobody's name.
_SHOWN: Final = re.compile(
    r"[0-9.,]{1,4}(?: (?:units?|mg|ml))?(?!\S)|(?:as|if|sliding|daily|weekly|times|not|stop|before|after)\b"
)
_PER_DAY: Final = "(?:daily|a day|per day|every day|each day)"
_NOON_HOUR: Final = 12


class Said(NamedTuple):
    """What the fields of a dosage line say; ``None`` or nothing where they do not say, or no card could show it.

    Attributes:
        times: named times or clock times.
        doses_a_day: how often on each day, and not more or less.
    """

    times: tuple[str, ...] = ()
    minutes_before: int | None = None
    days: tuple[Weekday, ...] | None = None
    doses_a_day: int | None = None
    route: Route | None = None
    dose: Quantity | None = None


def find_untrue(text: str, names: tuple[str, ...], said: Said | None = None) -> str | None:
    """What of a text the fields do not say, without repeating what may be a name; ``None`` where they say it all.

    Args:
        text: in any language.
        names: of the medicine, as they are written.
        said: by the line that the text stands in; ``None`` for a text that must not speak of the dose at all.
    """
    if len(text) > LONGEST_TEXT:
        return f"a text of more than {LONGEST_TEXT:,} characters"
    rest = _fold(text)
    for phrase in (*(re.escape(_fold(name)) for name in sorted(names, key=len, reverse=True)), *_ASIDES):
        rest = _take_out(phrase, rest)[0]
    for phrase, most in _list_open(said) if said else ():
        rest, count = _take_out(phrase, rest)
        if count > most:
            return "words that name more times than there are doses"
    for name, statements in _list_statements(said).items() if said else ():
        counts = []
        for phrase in statements:
            rest, count = _take_out(phrase, rest)
            counts.append(count)
        if name == "dose" and sum(counts) > 1:
            return "words with the amount twice"
        if any(counts[1:]) and not all(counts[1:]) and not counts[0]:
            return f"words that name some of the {name}"
    by_route = "swallow drink" if said and said.route is Route.BY_MOUTH else _NEEDLE_WORDS
    is_list = said is not None and (
        len(said.times) > 1 or (said.days not in (None, EVERY_DAY) and len(said.days or ()) > 1)
    )
    allowed = f"{_SAY_NOTHING} {by_route}{' and' if is_list else ''}".split()
    left = [word for word in rest.split() if word != "|" and word not in allowed]
    if not left:
        return None
    shown = _SHOWN.match(" ".join(left))
    return f'words with "{shown[0]}"' if shown else "words that no field explains"


def _take_out(phrase: str, text: str) -> tuple[str, int]:
    return re.subn(rf"(?<!\S)(?:{phrase})(?!\S)", "|", text)


def _fold(text: str) -> str:
    """Small letters, plain numbers, no punctuation: ``10.0 (Ten) Units.`` is ``10 units``."""
    text = " ".join(text.lower().split()).replace("a.m.", "am").replace("p.m.", "pm").replace("unit(s)", "units")
    text = _NUMBER_WORD.sub(lambda m: str(_read_number(m)), text)
    text = re.sub(r"(?<![\d.,])(\d+)\.0+(?![\d.,])", r"\1", text)
    text = re.sub(r"\b(\d+(?:\.\d+)?)((?: \S+)?) \(\1\2?\)", r"\1\2", text)
    text = re.sub(r"[;:()]+(?=\s|$)|(?<!\S)[(]+|[.,](?=\s|$|\))|(?<=\w)\)", " ", text)
    text = re.sub(r"\bonce\b", "1 times", re.sub(r"\btwice\b", "2 times", text))
    return " ".join(re.sub(r"\bhalf an hour\b", "30 minutes", text).split())


def _read_number(match: re.Match[str]) -> int:
    if match[3]:
        return _ONES.index(match[3])
    return 10 * (_TENS.index(match[1]) + 2) + (_ONES.index(match[2]) if match[2] else 0)


def _list_open(said: Said) -> Iterator[tuple[str, int]]:
    """Words of the route, and of what the fields leave open and they stand beside; and how often each may be said."""
    if not said.times:
        yield _ANY_TIME, said.doses_a_day or 1
    if said.days is None:
        yield "|".join(rf"(?:(?:on|every|each) )?{day.word}s?" for day in Weekday), 1
        yield f"(?:1 times? )?{_PER_DAY}", 1
    if said.route is not None:
        yield "|".join(sorted(WORDS_OF_ROUTE[said.route], key=len, reverse=True)), LONGEST_TEXT


def _list_statements(said: Said) -> dict[str, list[str]]:
    """For each kind of statement the phrases that make it; the first of several stands for all of them together."""
    statements: dict[str, list[str]] = {"dose": [], "times": [], "days": [], "count": []}
    if said.dose is not None:
        units = "|".join(map(re.escape, sorted(WORDS_OF_UNIT[said.dose.unit], key=len, reverse=True)))
        statements["dose"] = [rf"{re.escape(_write_number(said.dose.amount))} ?(?:{units})"]
    if said.times:
        before = f"(?:{said.minutes_before} (?:minutes?|mins?) )?" if said.minutes_before is not None else ""
        statements["times"] = [_name_together(said.times, before)] if len(said.times) > 1 else []
        statements["times"] += [_name_time(time, before, said.days) for time in said.times]
    if said.days not in (None, EVERY_DAY):
        named = [rf"(?:(?:on|every|each) )?{day.word[:3]}(?:{day.word[3:]}s?)?" for day in said.days or ()]
        statements["days"] = ["(?!)", *named] if len(named) > 1 else named
    statements["count"] = ["|".join(_list_counts(said)) or "(?!)"]
    return statements


def _write_number(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.10g}"


def _name_time(time: str, before: str, days: tuple[Weekday, ...] | None) -> str:
    if ":" in time:
        return rf"(?:at )?(?:{_name_clock_time(time)})"
    place, _, event = time.partition(" ")
    named = f"{_name_place(place)} (?:your )?{_MEALS[event]}" if event in _MEALS else _OTHER_TIMES.get(time, time)
    part = _PART_OF_DAY.get(event)
    every = "|every|each" if days == EVERY_DAY else ""
    return f"{before}{named}" + (f"|(?:in the{every}) {part}" if part else "")


def _name_clock_time(time: str) -> str:
    """07:30, 7:30 am; 19:00, 7:00 pm, 7 pm."""
    hour, minute = map(int, time.split(":"))
    half, small = "am" if hour < _NOON_HOUR else "pm", (hour - 1) % _NOON_HOUR + 1
    return f"0?{small}:{minute:02} ?{half}|0?{hour}:{minute:02}" + (f"|{small} ?{half}" if minute == 0 else "")


def _name_place(place: str) -> str:
    return "(?:at|with)" if place == "at" else place


def _name_together(times: tuple[str, ...], before: str) -> str:
    places, events = zip(*(time.partition(" ")[::2] for time in times), strict=True)
    if len(set(places)) > 1 or not set(events) <= set(_MEALS):
        return "(?!)"
    return rf"{before}{_name_place(places[0])} " + " (?:and )?".join(f"(?:your )?{_MEALS[event]}" for event in events)


def _list_counts(said: Said) -> Iterator[str]:
    """How often a day, or a week; "daily" alone only for one dose a day, since it may count all of a day together."""
    if said.days is None or said.doses_a_day is None:
        return
    if said.days == EVERY_DAY:
        count, pers = said.doses_a_day, _PER_DAY
        if count in _ABBREVIATIONS:
            yield _ABBREVIATIONS[count]
    else:
        count, pers = said.doses_a_day * len(said.days), "(?:weekly|a week|per week|every week|each week)"
    yield rf"{count} times? {pers}"
    if count == 1:
        yield pers
