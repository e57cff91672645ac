"""The gates of every form but the printed one: finished bytes against the text of their regimen file.

Each raises ``CardMismatch`` with every difference it finds, and returns nothing. Pictures of pages are held against the
pdf file of the same card, which has passed a gate of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from io import BytesIO

from fillcards.readback.braille import Sheet, find_braille_faults
from fillcards.readback.expect import Expecting
from fillcards.readback.fingerprint import CODE_LENGTH, compute_fingerprint
from fillcards.readback.gate import CardMismatch
from fillcards.readback.linear import compare_lines, list_breaths, read_text, write_ended
from fillcards.readback.looks import Raster, render_size
from fillcards.readback.marks import PageMarks
from fillcards.readback.model import CardClaims, UnreadableCard, list_spoken, list_text
from fillcards.readback.own import read_own
from fillcards.readback.page_objects import read_page_marks
from fillcards.readback.pdfium import measure_page_pt, open_document, open_page
from fillcards.readback.regimen_text import Facts, NotUnderstood, read_facts
from fillcards.readback.screen import find_screen_faults
from fillcards.readback.svg import find_page_faults, read_svg_file
from fillcards.readback.tags import Told, read_head, read_tags
from fillcards.typeface.faces import LANGUAGES


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
    meant = [write_ended(sentence, claims.language) for sentence in list_text(claims)]
    is_from_right = LANGUAGES[claims.language].is_right_to_left
    _require(lambda: compare_lines(read_text(data, is_from_right=is_from_right), meant, "text"))


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


def require_same_svg(pages: Sequence[bytes], pdf: bytes) -> None:
    """Pages as svg files: the marks of the pdf file's pages, and the words that a screen reader is told of each.

    Args:
        pages: the files in order.
        pdf: of the same card, read back before.

    Raises:
        CardMismatch: with every difference.
    """

    def find() -> Iterator[str]:
        with open_document(pdf) as (document, count):
            head = read_head(document)
            if count != len(pages):
                yield f"{len(pages)} pages, where the pdf file has {count}"
                return
            own, sides = read_own(pdf), list[tuple[PageMarks, Told | None]]()
            for index in range(count):
                with open_page(document, index) as page:
                    marks = own[index] if own else read_page_marks(page, index + 1)
                    sides.append((marks, read_tags(page, marks)))
        for data, (marks, told) in zip(pages, sides, strict=True):
            picture, where = read_svg_file(data), f"page {marks.number}: "
            yield from (where + fault for fault in find_page_faults(picture, marks))
            meant = " ".join(each.text for each in told.said) if told else head.title
            if (picture.title, picture.language) != (head.title, head.language):
                yield f'{where}its title is "{picture.title}" ({picture.language})'
            if picture.desc.split() != meant.split():
                yield f'{where}its description says "{picture.desc}", should say "{meant}"'

    _require(find)


def require_same_png(pages: Sequence[bytes], pdf: bytes, dpi: int) -> None:
    """Pages as png files: the pdf file's, drawn anew by the same library, pixel by pixel.

    Args:
        pages: the files in order.
        pdf: of the same card, read back before.
        dpi: dots per inch, as was asked for.

    Raises:
        CardMismatch: with every difference.
    """

    def find() -> Iterator[str]:
        with open_document(pdf) as (document, count):
            if count != len(pages):
                yield f"{len(pages)} pages, where the pdf file has {count}"
            for number, data in enumerate(pages[:count], start=1):
                with open_page(document, number - 1) as page:
                    meant = render_size(page, measure_page_pt(page), dpi)
                yield from (f"page {number}: {fault}" for fault in _find_png_faults(data, meant))

    _require(find)


def _find_png_faults(data: bytes, meant: Raster) -> Iterator[str]:
    from PIL import Image, UnidentifiedImageError

    try:
        image = Image.open(BytesIO(data), formats=("PNG",))
        image.load()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        raise UnreadableCard("it is not a png file, or a damaged one") from error
    if image.mode != "L" or image.info.keys() - {"dpi"}:
        yield "it is not plain grey"
    # The file counts dots to the metre.
    if [round(dots * 100 / 2.54) for dots in image.info.get("dpi", ())] != [round(meant.dpi * 100 / 2.54)] * 2:
        yield f"it does not state {meant.dpi} dots per inch"
    if image.size != meant.size_px or image.tobytes() != meant.data:
        yield f"it is not the picture of its page of the pdf file, of {meant.size_px[0]} x {meant.size_px[1]} pixels"


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
