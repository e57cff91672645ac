"""Braille as data: cells, words of cells beside the print they stand for, and lines of them.

A cell is one character of the Unicode block "Braille Patterns" (U+2800 to U+283F), so that every output can take it
apart again. Nothing here translates: whoever needs cells is given a ``Translate`` (``output.louis`` makes them).
Lengths are counted in cells.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Final, NamedTuple, TypeAlias

from fillcards.problems import FillcardsError

LEAST_CELLS: Final = 20
MOST_CELLS: Final = 100
LEAST_LINES: Final = 15
MOST_LINES: Final = 100

BLANK: Final = "\u2800"
HYPHEN: Final = "\u2824"
NUMBER_SIGN: Final = "\u283c"
_FIRST: Final = 0x2800
_SIX_DOTS: Final = 0x3F


class Contraction(Enum):
    """The two grades of Unified English Braille. Whoever reads the contracted one reads both; not so the other way."""

    UNCONTRACTED = "uncontracted"
    CONTRACTED = "contracted"


@dataclass(frozen=True, slots=True)
class BraillePaper:
    """A page of braille: cells of a line, lines of a page, the foot with the page number included.

    40 by 25 is an embosser's usual sheet of 11.5 by 11 inches: common practice, no source.
    """

    cells: int = 40
    lines: int = 25

    def __post_init__(self) -> None:
        """Refuse what no sentence of a card fits on."""
        if not LEAST_CELLS <= self.cells <= MOST_CELLS:
            raise ValueError(f"{self.cells} cells a line: expected {LEAST_CELLS} to {MOST_CELLS}")
        if not LEAST_LINES <= self.lines <= MOST_LINES:
            raise ValueError(f"{self.lines} lines a page: expected {LEAST_LINES} to {MOST_LINES}")


DEFAULT_PAPER: Final = BraillePaper()


class BrailleWord(NamedTuple):
    """One word in cells.

    Attributes:
        print: the word it stands for.
        holds_next: whether the next word must stand on the same line: a number and its unit.
    """

    cells: str
    print: str
    holds_next: bool = False


BrailleText: TypeAlias = tuple[BrailleWord, ...]
Translate: TypeAlias = Callable[[str], BrailleText]
"""Text to words of cells; raises ``RegimenRefused`` for what braille cannot say."""


class BrailleTooWide(FillcardsError):
    """Words that must stand together are longer than a line. Does not say which words: they may name the patient."""

    def __init__(self, needed: int, room: int) -> None:
        super().__init__(f"a word or an amount that takes {needed} cells of braille, on a line of {room}")


class BrailleLine(NamedTuple):
    """Words on one line, ``indent`` blank cells before them."""

    words: BrailleText
    indent: int = 0

    @property
    def cells(self) -> str:
        """The whole line, its indentation too."""
        return BLANK * self.indent + BLANK.join(word.cells for word in self.words)

    @property
    def print(self) -> str:
        """What it says."""
        return " ".join(word.print for word in self.words)


def list_dots(cell: str) -> tuple[int, ...]:
    """The raised dots of a cell, 1 to 6: 1 2 3 down the left column, 4 5 6 down the right.

    Raises:
        ValueError: it is no cell of six dots.
    """
    pattern = ord(cell) - _FIRST
    if not 0 <= pattern <= _SIX_DOTS:
        raise ValueError(f"U+{ord(cell):04X} is not a braille cell of six dots")
    return tuple(dot for dot in range(1, 7) if pattern >> (dot - 1) & 1)


def is_six_dots(cells: str) -> bool:
    """Whether every character is a cell of six dots; liblouis spells what it does not know with a dot more."""
    return all(0 <= ord(cell) - _FIRST <= _SIX_DOTS for cell in cells)


def measure_cells(text: BrailleText) -> int:
    """Length of a text on one line."""
    return sum(len(word.cells) for word in text) + max(len(text) - 1, 0)


def part_words(text: BrailleText, width: int) -> BrailleText:
    """Words longer than a line, such as double names, in pieces: after a hyphen of their own, else with one added;
    never a word with a number in it, or one held together with another.

    That a word may be parted so where a line ends is common practice in braille; no source was found.
    """
    parts: list[BrailleWord] = []
    for group in _group_words(text):
        parts += group if len(group) > 1 else _part_word(group[0], width)
    return tuple(parts)


def _part_word(word: BrailleWord, width: int) -> Iterator[BrailleWord]:
    cells = word.cells
    while len(cells) > width and NUMBER_SIGN not in cells:
        own = cells.rfind(HYPHEN, 1, width) + 1
        yield BrailleWord(cells[:own] if own else cells[: width - 1] + HYPHEN, "")
        cells = cells[own or width - 1 :]
    yield BrailleWord(cells, word.print, word.holds_next)


def wrap_words(text: BrailleText, width: int, *, indent: int = 0, runover: int = 0) -> tuple[BrailleLine, ...]:
    """Break a text into lines, never inside a word, never between words that hold each other.

    Args:
        text: the words.
        width: cells of a line.
        indent: blank cells before the first line.
        runover: blank cells before the lines after it.

    Raises:
        BrailleTooWide: something that must stay whole is longer than a line. Braille has no smaller type, and an
            amount in two pieces can be read as two amounts.
    """
    lines: list[BrailleLine] = []
    line: list[BrailleWord] = []
    blank = indent
    for group in _group_words(text):
        if line and blank + measure_cells((*line, *group)) > width:
            lines.append(BrailleLine(tuple(line), blank))
            line, blank = [], runover
        if blank + measure_cells(group) > width:
            raise BrailleTooWide(blank + measure_cells(group), width)
        line += group
    return (*lines, BrailleLine(tuple(line), blank)) if line else tuple(lines)


def _group_words(text: Iterable[BrailleWord]) -> Iterator[tuple[BrailleWord, ...]]:
    group: list[BrailleWord] = []
    for word in text:
        group.append(word)
        if not word.holds_next:
            yield tuple(group)
            group = []
    if group:
        yield tuple(group)
