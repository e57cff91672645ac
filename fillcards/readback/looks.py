"""What an eye would see: pages rendered to grey, and looked at where the file claims that something stands.

Text is proven letter by letter against the typeface's own file: each letter of each size is drawn alone, once, and held
against the page where it stands first; covered, clipped, white, see-through or squeezed words differ, and so does a
wrong glyph under a right code. One font draws a letter in one size always alike, so where it stands again only its ink
is weighed. A digit whose raster is within ``MOST_UNLIKE`` of its own shape is nearer to it than to any other, since all
digits differ from each other by more than twice that (a test measures it).

A word in another face is set and drawn anew as a whole; then strong pixels of one picture with nothing near them in the
other are counted. Tried figures, at 48 pixels an em: the same word 0, a lost dot or tone mark 8 and more, another digit
66 and more.

Lines are proven by ink on them; what would fill the white between them is a mark that nobody asked for. Lengths in mm;
grey from 0 (black) to 255.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import chain, pairwise
from math import ceil, floor
from string import ascii_uppercase
from typing import Any, Final, NamedTuple, TypeAlias
from unicodedata import combining, normalize

from fillcards.problems import OutputError
from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.marks import PageMarks, Run, Shape, Stroke, measure_ink_mm, place_glyphs
from fillcards.readback.model import UnreadableCard
from fillcards.readback.parts import ROUNDED, describe_mark
from fillcards.readback.pdfium import (
    BITMAP_GRAY,
    FONT_TRUETYPE,
    MM_PER_PT,
    RENDER_ANNOT,
    RENDER_GRAYSCALE,
    RENDER_PRINTING,
    Numbers,
    load_pdfium,
    measure_page_pt,
)
from fillcards.typeface import ACCENT_EM, CAP_HEIGHT_EM, DESCENDER_EM, find_font_file, measure_width_mm
from fillcards.typeface.faces import Face

DPI: Final = 96
"""Dots to the inch at which the finest line, 0.3 mm, still blackens the pixel its middle falls in."""
FINE_DPI: Final = 150
"""For small letters, and for what a coarse look did not find."""
CLOSER_DPI: Final = (180, 200, 300)
"""Where a letter falls between two pixels depends on their size: in the second look about one word in 150 does, in the
next two hardly any.
"""
SMALL_PT: Final = 12.0
"""Of smaller letters a coarse look has too few pixels: a point that is covered would not be missed."""
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
"""What may reach below the line."""
ABOVE: Final = 230
"""Unicode's combining class of marks over a letter (Unicode Standard Annex 44, table of classes)."""
COMMA_EM: Final = 0.14
"""How far a comma hangs below the line."""
LEAST_EM_PX: Final = 48
"""Of other faces: pixels of the type size from which on a lost dot is seen; at 24 it was not."""
MOST_ODD: Final = 3
STRONG: Final = 160
WEAK: Final = 64
EDGE_PX: Final = 3
PLATE_EDGE_MM: Final = 0.4
"""A plate is looked at above its words."""
MOST_CORNERS: Final = 8
LEAST_PIXEL_MM: Final = 0.18
"""What is narrower may leave no pixel dark."""
WHITE: Final = 255
DARK: Final = 128

