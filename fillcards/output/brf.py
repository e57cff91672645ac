"""The card for the patient as a braille file (.brf) for an embosser or a braille display.

The words and the order of the plain text, without its pictures: every fill's daily card first, then every fill's steps,
then what holds for all; each of these begins on a page of its own. The band, whose card it is and the name of the part
stand at the top of every page, the card and the count of pages at its foot. A step stays whole where a page can hold
it, each of its sentences on a line of its own; an amount stands on one line always.

Form, from memory of *Braille Formats* (Braille Authority of North America, 2016): headings from cell 5 with a blank
line above, paragraphs from cell 3, lists with their later lines from cell 3, the page number at the foot on the right.
Lines end with CR LF and pages with a form feed: common practice, no source. Lengths in cells and lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import zip_longest
from typing import Final

from fillcards.card.model import Card
from fillcards.output.louis import make_translate
from fillcards.output.text import (
    TO_WRITE_ON,
    Group,
    Kind,
    SpokenLine,
    list_daily,
    list_head,
    list_steps,
    list_vials,
    split_sentences,
)
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.wording.braille import (
    BLANK,
    BrailleLine,
    BraillePaper,
    BrailleTooWide,
    Contraction,
    Translate,
    measure_cells,
    wrap_words,
)
from fillcards.wording.messages import Say, render, say

_ASCII_BRAILLE: Final = dict(
    zip(range(0x2800, 0x2840), " A1B'K2L@CIF/MSP\"E3H9O6R^DJG>NTQ,*5<-U8V.%[$+X!&;:4\\0Z7(_?W]#Y)=", strict=True)
)
"""North American ASCII braille, which embossers and braille displays expect in a .brf file."""
_STEP_INDENT: Final = 2
_RUNOVER: Final = 2
_HEADING_INDENT: Final = 4
_FOOT_GAP: Final = 3


@dataclass(frozen=True, slots=True)
class _Chunk:
    """Lines that stay on one page if a page can hold them.

    Attributes:
        blank_before: whether an empty line stands above, but not at the top of a page.
        keep_with_next: whether the next chunk's first lines must follow on the same page.
    """

    lines: tuple[BrailleLine, ...]
    blank_before: bool = False
    keep_with_next: bool = False


def write_brf(card: Card, paper: BraillePaper, contraction: Contraction) -> bytes:
    """The file.

    Args:
        card: what it says.
        paper: cells and lines.
        contraction: which grade of Unified English Braille; other languages have one.

    Raises:
        RegimenRefused: ``BRAILLE-001`` to ``BRAILLE-004``, for words that braille or this paper cannot hold.
        OutputError: liblouis is missing.
    """
    writer = _Writer(card, paper, make_translate(contraction, card.language))
    try:
        pages = list(writer.write_pages())
    except BrailleTooWide as error:
        problem = Problem(
            "BRAILLE-003",
            Severity.REFUSE,
            Place(),
            str(error),
            "every word, and every amount with its unit, fits on one line",
            "use wider paper (--cells), the ordinary size of cell or contracted braille, or shorten the longest words",
        )
        raise RegimenRefused((problem,)) from error
    return "".join(page + "\f" for page in pages).encode("ascii")


def write_brf_line(cells: str) -> str:
    """Cells as the ASCII characters of a .brf file."""
    return cells.translate(_ASCII_BRAILLE)


class _Writer:
    """Sets the messages of one card in cells."""

    def __init__(self, card: Card, paper: BraillePaper, translate: Translate) -> None:
        self._card = card
        self._paper = paper
        self._translate = translate

    def write_pages(self) -> Iterator[str]:
        """All pages as ASCII braille."""
        card = self._card
        head = list_head(card)
        pages: list[list[BrailleLine]] = []
        for number, fill in enumerate(card.fills):
            daily = (head, *list_daily(fill)) if number == 0 else list_daily(fill)
            pages += self._set_part(daily, (fill.title,), is_first=number == 0)
            pages += self._set_part(list_steps(fill), (fill.title, fill.running))
        pages += self._set_part((*list_vials(card.vials), (SpokenLine(Kind.FACT, card.foot),)), (card.vials.title,))
        for number, lines in enumerate(pages, start=1):
            yield self._write_page(lines, number, len(pages))

    def _set_part(
        self, groups: Iterable[Group], names: tuple[Say, ...], *, is_first: bool = False
    ) -> list[list[BrailleLine]]:
        """The lines of each page of a part, with the heads they have; the foot takes the last line."""
        chunks = [chunk for group in groups for chunk in self._set_group(group)]
        whose = tuple(line.say for line in list_head(self._card)[1:] if line.kind is Kind.FACT)
        # A page begins with whose it is, and names its part where the part does not begin there.
        heads = () if is_first else self._make_head(whose), self._make_head((*whose, *names))
        room = self._paper.lines - 1
        pages = _paginate(chunks, room - len(heads[0]), room - len(heads[1]))
        return [[*heads[min(number, 1)], *lines] for number, lines in enumerate(pages)]

    def _make_head(self, says: Iterable[Say]) -> tuple[BrailleLine, ...]:
        """Messages above a blank line."""
        return (*(line for each in says for line in self._wrap(self._write(each), runover=0)), BrailleLine(()))

    def _write_page(self, lines: list[BrailleLine], number: int, count: int) -> str:
        filled = [*lines, *[BrailleLine(())] * (self._paper.lines - 1 - len(lines))]
        rows = [write_brf_line(line.cells).rstrip(" ") for line in filled]
        rows.append(write_brf_line(self._make_foot(number, count)))
        return "".join(f"{row}\r\n" for row in rows)

    def _make_foot(self, number: int, count: int) -> str:
        """The card on the left where there is room, page number on the right."""
        right = self._translate(self._write(say("page", page=number, pages=count)))
        left = self._translate(self._write(self._card.title))
        spare = self._paper.cells - measure_cells(right) - measure_cells(left)
        if spare < _FOOT_GAP:
            return BrailleLine(right, self._paper.cells - measure_cells(right)).cells
        return BrailleLine(left).cells + BLANK * spare + BrailleLine(right).cells

    def _write(self, message: Say) -> str:
        return render(message, self._card.language).text

    def _set_group(self, group: Group) -> Iterator[_Chunk]:
        """A step or a stop whole; of other groups each line, a heading kept with what follows it."""
        lines = [line for line in group if line.kind is not Kind.PICTURE]
        kinds = {line.kind for line in lines}
        if kinds & {Kind.STEP, Kind.STOP}:
            whole = tuple(each for line in lines for each in self._set_line(line))
            yield _Chunk(whole, blank_before=True, keep_with_next=kinds == {Kind.HEADING, Kind.STOP})
            return
        for number, line in enumerate(lines):
            is_heading = line.kind is Kind.HEADING
            yield _Chunk(self._set_line(line), blank_before=number == 0, keep_with_next=is_heading and len(lines) > 1)

    def _set_line(self, line: SpokenLine) -> tuple[BrailleLine, ...]:
        text = self._write(line.say)
        match line.kind:
            case Kind.STEP:
                return tuple(each for part in split_sentences(text) for each in self._wrap(part, _STEP_INDENT))
            case Kind.WRITE_IN:
                return self._wrap(text + TO_WRITE_ON)
            case Kind.HEADING:
                return self._wrap(text, _HEADING_INDENT, runover=0)
            case _:
                return self._wrap(text)

    def _wrap(self, text: str, indent: int = 0, runover: int = _RUNOVER) -> tuple[BrailleLine, ...]:
        """A text from an indent on, its later lines further in."""
        return wrap_words(self._translate(text), self._paper.cells, indent=indent, runover=indent + runover)


def _paginate(chunks: list[_Chunk], first_room: int, later_room: int) -> list[list[BrailleLine]]:
    """Lines of each page. A chunk longer than a page is broken between its lines, which never cuts an amount."""
    pages: list[list[BrailleLine]] = [[]]
    room = first_room
    for chunk, following in zip_longest(chunks, chunks[1:]):
        lines = _list_lines(chunk, at_top=not pages[-1])
        kept = _list_lines(following, at_top=False) if following and chunk.keep_with_next else []
        if pages[-1] and len(pages[-1]) + len(lines) + len(kept) > room:
            pages.append([])
            room, lines = later_room, _list_lines(chunk, at_top=True)
        for line in lines:
            if len(pages[-1]) == room:
                pages.append([])
                room = later_room
            pages[-1].append(line)
    return pages


def _list_lines(chunk: _Chunk, *, at_top: bool) -> list[BrailleLine]:
    return [*([BrailleLine(())] if chunk.blank_before and not at_top else []), *chunk.lines]
