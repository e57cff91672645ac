"""What an eye would see: pages rendered to grey, and looked at where the file claims that something stands.

Text is proven by drawing the same words again, from the typeface's own file, at the same places, and comparing the two
rasters: covered, clipped, white, see-through or squeezed words differ, and so does a wrong glyph under a right code.
A digit whose raster is within ``MOST_UNLIKE`` of its own shape is nearer to it than to any other, since all digits
differ from each other by more than twice that (a test measures it). Lines are proven by ink on them and light beside
them.

Lengths in mm; grey from 0 (black) to 255.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from math import ceil
from string import ascii_uppercase
from typing import Any, Final

from fillcards.problems import OutputError
from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import (
    BITMAP_GRAY,
    FONT_TRUETYPE,
    RENDER_ANNOT,
    RENDER_GRAYSCALE,
    RENDER_PRINTING,
    load_pdfium,
    measure_page_pt,
)
from fillcards.readback.runs import Run
from fillcards.typeface import ACCENT_EM, CAP_HEIGHT_EM, DESCENDER_EM, find_font_file, measure_width_mm

DPI: Final = 96
"""Dots to the inch at which the finest line, 0.3 mm, still blackens the pixel its middle falls in."""
FINE_DPI: Final = 150
"""For lines under ``FINE_MM`` apart: between them at least one pixel is white."""
FINE_MM: Final = 1.0
MOST_UNLIKE: Final = 0.1
"""Largest share of a digit's ink that may differ. No two digits of the typeface are nearer than twice that."""
MOST_UNLIKE_LETTER: Final = 0.25
"""Likewise for anything else: its neighbours may lean a pixel into its box."""
SPECKS: Final = 2
"""So many pixels are no difference: a point has hardly more."""
PAGES_A_DOCUMENT: Final = 1_000
"""pdfium keeps something of every page that was deleted, so the proofreader's document is begun anew after so many."""
NUMBER_LETTERS: Final = "0123456789.,×"
ASCENDER_EM: Final = 0.78
"""Nothing without an accent stands higher; above it the neighbours of a word in a picture may be close."""
HANGING: Final = frozenset("gjpqyQJ,;()[]{}@_|/\\$")
"""What may reach below the line; anything beyond plain letters is taken to."""
COMMA_EM: Final = 0.14
"""How far a comma hangs below the line."""
WHITE: Final = 255
DARK: Final = 128
LIGHT: Final = 100
"""Between the finest lines of a scale even a white gap is partly covered by its neighbours' edges."""

