"""Marks of an svg element in the order of painting: as a page of the pdf file has them, but words as outlines.

Only what our own files hold is read: lines, polygons, discs and paths of glyphs with plain paint, in mm. Any other
element or attribute (a transform, a clip, a style, an opacity) could hide or move what is drawn, and is refused.
Lengths in mm, y downward; grey levels from 0 (black) to 255.

Outlines are path data of straight and quadratic curves, in steps from where each contour begins, held against the
glyphs of the typeface's own files. Where the words are known, their outlines are worked out and compared; where they
are not, they are read glyph by glyph.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import accumulate, chain, groupby, product, zip_longest
from typing import Any, Final, NamedTuple, TypeAlias
from xml.etree import ElementTree

from fillcards.readback.marks import PageMarks, Run, Shape, Stroke, make_disc, make_shape, place_glyphs
from fillcards.readback.model import UnreadableCard
from fillcards.readback.parts import Box, Region
from fillcards.readback.pdfium import MM_PER_PT
from fillcards.typeface import find_font_file, find_missing_glyphs, measure_width_mm
from fillcards.typeface.faces import LANGUAGES, Face
from fillcards.typeface.segments import measure_mixed_em, place_segments
from fillcards.typeface.shaping import draw_glyph

SAME_MM: Final = 0.01
SAME_GLYPH_MM: Final = 0.03
"""Type sizes are read to a thousandth of a point, which adds up along a line."""
GLYPH_EASE_MM: Final = 0.002
"""How far a point of a known glyph may stand from its place: path data are written to a ten-thousandth."""
SPACE_EASE: Final = 0.04
"""How far the gap between two glyphs may be from a whole number of spaces, in spaces."""
PAPER: Final = {f"#{level:02x}{level:02x}{level:02x}": level for level in (0x00, 0x59, 0xFF)}
SCREEN: Final = {"currentColor": 0, "Canvas": 255}
_NAMESPACE: Final = "{http://www.w3.org/2000/svg}"
_ROOT: Final = {"width", "height", "viewbox", "role", "version", "baseprofile", "aria-hidden", "lang", "tail"}
_PLAIN: Final = {"fill", "stroke", "stroke-width"}
_OWN: Final[Mapping[str, set[str]]] = {
    "line": {"x1", "y1", "x2", "y2", "stroke-dasharray"},
    "polygon": {"points"},
    "rect": {"x", "y", "width", "height"},
    "circle": {"cx", "cy", "r"},
    "path": {"d"},
}
"""The elements, and what each may say besides its paint."""
_POINTS: Final = {"M": 1, "L": 1, "Q": 2, "Z": 0}
_NUMBER: Final = r"-?[0-9]+(?:\.[0-9]+)?"
_STEP: Final = re.compile(rf"l{_NUMBER} {_NUMBER}|q{_NUMBER}(?: {_NUMBER}){{3}}")
_SIGNS: Final = b"-. 0123456789Mlqz"


class Outline(NamedTuple):
    """Letters of path commands (``M``, ``L``, ``Q``, ``Z``), and all their numbers, x and y by turns."""

    letters: str
    numbers: tuple[float, ...]


class Contour(NamedTuple):
    """Where a contour begins, and the outline from there: few differ, and many begin elsewhere."""

    x_mm: float
    y_mm: float
    outline: Outline


class Words(NamedTuple):
    """Words as outlines."""

    contours: tuple[Contour, ...]
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
        runs = tuple(
            _read_run(_join(mark.contours), mark.level, labels) for mark in self.marks if isinstance(mark, Words)
        )
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


def _read_mark(tag: str, values: Mapping[str, str], inks: Mapping[str, int]) -> Mark:
    if tag not in _OWN or not values.keys() <= _OWN[tag] | _PLAIN:
        raise UnreadableCard(f"it holds a {tag} that is none of ours")
    paint = {"fill": values.get("fill", "none"), "stroke": values.get("stroke", "none")}
    if any(colour != "none" and colour not in inks for colour in paint.values()):
        raise UnreadableCard("it has an ink that is none of ours")
    fill, outline = (inks.get(paint[name]) for name in ("fill", "stroke"))
    try:
        if outline is not None:
            return _read_outlined(tag, values, fill, outline, float(values.get("stroke-width", 0)))
        if fill is None:
            raise ValueError("nothing without ink")
        return _read_filled(tag, values, fill)
    except (KeyError, ValueError) as error:
        raise UnreadableCard(f"it holds a {tag} that cannot be read") from error


def _read_outlined(tag: str, values: Mapping[str, str], fill: int | None, outline: int, width_mm: float) -> Mark:
    if width_mm <= 0 or tag in {"circle", "path"}:
        raise ValueError("without ink, or a disc or words that are not plainly filled")
    if tag != "line":
        return make_shape(_list_corners(tag, values), fill, outline, width_mm, is_curved=False)
    dash = [float(length) for length in values.get("stroke-dasharray", "").split()]
    if fill is not None or (dash and (len(dash) != 2 or dash[0] < dash[1])):
        raise ValueError("a line with more gaps than ink")
    x1, y1, x2, y2 = (float(values[name]) for name in ("x1", "y1", "x2", "y2"))
    return Stroke(x1, y1, x2, y2, width_mm, outline, bool(dash))


def _read_filled(tag: str, values: Mapping[str, str], fill: int) -> Mark:
    match tag:
        case "path":
            return Words(tuple(_read_path(values["d"])), fill)
        case "circle":
            x, y, r = (float(values[name]) for name in ("cx", "cy", "r"))
            if r <= 0:
                raise ValueError("a disc without ink")
            return make_disc(x, y, 2 * r, fill)
        case _:
            return make_shape(_list_corners(tag, values), fill, None, 0.0, is_curved=False)


def _list_corners(tag: str, values: Mapping[str, str]) -> list[tuple[float, float]]:
    if tag == "polygon":
        return [(float(x), float(y)) for x, y in (pair.split(",") for pair in values["points"].split())]
    x, y, width, height = (float(values[name]) for name in ("x", "y", "width", "height"))
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


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
        yield Words(tuple(_outline_run(mark)), mark.level) if isinstance(mark, Run) else mark


def _join_words(marks: Iterable[Mark]) -> Iterator[Mark]:
    """Words that follow each other without anything between them as one: files may part them differently."""
    for level, group in groupby(marks, key=lambda mark: mark.level if isinstance(mark, Words) else None):
        if level is None:
            yield from group
        elif contours := tuple(chain.from_iterable(mark.contours for mark in group if isinstance(mark, Words))):
            yield Words(contours, level)


def _is_same(one: object, other: object) -> bool:
    """Whether two marks are the same: of one kind, their lengths nearly, all else just so."""
    if isinstance(one, Words) and isinstance(other, Words):
        parts = one.contours, other.contours
        return one.level == other.level and len(parts[0]) == len(parts[1]) and all(map(_is_same_contour, *parts))
    if isinstance(one, tuple) and isinstance(other, tuple):
        return type(one) is type(other) and len(one) == len(other) and all(map(_is_same, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= SAME_MM
    return one == other


def _is_same_contour(one: Contour, other: Contour) -> bool:
    if abs(one.x_mm - other.x_mm) > SAME_GLYPH_MM or abs(one.y_mm - other.y_mm) > SAME_GLYPH_MM:
        return False
    return _is_same_outline(one.outline, other.outline, GLYPH_EASE_MM)


def _tell(mark: Mark | None) -> str:
    if mark is None:
        return "nothing"
    if isinstance(mark, Words):
        x, y, _ = mark.contours[0]
        return f"words of {len(mark.contours)} contours at ({x:.1f}, {y:.1f}) mm"
    x, y = (mark.x1_mm, mark.y1_mm) if isinstance(mark, Stroke) else (mark.left_mm, mark.top_mm)
    return f"a {'line' if isinstance(mark, Stroke) else 'shape'} at ({x:.1f}, {y:.1f}) mm"


class _Glyph(NamedTuple):
    """A character's outline in parts of the em, and how far the next one stands."""

    character: str
    outline: Outline
    advance: float


