"""What pdfium sees in a PDF: strokes, text, marked content and the structure tree. Lengths in mm, y downward."""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium

MM_PER_PT = 25.4 / 72


@dataclass(frozen=True)
class Stroke:
    """A straight stroke: ends, width, grey level 0 to 255, dash lengths."""

    ends: tuple[float, float, float, float]
    width: float
    grey: int
    dash: tuple[float, ...]


@dataclass(frozen=True)
class Run:
    """A text object: the words, where its baseline starts, size in pt, and its marked-content number."""

    text: str
    x: float
    y: float
    size: float
    number: int


@dataclass(frozen=True)
class Node:
    """A structure element as seen from one page."""

    role: str
    alt: str
    title: str
    numbers: tuple[int, ...]
    children: tuple[Node, ...]


@contextmanager
def open_page(pdf: bytes, index: int = 0) -> Iterator[Any]:
    """A page of the document."""
    document = pypdfium2.PdfDocument(pdf)
    page = document[index]
    try:
        yield page
    finally:
        page.close()
        document.close()


def measure_page_mm(pdf: bytes, index: int = 0) -> tuple[float, float]:
    """Width and height of the paper."""
    with open_page(pdf, index) as page:
        width, height = page.get_size()
        return width * MM_PER_PT, height * MM_PER_PT


def list_strokes(pdf: bytes, index: int = 0) -> list[Stroke]:
    """Every path of one straight segment, in paint order; one with round ends is a dot, and left out."""
    with open_page(pdf, index) as page:
        height = page.get_size()[1]
        return [
            _read_stroke(item.raw, height)
            for item in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH])
            if pdfium.FPDFPath_CountSegments(item.raw) == 2
            and pdfium.FPDFPageObj_GetLineCap(item.raw) != pdfium.FPDF_LINECAP_ROUND
        ]


def _read_stroke(path: Any, height: float) -> Stroke:
    points: list[float] = []
    matrix = pdfium.FS_MATRIX()
    pdfium.FPDFPageObj_GetMatrix(path, matrix)
    for number in range(2):
        x, y = ctypes.c_float(), ctypes.c_float()
        pdfium.FPDFPathSegment_GetPoint(pdfium.FPDFPath_GetPathSegment(path, number), x, y)
        across = matrix.a * x.value + matrix.c * y.value + matrix.e
        up = matrix.b * x.value + matrix.d * y.value + matrix.f
        points += [across * MM_PER_PT, (height - up) * MM_PER_PT]
    width = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(path, width)
    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    pdfium.FPDFPageObj_GetStrokeColor(path, red, green, blue, alpha)
    assert red.value == green.value == blue.value
    assert alpha.value == 255
    count = pdfium.FPDFPageObj_GetDashCount(path)
    dash = (ctypes.c_float * count)()
    if count:
        pdfium.FPDFPageObj_GetDashArray(path, dash, count)
    ends = (points[0], points[1], points[2], points[3])
    return Stroke(ends, width.value * MM_PER_PT, red.value, tuple(length * MM_PER_PT for length in dash))


def list_runs(pdf: bytes, index: int = 0) -> list[Run]:
    """Every text object in paint order."""
    with open_page(pdf, index) as page:
        height = page.get_size()[1]
        textpage = page.get_textpage()
        runs = []
        for item in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
            matrix = pdfium.FS_MATRIX()
            pdfium.FPDFPageObj_GetMatrix(item.raw, matrix)
            size = ctypes.c_float()
            pdfium.FPDFTextObj_GetFontSize(item.raw, size)
            text = _read_utf16(partial(pdfium.FPDFTextObj_GetText, item.raw, textpage.raw))
            number = pdfium.FPDFPageObj_GetMarkedContentID(item.raw)
            place = matrix.e * MM_PER_PT, (height - matrix.f) * MM_PER_PT
            runs.append(Run(text, *place, size.value, number))
        textpage.close()
        return runs


def read_structure(pdf: bytes, index: int = 0) -> tuple[Node, ...]:
    """The structure tree as pdfium builds it for one page; it finds elements by the parent tree."""
    with open_page(pdf, index) as page:
        tree = pdfium.FPDF_StructTree_GetForPage(page.raw)
        try:
            count = pdfium.FPDF_StructTree_CountChildren(tree)
            return tuple(_read_node(pdfium.FPDF_StructTree_GetChildAtIndex(tree, n)) for n in range(count))
        finally:
            pdfium.FPDF_StructTree_Close(tree)


def _read_node(element: Any) -> Node:
    numbers, children = [], []
    for position in range(pdfium.FPDF_StructElement_CountChildren(element)):
        child = pdfium.FPDF_StructElement_GetChildAtIndex(element, position)
        if child:
            children.append(_read_node(child))
        else:
            number = pdfium.FPDF_StructElement_GetChildMarkedContentID(element, position)
            if number >= 0:
                numbers.append(number)
    return Node(
        _read_utf16(partial(pdfium.FPDF_StructElement_GetType, element)),
        _read_utf16(partial(pdfium.FPDF_StructElement_GetAltText, element)),
        _read_utf16(partial(pdfium.FPDF_StructElement_GetTitle, element)),
        tuple(numbers),
        tuple(children),
    )


def _read_utf16(call: Callable[[Any, int], int]) -> str:
    length = call(None, 0)
    if length <= 2:
        return ""
    buffer = ctypes.create_string_buffer(length)
    call(ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), length)
    return buffer.raw[:length].decode("utf-16-le").rstrip("\0")
