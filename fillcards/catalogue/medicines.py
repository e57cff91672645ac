"""Medicines by generic name, from ``medicines.yaml``. Says what is published about them; decides nothing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from fillcards.catalogue.model import Action, MedicineKind, Motion
from fillcards.catalogue.rows import Row, read_own_table, take_sources
from fillcards.problems import InternalFault
from fillcards.quantities import STRENGTH_UNITS, Unit

_MOTION_OF_WORD: Final = {motion.value: motion for motion in Motion}
_ACTION_OF_WORD: Final = {action.value: action for action in Action}

# Words that a label adds to a name or leaves out without naming another medicine.
_FILLERS: Final = frozenset(("insulin", "human", "and", "injection", "suspension", "solution", "recombinant", "rdna"))


@lru_cache(maxsize=1)
def load_medicines() -> Mapping[str, MedicineKind]:
    """Every medicine by its ``kind``, in the catalogue's order.

    Raises:
        InternalFault: the data file is missing or wrong, or two rows disagree about sharing a syringe.
    """
    medicines = read_own_table("medicines.yaml", "medicines", _build_medicine, lambda row: row.kind)
    for row in medicines.values():
        _require_mutual(row, medicines)
    return medicines


def find_medicine_named(name: str) -> MedicineKind | None:
    """The row that a written name means, by its ``kind`` or another generic name; ``None`` if none does.

    Order of the words, capitals and fillers such as ``human`` do not count: ``Human regular insulin`` is
    ``insulin regular``. Serves to refuse a catalogue medicine written as ``other``, never to accept one.
    """
    words = _name_words(name)
    if not words:
        return None
    for row in load_medicines().values():
        if any(words == _name_words(known) for known in (row.kind, *row.other_names)):
            return row
    return None


def _name_words(name: str) -> frozenset[str]:
    return frozenset(re.findall(r"[a-z0-9/]+", name.casefold())) - _FILLERS


def _build_medicine(row: Row) -> MedicineKind | None:
    kind = row.take_text("kind")
    other_names = row.take_texts("other_names")
    look = row.take_text("look")
    motion = row.take_choice("motion", _MOTION_OF_WORD)
    action = row.take_choice("action", _ACTION_OF_WORD)
    strengths = row.take_quantities("strengths", STRENGTH_UNITS)
    shares_with = row.take_texts("shares_with")
    may_be_opened_to = row.take_texts("may_be_opened_to")
    why_alone = row.take_text("why_alone")
    in_use = row.take_quantity("in_use", (Unit.DAYS,))
    sources = take_sources(row)
    note = row.take_text("note", is_optional=True)
    if not (kind and motion and action and in_use):
        return None
    life = int(in_use.amount)
    partners = (shares_with, may_be_opened_to, why_alone)
    return MedicineKind(kind, other_names, look, motion, action, strengths, *partners, life, sources, note)


def _require_mutual(row: MedicineKind, medicines: Mapping[str, MedicineKind]) -> None:
    pairs = [(other, True) for other in row.shares_with] + [(other, False) for other in row.may_be_opened_to]
    for other, is_open in pairs:
        partner = medicines.get(other)
        allowed = () if partner is None else partner.shares_with if is_open else partner.may_be_opened_to
        if row.kind not in allowed:
            raise InternalFault(f'medicines.yaml: "{row.kind}" names "{other}", which does not name it back')
