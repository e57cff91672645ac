"""The data of a language beside its messages: from CLDR by Babel (dates, days, lists) and num2words (numbers).

Where those two say something that a card must not, it is put right here, with the reason.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from babel import Locale
from num2words import num2words

MOST: Final = 1000
"""The highest line there is on a barrel is 500; a language has words for twice as many."""

LOCALES: Final = {"es": "es_US"}
"""Where a language writes numbers in more ways than one. Spanish with a decimal point: Latin American practice, which
is also what barrels and labels in the United States carry."""

POINTS: Final = {"es": "punto", "vi": "phẩy", "ru": "запятая", "ar": "فاصلة", "hi": "दशमलव"}
"""The word for the sign before decimals, which are read digit by digit. Common practice, no source."""

STOPS: Final = {"hi": "\N{DEVANAGARI DANDA}"}
"""What ends a sentence where it is no full stop. Common practice, no source."""

RUNS: Final = {
    "es": "{first} a {last}",
    "vi": "{first} đến {last}",
    "ru": "с {first} по {last}",
    "ar": "من {first} إلى {last}",
    "hi": "{first} से {last}",
}
"""Days in a row. Common practice, no source."""

CASES: Final[Mapping[str, tuple[str, str]]] = {
    "ru": (
        "понедельника вторника среды четверга пятницы субботы воскресенья",
        "понедельник вторник среду четверг пятницу субботу воскресенье",
    )
}
"""The forms of the days after the first and after the second word of a run (genitive, accusative): CLDR has no such."""

ONES_OF_LINES: Final = {"ru": {1: "одна", 2: "две"}}
"""A count of lines takes the gender of the word line."""

HINDI: Final = tuple(
    word
    for words in (
        "शून्य एक दो तीन चार पाँच छह सात आठ नौ दस ग्यारह बारह तेरह चौदह पंद्रह सोलह सत्रह अठारह उन्नीस",
        "बीस इक्कीस बाईस तेईस चौबीस पच्चीस छब्बीस सत्ताईस अट्ठाईस उनतीस",
        "तीस इकतीस बत्तीस तैंतीस चौंतीस पैंतीस छत्तीस सैंतीस अड़तीस उनतालीस",
        "चालीस इकतालीस बयालीस तैंतालीस चौवालीस पैंतालीस छियालीस सैंतालीस अड़तालीस उनचास",
        "पचास इक्यावन बावन तिरपन चौवन पचपन छप्पन सत्तावन अट्ठावन उनसठ",
        "साठ इकसठ बासठ तिरसठ चौंसठ पैंसठ छियासठ सड़सठ अड़सठ उनहत्तर",
        "सत्तर इकहत्तर बहत्तर तिहत्तर चौहत्तर पचहत्तर छिहत्तर सतहत्तर अठहत्तर उन्यासी",
        "अस्सी इक्यासी बयासी तिरासी चौरासी पचासी छियासी सत्तासी अट्ठासी नवासी",
        "नब्बे इक्यानवे बानवे तिरानवे चौरानवे पंचानवे छियानवे सत्तानवे अट्ठानवे निन्यानवे",
    )
    for word in words.split()
)
"""num2words 0.5 has no Hindi. Each number up to 99 has a name of its own; written from memory, common practice."""


def write_data(language: str) -> str:
    """The ``.json`` file."""
    return json.dumps(make_data(language), ensure_ascii=False, indent=0) + "\n"


def make_data(language: str) -> dict[str, Any]:
    """Every value of ``fillcards.wording.writers.Language``."""
    locale = Locale.parse(LOCALES.get(language, language))
    days = [locale.days["stand-alone"]["wide"][number] for number in range(7)]
    first, last = (words.split() for words in CASES.get(language, (" ", " ")))
    numbers = [write_in_words(number, language) for number in range(MOST + 1)]
    counts = numbers[:13]
    for number, word in ONES_OF_LINES.get(language, {}).items():
        counts[number] = word
    decimal = locale.number_symbols["latn"]["decimal"]
    lists = locale.list_patterns["standard"]
    return {
        "decimal": decimal,
        # A point between thousands, as Vietnamese has it, is a decimal point on every barrel and label.
        "group": "," if decimal == "." else "",
        "point": POINTS[language],
        "numbers": numbers,
        "counts": counts,
        "dated": write_date_pattern(locale),
        "months": [locale.months["format"]["wide"][number] for number in range(1, 13)],
        "days": days,
        "run": RUNS[language],
        "first": first or days,
        "last": last or days,
        "pair": lists["2"],
        "series": lists["start"],
        "stop": STOPS.get(language, "."),
    }


def write_date_pattern(locale: Locale) -> str:
    """CLDR's long date: its letters as slots, its quoted words bare.

    The Russian short form for "year" ends in a full stop, which would end the sentence: it is written out. The
    Vietnamese comma, which reads as a list beside other values, gives way to the word for "year".
    """
    pattern = str(locale.date_formats["long"].pattern)
    pattern = re.sub(r"'([^']*)'", r"\1", re.sub(r"\bd\b", "{day}", pattern.replace("MMMM", "{month}"), count=1))
    pattern = re.sub(r"\by\b", "{year}", pattern)
    return re.sub(r"\sг\.", " года", pattern).replace("{month}, {year}", "{month} năm {year}")


def _write_arabic(number: int) -> str:
    """num2words parts "and" from its word, and leaves the two hundred of a longer number without its end."""
    words = num2words(number, lang="ar").replace(" و ", " و")
    return "مئتان" if words == "مئتا" else words.replace("مئتا ", "مئتان ")


def _write_hindi(number: int) -> str:
    if number == MOST:
        return "एक हज़ार"
    hundreds, rest = divmod(number, 100)
    return " ".join(([f"{HINDI[hundreds]} सौ"] if hundreds else []) + ([HINDI[rest]] if rest or not hundreds else []))


_OWN: Final[Mapping[str, Callable[[int], str]]] = {"ar": _write_arabic, "hi": _write_hindi}


def write_in_words(number: int, language: str) -> str:
    """A whole number as the number of a line is read: alone, in the nominative."""
    own = _OWN.get(language)
    return own(number) if own else str(num2words(number, lang=language))
