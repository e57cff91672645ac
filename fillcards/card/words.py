"""The messages of a card's patient's pages, all together: what their hash is made of.

The hash belongs into the fingerprint: a check is of sentences as much as of doses, so that words that change make it
stale without anybody having to remember it. Band, code, dates and who checked are no part of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Final

from fillcards.card.model import Card
from fillcards.wording.messages import Say, hash_messages

ADDED_BY_FORMS: Final = (
    *("foot", "foot-undated", "page", "other-side", "wrong-other-sheet", "emergency", "too-fine"),
    *("deck-steps", "helper-title"),
    *("scan", "scan-syringe", "scan-syringe-half", "scan-syringe-oral"),
    *("scene-air", "scene-out", "scene-stay", "scene-times", "scene-skin"),
    *("html-steps", "html-next", "html-back", "html-all", "text-step", "text-picture"),
    *("raised-title", "raised-key", "raised-slanted", "raised-dots", "raised-edge", "raised-enlarged"),
)
"""What layouts and outputs say by themselves; and the foot, with and without the date that a check may bring."""


def hash_card_words(card: Card) -> str:
    """SHA-256 of the words of every message that the patient's pages use, in whatever form.

    The same for a checked and an unchecked card, and whatever the card's code is.
    """
    parts = (card.title, card.whose, card.stop_call, card.fills, card.vials)
    return hash_messages((*_list_ids(parts), *ADDED_BY_FORMS), card.language)


def _list_ids(part: object) -> Iterator[str]:
    """The ids of the messages in a part of a card, whatever it is made of."""
    if isinstance(part, Say):
        yield part.id
    elif isinstance(part, tuple):
        for each in part:
            yield from _list_ids(each)
    elif is_dataclass(part):
        for field in fields(part):
            yield from _list_ids(getattr(part, field.name))
