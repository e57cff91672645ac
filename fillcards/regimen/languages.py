"""Languages a card can be in, and whether somebody who speaks one has signed its words.

The staff who check a card read English; of another language they see each sentence beside its English, but cannot
answer for it. So no check makes such a card ready while its words are unsigned.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

ENGLISH: Final = "en"
LANGUAGES: Final[Mapping[str, str]] = {
    ENGLISH: "English",
    "es": "Spanish",
    "vi": "Vietnamese",
    "ru": "Russian",
    "hi": "Hindi",
}
"""Tags (BCP 47) with their English names: those that have messages and a typeface."""


def are_words_signed(language: str) -> bool:
    """Whether every word of a language may go to a patient once the card is checked."""
    return language == ENGLISH
