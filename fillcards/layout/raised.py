"""Raised pages: a whole barrel with its stops, a close-up of each, and one key for all; braille, and print beside it.

Every page says whose it is, which fill, that it was checked or not, and the card code. Braille and textures are paint;
a program that reads aloud gets the print, and words for each picture. Millimetres at scale exactly 1.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import chain
from typing import Final

from fillcards.card.model import Card, FillCard, Panel, WriteIn
from fillcards.catalogue.model import Paper
from fillcards.layout.grid import EASE_MM, At, Piece, beside, flow, paint, put, stack
from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.layout.search import NoRoom
from fillcards.layout.sections import Section, join_sections, refuse
from fillcards.layout.setter import Setter
from fillcards.layout.styles import MARGIN_MM
from fillcards.picture.items import Dot, Drawing, Line
from fillcards.picture.kit import Region, enclose, fill, point_up
from fillcards.picture.pen import make_raised_pen
from fillcards.picture.scale_view import BORE, BarrelDrawing, Side, StopMark, choose_window, draw_barrel, draw_close_up
from fillcards.picture.scene import Filling
from fillcards.picture.signs import draw_sign
from fillcards.picture.tactile_style import TactileStyle, draw_cells
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import BarrelDirection
from fillcards.wording.braille import BLANK, BrailleTooWide, Translate, part_words, wrap_words
from fillcards.wording.messages import Say, say

STYLE_NAME: Final = "raised"
PRINT_PT: Final = 14.0
CORNER_MM: Final = 11.0
SIGN_GAP_MM: Final = 2.0
"""Between the cut corner and the sign of the time of day, which is as wide as that."""
SAMPLE_MM: Final = (34.0, 20.0)
BORE_SHARES: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Widths of a close-up's barrel that are tried, from the pen's widest to its least."""
MOST_TRIALS: Final = 6
"""Of the size of a picture, to be as tall as its room."""
CLOSE_UP_GAPS: Final = (6, 11)
FEWER_GAPS: Final = (5, 6)
WINDOW_ENDS_MM: Final = 2.0
"""For each line of a window, what goes to the walls past its ends; about."""
KEY: Final = say("raised-key")


def place_raised(card: Card, paper: Paper, style: TactileStyle, translate: Translate) -> PlacedCard:
    """The raised pages of every fill, then the key.

    Args:
        card: what it says.
        paper: letter or a4.
        style: medium and sizes.
        translate: makes braille.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if a scale enlarged enough for a finger does not fit on the page,
            ``BRAILLE-00x`` for what braille cannot say.
    """
    maker = _Maker(card, paper, style, translate)
    try:
        made = [(fill.title, list(maker.list_fill(fill))) for fill in card.fills]
        made.append((KEY, list(maker.list_key())))
    except BrailleTooWide as error:
        raise refuse(f"a raised page: {error}") from error
    fills = (*card.fills, None)
    sections = (maker.make_section(*each, fill) for each, fill in zip(made, fills, strict=True))
    return join_sections(maker.setter, card, sections)


