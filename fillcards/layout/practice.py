"""Exercises: a frame for each, with what to do and the patient's own barrel, empty; and the small ones of the answers.

Frames stand side by side, or one above the other where the barrel is held level. Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import accumulate, pairwise

from fillcards.card.model import BarrelView, Exercise, Practice, StaffBarrels
from fillcards.layout.grid import EASE_MM, At, Piece, beside, make_frame, put, stack
from fillcards.layout.poster import fit_barrel
from fillcards.layout.search import NoRoom, find_fitting
from fillcards.layout.sections import Section
from fillcards.layout.sheet import CORNER_MM, GAP_MM, Sheet
from fillcards.layout.styles import ANSWERS, PRACTICE, SMALL_FOOT_TO_PT
from fillcards.picture.scale_view import StopMark
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection
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


def set_practice(sheet: Sheet, practice: Practice) -> Section:
    """The patient's sides, an even number of them.

    Raises:
        NoRoom: an exercise does not fit on a side.
    """
    foot = sheet.titled_foot(8, 8)
    rooms_mm = [sheet.measure_room_mm(_set_head(sheet, practice, page), foot) - sheet.gap_mm for page in (1, 2)]
    bodies = _share_out(sheet, practice, *rooms_mm)
    sides = (
        (_set_head(sheet, practice, number), sheet.lower(body), sheet.titled_foot(number, len(bodies)))
        for number, body in enumerate(bodies, start=1)
    )
    return sheet.make_section(practice.title, sides, PRACTICE.name)


def _set_head(sheet: Sheet, practice: Practice, page: int) -> Piece:
    """On every side that none of it is a dose; what to do where each thing is said once a section, on the first."""
    top = sheet.titled_head(practice.title, practice.only, page, is_small=True)
    if sheet.body_pt > SMALL_FOOT_TO_PT and page > 1:
        return top
    return stack((top, sheet.setter.text(practice.how, sheet.body_pt, sheet.live_mm)), sheet.gap_mm)


def _share_out(sheet: Sheet, practice: Practice, first_mm: float, room_mm: float) -> list[Piece]:
    """The bodies of all sides, as few as hold the exercises; where their number is odd, one more: with the easy ones
    spread wider, or with the first of the patient's own once more.
    """

    def set_all(exercises: Sequence[Exercise], least: int = 1) -> list[Piece]:
        """Sides of about as many exercises each, at least so many."""
        rooms_mm = first_mm if exercises is practice.easy else room_mm, room_mm
        counts = range(max(least, -(-len(exercises) // PRACTICE.most_columns)), len(exercises) + 1)

        def set_sides(count: int) -> list[Piece]:
            cuts = [0, *accumulate(len(exercises) // count + (at < len(exercises) % count) for at in range(count))]
            return [
                _set_side(sheet, practice, exercises[one:other], rooms_mm[one > 0]) for one, other in pairwise(cuts)
            ]

        return find_fitting(counts, set_sides)

    easy, own = set_all(practice.easy), set_all(practice.own)
    if (len(easy) + len(own)) % 2 == 0:
        return [*easy, *own]

    def add_one(more: tuple[int, int]) -> list[Piece]:
        """A side more of the easy ones, or of the patient's own."""
        counts = len(easy) + more[0], len(own) + more[1]
        others = practice.own if more[0] else (*practice.own, practice.own[0])
        wider = [set_all(practice.easy, counts[0]), set_all(others, counts[1])]
        if tuple(map(len, wider)) != counts:
            raise NoRoom
        return [*wider[0], *wider[1]]

    return find_fitting(((1, 0), (0, 1)), add_one)


def _set_side(sheet: Sheet, practice: Practice, exercises: Sequence[Exercise], room_mm: float) -> Piece:
    count, is_upright = len(exercises), practice.barrel.direction is BarrelDirection.NEEDLE_UP
    width_mm, height_mm = sheet.live_mm, room_mm
    if is_upright:
        width_mm = (width_mm - GAP_MM * (count - 1)) / count
    else:
        height_mm = (height_mm - GAP_MM * (count - 1)) / count
    frames = [_set_frame(sheet, practice, each, width_mm, height_mm, is_alone=count == 1) for each in exercises]
    return beside(frames, GAP_MM) if is_upright else stack(frames, GAP_MM)


