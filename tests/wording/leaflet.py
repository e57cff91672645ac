"""All messages with sample values in reading order, to be proof-read like a leaflet: a file a language."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Final

from babel import Locale
from babel.messages.catalog import Message
from wording.make_messages import list_messages, list_source_messages, list_words

from fillcards.catalogue.model import ScaleName
from fillcards.plan.model import LineAmount
from fillcards.quantities import Quantity, Unit
from fillcards.readback.tongues import TONGUES
from fillcards.regimen.model import Weekday
from fillcards.wording.messages import PLURAL_KINDS, SLOTS, Say, Value, fit, render, say

SAMPLES: Final[dict[str, Value]] = {
    "stop": LineAmount(Fraction(20), False),
    "first": LineAmount(Fraction(11), False),
    "total": LineAmount(Fraction(34), False),
    "old": LineAmount(Fraction(31), False),
    "air": LineAmount(Fraction(23), False),
    "still": LineAmount(Fraction(11), False),
    "number": 34,
    "first_number": 11,
    "second_number": 23,
    "total_number": 34,
    "last": 50,
    "from_number": 30,
    "words": 34,
    "lines": 4,
    "minutes": 30,
    "in_use_days": 28,
    "page": 1,
    "pages": 2,
    "step": 3,
    "steps": 12,
    "dose": Quantity(Fraction(1, 4), Unit.MG),
    "old_dose": Quantity(Fraction(1, 8), Unit.MG),
    "volume": Quantity(Fraction(1, 10), Unit.ML),
    "each": Quantity(Fraction(1), Unit.UNITS),
    "label_strength": Quantity(Fraction(5, 2), Unit.MG_PER_ML),
    "strength": Quantity(Fraction(100), Unit.UNITS_PER_ML),
    "scale": ScaleName.U_100,
    "date": date(2026, 11, 25),
    "born": date(1951, 5, 4),
    "until": date(2026, 12, 20),
    "opened": date(2026, 11, 23),
    "days": (Weekday.SATURDAY, Weekday.SUNDAY),
    "day": (Weekday.THURSDAY,),
    "when": "before breakfast",
    "medicine": "insulin glargine",
    "first_medicine": "insulin regular",
    "second_medicine": "insulin isophane",
    "mark": "two rubber bands",
    "name": "Sample Patient",
    "identifier": "record 4471",
    "who": "Clinic",
    "phone": "555-0142",
    "note": "Five times as strong as common insulin.",
    "label": "insulin human isophane",
    "look": "clear",
    "first_look": "clear",
    "second_look": "cloudy",
    "checker": "A. Sample",
    "code": "DOHM",
    "old_code": "QK7E",
    "found": "two medicines in a syringe with a detachable needle",
    "expected": "a fixed needle",
    "remedy": "ask the pharmacist for syringes with a fixed needle",
    "text": say("vials-title"),
}
"""A value for every slot."""


BY_MOUTH: Final[dict[str, Value]] = {
    "scale": ScaleName.ML,
    "last": 3,
    "stop": LineAmount(Fraction(12, 5), True),
    "number": Fraction(12, 5),
    "words": Fraction(12, 5),
    "each": Quantity(Fraction(1, 10), Unit.ML),
    "medicine": "levetiracetam",
    "strength": Quantity(Fraction(100), Unit.MG_PER_ML),
    "label_strength": Quantity(Fraction(100), Unit.MG_PER_ML),
    "look": "clear",
}
"""What is another sample on a card for a medicine by mouth."""

_MOUTH: Final = re.compile(r"mouth|oral|bottle|-ml\b")


def list_counts(own: int, language: str) -> tuple[int, ...]:
    """Beside the sample's own count, the first one of each further form that a language has."""
    choose = TONGUES[language].form
    first: dict[int, int] = {}
    for count in range(1, 101):
        first.setdefault(choose(count), count)
    return tuple(count for form, count in first.items() if form != choose(own))


def list_samples(message_id: str, language: str = "en") -> tuple[Say, ...]:
    """A message with sample values; where a count chooses its form, first with other counts."""
    samples = SAMPLES | BY_MOUTH if _MOUTH.search(message_id) else SAMPLES
    message = fit(message_id, samples, language)
    counted = {slot: value for slot, value in message.values if SLOTS[slot] in PLURAL_KINDS}
    others = list_counts(value, language) if isinstance(value := next(iter(counted.values()), None), int) else ()
    return (*(fit(message_id, samples | dict.fromkeys(counted, count), language) for count in others), message)


def mark_bold(message: Say, language: str = "en") -> str:
    """The words of a message, bold ones between asterisks."""
    rendered = render(message, language)
    text, done = "", 0
    for start, end in rendered.bold:
        text += f"{rendered.text[done:start]}*{rendered.text[start:end]}*"
        done = end
    return text + rendered.text[done:]


def list_lines() -> Iterator[str]:
    """The English leaflet, line by line."""
    yield "Every sentence of a card in English, with sample values. Bold words stand between asterisks."
    for message_id, entry in list_messages("en"):
        yield from list_headings(entry)
        yield from (f"{mark_bold(message)}  [{message_id}]" for message in list_samples(message_id))


def list_headings(entry: Message) -> Iterator[str]:
    """The head of a part, where one begins."""
    for comment in entry.auto_comments:
        yield from ("", f"== {comment.partition('; sources')[0]}")


def list_pairs(language: str) -> Iterator[str]:
    """The leaflet of another language, line by line, each sentence below its English; then the words inside values."""
    name = Locale.parse(language).english_name
    yield f"Every sentence of a card in {name} below its English, with sample values. Bold stands between asterisks."
    yield "Nobody who speaks the language has signed it yet. Numbers of letters stand where a step is longer than 95."
    forms = {message_id: list_words(entry) for message_id, entry in list_messages(language)}
    for message_id, entry in list_source_messages():
        yield from list_headings(entry)
        if message_id in FORMS_OF_VALUES:
            yield from ("", *list_words(entry), *forms[message_id])
            continue
        samples = list_samples(message_id, language)
        yield from ("", f"{mark_bold(samples[-1])}  [{message_id}]")
        for message in samples:
            written = mark_bold(message, language)
            letters = len(written.replace("*", ""))
            yield f"{written}  ({letters})" if STEP.match(message_id) and letters > MOST_LETTERS else written


FORMS_OF_VALUES: Final = frozenset(message_id for message_id, _ in list_messages("en-values"))
STEP: Final = re.compile(r"wash|two-|one-|mouth-|inject-(skin|muscle|animal)|finish")
MOST_LETTERS: Final = 95


def write_leaflet(language: str = "en") -> str:
    """The whole leaflet."""
    return "\n".join(list_lines() if language == "en" else list_pairs(language)) + "\n"
