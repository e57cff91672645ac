"""What a prescription says of its medicine: its names, and the catalogue's medicine and strength if all of them say so.

A name is a generic name of the catalogue, alone or as a product is written in normalized lists: ``insulin glargine 100
UNT/ML Injectable Solution``. Every name given must say the same medicine; one word more, a brand in brackets too, may
make another insulin of it, and then it is left blank. What is not drawn from a vial is told: no card is made for a pen,
a cartridge or a pump.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.catalogue.medicines import find_medicine_named, load_medicines
from fillcards.catalogue.model import MedicineKind
from fillcards.intake.json_text import Element
from fillcards.quantities import Quantity, Unit
from fillcards.strict_text import quote_text

DEPENDS: Final = re.compile(r"\b(?:sliding|scale|correction|p\.?r\.?n|needed)\b", re.IGNORECASE)
_NO_VIAL: Final = re.compile(
    r"\b(?:pens?|cartridges?|pumps?|(?:auto-?)?injectors?|prefilled|patch|inhal\w*)\b", re.IGNORECASE
)
# What such lists write after the strength of what is drawn from a vial. Common practice, no source.
_FORMS: Final = r"(?:injectable|injection)?(?: ?(?:solution|suspension))?(?: for injection)?(?: ?\d+ ?ml)?(?: vial)?"
_PRODUCT: Final = re.compile(
    r"(?:\d+(?:\.\d+)? ml )?(?P<name>[a-z][a-z0-9 /-]*?)"
    r"(?: (?P<amount>\d+(?:\.\d+)?) ?(?P<unit>unt|units?|u|iu|mg|mcg) ?(?:/|per) ?ml)?"
    rf"(?: {_FORMS})?(?: \(product\)| \(substance\))?"
)
_STRENGTH_OF: Final = {"mg": Unit.MG_PER_ML, "mcg": Unit.MCG_PER_ML}
_UNIT_OF_CODE: Final = _STRENGTH_OF | dict.fromkeys(("U", "[iU]", "[IU]", "[USP'U]"), Unit.UNITS_PER_ML)


class NamedMedicine(NamedTuple):
    """What a prescription says about its medicine.

    Attributes:
        names: as written, each once.
        row: the medicine of the catalogue, if all names are its names.
        strength: as all names and ingredients have it, if the catalogue's medicine has it too.
        is_insulin: whether a name says insulin; decides which units and which routes can fit.
        codes: system and code of each coding, to compare prescriptions with.
        remarks: for the draft.
    """

    names: tuple[str, ...] = ()
    row: MedicineKind | None = None
    strength: Quantity | None = None
    is_insulin: bool = False
    codes: frozenset[tuple[str | None, str]] = frozenset()
    remarks: tuple[str, ...] = ()

    @property
    def words(self) -> tuple[str, ...]:
        """What a text may call it."""
        return (*self.names, *(("insulin",) if self.is_insulin else ()))

    def may_be(self, other: NamedMedicine) -> bool:
        """Whether both may be one medicine, so that their doses at one time must be asked about."""
        if self.codes & other.codes or {*map(_fold, self.names)} & {*map(_fold, other.names)}:
            return True
        if self.row and other.row:
            return self.row is other.row
        return bool(_find_rows_within(self.names) & _find_rows_within(other.names))


def read_medicine(request: Element, medications: dict[str, Element]) -> NamedMedicine:
    """What a prescription says about its medicine; what it leaves open is noted.

    Args:
        request: an order or a dispense.
        medications: the Medication resources of the file by their addresses.
    """
    names, codes = request.list_words("medicationCodeableConcept"), request.list_codes("medicationCodeableConcept")
    remarks = [*request.describe("medicationCodeableConcept medicationReference")]
    medication = _find_medication(request, medications)
    parts: tuple[Element, ...] = ()
    names += tuple(filter(None, (request.find_child("medicationReference").find_text("display"),)))
    if medication is None and request.has("medicationReference"):
        remarks.append("the reference leads to nothing in the file")
    elif medication is not None:
        medication.note_modifiers()
        status = medication.find_text("status")
        if status not in (None, "active"):
            medication.note("FHIR-008", f"the status {quote_text(status or '')}", "status")
        names += medication.list_words("code")
        codes |= medication.list_codes("code")
        parts = medication.list_children("ingredient")
        remarks += medication.describe("code form ingredient")
    names = tuple(dict.fromkeys(names))
    if not names:
        request.note("FHIR-012", "a medicine without a name")
        return NamedMedicine(remarks=tuple(remarks))
    _check_names(request, (*names, *(medication.list_words("form") if medication else ())))
    ingredients = tuple(word for part in parts for word in part.list_words("itemCodeableConcept"))
    row, strength = _find_product(names, {each for part in parts if (each := _read_ratio(part))})
    is_insulin = any(map(_says_insulin, (*names, *ingredients)))
    return NamedMedicine(names, row, strength, is_insulin, codes, tuple(remarks))


def _check_names(request: Element, words: tuple[str, ...]) -> None:
    """Note a name that holds a condition or an amount, and a form that no syringe draws from."""
    at = "medicationReference" if request.has("medicationReference") else "medicationCodeableConcept"
    for word in words:
        text = _fold(word)
        if match := DEPENDS.search(text):
            request.note("FHIR-015", f"a name with {quote_text(match[0])}", at)
        if re.search(r"\d ?(?:units?|iu|u|unt)\b(?! ?(?:/|per\b|in\b))", text):
            request.note("FHIR-019", "a name with an amount of units", at)
        if match := _NO_VIAL.search(text):
            request.note("FHIR-026", quote_text(match[0]), at)


def _find_medication(request: Element, medications: dict[str, Element]) -> Element | None:
    address = (request.find_child("medicationReference").find_text("reference") or "").partition("/_history/")[0]
    if not address.startswith("#"):
        return medications.get(address)
    contained = request.list_children("contained")
    found = [each for each in contained if f"#{each.find_text('id')}" == address]
    if len(found) > 1:
        request.note("FHIR-010", "two contained resources with one id", "contained")
    return found[0] if found else None


def _find_product(names: tuple[str, ...], of_ingredients: set[Quantity]) -> tuple[MedicineKind | None, Quantity | None]:
    """The medicine that every name says, and its strength where one alone is said and the catalogue has it."""
    read = [_read_name(name) for name in names]
    rows = {row.kind: row for row, _ in read if row}
    strengths = {strength for _, strength in read if strength} | of_ingredients
    if len(rows) != 1 or not all(row for row, _ in read):
        return None, None
    (row,) = rows.values()
    if not strengths:
        return row, None
    return (row, strengths.pop()) if len(strengths) == 1 and strengths <= set(row.strengths) else (None, None)


def _read_name(name: str) -> tuple[MedicineKind | None, Quantity | None]:
    match = _PRODUCT.fullmatch(_fold(name))
    if match is None:
        return None, None
    wanted = {match["name"], " ".join(word for word in match["name"].split() if word != "human")}
    row = next((row for row in load_medicines().values() if wanted & {*map(_fold, (row.kind, *row.other_names))}), None)
    if not match["amount"]:
        return row, None
    return row, Quantity(Fraction(match["amount"]), _STRENGTH_OF.get(match["unit"], Unit.UNITS_PER_ML))


def _read_ratio(ingredient: Element) -> Quantity | None:
    """The strength of an ingredient where it is so much in one mL."""
    ratio = ingredient.find_child("strength")
    above, below = ratio.find_child("numerator"), ratio.find_child("denominator")
    if (below.find_text("code") or "").casefold() != "ml":
        return None
    amount, volume = above.node.get("value"), below.node.get("value")
    unit = _UNIT_OF_CODE.get(above.find_text("code") or "")
    if not isinstance(amount, int | Decimal) or not isinstance(volume, int | Decimal) or not volume or unit is None:
        return None
    return Quantity(Fraction(amount) / Fraction(volume), unit)


def _fold(name: str) -> str:
    return " ".join(name.casefold().replace(",", " ").split())


def _find_rows_within(names: tuple[str, ...]) -> set[str]:
    """The kinds of the catalogue whose words stand in a name: for each name, the one with the most words."""
    found = set()
    for words in (set(re.findall(r"[a-z0-9-]+", name.casefold())) for name in names):
        known = {each: row.kind for row in load_medicines().values() for each in (row.kind, *row.other_names)}
        fitting = [each for each in known if set(re.findall(r"[a-z0-9-]+", each.casefold())) <= words]
        if fitting:
            found.add(known[max(fitting, key=len)])
    return found


def _says_insulin(name: str) -> bool:
    return re.search(r"\binsulin\b", name, re.IGNORECASE) is not None or find_medicine_named(name) is not None
