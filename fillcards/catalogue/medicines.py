"""Medicines by generic name, from ``medicines.yaml``. Says what is published about them; decides nothing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from fillcards.catalogue.model import Action, MedicineKind, Motion
from fillcards.own_data import load_own_rows
from fillcards.problems import InternalFault
from fillcards.quantities import STRENGTH_UNITS, Unit, parse_quantity

# Words that a label adds to a name or leaves out without naming another medicine.
_FILLERS: Final = frozenset(("insulin", "human", "and", "injection", "suspension", "solution", "recombinant", "rdna"))


@lru_cache(maxsize=1)
def load_medicines() -> Mapping[str, MedicineKind]:
    """Every medicine by its ``kind``, in the catalogue's order.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    medicines = {row.kind: row for row in map(_build_medicine, load_own_rows(__file__, "medicines"))}
    return MappingProxyType(medicines)


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


def _build_medicine(row: object) -> MedicineKind:
    match row:
        case {
            "kind": str(kind),
            "other_names": [*other_names],
            "look": str(look),
            "motion": str(motion),
            "action": str(action),
            "strengths": [*strengths],
            "shares_with": [*shares_with],
            "may_be_opened_to": [*may_be_opened_to],
            "why_alone": str(why_alone),
            "in_use": str(in_use),
            "sources": [_, *_] as sources,
            **others,
        } if others.keys() <= {"note"}:
            return MedicineKind(
                kind=kind,
                other_names=tuple(map(str, other_names)),
                look=look,
                motion=Motion(motion),
                action=Action(action),
                strengths=tuple(parse_quantity(str(strength), STRENGTH_UNITS) for strength in strengths),
                shares_with=tuple(map(str, shares_with)),
                may_be_opened_to=tuple(map(str, may_be_opened_to)),
                why_alone=why_alone,
                in_use_days=int(parse_quantity(in_use, (Unit.DAYS,)).amount),
                sources=tuple(map(str, sources)),
                note=str(others.get("note", "")),
            )
    raise InternalFault(f"medicines.yaml: {row} is not written as the others are")
