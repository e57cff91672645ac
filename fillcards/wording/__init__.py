"""Every sentence of the cards, per language. Plain functions and tables: exact numbers in, final words out.

Knows what is planned (floors 0-4) and nothing of pictures, cards, pages or files. One package per language, all with
the same modules and functions; ``english`` is the only one there is, so the card imports it by name.
"""

from __future__ import annotations

from typing import Final

from fillcards.problems import InternalFault

LANGUAGES: Final = ("en",)
"""Language tags (BCP 47) a card can be written in."""


def require_language(language: str) -> None:
    """Stop where no sentences exist for a language.

    Raises:
        InternalFault: the schema has already refused such a file.
    """
    if language not in LANGUAGES:
        raise InternalFault(f'no wording for language "{language}"; there is {", ".join(LANGUAGES)}')