_MEMORY: Final = bytearray()
"""For one page after another: fresh memory takes longer than the rendering, and pdfium serves one caller at a time."""
_PROVEN: Final[dict[tuple[tuple[bytes, ...], float, int], dict[str, int]]] = {}
"""By all that a file says of its font, by size and dots to the inch: the letters that looked right, with their ink."""
_MATRIX: Final = ctypes.c_float * 6
_FRAME: Final = ctypes.c_float * 4
_DARK_TO_ONE: Final = bytes(level < DARK for level in range(256))
_LIGHT_TO_ONE: Final = bytes(level > 255 - DARK for level in range(256))
_LIGHT_LEVELS: Final = bytes((level > WEAK) + 2 * (level > STRONG) for level in range(256))
_DARK_LEVELS: Final = _LIGHT_LEVELS[::-1]
_SHIFTS: Final = ((0, 0), *((dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy))
PixelBox: TypeAlias = tuple[int, int, int, int]
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
        return bytes(self._data[: self._width * self._height])

    def find_level(self, x_mm: float, y_mm: float) -> int:
        """Grey at a point; white off the page."""
        x, y = int(x_mm * self.px_per_mm), int(y_mm * self.px_per_mm)
        if not (0 <= x < self._width and 0 <= y < self._height):
            return WHITE
        return self._data[y * self._width + x]

    def list_rows(self, box: PixelBox) -> list[bytearray]:
        """Rows of a rectangle, as far as it lies on the page."""
        left, top, right, bottom = box
        left, right = max(left, 0), min(right, self._width)
        width, data = self._width, self._data
        starts = range(max(top, 0) * width, min(bottom, self._height) * width, width)
        return [data[start + left : start + right] for start in starts]

    def pack_ink(self, box: PixelBox, *, is_light: bool = False) -> int:
        """A rectangle, as far as it lies on the page, as a number with a bit for each dark pixel, or each light one."""
        rows = b"".join(self.list_rows(box))
        return int.from_bytes(rows.translate(_LIGHT_TO_ONE if is_light else _DARK_TO_ONE), "big")


def render_size(
    page: Any, size_pt: tuple[float, float], dpi: int, flags: int = 0, memory: bytearray | None = None
) -> Raster:
    """A page in grey at exactly ``dpi`` dots to the inch: a whole number of pixels would stretch it a little.

    Args:
        page: pdfium's own.
        size_pt: of the page.
        dpi: dots per inch.
        flags: pdfium's own, besides that it is to be grey.
        memory: to render into, made longer where it is too short; left out, fresh memory.
    """
    pdfium = load_pdfium()
    memory = bytearray() if memory is None else memory
    scale = dpi / 72
    width, height = (ceil(side * scale - 0.01) for side in size_pt)
    length = width * height
    if len(memory) < length:
        memory[:] = bytes(length)
    buffer = (ctypes.c_ubyte * length).from_buffer(memory)
    ctypes.memset(buffer, WHITE, length)
    bitmap = pdfium.FPDFBitmap_CreateEx(width, height, BITMAP_GRAY, buffer, width)
    if not bitmap:
        raise UnreadableCard("a page is too large to be looked at")
    try:
        matrix, frame = _MATRIX(scale, 0, 0, scale, 0, 0), _FRAME(0, 0, width, height)
        pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, matrix, frame, flags | RENDER_GRAYSCALE)
    finally:
        pdfium.FPDFBitmap_Destroy(bitmap)
    return Raster(memory, width, height, dpi)


def _render_page(page: Any, dpi: int) -> Raster:
    """A page as it prints, until the next is rendered."""
    return render_size(page, measure_page_pt(page), dpi, RENDER_ANNOT | RENDER_PRINTING, _MEMORY)


class _Proofreader:
    """Draws words again, in the packaged files of their faces, to compare the look of a page with.

    Holds an empty document with the faces. Not for several threads at a time, like all of pdfium.
    """

    def __init__(self) -> None:
        self._memory = bytearray()
        self._open()

    def _open(self) -> None:
        self._document = load_pdfium().FPDF_CreateNewDocument()
        self._fonts: dict[tuple[Face | None, bool], Any] = {}
        self._pages_left = PAGES_A_DOCUMENT

    def _close(self) -> None:
        pdfium = load_pdfium()
        for font in self._fonts.values():
            pdfium.FPDFFont_Close(font)
        pdfium.FPDF_CloseDocument(self._document)

    def draw(self, runs: Iterable[Run], size_px: tuple[int, int], dpi: int) -> Raster:
        """A page with nothing but some runs, until the next is drawn.

        Raises:
            OutputError: a face is not installed.
        """
        pdfium = load_pdfium()
        if not self._pages_left:
            self._close()
            self._open()
        self._pages_left -= 1
        width_pt, height_pt = (side * 72 / dpi for side in size_px)
        page = pdfium.FPDFPage_New(self._document, 0, width_pt, height_pt)
        code, matrix = Numbers(ctypes.c_uint32, 1), Numbers(ctypes.c_float, 6)
        matrix.room[:] = 1, 0, 0, 1, 0, 0
        try:
            for run in runs:
                font = self._find_font(run)
                # In another face glyph by glyph: pdfium shapes nothing.
                for number, right_mm, up_mm in place_glyphs(run) if run.face else ((None, 0.0, 0.0),):
                    item = pdfium.FPDFPageObj_CreateTextObj(self._document, font, run.size_pt)
                    if number is None:
                        pdfium.FPDFText_SetText(item, f"{run.text}\0".encode("utf-16-le"))
                    else:
                        code.room[0] = number
                        pdfium.FPDFText_SetCharcodes(item, code.addresses[0], 1)
                    origin_pt = (run.x_mm + right_mm) / MM_PER_PT, height_pt - (run.y_mm - up_mm) / MM_PER_PT
                    matrix.room[4:] = origin_pt
                    pdfium.FPDFPageObj_SetMatrix(item, matrix.addresses[0])
                    pdfium.FPDFPage_InsertObject(page, item)
            return render_size(page, (width_pt, height_pt), dpi, memory=self._memory)
        finally:
            pdfium.FPDF_ClosePage(page)
            pdfium.FPDFPage_Delete(self._document, 0)

    def _find_font(self, run: Run) -> Any:
        if (run.face, run.bold) not in self._fonts:
            if run.face is None:
                data = find_font_file(run.bold).read_bytes()
            else:
                from fillcards.typeface.shaping import make_whole

                data = make_whole(run.face, run.bold)
            # With the last argument the font knows every character of the file, spaces included, and each by its glyph.
            font = load_pdfium().FPDFText_LoadFont(self._document, data, len(data), FONT_TRUETYPE, 1)
            if not font:
                name = run.face.name if run.face else "of cards"
                raise OutputError(f"the typeface {name} cannot be used: install it again")
            self._fonts[run.face, run.bold] = font
        return self._fonts[run.face, run.bold]


