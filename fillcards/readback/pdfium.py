"""pdfium, as far as the reader needs it: documents and pages that close themselves, lengths in points as in the file.

Uses the raw functions: pypdfium2's own classes take longer to load than a card takes to read.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Any, Final

from fillcards.readback.model import UnreadableCard

MOST_PAGES: Final = 400
MM_PER_PT: Final = 25.4 / 72


@lru_cache(maxsize=1)
def load_pdfium() -> Any:
    """The library, ready to use."""
    import pypdfium2_raw

    pypdfium2_raw.FPDF_InitLibraryWithConfig(pypdfium2_raw.FPDF_LIBRARY_CONFIG(version=2))
    return pypdfium2_raw


@contextmanager
def open_document(data: bytes) -> Iterator[tuple[Any, int]]:
    """A document in memory, and how many pages it has.

    Raises:
        UnreadableCard: it is no PDF, is encrypted, or has no or too many pages.
    """
    pdfium = load_pdfium()
    buffer = ctypes.create_string_buffer(data, len(data))
    document = pdfium.FPDF_LoadMemDocument64(buffer, len(data), None)
    if not document:
        encrypted = pdfium.FPDF_GetLastError() == pdfium.FPDF_ERR_PASSWORD
        raise UnreadableCard("it is encrypted" if encrypted else "it is not a PDF, or a damaged one")
    try:
        count = pdfium.FPDF_GetPageCount(document)
        if not 1 <= count <= MOST_PAGES:
            raise UnreadableCard(f"it has {count} pages")
        if pdfium.FPDF_GetFormType(document) != pdfium.FORMTYPE_NONE:
            raise UnreadableCard("it is a form, whose contents can change")
        yield document, count
    finally:
        pdfium.FPDF_CloseDocument(document)


@contextmanager
def open_page(document: Any, index: int) -> Iterator[Any]:
    """One page, by its index from 0.

    Raises:
        UnreadableCard: the page is damaged, turned, cropped, or carries notes that may hide what is under them.
    """
    pdfium = load_pdfium()
    page = pdfium.FPDF_LoadPage(document, index)
    if not page:
        raise UnreadableCard(f"page {index + 1} is damaged")
    try:
        _require_plain(page, index + 1)
        yield page
    finally:
        pdfium.FPDF_ClosePage(page)


def measure_page_pt(page: Any) -> tuple[float, float]:
    """Width and height of the paper in points."""
    pdfium = load_pdfium()
    return pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page)


def _require_plain(page: Any, number: int) -> None:
    pdfium = load_pdfium()
    if pdfium.FPDFPage_GetRotation(page):
        raise UnreadableCard(f"page {number} is turned")
    if pdfium.FPDFPage_GetAnnotCount(page):
        raise UnreadableCard(f"page {number} has notes or form fields on it")
    width, height = measure_page_pt(page)
    if not (50 <= width <= 5000 and 50 <= height <= 5000):
        raise UnreadableCard(f"page {number} measures {width * MM_PER_PT:.0f} x {height * MM_PER_PT:.0f} mm")
    edges = [ctypes.c_float() for _ in range(4)]
    for get_box in (pdfium.FPDFPage_GetMediaBox, pdfium.FPDFPage_GetCropBox):
        if get_box(page, *edges):
            left, bottom, right, top = (edge.value for edge in edges)
            if max(abs(left), abs(bottom), abs(right - width), abs(top - height)) > 0.01:
                raise UnreadableCard(f"page {number} is cropped, or does not begin at its corner")
