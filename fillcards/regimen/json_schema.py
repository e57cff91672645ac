"""JSON Schema of the regimen file, for editors that complete and mark while one types.

Made from the same table of keys that the reader uses. It helps but does not decide: what an editor accepts,
``read_regimen`` may still refuse. Every value is described as text, as the reader takes it; where an editor reads
``1``, ``30`` or ``true`` as a number or a truth value, that passes too.

Source: JSON Schema draft 2020-12.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fillcards.regimen import keys
from fillcards.regimen.model import Weekday

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def build_json_schema() -> dict[str, Any]:
    """The schema as a tree of plain Python values, ready for ``json.dumps``."""
    special = {
        keys.FILLCARDS: {"enum": [keys.VERSION, int(keys.VERSION)]},
        keys.PATIENT: _describe_mapping(keys.PATIENT_KEYS),
        keys.PRINT: _describe_mapping(keys.PRINT_KEYS),
        keys.SYRINGE: _describe_mapping(keys.SYRINGE_KEYS),
        keys.MEDICINES: _describe_medicines(),
        keys.FILLS: _describe_list(_describe_fill(), keys.MOST_FILLS),
        keys.CONTACTS: _allow_empty(_describe_list(_describe_mapping(keys.CONTACT_KEYS), keys.MOST_CONTACTS)),
        keys.CLINIC_SAYS: _allow_empty(_describe_mapping(keys.CLINIC_SAYS_KEYS)),
        keys.REPLACES: _describe_replaces(),
        keys.REVIEW: _describe_mapping(keys.REVIEW_KEYS),
    }
    return {
        "$schema": DRAFT,
        "title": "Fillcards regimen file",
        **_describe_mapping(keys.ROOT_KEYS, special),
    }


def _describe_mapping(
    table: tuple[keys.Key[Any], ...], special: dict[keys.Key[Any], dict[str, Any]] | None = None
) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {key.name: _describe_key(key, (special or {}).get(key)) for key in table},
        "required": [key.name for key in table if key.is_required],
        "additionalProperties": False,
    }


def _describe_key(key: keys.Key[Any], special: dict[str, Any] | None) -> dict[str, Any]:
    described = special if special is not None else key.form.describe() if key.form else {}
    if key.form and key.may_be_empty:
        described = _allow_empty(described)
    return {"description": key.help, **described}


def _allow_empty(described: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [{"enum": ["", None]}, described]}


def _describe_list(item: dict[str, Any], most: int) -> dict[str, Any]:
    return {"type": "array", "minItems": 1, "maxItems": most, "items": item}


def _describe_medicines() -> dict[str, Any]:
    words = {"type": "string", "minLength": 1}
    partners = {"anyOf": [words, {"type": "array", "minItems": 1, "uniqueItems": True, "items": words}]}
    none_on = _describe_days(keys.SOME_DAYS_OF_WORD)
    medicine = _describe_mapping(keys.MEDICINE_KEYS, {keys.MAY_SHARE_WITH: partners, keys.NONE_ON: none_on})
    medicine["if"] = {"properties": {keys.KIND.name: {"const": keys.OTHER}}}
    medicine["then"] = {"required": [key.name for key in keys.MUST_STATE_FOR_OTHER]}
    medicine["else"] = {
        "required": [keys.STRENGTH.name],
        "properties": {key.name: False for key in keys.OTHER_MEDICINE_KEYS},
    }
    return {
        "type": "object",
        "minProperties": 1,
        "maxProperties": keys.MOST_MEDICINES,
        "propertyNames": keys.MEDICINE_KEY.describe(),
        "additionalProperties": medicine,
    }


def _describe_replaces() -> dict[str, Any]:
    line = _describe_mapping(keys.REPLACED_LINE_KEYS, {keys.REPLACED_DAYS: _describe_days(keys.DAYS_OF_WORD)})
    lines = _describe_list(line, keys.MOST_FILLS * keys.MOST_IN_A_FILL)
    described = _describe_mapping(keys.REPLACES_KEYS, {keys.REPLACED_LINES: lines})
    return {"anyOf": [{"enum": ["", None, {}]}, described]}


def _describe_days(words: Iterable[str]) -> dict[str, Any]:
    weekdays = {"enum": [day.word for day in Weekday]}
    listed = {"type": "array", "minItems": 1, "uniqueItems": True, "items": weekdays}
    return {"anyOf": [{"enum": list(words)}, listed]}


def _describe_fill() -> dict[str, Any]:
    draw = {
        "type": "object",
        "minProperties": 1,
        "maxProperties": keys.MOST_IN_A_FILL,
        "additionalProperties": keys.DOSE_FORM.describe(),
    }
    days = _describe_days(keys.DAYS_OF_WORD)
    return _describe_mapping(keys.FILL_KEYS, {keys.DAYS: days, keys.DRAW: draw})
