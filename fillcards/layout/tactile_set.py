"""The raised pages of one fill: words, key, barrel, close-ups, each page headed by the fill's name and its number.

Everything is placed from the corner of the live area, one thing below the other; nothing is made smaller to fit.
"""

from __future__ import annotations

from collections.abc import Set
from fractions import Fraction
from typing import Final

from fillcards.card.model import Band, Block, Card, FillSheets, Heading, Paragraph, Stop, Weight, WriteIn
from fillcards.catalogue.model import Paper
from fillcards.layout.tactile_page import MARGIN_MM, Entry, make_key_entry, make_picture_entry, make_text_entry
from fillcards.picture.items import Item, Line
from fillcards.picture.tactile_barrel import draw_piece
from fillcards.picture.tactile_frame import RaisedDrawing, RaisedStop
from fillcards.picture.tactile_marks import draw_stop_line, draw_texture
from fillcards.picture.tactile_pieces import Piece, TactileTooSmall, choose_close_up, choose_pieces
from fillcards.picture.tactile_style import SCALE_LINE_MM, STOP_MM, TactileStyle
from fillcards.plan.model import Draw, FillPlan
from fillcards.problems import InternalFault
from fillcards.quantities import write_number
from fillcards.regimen.model import Syringe
from fillcards.wording.braille import Translate
from fillcards.wording.english import spoken, tactile

SAMPLE_WIDTH_MM: Final = 34.0
SAMPLE_HEIGHT_MM: Final = 17.0
_MOST_TITLE_LINES: Final = 9


class SetBuilder:
    """Builds the pages of one fill. Entries are placed one below the other, each page headed by its name."""

    def __init__(
        self, fill: FillSheets, card: Card, paper: Paper, style: TactileStyle, translate: Translate, count: int
    ) -> None:
        self._sheets = fill
        self._band = card.band
        self._style = style
        self._translate = translate
        self._count = count
        self._width_mm = float(paper.width_mm) - 2 * MARGIN_MM
        self._height_mm = float(paper.height_mm) - 2 * MARGIN_MM
        self._pages: list[list[Entry]] = []
        self._y_mm = 0.0

    def build(self) -> tuple[tuple[Entry, ...], ...]:
        """Every page.

        Raises:
            TactileTooSmall: the paper cannot hold the scale enlarged enough.
            BrailleTooWide: nor a word.
        """
        plan, syringe = self._sheets.barrels.fill, self._sheets.barrels.syringe
        self._begin_page(tactile.NOTICE)
        for text in _list_words(self._sheets.front):
            self._add_text(text)
        stops = tuple(
            RaisedStop(draw.stop_line, index == len(plan.draws) - 1, self._translate(self._write_mark(index, plan)))
            for index, draw in enumerate(plan.draws)
        )
        pieces = self._choose_pieces(syringe, tuple(stop.value for stop in stops))
        drawings = tuple(self._draw(piece, stops, syringe, has_textures=True) for piece in pieces)
        self._add_key(plan, syringe, stops, pieces[0].every, {index for each in drawings for index in each.textures})
        for piece, drawing in zip(pieces, drawings, strict=True):
            self._begin_page()
            self._add_text(_write_title(piece, syringe))
            self._add_drawing(drawing, piece, stops)
        for index, draw in enumerate(plan.draws):
            self._begin_page()
            piece, title = self._choose_close_up(index, draw, plan, syringe)
            self._add_text(title)
            own = (stops[index],)
            self._add_drawing(self._draw(piece, own, syringe, has_textures=False), piece, own)
        return tuple(tuple(page) for page in self._pages)

    def _choose_pieces(self, syringe: Syringe, stops: tuple[Fraction, ...]) -> tuple[Piece, ...]:
        """As large as the room under their longest title allows."""
        for title_lines in range(1, _MOST_TITLE_LINES):
            pieces = choose_pieces(syringe, stops, self._style, self._measure_room_mm(title_lines))
            if max(self._count_lines(_write_title(piece, syringe)) for piece in pieces) <= title_lines:
                return pieces
        raise InternalFault("a title that never fits")

    def _choose_close_up(self, index: int, draw: Draw, plan: FillPlan, syringe: Syringe) -> tuple[Piece, str]:
        for title_lines in range(1, _MOST_TITLE_LINES):
            piece = choose_close_up(syringe, draw, self._style, self._measure_room_mm(title_lines))
            title = tactile.write_close_up_title(index, plan, syringe, _write_times(piece, syringe))
            if self._count_lines(title) <= title_lines:
                return piece, title
        raise InternalFault("a title that never fits")

    def _begin_page(self, first_words: str | None = None) -> None:
        self._pages.append([])
        self._y_mm = 0.0
        if first_words:
            self._add_text(first_words)
        name = tactile.write_page_name(self._sheets.name, len(self._pages), self._count)
        self._add_head(name, "H1" if len(self._pages) == 1 else None)
        if self._band and not first_words:
            self._add_head(self._band, None)

    def _add_head(self, text: str, role: str | None) -> None:
        """At the top of a page; without a role a repeat."""
        entry = make_text_entry(self._translate(text), text, self._style, self._width_mm, role)
        self._add(entry, entry.line_count * self._style.line_mm)

    def _add_text(self, text: str) -> None:
        entry = make_text_entry(self._translate(text), text, self._style, self._width_mm, "P")
        if self._y_mm + entry.height_mm > self._height_mm:
            self._begin_page()
        self._add(entry, entry.line_count * self._style.line_mm)

    def _add(self, entry: Entry, advance_mm: float) -> None:
        if self._y_mm + entry.height_mm > self._height_mm:
            raise TactileTooSmall(
                f"a piece of {entry.height_mm:.0f} mm, on {self._height_mm - self._y_mm:.0f} mm of room"
            )
        self._pages[-1].append(entry.move(0.0, self._y_mm))
        self._y_mm += advance_mm

    def _count_lines(self, text: str) -> int:
        return make_text_entry(self._translate(text), text, self._style, self._width_mm, "P").line_count

    def _measure_room_mm(self, title_lines: int) -> float:
        """Height for a picture on a page that has nothing but its head and a title."""
        name = tactile.write_page_name(self._sheets.name, self._count, self._count)
        lines = title_lines + sum(self._count_lines(text) for text in (name, self._band) if text)
        return self._height_mm - lines * self._style.line_mm - self._gap_after_text_mm

    @property
    def _gap_after_text_mm(self) -> float:
        """Lines of braille have white below them already."""
        return max(0.0, self._style.gap_mm - (self._style.line_mm - self._style.cell_height_mm))

    def _write_mark(self, index: int, plan: FillPlan) -> str:
        """Beside raised digits there is no room for more than the number; the kind of line says which stop it is."""
        if self._style.raised_digits:
            return write_number(plan.draws[index].stop_line)
        return tactile.write_mark(index, plan)

    def _draw(
        self, piece: Piece, stops: tuple[RaisedStop, ...], syringe: Syringe, *, has_textures: bool
    ) -> RaisedDrawing:
        return draw_piece(
            syringe, piece, stops, self._style, self._translate, self._width_mm, has_textures=has_textures
        )

    def _add_drawing(self, drawing: RaisedDrawing, piece: Piece, stops: tuple[RaisedStop, ...]) -> None:
        marks = tuple(
            " ".join(word.print for word in stop.words) for stop in stops if piece.first <= stop.value <= piece.last
        )
        self._y_mm += self._gap_after_text_mm
        self._add(
            make_picture_entry(drawing, tactile.write_picture_alt(piece.first, piece.last, marks)), drawing.height_mm
        )

    def _add_key(
        self,
        plan: FillPlan,
        syringe: Syringe,
        stops: tuple[RaisedStop, ...],
        numbered_every: Fraction,
        textures: Set[int],
    ) -> None:
        """What each kind of line and texture means, beside a sample of it; on a page of its own, to lie by others."""
        self._begin_page()
        for text in (tactile.KEY, tactile.write_how_to_hold(plan.first.medicine), tactile.LEFT_OUT):
            self._add_text(text)
        self._y_mm += self._gap_after_text_mm
        style, width_mm = self._style, SAMPLE_WIDTH_MM
        rows: list[tuple[str, tuple[Item, ...], float]] = []
        for index, stop in enumerate(stops):
            sample = draw_stop_line(0.0, width_mm, STOP_MM / 2, is_final=stop.is_final, style=style)
            rows.append((tactile.write_key_line(index, plan, syringe), sample, STOP_MM))
        line = Line(0.0, SCALE_LINE_MM / 2, width_mm / 2, SCALE_LINE_MM / 2, SCALE_LINE_MM)
        rows.append((tactile.write_key_short(numbered_every, plan, syringe), (line,), SCALE_LINE_MM))
        for index in sorted(textures):
            sample_items = draw_texture(index, 0.0, 0.0, width_mm, SAMPLE_HEIGHT_MM, style)
            rows.append((tactile.write_key_pattern(index, plan), sample_items, SAMPLE_HEIGHT_MM))
        for text, items, height_mm in rows:
            entry = make_key_entry(self._translate(text), text, items, (width_mm, height_mm), style, self._width_mm)
            if self._y_mm + entry.height_mm > self._height_mm:
                self._begin_page()
                self._y_mm += self._gap_after_text_mm
            self._add(entry, entry.height_mm + style.gap_mm)


