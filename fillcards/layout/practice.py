"""Exercises: a frame for each, with what to do and the patient's own barrel, empty; and the small ones of the answers.

Frames stand side by side, or one above the other where the barrel is held level. Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

from fillcards.card.model import Exercise, Practice, StaffBarrels
from fillcards.layout.grid import EASE_MM, At, Piece, beside, make_frame, put, stack
from fillcards.layout.model import Element, Page
from fillcards.layout.sheet import CORNER_MM, GAP_MM, Sheet
from fillcards.layout.sizes import SMALL_FOOT_TO_PT
from fillcards.layout.styles import ANSWERS, PRACTICE
from fillcards.picture.items import Drawing
from fillcards.picture.pen import Pen, make_ink_pen
from fillcards.picture.scale_view import BarrelDrawing, StopMark, draw_barrel
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection, Syringe
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import Say

PAD_MM = 3.5
FRAME_MM = 0.8
BESIDE_MM = 40.0
"""Least width of words and lines to write on beside an upright barrel; narrower ones stand above it."""
BORE_SHARE = 0.38
MOST_BORE_MM = 21.0
"""Of a barrel to draw on: wide, as on the card, but not most of its frame."""
ANSWERS_MM = (140.0, 92.0)
"""Length of the barrels of the answers: of one row of them, and of more."""
DRAFT_MM = 100.0


def set_practice(sheet: Sheet, practice: Practice) -> tuple[Say, list[Page], tuple[Element, ...]] | None:
    """The patient's sides, an even number of them; ``None`` where an exercise does not fit."""
    foot = sheet.titled_foot(8, 8)
    rooms_mm = [sheet.measure_room_mm(_set_head(sheet, practice, page), foot) - sheet.gap_mm for page in (1, 2)]
    bodies = _share_out(sheet, practice, *rooms_mm)
    if bodies is None:
        return None
    pages: list[Page] = []
    elements: list[Element] = []
    for number, body in enumerate(bodies, start=1):
        head, foot = _set_head(sheet, practice, number), sheet.titled_foot(number, len(bodies))
        elements += (*head.elements, *body.elements, *foot.elements)
        lower = put(sheet.live_mm, 0.0, (At(body, 0.0, sheet.gap_mm),))
        pages.append(sheet.make_page(head, lower, foot, PRACTICE.name))
    return practice.title, pages, tuple(elements)


def _set_head(sheet: Sheet, practice: Practice, page: int) -> Piece:
    """On every side that none of it is a dose; what to do where each thing is said once a section, on the first."""
    top = sheet.titled_head(practice.title, practice.only, page, is_small=True)
    if sheet.body_pt > SMALL_FOOT_TO_PT and page > 1:
        return top
    return stack((top, sheet.setter.text(practice.how, sheet.body_pt, sheet.live_mm)), sheet.gap_mm)


def _share_out(sheet: Sheet, practice: Practice, first_mm: float, room_mm: float) -> list[Piece] | None:
    """The bodies of all sides, as few as hold the exercises; where their number is odd, one more: with the easy ones
    spread wider, or with the first of the patient's own once more.
    """

    def set_all(exercises: Sequence[Exercise], least: int = 1) -> list[Piece] | None:
        rooms_mm = first_mm if exercises is practice.easy else room_mm, room_mm
        return _set_fewest(sheet, practice, exercises, rooms_mm, least)

    easy, own = set_all(practice.easy), set_all(practice.own)
    if easy is None or own is None:
        return None
    if (len(easy) + len(own)) % 2:
        wider = set_all(practice.easy, len(easy) + 1)
        again = set_all((*practice.own, practice.own[0]), len(own) + 1)
        if wider and len(wider) == len(easy) + 1:
            easy = wider
        elif again and len(again) == len(own) + 1:
            own = again
        else:
            return None
    return [*easy, *own]


