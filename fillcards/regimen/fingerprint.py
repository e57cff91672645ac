"""The fingerprint of a regimen and the card code: what a check is tied to, so that it cannot outlive a change.

Every value of the file goes in, so that none that reaches a page can be forgotten: doses, phones, dates, marks, paper
and directions alike. Left out are only the four keys that say who prepared and who checked, when, and for which code,
and medicines that no fill draws, of which no page speaks.

Facts: SHA-256 (FIPS 180-4) of a text with one ``key = value`` a line, written in base32, whose alphabet has neither 0
nor 1, 8 or 9 (RFC 4648, section 6), so that a code read aloud is not misheard as a dose.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from functools import lru_cache
from importlib import resources
from typing import Final

from fillcards.catalogue.model import MedicineKind
from fillcards.catalogue.near_vision import NearAcuity
from fillcards.regimen.labels import is_same_person
from fillcards.regimen.languages import ENGLISH, LANGUAGES, read_clinic_file
from fillcards.regimen.model import PatientKind, Regimen

CODE_LENGTH: Final = 4
EDITION_LENGTH: Final = 8
"""Of the hash of a language's messages, what names its edition."""
_FORM_OF_TEXT: Final = "fillcards 2"
_QUOTE: Final = json.JSONEncoder(ensure_ascii=False).encode


def compute_fingerprint(regimen: Regimen) -> str:
    """52 characters of base32 over every value of the file but the four about the check. Source: ``rfc-4648``."""
    digest = hashlib.sha256(write_canonical_text(regimen).encode("utf-8")).digest()
    return base64.b32encode(digest).decode("ascii").rstrip("=")


def compute_card_code(regimen: Regimen) -> str:
    """The first four characters of the fingerprint, as printed on the card and copied into ``review.checked_code``."""
    return compute_fingerprint(regimen)[:CODE_LENGTH]


def is_checked(regimen: Regimen) -> bool:
    """Whether this very regimen was checked, on a day that is given, by neither who prepared it nor the patient."""
    review = regimen.review
    is_told = bool(review.prepared_by and review.checked_by and review.checked_on)
    return is_told and not is_self_checked(regimen) and review.checked_code == compute_card_code(regimen)


def is_self_checked(regimen: Regimen) -> bool:
    """Whether who checked the card may be who prepared it, or the patient; an animal's name is nobody's here."""
    patient = regimen.patient.name if regimen.patient.kind is PatientKind.PERSON else None
    checker = regimen.review.checked_by or ""
    return any(is_same_person(checker, name) for name in (regimen.review.prepared_by, patient) if name)


def is_check_stale(regimen: Regimen) -> bool:
    """Whether somebody has checked the regimen before it was changed."""
    code = regimen.review.checked_code
    return bool(code) and code != compute_card_code(regimen)


def write_canonical_text(regimen: Regimen) -> str:
    """The text the fingerprint is taken of. Amounts are exact fractions; a value left out is ``null``.

    What is on the pages and not in the file, the messages of its language, stands in the head.
    """
    head = (_FORM_OF_TEXT, f"messages = {hash_messages(regimen.language)}")
    lines = [*head, *(f"{path} = {_QUOTE(text)}" for path, text in _list_values("", _leave_check_out(regimen)))]
    return "\n".join(lines) + "\n"


def hash_messages(language: str) -> str:
    """SHA-256 of a language's messages: words that change make every check of a card in them stale.

    Of another language than English, of the data by which it writes numbers and dates as well, and of the clinic's own
    file. Who signed English words is told on the sheet for staff alone.

    Raises:
        OutputError: the clinic's file cannot be read.
    """
    return _hash_words(language, b"" if language == ENGLISH else read_clinic_file(language))


@lru_cache(maxsize=8)
def _hash_words(language: str, clinic: bytes) -> str:
    folder = resources.files("fillcards.wording")
    endings = ("mo",) if language == ENGLISH else ("mo", "json")
    ours = b"".join(folder.joinpath(f"{language}.{ending}").read_bytes() for ending in endings)
    return hashlib.sha256(ours + clinic).hexdigest()


def hash_all_words() -> str:
    """SHA-256 of what cards say today in every language, with each file of the clinic's, signed English among them.

    Raises:
        OutputError: a file of the clinic's cannot be read.
    """
    parts = (f"{language} {hash_messages(language)} ".encode() + read_clinic_file(language) for language in LANGUAGES)
    return hashlib.sha256("".join(hashlib.sha256(part).hexdigest() for part in parts).encode()).hexdigest()


def name_edition(language: str) -> str:
    """Which words a card is in: they are named by their hash, so that no change passes for what somebody signed."""
    return hash_messages(language)[:EDITION_LENGTH].upper()


def _leave_check_out(regimen: Regimen) -> Regimen:
    """The regimen without the check and undrawn medicines; days left out are every day, as on the card."""
    review = replace(regimen.review, prepared_by=None, checked_by=None, checked_on=None, checked_code=None)
    fills = tuple(replace(fill, days=fill.days_given) for fill in regimen.fills)
    return replace(regimen, review=review, fills=fills, not_drawn=())


def _list_values(path: str, value: object) -> Iterator[tuple[str, str | None]]:
    """Every value with its path. JSON quotes each line break, so that no text can pass for a line of its own."""
    if isinstance(value, MedicineKind):
        # The rest of the row has become the medicine's own values.
        yield path, value.kind
    elif isinstance(value, NearAcuity):
        # As written: what is worked out from it is a float, whose last digits may differ from machine to machine.
        yield path, f"{value.text}, reserve {value.reserve:g}"
    elif is_dataclass(value):
        for field in fields(value):
            # Places do not count when two regimens are compared, and not here.
            if field.compare:
                yield from _list_values(f"{path}.{field.name}" if path else field.name, getattr(value, field.name))
    elif isinstance(value, tuple):
        for number, item in enumerate(value, start=1):
            yield from _list_values(f"{path}[{number}]", item)
    else:
        text = value.value if isinstance(value, Enum) else value
        yield path, None if text is None else str(text)