def _read_path(path: str) -> Iterator[Contour]:
    """Path data, contour by contour.

    Raises:
        UnreadableCard, ValueError: there is anything in it but absolute moves, straight and quadratic steps, and
            closings.
    """
    before, *contours = path.split("M")
    if before or path.encode().translate(None, _SIGNS):
        raise UnreadableCard("it has an outline that no glyph has")
    for contour in contours:
        x_mm, y_mm, steps = contour.split(" ", 2)
        yield Contour(float(x_mm), float(y_mm), _read_steps(steps))


@lru_cache(maxsize=4096)
def _read_steps(steps: str) -> Outline:
    """The outline of a contour from where it begins, each step of which starts where the one before it ended.

    Raises:
        UnreadableCard: they are not whole steps.
    """
    found = _STEP.findall(steps)
    if "".join((*found, "z")) != steps:
        raise UnreadableCard("it has an outline that no glyph has")
    numbers, x_mm, y_mm = [0.0, 0.0], 0.0, 0.0
    for step in found:
        by = [float(number) for number in step[1:].split(" ")]
        for dx_mm, dy_mm in zip(by[::2], by[1::2], strict=True):
            numbers += (x_mm + dx_mm, y_mm + dy_mm)
        x_mm, y_mm = numbers[-2:]
    letters = "".join(step[0] for step in found).upper()
    return Outline(f"M{letters}Z", tuple(numbers))


