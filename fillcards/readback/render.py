"""What an eye would see: pages rendered to grey, and looked at where the file claims that something stands.

Text is proven letter by letter against the typeface's own file: each letter of each size is drawn alone, once, and held
against the page where it stands first; covered, clipped, white, see-through or squeezed words differ, and so does a
wrong glyph under a right code. One font draws a letter in one size always alike, so where it stands again only its ink
is weighed. A digit whose raster is within ``MOST_UNLIKE`` of its own shape is nearer to it than to any other, since all
digits differ from each other by more than twice that (a test measures it). Lines are proven by ink on them; what
would fill the white between them is a mark that nobody asked for.

Lengths in mm; grey from 0 (black) to 255.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from math import ceil
from string import ascii_uppercase
from typing import Any, Final, NamedTuple, TypeAlias

from fillcards.problems import OutputError
from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.model import UnreadableCard
from fillcards.readback.other_ink import find_odd_words
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
"""For small letters, and for what a coarse look did not find."""
MOST_UNLIKE: Final = 0.1
"""Largest share of a digit's ink that may differ. No two digits of the typeface are nearer than twice that."""
MOST_UNLIKE_LETTER: Final = 0.25
"""Likewise for anything else: its neighbours may lean a pixel into its box."""
SPECKS: Final = 2
"""So many pixels are no difference: a point has hardly more."""
MOST_PROVEN: Final = 1_000
"""Fonts in so many sizes are remembered."""
PAGES_A_DOCUMENT: Final = 1_000
"""pdfium keeps something of every page that was deleted, so the proofreader's document is begun anew after so many."""
OF_NUMBERS: Final = f"0123456789.,×{ascii_uppercase}"
ASCENDER_EM: Final = 0.78
"""Nothing without an accent stands higher; above it the neighbours of a word in a picture may be close."""
RINGED: Final = frozenset("åů")
HANGING: Final = frozenset("gjpqyQJ,;()[]{}@_|/\\$")
"""What may reach below the line; anything beyond plain letters is taken to."""
COMMA_EM: Final = 0.14
"""How far a comma hangs below the line."""
WHITE: Final = 255
DARK: Final = 128

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
        left, top, right, bottom = max(box[0], 0), max(box[1], 0), min(box[2], self._width), min(box[3], self._height)
        return [self._data[row * self._width + left : row * self._width + right] for row in range(top, bottom)]

    def pack_ink(self, box: PixelBox, *, is_light: bool = False) -> int:
        """A rectangle, as far as it lies on the page, as a number with a bit for each dark pixel, or each light one."""
        left, top, right, bottom = box
        left, right = max(left, 0), min(right, self._width)
        width, data = self._width, self._data
        starts = range(max(top, 0) * width, min(bottom, self._height) * width, width)
        rows = b"".join([data[start + left : start + right] for start in starts])
        return int.from_bytes(rows.translate(_LIGHT_TO_ONE if is_light else _DARK_TO_ONE), "big")


Proven: TypeAlias = dict[tuple[Any, float, int], dict[str, int]]
"""By font, size and dots to the inch: the letters that looked right, with their ink."""


@lru_cache(maxsize=1)
def _load_proven() -> Proven:
    """Letters of fonts that are known by all that their files say of them."""
    return {}


class Easel:
    """Renders the pages of one document into the same memory: fresh memory for each takes longer than the rendering.

    A raster is good until the next page is rendered.
    """

    def __init__(self) -> None:
        self._memory = bytearray()

    def render_page(self, page: Any, dpi: int = DPI) -> Raster:
        """A page as it prints."""
        flags = RENDER_GRAYSCALE | RENDER_ANNOT | RENDER_PRINTING
        return render_size(page, measure_page_pt(page), dpi, flags, self._memory)

    def find_blemished(self, seen: Raster, runs: Iterable[Run]) -> list[Run]:
        """Runs that do not look like what they say on a page as it prints.

        Raises:
            OutputError: the typeface is not installed.
        """
        return [run for run in runs if not self._is_alike(seen, run)]

    def find_odd_others(self, seen: Raster, asked: Iterable[Run], runs: Iterable[Run]) -> list[Run]:
        """Those of some runs in other faces that do not look like what they say, on a page with all those runs.

        Raises:
            OutputError: a face is not installed.
        """
        asked = list(asked)
        words = {run.setting: run.level >= DARK for run in runs}
        odd = set(find_odd_words(seen, seen.size_px, [run.setting for run in asked], words))
        return [run for run in asked if run.setting in odd]

    def _is_alike(self, seen: Raster, run: Run) -> bool:
        """Whether a run looks like what it says, letter by letter. Of a file of ours, whose letters stand one after the
        other as they are read, those known in this font and size are only weighed together.
        """
        left, top, right, bottom = _find_box(run, seen.px_per_mm)
        is_light = run.level >= DARK
        ink = seen.pack_ink((left - 1, top - 1, right + 1, bottom + 1), is_light=is_light).bit_count()
        proven = _load_proven()
        known = proven.setdefault((run.font, run.size_pt, seen.dpi), {}) if run.font else {}
        baseline = round(run.y_mm * seen.px_per_mm)

        plain_top = max(top, baseline - round(ASCENDER_EM * convert_pt_to_mm(run.size_pt) * seen.px_per_mm))

        def draw(name: str) -> Letter:
            above = baseline - (top if _has_accent(name) else plain_top)
            return draw_letter(name, run.bold, run.size_pt, seen.dpi, above, bottom - baseline)

        asked = set(run.text) - known.keys()
        inks = known | {name: draw(name).ink for name in asked} if asked else known
        weighs_right = run.font is not None and abs(ink - sum(map(inks.__getitem__, run.text))) <= SPECKS
        asked = asked if weighs_right else set(run.text)
        x_mm = run.x_mm
        for name in run.text if asked else "":
            start = round(x_mm * seen.px_per_mm)
            x_mm += measure_width_mm(name, run.size_pt, run.bold)
            if name in asked and inks[name]:
                letter = draw(name)
                box = start, top if _has_accent(name) else plain_top, start + letter.width, bottom
                if not _is_letter_alike(seen, letter.mask, box, is_digit=name.isdigit(), is_light=is_light):
                    return False
        known |= inks
        if len(proven) > MOST_PROVEN:
            proven.clear()
        return True


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
    def draw_again(
        self, words: Iterable[tuple[str, bool, float, tuple[float, float]]], size_pt: tuple[float, float]
    ) -> Iterator[Any]:
        """A page with words, each bold or not, of a size and from a point on; nothing of it is kept."""
        pdfium = load_pdfium()
        if not self._pages_left:
            self._close()
            self._open()
        self._pages_left -= 1
        page = pdfium.FPDFPage_New(self._document, 0, *size_pt)
        try:
            for text, bold, text_pt, origin_pt in words:
                item = pdfium.FPDFPageObj_CreateTextObj(self._document, self._fonts[bold], text_pt)
                pdfium.FPDFText_SetText(item, f"{text}\0".encode("utf-16-le"))
                pdfium.FPDFPageObj_SetMatrix(item, _MATRIX(1, 0, 0, 1, *origin_pt))
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


