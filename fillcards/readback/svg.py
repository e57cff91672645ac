"""SVG pages against the PDF that was read back: the same strokes, shapes and runs at the same places.

In an SVG page text is outlines, so its numbers cannot be read; what is proven is that every stop line and graduation
line, every shape and every run stands where the proven PDF has it, and that nothing else does. Lengths in mm.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Final
from xml.etree import ElementTree

from fillcards.problems import ReadbackFault
from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.marks import PageMarks, Shape, Stroke, read_page_marks
from fillcards.readback.model import Difference, UnreadableCard
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.runs import Run
from fillcards.typeface import ASCENT_EM, DESCENT_EM

EASE_MM: Final = 0.004
"""The PDF is exact to a third of a micrometre, the SVG to a tenth; both round."""
_SVG: Final = "{http://www.w3.org/2000/svg}"
_NUMBER: Final = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
_WHITE: Final = "#ffffff"

Outline = tuple[float, float, float, float]
"""Box of a path of outlines: left, top, right, bottom."""


def measure_svg(data: bytes) -> tuple[PageMarks, tuple[Outline, ...]]:
    """What an SVG page of ours draws: strokes and shapes as in a PDF, and the boxes of its outlined text.

    Raises:
        UnreadableCard: it is not an SVG page in mm of the kind that is written here.
    """
    try:
        root = ElementTree.fromstring(data)
        width_mm, height_mm = (_parse_mm(root.get(side, "")) for side in ("width", "height"))
        view = [float(part) for part in root.get("viewBox", "").split()]
    except (ElementTree.ParseError, ValueError) as error:
        raise UnreadableCard("it is not an SVG page") from error
    if view != [0.0, 0.0, width_mm, height_mm]:
        raise UnreadableCard(f"its picture of {view} is not its paper of {width_mm:g} x {height_mm:g} mm")
    strokes: list[Stroke] = []
    shapes: list[Shape] = []
    outlines: list[Outline] = []
    for element in root:
        match element.tag.removeprefix(_SVG):
            case "line":
                strokes.append(_read_line(element))
            case "polygon":
                shapes.append(_read_polygon(element))
            case "circle":
                shapes.append(_read_circle(element))
            case "path":
                outlines.append(_read_outline(element))
            case "rect" | "title" | "desc" | "defs":
                _require_harmless(element, width_mm, height_mm)
            case tag:
                raise UnreadableCard(f"it has an element that no page of ours has: {tag}")
    return PageMarks(1, width_mm, height_mm, tuple(strokes), tuple(shapes), ()), tuple(outlines)


def require_same_pages(svgs: tuple[bytes, ...], pdf: bytes) -> None:
    """The gate of SVG pages: each draws exactly what its page of the PDF draws, which has passed its own gate.

    Raises:
        ReadbackFault: with the first differences of each page.
    """
    faults: list[str] = []
    try:
        with open_document(pdf) as (document, count):
            if count != len(svgs):
                faults.append(f"{len(svgs)} SVG pages, and {count} pages of the PDF")
            for index, svg in enumerate(svgs[:count]):
                with open_page(document, index) as page:
                    marks = read_page_marks(page, index + 1)
                faults += [str(difference) for difference in find_svg_differences(svg, marks)]
    except UnreadableCard as error:
        faults.append(str(error))
    if faults:
        raise ReadbackFault("\n  ".join(("the SVG pages do not draw what the PDF draws", *faults)))


def find_svg_differences(svg: bytes, page: PageMarks) -> Iterator[Difference]:
    """Where an SVG page differs from a page of the PDF."""
    marks, outlines = measure_svg(svg)
    size, meant = (marks.width_mm, marks.height_mm), (page.width_mm, page.height_mm)
    if any(abs(one - other) > EASE_MM for one, other in zip(size, meant, strict=True)):
        read, wanted = (f"{width:.2f} x {height:.2f} mm" for width, height in (size, meant))
        yield Difference(page.number, "SVG paper", read, wanted)
    for what, drawn, known in (
        ("SVG lines", marks.strokes, page.strokes),
        ("SVG shapes", marks.shapes, page.shapes),
    ):
        one, other = Counter(map(_write_key, drawn)), Counter(map(_write_key, known))
        if one != other:
            strange, missing = sum((one - other).values()), sum((other - one).values())
            yield Difference(page.number, what, f"{strange} that the PDF has not", f"{missing} that are missing")
    faulty = _count_misplaced(outlines, page.runs)
    if len(outlines) != len(page.runs) or faulty:
        yield Difference(page.number, "SVG text", f"{len(outlines)} runs, {faulty} misplaced", f"{len(page.runs)}")


def _write_key(mark: Stroke | Shape) -> tuple[object, ...]:
    """A mark as a key that two programs' rounding leaves the same: to a hundredth of a millimetre."""
    if isinstance(mark, Stroke):
        ends = sorted(((_round(mark.x1_mm), _round(mark.y1_mm)), (_round(mark.x2_mm), _round(mark.y2_mm))))
        return (*ends, _round(mark.width_mm), mark.level, mark.is_dashed)
    box = tuple(map(_round, (mark.left_mm, mark.top_mm, mark.right_mm, mark.bottom_mm)))
    return (box, len(mark.points), mark.fill, mark.outline, _round(mark.outline_mm), mark.is_round)