def _write_title(piece: Piece, syringe: Syringe) -> str:
    return tactile.write_picture_title(piece.first, piece.last, _write_times(piece, syringe))


def _write_times(piece: Piece, syringe: Syringe) -> str:
    return tactile.write_times(piece.magnification, is_measured=syringe.scale_length_mm is not None)


def _list_words(front: tuple[Block, ...]) -> tuple[str, ...]:
    """Page one of the card in sentences: warnings, then the stops, then the facts, so that the stops are not parted.

    The name of the fill stands at the top of the page already.
    """
    warnings: list[str] = []
    stops: list[str] = []
    facts: list[str] = []
    for block in front:
        match block:
            case Heading(level=1):
                pass
            case Band() | Paragraph(weight=Weight.STRONG):
                (facts if stops else warnings).append(block.text)
            case Heading() | Paragraph():
                facts.append(block.text)
            case Stop():
                stops.append(_write_stop_words(block))
            case WriteIn():
                facts += [f"{label}: {spoken.TO_FILL_IN}" for label in block.labels]
            case _:
                raise InternalFault(f"a {type(block).__name__} stands on page one")
    return (*warnings, *stops, *facts)


def _write_stop_words(stop: Stop) -> str:
    amount = spoken.write_stop_amount(stop.figure, stop.unit)
    said = f"{stop.label}: {stop.medicine}. {amount[0].upper()}{amount[1:]}, {spoken.IN_WORDS} {stop.words}."
    return " ".join((said, *stop.count, *((f"{stop.addition}.",) if stop.addition else ())))
