"""PNG pictures of pages in true size, from the finished PDF.

They come from the PDF so that they show exactly what was read back from it, with the same typeface. Each file states
its resolution (PNG, pHYs chunk), so that a program which prints it can keep the size. Lengths in pixels follow from
the resolution; nothing is fitted to a frame.
"""

from __future__ import annotations

from io import BytesIO
from math import ceil
from typing import Any


def write_png_pages(pdf: bytes, dpi: int) -> tuple[bytes, ...]:
    """Each page of a PDF as a grey PNG.

    Args:
        pdf: bytes of the file.
        dpi: dots per inch.
    """
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        return tuple(_write_page(page, dpi) for page in document)
    finally:
        document.close()


def _write_page(page: Any, dpi: int) -> bytes:
    """Drawn at exactly dpi/72; pypdfium2's own method stretches it to whole pixels."""
    import ctypes

    import pypdfium2
    import pypdfium2.raw as pdfium

    scale = dpi / 72
    # Whole pixels that hold a side, to a hundredth of a pixel.
    width, height = (ceil(side * scale - 0.01) for side in page.get_size())
    bitmap = pypdfium2.PdfBitmap.new_native(width, height, pdfium.FPDFBitmap_Gray)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, width, height)
    matrix = pdfium.FS_MATRIX(scale, 0, 0, scale, 0, 0)
    frame = pdfium.FS_RECTF(0, 0, width, height)
    flags = pdfium.FPDF_GRAYSCALE
    pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, ctypes.byref(matrix), ctypes.byref(frame), flags)
    out = BytesIO()
    bitmap.to_pil().save(out, "PNG", dpi=(dpi, dpi), compress_level=6)
    return out.getvalue()
