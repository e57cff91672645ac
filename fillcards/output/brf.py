"""The card for the patient as a braille file (.brf) for an embosser or a braille display.

Reads the card and nothing of the layout; the maker's page is left out, since it is about print and is not given away.
Each fill begins on a page of its own and counts its own pages; its name, both lines and the band stand at the top of
each of them, as in print. A step stays whole where a page can hold it; an amount stands on one line always.

Form: headings in the middle or from cell 5 with a blank line above (``bana-formats-2016``), paragraphs from cell 3, the
page number at the foot on the right (``braille-page-form``), lists with their later lines from cell 3 (common practice,
no source). Lines end with CR LF and pages with a form feed: common practice, no source. Lengths in cells and lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from fillcards.card.model import (
    Band,
    Barrels,
    Block,
    Card,
    Figure,
    FigurePair,
    Heading,
    Paragraph,
    Points,
    Steps,
    Stop,
    WriteIn,
)
from fillcards.output.louis import make_translate, write_brf_line
from fillcards.output.text import list_fill_blocks
from fillcards.problems import InternalFault, Place, Problem, RegimenRefused, Severity
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
from fillcards.wording.english import spoken, tactile

_PARAGRAPH_INDENT: Final = 2
_RUNOVER: Final = 2
_HEADING_INDENT: Final = 4
_TITLE_SIDES: Final = 3


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
        contraction: which grade of Unified English Braille.

    Raises:
        RegimenRefused: ``BRAILLE-001`` to ``BRAILLE-003``, for words that braille or this paper cannot hold.
        OutputError: liblouis is missing.
    """
    writer = _Writer(card, paper, make_translate(contraction))
    try:
        pages = [
            page
            for fill in card.fills
            for page in writer.write_sheet(fill.name, fill.running_lines, list_fill_blocks(fill))
        ]
        pages += writer.write_sheet(card.general.name, None, card.general.blocks)
    except BrailleTooWide as error:
        raise RegimenRefused((make_too_wide_problem(error),)) from error
    return "".join(page + "\f" for page in pages).encode("ascii")


def make_too_wide_problem(error: BrailleTooWide) -> Problem:
    """What cannot be broken does not fit on a line of braille."""
    return Problem(
        "BRAILLE-003",
        Severity.REFUSE,
        Place(),
        str(error),
        "every word, and every amount with its unit, fits on one line",
        "use wider paper (--cells), the ordinary size of cell or contracted braille, or shorten the longest words",
    )


