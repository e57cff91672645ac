"""Exact quantities with their units: parsing, arithmetic and safe writing.

Everything that touches a dose is a ``Fraction`` from the file to the mark; ``float`` appears only for millimetres on
paper, in ``geometry`` and above. This module knows nothing of syringes, medicines or files: it turns text into a
number with a unit, or says why not, and writes it back by the writing rules of medication safety.

Source of the writing rules (units in full, a zero before the point, none after it, a space before the unit, commas
from 1,000): Joint Commission "Do Not Use" list and the ISMP list of error-prone abbreviations.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal, Inexact
from enum import Enum
from fractions import Fraction
from typing import Final

MM_PER_INCH: Final = Fraction(254, 10)
MM_PER_POINT: Final = MM_PER_INCH / 72
"""A point is 1/72 inch, as in PDF (ISO 32000-1, 8.3.2.3)."""

_EXACT: Final = Context(prec=100, traps=[Inexact])
"""More digits than any amount of a regimen leads to; a division that leaves a rest stops."""

MOST_WHOLE_DIGITS: Final = 6
MOST_DECIMALS: Final = 4

_NUMBER: Final = r"(?:0|[1-9][0-9]*)(?:\.[0-9]+)?"
# Two amounts with a dash or a word between, the unit after both or after the last; every dash Unicode has.
_RANGE: Final = re.compile(
    r"\d[ \u00a0]*(?:[A-Za-z/]+[ \u00a0]*)?(?:[-~/\u00b1\u2010-\u2015\u2212\u223c\uff0d]|\.\.+|\u2026"
    r"|\b(?:to|or|and|bis|until|through)\b)[ \u00a0]*\.?\d"
)
_VAGUE: Final = re.compile(
    r"[~<>\u2248\u2264\u2265?+*]|\b(?:about|approx\w*|around|circa|ca|roughly|nearly|up to|at (?:least|most)|max\w*"
    r"|min(?:imum)?|under|over|less|more|between|if needed|as needed|sliding)\b",
    re.IGNORECASE,
)
_FRACTION: Final = re.compile(r"[\u00bc-\u00be\u2150-\u215e]|^\d+/\d|\d \d+/\d")


class Unit(Enum):
    """A unit that may stand in a regimen file, by the word it is written with."""

    UNITS = "units"
    MG = "mg"
    MCG = "mcg"
    ML = "mL"
    UNITS_PER_ML = "units/mL"
    MG_PER_ML = "mg/mL"
    MCG_PER_ML = "mcg/mL"
    MM = "mm"
    PT = "pt"
    DAYS = "days"

    def __str__(self) -> str:
        return self.value


DOSE_UNITS: Final = (Unit.UNITS, Unit.MG, Unit.MCG, Unit.ML)
STRENGTH_UNITS: Final = (Unit.UNITS_PER_ML, Unit.MG_PER_ML, Unit.MCG_PER_ML)

_SINGULAR: Final = {Unit.UNITS: "unit", Unit.DAYS: "day"}
_UNIT_OF_WORD: Final = {unit.value: unit for unit in Unit} | {word: unit for unit, word in _SINGULAR.items()}

# What people write instead, in small letters, and what it is called here. Each is refused all the same: the writing
# rules exist because these very forms have been misread.
_MISWRITTEN: Final = {word.lower(): unit for word, unit in _UNIT_OF_WORD.items()} | {
    "u": Unit.UNITS,
    "iu": Unit.UNITS,
    "cc": Unit.ML,
    "mls": Unit.ML,
    "mgs": Unit.MG,
    "ug": Unit.MCG,
    "\u00b5g": Unit.MCG,
    "\u03bcg": Unit.MCG,
    "u/ml": Unit.UNITS_PER_ML,
    "iu/ml": Unit.UNITS_PER_ML,
    "unit/ml": Unit.UNITS_PER_ML,
    "\u00b5g/ml": Unit.MCG_PER_ML,
    "\u03bcg/ml": Unit.MCG_PER_ML,
}


class QuantityError(ValueError):
    """Text that is not a quantity of the wanted kind.

    Attributes:
        expected: what would have been accepted, in words.
        remedy: what the writer of the file should do.
        code: which rule of writing is broken; see the table of codes.
    """

    def __init__(self, expected: str, remedy: str, code: str = "QTY-001") -> None:
        super().__init__(f"expected {expected}; {remedy}")
        self.expected = expected
        self.remedy = remedy
        self.code = code


@dataclass(frozen=True, slots=True)
class Quantity:
    """An exact amount with its unit, such as 8 units or 0.25 mg."""

    amount: Fraction
    unit: Unit

    def __str__(self) -> str:
        return write_quantity(self)


def parse_number(text: str, *, zero_allowed: bool = False) -> Fraction:
    """Read a plain decimal number as it may stand in a regimen file.

    Args:
        text: ASCII digits with at most one decimal point; no sign, exponent, comma, leading or trailing zero.
        zero_allowed: whether 0 itself passes.

    Raises:
        QuantityError: with the reason and the form that would have passed.
    """
    _require_one_amount(text)
    _require_plain_digits(text)
    whole, _, decimals = text.partition(".")
    if decimals.endswith("0"):
        shorter = text.rstrip("0").rstrip(".")
        raise QuantityError(_A_NUMBER, f'write no zero at the end of a decimal: "{shorter}"')
    if len(whole) > MOST_WHOLE_DIGITS or len(decimals) > MOST_DECIMALS:
        limits = f"at most {MOST_WHOLE_DIGITS} digits before the point and {MOST_DECIMALS} after it"
        raise QuantityError(limits, "check the number against the prescription", "QTY-005")
    value = Fraction(text)
    if value == 0 and not zero_allowed:
        remedy = "write the amount, or delete the line if nothing is to be given"
        raise QuantityError("an amount above 0", remedy, "QTY-005")
    return value


_A_NUMBER: Final = "a number such as 8, 0.5 or 12.5"


def _require_one_amount(text: str) -> None:
    """Refuse a range, a rough amount and a fraction, whatever they are written with."""
    if _FRACTION.search(text):
        raise QuantityError(_A_NUMBER, "write a fraction as a decimal, such as 0.5 for one half")
    if _RANGE.search(text):
        remedy = "a range is not a dose: ask the prescriber for one amount"
        raise QuantityError("one amount, not a range", remedy, "QTY-002")
    if _VAGUE.search(text.removeprefix("+")):
        remedy = "a rough amount is not a dose: ask the prescriber for one amount"
        raise QuantityError("one exact amount", remedy, "QTY-002")


def _require_plain_digits(text: str) -> None:
    if not text.isascii():
        raise QuantityError(_A_NUMBER, "write the number with the digits 0 to 9")
    if "," in text:
        raise QuantityError(_A_NUMBER, "write no comma: a point for decimals, nothing between thousands")
    if re.search(r"[0-9][eE]", text) or text.lower() in {"nan", "inf", "infinity"}:
        raise QuantityError(_A_NUMBER, "write the number out in plain digits")
    if text.startswith(("-", "+")):
        raise QuantityError("an amount above 0, without a sign", "write the number without a sign")
    if re.fullmatch(r"\.[0-9]+", text):
        raise QuantityError(_A_NUMBER, f'write a zero before the point: "0{text}"')
    if re.fullmatch(r"[0-9]+\.", text):
        raise QuantityError(_A_NUMBER, "delete the point, or write the decimals right after it")
    if re.fullmatch(r"0[0-9.]*[0-9]", text) and not text.startswith("0."):
        raise QuantityError(_A_NUMBER, "delete the leading zero")
    if not re.fullmatch(_NUMBER, text):
        raise QuantityError(_A_NUMBER, "write one plain decimal number")


_PER_OTHER_VOLUME: Final = re.compile(r"[0-9][0-9.,]* ?[A-Za-z\u00b5\u03bc]+ ?(?:/|per|in) ?[0-9][0-9.,]* ?m[lL]")
"""A strength as many labels have it, such as 50 mg/5 mL."""


def parse_quantity(text: str, units: tuple[Unit, ...]) -> Quantity:
    """Read a number, one space and a unit, such as ``8 units`` or ``100 units/mL``.

    Args:
        text: the scalar exactly as it stands in the file.
        units: the units that make sense here, the first being the one in the example of a message.

    Raises:
        QuantityError: for anything else; nothing is rounded, completed or guessed.
    """
    expected = f"an amount with its unit ({' or '.join(unit.value for unit in units)}), such as {_example(units)}"
    if set(units) & set(STRENGTH_UNITS) and _PER_OTHER_VOLUME.fullmatch(text):
        remedy = "write how much is in 1 mL; where the label does not say it, ask the pharmacist"
        raise QuantityError(expected, remedy, "QTY-004")
    _require_one_amount(text)
    scale = re.fullmatch(r"[Uu]-?([1-9][0-9]{1,2})", text)
    if scale and Unit.UNITS_PER_ML in units:
        raise QuantityError(expected, f'write "{scale[1]} units/mL"', "QTY-004")
    number, space, word = text.partition(" ")
    if not space:
        raise _describe_joined(text, expected)
    return Quantity(parse_number(number), _parse_unit(word, units, expected))


def _describe_joined(text: str, expected: str) -> QuantityError:
    """What is wrong with an amount without a space: its number, the space, or the unit that is not there."""
    joined = re.fullmatch(r"([0-9.]+)\s*([A-Za-z\u00b5\u03bc/]+)", text)
    parse_number(joined[1] if joined else text, zero_allowed=True)
    if joined is None:
        return QuantityError(expected, "write the unit after the number, as the prescription has it", "QTY-003")
    if joined[2].lower() in {"u", "iu"}:
        # A U after a number has been read as a 0 or a 4 (ISMP's list of error-prone abbreviations).
        remedy = 'look at the prescription: a U can be meant as a 0 or a 4; then write the number, one space, "units"'
        return QuantityError(expected, remedy, "QTY-004")
    meant = _MISWRITTEN.get(joined[2].lower())
    word = meant.value if meant else joined[2]
    return QuantityError(expected, f'put one plain space between number and unit: "{joined[1]} {word}"')


def _parse_unit(word: str, units: tuple[Unit, ...], expected: str) -> Unit:
    unit = _UNIT_OF_WORD.get(word)
    if unit is None:
        meant = _MISWRITTEN.get(word.lower())
        if meant in units:
            raise QuantityError(expected, f'write "{meant.value}", never "{word}"', "QTY-004")
        if re.match(r"[0-9]", word):
            raise QuantityError(expected, "write the number without spaces")
        if word.strip() in _UNIT_OF_WORD:
            raise QuantityError(expected, "write one space before the unit and nothing after it")
        if word.partition(" ")[0] in _UNIT_OF_WORD:
            raise QuantityError(expected, "write the amount and its unit, nothing more")
        raise QuantityError(expected, "use one of the units listed, spelled exactly as shown", "QTY-004")
    if unit not in units:
        raise QuantityError(expected, f'"{word}" does not fit here', "QTY-004")
    return unit


def _example(units: tuple[Unit, ...]) -> str:
    numbers = {Unit.UNITS: "8", Unit.UNITS_PER_ML: "100", Unit.PT: "24", Unit.MM: "48", Unit.DAYS: "28"}
    return f'"{numbers.get(units[0], "0.5")} {units[0].value}"'


def write_number(value: Fraction | int) -> str:
    """Write a number by the safety rules: ``0.5``, ``8``, ``12.5``, ``5,000``.

    Raises:
        ValueError: if the value has no finite decimal form; a card never carries a rounded number.
    """
    if not has_exact_decimal(value):
        raise ValueError(f"{value} has no exact decimal form")
    return f"{_EXACT.normalize(_divide(value)):,f}"


def has_exact_decimal(value: Fraction | int) -> bool:
    """Whether ``write_number`` can write the value without rounding it."""
    try:
        _divide(value)
    except Inexact:
        return False
    return True


def _divide(value: Fraction | int) -> Decimal:
    return _EXACT.divide(Decimal(value.numerator), Decimal(value.denominator))


def write_quantity(quantity: Quantity) -> str:
    """Write an amount with its unit in full: ``8 units``, ``1 unit``, ``0.25 mg``."""
    word = _SINGULAR.get(quantity.unit) if quantity.amount == 1 else None
    return f"{write_number(quantity.amount)} {word or quantity.unit.value}"


def convert_dose_to_volume_ml(dose: Quantity, strength: Quantity | None) -> Fraction:
    """The volume that holds a dose: the first half of the one reading rule, dose -> volume -> line.

    Args:
        dose: in units, mg, mcg or mL.
        strength: in units/mL, mg/mL or mcg/mL; needed for every dose that is not in mL.

    Returns:
        Exact volume in mL.

    Raises:
        ValueError: if the strength is missing or counts something else than the dose does.
    """
    if dose.unit is Unit.ML:
        return dose.amount
    if strength is None:
        raise ValueError(f"a dose in {dose.unit} needs a strength")
    if dose.unit is Unit.UNITS and strength.unit is Unit.UNITS_PER_ML:
        return dose.amount / strength.amount
    mcg_per = {Unit.MG: 1000, Unit.MCG: 1, Unit.MG_PER_ML: 1000, Unit.MCG_PER_ML: 1}
    if dose.unit in mcg_per and strength.unit in mcg_per:
        return dose.amount * mcg_per[dose.unit] / (strength.amount * mcg_per[strength.unit])
    raise ValueError(f"a dose in {dose.unit} cannot be measured with a strength in {strength.unit}")


def convert_mm_to_pt(length_mm: float) -> float:
    """Length in mm to PDF points."""
    return length_mm * 72 / 25.4


def convert_pt_to_mm(size_pt: float) -> float:
    """Length in PDF points to mm."""
    return size_pt * 25.4 / 72
