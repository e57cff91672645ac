"""Pages and pictures as SVG in true size: width and height in mm on the root, plain numbers in mm inside.

Text is drawn as outlines, so no other face can take its place; its words stand in ``desc`` for whoever does not see.
Quadratic curves are kept as they are in the font file; no kerning, as in the PDF and in ``typeface.measure_width_mm``.
No patterns, no units inside, no references between elements: several of these files may stand in one page of html.
Reference: SVG 1.1 (Second Edition), 5.1.2 and 7.10.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeAlias

from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.output.page_items import find_left_mm, join_runs, require_inside
from fillcards.picture.items import Dot, Drawing, Ink, Item, Line, Polygon, Text
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import find_font_file
from fillcards.typeface.faces import Face
from fillcards.typeface.segments import is_plain, place_segments
from fillcards.typeface.shaping import draw_glyph, set_word

if TYPE_CHECKING:
    from svgwrite import Drawing as SvgDrawing

Inks: TypeAlias = Mapping[Ink, str]

PAPER_INKS: Final[Inks] = {ink: "#" + f"{round(ink.value * 255):02x}" * 3 for ink in Ink}
SCREEN_INKS: Final[Inks] = {Ink.BLACK: "currentColor", Ink.GREY: "currentColor", Ink.WHITE: "Canvas"}
"""Of a picture inside a page: the colours of the page, whatever the reader's mode makes of them."""

DECIMALS: Final = 4
"""A ten-thousandth of a millimetre."""

_COMMANDS: Final = {"moveTo": "M", "lineTo": "L", "closePath": "Z"}

_Command = tuple[str, tuple[tuple[float, float], ...]]


def write_inline_svg(drawing: Drawing, title: str) -> str:
    """A drawing as an element for a page of html, in the page's own colours, on no paper of its own.

    Args:
        drawing: in mm.
        title: the words that replace the picture; ``""`` for an ornament.

    Raises:
        InternalFault: if an item leaves the drawing's box or a character has no glyph.
        OutputError: if the typeface's files are missing.
    """
    svg = _make_root(drawing.width_mm, drawing.height_mm)
    svg.set_desc(title=title or None)
    return _fill_root(svg, drawing, SCREEN_INKS)


def write_svg(page: Page, card: PlacedCard) -> bytes:
    """One page as an SVG file on white paper.

    Args:
        page: what stands where.
        card: the card the page belongs to; gives title, language, the words that replace figures, and the order in
            which the page's words are described.

    Raises:
        InternalFault: if an item stands off the paper or a character has no glyph.
        OutputError: if the typeface's files are missing.
    """
    svg = _make_root(page.width_mm, page.height_mm)
    svg["xml:lang"] = card.language
    svg.set_desc(title=card.title, desc=" ".join(_read_page(page, card.structure)) or card.title)
    svg.add(svg.rect((0, 0), (_round(page.width_mm), _round(page.height_mm)), fill=PAPER_INKS[Ink.WHITE]))
    items = tuple(item for placed in page.placed for item in placed.items)
    root = _fill_root(svg, Drawing(page.width_mm, page.height_mm, items), PAPER_INKS)
    return f'<?xml version="1.0" encoding="utf-8"?>\n{root}\n'.encode()


def _read_page(page: Page, structure: Element) -> Iterator[str]:
    """The page's words in reading order."""
    words_of: dict[int, list[str]] = {}
    for placed in page.placed:
        if placed.mark is not None:
            words_of.setdefault(placed.mark, []).extend(join_runs(placed.items))
    for mark, alt in _walk_marks(structure):
        if mark in words_of:
            yield from (words_of[mark] if alt is None else [alt])


def _walk_marks(element: Element) -> Iterator[tuple[int, str | None]]:
    for child in element.children:
        if isinstance(child, int):
            yield child, element.alt
        else:
            yield from _walk_marks(child)


def _make_root(width_mm: float, height_mm: float) -> SvgDrawing:
    from svgwrite import Drawing as SvgDrawing

    width, height = _round(width_mm), _round(height_mm)
    return SvgDrawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False, role="img")


def _fill_root(svg: SvgDrawing, drawing: Drawing, inks: Inks) -> str:
    """The root as text, with the drawing's items. They hold no words and come by the thousand: to make a tree of them
    first takes longer than all the rest.
    """
    svg.add(svg.g())
    before, _, after = svg.tostring().rpartition("<g />")
    drawn: list[str] = []
    for item in drawing.items:
        require_inside(item, drawing.width_mm, drawing.height_mm)
        drawn.append(_write_item(item, inks))
    return "".join((before, *drawn, after))


def _write_item(item: Item, inks: Inks) -> str:
    match item:
        case Line():
            dash = " ".join(str(_round(length)) for length in item.dash_mm)
            dashed = f' stroke-dasharray="{dash}"' if dash else ""
            ends = [_round(end) for end in (item.x1_mm, item.x2_mm, item.y1_mm, item.y2_mm)]
            at = 'x1="{}" x2="{}" y1="{}" y2="{}"'.format(*ends)
            return f'<line stroke="{inks[item.ink]}"{dashed} stroke-width="{_round(item.width_mm)}" {at} />'
        case Polygon():
            points = " ".join([f"{_round(x)},{_round(y)}" for x, y in item.points_mm])
            outline = f' stroke="{inks[item.ink]}" stroke-width="{_round(item.outline_mm)}"' if item.outline_mm else ""
            return f'<polygon fill="{inks[item.fill] if item.fill else "none"}" points="{points}"{outline} />'
        case Dot():
            at = f'cx="{_round(item.x_mm)}" cy="{_round(item.y_mm)}"'
            return f'<circle {at} fill="{inks[item.ink]}" r="{_round(item.diameter_mm / 2)}" />'
        case Text():
            outline = write_run_path(item.text, find_left_mm(item), item.y_mm, item.size_pt, item.bold, item.language)
            return f'<path d="{outline}" fill="{inks[item.ink]}" />'


