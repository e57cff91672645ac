"""From the bytes of a PDF to what the card says. Raises for what cannot be read; judges nothing else.

Every page is read twice: what the file holds (``marks``), and what an eye would see of it (``render``). What the eye
would miss becomes a ``Fault`` of the reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any, NamedTuple

from fillcards.readback.entries import require_plain_entries
from fillcards.readback.furniture import find_marks_over_text, find_strays
from fillcards.readback.marks import PageMarks, read_page_marks
from fillcards.readback.model import (
    Fault,
    PageReading,
    PaperReading,
    PictureReading,
    Reading,
    Sheets,
    Statement,
)
from fillcards.readback.pages import find_overlaps, find_page_faults, read_position
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.pictures import build_pictures, find_dim_lines
from fillcards.readback.render import Easel, Raster, choose_dpi
from fillcards.readback.runs import Run
from fillcards.readback.scales import find_scales
from fillcards.readback.small_cards import (
    Piece,
    cut_page,
    find_card_faults,
    find_card_size,
    is_empty_back,
    is_makers_page,
)
from fillcards.readback.spoken import parse_card_number
from fillcards.readback.stops import DrawnPicture, read_picture
from fillcards.readback.table import read_table_rows
from fillcards.readback.words import PhraseBook, read_statements


class _ReadPage(NamedTuple):
    """One page while its neighbours are still to be read."""

    marks: PageMarks
    pictures: tuple[DrawnPicture, ...]
    statements: tuple[Statement, ...]
    faults: tuple[Fault, ...]
    reading: PageReading
    is_small: bool


def measure_pdf(data: bytes) -> Reading:
    """Read a finished card, or finished small cards, alone or on sheets.

    Args:
        data: a whole PDF file. Bytes from elsewhere belong into ``foreign.measure_foreign_pdf``: a small file can
            unfold to gigabytes.

    Raises:
        UnreadableCard: it is not a card, or holds what cannot be read for certain.
        OutputError: the typeface is not installed.
    """
    pages: list[_ReadPage] = []
    small_mm: tuple[float, float] | None = None
    for marks, page, eye in _open_pages(data):
        # The empty back of a sheet of small cards says nothing of their size.
        small_mm = find_card_size(marks) or (small_mm if is_empty_back(marks) else None)
        number = len(pages) + 1
        pieces = cut_page(marks, small_mm, number) if small_mm else (Piece(marks._replace(number=number)),)
        pages += _read_pieces(pieces, marks, page, eye)
    return _build_reading(pages)


def measure_small_cards(data: bytes, small_mm: tuple[float, float]) -> Reading:
    """Read finished small cards: each side of a card is a page of the reading.

    Args:
        data: a whole PDF file, our own. Its pages are sides of cards, or sheets of them that are to be cut apart; the
            maker's pages are full sheets.
        small_mm: width and height of a card.

    Raises:
        UnreadableCard: as ``measure_pdf``.
        OutputError: likewise.
    """
    pages: list[_ReadPage] = []
    papers: list[PaperReading] = []
    for marks, page, eye in _open_pages(data):
        papers.append(PaperReading(marks.width_mm, marks.height_mm, is_makers_page(marks), is_empty_back(marks)))
        pages += _read_pieces(cut_page(marks, small_mm, len(pages) + 1), marks, page, eye)
    return _build_reading(pages)._replace(papers=tuple(papers))


class _Eye(NamedTuple):
    """What looks at the pages of one card, one after the other."""

    easel: Easel
    book: PhraseBook


def _open_pages(data: bytes) -> Iterator[tuple[PageMarks, Any, _Eye]]:
    """Each page while it is open: its marks, pdfium's own page, and what looks at it."""
    require_plain_entries(data)
    eye = _Eye(Easel(), PhraseBook())
    with open_document(data) as (document, count):
        for index in range(count):
            with open_page(document, index) as page:
                yield read_page_marks(page, index + 1), page, eye


