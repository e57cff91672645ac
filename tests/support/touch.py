"""Raised pages and braille files as somebody else reads them: pdfium for places, liblouis for words, numpy for ink.

Shares nothing with what wrote them. Lengths in mm.
"""

from __future__ import annotations

import ctypes
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pypdfium2
import pypdfium2.raw as pdfium
from support.pdfium_reader import MM_PER_PT, Run, Stroke, open_page
from support.pdfium_reader import list_runs as _list_runs
from support.pdfium_reader import list_strokes as _list_strokes

Disc = tuple[float, float, float]
"""Centre x, centre y, diameter."""
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""
Ink = npt.NDArray[np.bool_]

GROWN_MM: Final = 0.3
"""By so much each edge of a line moves outward in the simulated heater."""
PIXELS_PER_MM: Final = 20 / 3
"""So that 0.3 mm are two pixels."""

BRAILLE_MOST_MM: Final = 2.1
"""Larger discs belong to a texture or are a raised decimal point."""


@cache
def load_louis() -> Any:
    """The system's liblouis, without its messages."""
    library = ctypes.CDLL("liblouis.so.20")
    library.lou_setLogLevel(60000)
    return library


def back_translate(text: str, *tables: str) -> str:
    """What liblouis reads in braille, by the tables named."""
    library = load_louis()
    encoding = {2: "utf-16-le", 4: "utf-32-le"}[library.lou_charSize()]
    raw = text.encode(encoding)
    taken, given = ctypes.c_int(len(raw) // library.lou_charSize()), ctypes.c_int(10 * len(text) + 50)
    out = ctypes.create_string_buffer(given.value * library.lou_charSize())
    done = library.lou_backTranslateString(
        ",".join(tables).encode(), raw, ctypes.byref(taken), out, ctypes.byref(given), None, None, 0
    )
    assert done
    assert taken.value == len(text)
    return out.raw[: given.value * library.lou_charSize()].decode(encoding)


@lru_cache(maxsize=1000)
def list_runs(pdf: bytes, index: int) -> list[Run]:
    """Every text object; read once a page, since several tests ask."""
    return _list_runs(pdf, index)


@lru_cache(maxsize=1000)
def list_strokes(pdf: bytes, index: int) -> list[Stroke]:
    """Every straight stroke, likewise."""
    return _list_strokes(pdf, index)


def list_raised_pages(pdf: bytes) -> list[int]:
    """Indexes of the pages without print."""
    document = pypdfium2.PdfDocument(pdf)
    count = len(document)
    document.close()
    return [index for index in range(count) if not list_runs(pdf, index)]


@lru_cache(maxsize=1000)
def list_discs(pdf: bytes, index: int) -> list[Disc]:
    """Every path that is neither a straight stroke nor a polygon: the discs, by their bounds."""
    discs = []
    with open_page(pdf, index) as page:
        height = page.get_size()[1]
        edges = [ctypes.c_float() for _ in range(4)]
        for item in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
            if pdfium.FPDFPath_CountSegments(item.raw) == 2:
                continue
            assert pdfium.FPDFPath_CountSegments(item.raw) == 13, "a shape that is no disc"
            assert pdfium.FPDFPageObj_GetBounds(item.raw, *edges)
            left, bottom, right, top = (edge.value * MM_PER_PT for edge in edges)
            assert math.isclose(right - left, top - bottom, abs_tol=0.01)
            discs.append(((left + right) / 2, height * MM_PER_PT - (top + bottom) / 2, right - left))
    return discs


def list_braille_dots(pdf: bytes, index: int) -> list[Disc]:
    """The small discs."""
    return [disc for disc in list_discs(pdf, index) if disc[2] < BRAILLE_MOST_MM]


def is_slanted(stroke: Stroke) -> bool:
    """Whether it is neither level nor upright."""
    x1, y1, x2, y2 = stroke.ends
    return abs(x1 - x2) > 0.01 and abs(y1 - y2) > 0.01


def measure_stroke_box(stroke: Stroke) -> Box:
    """The box of its ink, butt ends and all."""
    x1, y1, x2, y2 = stroke.ends
    length = math.dist((x1, y1), (x2, y2))
    across_x, across_y = (abs(side) / length * stroke.width / 2 for side in (y2 - y1, x2 - x1))
    return min(x1, x2) - across_x, min(y1, y2) - across_y, max(x1, x2) + across_x, max(y1, y2) + across_y


def measure_disc_box(disc: Disc) -> Box:
    """The box of a disc."""
    x, y, diameter = disc
    return x - diameter / 2, y - diameter / 2, x + diameter / 2, y + diameter / 2


def measure_box_gap(one: Box, other: Box) -> float:
    """From box to box; 0 where they touch."""
    across = max(one[0] - other[2], other[0] - one[2], 0.0)
    down = max(one[1] - other[3], other[1] - one[3], 0.0)
    return math.hypot(across, down)


def measure_slant_gap(stroke: Stroke, disc: Disc) -> float:
    """From a slanted stroke, with its butt ends, to a disc."""
    x1, y1, x2, y2 = stroke.ends
    length = math.dist((x1, y1), (x2, y2))
    ahead, aside = (x2 - x1) / length, (y2 - y1) / length
    along = (disc[0] - x1) * ahead + (disc[1] - y1) * aside
    across = abs((disc[1] - y1) * ahead - (disc[0] - x1) * aside)
    past = max(-along, along - length, 0.0)
    return math.hypot(past, max(across - stroke.width / 2, 0.0)) - disc[2] / 2


def join_boxes(boxes: list[Box]) -> Box:
    """The smallest box that holds all."""
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def render_ink(pdf: bytes, index: int) -> Ink:
    """A page as ink, pixel by pixel."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        bitmap: Any = document[index].render(scale=PIXELS_PER_MM * MM_PER_PT, grayscale=True)
        ink: Ink = np.asarray(bitmap.to_numpy()).squeeze() < 128
        return ink
    finally:
        document.close()


def swell(ink: Ink, grown_mm: float = GROWN_MM) -> Ink:
    """Every edge moved outward by so much."""
    reach = grown_mm * PIXELS_PER_MM
    steps = range(-math.floor(reach), math.floor(reach) + 1)
    grown = ink.copy()
    for down in steps:
        for across in steps:
            if math.hypot(down, across) <= reach + 1e-9:
                grown |= np.roll(ink, (down, across), (0, 1))
    return grown


def count_euler(ink: Ink) -> int:
    """Pieces of ink minus holes, from the counts of 2 by 2 pixels (Gray 1971, eight neighbours; from memory).

    Two pieces that merge, a ring that closes and a hole that fills each change the number.
    """
    padded = np.pad(ink, 1).astype(np.uint8)
    quads = padded[:-1, :-1] + 2 * padded[:-1, 1:] + 4 * padded[1:, :-1] + 8 * padded[1:, 1:]
    counts = np.bincount(quads.ravel(), minlength=16)
    ones, threes = counts[[1, 2, 4, 8]].sum(), counts[[7, 11, 13, 14]].sum()
    diagonals = counts[[6, 9]].sum()
    return int(ones - threes - 2 * diagonals) // 4


@dataclass(frozen=True)
class TouchFigures:
    """The least of what a finger must tell apart on some raised pages, in mm, the spacings of braille with its most.

    Attributes:
        gap_mm: between two lines that do not meet, or a line and a dot.
        texture_gap_mm: between two strokes of a texture, or two of its dots; infinite where no page has one.
        line_mm: width of a line.
        dot_mm: diameters of the dots of braille, least and most.
        spacing_mm: least distance of two dots of braille, which is that within a cell.
        merged: pages on which something ran together when every edge moved out by ``GROWN_MM``.
    """

    pages: int
    gap_mm: float
    texture_gap_mm: float
    line_mm: float
    dot_mm: tuple[float, float]
    spacing_mm: float
    merged: int


def measure_pages(pdf: bytes, indexes: Sequence[int]) -> TouchFigures:
    """All pages together."""
    dots = [disc for index in indexes for disc in list_braille_dots(pdf, index)]
    return TouchFigures(
        pages=len(indexes),
        gap_mm=min(_measure_gap(pdf, index) for index in indexes),
        texture_gap_mm=min(_measure_texture_gap(pdf, index) for index in indexes),
        line_mm=min(stroke.width for index in indexes for stroke in list_strokes(pdf, index)),
        dot_mm=(min(dot[2] for dot in dots), max(dot[2] for dot in dots)),
        spacing_mm=min(_measure_spacing(list_braille_dots(pdf, index)) for index in indexes),
        merged=sum(count_euler(swell(ink)) != count_euler(ink) for ink in (render_ink(pdf, each) for each in indexes)),
    )


def _measure_gap(pdf: bytes, index: int) -> float:
    slants = [stroke for stroke in list_strokes(pdf, index) if is_slanted(stroke)]
    straight = [measure_stroke_box(stroke) for stroke in list_strokes(pdf, index) if not is_slanted(stroke)]
    discs = list_discs(pdf, index)
    others = [measure_disc_box(disc) for disc in discs] + [measure_stroke_box(slant) for slant in slants]
    gaps = [gap for one, other in itertools.combinations(straight, 2) if (gap := measure_box_gap(one, other)) > 0.01]
    gaps += [measure_box_gap(one, other) for one in straight for other in others]
    gaps += [measure_slant_gap(slant, disc) for slant in slants for disc in discs]
    return min(gaps, default=math.inf)


def _measure_texture_gap(pdf: bytes, index: int) -> float:
    rising = [s for s in list_strokes(pdf, index) if (s.ends[2] - s.ends[0]) * (s.ends[3] - s.ends[1]) < -0.01]
    sums = sorted(stroke.ends[0] + stroke.ends[1] for stroke in rising)
    gaps = [(other - one) / math.sqrt(2) - rising[0].width for one, other in itertools.pairwise(sums)]
    large = [disc for disc in list_discs(pdf, index) if BRAILLE_MOST_MM < disc[2] < 2.7]
    gaps += [math.dist(one[:2], other[:2]) - one[2] for one, other in itertools.combinations(large, 2)]
    return min(gaps, default=math.inf)


def _measure_spacing(dots: list[Disc]) -> float:
    centres = np.array([dot[:2] for dot in dots])
    far = np.hypot(*(centres[:, None, axis] - centres[None, :, axis] for axis in (0, 1)))
    np.fill_diagonal(far, np.inf)
    return float(far.min())
