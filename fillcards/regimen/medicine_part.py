"""The medicines of a regimen: their keys -> ``Medicine``. Catalogue medicines take what is published from their row;
``kind: other`` must state all of it, and may not be used to write a catalogue medicine in other words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import MedicineKind, Route
from fillcards.quantities import Quantity, Unit
from fillcards.regimen import keys
from fillcards.regimen.fill_part import read_weekdays
from fillcards.regimen.forms import suggest_word
from fillcards.regimen.free_words import find_insulin_word, find_row, fold_text, says_only_insulin
from fillcards.regimen.model import Medicine
from fillcards.regimen.section import Section
from fillcards.strict_text import quote_text
from fillcards.strict_yaml import Node, TextScalar, TextSequence


def build_medicines(root: Section) -> dict[str, Medicine | None]:
    """Every medicine by its key in the file's order; ``None`` for one with a problem."""
    node = root.read_mapping(keys.MEDICINES)
    if node is None:
        return {}
    if len(node.entries) > keys.MOST_MEDICINES:
        root.note("MED-001", node.place, count=len(node.entries), most=keys.MOST_MEDICINES)
    medicines = {scalar.text: _build_entry(root, scalar, value) for scalar, value in node.entries}
    check_names_apart(root, tuple(medicine for medicine in medicines.values() if medicine))
    return medicines


def _build_entry(root: Section, scalar: TextScalar, value: Node) -> Medicine | None:
    key = root.convert(scalar.text, scalar.place, keys.MEDICINE_KEY.parse)
    shape, remedy = "keys with values, such as kind and strength", "look at a starter: fillcards new"
    section = root.open_node(value, keys.MEDICINE_KEYS, shape, remedy)
    medicine = _build_medicine(section, scalar.text) if section else None
    return medicine if key is not None else None


def _build_medicine(section: Section, key: str) -> Medicine | None:
    kind = section.read(keys.KIND)
    row = load_medicines().get(kind) if kind else None
    stated = section.read_all(
        *(keys.STRENGTH, keys.ON_THE_LABEL, keys.VIAL_MARK, keys.OPENED, keys.EXPIRES),
        *(keys.MIXING_CHECKED_BY, keys.WARNING),
    )
    vial, use_within = section.read(keys.VIAL), section.read(keys.USE_WITHIN)
    none_on = read_weekdays(section, keys.NONE_ON)
    medicine = _take_from_row(section, key, row) if row else _read_other(section, key, kind, stated["strength"])
    if medicine is None:
        return None
    return replace(
        medicine,
        vial_ml=vial.amount if vial else None,
        in_use_days=int(use_within.amount) if use_within else medicine.in_use_days,
        in_use_days_from_label=use_within is not None,
        none_on=none_on or (),
        **stated,
        place=section.place,
        places=section.places,
    )


def _take_from_row(section: Section, key: str, row: MedicineKind) -> Medicine:
    """A catalogue medicine: its row says what it is, so the file may not."""
    for stated in keys.OTHER_MEDICINE_KEYS:
        if section.has(stated):
            section.note("MED-004", stated, key=stated, row=row)
    if not section.has(keys.STRENGTH):
        section.note_missing(keys.STRENGTH, f" such as {row.strengths[0]}, as the label says")
    return Medicine(
        key=key,
        row=row,
        name=row.kind,
        look=row.look,
        motion=row.motion,
        takes_air=True,  # equal to the dose, into a vial of insulin, before it is drawn; source: air-equal-to-dose
        route=Route.UNDER_THE_SKIN,
        shares_with=row.shares_with,
        in_use_days=row.in_use_days,
    )


def _read_other(section: Section, key: str, kind: str | None, strength: Quantity | None) -> Medicine | None:
    """A medicine the catalogue does not know: the file must say all that a row would."""
    if kind == keys.OTHER:
        for wanted in keys.MUST_STATE_FOR_OTHER:
            if not section.has(wanted):
                section.note("MED-005", section.place, wanted=wanted, medicine=section.place)
            elif wanted.may_be_empty and section.read_text(wanted) is None:
                section.note_empty(wanted, section.find_place(wanted))
    name = section.read(keys.OTHER_NAME)
    look = section.read(keys.LOOK)
    motion = section.read(keys.MOTION)
    takes_air = section.read(keys.AIR)
    route = section.read(keys.ROUTE)
    shares_with = _read_partners(section, key)
    is_insulin = False
    if name is not None and check_not_in_catalogue(section, name) and find_insulin_word(name):
        is_insulin = True
        _check_unknown_insulin(section, strength, shares_with, route)
    if takes_air and route is Route.BY_MOUTH:
        section.note("MED-009", keys.AIR)
    if name is None or look is None or motion is None or takes_air is None or route is None or shares_with is None:
        return None
    return Medicine(
        key=key,
        row=None,
        name=name,
        look=look,
        motion=motion,
        takes_air=takes_air,
        route=route,
        shares_with=shares_with,
        in_use_days=1,  # gives way to the key that states them; where that is missing a problem is noted already
        is_unknown_insulin=is_insulin,
    )


