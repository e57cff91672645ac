"""Drawings and pages as SVG in true size: width and height in mm on the root, plain numbers in mm inside.

Text is drawn as outlines, so no other face can take its place; its words stand in ``desc`` for whoever does not see.
No patterns, no units inside, no references between elements: several of these files may stand in one page of html.
Reference: SVG 1.1 (Second Edition), 5.1.2 and 7.10.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Final, TypeAlias

from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.output.glyph_outlines import DECIMALS, write_run_path
from fillcards.output.words import join_runs
from fillcards.picture.items import Anchor, Dot, Drawing, Ink, Item, Line, Polygon, Text
from fillcards.problems import InternalFault
from fillcards.typeface import measure_width_mm

if TYPE_CHECKING:
    from svgwrite import Drawing as SvgDrawing

_SHARE_LEFT_OF: Final = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}

Inks: TypeAlias = Mapping[Ink, str]

PAPER_INKS: Final[Inks] = {ink: "#" + f"{round(ink.value * 255):02x}" * 3 for ink in Ink}
SCREEN_INKS: Final[Inks] = {Ink.BLACK: "currentColor", Ink.GREY: "currentColor", Ink.WHITE: "Canvas"}
"""Of a picture inside a page: the colours of the page, whatever the reader's mode makes of them."""


def write_drawing_svg(drawing: Drawing, title: str, desc: str = "") -> bytes:
    """A drawing as an SVG file.

    Args:
        drawing: in mm.
        title: a short name, read first.
        desc: the words that replace the picture; left out, the words drawn in it.

    Raises:
        InternalFault: if an item leaves the drawing's box or a character has no glyph.
        OutputError: if the typeface's files are missing.
    """
    words = desc or " ".join(join_runs(item for item in drawing.items if isinstance(item, Text)))
    return _write(drawing.width_mm, drawing.height_mm, drawing.items, title, words, "en")


def write_inline_svg(drawing: Drawing, title: str) -> str:
    """A drawing as an element for a page of html, in the page's own colours, on no paper of its own.

    Args:
        drawing: in mm.
        title: the words that replace the picture.

    Raises:
        InternalFault: as for ``write_drawing_svg``.
        OutputError: if the typeface's files are missing.
    """
    svg = _make_root(drawing.width_mm, drawing.height_mm)
    svg.set_desc(title=title)
    return _fill_root(svg, drawing.width_mm, drawing.height_mm, drawing.items, SCREEN_INKS)


def write_svg(page: Page, card: PlacedCard | None = None) -> bytes:
    """One page as an SVG file on white paper.

    Args:
        page: what stands where.
        card: the card the page belongs to; gives title, language, the words that replace figures, and the order in
            which the page's words are described. Left out, they are described in the order of their marks.

    Raises:
        InternalFault: if an item stands off the paper or a character has no glyph.
        OutputError: if the typeface's files are missing.
    """
    items = tuple(item for placed in page.placed for item in placed.items)
    title = card.title if card else "Fill card"
    return _write(
        page.width_mm, page.height_mm, items, title, " ".join(_read_page(page, card)), card.language if card else "en"
    )


def _read_page(page: Page, card: PlacedCard | None) -> Iterator[str]:
    """The page's words in reading order."""
    words_of: dict[int, list[str]] = {}
    for placed in page.placed:
        if placed.mark is not None:
            words = words_of.setdefault(placed.mark, [])
            words += join_runs(item for item in placed.items if isinstance(item, Text))
    if card is None:
        for mark in sorted(words_of):
            yield from words_of[mark]
        return
    for mark, alt in _walk_marks(card.structure):
        if mark in words_of:
            yield from (words_of[mark] if alt is None else [alt])


def _walk_marks(element: Element) -> Iterator[tuple[int, str | None]]:
    for child in element.children:
        if isinstance(child, int):
            yield child, element.alt
        else:
            yield from _walk_marks(child)


def _write(width_mm: float, height_mm: float, items: Iterable[Item], title: str, desc: str, language: str) -> bytes:
    svg = _make_root(width_mm, height_mm)
    svg["xml:lang"] = language
    svg.set_desc(title=title, desc=desc or title)
    svg.add(svg.rect((0, 0), (_round(width_mm), _round(height_mm)), fill=PAPER_INKS[Ink.WHITE]))
    root = _fill_root(svg, width_mm, height_mm, items, PAPER_INKS)
    return f'<?xml version="1.0" encoding="utf-8"?>\n{root}\n'.encode()


def _make_root(width_mm: float, height_mm: float) -> SvgDrawing:
    from svgwrite import Drawing as SvgDrawing

    width, height = _round(width_mm), _round(height_mm)
    return SvgDrawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False, role="img")


def _fill_root(svg: SvgDrawing, width_mm: float, height_mm: float, items: Iterable[Item], inks: Inks) -> str:
    """The root as text, with its items. They hold no words and come by the thousand: to make a tree of them first takes
    longer than all the rest.
    """
    svg.add(svg.g())
    before, _, after = svg.tostring().rpartition("<g />")
    drawn: list[str] = []
    for item in items:
        _require_inside(item, width_mm, height_mm)
        drawn.append(_write_item(item, inks))
    return "".join((before, *drawn, after))


def _write_item(item: Item, inks: Inks) -> str:
    match item:
        case Line():
            dash = " ".join(str(_round(length)) for length in item.dash_mm or ())
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
            left_mm = item.x_mm - _measure_left_mm(item)
            outline = write_run_path(item.text, left_mm, item.y_mm, item.size_pt, item.bold, item.language)
            return f'<path d="{outline}" fill="{inks[item.ink]}" />'


def _require_inside(item: Item, width_mm: float, height_mm: float) -> None:
    """What lies outside the root is cut off by every reader, so it is refused here."""
    for x_mm, y_mm in _list_extremes(item):
        # Written so that a value that is not a number fails too.
        if not (-1e-6 <= x_mm <= width_mm + 1e-6 and -1e-6 <= y_mm <= height_mm + 1e-6):
            raise InternalFault(f"something stands outside the drawing, at ({x_mm}, {y_mm}) mm")


def _list_extremes(item: Item) -> tuple[tuple[float, float], ...]:
    match item:
        case Line():
            return (item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm)
        case Polygon():
            return item.points_mm
        case Dot():
            r_mm = item.diameter_mm / 2
            return (item.x_mm - r_mm, item.y_mm - r_mm), (item.x_mm + r_mm, item.y_mm + r_mm)
        case Text():
            left_mm = item.x_mm - _measure_left_mm(item)
            width_mm = measure_width_mm(item.text, item.size_pt, item.bold, item.language)
            return (left_mm, item.y_mm), (left_mm + width_mm, item.y_mm)


def _measure_left_mm(text: Text) -> float:
    """How much of a run lies left of its x."""
    share = _SHARE_LEFT_OF[text.anchor]
    return share * measure_width_mm(text.text, text.size_pt, text.bold, text.language) if share else 0.0


def _round(length_mm: float) -> float:
    return round(length_mm, DECIMALS)
