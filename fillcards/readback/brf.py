"""A braille file taken apart: bytes to pages, pages to parts, cells to numbers and to the few words that matter.

Works on the characters of ASCII braille as they stand in the file. There is no liblouis in here and no translating
back: numbers are the same in both grades of Unified English Braille, places are found by indentation, and only the
words of the table below are known. Characters and cells are from memory of North American ASCII braille and of Unified
English Braille; a test holds them against liblouis. Lengths in cells and lines; pages count from 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from fillcards.readback.model import UnreadableCard

BLANK: Final = " "
CHARACTERS: Final = frozenset(" A1B'K2L@CIF/MSP\"E3H9O6R^DJG>NTQ,*5<-U8V.%[$+X!&;:4\\0Z7(_?W]#Y)=")
HEADING_INDENT: Final = 3
"""Names of sheets stand in the middle and headings at the fifth cell; all else begins before the fourth."""

NUMBER: Final = re.compile(r"#4?[A-J]+(?:[14/][A-J]+)*")
"""Number sign, digits, and between them points, commas, or the line of a fraction."""
_DIGITS: Final = str.maketrans("ABCDEFGHIJ14", "1234567890,.")
_CELLS: Final = {character: cell for cell, character in zip("ABCDEFGHIJ14", "1234567890,.", strict=True)}
_SIGNS: Final = str.maketrans("1348", ",:.?")
_FOOT: Final = re.compile(r"PAGE (#[A-J]+) (?:OF|\() (#[A-J]+)$")
_STEP: Final = re.compile(r"(#[A-J]+)4 ")

_TABLE: Final = r"""
Z]O zero "O one TWO two ?REE three F\R four FIVE five SIX six SEV5 seven EI<T eight N9E nine T5 ten ELEV5 eleven
TWELVE twelve ?IRTE5 thirteen F\RTE5 fourteen FIFTE5 fifteen SIXTE5 sixteen SEV5TE5 seventeen EI<TE5 eighteen
N9ETE5 nineteen TW5TY twenty ?IRTY thirty =TY forty FIFTY fifty SIXTY sixty SEV5TY seventy EI<TY eighty N9ETY ninety
HUNDR$ hundred ?\S& thousand PO9T point & and A a HALF half 9 in ^WS words F/ first TOTAL total FILL fill L9E line
:AT what IS is NEW new MON"D monday TUES"D tuesday W$NES"D wednesday ?URS"D thursday FRI"D friday SATUR"D saturday
SUN"D sunday TO to B but E every "D day 2F before AF after BR1KFA/ breakfast LUN* lunch SUPP] supper D9N] dinner
JANU>Y january FEBRU>Y february M>* march APRIL april MAY may JUNE june JULY july AUGU/ august SEPTEMB] september
OCTOB] october NOVEMB] november DECEMB] december
B$"T bedtime AT at ! the MORN+ morning EV5+ evening NI<T night NOON noon MID"D midday AFN afternoon ) with
"""
_PAIRS: Final = _TABLE.split()
CONTRACTED: Final = dict(zip(_PAIRS[::2], _PAIRS[1::2], strict=True))
"""The contracted words that are understood: of numbers, labels, days, months and the usual times."""
_KNOWN: Final = CONTRACTED | {word.upper(): word for word in CONTRACTED.values()}
"""In a contracted file a word may stand letter by letter all the same."""


@dataclass(frozen=True, slots=True)
class BraillePage:
    """One page: its own number and of how many, the lines between head and foot, and what stands above and below.

    Attributes:
        head: the words at the top of a page that is not the first of its set.
        code: the left of the foot; empty where the line is too short for it.
    """

    number: int
    position: int
    count: int
    head: str
    body: tuple[str, ...]
    code: str

    @property
    def text(self) -> str:
        """All its words but the foot's, on one line."""
        return BLANK.join((self.head, *(line.strip() for line in self.body if line))).strip()


@dataclass(frozen=True, slots=True)
class BrailleSection:
    """A heading (empty for what follows the name of the sheet at once) and the lines under it, with their pages."""

    page: int
    heading: str
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """Everything under the heading, on one line."""
        return BLANK.join(line.strip() for line in self.lines)

    def list_steps(self) -> list[tuple[int | None, str]]:
        """Numbers and words of its steps; ``None`` for the number of what stands among them without one."""
        steps: list[tuple[int | None, str]] = []
        for line in self.lines:
            if line.startswith(BLANK) and steps:
                number, words = steps[-1]
                steps[-1] = number, f"{words} {line.strip()}"
            else:
                found = _STEP.match(line)
                steps.append((parse_whole(found[1]), line[found.end() :]) if found else (None, line.strip()))
        return steps

    @property
    def has_steps(self) -> bool:
        """Whether the first line under the heading is a numbered step."""
        return bool(self.lines) and _STEP.match(self.lines[0]) is not None


@dataclass(frozen=True, slots=True)
class BrailleSet:
    """The pages of one name, in order; the first section has no heading."""

    pages: tuple[BraillePage, ...]
    title: str
    sections: tuple[BrailleSection, ...]


