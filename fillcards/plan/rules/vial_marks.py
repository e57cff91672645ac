"""The rule about marks on vials: a mark is a thing put on the vial, never what is in it.

A look or a medicine in a mark can contradict the vial it stands for, and the hand follows the mark. Colours may stand
in it, since tape and caps have them.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from fillcards.catalogue.medicines import load_medicines
from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import Severity
from fillcards.regimen.free_words import list_plain_words
from fillcards.regimen.loose_names import find_insulin_word, find_near_word, list_loose_words
from fillcards.regimen.model import Medicine, Regimen

# What a liquid looks like, and what the liquid is called. Common practice, no source.
_LOOKS: Final = frozenset(
    (
        *("clear", "cloudy", "milky", "colourless", "colorless", "transparent", "turbid", "hazy", "murky", "opaque"),
        *("liquid", "fluid", "solution", "suspension", "medicine", "medication", "contents", "acting"),
    )
)
# "The white one" points at the vial itself, not at a mark on it.
_POINTS_AT_VIAL: Final = ("one", "ones")
_COUNTS: Final = frozenset(("a", "an", "and", "of", "on", "in", "the", "with", "for", "to"))


@lru_cache(maxsize=1)
def _load_names() -> frozenset[str]:
    kinds = (name for row in load_medicines().values() for name in (row.kind, *row.other_names))
    return frozenset(word for kind in kinds for word in list_loose_words(kind)) - _COUNTS


def check_mark_is_a_thing(regimen: Regimen) -> Iterator[Finding]:
    """A mark that states a look or a medicine, or that points at the vial."""
    names = frozenset(word for medicine in regimen.medicines for word in list_plain_words(medicine.name)) - _COUNTS
    for medicine in regimen.medicines:
        word = _find_content(medicine, names) if medicine.vial_mark else None
        if word:
            yield Finding(
                find_place(medicine, "vial_mark"),
                f'"{word}" in the mark "{medicine.vial_mark}"',
                "a thing put on the vial, such as one rubber band or a blue dot; no look and no medicine",
                "write what can be felt or seen on the vial, not what is in it: the card says that already",
            )


def _find_content(medicine: Medicine, names: frozenset[str]) -> str | None:
    mark = medicine.vial_mark or ""
    words = list_loose_words(mark)
    for word in words:
        if find_near_word(word, _LOOKS) or word in names or word in _load_names():
            return word
    return find_insulin_word(mark) or (words[-1] if words and words[-1] in _POINTS_AT_VIAL else None)


RULES = (Rule("LABEL-006", Severity.REFUSE, check_mark_is_a_thing),)