def _set_frame(
    sheet: Sheet, practice: Practice, exercise: Exercise, width_mm: float, height_mm: float, *, is_alone: bool
) -> Piece:
    """One exercise.

    Raises:
        NoRoom: its barrel has too little room.
    """
    setter, body_pt = sheet.setter, sheet.body_pt
    plate = sheet.plate(exercise.title, body_pt, width_mm, role="H2")
    inner_mm, top_mm = width_mm - 2 * PAD_MM, plate.height_mm + PAD_MM
    room_mm = height_mm - top_mm - PAD_MM
    is_upright = practice.barrel.direction is BarrelDirection.NEEDLE_UP
    bore_mm = min(MOST_BORE_MM, BORE_SHARE * inner_mm)
    fit = partial(_fit_barrel, sheet, practice.barrel, bore_mm=bore_mm, alt=exercise.alt)

    def set_words(own_mm: float) -> Piece:
        lines = setter.lines(exercise.writes, body_pt, own_mm, sheet.gap_mm) if exercise.writes else Piece(0.0, 0.0)
        return stack((setter.text(exercise.task, body_pt, own_mm), lines), sheet.gap_mm)

    def enclose(*parts: At) -> Piece:
        frame = make_frame(width_mm, height_mm, FRAME_MM, CORNER_MM)
        return put(width_mm, height_mm, (At(frame, 0.0, 0.0), At(plate, 0.0, 0.0), *parts))

    def set_beside() -> Piece:
        """Words at the left of an upright barrel."""
        _, barrel = fit(room_mm)
        beside_mm = inner_mm - barrel.width_mm - GAP_MM
        if beside_mm < BESIDE_MM or not setter.fits(exercise.task, body_pt, beside_mm):
            raise NoRoom
        narrow = set_words(beside_mm)
        if narrow.height_mm > room_mm:
            raise NoRoom
        return enclose(At(narrow, PAD_MM, top_mm), At(barrel, PAD_MM + beside_mm + GAP_MM, top_mm))

    def set_below() -> Piece:
        """Words above the barrel."""
        words = set_words(inner_mm)
        down_mm = words.height_mm + sheet.gap_mm
        scale_mm, barrel = fit(room_mm - down_mm if is_upright else inner_mm)
        is_short = scale_mm < PRACTICE.least_mm and not is_alone
        is_large = barrel.width_mm > inner_mm + EASE_MM or down_mm + barrel.height_mm > room_mm + EASE_MM
        if is_short or is_large:
            raise NoRoom
        x_mm = PAD_MM + (inner_mm - barrel.width_mm) / 2
        return enclose(At(words, PAD_MM, top_mm), At(barrel, x_mm, top_mm + down_mm))

    return find_fitting((set_beside, set_below) if is_upright else (set_below,), lambda way: way(), is_strict=True)


def _fit_barrel(
    sheet: Sheet, view: BarrelView, length_mm: float, bore_mm: float | None, alt: Say, marks: tuple[StopMark, ...] = ()
) -> tuple[float, Piece]:
    """An empty barrel as long as the room, and how long its scale is.

    Raises:
        NoRoom: that is shorter than the syringe itself.
    """
    syringe = view.syringe
    sizes, barrel = fit_barrel(sheet, view, length_mm, bore_mm, alt, marks=marks)
    scale_mm = sizes.pitch_mm * float(syringe.last_line / syringe.line_every)
    if scale_mm < float(syringe.scale_length_mm or syringe.shortest_scale_length_mm):
        raise NoRoom
    return scale_mm, barrel


def set_answers(sheet: Sheet, block: StaffBarrels, size_pt: float) -> Iterator[Piece]:
    """Rows of small barrels, each under the title of its exercise, with a wedge where each mark belongs."""
    is_upright = block.barrel.direction is BarrelDirection.NEEDLE_UP
    columns = min(len(block.exercises), ANSWERS.most_columns) if is_upright else 2
    width_mm = (sheet.live_mm - GAP_MM * (columns - 1)) / columns
    small = replace(sheet, body_pt=size_pt)
    for start in range(0, len(block.exercises), columns):
        row: list[Piece] = []
        for exercise in block.exercises[start : start + columns]:
            marks = tuple(StopMark(stop.value, write_number(stop.value)) for stop in exercise.stops)
            length_mm = ANSWERS_MM[columns < len(block.exercises)] if is_upright else width_mm
            _, barrel = _fit_barrel(small, block.barrel, length_mm, None, exercise.answer_alt, marks)
            title = sheet.setter.text(exercise.title, size_pt, width_mm, bold=True)
            row.append(put(width_mm, 0.0, (At(stack((title, barrel), 1.0), 0.0, 0.0),)))
        tall_mm = max(at.placed[-1].box.bottom_mm for at in row)
        yield put(sheet.live_mm, tall_mm, tuple(At(each, at * (width_mm + GAP_MM), 0.0) for at, each in enumerate(row)))