def read_brf(data: bytes, cells: int, lines: int) -> tuple[BrailleSet, ...]:
    """Every set of pages of a file, in order.

    Args:
        data: the file.
        cells: that a line of the paper holds.
        lines: that a page has, exactly.

    Raises:
        UnreadableCard: a character that is no cell, another paper, or a page whose parts cannot be told.
    """
    text = data.decode("latin-1")
    if not text.endswith("\r\n\f"):
        raise UnreadableCard("the file does not end with the end of a page")
    pages = [
        _read_page(page.split("\r\n")[:-1], number, cells, lines)
        for number, page in enumerate(text.split("\f")[:-1], start=1)
    ]
    return tuple(_read_set(own) for own in _split_sets(pages))


def _read_page(rows: list[str], number: int, cells: int, lines: int) -> BraillePage:
    if len(rows) != lines:
        raise UnreadableCard(f"page {number} has {len(rows)} lines, on paper of {lines}")
    if max(map(len, rows)) > cells:
        raise UnreadableCard(f"page {number} has a line of {max(map(len, rows))} cells, on paper of {cells}")
    if set().union(*rows) - CHARACTERS:
        raise UnreadableCard(f"page {number} has a character that is no cell of braille")
    *above, foot = rows
    found = _FOOT.search(foot)
    if found is None:
        raise UnreadableCard(f"page {number} does not say which page it is")
    position = parse_whole(found[1])
    head: list[str] = []
    if position != 1:
        if "" not in above:
            raise UnreadableCard(f"page {number} has no blank line under its head")
        head, above = above[: above.index("")], above[above.index("") :]
    code = foot[: found.start()].strip()
    return BraillePage(number, position, parse_whole(found[2]), BLANK.join(head), tuple(above), code)


def _split_sets(pages: list[BraillePage]) -> Iterator[tuple[BraillePage, ...]]:
    own: list[BraillePage] = []
    for page in pages:
        if page.position == 1 and own:
            yield tuple(own)
            own = []
        own.append(page)
    yield tuple(own)


def _read_set(pages: tuple[BraillePage, ...]) -> BrailleSet:
    rows = [(page.number, line) for page in pages for line in page.body]
    start = next((index for index, (_, line) in enumerate(rows) if _is_heading(line)), len(rows))
    end = next((index for index in range(start, len(rows)) if not rows[index][1]), len(rows))
    if start == len(rows):
        raise UnreadableCard(f"page {pages[0].number} and those after it do not say what they are for")
    title = BLANK.join(line.strip() for _, line in rows[start:end])
    return BrailleSet(pages, title, tuple(_cut_sections(rows[end:])))


def _cut_sections(rows: list[tuple[int, str]]) -> Iterator[BrailleSection]:
    page, heading, lines = rows[0][0] if rows else 0, "", list[str]()
    for number, line in rows:
        if not _is_heading(line):
            lines += [line] if line else []
        elif heading and not lines:
            heading = f"{heading} {line.strip()}"
        else:
            yield BrailleSection(page, heading, tuple(lines))
            page, heading, lines = number, line.strip(), []
    yield BrailleSection(page, heading, tuple(lines))


def _is_heading(line: str) -> bool:
    return len(line) - len(line.lstrip(BLANK)) >= HEADING_INDENT


def parse_whole(cells: str) -> int:
    """A whole number."""
    return int(cells[1:].translate(_DIGITS))


def list_numbers(cells: str) -> list[str]:
    """Every number, in digits as print has them; of a fraction both."""
    return [digits for found in NUMBER.findall(cells) for digits in found[1:].translate(_DIGITS).split("/")]


def write_number_cells(digits: str) -> str:
    """A number as it must stand."""
    return "#" + "".join(_CELLS[digit] for digit in digits)


def read_words(cells: str, *, is_contracted: bool) -> list[str]:
    """Words in small letters, with the sign that follows them; ``?`` for each that is not known for certain."""
    return [_read_word(word, is_contracted=is_contracted) for word in cells.split()]


def _read_word(cells: str, *, is_contracted: bool) -> str:
    if "#" in cells:
        pieces, numbers = NUMBER.split(cells), list_numbers(cells)
        signs = [piece.translate(_SIGNS) for piece in pieces]
        if len(numbers) != len(pieces) - 1 or any(sign.strip(",:.?-") for sign in signs):
            return "?"
        return "".join(sign + number for sign, number in zip(signs, [*numbers, ""], strict=True))
    plain = cells.lstrip(",")
    for word, sign in ((plain, ""), (plain[:-1], plain[-1:].translate(_SIGNS))):
        if sign not in {"", ",", ":", ".", "?"}:
            break
        parts = [_read_part(part, is_contracted=is_contracted) for part in word.split("-")]
        if None not in parts:
            return "-".join(map(str, parts)) + sign
    return "?"


def _read_part(cells: str, *, is_contracted: bool) -> str | None:
    if is_contracted:
        return _KNOWN.get(cells)
    return cells.lower() if cells.isalpha() else None