def _read_pieces(pieces: tuple[Piece, ...], marks: PageMarks, page: Any, eye: _Eye) -> Iterator[_ReadPage]:
    """The page, or the small cards on it: looked at together, read one by one."""
    drawn = [tuple(read_picture(scale, piece.marks) for scale in find_scales(piece.marks)) for piece in pieces]
    raster = eye.easel.render_page(page, choose_dpi(marks.runs, has_pictures=any(drawn)))
    blemished = {id(run) for run in eye.easel.find_blemished(raster, marks.runs, page)}
    for piece, pictures in zip(pieces, drawn, strict=True):
        yield _read_piece(piece, pictures, raster, blemished, eye.book)


def _read_piece(
    piece: Piece, pictures: tuple[DrawnPicture, ...], raster: Raster, blemished: set[int], book: PhraseBook
) -> _ReadPage:
    marks = piece.marks
    taken = {id(run) for picture in pictures for run in picture.runs}
    statements = read_statements([run for run in marks.runs if id(run) not in taken], marks.number, book)
    position = read_position(statements, marks)
    unlike = [run for run in marks.runs if id(run) in blemished]
    faults = [
        *(find_page_faults(marks, position) if piece.card is None else find_card_faults(piece, position)),
        *find_overlaps(marks),
        *find_marks_over_text(marks),
        *(() if position.is_makers else find_strays(marks, pictures)),
        *(Fault(marks.number, words) for words in _name_blemished(unlike, taken)),
        *(Fault(marks.number, words) for picture in pictures for words in find_dim_lines(picture, raster)),
    ]
    return _ReadPage(marks, pictures, statements, tuple(faults), position, piece.card is not None)


def _name_blemished(runs: list[Run], taken: set[int]) -> Iterator[str]:
    for run in runs:
        what = f"the number {run.text} of a picture" if id(run) in taken else _describe_run(run)
        yield f"{what}, {run.x_mm:.1f} mm from the left and {run.y_mm:.1f} mm from the top, does not look as it reads"


def _describe_run(run: Run) -> str:
    # Words may be the patient's; a bare number cannot.
    return f"the number {run.text}" if run.text.isdigit() else "a line of text"


def _build_reading(pages: list[_ReadPage]) -> Reading:
    every = _find_line_every(pages)
    sheets = tuple(_build_sheets(group, every) for group in _group_pages(pages))
    makers = [page.marks for page in pages if page.reading.is_makers]
    return Reading(
        pages=tuple(page.reading for page in pages),
        sheets=sheets,
        table=tuple(read_table_rows(makers)),
        faults=tuple(fault for page in pages for fault in page.faults),
    )


def _find_line_every(pages: list[_ReadPage]) -> Fraction | None:
    """What one line is worth by the whole barrels of the card; a close-up with one number cannot say it itself."""
    steps = {
        abs(picture.scale.step)
        for page in pages
        for picture in page.pictures
        if picture.is_whole and picture.scale.step
    }
    if not steps:
        # A small card may have close-ups alone; its words say what a line is worth, and are compared as well.
        said = {s.found["every"] for page in pages for s in page.statements if s.kind == "each line"}
        numbers = (Fraction(1, 2) if every == "half a unit" else parse_card_number(every.split()[0]) for every in said)
        steps = {number for number in numbers if number}
    return steps.pop() if len(steps) == 1 else None


def _group_pages(pages: list[_ReadPage]) -> Iterator[list[_ReadPage]]:
    """Runs of pages: a new one begins where the count of pages begins anew, or the maker's pages begin."""
    group: list[_ReadPage] = []
    for page in pages:
        if group and (page.reading.position == 1 or page.reading.is_makers is not group[-1].reading.is_makers):
            yield group
            group = []
        group.append(page)
    yield group


def _build_sheets(group: list[_ReadPage], every: Fraction | None) -> Sheets:
    pictures: list[PictureReading] = []
    for page in group:
        pictures += build_pictures(page.pictures, page.marks.number, every)
    return Sheets(
        is_makers=group[0].reading.is_makers,
        pages=tuple(page.marks.number for page in group),
        pictures=tuple(pictures),
        statements=tuple(statement for page in group for statement in page.statements),
        is_small=group[0].is_small,
    )