class Letter(NamedTuple):
    """A letter drawn alone: its dark pixels between two heights and less the last column, into which its neighbour may
    lean; how wide that is; how many dark pixels it has in all.
    """

    mask: int
    width: int
    ink: int


@lru_cache(maxsize=8192)
def draw_letter(letter: str, bold: bool, size_pt: float, dpi: int, above: int, below: int) -> Letter:
    """A letter in the typeface's own file, from so many pixels above the line to so many below it."""
    advance = measure_width_mm(letter, size_pt, bold) * dpi / 25.4
    around = ceil(size_pt * dpi / 144)
    wide, high = ceil(advance) + 2 * around, above + below + 2 * around
    page_pt = wide * 72 / dpi, high * 72 / dpi
    origin_pt = around * 72 / dpi, (below + around) * 72 / dpi
    with load_proofreader().draw_again([(letter, bold, size_pt, origin_pt)], page_pt) as page:
        raster = render_size(page, page_pt, dpi)
    width = max(round(advance) - 1, 1)
    mask = raster.pack_ink((around, around, around + width, around + above + below))
    return Letter(mask, width, raster.pack_ink((0, 0, wide, high)).bit_count())


def _is_letter_alike(seen: Raster, meant: int, box: PixelBox, *, is_digit: bool, is_light: bool) -> bool:
    """Whether a letter looks as meant, at its place or one pixel beside it.

    The page may set a letter one pixel apart where its place is between two. A letter without half its ink is not
    there: what is moved may show the gap beside it.
    """
    if 2 * seen.pack_ink(box, is_light=is_light).bit_count() < meant.bit_count():
        return False
    for dx, dy in SHIFTS:
        ink = seen.pack_ink(_move_box(box, dx, dy), is_light=is_light)
        if measure_unlikeness(ink, meant) <= (MOST_UNLIKE if is_digit else MOST_UNLIKE_LETTER):
            return True
        if not is_digit and (ink ^ meant).bit_count() <= SPECKS:
            return True
    return False


def measure_unlikeness(seen: int, meant: int) -> float:
    """How many pixels differ, in parts of those that should be dark: 0 none, over 1 where there is ink too much."""
    return (seen ^ meant).bit_count() / meant.bit_count() if meant else 9.0


def _find_box(run: Run, px_per_mm: float) -> PixelBox:
    """A run as high as its letters may be: the neighbours of a number may be close."""
    size_mm = convert_pt_to_mm(run.size_pt)
    if not run.text.strip(OF_NUMBERS):
        above_mm, below_mm = (CAP_HEIGHT_EM + 0.02) * size_mm, (COMMA_EM if "," in run.text else 0.02) * size_mm
    else:
        above_mm = (ACCENT_EM if any(map(_has_accent, run.text)) else ASCENDER_EM) * size_mm
        below_mm = (0.02 if HANGING.isdisjoint(run.text) and run.text.isascii() else DESCENDER_EM) * size_mm
    edges_mm = run.x_mm, run.y_mm - above_mm, run.right_mm, run.y_mm + below_mm
    left, top, right, bottom = (round(edge * px_per_mm) for edge in edges_mm)
    return left, top, right, bottom


def _has_accent(letter: str) -> bool:
    """Whether it rises above plain letters, where what is over it may be near: capitals with an accent do, and a ring;
    in the typeface's files no other accent of a small letter stands higher than ``ASCENDER_EM``.
    """
    return letter.isalpha() and not letter.isascii() and (letter.isupper() or letter in RINGED)


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
