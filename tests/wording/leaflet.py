"""All messages with sample values in reading order, to be proof-read like a leaflet: ``tests/golden/en.txt``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Final

from wording.make_messages import read_catalogue

from fillcards.catalogue.model import ScaleName
from fillcards.plan.model import LineAmount
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import Weekday
from fillcards.wording.messages import Say, Value, fit, render, say
from fillcards.wording.slots import PLURAL_KINDS, SLOTS

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


def list_samples(message_id: str) -> tuple[Say, ...]:
    """A message with sample values; where a count chooses its form, first with one."""
    samples = SAMPLES | BY_MOUTH if _MOUTH.search(message_id) else SAMPLES
    message = fit(message_id, samples)
    counts: dict[str, Value] = {slot: 1 for slot, _ in message.values if SLOTS[slot] in PLURAL_KINDS}
    return (fit(message_id, samples | counts), message) if counts else (message,)


def mark_bold(message: Say) -> str:
    """The words of a message, bold ones between asterisks."""
    rendered = render(message)
    text, done = "", 0
    for start, end in rendered.bold:
        text += f"{rendered.text[done:start]}*{rendered.text[start:end]}*"
        done = end
    return text + rendered.text[done:]


def list_lines() -> Iterator[str]:
    """The leaflet, line by line."""
    yield "Every sentence of a card in English, with sample values. Bold words stand between asterisks."
    for entry in read_catalogue("en"):
        if not entry.id:
            continue
        for comment in entry.auto_comments:
            yield from ("", f"== {comment.partition('; sources')[0]}")
        message_id = entry.id if isinstance(entry.id, str) else entry.id[0]
        yield from (f"{mark_bold(message)}  [{message_id}]" for message in list_samples(message_id))


def write_leaflet() -> str:
    """The whole leaflet."""
    return "\n".join(list_lines()) + "\n"
