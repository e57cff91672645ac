"""The deck, for readers above 36 pt: landscape, one fact a side, the figure 60 mm tall beside a close-up of its line.

It holds when, whose, whom to call, where the steps are, each stop, the syringe and what to do past the line. All else
is on the helper's sheet that goes with it. Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import product
from operator import itemgetter
from typing import Final, NamedTuple

from fillcards.card.model import FillCard, Panel, WriteIn
from fillcards.layout.grid import EASE_MM, At, Piece, beside, flow, put, spread, stack
from fillcards.layout.poster import set_figure
from fillcards.layout.search import NoRoom, find_fitting, list_fitting
from fillcards.layout.sections import Section
from fillcards.layout.setter import PITCH, measure_line_mm
from fillcards.layout.sheet import GAP_MM, ROW_GAP, Sheet, is_call, shorten
from fillcards.layout.styles import FINE_MM_PER_PT
from fillcards.picture.items import Drawing, Ink, Text
from fillcards.picture.scale_view import StopMark, choose_window, draw_close_up
from fillcards.quantities import convert_pt_to_mm
from fillcards.regimen.model import BarrelDirection
from fillcards.wording.messages import Say, fit, say

STYLE_NAME: Final = "deck"
MOST_SIDES: Final = 6
AIR_FIRST: Final = frozenset(("air-first", "air-first-two"))
"""What the steps on a helper's sheet say."""
FIGURE_SIZES_PT: Final = {True: (250.0,), False: (200.0, 180.0, 160.0, 140.0)}
"""60 mm tall for two digits; smaller only where three digits or a point must fit."""
ORDER_SIZES_PT: Final = (44.0, 30.0)
NAME_SIZES_PT: Final = (44.0, 36.0, 30.0, 24.0, 20.0, 18.0)
"""Of the fill's name, large once more on each side with room for it."""
TITLE_PT: Final = 56.0
MOST_WHOSE_PT: Final = 32.0
BAR_GAP_MM: Final = 2.0
WINDOW_GAPS: Final = (5, 8)
STEPS_SIZES_PT: Final = (36.0, 20.0)
"""Of the words that say where the steps are, if they take a side of their own at the reader's size."""
WARNING_SIZES_PT: Final = (60.0, 48.0, 36.0)
"""Of a warning that no side holds at the reader's size. The helper's sheet has it, too."""
KEPT_OF_A_HEIGHT: Final = 0.9
"""What is left at least of the height of what sides say where foot and band are set larger."""
SIGN_GAP_MM: Final = 2.0
MOST_SIGN_MM: Final = 20.0
SHORT: Final = {
    "inject-before-eating": "deck-when",
    "inject-before-eating-days": "deck-when",
    "give-before-eating": "deck-when",
    "give-before-eating-days": "deck-when",
    "only-day": "deck-only-day",
    "only-days": "deck-only-days",
    "animal": "deck-animal",
    "unsure": "deck-unsure",
    **{f"syringe{kind}": f"deck-syringe{kind}" for kind in ("", "-half", "-oral")},
    **{f"past-{kind}": f"deck-past-{kind}" for kind in ("two", "one", "mouth")},
}
"""The deck's own messages, by those of the other forms."""
BORES_IN_GAPS: Final = (20.0, 16.0, 12.0, 10.0)


class CloseUpWay(NamedTuple):
    """What stands with a dose and its count below a figure and its close-up.

    Attributes:
        mark: what tells the vial from another.
        words: the figure in words.
        sum: how both portions add up, on the second stop.
        needs_sum: whether only with it: beside a dose, the sum says that the figure is none.
    """

    mark: bool = False
    words: bool = False
    sum: bool = False
    needs_sum: bool = False


CLOSE_UP_WAYS: Final = (
    CloseUpWay(mark=True, words=True, sum=True),
    CloseUpWay(sum=True, needs_sum=True),
    CloseUpWay(words=True),
    CloseUpWay(),
)
"""To be tried in turn; then the figure and its count without a close-up."""
COUNT_PITCHES: Final = (PITCH, 1.02)
"""From line to line of those, in type sizes."""


