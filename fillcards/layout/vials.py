"""The sheet "Your vials": each vial with its picture, what to do if something goes wrong, whom to call.

A fill's code to scan stands where a side has room to spare, and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import accumulate, count, pairwise
from typing import Final, NamedTuple

from fillcards.card.model import Card, FillCard, Line, VialPanel
from fillcards.card.scan_code import write_scan_words
from fillcards.layout.grid import EASE_MM, At, Piece, beside, fill_rows, make_frame, make_rule, paint, put, stack
from fillcards.layout.search import NoRoom, find_fitting, list_cuts, list_fitting
from fillcards.layout.sections import Section
from fillcards.layout.setter import PITCH, Setter, measure_baseline_mm, measure_line_mm
from fillcards.layout.sheet import CORNER_MM, GAP_MM, Sheet
from fillcards.layout.styles import SMALL_FOOT_TO_PT
from fillcards.picture.items import Dot, Item, Text
from fillcards.picture.kit import draw_vial, enclose, measure_vial, point_up
from fillcards.picture.pen import make_ink_pen
from fillcards.picture.scan_code import MODULES_MM, draw_scan_code, measure_scan_code_mm
from fillcards.picture.signs import draw_phone
from fillcards.quantities import convert_pt_to_mm
from fillcards.wording.messages import Say, say

STYLE_NAME: Final = "vials"
MOST_SIDES: Final = 4
HEADING_TO_BODY: Final = 1.3
PANEL_GAP_MM: Final = 4.0
PAD_MM: Final = 3.5
VIAL_TO_BODY: Final = 1.5
VIAL_GAPS: Final = (15.0, 27.0)
LEVEL_GAPS: Final = 11.0
BROKEN_PART: Final = 0.15
"""What it weighs, in heights of a side, that a vial's words or what could go wrong is parted between two sides."""

CAPTION_EM: Final = 5.0
"""Least width of the words beside a code."""


class Part(NamedTuple):
    """Pieces that belong together, one under the other.

    Attributes:
        pieces: the first with the heading, if they have one.
        set_again: sets that heading anew, over those that go on on another side: behind the words of two vials nobody
            would know whose they are.
    """

    pieces: Sequence[Piece]
    set_again: Callable[[], Piece] | None = None


def set_vials(sheet: Sheet) -> Section:
    """The section, an even number of sides. Foot and band are as large as leaves that number as it is.

    Raises:
        NoRoom: four sides do not hold it.
    """
    parts = (*_set_panels(sheet), *_set_rest(sheet))
    *larger, least = (replace(sheet, foot_pt=foot_pt) for foot_pt in sheet.list_foot_sizes())
    most = len(share_out(parts, _measure_room_mm(least)))

    def set_sides(own: Sheet) -> Section:
        sides = share_out(parts, _measure_room_mm(own))
        if len(sides) > most:
            raise NoRoom
        return _make_section(own, _add_codes(own, parts, sides))

    return find_fitting((*larger, least), set_sides, is_strict=True)


def _measure_room_mm(sheet: Sheet) -> float:
    return sheet.measure_room_mm(_set_head(sheet, 8), _set_foot(sheet, 8, 8))


def _set_head(sheet: Sheet, page: int) -> Piece:
    return sheet.titled_head(sheet.card.vials.title, sheet.card.vials.keep, page)


def _set_foot(sheet: Sheet, page: int, pages: int, *, has_emergency: bool = True) -> Piece:
    """Code and date, page of pages, the emergency number unless the side says it already."""
    emergency = sheet.setter.text(say("emergency"), sheet.choose_foot_pt(), sheet.live_mm, bold=True)
    return sheet.titled_foot(page, pages, *((emergency,) if has_emergency else ()))


def _make_section(sheet: Sheet, sides: Sequence[Sequence[Piece]]) -> Section:
    room_mm = _measure_room_mm(sheet)

    def set_side(number: int, side: Sequence[Piece]) -> tuple[Piece, Piece, Piece]:
        spare_mm = room_mm - sum(piece.height_mm for piece in side)
        body = stack(side, min(1.4 * sheet.gap_mm, spare_mm / max(len(side), 1)))
        has_emergency = not _says(sheet, side, say("emergency"))
        return _set_head(sheet, number), body, _set_foot(sheet, number, len(sides), has_emergency=has_emergency)

    return sheet.make_section(sheet.card.vials.title, map(set_side, count(1), sides), STYLE_NAME)