_MATRIX: Final = ctypes.c_float * 6
_FRAME: Final = ctypes.c_float * 4
_DARK_TO_ONE: Final = bytes(level < DARK for level in range(256))
_LIGHT_TO_ONE: Final = bytes(level > 255 - DARK for level in range(256))
SHIFTS: Final = ((0, 0), *((dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy))
PixelBox = tuple[int, int, int, int]
"""Left, top, right and bottom in pixels."""


class Raster:
    """A page in grey, one byte a pixel, rows one after the other."""

    def __init__(self, data: bytearray, width: int, height: int, dpi: int) -> None:
        self._data = data
        self._width = width
        self._height = height
        self.dpi = dpi
        self.px_per_mm = dpi / 25.4

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return self._width, self._height

    @property
    def data(self) -> bytes:
        """All pixels."""
        return bytes(self._data)

    def find_level(self, x_mm: float, y_mm: float) -> int:
        """Grey at a point; white off the page."""
        x, y = int(x_mm * self.px_per_mm), int(y_mm * self.px_per_mm)
        if not (0 <= x < self._width and 0 <= y < self._height):
            return 255
        return self._data[y * self._width + x]

    def list_rows(self, box: PixelBox) -> list[bytearray]:
        """Rows of a rectangle, as far as it lies on the page."""
        left, top, right, bottom = box
        left, right = max(left, 0), min(right, self._width)
        width, data = self._width, self._data
        starts = range(max(top, 0) * width, min(bottom, self._height) * width, width)
        return [data[start + left : start + right] for start in starts]

    def is_like_band(self, other: Raster, top: int, bottom: int) -> bool:
        """Whether all pixels between two heights are those of another raster of the same page. Nothing is copied."""
        start, end = max(top, 0) * self._width, min(bottom, self._height) * self._width
        return start < end and self._data.startswith(memoryview(other._data)[start:end], start)

    def pack_ink(self, box: PixelBox, *, is_light: bool = False) -> int:
        """A rectangle as one number with a bit for each dark pixel, or each light one."""
        return int.from_bytes(
            b"".join(self.list_rows(box)).translate(_LIGHT_TO_ONE if is_light else _DARK_TO_ONE), "big"
        )


class Easel:
    """Renders page after page into the same memory: fresh memory for each page takes longer than the rendering.

    A raster is good until the next page is rendered. Make one for a document and drop it with the document.
    """

    def __init__(self) -> None:
        self._seen = bytearray()
        self._meant = bytearray()

    def render_page(self, page: Any, dpi: int = DPI) -> Raster:
        """A page as it prints."""
        flags = RENDER_GRAYSCALE | RENDER_ANNOT | RENDER_PRINTING
        return render_size(page, measure_page_pt(page), dpi, flags, self._seen)

    def find_blemished(self, seen: Raster, asked: Iterable[Run], runs: Iterable[Run], page: Any) -> list[Run]:
        """Runs that do not look like what they say.

        Args:
            seen: the page as it prints.
            asked: the runs to look at.
            runs: all that the file says stands on it: a neighbour may lean over.
            page: for its size only.

        Raises:
            OutputError: the typeface is not installed.
        """
        size_pt = measure_page_pt(page)
        with load_proofreader().draw_again(runs, size_pt) as scratch:
            meant = render_size(scratch, size_pt, seen.dpi, RENDER_GRAYSCALE, self._meant)
        return [run for run in asked if not is_alike(seen, meant, run)]


class Proofreader:
    """Draws words again, in the typeface's own files, to compare the look of a page with.

    Holds an empty document with both faces. Not for several threads at a time, like all of pdfium.

    Raises:
        OutputError: the typeface is not installed.
    """

    def __init__(self) -> None:
        self._open()

    def _open(self) -> None:
        self._document = load_pdfium().FPDF_CreateNewDocument()
        self._fonts = {bold: _load_font(self._document, bold) for bold in (False, True)}
        self._pages_left = PAGES_A_DOCUMENT

    @contextmanager
    def draw_again(self, runs: Iterable[Run], size_pt: tuple[float, float]) -> Iterator[Any]:
        """A page with the same words at the same places; nothing of it is kept."""
        pdfium = load_pdfium()
        if not self._pages_left:
            self._close()
            self._open()
        self._pages_left -= 1
        page = pdfium.FPDFPage_New(self._document, 0, *size_pt)
        try:
            for run in runs:
                item = pdfium.FPDFPageObj_CreateTextObj(self._document, self._fonts[run.bold], run.size_pt)
                pdfium.FPDFText_SetText(item, f"{run.drawn}\0".encode("utf-16-le"))
                pdfium.FPDFPageObj_SetMatrix(item, _MATRIX(1, 0, 0, 1, *run.origin_pt))
                pdfium.FPDFPage_InsertObject(page, item)
            yield page
        finally:
            pdfium.FPDF_ClosePage(page)
            pdfium.FPDFPage_Delete(self._document, 0)

    def _close(self) -> None:
        pdfium = load_pdfium()
        for font in self._fonts.values():
            pdfium.FPDFFont_Close(font)
        pdfium.FPDF_CloseDocument(self._document)


@lru_cache(maxsize=1)
def load_proofreader() -> Proofreader:
    """The one proofreader of this process: its faces take as long to load as a page takes to read."""
    return Proofreader()


def is_alike(seen: Raster, meant: Raster, run: Run) -> bool:
    """Whether a run looks like what it says: all of it the very same, else letter by letter."""
    whole = _find_box(run, run.x_mm, run.right_mm, seen.px_per_mm)
    _, top, _, bottom = whole
    is_light = run.level >= DARK
    # Most lines stand alone on their height of the page, and one comparison is quicker than one for each row.
    if not is_light and (seen.is_like_band(meant, top, bottom) or seen.list_rows(whole) == meant.list_rows(whole)):
        return True
    x_mm = run.x_mm
    for letter in run.text:
        right_mm = x_mm + measure_width_mm(letter, run.size_pt, run.bold)
        box = find_letter_box(run, x_mm, right_mm, seen.px_per_mm)
        is_alike_ = letter.isspace() or _is_letter_alike(seen, meant, box, is_digit=letter.isdigit(), is_light=is_light)
        if not is_alike_:
            return False
        x_mm = right_mm
    return True


def find_letter_box(run: Run, left_mm: float, right_mm: float, px_per_mm: float) -> PixelBox:
    """The pixels of one letter of a run, less the last column, into which its neighbour may lean."""
    left, top, right, bottom = _find_box(run, left_mm, right_mm, px_per_mm)
    return left, top, max(right - 1, left + 1), bottom


def _is_letter_alike(seen: Raster, meant: Raster, box: PixelBox, *, is_digit: bool, is_light: bool) -> bool:
    """Whether a letter looks as meant, at its place or one pixel beside it.

    Two renderings of the same words may set a letter one pixel apart where its place is between two. A letter without
    half its ink is not there: what is moved may show the gap beside it.
    """
    ink = seen.pack_ink(box, is_light=is_light)
    if 2 * ink.bit_count() < meant.pack_ink(box).bit_count():
        return False
    for dx, dy in SHIFTS:
        other = meant.pack_ink(_move_box(box, dx, dy))
        if measure_unlikeness(ink, other) <= (MOST_UNLIKE if is_digit else MOST_UNLIKE_LETTER):
            return True
        if not is_digit and (ink ^ other).bit_count() <= SPECKS:
            return True
    return False


def measure_unlikeness(seen: int, meant: int) -> float:
    """How many pixels differ, in parts of those that should be dark: 0 none, over 1 where there is ink too much."""
    return (seen ^ meant).bit_count() / meant.bit_count() if meant else 9.0


def _find_box(run: Run, left_mm: float, right_mm: float, px_per_mm: float) -> PixelBox:
    """A stretch of a run as high as its letters may be: the neighbours of a number may be close."""
    size_mm = convert_pt_to_mm(run.size_pt)
    if not run.text.strip(NUMBER_LETTERS + ascii_uppercase):
        above_mm, below_mm = (CAP_HEIGHT_EM + 0.02) * size_mm, (COMMA_EM if "," in run.text else 0.02) * size_mm
    else:
        above_mm = (ASCENDER_EM if run.text.isascii() else ACCENT_EM) * size_mm
        below_mm = (DESCENDER_EM if set(run.text) & HANGING or not run.text.isascii() else 0.02) * size_mm
    edges_mm = left_mm, run.y_mm - above_mm, right_mm, run.y_mm + below_mm
    left, top, right, bottom = (round(edge * px_per_mm) for edge in edges_mm)
    return left, top, right, bottom


def _move_box(box: PixelBox, dx: int, dy: int) -> PixelBox:
    return box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy


def render_size(
    page: Any,
    size_pt: tuple[float, float],
    dpi: int,
    flags: int = RENDER_GRAYSCALE,
    memory: bytearray | None = None,
) -> Raster:
    """A page in grey at exactly ``dpi`` dots to the inch: a whole number of pixels would stretch it a little.

    Args:
        page: pdfium's own.
        size_pt: of the page.
        dpi: dots per inch.
        flags: pdfium's own.
        memory: to render into, of any length; left out, fresh memory.
    """
    pdfium = load_pdfium()
    memory = bytearray() if memory is None else memory
    scale = dpi / 72
    width, height = (ceil(side * scale - 0.01) for side in size_pt)
    if len(memory) != width * height:
        memory[:] = bytes(width * height)
    buffer = (ctypes.c_ubyte * len(memory)).from_buffer(memory)
    ctypes.memset(buffer, WHITE, len(memory))
    bitmap = pdfium.FPDFBitmap_CreateEx(width, height, BITMAP_GRAY, buffer, width)
    if not bitmap:
        raise UnreadableCard("a page is too large to be looked at")
    try:
        matrix, frame = _MATRIX(scale, 0, 0, scale, 0, 0), _FRAME(0, 0, width, height)
        pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, matrix, frame, flags)
    finally:
        pdfium.FPDFBitmap_Destroy(bitmap)
    return Raster(memory, width, height, dpi)


def _load_font(document: Any, bold: bool) -> Any:
    pdfium = load_pdfium()
    path = find_font_file(bold)
    data = path.read_bytes()
    # With the last argument the font knows every character of the file, spaces included.
    font = pdfium.FPDFText_LoadFont(document, data, len(data), FONT_TRUETYPE, 1)
    if not font:
        raise OutputError(f"the typeface's file {path.name} cannot be used: install Fillcards again")
    return font