def _outline_run(run: Run) -> Iterator[Contour]:
    """What a run looks like, of any face.

    Raises:
        UnreadableCard: a character has no glyph.
    """
    if run.face is not None:
        for number, right_mm, up_mm in place_glyphs(run):
            for x_mm, y_mm, outline in _size_other(run.face, run.bold, number, run.size_pt):
                yield Contour(run.x_mm + right_mm + x_mm, run.y_mm - up_mm + y_mm, outline)
        return
    left_mm = run.x_mm
    for character in run.text:
        for x_mm, y_mm, outline in _size_glyph(run.bold, character, run.size_pt):
            yield Contour(left_mm + x_mm, run.y_mm + y_mm, outline)
        left_mm += _load_glyph(run.bold, character).advance * run.size_pt * MM_PER_PT


@lru_cache(maxsize=4096)
def _size_glyph(bold: bool, character: str, size_pt: float) -> tuple[Contour, ...]:
    """A glyph of Fillcards Text in one size, its origin at zero."""
    return tuple(_part(_load_glyph(bold, character).outline, size_pt))


@lru_cache(maxsize=4096)
def _size_other(face: Face, bold: bool, number: int, size_pt: float) -> tuple[Contour, ...]:
    """A glyph of another face in one size, its origin at zero."""
    return tuple(_part(_make_outline(draw_glyph(face, bold, number)), size_pt))


def _make_outline(commands: Iterable[tuple[str, Sequence[tuple[float, float]]]]) -> Outline:
    commands = tuple(commands)
    numbers = tuple(number for _, points in commands for point in points for number in point)
    return Outline("".join(letter for letter, _ in commands), numbers)


def _part(outline: Outline, size_pt: float) -> Iterator[Contour]:
    """The contours of a glyph in parts of the em, y upward, in that size."""
    size_mm, place = size_pt * MM_PER_PT, 0
    for steps in outline.letters.split("M")[1:]:
        letters = f"M{steps}"
        end = place + 2 * sum(_POINTS[letter] for letter in letters)
        x, y = outline.numbers[place : place + 2]
        points = zip(outline.numbers[place:end:2], outline.numbers[place + 1 : end : 2], strict=True)
        numbers = tuple(number * size_mm for u, v in points for number in (u - x, y - v))
        yield Contour(x * size_mm, -y * size_mm, Outline(letters, numbers))
        place = end


def _join(contours: Iterable[Contour]) -> Outline:
    """Contours as one outline where they stand."""
    contours = tuple(contours)
    numbers = (
        number
        for x_mm, y_mm, (_, steps) in contours
        for dx_mm, dy_mm in zip(steps[::2], steps[1::2], strict=True)
        for number in (x_mm + dx_mm, y_mm + dy_mm)
    )
    return Outline("".join(each.outline.letters for each in contours), tuple(numbers))


@lru_cache(maxsize=4096)
def _is_same_outline(one: Outline, other: Outline, ease_mm: float) -> bool:
    """Whether two outlines are the same commands, point by point."""
    return one.letters == other.letters and all(
        -ease_mm <= a - b <= ease_mm for a, b in zip(one.numbers, other.numbers, strict=True)
    )


_WAYS: Final = tuple({row.face: language for language, row in LANGUAGES.items()}.values())
"""A language for each way in which the words of a label may be parted among faces: a space may be of either."""


def _read_label(outline: Outline, labels: Iterable[str], level: int) -> Run | None:
    """The one of some labels, in any face, that an outline is, or a word of one."""
    parts = [part for label in labels for part in (label, *label.split(" "))]
    for text, bold, language in product(dict.fromkeys(parts), (False, True), _WAYS):
        if not text or find_missing_glyphs(text, bold):
            continue
        unit = Run(text, 0.0, 0.0, 1 / MM_PER_PT, bold, 0.0, level)
        placed = place_segments(text, bold, language)
        runs = (unit._replace(text=part, x_mm=start_em, face=face) for (part, face), start_em in placed)
        meant, x_em = _join(chain.from_iterable(map(_outline_run, runs))), measure_mixed_em(text, bold, language)
        if meant.letters != outline.letters:
            continue
        # A glyph's own numbers grow upward.
        upward = tuple(-each if place % 2 else each for place, each in enumerate(meant.numbers))
        fit = _fit(_Glyph(text, Outline(meant.letters, upward), x_em), outline.numbers, 0.0)
        if fit:
            x_mm, y_mm, size_mm = fit
            size_pt = round(size_mm / MM_PER_PT, 1)
            return unit._replace(x_mm=x_mm, y_mm=y_mm, size_pt=size_pt, width_mm=x_em * size_mm)
    return None