def _add_codes(sheet: Sheet, parts: Sequence[Part], sides: Sequence[Sequence[Piece]]) -> Sequence[Sequence[Piece]]:
    """With a code to scan for each fill below all else, in the largest size that costs no side."""
    room_mm = _measure_room_mm(sheet)
    left_mm = len(sides) * room_mm - sum(piece.height_mm for part in parts for piece in part.pieces)
    codes = list_scan_codes(sheet.setter, sheet.card, sheet.card.fills, sheet.body_pt, sheet.live_mm)
    fitting = (code for code in codes if code.height_mm <= left_mm)
    tried = list_fitting(fitting, lambda code: share_out((*parts, Part([code])), room_mm))
    return next((each for each in tried if len(each) == len(sides)), sides)


def _says(sheet: Sheet, side: Sequence[Piece], message: Say) -> bool:
    """Whether a side says this already, within another sentence."""
    placed = (each for piece in side for each in piece.placed)
    said = " ".join(item.text.strip() for each in placed for item in each.items if isinstance(item, Text))
    return sheet.setter.write(message) in said


def _set_heading(sheet: Sheet, message: Say) -> Piece:
    return sheet.setter.text(message, sheet.body_pt * HEADING_TO_BODY, sheet.live_mm, bold=True, role="H2")


def share_out(parts: Sequence[Part], room_mm: float) -> Sequence[Sequence[Piece]]:
    """What stands on each side: as few sheets as hold it, sides of about one height, better ended where a part ends.

    Raises:
        NoRoom: four sides do not hold it.
    """
    pieces = [piece for part in parts for piece in part.pieces]
    starts = set(accumulate(len(part.pieces) for part in parts))
    ends_mm = (0.0, *accumulate(piece.height_mm for piece in pieces))
    owners = [part for part in parts for _ in part.pieces]
    again = {
        place: owner.set_again
        for place, (before, owner) in enumerate(pairwise(owners), start=1)
        if owner is before and owner.set_again
    }
    again_mm = {set_again: set_again().height_mm for set_again in dict.fromkeys(again.values())}

    def fits(_side: int, first: int, end: int) -> bool:
        more_mm = again_mm[again[first]] if first in again else 0.0
        return ends_mm[end] - ends_mm[first] + more_mm <= room_mm + EASE_MM

    def set_side(start: int, end: int) -> Sequence[Piece]:
        return [again[start](), *pieces[start:end]] if start in again else pieces[start:end]

    def weigh_mm(ends: tuple[int, ...]) -> float:
        heights_mm = [ends_mm[end] - ends_mm[start] for start, end in pairwise((0, *ends))]
        uneven_mm = max(heights_mm) - min(heights_mm) / 2
        return uneven_mm + BROKEN_PART * room_mm * sum(end not in starts for end in ends[:-1])

    for number in range(2, MOST_SIDES + 1, 2):
        best = min(list_cuts(len(pieces), number, fits), key=weigh_mm, default=None)
        if best:
            return [set_side(start, end) for start, end in pairwise((0, *best))]
    raise NoRoom


def _set_panels(sheet: Sheet) -> list[Part]:
    """Two framed vials side by side for readers of small type; else their words across the page."""
    vials = sheet.card.vials.vials
    if sheet.body_pt > SMALL_FOOT_TO_PT:
        return [
            Part(_set_vial(sheet, vial, sheet.live_mm), partial(_set_heading, sheet, vial.heading)) for vial in vials
        ]
    columns = min(len(vials), 2)
    width_mm = (sheet.live_mm - PANEL_GAP_MM * (columns - 1)) / columns
    rows: list[Part] = []
    for start in range(0, len(vials), 2):
        pair = [
            stack(_set_vial(sheet, vial, width_mm - 2 * PAD_MM), 0.3 * sheet.gap_mm)
            for vial in vials[start : start + 2]
        ]
        height_mm = max(piece.height_mm for piece in pair) + 2 * PAD_MM
        frame = make_frame(width_mm, height_mm, 0.8, CORNER_MM)
        framed = [put(width_mm, height_mm, (At(frame), At(piece, PAD_MM, PAD_MM))) for piece in pair]
        rows.append(Part([beside(framed, PANEL_GAP_MM)]))
    return rows