def _round(length_mm: float) -> int:
    """To fiftieths of a millimetre, off the round lengths that a layout is full of."""
    return round(length_mm * 50 + 0.2718)


def _count_misplaced(outlines: tuple[Outline, ...], runs: tuple[Run, ...]) -> int:
    """Outlines that leave the room of their run; both are in the order in which they were drawn."""
    misplaced = 0
    for (left, top, right, bottom), run in zip(outlines, runs, strict=False):
        size_mm = convert_pt_to_mm(run.size_pt)
        above_mm, below_mm = run.y_mm - ASCENT_EM * size_mm, run.y_mm + DESCENT_EM * size_mm
        is_beside = left >= run.x_mm - 0.15 * size_mm and right <= run.right_mm + 0.15 * size_mm
        is_as_wide = right - left >= run.width_mm - 0.4 * size_mm
        misplaced += not (is_beside and is_as_wide and top >= above_mm and bottom <= below_mm)
    return misplaced


def _parse_mm(text: str) -> float:
    if not text.endswith("mm"):
        raise ValueError(text)
    return float(text.removesuffix("mm"))


def _parse_level(colour: str | None) -> int:
    if colour is None or not re.fullmatch(r"#([0-9a-f]{2})\1\1", colour):
        raise UnreadableCard(f"a colour that no page of ours has: {colour}")
    return int(colour[1:3], 16)


def _require_known(element: ElementTree.Element, *known: str) -> None:
    """Attributes that are not known could hide or move a mark."""
    strange = set(element.keys()) - set(known)
    if strange or len(element):
        raise UnreadableCard(f"an element with attributes that no page of ours has: {', '.join(sorted(strange))}")


def _get_length(element: ElementTree.Element, name: str) -> float:
    try:
        return float(element.get(name, ""))
    except ValueError:
        raise UnreadableCard(f"an element without {name}") from None


def _read_line(element: ElementTree.Element) -> Stroke:
    _require_known(element, "x1", "y1", "x2", "y2", "stroke", "stroke-width", "stroke-dasharray")
    x1, y1, x2, y2 = (_get_length(element, name) for name in ("x1", "y1", "x2", "y2"))
    width, is_dashed = _get_length(element, "stroke-width"), element.get("stroke-dasharray") is not None
    return Stroke(x1, y1, x2, y2, width, _parse_level(element.get("stroke")), is_dashed)


def _read_polygon(element: ElementTree.Element) -> Shape:
    _require_known(element, "points", "fill", "stroke", "stroke-width")
    numbers = [float(number) for number in _NUMBER.findall(element.get("points", ""))]
    points = tuple(zip(numbers[::2], numbers[1::2], strict=True))
    xs, ys = [x for x, _ in points], [y for _, y in points]
    fill = None if element.get("fill") == "none" else _parse_level(element.get("fill"))
    outline = None if element.get("stroke") is None else _parse_level(element.get("stroke"))
    width = 0.0 if outline is None else _get_length(element, "stroke-width")
    return Shape(points, min(xs), min(ys), max(xs), max(ys), fill, outline, width, is_round=False)


def _read_circle(element: ElementTree.Element) -> Shape:
    _require_known(element, "cx", "cy", "r", "fill")
    x, y, r = (_get_length(element, name) for name in ("cx", "cy", "r"))
    return Shape((), x - r, y - r, x + r, y + r, _parse_level(element.get("fill")), None, 0.0, is_round=True)


def _read_outline(element: ElementTree.Element) -> Outline:
    _require_known(element, "d", "fill")
    if _parse_level(element.get("fill")) != 0:
        raise UnreadableCard("text that is not black")
    numbers = [float(number) for number in _NUMBER.findall(element.get("d", ""))]
    if not numbers:
        raise UnreadableCard("text without ink")
    xs, ys = numbers[::2], numbers[1::2]
    return min(xs), min(ys), max(xs), max(ys)


def _require_harmless(element: ElementTree.Element, width_mm: float, height_mm: float) -> None:
    """The white paper under everything is the only rectangle."""
    if element.tag.removeprefix(_SVG) == "rect":
        size = (_get_length(element, "width"), _get_length(element, "height"))
        if size != (width_mm, height_mm) or element.get("fill") != _WHITE or element.get("x") not in {"0", None}:
            raise UnreadableCard("a rectangle that is not the paper")
    elif len(element):
        raise UnreadableCard("definitions that no page of ours has")