@lru_cache(maxsize=1)
def _load_proofreader() -> _Proofreader:
    """The one proofreader of this process: its faces take as long to load as a page takes to read."""
    return _Proofreader()


def find_seen_faults(marks: PageMarks, page: Any) -> Iterator[str]:
    """Everything on a page that does not look as its file says.

    Args:
        marks: of the page.
        page: pdfium's own, open.

    Raises:
        OutputError: a typeface is not installed.
    """
    runs: Sequence[Run] = [run for run in marks.runs if run.face is None]
    bare: Sequence[Stroke | Shape] = (*marks.strokes, *marks.shapes)
    is_fine = any(run.size_pt < SMALL_PT for run in runs)
    # What falls between two pixels looks like a fault: whatever did not look right is looked at again.
    for dpi in (*(() if is_fine else (DPI,)), FINE_DPI, *CLOSER_DPI):
        seen = _render_page(page, dpi)
        runs = [run for run in runs if not _is_alike(seen, run)]
        bare = [mark for mark in bare if (ink := _find_ink(mark)) and seen.find_level(*ink) >= DARK]
        if not (runs or bare):
            break
    for run in (*runs, *_find_odd_others(marks, page)):
        place = f"{run.x_mm:.0f} mm from the left, {run.y_mm:.0f} mm from the top"
        yield f'"{run.text}", {place}, does not look as it reads'
    if bare:
        yield f"{len(bare)} marks have no ink, such as {describe_mark(bare[0])}"


def _find_ink(mark: Stroke | Shape) -> tuple[float, float] | None:
    """Where a mark must be dark; ``None`` for one that need not be, or nowhere for certain."""
    if isinstance(mark, Stroke):
        part = 0.02 if mark.is_dashed else 0.5
        return mark.x1_mm + part * (mark.x2_mm - mark.x1_mm), mark.y1_mm + part * (mark.y2_mm - mark.y1_mm)
    width, height = mark.right_mm - mark.left_mm, mark.bottom_mm - mark.top_mm
    if mark.fill is None or mark.outline is not None:
        if not mark.points:
            return None
        (x1, y1), (x2, y2) = max(pairwise((*mark.points, mark.points[0])), key=_measure_side)
        return (x1 + x2) / 2, (y1 + y2) / 2
    if mark.fill > DARK:
        return None
    if mark.is_round:
        return mark.left_mm + (0.06 if width > 3.0 else 0.5) * width, mark.middle[1]
    if len(mark.points) == ROUNDED:
        return mark.middle[0], mark.top_mm + PLATE_EDGE_MM
    if len(mark.points) > MOST_CORNERS or min(width, height) < LEAST_PIXEL_MM:
        return None
    xs, ys = zip(*mark.points, strict=True)
    return sum(xs) / len(xs), sum(ys) / len(ys)


def _measure_side(side: tuple[tuple[float, float], tuple[float, float]]) -> float:
    (x1, y1), (x2, y2) = side
    return abs(x1 - x2) + abs(y1 - y2)


def _is_alike(seen: Raster, run: Run) -> bool:
    """Whether a run looks like what it says, letter by letter. Of a file of ours, whose letters stand one after the
    other as they are read, those known in this font and size are only weighed together.
    """
    left, top, right, bottom = _find_box(run, seen.px_per_mm)
    is_light = run.level >= DARK
    ink = seen.pack_ink((left - 1, top - 1, right + 1, bottom + 1), is_light=is_light).bit_count()
    known = _PROVEN.setdefault((run.font, run.size_pt, seen.dpi), {}) if run.font else {}
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
    if len(_PROVEN) > MOST_PROVEN:
        _PROVEN.clear()
    return True


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
    alone = Run(letter, around * 25.4 / dpi, (above + around) * 25.4 / dpi, size_pt, bold, 0.0, 0)
    raster = _load_proofreader().draw([alone], (wide, high), dpi)
    width = max(round(advance) - 1, 1)
    mask = raster.pack_ink((around, around, around + width, around + above + below))
    return Letter(mask, width, raster.pack_ink((0, 0, wide, high)).bit_count())


