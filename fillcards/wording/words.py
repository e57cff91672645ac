"""The words of messages: one compiled file a language, opened with the standard library's ``gettext``."""

from __future__ import annotations

import gettext
from functools import lru_cache
from pathlib import Path
from typing import Final

from fillcards.problems import InternalFault

_COUNTS_TRIED: Final = 101
"""Counts from 0 to 100 meet every plural form of the languages there are rules for (CLDR plural rules)."""


def find_words(message_id: str, count: int | None, language: str) -> str:
    """The words of a message, in the form for a count.

    Raises:
        InternalFault: there is no such message with, or without, a count.
    """
    catalogue = _load_catalogue(language)
    # gettext gives back the id where it has no words, and keeps messages with forms for one and many apart from others.
    words = catalogue.gettext(message_id) if count is None else catalogue.ngettext(message_id, message_id, count)
    if words == message_id:
        kind = "without" if count is None else "with"
        raise InternalFault(f'there is no message "{message_id}" {kind} a count in "{language}"')
    return words


def list_forms(message_id: str, language: str) -> tuple[str, ...]:
    """All forms of a message that a count from 0 to 100 can choose; one where no count chooses."""
    catalogue = _load_catalogue(language)
    if catalogue.ngettext(message_id, message_id, 1) == message_id:
        return (find_words(message_id, None, language),)
    return tuple(dict.fromkeys(find_words(message_id, count, language) for count in range(_COUNTS_TRIED)))


@lru_cache(maxsize=8)
def _load_catalogue(language: str) -> gettext.GNUTranslations:
    """The compiled messages of a language.

    Raises:
        InternalFault: there is none; the schema has already refused a file in that language.
    """
    path = Path(__file__).with_name(f"{language}.mo")
    try:
        with path.open("rb") as file:
            return gettext.GNUTranslations(file)
    except FileNotFoundError:
        raise InternalFault(f'no messages in language "{language}"') from None