def _check_unknown_insulin(
    section: Section, strength: Quantity | None, shares_with: tuple[str, ...] | None, route: Route | None
) -> None:
    """What holds for every insulin also holds for one the catalogue does not know; the rest the file has stated."""
    if not section.has(keys.STRENGTH):
        section.note_missing(keys.STRENGTH, " such as 40 units/mL, as the label says")
    elif strength is not None and strength.unit is not Unit.UNITS_PER_ML:
        found, remedy = f'"{strength}" for an insulin', "read the strength on the vial again"
        section.note("MED-012", keys.STRENGTH, found, expected="a strength in units/mL", remedy=remedy)
    if shares_with:
        expected = "none: an insulin that the catalogue does not know never shares a syringe"
        found, remedy = "an insulin that may share a syringe", 'write "may_share_with: none"'
        section.note("MED-012", keys.MAY_SHARE_WITH, found, expected=expected, remedy=remedy)
    if route not in {None, Route.UNDER_THE_SKIN}:
        found, remedy = "another route for an insulin", "compare it with the prescription"
        section.note("MED-012", keys.ROUTE, found, expected="under the skin", remedy=remedy)


def _read_partners(section: Section, key: str) -> tuple[str, ...] | None:
    """The keys a medicine may share a syringe with; whether they exist is asked once all medicines are read."""
    if not section.has(keys.MAY_SHARE_WITH):
        return None
    node = section.node.find_value(keys.MAY_SHARE_WITH.name) if section.node else None
    items = node.items if isinstance(node, TextSequence) else (node,)
    partners: list[str] = []
    for item in items:
        if not isinstance(item, TextScalar) or not item.text:
            expected = "none, one key, or a list of keys"
            section.note_shape(item or TextScalar("", section.place), expected, "write none if it must be alone")
            return None
        partners.append(item.text)
    if partners == [keys.NONE]:
        return ()
    if not partners or keys.NONE in partners or key in partners or len(set(partners)) < len(partners):
        section.note("MED-008", keys.MAY_SHARE_WITH)
        return None
    return tuple(partners)


def check_partners(root: Section, medicines: Mapping[str, Medicine | None]) -> None:
    """Refuse keys under ``may_share_with`` that are no medicines of the file."""
    for medicine in medicines.values():
        if medicine is None or medicine.row is not None:
            continue
        for partner in medicine.shares_with:
            if partner not in medicines:
                place = medicine.find_place(keys.MAY_SHARE_WITH.name)
                expected = f"none, or one of: {', '.join(medicines)}"
                remedy = suggest_word(partner, tuple(medicines))
                root.note("MED-008", place, f"the key {quote_text(partner)}", expected=expected, remedy=remedy)


def check_not_in_catalogue(section: Section, name: str) -> bool:
    """Refuse a catalogue medicine written as ``other``: that would step around every rule about it.

    Returns:
        Whether the name is allowed under ``other``.
    """
    row = find_row(name)
    if row is not None:
        expected = "a medicine the catalogue does not know"
        remedy = f'write "kind: {row.kind}" and take out the keys that only other has'
    elif find_insulin_word(name) and says_only_insulin(name):
        expected = "the full generic name, which says which insulin it is"
        remedy = "copy the name from the label"
    else:
        return True
    found = f"{quote_text(name)} as kind: other"
    section.note("MED-003", keys.OTHER_NAME, found, expected=expected, remedy=remedy)
    return False


def check_names_apart(root: Section, medicines: tuple[Medicine, ...]) -> None:
    """Refuse two names that differ only in capitals, accents, spaces or hyphens: on the card they look alike."""
    seen: dict[str, str] = {}
    for medicine in medicines:
        first = seen.setdefault(_squash(medicine.name), medicine.name)
        if first != medicine.name:
            place = medicine.find_place(keys.OTHER_NAME.name)
            root.note("MED-011", place, f"{quote_text(medicine.name)} beside {quote_text(first)}")


def _squash(name: str) -> str:
    return re.sub(r"[\W_]+", "", fold_text(name))
