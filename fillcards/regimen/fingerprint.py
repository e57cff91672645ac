"""The fingerprint of a regimen and the card code: what a check is tied to, so that it cannot outlive a change.

Whatever touches the dose goes in: who, syringe, medicines, fills, notes and language. Who prepared or checked the card,
its date, the paper, the eyesight, the telephone numbers and the dates of the vials stay out, so that a card printed
larger or for a new vial keeps its code.

Facts: SHA-256 (FIPS 180-4) of a text with one ``key = value`` a line, written in base32, whose alphabet has neither 0
nor 1, 8 or 9 (RFC 4648, section 6), so that a code read aloud is not misheard as a dose.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator
from typing import Final

from fillcards.regimen.model import Fill, Medicine, Regimen, Syringe
from fillcards.regimen.person_names import is_same_person

CODE_LENGTH: Final = 4
_FORM_OF_TEXT: Final = "fillcards 1"
_QUOTE: Final = json.JSONEncoder(ensure_ascii=False).encode


def compute_fingerprint(regimen: Regimen) -> str:
    """52 characters of base32 over everything in the regimen that touches the dose. Source: ``rfc-4648``."""
    digest = hashlib.sha256(write_canonical_text(regimen).encode("utf-8")).digest()
    return base64.b32encode(digest).decode("ascii").rstrip("=")


def compute_card_code(regimen: Regimen) -> str:
    """The first four characters of the fingerprint, as printed on the card and copied into ``review.checked_code``."""
    return compute_fingerprint(regimen)[:CODE_LENGTH]


def is_checked(regimen: Regimen) -> bool:
    """Whether another person than who prepared it has checked this very regimen."""
    review = regimen.review
    is_code = review.checked_code == compute_card_code(regimen)
    return bool(review.checked_by) and is_code and not is_self_checked(regimen)


def is_self_checked(regimen: Regimen) -> bool:
    """Whether who checked the card is who prepared it."""
    prepared_by, checked_by = regimen.review.prepared_by, regimen.review.checked_by
    return prepared_by is not None and checked_by is not None and is_same_person(prepared_by, checked_by)


def is_check_stale(regimen: Regimen) -> bool:
    """Whether somebody has checked the regimen before it was changed."""
    code = regimen.review.checked_code
    return bool(code) and code != compute_card_code(regimen)


def write_canonical_text(regimen: Regimen) -> str:
    """The text the fingerprint is taken of. Amounts are exact fractions; a value left out is ``null``."""
    lines = [_FORM_OF_TEXT, *(f"{key} = {_write_value(value)}" for key, value in _list_values(regimen))]
    return "\n".join(lines) + "\n"


def _write_value(value: object) -> str:
    # JSON quotes every line break, so that no text can pass for a line of its own.
    return _QUOTE(None if value is None else str(value))


def _list_values(regimen: Regimen) -> Iterator[tuple[str, object]]:
    yield "language", regimen.language
    yield "patient.name", regimen.patient.name
    yield "patient.second_identifier", regimen.patient.second_identifier
    yield "patient.kind", regimen.patient.kind.value
    yield from _list_syringe(regimen.syringe)
    for number, medicine in enumerate(regimen.medicines, start=1):
        yield from _list_medicine(f"medicines[{number}]", medicine)
    for number, fill in enumerate(regimen.fills, start=1):
        yield from _list_fill(f"fills[{number}]", fill)
    yield "notes", regimen.notes


def _list_syringe(syringe: Syringe) -> Iterator[tuple[str, object]]:
    yield "syringe.scale", syringe.scale.value
    yield "syringe.capacity_ml", syringe.capacity_ml
    yield "syringe.line_every", syringe.line_every
    yield "syringe.numbered_every", syringe.numbered_every
    yield "syringe.long_every", syringe.long_every
    yield "syringe.shortest_scale_length_mm", syringe.shortest_scale_length_mm
    yield "syringe.scale_length_mm", syringe.scale_length_mm
    yield "syringe.needle", syringe.needle.value


def _list_medicine(path: str, medicine: Medicine) -> Iterator[tuple[str, object]]:
    yield f"{path}.key", medicine.key
    yield f"{path}.kind", medicine.row.kind if medicine.row else "other"
    yield f"{path}.name", medicine.name
    strength = medicine.strength
    yield f"{path}.strength", f"{strength.amount} {strength.unit.value}" if strength else None
    yield f"{path}.vial_ml", medicine.vial_ml
    yield f"{path}.look", medicine.look
    yield f"{path}.motion", medicine.motion.value
    yield f"{path}.takes_air", medicine.takes_air
    yield f"{path}.route", medicine.route.value
    yield f"{path}.shares_with", _QUOTE(medicine.shares_with)
    yield f"{path}.in_use_days", medicine.in_use_days
    yield f"{path}.in_use_days_from_label", medicine.in_use_days_from_label
    yield f"{path}.mixing_checked_by", medicine.mixing_checked_by
    yield f"{path}.on_the_label", medicine.on_the_label
    yield f"{path}.vial_mark", medicine.vial_mark
    yield f"{path}.warning", medicine.warning


def _list_fill(path: str, fill: Fill) -> Iterator[tuple[str, object]]:
    yield f"{path}.when", fill.when
    yield f"{path}.minutes_before", fill.minutes_before
    yield f"{path}.days", ", ".join(day.word for day in fill.days_given)
    for number, draw in enumerate(fill.draws, start=1):
        yield f"{path}.draw[{number}].medicine", draw.medicine
        yield f"{path}.draw[{number}].dose", f"{draw.dose.amount} {draw.dose.unit.value}"
