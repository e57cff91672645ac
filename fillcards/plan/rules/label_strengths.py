"""Numbers in the words of a label: only the medicine's strength is allowed, however the label writes it.

A strength is an amount in a volume: ``100 IU/mL``, ``10,000 units per mL``, ``5 mg/2 mL``; ``U-100`` is 100 units/mL.
How labels write them: from memory, common practice.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from fillcards.quantities import Quantity, Unit
from fillcards.regimen.free_words import find_digit, find_number_word, fold_text
from fillcards.regimen.model import Medicine

_AMOUNT_IN_VOLUME: Final = re.compile(
    r"(?<![\w.,/])([0-9][0-9,]*(?:\.[0-9]+)?)\s*"
    r"(?:(units?|international units?|i\.?u\.?|u)|(mg|milligrams?)|(mcg|[u\u03bc]g|micrograms?)|(g|grams?))\s*"
    r"(?:/|\bper\b)\s*([0-9]+(?:\.[0-9]+)?)?\s*(?:ml|millilit(?:er|re)s?)\b"
)
_SCALE_NAME: Final = re.compile(r"\bu-?\s?([0-9]{2,3})\b")
_RATIO: Final = re.compile(r"\b([0-9]{2})\s*[/:-]\s*([0-9]{2})\b")
# A microgram, and a unit, in what an amount of each sort is counted in.
_COUNTED_IN: Final = ((Unit.UNITS_PER_ML, 1), (Unit.MG_PER_ML, 1000), (Unit.MG_PER_ML, 1), (Unit.MG_PER_ML, 1_000_000))
_PER_ML: Final = {Unit.UNITS_PER_ML: (Unit.UNITS_PER_ML, 1), Unit.MG_PER_ML: (Unit.MG_PER_ML, 1000)} | {
    Unit.MCG_PER_ML: (Unit.MG_PER_ML, 1)
}


def find_other_number(medicine: Medicine) -> str | None:
    """What on the label of a medicine is a number and not its strength, as folded words; ``None`` if there is none.

    Digits that belong to a name of the medicine, such as 70/30, count as the name.
    """
    if not medicine.on_the_label:
        return None
    rest = _remove_strength(medicine.on_the_label, medicine.strength)
    strange = _AMOUNT_IN_VOLUME.search(rest) or _SCALE_NAME.search(rest)
    if strange:
        return strange[0]
    names = (medicine.row.kind, *medicine.row.other_names) if medicine.row else (medicine.name,)
    numbered = [fold_label(name) for name in names if find_digit(name)]
    for words in (*numbered, *(ratio[0] for name in numbered for ratio in _RATIO.finditer(name))):
        rest = rest.replace(words, " ")
    return find_digit(rest) or find_number_word(rest)


def _remove_strength(label: str, strength: Quantity | None) -> str:
    """The folded words of a label without the strength, wherever it is."""

    def keep_others(match: re.Match[str]) -> str:
        return " " if strength and _read_strength(match) == _reduce(strength) else match[0]

    return _SCALE_NAME.sub(keep_others, _AMOUNT_IN_VOLUME.sub(keep_others, fold_label(label)))


def fold_label(text: str) -> str:
    """As ``fold_text``, and 70-30 or 70:30 as 70/30."""
    return _RATIO.sub(r"\1/\2", fold_text(text))


def _reduce(strength: Quantity) -> tuple[Unit, Fraction]:
    """A strength in units/mL, or in micrograms a mL (then under the unit of mass)."""
    unit, factor = _PER_ML[strength.unit]
    return unit, strength.amount * factor


def _read_strength(match: re.Match[str]) -> tuple[Unit, Fraction] | None:
    amount = Fraction(match[1].replace(",", ""))
    if match.re is _SCALE_NAME:
        return Unit.UNITS_PER_ML, amount
    volume_ml = Fraction(match[6] or 1)
    unit, factor = next(each for each, word in zip(_COUNTED_IN, match.groups()[1:5], strict=True) if word)
    return (unit, amount * factor / volume_ml) if volume_ml else None
