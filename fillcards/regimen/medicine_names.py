"""The names of medicines in a file: none of the catalogue under another name, no two that look like one."""

from __future__ import annotations

import re

from fillcards.regimen import keys
from fillcards.regimen.free_words import fold_text
from fillcards.regimen.loose_names import find_insulin_word, find_row, says_only_insulin
from fillcards.regimen.model import Medicine
from fillcards.regimen.section import Section
from fillcards.strict_text import quote_text


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
    section.note("MED-003", section.find_place(keys.OTHER_NAME), found, expected, remedy)
    return False


def check_names_apart(root: Section, medicines: tuple[Medicine, ...]) -> None:
    """Refuse two names that differ only in capitals, accents, spaces or hyphens: on the card they look alike."""
    seen: dict[str, str] = {}
    for medicine in medicines:
        first = seen.setdefault(_squash(medicine.name), medicine.name)
        if first != medicine.name:
            place = medicine.places.get(keys.OTHER_NAME.name, medicine.place)
            remedy = "spell it the same both times if it is one medicine; else write each name in full"
            found = f"{quote_text(medicine.name)} beside {quote_text(first)}"
            root.note("MED-011", place, found, "names that can be told apart by their letters", remedy)


def _squash(name: str) -> str:
    return re.sub(r"[\W_]+", "", fold_text(name))