def set_deck(sheet: Sheet, fill: FillCard) -> Section:
    """The section of a deck, an even number of sides.

    Raises:
        NoRoom, TextTooWide: six sides do not hold it.
    """
    *larger, least_pt = sheet.list_foot_sizes()
    least = _set_sides(replace(sheet, foot_pt=least_pt), fill)
    tried = list_fitting((replace(sheet, foot_pt=size) for size in larger), lambda own: _set_sides(own, fill))
    best = next((each for each in tried if each.is_as_good(least)), least)
    own, count = best.sheet, len(best.sides)
    sides = ((Piece(0.0, 0.0), side, _set_foot(own, fill, at, count)) for at, side in enumerate(best.sides, start=1))
    return own.make_section(fill.title, sides, STYLE_NAME)


class Sides(NamedTuple):
    """The sides of a deck on their sheet: how its stops are set, how the words that can give way."""

    sheet: Sheet
    sides: list[Piece]
    stops: tuple[int, float, float]
    words: tuple[bool | float, ...]

    def is_as_good(self, other: Sides) -> bool:
        """Whether all but foot and band is as in the other, and close-ups are about as large."""
        heights = (sum(side.height_mm for side in each.sides) for each in (self, other))
        is_same = (len(self.sides), self.stops, self.words) == (len(other.sides), other.stops, other.words)
        return is_same and next(heights) >= KEPT_OF_A_HEIGHT * next(heights)


def _set_sides(sheet: Sheet, fill: FillCard) -> Sides:
    foot = _set_foot(sheet, fill, 8, 8)
    room_mm = sheet.height_mm - 2 * sheet.margin_mm - foot.height_mm - GAP_MM
    way, stops = _set_stops(sheet, fill, room_mm)
    has_air = any(not isinstance(line, WriteIn) and line.id in AIR_FIRST for line in fill.above)

    def set_words(words: tuple[bool, float, float, bool, bool, bool]) -> Sides:
        has_band, warning_pt, steps_pt, call_leads, steps_lead, has_days = words
        band = (sheet.band(),) if has_band else ()
        steps = sheet.setter.text(say("deck-steps-air" if has_air else "deck-steps"), steps_pt, sheet.live_mm)
        when = *band, *_set_opening(sheet, fill, has_days=has_days, call_leads=call_leads)
        rest = _set_closing(sheet, fill, warning_pt, call_leads=call_leads)
        parts = [_flow((*when, steps) if steps_lead else when, room_mm)]
        parts.append(_flow(rest if steps_lead else (*rest, steps), room_mm))
        if steps_lead and len(parts[0]) > len(_flow(when, room_mm)):
            raise NoRoom
        if (sum(map(len, parts)) + len(stops)) % 2:
            _split_one(parts)
        opening, closing = parts
        if len(opening) + len(stops) + len(closing) > MOST_SIDES:
            raise NoRoom
        heads = [_set_name(sheet, fill, room_mm - stack(side, GAP_MM / 4).height_mm) for side in closing]
        first = [_stack_side(sheet, side, room_mm) for side in opening]
        last = [_stack_side(sheet, (*head, *side), room_mm) for head, side in zip(heads, closing, strict=True)]
        return Sides(sheet, [*first, *stops, *last], way, (*words, *map(bool, heads)))

    yes_no = True, False
    warnings_pt, steps_sizes_pt = (sheet.body_pt, *WARNING_SIZES_PT), (sheet.body_pt, *STEPS_SIZES_PT)
    ways = product(yes_no, warnings_pt, steps_sizes_pt, yes_no, yes_no, yes_no)
    return find_fitting(ways, set_words, is_strict=True)


def _flow(pieces: Iterable[Piece], room_mm: float) -> list[list[Piece]]:
    return flow(tuple(pieces), (room_mm,), GAP_MM / 4)