def _set_vial(sheet: Sheet, vial: VialPanel, inner_mm: float) -> list[Piece]:
    """The vial with what stands beside it, then the lines below it."""
    setter, body_pt = sheet.setter, sheet.body_pt
    pen = make_ink_pen(VIAL_TO_BODY * min(body_pt, SMALL_FOOT_TO_PT))
    shape = measure_vial(vial.look, pen, width=VIAL_GAPS[0], length=VIAL_GAPS[1])
    level_mm = LEVEL_GAPS * pen.gap_mm
    drawing = enclose(list(draw_vial(point_up(), vial.look, pen, shape, level_mm=level_mm)))[0]
    picture = setter.figure(drawing, vial.alt)
    x_mm = picture.width_mm + sheet.gap_mm
    heading = setter.text(vial.heading, body_pt * HEADING_TO_BODY, inner_mm - x_mm, bold=True, role="H2")
    right, rest = [heading], list(vial.lines)
    while rest and sum(piece.height_mm for piece in right) < picture.height_mm:
        right.append(setter.line(rest.pop(0), body_pt, inner_mm - x_mm))
    top = stack(right)
    parts = At(top, x_mm, 0.0), At(picture, 0.0, 0.0)
    return [put(inner_mm, max(top.height_mm, picture.height_mm), parts), *_set_lines(sheet, rest, inner_mm)]


def _set_lines(sheet: Sheet, lines: Sequence[Line], width_mm: float) -> list[Piece]:
    return [sheet.setter.line(each, sheet.body_pt, width_mm) for each in lines]


def _set_rest(sheet: Sheet) -> list[Part]:
    """Storage; what could go wrong; cautions, notes, whom to call."""
    setter, body_pt, width_mm, vials = sheet.setter, sheet.body_pt, sheet.live_mm, sheet.card.vials
    heading_pt = body_pt * HEADING_TO_BODY
    parts = [Part([setter.text(each, body_pt, width_mm) for each in (vials.dates, vials.storage)])]
    if vials.wrong:
        set_heading = partial(_set_heading, sheet, vials.wrong_title)
        first, *points = (set_point(sheet, each, body_pt, width_mm) for each in vials.wrong)
        parts.append(Part([stack((set_heading(), first), 0.3 * sheet.gap_mm), *points], set_heading))
    last = [setter.text(each, body_pt, width_mm) for each in (*vials.cautions, *vials.notes)]
    phone = setter.figure(draw_phone(0.8 * measure_line_mm(heading_pt), sheet.pen), None)
    title = setter.text(vials.call_title, heading_pt, width_mm - phone.width_mm - 2.0, bold=True, role="H2")
    call = beside((phone, title), 2.0)
    contacts = fill_rows(_set_lines(sheet, vials.contacts, width_mm), width_mm, 4 * GAP_MM)
    return [*parts, Part([*last, stack((make_rule(width_mm, 0.8), call, contacts), 0.3 * sheet.gap_mm)])]


def set_point(sheet: Sheet, message: Say, size_pt: float, width_mm: float) -> Piece:
    """A sentence after a dot; the dot is paint."""
    em_mm = convert_pt_to_mm(size_pt)
    words = sheet.setter.text(message, size_pt, width_mm - 0.8 * em_mm)
    dot_mm, y_mm = 0.26 * em_mm, measure_baseline_mm(size_pt, PITCH, sheet.setter.language) - 0.25 * em_mm
    dot = paint((Dot(dot_mm / 2, y_mm, dot_mm),))._replace(width_mm=dot_mm)
    return put(width_mm, words.height_mm, (At(dot), At(words, 0.8 * em_mm)))


def list_scan_codes(
    setter: Setter, card: Card, fills: Sequence[FillCard], body_pt: float, width_mm: float
) -> Iterator[Piece]:
    """Rows of codes, one for each fill, all of one size, the largest row first.

    None where a fill's words are no code: without one of them a hand would scan another's.
    """
    words = [told for fill in fills if (told := write_scan_words(card, fill)) is not None]
    if len(words) < len(fills):
        return
    column_mm = (width_mm - (len(fills) - 1) * GAP_MM) / len(fills)
    for module_mm in MODULES_MM:
        side_mm = measure_scan_code_mm(module_mm)
        caption_mm = column_mm - side_mm
        if caption_mm < CAPTION_EM * convert_pt_to_mm(body_pt):
            continue
        parts: list[At] = []
        for index, (fill, told) in enumerate(zip(fills, words, strict=True)):
            x_mm = index * (column_mm + GAP_MM)
            caption = setter.text(say("scan-caption", text=fill.title), body_pt, caption_mm)
            draw = partial(setter.remember, ("code", told, module_mm), partial(_draw, told, module_mm))
            code = setter.late_figure(side_mm, side_mm, draw, say("alt-scan"))
            parts += (At(code, x_mm, 0.0), At(caption, x_mm + side_mm, 0.0))
        yield put(width_mm, max(part.piece.height_mm for part in parts), parts)


def _draw(words: str, module_mm: float) -> tuple[Item, ...]:
    return draw_scan_code(words, module_mm).items
