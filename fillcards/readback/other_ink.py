"""Words in other faces, drawn anew by glyph and place from the packaged font, for their ink to be compared with."""

from __future__ import annotations

import ctypes
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any, Final

from fillcards.problems import OutputError
from fillcards.readback.other_faces import Raster, Setting, is_same_ink, place_glyphs
from fillcards.readback.pdfium import BITMAP_GRAY, FONT_TRUETYPE, MM_PER_PT, RENDER_GRAYSCALE, load_pdfium
from fillcards.typeface import find_font_file
from fillcards.typeface.faces import Face

WHITE: Final = 255
_MATRIX: Final = ctypes.c_float * 6
_FRAME: Final = ctypes.c_float * 4


class Drawn:
    """A page in grey with nothing but words.

    Args:
        size_px: width and height.
        px_per_mm: how fine.
    """

    def __init__(self, size_px: tuple[int, int], px_per_mm: float) -> None:
        self.width, self.height = size_px
        self.px_per_mm = px_per_mm
        self.data = bytearray(b"\xff" * (self.width * self.height))

    def list_rows(self, box: tuple[int, int, int, int]) -> list[bytearray]:
        """Rows of a rectangle, as far as it lies on the page."""
        left, top, right, bottom = max(box[0], 0), max(box[1], 0), min(box[2], self.width), min(box[3], self.height)
        return [self.data[row * self.width + left : row * self.width + right] for row in range(top, bottom)]

    def draw(self, words: Iterable[Setting], others: Iterable[Setting]) -> None:
        """Draw words, each glyph by itself; and what stands beside them in Fillcards Text, whose ink may lean over."""
        pdfium, document = load_pdfium(), _open_document()
        scale = self.px_per_mm * MM_PER_PT
        size_pt = self.width / scale, self.height / scale
        page = pdfium.FPDFPage_New(document, 0, *size_pt)
        buffer = (ctypes.c_ubyte * len(self.data)).from_buffer(self.data)
        bitmap = pdfium.FPDFBitmap_CreateEx(self.width, self.height, BITMAP_GRAY, buffer, self.width)

        def put(word: Setting, right_pt: float, up_pt: float, number: int | None) -> None:
            item = pdfium.FPDFPageObj_CreateTextObj(document, _load_font(word.face, word.bold), word.size_pt)
            if number is None:
                pdfium.FPDFText_SetText(item, f"{word.text}\0".encode("utf-16-le"))
            else:
                pdfium.FPDFText_SetCharcodes(item, ctypes.byref(ctypes.c_uint32(number)), 1)
            x_pt, y_pt = word.x_mm / MM_PER_PT, size_pt[1] - word.y_mm / MM_PER_PT
            pdfium.FPDFPageObj_SetMatrix(item, _MATRIX(1, 0, 0, 1, x_pt + right_pt, y_pt + up_pt))
            pdfium.FPDFPage_InsertObject(page, item)

        try:
            for other in others:
                put(other, 0.0, 0.0, None)
            for word in words:
                for number, right_pt, up_pt in place_glyphs(word):
                    put(word, right_pt, up_pt, number)
            matrix, frame = _MATRIX(scale, 0, 0, scale, 0, 0), _FRAME(0, 0, self.width, self.height)
            pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, matrix, frame, RENDER_GRAYSCALE)
        finally:
            pdfium.FPDFBitmap_Destroy(bitmap)
            pdfium.FPDF_ClosePage(page)
            pdfium.FPDFPage_Delete(document, 0)


def find_odd_words(
    seen: Raster, size_px: tuple[int, int], asked: Iterable[Setting], words: Mapping[Setting, bool]
) -> list[Setting]:
    """Words that do not look like what they say.

    Args:
        seen: the page as it prints.
        size_px: of it.
        asked: those to be looked at.
        words: all on the page, each with whether it is light on dark.

    Raises:
        OutputError: a face is not installed.
    """
    meant = Drawn(size_px, seen.px_per_mm)
    meant.draw((word for word in words if word.face is not None), (word for word in words if word.face is None))
    return [word for word in asked if not is_same_ink(seen, meant, word, is_light=words[word])]


@lru_cache(maxsize=1)
def _open_document() -> Any:
    return load_pdfium().FPDF_CreateNewDocument()


@lru_cache(maxsize=8)
def _load_font(face: Face | None, bold: bool) -> Any:
    if face is None:
        data = find_font_file(bold).read_bytes()
    else:
        from fillcards.typeface.shaping import make_whole

        data = make_whole(face, bold)
    # With the last argument a code is the number of a glyph.
    font = load_pdfium().FPDFText_LoadFont(_open_document(), data, len(data), FONT_TRUETYPE, 1)
    if not font:
        raise OutputError(f"the typeface {face.name if face else 'of cards'} cannot be used: install it again")
    return font