class _Writer:
    """Sets the blocks of one card in cells."""

    def __init__(self, card: Card, paper: BraillePaper, translate: Translate) -> None:
        self._card = card
        self._paper = paper
        self._translate = translate

    def write_sheet(self, name: str, running_lines: str | None, blocks: Iterable[Block | Barrels]) -> list[str]:
        """The pages of one name, as ASCII braille."""
        head = self._make_head(name, running_lines)
        chunks = [self._set(tactile.NOTICE, _PARAGRAPH_INDENT, 0)] if running_lines is not None else []
        for block in blocks:
            chunks += self._set_block(block)
            if running_lines is not None and block == Heading(1, name):
                # A page of braille may be too short for both stops; their lines stand on it together all the same.
                chunks.append(self._set(f"{running_lines}.", _PARAGRAPH_INDENT, 0))
        # The foot takes the last line.
        room = self._paper.lines - 1
        pages = _paginate(chunks, room, room - len(head))
        return [
            self._write_page(lines if number == 1 else [*head, *lines], number, len(pages))
            for number, lines in enumerate(pages, start=1)
        ]

    def _make_head(self, name: str, running_lines: str | None) -> list[BrailleLine]:
        """At the top of every page after the first, so that a page by itself is not taken for another fill's."""
        texts = [name if running_lines is None else f"{name}: {running_lines}"]
        texts += [self._card.band] if self._card.band else []
        lines = [line for text in texts for line in wrap_words(self._translate(text), self._paper.cells)]
        return [*lines, BrailleLine(())]

    def _write_page(self, lines: list[BrailleLine], number: int, count: int) -> str:
        filled = [*lines, *[BrailleLine(())] * (self._paper.lines - 1 - len(lines))]
        rows = [write_brf_line(line.cells).rstrip(" ") for line in filled]
        rows.append(write_brf_line(self._make_foot(number, count)))
        return "".join(f"{row}\r\n" for row in rows)

    def _make_foot(self, number: int, count: int) -> str:
        """Card code on the left where there is room, page number on the right."""
        right = self._translate(tactile.write_page_count(number, count))
        left = self._translate(f"Card {self._card.code}")
        spare = self._paper.cells - measure_cells(right) - measure_cells(left)
        if spare < _TITLE_SIDES:
            return BrailleLine(right, self._paper.cells - measure_cells(right)).cells
        return BrailleLine(left).cells + BLANK * spare + BrailleLine(right).cells

    def _set(self, text: str, indent: int, runover: int, *, blank_before: bool = False, keep: bool = False) -> _Chunk:
        words = self._translate(text)
        return _Chunk(wrap_words(words, self._paper.cells, indent=indent, runover=runover), blank_before, keep)

    def _set_block(self, block: Block | Barrels) -> Iterator[_Chunk]:
        match block:
            case Heading():
                yield self._set_heading(block)
            case Stop():
                yield from self._set_stop(block)
            case Steps() | Points():
                yield from (self._set(text, 0, _RUNOVER) for text in _list_items(block))
            case FigurePair():
                for figure in block.figures:
                    yield from self._set_block(figure)
            case _:
                yield from (self._set(text, _PARAGRAPH_INDENT, 0) for text in _list_paragraphs(block))

    def _set_heading(self, block: Heading) -> _Chunk:
        if block.level > 1:
            return self._set(block.text, _HEADING_INDENT, _HEADING_INDENT, blank_before=True, keep=True)
        words = self._translate(block.text)
        lines = wrap_words(words, self._paper.cells - 2 * _TITLE_SIDES)
        centred = tuple(replace(line, indent=(self._paper.cells - measure_cells(line.words)) // 2) for line in lines)
        return _Chunk((*centred, BrailleLine(())), blank_before=True, keep_with_next=True)

    def _set_stop(self, stop: Stop) -> Iterator[_Chunk]:
        amount = spoken.write_stop_amount(stop.figure, stop.unit)
        yield self._set(
            f"{stop.label}: {stop.medicine}", _HEADING_INDENT, _HEADING_INDENT, blank_before=True, keep=True
        )
        yield self._set(f"{amount[0].upper()}{amount[1:]}, {spoken.IN_WORDS} {stop.words}.", 0, _RUNOVER, keep=True)
        rest = [*stop.count, *([stop.addition] if stop.addition else [])]
        for number, text in enumerate(rest, start=1):
            yield self._set(text, 0, _RUNOVER, keep=number < len(rest))


def _list_items(block: Steps | Points) -> Iterator[str]:
    if isinstance(block, Points):
        yield from block.items
    else:
        yield from (f"{number}. {text}" for number, text in enumerate(block.items, start=block.first_number))


def _list_paragraphs(block: Block | Barrels) -> Iterator[str]:
    match block:
        case Paragraph() | Band():
            yield block.text
        case Figure():
            yield f"{spoken.PICTURE}: {block.alt}"
        case Barrels():
            yield from (f"{spoken.PICTURE}: {alt}" for alt in block.alts)
        case WriteIn():
            yield from (f"{label}: {spoken.TO_FILL_IN}" for label in block.labels)
        case _:
            raise InternalFault(f"a {type(block).__name__} stands on the patient's sheets")


def _paginate(chunks: list[_Chunk], first_room: int, later_room: int) -> list[list[BrailleLine]]:
    """Lines of each page. A chunk longer than a page is broken between its lines, which never cuts an amount."""
    pages: list[list[BrailleLine]] = [[]]
    room = first_room
    waiting = list(chunks)
    while waiting:
        chain = _take_chain(waiting)
        lines = [
            line
            for number, chunk in enumerate(chain)
            for line in _list_lines(chunk, at_top=not pages[-1] and not number)
        ]
        if len(pages[-1]) + len(lines) > room and pages[-1]:
            pages.append([])
            room = later_room
            continue
        if len(lines) > room:
            chain = chain[:1]
            lines = list(_list_lines(chain[0], at_top=True))
        for line in lines:
            if len(pages[-1]) == room:
                pages.append([])
                room = later_room
            pages[-1].append(line)
        del waiting[: len(chain)]
    return pages


def _take_chain(chunks: list[_Chunk]) -> list[_Chunk]:
    chain: list[_Chunk] = []
    for chunk in chunks:
        chain.append(chunk)
        if not chunk.keep_with_next:
            break
    return chain


def _list_lines(chunk: _Chunk, *, at_top: bool) -> Iterator[BrailleLine]:
    if chunk.blank_before and not at_top:
        yield BrailleLine(())
    yield from chunk.lines
