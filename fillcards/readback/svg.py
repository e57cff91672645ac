"""Marks of an svg element in the order of painting: as a page of the pdf file has them, but words as outlines.

Only what our own files hold is read: lines, polygons, discs and paths of glyphs with plain paint, in mm. Any other
element or attribute (a transform, a clip, a style, an opacity) could hide or move what is drawn, and is refused.
Lengths in mm, y downward; grey levels from 0 (black) to 255.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import Final, NamedTuple, TypeAlias
from xml.etree import ElementTree

from fillcards.readback.glyphs import Outline, is_same_outline, outline_run, read_path, read_run
from fillcards.readback.marks import PageMarks, Shape, Stroke, drop_repeats
from fillcards.readback.model import UnreadableCard
from fillcards.readback.parts import Box, Region
from fillcards.readback.runs import Run

SAME_MM: Final = 0.01
SAME_GLYPH_MM: Final = 0.03
"""Type sizes are read to a hundredth of a point, which adds up along a line."""
PAPER: Final = {f"#{level:02x}{level:02x}{level:02x}": level for level in (0x00, 0x59, 0xFF)}
SCREEN: Final = {"currentColor": 0, "Canvas": 255}
_NAMESPACE: Final = "{http://www.w3.org/2000/svg}"
_PLAIN: Final = {"fill", "stroke", "stroke-width"}
_ROOT: Final = {"width", "height", "viewbox", "role", "version", "baseprofile", "aria-hidden", "lang", "tail"}


class Words(NamedTuple):
    """Words as outlines."""

    outline: Outline
    level: int


Mark: TypeAlias = Stroke | Shape | Words


class Picture(NamedTuple):
    """What an svg element holds: its size, its marks in the order of painting, and what it says of itself."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    title: str
    desc: str
    language: str

    def cut(self, labels: Sequence[str] = ()) -> tuple[Region, tuple[Run, ...]]:
        """The marks as a region without its words, and the words read.

        Args:
            labels: words in any face that may stand in it.

        Raises:
            UnreadableCard: an outline is no line of type.
        """
        strokes = tuple(mark for mark in self.marks if isinstance(mark, Stroke))
        shapes = tuple(mark for mark in self.marks if isinstance(mark, Shape))
        runs = tuple(read_run(*mark, labels) for mark in self.marks if isinstance(mark, Words))
        return Region(Box(0.0, 0.0, self.width_mm, self.height_mm), strokes, shapes), runs


def read_svg_file(data: bytes) -> Picture:
    """An svg file on white paper.

    Raises:
        UnreadableCard: it is none of ours.
    """
    try:
        root = ElementTree.fromstring(data)
    except ElementTree.ParseError as error:
        raise UnreadableCard("it is not an svg file, or a damaged one") from error
    picture = read_svg(root, PAPER)
    paper, *marks = picture.marks or (None,)
    white = (0.0, 0.0, picture.width_mm, picture.height_mm)
    if not isinstance(paper, Shape) or paper[1:6] != (*white, 255) or paper.outline is not None:
        raise UnreadableCard("it does not begin with white paper")
    return picture._replace(marks=tuple(marks))


def read_svg(root: ElementTree.Element, inks: Mapping[str, int]) -> Picture:
    """An svg element.

    Args:
        root: the element, its names in any case and with or without their namespace.
        inks: grey level of each colour that may stand in it.

    Raises:
        UnreadableCard: something in it could hide or move what is drawn.
    """
    attributes = {name.partition("}")[2].lower() or name.lower(): value for name, value in root.attrib.items()}
    if root.tag.removeprefix(_NAMESPACE) != "svg" or not attributes.keys() <= _ROOT:
        raise UnreadableCard("its root is not as ours")
    sides = [attributes.get(name, "") for name in ("width", "height")]
    if any(not side.endswith("mm") for side in sides):
        raise UnreadableCard("its size is not in mm")
    width, height = (side.removesuffix("mm") for side in sides)
    if [float(number) for number in attributes.get("viewbox", "").split()] != [0, 0, float(width), float(height)]:
        raise UnreadableCard("it is not drawn in mm")
    said = {"title": "", "desc": ""}
    marks: list[Mark] = []
    for element in root:
        tag = element.tag.removeprefix(_NAMESPACE)
        if tag in said:
            said[tag] += element.text or ""
        elif tag != "defs" or len(element) or element.attrib:
            marks.append(_read_mark(tag, element.attrib, inks))
    language = attributes.get("lang", "")
    return Picture(float(width), float(height), tuple(marks), said["title"], said["desc"], language)


def _read_mark(tag: str, attributes: Mapping[str, str], inks: Mapping[str, int]) -> Mark:
    own, read = _READERS.get(tag, (None, None))
    if own is None or read is None or not attributes.keys() <= own | _PLAIN:
        raise UnreadableCard(f"it holds a {tag} that is none of ours")
    paint = {"fill": attributes.get("fill", "none"), "stroke": attributes.get("stroke", "none")}
    if any(colour != "none" and colour not in inks for colour in paint.values()):
        raise UnreadableCard("it has an ink that is none of ours")
    fill, outline = (inks.get(paint[name]) for name in ("fill", "stroke"))
    try:
        return read(attributes, fill, outline, float(attributes.get("stroke-width", 0)) if outline is not None else 0.0)
    except (KeyError, ValueError) as error:
        raise UnreadableCard(f"it holds a {tag} that cannot be read") from error


_Reader: TypeAlias = Callable[[Mapping[str, str], int | None, int | None, float], Mark]