def _is_letter_alike(seen: Raster, meant: int, box: PixelBox, *, is_digit: bool, is_light: bool) -> bool:
    """Whether a letter looks as meant, at its place or one pixel beside it.

    The page may set a letter one pixel apart where its place is between two. A letter without half its ink is not
    there: what is moved may show the gap beside it.
    """
    left, top, right, bottom = box
    boxes = ((left + dx, top + dy, right + dx, bottom + dy) for dx, dy in _SHIFTS)
    inks = (seen.pack_ink(each, is_light=is_light) for each in boxes)
    at_its_place = next(inks)
    if 2 * at_its_place.bit_count() < meant.bit_count():
        return False
    for ink in chain((at_its_place,), inks):
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
        below_mm = (DESCENDER_EM if _hangs(run.text) else 0.02) * size_mm
    edges_mm = run.x_mm, run.y_mm - above_mm, run.right_mm, run.y_mm + below_mm
    left, top, right, bottom = (round(edge * px_per_mm) for edge in edges_mm)
    return left, top, right, bottom


def _hangs(text: str) -> bool:
    """Whether a letter or its mark may reach below the line; not known of letters that are none of ASCII's."""
    if not text.isascii():
        text = "".join(each for each in normalize("NFD", text) if combining(each) != ABOVE)
    return not (text.isascii() and HANGING.isdisjoint(text))


def _has_accent(letter: str) -> bool:
    """Whether it rises above plain letters, where what is over it may be near: capitals with an accent do, and a ring;
    in the typeface's files no other accent of a small letter stands higher than ``ASCENDER_EM``.
    """
    return letter.isalpha() and not letter.isascii() and (letter.isupper() or letter in RINGED)


def _find_odd_others(marks: PageMarks, page: Any) -> list[Run]:
    """Words in other faces that do not look as they read: looked at closely, and once more where that found fault."""
    runs = [run for run in marks.runs if run.face is not None]
    least_pt = min((run.size_pt for run in runs), default=0.0)
    for more in (0, FINE_DPI):
        if runs:
            seen = _render_page(page, max(FINE_DPI, ceil(LEAST_EM_PX * 72 / least_pt)) + more)
            # With what stands beside them in Fillcards Text, whose ink may lean over.
            meant = _load_proofreader().draw(marks.runs, seen.size_px, seen.dpi)
            runs = [run for run in runs if not _is_same_ink(seen, meant, run)]
    return runs


def _is_same_ink(seen: Raster, meant: Raster, run: Run) -> bool:
    """Whether a word in another face looks like what it says."""
    edges = [edge * seen.px_per_mm for edge in measure_ink_mm(run)]
    left, top, right, bottom = floor(edges[0]), floor(edges[1]), ceil(edges[2]), ceil(edges[3])
    box = left - EDGE_PX, top - EDGE_PX, right + EDGE_PX, bottom + EDGE_PX
    seen_pixels, width, height = _pack(seen, box, _LIGHT_LEVELS if run.level >= DARK else _DARK_LEVELS)
    meant_pixels, _, _ = _pack(meant, box, _DARK_LEVELS)
    edge = bytes(EDGE_PX)
    inner_rows = (edge + b"\1" * (width - 2 * EDGE_PX) + edge) * (height - 2 * EDGE_PX)
    inner = int.from_bytes(inner_rows + bytes(EDGE_PX * width))
    seen_strong, meant_strong = seen_pixels >> 1 & inner, meant_pixels >> 1 & inner
    if not meant_strong:
        return False

    def count_odd(seen_near: int, meant_near: int) -> int:
        # ``a ^ a & b`` is ``a & ~b`` without a negative number as long as the picture, which takes longer.
        odd = seen_strong ^ seen_strong & meant_near, meant_strong ^ meant_strong & seen_near
        return sum(map(int.bit_count, odd))

    # What is there at its very place need not be looked for round it.
    if count_odd(seen_pixels, meant_pixels) <= MOST_ODD:
        return True
    return count_odd(_spread(seen_pixels, width), _spread(meant_pixels, width)) <= MOST_ODD


def _pack(raster: Raster, box: PixelBox, levels: bytes) -> tuple[int, int, int]:
    """The pixels of a box as a number with eight bits for each, of which the lowest says that it is weak or strong and
    the next that it is strong; and how many of them a row has, and how many rows there are.
    """
    rows = raster.list_rows(box)
    return int.from_bytes(b"".join(rows).translate(levels)), len(rows[0]) if rows else 0, len(rows)


def _spread(pixels: int, width: int) -> int:
    """Every pixel, and those round it."""
    wide = pixels | pixels << 8 | pixels >> 8
    return wide | wide << 8 * width | wide >> 8 * width