class _Maker:
    """Makes the pages of one card."""

    def __init__(self, card: Card, paper: Paper, style: TactileStyle, translate: Translate) -> None:
        self.setter = Setter(card.language)
        self._card, self._style, self._translate = card, style, translate
        self._width_mm, self._height_mm = float(paper.width_mm), float(paper.height_mm)
        self._live_mm = self._width_mm - 2 * MARGIN_MM
        self._pen = make_raised_pen(style, self._write_braille)

    def list_fill(self, card: FillCard) -> Iterator[Piece]:
        """The whole barrel with its stops, then a close-up of each."""
        room_mm = self._measure_room_mm(card.title)
        yield self._fit(partial(self._draw_whole, card), room_mm, card.both or card.panels[0].alt)
        for panel in card.panels:
            words = self._write_lines(panel.count, self._live_mm)
            left_mm = room_mm - words.height_mm - self._style.gap_mm
            close = self._fit_close(panel, left_mm)
            yield stack((words, close), self._style.gap_mm)

    def list_key(self) -> Iterator[Piece]:
        """What each texture and line means, beside a sample of it: on one page, with large cells on as many as needed.

        Raises:
            RegimenRefused: a row is taller than a page.
        """
        rows: list[Piece] = []
        for message, filling in (("raised-slanted", Filling.FIRST), ("raised-dots", Filling.SECOND)):
            region = Region(0.0, SAMPLE_MM[1], 0.0, SAMPLE_MM[0])
            drawing, _, _ = enclose(list(fill(point_up(), filling, region, self._pen)))
            rows.append(self._set_key_row(say(message), drawing))
        bar = Line(0.0, 0.0, SAMPLE_MM[0], 0.0, self._pen.stop_mm)
        is_oral = self._card.fills[0].panels[0].barrel.syringe.is_oral
        edge = say("raised-edge-mouth" if is_oral else "raised-edge")
        rows.append(self._set_key_row(edge, enclose([bar])[0]))
        rows.append(self._write_lines(say("raised-enlarged"), self._live_mm))
        room_mm, gap_mm = self._measure_room_mm(KEY), self._style.gap_mm
        try:
            sides = flow(rows, (room_mm,), gap_mm)
        except NoRoom as fault:
            raise refuse("the key of the raised pages on this paper") from fault
        for side in sides:
            spare_mm = room_mm - sum(row.height_mm for row in side)
            yield stack(side, min(spare_mm / max(len(side) - 1, 1), 2 * gap_mm))

    def make_section(self, title: Say, bodies: Sequence[Piece], fill: FillCard | None) -> Section:
        """The sides of a fill, or of the key."""
        made = [self._make_page(title, body, at, len(bodies), fill) for at, body in enumerate(bodies, start=1)]
        return Section(title, tuple(page for page, _ in made), tuple(element for _, own in made for element in own))

    def _make_page(
        self, title: Say, body: Piece, number: int, count: int, fill: FillCard | None
    ) -> tuple[Page, tuple[Element, ...]]:
        """One side of a fill, or of the key; the cut corner says which way up, and a fill's sign stands below it."""
        head = self._set_head(title, number, count)
        right_mm = self._width_mm - MARGIN_MM
        ends_mm = right_mm - CORNER_MM, MARGIN_MM + 1.0, right_mm - 1.0, MARGIN_MM + CORNER_MM
        corner = Line(*ends_mm, self._pen.outline_mm)
        parts = (
            At(head, MARGIN_MM, MARGIN_MM),
            At(body, MARGIN_MM, MARGIN_MM + head.height_mm + self._style.gap_mm),
            At(paint((corner,))),
            *self._set_sign(fill),
        )
        whole = put(self._width_mm, self._height_mm, parts)
        page = Page(
            self._width_mm,
            self._height_mm,
            whole.placed,
            fill.number if fill else None,
            section=f"fill {fill.number}" if fill else "key",
            side=STYLE_NAME,
        )
        return page, whole.elements

    def _set_sign(self, fill: FillCard | None) -> Iterator[At]:
        if fill:
            drawing = draw_sign(fill.sign, CORNER_MM, self._pen, fill.clock)
            x_mm = self._width_mm - MARGIN_MM - drawing.width_mm
            yield At(self.setter.figure(drawing, None), x_mm, MARGIN_MM + CORNER_MM + SIGN_GAP_MM)

    def _set_head(self, title: Say, number: int, count: int) -> Piece:
        """Fill and page, on one row where they fit, band, whose, code: print above braille. The date, and what to do
        with older cards, are on the key, which leaves scales their room.
        """
        width_mm = self._live_mm - CORNER_MM - self._style.gap_mm
        whose = [line for line in self._card.whose if not isinstance(line, WriteIn)]
        page = say("page", page=number, pages=count)
        page_mm = self._measure_mm(page)
        # Both in one row of cells: an embosser has no other places for dots.
        page_x_mm = (width_mm - page_mm) // self._style.cell_mm * self._style.cell_mm
        title_mm = page_x_mm - 2 * self._style.gap_mm
        if self._measure_mm(title) <= title_mm:
            parts = (self._write_lines(title, title_mm), self._write_lines(page, page_mm))
            rows = [beside(parts, 2 * self._style.gap_mm)]
        else:
            rows = [self._write_lines(each, width_mm) for each in (title, page)]
        rows.append(self._write_lines(self._card.band, width_mm))
        code = self._card.foot if title is KEY else say("card-code", code=self._card.code)
        rows += [self._write_lines(each, self._live_mm) for each in (*whose, code)]
        return stack(rows, 1.0)

    def _measure_mm(self, message: Say) -> float:
        """Width of a message on one line, in the wider of braille and print."""
        words = self._translate(self.setter.write(message))
        cells = sum(len(word.cells) for word in words) + len(words) - 1
        braille_mm = self._style.measure_width_mm(cells) + self._style.cell_mm / 2
        return max(braille_mm, self.setter.measure_mm(message, PRINT_PT) + 0.1)

    def _measure_room_mm(self, title: Say) -> float:
        return self._height_mm - 2 * MARGIN_MM - self._set_head(title, 8, 8).height_mm - self._style.gap_mm

    def _write_lines(self, message: Say, width_mm: float) -> Piece:
        """A message in print, and in braille below it."""
        words = self._translate(self.setter.write(message))
        room = self._style.count_cells(width_mm)
        lines = wrap_words(part_words(words, room), room)
        rows = (draw_cells(line.cells, 0.0, at * self._style.line_mm, self._style) for at, line in enumerate(lines))
        height_mm = (len(lines) - 1) * self._style.line_mm + self._style.cell_height_mm
        box = Box(0.0, 0.0, width_mm, height_mm)
        braille = Piece(width_mm, height_mm, (Placed(box, tuple(chain.from_iterable(rows)), None),))
        return stack((self.setter.text(message, PRINT_PT, width_mm), braille), 1.0)

    def _set_key_row(self, message: Say, sample: Drawing) -> Piece:
        x_mm = SAMPLE_MM[0] + 2 * self._style.gap_mm
        words = self._write_lines(message, self._live_mm - x_mm)
        picture = self.setter.figure(sample, None)
        height_mm = max(words.height_mm, picture.height_mm)
        parts = At(words, x_mm, 0.0), At(picture, 0.0, (height_mm - picture.height_mm) / 2)
        return put(self._live_mm, height_mm, parts)

    def _write_braille(self, text: str) -> tuple[Dot, ...]:
        cells = BLANK.join(word.cells for word in self._translate(text))
        return draw_cells(cells, 0.0, 0.0, self._style)

    def _fit(
        self, draw: Callable[[float], BarrelDrawing], room_mm: float, alt: Say, *, least_pitch_mm: float = 0.0
    ) -> Piece:
        """A picture as tall as the room.

        Raises:
            RegimenRefused: it is larger than its room, or from line to line is less than the least pitch.
        """
        size_mm = room_mm
        for _ in range(MOST_TRIALS):
            made = draw(size_mm)
            over_mm = made.drawing.height_mm - room_mm
            if abs(over_mm) <= EASE_MM:
                break
            # A number near an end of the scale may give way when that is enlarged or made smaller.
            size_mm -= over_mm
        if made.drawing.width_mm > self._live_mm or made.drawing.height_mm > room_mm + EASE_MM:
            raise refuse("a raised barrel on this paper")
        if made.pitch_mm < least_pitch_mm:
            apart = f"{made.pitch_mm:.1f} mm apart, where a finger needs {least_pitch_mm:.1f} mm"
            raise refuse(f"a raised close-up with lines {apart}")
        return self.setter.figure(made.drawing, alt)

    def _fit_close(self, panel: Panel, room_mm: float) -> Piece:
        """A close-up, its barrel as wide as the numbers beside it leave room for.

        Raises:
            RegimenRefused: it is wider than the page even with the narrowest barrel a finger can read, or its lines
                are too near for one.
        """
        least, most = BORE[True]
        # Its lines are counted, so that none may be left out.
        pitch_mm = self._pen.gap_mm + self._pen.stroke_mm
        for bore in (most - share * (most - least) for share in BORE_SHARES):
            try:
                draw = partial(self._draw_close, panel, bore * self._pen.gap_mm)
                return self._fit(draw, room_mm, panel.alt, least_pitch_mm=pitch_mm)
            except RegimenRefused as error:
                refused = error
        raise refused

    def _draw_whole(self, fill: FillCard, size_mm: float) -> BarrelDrawing:
        view = fill.panels[-1].barrel
        marks = tuple(self._mark(panel, is_passed=panel is not fill.panels[-1]) for panel in fill.panels)
        return draw_barrel(
            *(view.syringe, view.portions, None, BarrelDirection.NEEDLE_UP, self._pen),
            scale_length_mm=size_mm,
            number_pt=self._pen.text_pt,
            marks=marks,
            numbers=Side.BEFORE,
        )

    def _draw_close(self, panel: Panel, bore_mm: float, size_mm: float) -> BarrelDrawing:
        """With fewer lines where the next to the stop would be too near it to be felt, and so left out; if it still is,
        none past the stop.
        """
        view, every = panel.barrel, panel.barrel.syringe.line_every
        stop = view.portions[-1].end
        least_mm = self._pen.gap_mm + (self._pen.stop_mm + self._pen.stroke_mm) / 2 + WINDOW_ENDS_MM
        window, fewer = (choose_window(view.syringe, stop, *gaps) for gaps in (CLOSE_UP_GAPS, FEWER_GAPS))
        for other in (fewer, fewer._replace(last=stop)):
            gaps = float((window.last - window.first) / every)
            if size_mm / gaps < least_mm:
                window = other
        gaps = float((window.last - window.first) / every)
        return draw_close_up(
            *(view.syringe, window, view.portions, None, BarrelDirection.NEEDLE_UP, self._pen),
            pitch_mm=size_mm / gaps,
            number_pt=self._pen.text_pt,
            marks=(self._mark(panel),),
            numbers=Side.BEFORE,
            bore_mm=bore_mm,
        )

    def _mark(self, panel: Panel, *, is_passed: bool = False) -> StopMark:
        return StopMark(panel.barrel.portions[-1].end, self.setter.write(panel.figure), is_passed)