def _split_one(parts: list[list[list[Piece]]]) -> None:
    """Make two sides of one, the last that can be, so that sheets are whole."""
    for part in reversed(parts):
        for index, side in enumerate(part):
            if len(side) > 1:
                part[index : index + 1] = [side[:-1], side[-1:]]
                return
    raise NoRoom


def _set_name(sheet: Sheet, fill: FillCard, room_mm: float) -> tuple[Piece, ...]:
    """The fill's name in a bar, on one line; nothing where there is no room for it."""
    for size_pt in NAME_SIZES_PT:
        bar = sheet.plate(fill.title, size_pt, sheet.live_mm)
        if bar.height_mm < 2 * measure_line_mm(size_pt) and bar.height_mm + GAP_MM / 4 <= room_mm:
            return (bar,)
    return ()


def _stack_side(sheet: Sheet, side: Sequence[Piece], room_mm: float) -> Piece:
    """What the side says, the spare height between up to a most."""
    spare_mm = room_mm - sum(piece.height_mm for piece in side)
    return stack(side, max(GAP_MM / 4, min(1.5 * sheet.gap_mm, spare_mm / len(side))))


def _set_opening(sheet: Sheet, fill: FillCard, *, has_days: bool, call_leads: bool) -> tuple[Piece, ...]:
    """When, whose, what holds before the first stop, whom to call; the days stand in the title as well."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    unsure = [shorten(line, SHORT) for line in fill.below if call_leads and is_call(line)]
    left_out = AIR_FIRST if has_days or fill.title.id == "title" else AIR_FIRST | {"only-day", "only-days"}
    above = [shorten(line, SHORT) for line in fill.above if isinstance(line, WriteIn) or line.id not in left_out]
    return (
        setter.text(fill.title, max(body_pt, TITLE_PT), width_mm, bold=True, role="H1"),
        setter.lines(sheet.card.whose, min(body_pt, MOST_WHOSE_PT), width_mm),
        *(setter.line(each, body_pt, width_mm) for each in (*above, *fill.news)),
        *(setter.line(each, body_pt, width_mm) for each in unsure),
    )


def _set_closing(sheet: Sheet, fill: FillCard, warning_pt: float, *, call_leads: bool) -> tuple[Piece, ...]:
    """The syringe, past the line, warnings."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    rest = [shorten(line, SHORT) for line in fill.below if not (call_leads and is_call(line))]
    # A medicine's warning stands word for word as in the file.
    warnings = [line for line in rest if not isinstance(line, WriteIn) and line.id == "warning"]
    sizes = (min(warning_pt, body_pt) if line in warnings else body_pt for line in rest)
    return tuple(setter.line(line, size_pt, width_mm) for line, size_pt in zip(rest, sizes, strict=True))


def _say_count(count: Say) -> Say:
    """How many lines past which number; whether they are short is left out."""
    if count.id == "count-number":
        return fit("deck-count-number", dict(count.values))
    return fit("deck-count-zero" if count.id.endswith("-zero") else "deck-count", dict(count.values))


def _set_stops(sheet: Sheet, fill: FillCard, room_mm: float) -> tuple[tuple[int, float, float], list[Piece]]:
    """A side a stop, all in the same way, and which."""

    def set_sides(way: tuple[int, float, float]) -> tuple[tuple[int, float, float], list[Piece]]:
        number, order_pt, figure_pt = way
        sides: list[Piece] = []
        for panel in fill.panels:
            bar = _set_order_bar(sheet, fill, panel, min(sheet.body_pt, order_pt))
            figure, left_mm = set_figure(sheet, panel, figure_pt), room_mm - bar.height_mm - BAR_GAP_MM
            if number < len(CLOSE_UP_WAYS):
                body = _set_beside_close_up(sheet, panel, figure, left_mm, CLOSE_UP_WAYS[number])
            else:
                body = _set_with_count(sheet, panel, figure, left_mm, COUNT_PITCHES[number - len(CLOSE_UP_WAYS)])
            sides.append(stack((bar, body), BAR_GAP_MM))
        if max(side.height_mm for side in sides) > room_mm + EASE_MM:
            raise NoRoom
        return way, sides

    numbers = range(len(CLOSE_UP_WAYS) + len(COUNT_PITCHES))
    sizes = FIGURE_SIZES_PT[all(len(sheet.setter.write(panel.figure)) <= 2 for panel in fill.panels)]
    return find_fitting(product(numbers, ORDER_SIZES_PT, sizes), set_sides, is_strict=True)


