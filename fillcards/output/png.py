"""PNG pictures of pages in true size, from the finished PDF.

They come from the PDF so that they show exactly what was read back from it, with the same typeface. Each file states
its resolution (PNG, pHYs chunk), so that a program which prints it can keep the size. Lengths in pixels follow from
the resolution; nothing is fitted to a frame.
"""

from __future__ import annotations

from io import BytesIO
from math import ceil
from typing import TYPE_CHECKING, Any, Final

from fillcards.problems import InternalFault, OutputError

if TYPE_CHECKING:
    from PIL.Image import Image

LEAST_DPI: Final = 50
MOST_DPI: Final = 1200
"""A letter page at 1,200 dots per inch has 135 million pixels; more fills the memory."""


def write_png_pages(pdf: bytes, dpi: int) -> tuple[bytes, ...]:
    """Each page of a PDF as a grey PNG.

    Args:
        pdf: bytes of the file.
        dpi: dots per inch.

    Raises:
        OutputError: for a resolution outside the limits.
        InternalFault: if the PDF cannot be drawn; it is ours.
    """
    import pypdfium2

    _require_dpi(dpi)
    try:
        document = pypdfium2.PdfDocument(pdf)
    except pypdfium2.PdfiumError as error:
        raise InternalFault("our own PDF cannot be opened") from error
    try:
        return tuple(_write_image(_render_page(page, dpi), dpi) for page in document)
    finally:
        document.close()


def _require_dpi(dpi: int) -> None:
    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise OutputError(f"{dpi} dots per inch: expected {LEAST_DPI} to {MOST_DPI}; 300 suits most printers")


def _measure_pixels(length_mm: float, dpi: int) -> int:
    """Whole pixels that hold a length, to a hundredth of a pixel."""
    return ceil(length_mm * dpi / 25.4 - 0.01)


def _render_page(page: Any, dpi: int) -> Image:
    """Draw a page at exactly dpi/72; pypdfium2's own method stretches it to whole pixels."""
    import ctypes

    import pypdfium2
    import pypdfium2.raw as pdfium

    scale = dpi / 72
    width, height = (_measure_pixels(side * 25.4 / 72, dpi) for side in page.get_size())
    bitmap = pypdfium2.PdfBitmap.new_native(width, height, pdfium.FPDFBitmap_Gray)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, width, height)
    matrix = pdfium.FS_MATRIX(scale, 0, 0, scale, 0, 0)
    frame = pdfium.FS_RECTF(0, 0, width, height)
    flags = pdfium.FPDF_GRAYSCALE
    pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, ctypes.byref(matrix), ctypes.byref(frame), flags)
    image: Image = bitmap.to_pil()
    return image


def _write_image(image: Image, dpi: int) -> bytes:
    out = BytesIO()
    image.save(out, "PNG", dpi=(dpi, dpi), compress_level=6)
    return out.getvalue()
