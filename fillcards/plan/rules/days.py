"""Rules about the days of the week: those left out, by medicine over all fills, and what the file says about them.

A medicine under two keys is one medicine here: drawn on Sunday under either key, it is given on Sunday.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from fillcards.plan.rules.by_medicine import MedicineFills, list_medicine_fills
from fillcards.plan.rules.rule import Finding, Rule, find_place, write_list
from fillcards.problems import Severity
from fillcards.regimen.free_words import fold_text
from fillcards.regimen.model import EVERY_DAY, Regimen, Weekday

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
                find_place(medicine.fills[0], "days"),
                f"no {medicine.name} on {_write_days(without)}",
                f"a dose on every day of the week, or {_write_key(without)} under the medicine",
                "compare the days with the prescription; if there really is no dose on these days, add that line: "
                "the card is not released without it",
            )


def check_none_on(regimen: Regimen) -> Iterator[Finding]:
    """A day that the file states to be without a medicine, although a fill draws it then."""
    for medicine in list_medicine_fills(regimen):
        for entry in medicine.entries:
            wrong = frozenset(entry.none_on) & medicine.days_drawn
            if wrong:
                first = next(day for day in EVERY_DAY if day in wrong)
                when = f"{medicine.list_fills_on(first)[0].when} on {first.word.capitalize()}"
                yield Finding(
                    find_place(entry, "none_on"),
                    f"none_on names {_write_days(wrong)}, but {medicine.name} is drawn {when}",
                    "days on which no fill draws this medicine",
                    "compare the days with the prescription, and correct them here or under the fill",
                )


def ask_about_weekly(regimen: Regimen) -> Iterator[Finding]:
    """A medicine whose own words say once a week, drawn on more days than that."""
    for medicine in list_medicine_fills(regimen):
        found = _find_how_often(medicine)
        if found and len(medicine.days_drawn) > found[1]:
            words, most = found
            yield Finding(
                find_place(medicine.fills[0], "days"),
                f'"{words}" in the words about {medicine.name}, drawn on {len(medicine.days_drawn)} days a week',
                f"at most {most} {'day' if most == 1 else 'days'} a week, as those words say",
                "compare the days with the prescription: a weekly medicine injected daily is seven times the dose",
            )


def _find_how_often(medicine: MedicineFills) -> tuple[str, int] | None:
    for entry in medicine.entries:
        for text in (entry.name, entry.on_the_label, entry.warning, entry.key.replace("_", " ").replace("-", " ")):
            for pattern, most in _SAYS_HOW_OFTEN:
                match = pattern.search(fold_text(text)) if text else None
                if match:
                    return match[0], most
    return None


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION

DAYS_LEFT_OUT: Final = "WHEN-004"

RULES = (
    Rule(DAYS_LEFT_OUT, _CAUTION, caution_days_left_out),
    Rule("WHEN-005", _REFUSE, check_none_on),
    Rule("WHEN-006", _CAUTION, ask_about_weekly),
)
