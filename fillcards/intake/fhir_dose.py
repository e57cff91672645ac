"""The dose of one dosage line: exactly one amount, with a unit that fits the medicine, or the reasons why not.

Units are read from their UCUM code, or from the word where there is no code; where both stand they must agree. Nothing
is converted and nothing rounded.
Source: UCUM (``ucum``): U is the enzyme unit, [iU] the international unit; systems write insulin with either.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from fillcards.intake.element import Element
from fillcards.intake.fhir_concept import list_texts
from fillcards.quantities import DOSE_UNITS, Quantity, QuantityError, Unit, parse_quantity
from fillcards.strict_text import quote_text

UCUM: Final = "http://unitsofmeasure.org"
_UNITS: Final = ("U", "[iU]", "[IU]", "[USP'U]", "{unit}", "{units}")
UNIT_OF_CODE: Final[dict[str, Unit]] = {
    **dict.fromkeys(_UNITS, Unit.UNITS),
    "mg": Unit.MG,
    "ug": Unit.MCG,
    "mL": Unit.ML,
    "ml": Unit.ML,
}
"""Codes are case sensitive; UCUM has both L and l for the litre."""

UNIT_OF_WORD: Final[dict[str, Unit]] = {
    **dict.fromkeys((*(code.casefold() for code in _UNITS), "unit", "units", "unit(s)", "iu", "unt"), Unit.UNITS),
    **dict.fromkeys(("international unit", "international units", "usp units"), Unit.UNITS),
    **dict.fromkeys(("mg", "milligram", "milligrams"), Unit.MG),
    **dict.fromkeys(("mcg", "ug", "\u00b5g", "\u03bcg", "microgram", "micrograms"), Unit.MCG),
    **dict.fromkeys(("ml", "milliliter", "milliliters", "millilitre", "millilitres"), Unit.ML),
}
"""Words as a system shows them, in small letters. Common practice, no source."""

_ORDERED: Final = "ordered"
_ASK: Final = "ask the prescriber for one amount with its unit, and write it into the draft"


def read_dose(dosage: Element, *, is_insulin: bool) -> Quantity | None:
    """The one dose of a dosage line; ``None`` where there is not exactly one that fits, which is noted.

    Args:
        dosage: an item of ``dosageInstruction``, in the form of the standard.
        is_insulin: insulin is prescribed in units, and only for insulin is it known what a unit is.
    """
    doses = dosage.list_children("doseAndRate")
    if len(doses) != 1:
        found = f"{len(doses)} doses" if doses else "no dose outside the words"
        dosage.refuse("FHIR-013", found, "one dose, as doseQuantity", _ASK, "doseAndRate" if doses else "")
        return None
    (dose,) = doses
    known = len(dosage.problems)
    for name in ("doseRange", "rateRatio", "rateRange", "rateQuantity"):
        if dose.has(name):
            found = "a range" if name == "doseRange" else "a rate"
            dose.refuse("FHIR-013", found, "one amount, as doseQuantity", _ASK, name)
    _check_type(dose)
    quantity = dose.find_child("doseQuantity")
    if quantity is None:
        if len(dosage.problems) == known:
            dose.refuse("FHIR-013", "no doseQuantity", "one amount, as doseQuantity", _ASK)
        return None
    unit = _read_unit(quantity)
    if unit is not None:
        _check_fit(quantity, unit, is_insulin=is_insulin)
    amount = _read_amount(quantity)
    if amount is None or unit is None or len(dosage.problems) > known:
        return None
    return _parse(quantity, amount, unit)


def _check_type(dose: Element) -> None:
    """A dose the system worked out is not the dose the prescriber wrote."""
    concept = dose.find_child("type")
    if concept is None:
        return
    codes = {coding.find_text("code") for coding in concept.list_children("coding")}
    if codes != {_ORDERED} or not {word.casefold() for word in list_texts(concept)} <= {_ORDERED}:
        dose.refuse("FHIR-013", "a dose that is not the one ordered", f"a dose of the type {_ORDERED}", _ASK, "type")


def _read_amount(quantity: Element) -> str | None:
    """The number as plain digits."""
    if quantity.has("comparator"):
        found = f"an amount with {quote_text(quantity.find_text('comparator') or '')}"
        quantity.refuse("FHIR-013", found, "one exact amount", _ASK, "comparator")
        return None
    value = quantity.node.get("value")
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        quantity.refuse("FHIR-013", "no number", "one amount above 0", _ASK, "value")
        return None
    return f"{Decimal(value).normalize():f}"


def _read_unit(quantity: Element) -> Unit | None:
    code, system, word = (quantity.find_text(name) for name in ("code", "system", "unit"))
    if code is None and word is None:
        quantity.refuse("FHIR-014", "a dose without a unit", "a unit, as code of UCUM", _ASK)
        return None
    by_code, by_word = UNIT_OF_CODE.get(code or ""), UNIT_OF_WORD.get((word or "").casefold())
    if code is not None and (system != UCUM or by_code is None):
        found = f"the code {quote_text(code)}" + ("" if system == UCUM else ", which is not said to be of UCUM")
        quantity.refuse("FHIR-014", found, f"a code of UCUM: {', '.join(UNIT_OF_CODE)}", _ASK, "code")
        return None
    if word is not None and by_word is None:
        expected = f"one of: {', '.join(unit.value for unit in DOSE_UNITS)}"
        quantity.refuse("FHIR-014", f"the unit {quote_text(word)}", expected, _ASK, "unit")
        return None
    if by_code and by_word and by_code is not by_word:
        found = f"the code {quote_text(code or '')} with the unit {quote_text(word or '')}"
        quantity.refuse("FHIR-014", found, "a code and a unit that say the same", _ASK, "unit")
        return None
    return by_code or by_word


def _check_fit(quantity: Element, unit: Unit, *, is_insulin: bool) -> None:
    if is_insulin and unit is not Unit.UNITS:
        expected = "units: what an amount in another unit holds depends on the strength"
        quantity.refuse("FHIR-014", f"insulin in {unit}", expected, _ASK)
    elif not is_insulin and unit is Unit.UNITS:
        expected = "mg, mcg or mL; units only where the name says insulin"
        remedy = "compare with the vial which unit its label counts, then write the dose into the draft by hand"
        quantity.refuse("FHIR-014", "units of a medicine that is not called insulin", expected, remedy)


def _parse(quantity: Element, amount: str, unit: Unit) -> Quantity | None:
    """The amount through the same gate as one typed into a regimen file."""
    try:
        return parse_quantity(f"{amount} {unit}", DOSE_UNITS)
    except QuantityError as error:
        quantity.refuse("FHIR-013", f"{amount} {unit}", error.expected, error.remedy, "value")
        return None
