"""Strengths and amounts in the words of a label, as exact numbers, against the strength of the medicine.

A strength is an amount in a volume: ``100 IU/mL``, ``10,000 units per mL``, ``5 mg/2 mL``; ``U-100`` is 100 units/mL.
How labels write them: from memory, common practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from fillcards.quantities import Unit
from fillcards.regimen.free_words import find_amount, fold_text
from fillcards.regimen.model import Medicine

_UNIT: Final = r"(units?|i\.?u\.?|u\.?i\.?|i\.?e\.?|u|mg|mcg|[u\u03bc]g|g)"
_NUMBER: Final = r"(?<![\w.,/])([0-9][0-9,]*(?:\.[0-9]+)?)"
_IN_VOLUME: Final = re.compile(rf"{_NUMBER}\s*{_UNIT}\s*(?:/|\bper\b)\s*([0-9]+(?:\.[0-9]+)?)?\s*ml\b")
_SCALE_NAME: Final = re.compile(r"\bu-?\s?([0-9]{2,3})\b")
_BARE_UNITS: Final = re.compile(rf"{_NUMBER}\s*(?:units?|i\.?u\.?|u)(?!\w)")
_LINE: Final = re.compile(r"\blines?\b")

_MCG: Final = {"mg": 1000, "g": 1_000_000, "mcg": 1, "ug": 1, "\u03bcg": 1}
_MASSES: Final = {Unit.MG_PER_ML: 1000, Unit.MCG_PER_ML: 1}


@dataclass(frozen=True, slots=True)
class LabelStrength:
    """A strength as a label has it: its folded words, and the amount in units/mL or else in mcg/mL."""

    words: str
    amount: Fraction
    counts_units: bool


def list_label_strengths(label: str) -> tuple[LabelStrength, ...]:
    """Each strength on a label."""
    plain = fold_text(label)
    in_volume = tuple(
        LabelStrength(
            match[0], _parse(match[1]) * _MCG.get(match[2], 1) / _parse(match[3] or "1"), match[2] not in _MCG
        )
        for match in _IN_VOLUME.finditer(plain)
        if _parse(match[3] or "1") > 0
    )
    return (*in_volume, *(LabelStrength(match[0], _parse(match[1]), True) for match in _SCALE_NAME.finditer(plain)))


def remove_strengths(plain: str) -> str:
    """A folded text without its strengths."""
    return _SCALE_NAME.sub(" ", _IN_VOLUME.sub(" ", plain))


def find_other_amount(medicine: Medicine) -> str | None:
    """What on the label of a medicine contradicts its strength, as folded words; ``None`` if nothing does."""
    if not medicine.on_the_label:
        return None
    plain = fold_text(medicine.on_the_label)
    if _LINE.search(plain):
        return find_amount(plain) or "line"
    strength = medicine.strength
    if strength is None:
        return None
    is_units = strength.unit is Unit.UNITS_PER_ML
    wanted = strength.amount * (1 if is_units else _MASSES.get(strength.unit, 1))
    for found in list_label_strengths(plain):
        if found.counts_units is is_units and found.amount != wanted:
            return found.words
    return _find_bare_units(medicine, remove_strengths(plain), strength.amount) if is_units else None


def _find_bare_units(medicine: Medicine, plain: str, strength: Fraction) -> str | None:
    """Units without a volume that are neither the strength nor what the vial holds in all; asked of insulins."""
    whole = strength * medicine.vial_ml if medicine.vial_ml else strength
    for match in _BARE_UNITS.finditer(plain):
        if medicine.is_insulin and _parse(match[1]) not in {strength, whole}:
            return match[0].strip()
    return None


def _parse(number: str) -> Fraction:
    return Fraction(number.replace(",", ""))
