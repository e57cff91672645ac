"""A placed page as PDF page content: the operators for its items, and the marks around them.

Operators are written as text and a graphics state operator only where the state changes, which is many times faster
than a call for each stroke. In: mm, y downward from the top of the page. Out: points, y upward from the foot
(ISO 32000-1, 8.3), to a thousandth of a point, a third of a micrometre. Knows nothing of the structure tree but the
role to write beside each mark.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import zip_longest
from typing import Final, NamedTuple

from fillcards.layout.model import Page, Placed
from fillcards.output.page_items import find_left_mm, follows, require_inside
from fillcards.output.pdf_file import escape_literal, write_text_string
from fillcards.output.pdf_fonts import CardFonts, list_signs
from fillcards.picture.items import Dot, Ink, Item, Line, Polygon, Text
from fillcards.problems import InternalFault
from fillcards.typeface import measure_width_mm
from fillcards.typeface.direction import is_right_to_left
from fillcards.typeface.faces import Face
from fillcards.typeface.segments import is_plain, place_segments
from fillcards.typeface.shaping import measure_glyph_em

PT_PER_MM: Final = 72 / 25.4

BUTT_CAP: Final = 0
ROUND_CAP: Final = 1
"""Ends of strokes (ISO 32000-1, table 54)."""

SAME_PLACE_MM: Final = 1e-6
"""A glyph that stands where the one before it ends goes on in the same string."""

_ARTIFACT_OF_WORDS: Final = "/Artifact<</Type/Pagination>>BDC"
_ARTIFACT: Final = "/Artifact<</Type/Layout>>BDC"


class PageContent(NamedTuple):
    """The operators of one page, and the mark behind each marked-content number, which counts from 0 on each page."""

    operators: bytes
    marks: tuple[int, ...]


def measure_page_pt(page: Page) -> tuple[float, float]:
    """Width and height of the paper in points, as the file states them."""
    return round(page.width_mm * PT_PER_MM, 3), round(page.height_mm * PT_PER_MM, 3)


def write_page_content(page: Page, fonts: CardFonts, role_of: Mapping[int, str]) -> PageContent:
    """The page's operators.

    Args:
        page: what stands where.
        fonts: gives each run its font and codes.
        role_of: the structure role each mark belongs to.

    Raises:
        InternalFault: for an item off the paper, without ink or without extent, or a mark without a role. Outputs
            draw what they are given or nothing at all.
    """
    writer = _PageWriter(page, fonts)
    marks: list[int] = []
    for group in _group_by_mark(page):
        mark = group[0].mark
        if mark is None:
            has_words = any(isinstance(item, Text) for placed in group for item in placed.items)
            writer.append(_ARTIFACT_OF_WORDS if has_words else _ARTIFACT)
        elif mark in role_of:
            writer.append(f"/{role_of[mark]}<</MCID {len(marks)}>>BDC")
            marks.append(mark)
        else:
            raise InternalFault(f"mark {mark} stands on a page and not in the structure tree")
        for placed in group:
            writer.draw(placed.items, is_read=mark is not None)
        writer.append("EMC")
    return PageContent(writer.write(), tuple(marks))


def _group_by_mark(page: Page) -> list[list[Placed]]:
    """Neighbours in paint order with the same mark, such as the lines of a paragraph, are one piece of content."""
    groups: list[list[Placed]] = []
    for placed in page.placed:
        if groups and placed.mark is not None and groups[-1][0].mark == placed.mark:
            groups[-1].append(placed)
        else:
            groups.append([placed])
    return groups


class _PageWriter:
    """Appends operators and remembers the graphics state; a page begins with the defaults of ISO 32000-1, 8.4.1."""

    def __init__(self, page: Page, fonts: CardFonts) -> None:
        self._page = page
        self._fonts = fonts
        self._height_pt = measure_page_pt(page)[1]
        self._lines: list[str] = []
        self.append = self._lines.append
        self._stroke_ink = Ink.BLACK
        self._fill_ink = Ink.BLACK
        self._width_mm = 1 / PT_PER_MM
        self._dash_mm: tuple[float, ...] = ()
        self._cap = BUTT_CAP
        self._font = ("", 0.0)

    def write(self) -> bytes:
        return "\n".join(self._lines).encode("latin-1")

    def draw(self, items: tuple[Item, ...], *, is_read: bool) -> None:
        for item, following in zip_longest(items, items[1:]):
            require_inside(item, self._page.width_mm, self._page.height_mm)
            match item:
                case Line():
                    self._draw_line(item)
                case Text():
                    goes_on = isinstance(following, Text) and follows(following, item)
                    self._draw_text(item, _part_from_next(item.text) if is_read and not goes_on else item.text)
                case Polygon():
                    self._draw_polygon(item)
                case Dot():
                    self._draw_dot(item)

    def _draw_line(self, line: Line) -> None:
        self._set_stroke(line.width_mm, line.ink, line.dash_mm)
        top = self._height_pt
        self.append(
            f"{line.x1_mm * PT_PER_MM:.3f} {top - line.y1_mm * PT_PER_MM:.3f} m "
            f"{line.x2_mm * PT_PER_MM:.3f} {top - line.y2_mm * PT_PER_MM:.3f} l S"
        )

    def _draw_polygon(self, polygon: Polygon) -> None:
        if polygon.fill is None and not polygon.outline_mm:
            raise InternalFault("a polygon with neither fill nor outline")
        if len(polygon.points_mm) < 3:
            raise InternalFault("a polygon of fewer than three points")
        if polygon.fill is not None:
            self._set_fill(polygon.fill)
        if polygon.outline_mm:
            self._set_stroke(polygon.outline_mm, polygon.ink, ())
        top = self._height_pt
        corners = [f"{x_mm * PT_PER_MM:.3f} {top - y_mm * PT_PER_MM:.3f}" for x_mm, y_mm in polygon.points_mm]
        paint = "s" if polygon.fill is None else "b" if polygon.outline_mm else "h f"
        self.append(f"{corners[0]} m {' l '.join(corners[1:])} l {paint}")

    def _draw_dot(self, dot: Dot) -> None:
        if not dot.diameter_mm > 0:
            raise InternalFault(f"a dot of {dot.diameter_mm} mm")
        # A stroke of no length with round ends paints a disc (ISO 32000-1, 8.5.3.2): a quarter of the bytes of four
        # curves, and a filling has hundreds.
        self._set_stroke(dot.diameter_mm, dot.ink, (), ROUND_CAP)
        place = f"{dot.x_mm * PT_PER_MM:.3f} {self._height_pt - dot.y_mm * PT_PER_MM:.3f}"
        self.append(f"{place} m {place} l S")

    def _draw_text(self, text: Text, drawn: str) -> None:
        if not text.text:
            return
        left_mm = find_left_mm(text)
        self._set_fill(text.ink)
        if is_plain(text.text, text.bold, text.language):
            self._draw_plain(drawn, left_mm, self._height_pt - text.y_mm * PT_PER_MM, text)
        else:
            self._draw_mixed(text, drawn, left_mm)

    def _draw_mixed(self, text: Text, drawn: str, left_mm: float) -> None:
        """Word by word in the faces that have them, in the order they are read, for programs that read the content and
        not the places.
        """
        y_pt, size_mm = self._height_pt - text.y_mm * PT_PER_MM, text.size_pt / PT_PER_MM
        words = text.text if is_right_to_left(text.language) else drawn
        for (part, face), start_em in place_segments(words, text.bold, text.language):
            x_mm = left_mm + start_em * size_mm
            if face is None or (face.is_right_to_left and part.isspace()):
                self._draw_plain(part, x_mm, y_pt, text)
            else:
                self._draw_word(part, face, x_mm, y_pt, text)
        if words != drawn:  # what parts it from the next run, which stands at its left
            space = drawn.removeprefix(words)
            self._draw_plain(space, left_mm - measure_width_mm(space, text.size_pt, text.bold), y_pt, text)

    def _draw_word(self, word: str, face: Face, x_mm: float, y_pt: float, text: Text) -> None:
        """Glyphs of another face; shaped ones with the word that they are."""
        size_mm, font = text.size_pt / PT_PER_MM, self._fonts.others[face, text.bold]
        pieces: list[str] = []
        place: tuple[float, float] | None = None
        for sign, glyph in list_signs(word, face, text.bold):
            at = x_mm + glyph.right * size_mm, glyph.up * text.size_pt
            if place is None or not (abs(at[0] - place[0]) < SAME_PLACE_MM and at[1] == place[1]):
                pieces.append(f"> Tj 1 0 0 1 {at[0] * PT_PER_MM:.3f} {y_pt + at[1]:.3f} Tm <")
            pieces.append(font.encode(sign))
            place = at[0] + measure_glyph_em(face, text.bold, glyph.number) * size_mm, at[1]
            x_mm += glyph.advance * size_mm
        shown = "".join(pieces).removeprefix("> Tj ")
        operators = f"BT {self._choose_font(font.name, text.size_pt)}{shown}> Tj ET"
        if face.is_shaped:
            operators = f"/Span<</ActualText{write_text_string(word)}>>BDC {operators} EMC"
        self.append(operators)

    def _draw_plain(self, part: str, x_mm: float, y_pt: float, text: Text) -> None:
        place = f"{x_mm * PT_PER_MM:.3f} {y_pt:.3f} Td "
        shown = []
        for name, codes in self._fonts.encode_run(part, text.bold):
            shown.append(f"{self._choose_font(name, text.size_pt)}{place}({escape_literal(codes)}) Tj")
            place = ""
        self.append(f"BT {' '.join(shown)} ET")

    def _choose_font(self, name: str, size_pt: float) -> str:
        if self._font == (name, size_pt):
            return ""
        self._font = (name, size_pt)
        return f"/{name} {size_pt:g} Tf "

    def _set_stroke(self, width_mm: float, ink: Ink, dash_mm: tuple[float, ...], cap: int = BUTT_CAP) -> None:
        if width_mm != self._width_mm:
            if not width_mm > 0:
                raise InternalFault(f"a line {width_mm} mm wide")
            self._width_mm = width_mm
            self.append(f"{width_mm * PT_PER_MM:.3f} w")
        if ink is not self._stroke_ink:
            self._stroke_ink = ink
            self.append(f"{ink.value:.5g} G")
        if dash_mm != self._dash_mm:
            if not all(length > 0 for length in dash_mm):
                raise InternalFault(f"a line dashed {dash_mm} mm")
            self._dash_mm = dash_mm
            self.append(f"[{' '.join(f'{length * PT_PER_MM:.3f}' for length in dash_mm)}] 0 d")
        if cap != self._cap:
            self._cap = cap
            self.append(f"{cap} J")

    def _set_fill(self, ink: Ink) -> None:
        if ink is not self._fill_ink:
            self._fill_ink = ink
            self.append(f"{ink.value:.5g} g")


def _part_from_next(text: str) -> str:
    """A run of text with a space at its end, unless it ends in a space or a hyphen.

    The words at the end of one line and the start of the next would be one word to a program that reads the content
    and not the places (ISO 32000-1, 14.8.2.5). The space leaves no ink.
    """
    return text if text.endswith((" ", "-", "\N{EN DASH}")) else f"{text} "
