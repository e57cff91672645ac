"""Numbers in a braille file that no sentence of its regimen has: those left over when all that are known are taken out.

The steps and the lines at the top of a page are held to their places elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from fillcards.quantities import write_number
from fillcards.readback.braille_numbers import list_allowed, list_days, list_strengths, list_text_numbers
from fillcards.readback.brf import BrailleSet, list_numbers, parse_whole, read_words, write_number_cells
from fillcards.readback.expected import ExpectedFill
from fillcards.readback.model import Difference
from fillcards.regimen.model import Regimen

_CARD: Final = ("CARD", "C>D", ",CARD", ",C>D")
_CODE_LIKE: Final = re.compile(r"[A-Z]#|#[A-J]+,+[A-Z]")
"""A number within a word, as in a card code; after a number a capital letter begins with its sign."""
_WHAT_IS_NEW: Final = ["what", "is", "new"]
"""Over what has changed since an older card, whose numbers are not known here."""
_DATE: Final = re.compile(r"(#[A-J]+) ,([^\s#]+) (#[A-J]+)")
_MONTHS: Final = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
_MINUTE: Final = re.compile(r"(#\S+) M(?:INUTE|9UTE)S?\b")
_STRENGTH: Final = re.compile(r"(#\S+) (?:UNITS|MG|MCG)_/M,L")
_SCALE: Final = re.compile(r",U-(#[A-J]+)")


def find_loose_numbers(
    own: BrailleSet, fill: ExpectedFill | None, regimen: Regimen, *, is_contracted: bool
) -> Iterator[Difference]:
    """Everywhere on one name's sheets; of a report only the number.

    Args:
        own: the sheets.
        fill: whose they are; ``None`` for those that hold for every fill.
        regimen: what the file was made from.
        is_contracted: which grade it was asked for in.
    """
    allowed = list_allowed(regimen, fill)
    parts = [(page.number, page.head) for page in own.pages] + [(own.pages[0].number, own.title)]
    for section in own.sections:
        if not section.has_steps and read_words(section.heading, is_contracted=is_contracted) != _WHAT_IS_NEW:
            parts += [(section.page, section.heading), (section.page, section.text)]
    for page, text in parts:
        rest, wrong = _take_out_known(text, fill, regimen, is_contracted=is_contracted)
        for before, word in zip(("", *rest.split()), rest.split(), strict=False):
            if before not in _CARD and not _CODE_LIKE.search(word):
                wrong += [number for number in list_numbers(word) if number.lstrip(".") not in allowed]
        for number in wrong:
            yield Difference(page, "a number or a date", number, "none that no sentence of this card has")


def _take_out_known(
    text: str, fill: ExpectedFill | None, regimen: Regimen, *, is_contracted: bool
) -> tuple[str, list[str]]:
    """The text without what is known by the words beside it, and what of that is wrong."""
    days, wrong = list_days(regimen), list[str]()

    def take_date(found: re.Match[str]) -> str:
        (month,) = read_words(found[2], is_contracted=is_contracted)
        if month not in _MONTHS:
            return found[0]
        day = parse_whole(found[1]), _MONTHS.index(month) + 1, parse_whole(found[3])
        wrong.extend([] if day in days else ["{}-{}-{}".format(*day)])
        return ""

    text = _DATE.sub(take_date, text)
    minutes = {str(fill.fill.minutes_before)} if fill else set[str]()
    scale = set(list_text_numbers(regimen.syringe.scale.value))
    for pattern, meant in ((_MINUTE, minutes), (_STRENGTH, list_strengths(regimen)), (_SCALE, scale)):
        wrong += [number for found in pattern.findall(text) for number in list_numbers(found) if number not in meant]
        text = pattern.sub("", text)
    if fill and fill.is_mixed:
        values = (fill.draws[0].alone, fill.draws[1].alone, fill.draws[1].stop)
        text = text.replace(
            '{} "6 {} "7 {}'.format(*(write_number_cells(write_number(each)) for each in values)), "", 1
        )
    return text, wrong
