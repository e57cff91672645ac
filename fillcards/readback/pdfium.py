"""pdfium, as far as the reader needs it: documents and pages that close themselves, lengths in points as in the file.

Declares the functions itself, with plain addresses for everything that is pointed at: the bindings that come with the
library declare several hundreds, which takes long to load, and check the kind of each pointer, which takes longer than
what is called. A test holds the declarations against theirs.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from types import SimpleNamespace
from typing import Any, Final

from fillcards.readback.model import UnreadableCard

MOST_PAGES: Final = 400
MM_PER_PT: Final = 25.4 / 72

# pdfium's own numbers.
ERR_PASSWORD: Final = 4
FORMTYPE_NONE: Final = 0
PAGEOBJ_TEXT: Final = 1
PAGEOBJ_PATH: Final = 2
SEGMENT_BEZIERTO: Final = 1
SEGMENT_MOVETO: Final = 2
LINECAP_ROUND: Final = 1
TEXTRENDERMODE_FILL: Final = 0
FONT_TRUETYPE: Final = 2
BITMAP_GRAY: Final = 1
RENDER_ANNOT: Final = 0x01
RENDER_GRAYSCALE: Final = 0x08
RENDER_PRINTING: Final = 0x800

KINDS: Final[dict[str, Any]] = {
    "p": ctypes.c_void_p,
    "i": ctypes.c_int,
    "u": ctypes.c_uint,
    "l": ctypes.c_ulong,
    "z": ctypes.c_size_t,
    "f": ctypes.c_float,
    "d": ctypes.c_double,
    "-": None,
}
"""Pointers, whole numbers of four lengths, numbers with a point of two, and nothing."""


def list_functions() -> Iterator[tuple[str, list[Any]]]:
    """The functions that are called, of ``pdfium.txt``: the kinds of what each gives back and is given."""
    for line in files("fillcards.readback").joinpath("pdfium.txt").read_text("ascii").splitlines():
        name, _, kinds = line.rstrip(")").partition(" ")
        yield name, [KINDS[kind] for kind in kinds.replace("(", "")]


@lru_cache(maxsize=1)
def load_pdfium() -> Any:
    """The library, ready to use: an object with its functions."""
    library = ctypes.CDLL(_find_library())
    pdfium = SimpleNamespace()
    for name, kinds in list_functions():
        function = library[name]
        function.restype, *function.argtypes = kinds
        setattr(pdfium, name, function)
    pdfium.FPDF_InitLibrary()
    return pdfium


def _find_library() -> str:
    """Where the library's file is; its bindings are asked only where it does not lie beside them."""
    spec = find_spec("pypdfium2_raw")
    for folder in (spec.submodule_search_locations or ()) if spec else ():
        for name in ("libpdfium.so", "pdfium.dll", "libpdfium.dylib"):
            if (path := Path(folder, name)).exists():
                return str(path)
    from pypdfium2_raw import bindings

    return str(bindings._libs["pdfium"]._name)


class Numbers:
    """Room for a few numbers that pdfium fills in, and the address of each: made once, used for every call.

    ``room[:]`` are the numbers; to take them one by one from ``room`` takes three times as long.

    Args:
        kind: of the numbers, as ``ctypes`` has it.
        count: how many.
    """

    def __init__(self, kind: Any, count: int) -> None:
        self.room = (kind * count)()
        start = ctypes.addressof(self.room)
        self.addresses = tuple(range(start, start + ctypes.sizeof(self.room), ctypes.sizeof(kind)))


@contextmanager
def open_document(data: bytes) -> Iterator[tuple[Any, int]]:
    """A document in memory, and how many pages it has.

    Raises:
        UnreadableCard: it is no PDF, is encrypted, or has no or too many pages.
    """
    pdfium = load_pdfium()
    # Read where it lies: the bytes live as long as the document.
    document = pdfium.FPDF_LoadMemDocument64(data, len(data), None)
    if not document:
        encrypted = pdfium.FPDF_GetLastError() == ERR_PASSWORD
        raise UnreadableCard("it is encrypted" if encrypted else "it is not a PDF, or a damaged one")
    try:
        count = pdfium.FPDF_GetPageCount(document)
        if not 1 <= count <= MOST_PAGES:
            raise UnreadableCard(f"it has {count} pages")
        if pdfium.FPDF_GetFormType(document) != FORMTYPE_NONE:
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
    edges = Numbers(ctypes.c_float, 4)
    for get_box in (pdfium.FPDFPage_GetMediaBox, pdfium.FPDFPage_GetCropBox):
        if get_box(page, *edges.addresses):
            left, bottom, right, top = edges.room[:]
            if max(abs(left), abs(bottom), abs(right - width), abs(top - height)) > 0.01:
                raise UnreadableCard(f"page {number} is cropped, or does not begin at its corner")