def _set_order_bar(sheet: Sheet, fill: FillCard, panel: Panel, size_pt: float) -> Piece:
    """The order words, the shorter ones where the others take a second line or leave less room for the fill's name,
    which stands at the right if there is any: a side that lies alone must tell whose it is.
    """
    setter, width_mm = sheet.setter, sheet.live_mm
    pad_mm = 0.45 * convert_pt_to_mm(size_pt)

    def find_name_pt(words: Say) -> float:
        room_mm = width_mm - setter.measure_mm(words, size_pt, bold=True) - 3 * pad_mm - GAP_MM
        fitting = (size for size in NAME_SIZES_PT if setter.measure_mm(fill.title, size, bold=True) <= room_mm)
        return next((size for size in fitting if size <= size_pt), 0.0)

    bars = {each: sheet.plate(each, size_pt, width_mm) for each in (panel.bar, panel.short_bar)}
    most_mm = bars[panel.short_bar].height_mm + EASE_MM
    names_pt = {words: find_name_pt(words) for words, bar in bars.items() if bar.height_mm <= most_mm}
    words, name_pt = max(names_pt.items(), key=itemgetter(1))
    bar = bars[words]
    if not name_pt:
        return bar
    name = setter.text(fill.title, name_pt, width_mm, bold=True, ink=Ink.WHITE)
    down_mm = (bar.height_mm - name.height_mm) / 2
    return put(width_mm, bar.height_mm, (At(bar, 0.0, 0.0), At(name, width_mm - pad_mm - name.width_mm, down_mm)))


def _set_beside_close_up(sheet: Sheet, panel: Panel, figure: Piece, room_mm: float, told: CloseUpWay) -> Piece:
    """Figure and close-up; below them medicine and dose, what else is told, the count."""
    if told.needs_sum and panel.is_total and panel.sum is None:
        raise NoRoom
    marks = (note for note in panel.notes if note.id == "panel-mark" and told.mark)
    words = (panel.figure_words,) if told.words else ()
    total = (panel.sum,) if panel.sum and told.sum else ()
    messages = (_say_dose(panel), *marks, *words, _say_count(panel.count), *total)
    below = stack([sheet.setter.text(each, sheet.body_pt, sheet.live_mm) for each in messages])
    left_mm = room_mm - below.height_mm - BAR_GAP_MM
    if figure.height_mm > left_mm:
        raise NoRoom
    close = _set_close_up(sheet, panel, left_mm, sheet.live_mm - figure.width_mm - 2 * GAP_MM)
    if close.height_mm > left_mm + EASE_MM:
        raise NoRoom
    return stack((spread((figure, close), sheet.live_mm, 0.5), below), BAR_GAP_MM)


def _set_with_count(sheet: Sheet, panel: Panel, figure: Piece, room_mm: float, pitch: float) -> Piece:
    """Figure and count side by side, medicine and dose below: for type that leaves no room for a close-up."""
    dose = sheet.setter.text(_say_dose(panel), sheet.body_pt, sheet.live_mm, pitch=pitch)
    x_mm = figure.width_mm + 2 * GAP_MM
    if not sheet.setter.fits(_say_count(panel.count), sheet.body_pt, sheet.live_mm - x_mm):
        raise NoRoom
    count = sheet.setter.text(_say_count(panel.count), sheet.body_pt, sheet.live_mm - x_mm, pitch=pitch)
    height_mm = max(figure.height_mm, count.height_mm)
    parts = At(figure, 0.0, 0.0), At(count, x_mm, (height_mm - count.height_mm) / 2)
    both = stack((put(sheet.live_mm, height_mm, parts), dose), BAR_GAP_MM)
    if both.height_mm > room_mm + EASE_MM:
        raise NoRoom
    return both


