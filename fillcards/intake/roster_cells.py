"""A cell of a roster as spreadsheets write it -> the same text as a regimen file would have it.

Exactly this is taken for the same, and nothing else is changed: spaces around a text; a no-break space for a space; and
in a cell that holds an amount, any number of spaces between number and unit or none, and a unit all in capitals or all
in small letters. ``12UNITS`` is ``12 units`` and ``0.3ml`` is ``0.3 mL``. A unit that has been misread, such as ``U``,
stays as it is and is refused. Knows nothing of columns.
"""

from __future__ import annotations

import re
from typing import Final

from fillcards.quantities import Unit

# No-break space, figure space, narrow no-break space. Source: Unicode Standard, general category Zs, "no-break" forms.
_SPACES: Final = str.maketrans(dict.fromkeys("\u00a0\u2007\u202f", " "))
_AMOUNT: Final = re.compile(r"([0-9]+(?:\.[0-9]+)?) *([A-Za-z]+(?:/[A-Za-z]+)?)")
_WORDS: Final = (*(unit.value for unit in Unit), "unit", "day")
_UNIT_OF: Final = {written: word for word in _WORDS for written in (word, word.lower(), word.upper())}


def clean_cell(text: str) -> str:
    """Any cell, without the spaces around it, and with plain ones within."""
    return text.translate(_SPACES).strip(" ")


def clean_amount(text: str) -> str:
    """A cell that ``clean_cell`` has been through and that should hold an amount; what is none stays as it is.

    Example:
        >>> clean_amount("0.3ML")
        '0.3 mL'
        >>> clean_amount("12 U")
        '12 U'
    """
    found = _AMOUNT.fullmatch(text)
    word = _UNIT_OF.get(found[2]) if found else None
    return f"{found[1]} {word}" if found and word else text
