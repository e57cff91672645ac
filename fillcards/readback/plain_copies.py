"""The printed copies of raised pages, for a helper who sees: their numbers must be those that stand there in braille,
and each must say whether it was checked.

Print and braille come from the same words on different ways; neither is read by code that wrote it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.readback.marks import read_page_marks
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.render import Easel
from fillcards.regimen.fingerprint import is_checked
from fillcards.regimen.model import Regimen

FOOT: Final = "Plain copy of the raised page"
UNCHECKED: Final = "Not yet checked. Do not use."
SAMPLE: Final = "Sample, not for a patient."
_NUMBER: Final = re.compile(r"[0-9]+(?:\.[0-9]+)?")


@dataclass(frozen=True, slots=True)
class PlainCopyReading:
    """The printed copy of a raised page: its words, its numbers, and how many lines do not look as they read."""

    page: int
    words: str
    numbers: tuple[Fraction, ...]
    unlike: int


def read_plain_copies(data: bytes) -> tuple[PlainCopyReading, ...]:
    """Every plain copy of a raised page, in the order of the file.

    Args:
        data: the PDF.

    Raises:
        UnreadableCard: something on a page cannot be read for certain.
        OutputError: the typeface is not installed.
    """
    easel, copies = Easel(), []
    with open_document(data) as (document, count):
        for index in range(count):
            with open_page(document, index) as page:
                marks = read_page_marks(page, index + 1)
                texts = [run.text for run in marks.runs if not run.text.startswith(FOOT)]
                if len(texts) == len(marks.runs):
                    continue
                unlike = easel.find_blemished(easel.render_page(page), marks.runs, page)
            numbers = (Fraction(found) for text in texts for found in _NUMBER.findall(text.replace(",", "")))
            copies.append(PlainCopyReading(marks.number, " ".join(texts), tuple(numbers), len(unlike)))
    return tuple(copies)


class RaisedNumbers(NamedTuple):
    """The numbers of a raised page, and those its copy may have besides.

    An embosser's patterns are made of the very dots that braille is made of, and a row of cells beside one is not read:
    ``may_say`` are the numbers of the page's fill, which then stand in the copy alone.
    """

    page: int
    numbers: tuple[Fraction, ...]
    may_say: frozenset[Fraction]


def compare_plain_copies(
    copies: tuple[PlainCopyReading, ...], raised: tuple[RaisedNumbers, ...], regimen: Regimen
) -> Iterator[str]:
    """Everywhere a copy does not say what its raised page says, or does not say that it is not to be used yet.

    Args:
        copies: in the order of the file.
        raised: likewise.
        regimen: what the file was made from.
    """
    if len(copies) != len(raised):
        yield f"plain copies: read {len(copies)}, meant one for each of {len(raised)} raised pages"
        return
    for copy, page in zip(copies, raised, strict=True):
        printed, felt = Counter(copy.numbers), Counter(page.numbers)
        if felt - printed or not page.may_say >= (printed - felt).keys():
            yield f"page {copy.page}: its numbers are not those of the raised page {page.page}"
        for words, is_wanted in ((UNCHECKED, not is_checked(regimen)), (SAMPLE, regimen.is_sample)):
            if (words in copy.words) is not is_wanted:
                yield f"page {copy.page}: “{words}” is {'not said' if is_wanted else 'said'}"
        if copy.unlike:
            yield f"page {copy.page}: lines that do not look as they read: {copy.unlike}"