def _say_dose(panel: Panel) -> Say:
    return fit("deck-dose", dict((*panel.medicine.values, *panel.dose.values)))


def _set_close_up(sheet: Sheet, panel: Panel, height_mm: float, width_mm: float) -> Piece:
    """The lines round the stop, upright, as large as the room.

    Where there is the height, the needle's end of the barrel stands above them, past a break.

    Raises:
        NoRoom: the room is too small, or for every number.
    """
    view, gap_mm = panel.barrel, sheet.pen.gap_mm
    stop = view.portions[-1].end
    window = choose_window(view.syringe, stop, *WINDOW_GAPS)
    gaps = float((window.last - window.first) / view.syringe.line_every)

    def draw(pitch_mm: float, bore: float, *, has_end_piece: bool) -> Drawing:
        up, marks = BarrelDirection.NEEDLE_UP, (StopMark(stop, ""),)
        return draw_close_up(
            *(view.syringe, window, view.portions, stop, up, sheet.pen),
            pitch_mm=pitch_mm,
            number_pt=sheet.body_pt,
            marks=marks,
            bore_mm=bore * gap_mm,
            has_end_piece=has_end_piece,
        ).drawing

    least_mm = FINE_MM_PER_PT * sheet.body_pt
    for has_end_piece, bore in product((True, False), BORES_IN_GAPS):
        trial = draw(least_mm, bore, has_end_piece=has_end_piece)
        if trial.width_mm <= width_mm and trial.height_mm <= height_mm:
            made = draw(least_mm + (height_mm - trial.height_mm) / gaps, bore, has_end_piece=has_end_piece)
            if made.width_mm > width_mm:  # with its lines further apart it has longer numbers
                continue
            items = tuple(item for item in made.items if not isinstance(item, Text) or item.text)
            if any(isinstance(item, Text) for item in items):
                return sheet.setter.figure(made._replace(items=items), panel.alt)
    raise NoRoom


def _set_foot(sheet: Sheet, fill: FillCard, page: int, pages: int) -> Piece:
    """Every side carries the fill with its sign and its page, the band, whose, and the card code.

    The date, and what to do with older cards, are on the helper's sheet.
    """
    setter, size_pt = sheet.setter, sheet.small_pt
    sign = sheet.set_sign(fill, min(2 * measure_line_mm(size_pt), MOST_SIGN_MM))
    width_mm = sheet.live_mm - sign.width_mm - SIGN_GAP_MM
    title, band = setter.text(fill.title, size_pt, width_mm, bold=True), sheet.small_band(size_pt, size_pt, width_mm)
    count = setter.text(say("page", page=page, pages=pages), size_pt, width_mm)
    gaps_mm = 2 * max(GAP_MM, ROW_GAP * count.height_mm)
    is_one_row = title.width_mm + band.width_mm + count.width_mm + gaps_mm <= width_mm
    is_wide = title.width_mm + count.width_mm + ROW_GAP * count.height_mm + GAP_MM > width_mm
    heads: list[tuple[Piece, ...]] = [(count,), (title,), (band,)] if is_wide else [(title, count), (band,)]
    heads = [(title, band, count)] if is_one_row else heads
    whose = setter.lines(sheet.card.whose, size_pt, width_mm)
    rows = stack([sheet.row(row, width_mm) for row in (*heads, (whose, sheet.set_code(page, pages + 1)))])
    return beside((sign, rows), SIGN_GAP_MM)
