"""The gates of every form but the printed one: finished bytes against the text of their regimen file.

Each raises ``CardMismatch`` with every difference it finds, and returns nothing. Pictures of pages are held against the
pdf file of the same card, which has passed a gate of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from fillcards.readback import png
from fillcards.readback.braille import Sheet, find_braille_faults
from fillcards.readback.expect import Expecting
from fillcards.readback.fingerprint import CODE_LENGTH, compute_fingerprint
from fillcards.readback.forms import list_alts, list_described, list_spoken, list_text
from fillcards.readback.gate import CardMismatch
from fillcards.readback.linear import compare_lines, list_breaths, list_scan_words, read_text, write_line
from fillcards.readback.marks import read_page_marks
from fillcards.readback.model import CardClaims, UnreadableCard
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.regimen_text import Facts, NotUnderstood, read_facts
from fillcards.readback.screen import find_screen_faults
from fillcards.readback.sheets import SHEETS, list_sheet_alts, say_sheet_title
from fillcards.readback.svg import Picture, find_missing_words, find_page_faults, find_words_faults, read_svg_file


def require_same_text(data: bytes, regimen_text: str, code: str | None = None, syringes: str | None = None) -> None:
    """The plain text.

    Args:
        data: the file.
        regimen_text: of the regimen file it was made from.
        code: of the card; left out, the readback's own, from the file's words.
        syringes: text of the user's own syringes file.

    Raises:
        CardMismatch: with every difference.
    """
    claims, _ = _claim(regimen_text, code, syringes)
    meant = map(write_line, list_text(claims))
    _require(lambda: compare_lines(read_text(data), meant, "text"))


def require_same_html(data: bytes, regimen_text: str, code: str | None = None, syringes: str | None = None) -> None:
    """The page for the screen, its pictures measured.

    Raises:
        CardMismatch: with every difference.
    """
    claims, facts = _claim(regimen_text, code, syringes)
    _require(lambda: find_screen_faults(data, claims, facts))


def require_same_words(
    files: Sequence[Iterable[str]], regimen_text: str, code: str | None = None, syringes: str | None = None
) -> None:
    """The words handed to the voice: of each sound file, breath by breath.

    Raises:
        CardMismatch: with every difference.
    """
    claims, _ = _claim(regimen_text, code, syringes)
    meant = [
        [breath for sentence in sentences if not sentence.is_write_in for breath in list_breaths(sentence, claims)]
        for sentences in list_spoken(claims)
    ]

    def find() -> Iterator[str]:
        if len(files) != len(meant):
            yield f"{len(files)} sound files, where {len(meant)} are meant"
        for number, (said, should) in enumerate(zip(files, meant, strict=False), start=1):
            yield from compare_lines(said, should, f"sound {number}")

    _require(find)


def require_same_scan_words(
    words: str, fill_number: int, regimen_text: str, code: str | None = None, syringes: str | None = None
) -> None:
    """The words of the code to scan of one fill, counted from 1.

    Raises:
        CardMismatch: with every difference.
    """
    claims, _ = _claim(regimen_text, code, syringes)
    meant = list_scan_words(claims, claims.fills[fill_number - 1])
    _require(lambda: compare_lines(words.split("\n"), meant, "code to scan"))


def require_same_brf(
    data: bytes,
    regimen_text: str,
    sheet: tuple[int, int],
    *,
    is_contracted: bool,
    code: str | None = None,
    syringes: str | None = None,
) -> None:
    """The braille file.

    Args:
        data: the file.
        regimen_text: of the regimen file it was made from.
        code: of the card; left out, the readback's own, from the file's words.
        sheet: cells of a line and lines of a page.
        is_contracted: which grade was asked for.
        syringes: text of the user's own syringes file.

    Raises:
        CardMismatch: with every difference.
        OutputError: liblouis is missing.
    """
    claims, _ = _claim(regimen_text, code, syringes)
    _require(lambda: find_braille_faults(data, claims, Sheet(*sheet), is_contracted=is_contracted))


def require_same_svg(
    pages: Sequence[bytes],
    pdf: bytes,
    regimen_text: str,
    *,
    form: str = "fridge",
    stop: tuple[int, int] | None = None,
    code: str | None = None,
    syringes: str | None = None,
) -> None:
    """Pages as svg files.

    Args:
        pages: the files in order.
        pdf: of the same card, read back before.
        regimen_text: of the regimen file.
        form: of the card; ``fridge`` describes everything, another only what it holds itself.
        stop: of a page with one stop alone, its fill and draw, both from 1.
        code: of the card; left out, the readback's own, from the file's words.
        syringes: text of the user's own syringes file.

    Raises:
        CardMismatch: with every difference.
    """
    claims, facts = _claim(regimen_text, code, syringes)
    title, alts = claims.title.text, tuple(list_alts(claims))
    described = tuple(list_described(claims)) if form == "fridge" else tuple(fill.title.text for fill in claims.fills)
    if form in SHEETS:
        expecting = Expecting(facts, claims.code)
        title, alts = say_sheet_title(form, expecting), tuple(list_sheet_alts(form, expecting))
    if stop:
        described = (claims.fills[stop[0] - 1].panels[stop[1] - 1].alt.text,)
    pictures: list[Picture] = []

    def compare(data: bytes, page: Any, number: int) -> Iterator[str]:
        picture, marks = read_svg_file(data), read_page_marks(page, number)
        pictures.append(picture)
        yield from find_page_faults(picture, marks)
        yield from find_words_faults(picture, marks, alts)
        if (picture.title, picture.language) != (title, claims.language):
            yield f'its title is "{picture.title}" ({picture.language})'

    def find() -> Iterator[str]:
        yield from _compare_pages(pages, pdf, compare)
        yield from find_missing_words(pictures, described)

    _require(find)


def require_same_png(pages: Sequence[bytes], pdf: bytes, dpi: int) -> None:
    """Pages as png files.

    Args:
        pages: the files in order.
        pdf: of the same card, read back before.
        dpi: dots per inch, as was asked for.

    Raises:
        CardMismatch: with every difference.
    """
    _require(lambda: _compare_pages(pages, pdf, lambda data, page, _: png.find_page_faults(data, page, dpi)))


def _claim(regimen_text: str, code: str | None, syringes: str | None) -> tuple[CardClaims, Facts]:
    try:
        facts = read_facts(regimen_text, syringes)
        return Expecting(facts, code or compute_fingerprint(facts)[:CODE_LENGTH]).claims, facts
    except (NotUnderstood, KeyError, ValueError) as error:
        raise CardMismatch((f"the file cannot be read a second time: {error}",)) from error


def _require(find: Callable[[], Iterable[str]]) -> None:
    try:
        faults = tuple(find())
    except UnreadableCard as error:
        faults = (str(error),)
    if faults:
        raise CardMismatch(faults)


def _compare_pages(
    pages: Sequence[bytes], pdf: bytes, compare: Callable[[bytes, Any, int], Iterator[str]]
) -> Iterator[str]:
    with open_document(pdf) as (document, count):
        if count != len(pages):
            yield f"{len(pages)} pages, where the pdf file has {count}"
        for number, data in enumerate(pages[:count], start=1):
            with open_page(document, number - 1) as page:
                try:
                    yield from (f"page {number}: {fault}" for fault in compare(data, page, number))
                except UnreadableCard as error:
                    yield f"page {number}: {error}"