def _set_fewest(
    sheet: Sheet, practice: Practice, exercises: Sequence[Exercise], rooms_mm: tuple[float, float], least: int
) -> list[Piece] | None:
    """Sides of about as many exercises each, at least so many sides; the first may have less room than the others."""
    for count in range(max(least, -(-len(exercises) // PRACTICE.most_columns)), len(exercises) + 1):
        cuts = [0, *accumulate(len(exercises) // count + (at < len(exercises) % count) for at in range(count))]
        sides = [_set_side(sheet, practice, exercises[one:other], rooms_mm[one > 0]) for one, other in pairwise(cuts)]
        done = [side for side in sides if side]
        if len(done) == count:
            return done
    return None


def _set_side(sheet: Sheet, practice: Practice, exercises: Sequence[Exercise], room_mm: float) -> Piece | None:
    count, is_upright = len(exercises), practice.direction is BarrelDirection.NEEDLE_UP
    width_mm, height_mm = sheet.live_mm, room_mm
    if is_upright:
        width_mm = (width_mm - GAP_MM * (count - 1)) / count
    else:
        height_mm = (height_mm - GAP_MM * (count - 1)) / count
    try:
        frames = [_set_frame(sheet, practice, each, width_mm, height_mm, is_alone=count == 1) for each in exercises]
    except TextTooWide:
        return None
    done = [frame for frame in frames if frame]
    if len(done) < count:
        return None
    return beside(done, GAP_MM) if is_upright else stack(done, GAP_MM)


def _set_frame(
    sheet: Sheet, practice: Practice, exercise: Exercise, width_mm: float, height_mm: float, *, is_alone: bool
) -> Piece | None:
    """One exercise; ``None`` where its barrel has too little room."""
    setter, body_pt = sheet.setter, sheet.body_pt
    plate = sheet.plate(exercise.title, body_pt, width_mm, role="H2")
    inner_mm, top_mm = width_mm - 2 * PAD_MM, plate.height_mm + PAD_MM
    room_mm = height_mm - top_mm - PAD_MM
    is_upright = practice.direction is BarrelDirection.NEEDLE_UP

    def set_words(own_mm: float) -> Piece:
        lines = setter.lines(exercise.writes, body_pt, own_mm, sheet.gap_mm) if exercise.writes else Piece(0.0, 0.0)
        return stack((setter.text(exercise.task, body_pt, own_mm), lines), sheet.gap_mm)

    def fit(length_mm: float) -> BarrelDrawing | None:
        bore_mm = min(MOST_BORE_MM, BORE_SHARE * inner_mm)
        return _fit_barrel(practice.syringe, practice.direction, sheet.pen, length_mm, body_pt, bore_mm=bore_mm)

    words = set_words(inner_mm)
    if is_upright:
        tall = fit(room_mm)
        beside_mm = inner_mm - tall.drawing.width_mm - GAP_MM if tall else 0.0
        if tall and beside_mm >= BESIDE_MM and setter.fits(exercise.task, body_pt, beside_mm):
            narrow = set_words(beside_mm)
            if narrow.height_mm <= room_mm:
                parts = (
                    At(narrow, PAD_MM, top_mm),
                    At(_set_barrel(sheet, tall, exercise), PAD_MM + beside_mm + GAP_MM, top_mm),
                )
                return _enclose(plate, parts, width_mm, height_mm)
    down_mm = words.height_mm + sheet.gap_mm
    drawn = fit(room_mm - down_mm if is_upright else inner_mm)
    if drawn is None or drawn.drawing.width_mm > inner_mm + EASE_MM:
        return None
    scale_mm = drawn.pitch_mm * float(practice.syringe.last_line / practice.syringe.line_every)
    is_short = scale_mm < PRACTICE.least_mm and not is_alone
    if is_short or down_mm + drawn.drawing.height_mm > room_mm + EASE_MM:
        return None
    barrel = _set_barrel(sheet, drawn, exercise)
    x_mm = PAD_MM + (inner_mm - barrel.width_mm) / 2
    return _enclose(plate, (At(words, PAD_MM, top_mm), At(barrel, x_mm, top_mm + down_mm)), width_mm, height_mm)


def _enclose(plate: Piece, parts: Sequence[At], width_mm: float, height_mm: float) -> Piece:
    frame = make_frame(width_mm, height_mm, FRAME_MM, CORNER_MM)
    return put(width_mm, height_mm, (At(frame, 0.0, 0.0), At(plate, 0.0, 0.0), *parts))


def _set_barrel(sheet: Sheet, drawn: BarrelDrawing, exercise: Exercise) -> Piece:
    return sheet.setter.figure(drawn.drawing, exercise.alt)


def _fit_barrel(
    syringe: Syringe,
    direction: BarrelDirection,
    pen: Pen,
    length_mm: float,
    number_pt: float,
    *,
    bore_mm: float | None = None,
    marks: tuple[StopMark, ...] = (),
) -> BarrelDrawing | None:
    """An empty barrel as long as the room; ``None`` where that is shorter than the syringe itself."""
    is_upright = direction is BarrelDirection.NEEDLE_UP

    def draw(scale_length_mm: float) -> BarrelDrawing:
        return draw_barrel(
            syringe,
            (),
            None,
            direction,
            pen,
            scale_length_mm=scale_length_mm,
            number_pt=number_pt,
            bore_mm=bore_mm,
            marks=marks,
        )

    def measure_mm(drawing: Drawing) -> float:
        return drawing.height_mm if is_upright else drawing.width_mm

    scale_mm = length_mm - (measure_mm(draw(DRAFT_MM).drawing) - DRAFT_MM)
    if scale_mm < float(syringe.scale_length_mm or syringe.shortest_scale_length_mm):
        return None
    drawn = draw(scale_mm)
    # But for the number of a mark near an end, whose place moves with the scale.
    too_long_mm = measure_mm(drawn.drawing) - length_mm
    return drawn if too_long_mm < EASE_MM else draw(scale_mm - 1.1 * too_long_mm)


def set_answers(sheet: Sheet, block: StaffBarrels, size_pt: float) -> Iterator[Piece]:
    """Rows of small barrels, each under the title of its exercise, with a wedge where each mark belongs."""
    pen, is_upright = make_ink_pen(size_pt), block.direction is BarrelDirection.NEEDLE_UP
    columns = min(len(block.exercises), ANSWERS.most_columns) if is_upright else 2
    width_mm = (sheet.live_mm - GAP_MM * (columns - 1)) / columns
    for start in range(0, len(block.exercises), columns):
        row: list[Piece] = []
        for exercise in block.exercises[start : start + columns]:
            marks = tuple(StopMark(stop.value, write_number(stop.value)) for stop in exercise.stops)
            length_mm = ANSWERS_MM[columns < len(block.exercises)] if is_upright else width_mm
            drawn = _fit_barrel(block.syringe, block.direction, pen, length_mm, size_pt, marks=marks)
            assert drawn is not None  # a row is longer than any syringe
            title = sheet.setter.text(exercise.title, size_pt, width_mm, bold=True)
            barrel = sheet.setter.figure(drawn.drawing, exercise.answer_alt)
            row.append(put(width_mm, 0.0, (At(stack((title, barrel), 1.0), 0.0, 0.0),)))
        tall_mm = max(at.placed[-1].box.bottom_mm for at in row)
        yield put(sheet.live_mm, tall_mm, tuple(At(each, at * (width_mm + GAP_MM), 0.0) for at, each in enumerate(row)))
