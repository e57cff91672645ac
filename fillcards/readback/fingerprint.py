"""The fingerprint worked out a second time, from the file's words: what a check is tied to.

SHA-256 (FIPS 180-4) of a text with one ``key = value`` a line, in base32 (RFC 4648, section 6); its first four
characters are the card code. Every value of the file goes in but the four that say who prepared and who checked.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator, Mapping
from fractions import Fraction
from importlib import resources
from typing import Any, Final

from fillcards.readback.regimen_text import Facts, Vial, load_medicine_rows, read_amount, read_days
from fillcards.readback.saying import read_bytes

CODE_LENGTH: Final = 4
HEAD: Final = "fillcards 2"
CHECK: Final = ("prepared_by", "checked_by", "checked_on", "checked_code")

_QUOTE: Final = json.JSONEncoder(ensure_ascii=False).encode


def compute_fingerprint(facts: Facts) -> str:
    """52 characters; the language's messages are on the pages and not in the file: their hash stands in the head."""
    lines = [HEAD, f"messages = {_hash_words(facts.language)}"]
    lines += [f"{path} = {_QUOTE(value)}" for path, value in list_values(facts)]
    digest = hashlib.sha256(("\n".join(lines) + "\n").encode()).digest()
    return base64.b32encode(digest).decode("ascii").rstrip("=")


def _hash_words(language: str) -> str:
    folder = resources.files("fillcards.wording")
    words = folder.joinpath(f"{language}.mo").read_bytes()
    if language != "en":  # by which it writes numbers and dates; English has rules for them
        words += folder.joinpath(f"{language}.json").read_bytes() + read_bytes(language)
    return hashlib.sha256(words).hexdigest()


def name_edition(language: str) -> str:
    """By what the staff sheet names the words of a language."""
    return _hash_words(language)[:8].upper()


def list_values(facts: Facts) -> Iterator[tuple[str, str | None]]:
    """Every value with its path, in the order of the format's own keys."""
    root = facts.raw
    syringe, patient = root["syringe"], root.get("patient") or {}
    choice, review, says = root.get("print") or {}, root.get("review") or {}, root.get("clinic_says") or {}
    yield "syringe.scale", facts.scale
    yield "syringe.capacity_ml", str(read_amount(syringe["capacity"]).number)
    yield "syringe.line_every", str(facts.line_every)
    yield "syringe.numbered_every", str(facts.numbered_every)
    yield "syringe.long_every", str(facts.long_every)
    yield "syringe.shortest_scale_length_mm", str(facts.shortest_scale_length)
    yield "syringe.scale_length_mm", _number(syringe, "scale_length")
    yield "syringe.needle", facts.needle
    for index, vial in enumerate(facts.vials, start=1):
        for name, value in _list_medicine(vial, root["medicines"][vial.key]):
            yield f"medicines[{index}].{name}", value
    for index, entry in enumerate(root["fills"], start=1):
        yield f"fills[{index}].when", _text(entry, "when")
        for place, (key, dose_text) in enumerate(entry["draw"].items(), start=1):
            dose = read_amount(dose_text)
            yield f"fills[{index}].draws[{place}].medicine", key.strip()
            yield f"fills[{index}].draws[{place}].dose.amount", str(dose.number)
            yield f"fills[{index}].draws[{place}].dose.unit", dose.unit
        yield f"fills[{index}].minutes_before", _number(entry, "minutes_before")
        for place, day in enumerate(read_days(entry.get("days")), start=1):
            yield f"fills[{index}].days[{place}]", str(day)
    yield "language", facts.language
    yield "patient.name", _text(patient, "name")
    yield "patient.second_identifier", _text(patient, "second_identifier")
    yield "patient.kind", "animal" if facts.is_animal else "person"
    reads = _text(patient, "reads")
    yield "patient.reads", f"{reads}, reserve {float(_text(patient, 'reserve') or 2):g}" if reads else None
    yield "patient.text_size_pt", _number(patient, "text_size")
    yield "patient.born", _text(patient, "born")
    yield "print.paper", _text(choice, "paper") or "letter"
    yield "print.barrel", _text(choice, "barrel") or "needle_up"
    for index, (who, phone) in enumerate(facts.contacts, start=1):
        yield f"contacts[{index}].who", who
        yield f"contacts[{index}].phone", phone
    yield "notes", _text(root, "notes")
    yield "prescription", _text(root, "prescription")
    yield "clinic_says.low_sugar", _text(says, "low_sugar")
    yield "clinic_says.sickness", _text(says, "sickness")
    yield from _list_replaces(root.get("replaces"))
    yield "review.date", _text(review, "date")
    for name in CHECK:
        yield f"review.{name}", None
    yield "review.ask_again_by", _text(review, "ask_again_by")
    yield "is_sample", str(facts.is_sample)


def _list_medicine(vial: Vial, entry: Mapping[str, Any]) -> Iterator[tuple[str, str | None]]:
    row = load_medicine_rows().get(_text(entry, "kind") or "")
    yield "key", vial.key
    yield "row", vial.name if row else None
    yield "name", vial.name
    if vial.strength:
        yield "strength.amount", str(vial.strength.number)
        yield "strength.unit", vial.strength.unit
    else:
        yield "strength", None
    yield "vial_ml", _number(entry, "vial")
    yield "look", vial.look
    yield "motion", vial.motion
    yield "takes_air", str(vial.takes_air)
    yield "route", vial.route
    shares = row["shares_with"] if row else entry.get("may_share_with") or ()
    keys = [shares] if isinstance(shares, str) else shares
    kept = [key.strip() for key in keys if key.strip() != "none"]
    for index, key in enumerate(kept, start=1):
        yield f"shares_with[{index}]", key
    yield "in_use_days", str(vial.days_open)
    yield "in_use_days_from_label", str(vial.days_from_label)
    for index, day in enumerate(read_days(entry["none_on"]) if entry.get("none_on") else (), start=1):
        yield f"none_on[{index}]", str(day)
    for name in ("mixing_checked_by", "on_the_label", "vial_mark", "opened", "expires", "warning"):
        yield name, _text(entry, name)


def _list_replaces(entry: Mapping[str, Any] | None) -> Iterator[tuple[str, str | None]]:
    if not entry:
        yield "replaces", None
        return
    yield "replaces.card_code", _text(entry, "card_code")
    yield "replaces.fingerprint", _text(entry, "fingerprint")
    yield "replaces.dated", _text(entry, "dated")
    for index, line in enumerate(entry.get("lines") or (), start=1):
        yield f"replaces.stops[{index}].when", _text(line, "when")
        for place, day in enumerate(read_days(line.get("days")), start=1):
            yield f"replaces.stops[{index}].days[{place}]", str(day)
        yield f"replaces.stops[{index}].medicine", _text(line, "medicine")
        yield f"replaces.stops[{index}].line", str(Fraction(_text(line, "line") or "0"))
        dose = read_amount(_text(line, "dose") or "0 units")
        yield f"replaces.stops[{index}].dose.amount", str(dose.number)
        yield f"replaces.stops[{index}].dose.unit", dose.unit
    yield "replaces.scale", _text(entry, "scale")


def _text(entry: Mapping[str, Any], key: str) -> str | None:
    return " ".join(str(entry.get(key) or "").split()) or None


def _number(entry: Mapping[str, Any], key: str) -> str | None:
    text = _text(entry, key)
    return str(read_amount(text).number) if text else None