def _read_line(values: Mapping[str, str], fill: int | None, outline: int | None, width_mm: float) -> Mark:
    dash = [float(length) for length in values.get("stroke-dasharray", "").split()]
    if outline is None or fill is not None or width_mm <= 0 or (dash and (len(dash) != 2 or dash[0] < dash[1])):
        raise ValueError("a line without ink, or with more gaps than ink")
    x1, y1, x2, y2 = (float(values[name]) for name in ("x1", "y1", "x2", "y2"))
    return Stroke(x1, y1, x2, y2, width_mm, outline, bool(dash))


def _read_polygon(values: Mapping[str, str], fill: int | None, outline: int | None, width_mm: float) -> Mark:
    points = [(float(x), float(y)) for x, y in (pair.split(",") for pair in values["points"].split())]
    return _make_shape(points, fill, outline, width_mm)


def _read_rect(values: Mapping[str, str], fill: int | None, outline: int | None, width_mm: float) -> Mark:
    x, y, width, height = (float(values[name]) for name in ("x", "y", "width", "height"))
    return _make_shape([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], fill, outline, width_mm)


def _make_shape(points: list[tuple[float, float]], fill: int | None, outline: int | None, width_mm: float) -> Mark:
    if (fill is None and outline is None) or (outline is not None and width_mm <= 0):
        raise ValueError("a shape without ink")
    xs, ys = [x for x, _ in points], [y for _, y in points]
    box = min(xs), min(ys), max(xs), max(ys)
    return Shape(drop_repeats(points), *box, fill, outline, width_mm, is_round=False)


def _read_circle(values: Mapping[str, str], fill: int | None, outline: int | None, width_mm: float) -> Mark:
    x, y, r = (float(values[name]) for name in ("cx", "cy", "r"))
    if fill is None or outline is not None or r <= 0:
        raise ValueError("a disc without ink")
    return Shape((), x - r, y - r, x + r, y + r, fill, None, width_mm, is_round=True)


def _read_words(values: Mapping[str, str], fill: int | None, outline: int | None, width_mm: float) -> Mark:
    del width_mm
    if fill is None or outline is not None:
        raise ValueError("words that are not plainly filled")
    return Words(read_path(values["d"]), fill)


_READERS: Final[Mapping[str, tuple[set[str], _Reader]]] = {
    "line": ({"x1", "y1", "x2", "y2", "stroke-dasharray"}, _read_line),
    "polygon": ({"points"}, _read_polygon),
    "rect": ({"x", "y", "width", "height"}, _read_rect),
    "circle": ({"cx", "cy", "r"}, _read_circle),
    "path": ({"d"}, _read_words),
}


def find_page_faults(picture: Picture, page: PageMarks) -> Iterator[str]:
    """Where an svg page is not the page of the pdf file, mark by mark in the order of painting.

    Args:
        picture: the svg page.
        page: the same page of the pdf file, which has been read back.
    """
    size = abs(picture.width_mm - page.width_mm), abs(picture.height_mm - page.height_mm)
    if max(size) > SAME_MM:
        yield f"it is {picture.width_mm:g} x {picture.height_mm:g} mm"
    seen, meant = list(_join_words(picture.marks)), list(_join_words(_outline_runs(page.painted)))
    wrong = [(one, other) for one, other in zip_longest(seen, meant) if not _is_same(one, other)]
    for one, other in wrong[:3]:
        yield f"it has {_tell(one)} where the pdf file has {_tell(other)}"
    if len(wrong) > 3:
        yield f"{len(wrong) - 3} more marks differ"


def _outline_runs(painted: Iterable[Stroke | Shape | Run]) -> Iterator[Mark]:
    for mark in painted:
        yield Words(outline_run(mark), mark.level) if isinstance(mark, Run) else mark


def _join_words(marks: Iterable[Mark]) -> Iterator[Mark]:
    """Words that follow each other without anything between them as one: files may part them differently."""
    waiting: Words | None = None
    for mark in marks:
        if isinstance(mark, Words) and waiting and mark.level == waiting.level:
            waiting = waiting._replace(outline=waiting.outline + mark.outline)
            continue
        if waiting and waiting.outline.letters:
            yield waiting
        waiting = mark if isinstance(mark, Words) else None
        if waiting is None:
            yield mark
    if waiting and waiting.outline.letters:
        yield waiting


def _is_same(one: Mark | None, other: Mark | None) -> bool:
    if isinstance(one, Words) and isinstance(other, Words):
        return one.level == other.level and is_same_outline(one.outline, other.outline, SAME_GLYPH_MM)
    if isinstance(one, Stroke) and isinstance(other, Stroke):
        return one[5:] == other[5:] and all(abs(a - b) <= SAME_MM for a, b in zip(one[:5], other[:5], strict=True))
    if isinstance(one, Shape) and isinstance(other, Shape):
        same_paint = (one.fill, one.outline, one.is_round) == (other.fill, other.outline, other.is_round)
        if not same_paint or len(one.points) != len(other.points) or abs(one.outline_mm - other.outline_mm) > SAME_MM:
            return False
        pairs = zip((*sum(one.points, ()), *one[1:5]), (*sum(other.points, ()), *other[1:5]), strict=True)
        return all(abs(a - b) <= SAME_MM for a, b in pairs)
    return False


def _tell(mark: Mark | None) -> str:
    if mark is None:
        return "nothing"
    if isinstance(mark, Words):
        x, y = mark.outline.numbers[:2]
        return f"words of {len(mark.outline.letters)} strokes at ({x:.1f}, {y:.1f}) mm"
    x, y = (mark.x1_mm, mark.y1_mm) if isinstance(mark, Stroke) else (mark.left_mm, mark.top_mm)
    return f"a {'line' if isinstance(mark, Stroke) else 'shape'} at ({x:.1f}, {y:.1f}) mm"
