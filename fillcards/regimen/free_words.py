"""Words that the writer of a file chose: folded so that spelling does not hide them, and searched for amounts.

An amount in free words competes with the figures of the card and stays behind when a dose is changed. Knows nothing of
keys, files or the wording of a card. Number words and unit names: common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

NUMBER_WORDS: Final = (
    "half|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|"
    "eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred"
)
_NUMBER: Final = rf"(?:[0-9][0-9.,]*|\b(?:{NUMBER_WORDS}))(?:[\s-]+an?\b)?[\s-]*"
# A reading of the blood, such as 70 mg/dL, is no amount of a medicine.
_UNITS: Final = (
    r"(?:units?|i\.?u\.?|mcg|[u\u03bc]g|mg(?!\s*(?:/|per)\s*dl)|ml|ccs?|milligrams?|micrograms?|millilit(?:er|re)s?)"
)
_LINE: Final = (
    rf"\blines?[\s-]*(?:(?:no\.?|number)\s*)?(?:[0-9][0-9.]*|(?:{NUMBER_WORDS})\b)|\b(?:first|total|fill) line\b"
)
_AMOUNT: Final = re.compile(rf"{_NUMBER}{_UNITS}(?!\w)|{_LINE}", re.IGNORECASE)
# A bare U stands for units after a number of up to three digits; longer ones are numbers of records.
_BARE_U: Final = re.compile(r"(?<![\w.])[0-9]{1,3}(?:\.[0-9]+)?\s?U(?![\w-])")
_COUNT_OF_LINES: Final = re.compile(rf"{_NUMBER}(?:u|lines?|marks?)(?!\w)", re.IGNORECASE)


def fold_text(text: str) -> str:
    """Small letters without accents, so that one word spelled in two ways is one: ``Insulín`` is ``insulin``.

    Facts: Unicode compatibility decomposition (NFKD), the combining marks left out.
    """
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    return "".join(character for character in decomposed if not unicodedata.combining(character))


def list_plain_words(text: str) -> tuple[str, ...]:
    """The words of a folded text, without punctuation."""
    return tuple(re.findall(r"[^\W_]+", fold_text(text)))


def find_amount(text: str) -> str | None:
    """The first amount with a unit, or line with a number, that stands in a text; ``None`` where there is none."""
    plain = unicodedata.normalize("NFKD", text)
    match = _AMOUNT.search(plain) or _BARE_U.search(plain)
    return match[0].strip() if match else None


def find_amount_or_count(text: str) -> str | None:
    """As ``find_amount``, and a count of lines or marks too: for whole sentences, not for how a vial is marked."""
    match = _COUNT_OF_LINES.search(unicodedata.normalize("NFKD", text))
    return find_amount(text) or (match[0].strip() if match else None)