def _read_run(outline: Outline, level: int, labels: Sequence[str] = ()) -> Run:
    """The words of an outline, where they stand, their size and weight.

    Args:
        outline: to be read.
        level: its grey.
        labels: words that may be in another face; whatever is only in Fillcards Text is read without.

    Raises:
        UnreadableCard: it is not a line of type in one face and size.
    """
    found = [run for bold in (False, True) if (run := _read_in_face(outline, bold, level))]
    if not found and (label := _read_label(outline, labels, level)):
        return label
    if len(found) != 1:
        raise UnreadableCard("it has an outline that is no line of type")
    return found[0]


def _read_in_face(outline: Outline, bold: bool, level: int) -> Run | None:
    by_letters, most = _load_face(bold)
    letters, numbers = outline
    starts = list(accumulate((2 * _POINTS[letter] for letter in letters), initial=0))
    place, text, size_mm, x_mm, y_mm, end_mm = 0, "", 0.0, 0.0, 0.0, 0.0
    space = measure_width_mm(" ", 1 / MM_PER_PT, bold)
    while place < len(letters):
        for length in range(min(most, len(letters) - place), 0, -1):
            part = numbers[starts[place] : starts[place + length]]
            fits = (
                (glyph, _fit(glyph, part, size_mm)) for glyph in by_letters.get(letters[place : place + length], ())
            )
            known = next(((glyph, fit) for glyph, fit in fits if fit), None)
            if known:
                break
        else:
            return None
        glyph, (left_mm, base_mm, em_mm) = known
        if not text:
            x_mm, y_mm, size_mm = left_mm, base_mm, em_mm
        else:
            spaces = (left_mm - end_mm) / (space * size_mm)
            if abs(spaces - round(spaces)) > SPACE_EASE or round(spaces) < 0 or abs(base_mm - y_mm) > GLYPH_EASE_MM:
                return None
            text += " " * round(spaces)
        text += glyph.character
        end_mm = left_mm + glyph.advance * size_mm
        place += length
    size_pt = round(size_mm / MM_PER_PT, 1)
    run = Run(text, x_mm, y_mm, size_pt, bold, end_mm - x_mm, level)
    return run if text and _is_same_outline(_join(_outline_run(run)), outline, 10 * GLYPH_EASE_MM) else None


def _fit(glyph: _Glyph, seen: tuple[float, ...], size_mm: float) -> tuple[float, float, float] | None:
    """Origin, baseline and em of a glyph that has just these points; ``None`` if none has."""
    meant = glyph.outline.numbers
    us, vs, xs, ys = meant[::2], meant[1::2], seen[::2], seen[1::2]
    if not size_mm:
        # From its extent across and up and down, which no glyph has neither of.
        size_mm = (max(xs) - min(xs) + max(ys) - min(ys)) / (max(us) - min(us) + max(vs) - min(vs))
    x_mm, y_mm = xs[0] - us[0] * size_mm, ys[0] + vs[0] * size_mm
    ease_mm = 2 * GLYPH_EASE_MM
    for u, v, x, y in zip(us, vs, xs, ys, strict=True):
        if abs(x_mm + u * size_mm - x) > ease_mm or abs(y_mm - v * size_mm - y) > ease_mm:
            return None
    return x_mm, y_mm, size_mm


@lru_cache(maxsize=2)
def _load_font(bold: bool) -> tuple[Any, dict[int, str], float]:
    from fontTools.ttLib import TTFont

    font = TTFont(find_font_file(bold), lazy=True)
    return font.getGlyphSet(), font.getBestCmap(), float(font["head"].unitsPerEm)


@lru_cache(maxsize=1024)
def _load_glyph(bold: bool, character: str) -> _Glyph:
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    glyphs, names, em = _load_font(bold)
    name = names.get(ord(character))
    if name is None:
        raise UnreadableCard("it has characters that no card has")
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    letters, numbers = _make_outline(command for verb, points in pen.value for command in _convert(verb, points))
    outline = Outline(letters, tuple(number / em for number in numbers))
    return _Glyph(character, outline, glyphs[name].width / em)


def _convert(verb: str, points: Sequence[tuple[float, float]]) -> Iterator[tuple[str, Sequence[tuple[float, float]]]]:
    from fontTools.pens.basePen import decomposeQuadraticSegment

    if verb == "qCurveTo":
        yield from (("Q", pair) for pair in decomposeQuadraticSegment(points))
    elif verb != "endPath":
        yield {"moveTo": "M", "lineTo": "L", "closePath": "Z"}[verb], points


@lru_cache(maxsize=2)
def _load_face(bold: bool) -> tuple[dict[str, list[_Glyph]], int]:
    """Glyphs by the letters of their commands, and the most commands that a glyph has."""
    by_letters: dict[str, list[_Glyph]] = {}
    for code in sorted(_load_font(bold)[1]):
        glyph = _load_glyph(bold, chr(code))
        if glyph.outline.letters:
            by_letters.setdefault(glyph.outline.letters, []).append(glyph)
    return by_letters, max(map(len, by_letters))