def _round(length_mm: float) -> float:
    return round(length_mm, DECIMALS)


@lru_cache(maxsize=512)  # of a card that is shown again after each key, most words stay where they were
def write_run_path(
    text: str, left_mm: float, baseline_mm: float, size_pt: float, bold: bool, language: str = "en"
) -> str:
    """SVG path data of one run of text, y downward: where each contour begins on the page, and from there on by steps.

    Args:
        text: the run.
        left_mm: where its first glyph's origin stands.
        baseline_mm: height of the baseline.
        size_pt: size of type.
        bold: which weight.
        language: chooses the face of words that several have.

    Raises:
        InternalFault: if a character has no glyph; coverage is checked long before.
        OutputError: if the typeface's files are missing.
    """
    if is_plain(text, bold, language):
        return _write_plain(text, left_mm, baseline_mm, size_pt, bold)
    size_mm = convert_pt_to_mm(size_pt)
    pieces: list[str] = []
    for (part, face), start_em in place_segments(text, bold, language):
        x_mm = left_mm + start_em * size_mm
        if face is None:
            pieces.append(_write_plain(part, x_mm, baseline_mm, size_pt, bold))
            continue
        for glyph in set_word(part, face, bold):
            place = x_mm + glyph.right * size_mm, baseline_mm - glyph.up * size_mm
            pieces.append(_write_contours(_size_other(face, bold, glyph.number, size_mm), *place))
            x_mm += glyph.advance * size_mm
    return "".join(pieces)


def _write_plain(text: str, left_mm: float, baseline_mm: float, size_pt: float, bold: bool) -> str:
    """A run in Fillcards Text."""
    size_mm, x_mm = convert_pt_to_mm(size_pt), left_mm
    pieces: list[str] = []
    for character in text:
        contours, advance_mm = _size_glyph(bold, character, size_mm)
        pieces.append(_write_contours(contours, x_mm, baseline_mm))
        x_mm += advance_mm
    return "".join(pieces)


class _Contour(NamedTuple):
    """Where a contour begins, right of its glyph's origin and below it, and its path data from there."""

    x_mm: float
    y_mm: float
    steps: str


def _write_contours(contours: Iterable[_Contour], x_mm: float, y_mm: float) -> str:
    return "".join([f"M{x_mm + x:.{DECIMALS}f} {y_mm + y:.{DECIMALS}f} {steps}" for x, y, steps in contours])


@lru_cache(maxsize=4096)
def _size_glyph(bold: bool, character: str, size_mm: float) -> tuple[tuple[_Contour, ...], float]:
    """A glyph of Fillcards Text in one size, and its advance in mm."""
    commands, advance = _record_glyph(bold, character)
    scale = size_mm / _load_glyphs(bold)[2]
    return tuple(_list_contours(commands, scale)), advance * scale


@lru_cache(maxsize=4096)
def _size_other(face: Face, bold: bool, number: int, size_mm: float) -> tuple[_Contour, ...]:
    """A glyph of another face in one size."""
    return tuple(_list_contours(draw_glyph(face, bold, number), size_mm))


def _list_contours(commands: Iterable[_Command], scale: float) -> Iterator[_Contour]:
    """Contours of a glyph in that size. Steps lead from one rounded point to the next, so that no error adds up."""
    start, at, steps = (0.0, 0.0), (0.0, 0.0), list[str]()
    for letter, points in commands:
        if letter == "M":
            start, at, steps = points[0], (0.0, 0.0), []
        elif letter == "Z":
            yield _Contour(start[0] * scale, -start[1] * scale, "".join((*steps, "z")))
        else:
            places = [(_round((x - start[0]) * scale), _round((start[1] - y) * scale)) for x, y in points]
            numbers = [_round(to - since) for place in places for to, since in zip(place, at, strict=True)]
            steps.append(letter.lower() + " ".join([f"{number:.7g}" for number in numbers]))
            at = places[-1]


@lru_cache(maxsize=2)
def _load_glyphs(bold: bool) -> tuple[Any, dict[int, str], float]:
    """The face's glyphs, the glyph name of each character, and its units to the em."""
    from fontTools.ttLib import TTFont

    font = TTFont(find_font_file(bold), lazy=True)
    return font.getGlyphSet(), font.getBestCmap(), float(font["head"].unitsPerEm)


@lru_cache(maxsize=512)
def _record_glyph(bold: bool, character: str) -> tuple[tuple[_Command, ...], float]:
    """A glyph's outline in font units, and its advance. A TrueType run of off-curve points has its
    on-curve points halfway between.
    """
    from fontTools.pens.basePen import decomposeQuadraticSegment
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    glyphs, name_of, _ = _load_glyphs(bold)
    glyph = glyphs[name_of[ord(character)]]
    pen = DecomposingRecordingPen(glyphs)
    glyph.draw(pen)
    commands: list[_Command] = []
    for verb, points in pen.value:
        if verb == "qCurveTo":
            commands += [("Q", pair) for pair in decomposeQuadraticSegment(points)]
        else:
            commands.append((_COMMANDS[verb], points))
    return tuple(commands), float(glyph.width)
