"""The sheets that go with a card, against the file's text: the practice sheet with its answers, and the log.

Exercises are worked out here once more from the fixed rule, and a mark belongs nowhere but on the answers. Of the log
every box is found between its rules. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import partial
from itertools import accumulate, pairwise
from typing import Final, NamedTuple

from fillcards.readback.expect import EVERY_DAY, Expecting, find_sign
from fillcards.readback.marks import Stroke
from fillcards.readback.parts import ROUNDED, Box, box_of, is_outline, is_solid
from fillcards.readback.pdfium import MM_PER_PT
from fillcards.readback.pictures import find_blank_faults, find_sign_faults
from fillcards.readback.regimen_text import Facts, Filling
from fillcards.readback.saying import Sentence
from fillcards.readback.sides import (
    LARGE,
    LARGE_PRINT,
    LARGEST_STEPS_PT,
    SMALL_FOOT_TO_PT,
    STAFF,
    Part,
    Rules,
    Section,
    compare_rest,
    want_furniture,
    want_helper,
)
from fillcards.readback.staff import list_teach_back
from fillcards.readback.tags import plain
from fillcards.readback.words import EVERYWHERE, Place

SHEETS: Final = {"teaching": "practice-document", "log": "log-document"}
"""Forms that go with a card, and the message of their title."""
FRAME_MM: Final = 40.0
TABLE_PART: Final = 0.75
"""A level rule over so much of a side's width is the table's."""
LEAST_ROW_MM: Final = 10.0
LEAST_BOX_MM: Final = 20.0
"""Of a box to write in."""
TICK_MM: Final = 20.0
RULE_EASE_MM: Final = 0.1
SIGN_LINES: Final = 1.6


class Exercise(NamedTuple):
    """A barrel to mark: what is said, what is written, where the marks belong, and the words for it when marked."""

    title: Sentence
    task: Sentence
    writes: tuple[Sentence, ...]
    stops: tuple[Fraction, ...]
    alt: Sentence


class LogFill(NamedTuple):
    """One fill of a log."""

    title: Sentence
    sign: str
    columns: tuple[Sentence, ...]
    days: tuple[int, ...]


def choose_lines(facts: Facts) -> tuple[tuple[Fraction, ...], ...]:
    """The lines of the three easy exercises, by the rule that the maker's sheet states for its own."""
    line, number, last = facts.line_every, facts.numbered_every, facts.last
    stopped = [drawn.stop for fill in facts.fills for drawn in fill.draws]
    stopped += [drawn.alone for fill in facts.fills for drawn in fill.draws if drawn.vial.takes_air]
    numbers = [number * index for index in range(int(last / number) + 1)]
    lines = [line * index for index in range(int(last / line) + 1)]
    middle = len(numbers) // 2
    found: list[Fraction] = []

    def find(at: int, beyond: Fraction, above: Fraction, below: Fraction) -> Fraction:
        ranked = sorted(range(len(numbers)), key=lambda index: abs(index - at) + index / 1000)
        tried = [numbers[index] + beyond for index in ranked] + lines
        possible = [value for value in tried if above < value <= below]
        free = [value for value in possible if value not in stopped and value not in found]
        found.append((free or possible)[0])
        return found[-1]

    nothing = Fraction(0)
    easy = [(find(middle, nothing, nothing, last),), (find(middle - 1, line, nothing, last),)]
    if not any(fill.is_mixed for fill in facts.fills):
        return (*easy, (find(middle + 1, -line, nothing, last),))
    one = find(max((len(numbers) - 1) // 4, 1), nothing, nothing, last - line)
    return (*easy, (one, find((len(numbers) - 1) * 3 // 4, 2 * line, one, last)))


def say_sheet_title(form: str, expecting: Expecting) -> str:
    """The title of the file."""
    return expecting.say(SHEETS[form], code=expecting.code).text


def _list_exercises(expecting: Expecting) -> Iterator[Exercise]:
    """Three easy ones, then the patient's own."""
    say = expecting.say
    for number, lines in enumerate(choose_lines(expecting.facts), start=1):
        stops = _say_stops(expecting, lines)
        task = say("practice-lines" if len(lines) > 1 else "practice-line", **stops)
        yield Exercise(say("practice-easy", step=str(number)), task, (), lines, _say_marked(expecting, lines))
    for fill in expecting.facts.fills:
        lines = tuple(drawn.stop for drawn in fill.draws)
        task = say("practice-own-lines" if fill.is_mixed else "practice-own")
        writes = tuple(say(f"practice-write-{name}") for name in (("first", "total") if fill.is_mixed else ("line",)))
        yield Exercise(expecting.title(fill), task, writes, lines, _say_marked(expecting, lines))


def _say_stops(expecting: Expecting, lines: tuple[Fraction, ...]) -> dict[str, str]:
    return dict(zip(("first", "total") if len(lines) > 1 else ("stop",), map(expecting.stop, lines), strict=True))


def _say_marked(expecting: Expecting, lines: tuple[Fraction, ...]) -> Sentence:
    name = "alt-practice-lines" if len(lines) > 1 else "alt-practice-line"
    return expecting.say(name, **_say_stops(expecting, lines))


def _choose_rules(expecting: Expecting) -> Rules:
    """In the reader's type, or the helper's."""
    return LARGE_PRINT if SMALL_FOOT_TO_PT < expecting.facts.reader_pt <= LARGEST_STEPS_PT else LARGE


def list_practice(expecting: Expecting) -> Iterator[Part]:
    """A practice sheet: the patient's sides, then the answers."""
    title, for_staff = expecting.say("practice-title"), expecting.for_staff
    yield Part("practice", (title,), _choose_rules(expecting), expecting, partial(_compare_practice, title=title))
    title = for_staff.say("answers-title")
    yield Part("answers", (title,), STAFF, for_staff, partial(_compare_answers, title=title))


def _compare_practice(section: Section, title: Sentence) -> None:
    say, expecting = section.say, section.expecting
    want_furniture(section, title)
    want_helper(section)
    section.want_on_each(say("practice-only"))
    how = say("practice-how-mouth" if expecting.facts.fills[0].is_by_mouth else "practice-how")
    for number in range(len(section.sides) if section.rules is LARGE else 1):
        section.want(how, side=number)
    shown = _compare_exercises(section, tuple(_list_exercises(expecting)))
    section.heads = [_name(each) for each in (title, say("practice-only"), how)]
    section.orders.append(
        [_name(each) for exercise in shown for each in (exercise.title, exercise.task, *exercise.writes)]
    )
    section.alts.append(([say("alt-practice-blank").text] * len(shown),))


def _compare_exercises(section: Section, exercises: tuple[Exercise, ...]) -> tuple[Exercise, ...]:
    """Each in its own frame, its barrel empty. The first of the patient's own may come once more, to fill a side."""
    frames = [
        (number, box_of(shape), shape)
        for number, side in enumerate(section.sides)
        for shape in side.shapes
        if is_outline(shape, ROUNDED) and shape.right_mm - shape.left_mm > FRAME_MM
    ]
    frames.sort(key=lambda frame: (frame[0], round(frame[1].top), frame[1].left))
    if len(frames) == len(exercises) + 1:
        exercises = (*exercises, exercises[3])
    if len(frames) != len(exercises):
        section.tell(f"{len(frames)} exercises, where {len(exercises)} are meant")
        return ()
    for (number, box, frame), exercise in zip(frames, exercises, strict=True):
        side = section.sides[number]
        title = section.want(exercise.title, box, side=number)
        section.want_all((exercise.task, *exercise.writes), box, side=number)
        plates = [shape for shape in side.shapes if is_solid(shape, ROUNDED) and box.holds(*box_of(shape).middle)]
        if title is None or not title.is_light or len(plates) != 1 or not box_of(plates[0]).holds(*title.box.middle):
            section.tell(f'"{exercise.title.text}" does not stand on a plate of its own')
        side.drop(frame, *plates)
        region, runs = side.take_marks(box, -0.01), side.take_runs(box)
        section.tell(*find_blank_faults(region, runs, (), section.facts), where=f", barrel of {exercise.title.text}")
    compare_rest(section, phones={})
    return exercises


def _name(*sentences: Sentence) -> frozenset[str]:
    """What is heard of sentences, one of which comes at a place of an order."""
    return frozenset(plain(each.text) for each in sentences)


def _compare_answers(section: Section, title: Sentence) -> None:
    """Each barrel under its title, with a wedge on each line; then what is to be shown back."""
    say, expecting = section.say, section.expecting
    exercises = tuple(_list_exercises(expecting))
    want_furniture(section, title)
    section.want_on_each(say("practice-only"))
    before = [say("staff-keep"), say("answers-lines"), say("answers-how"), say("answers-own")]
    after = [say("staff-teach"), *list_teach_back(expecting)]
    after += [say(f"answers-write-{name}") for name in ("date", "with", "again")]
    section.want_all(before)
    ends = section.want_all(after)
    for sentence, place in zip(after[1:], ends[1:], strict=False):
        if not sentence.is_write_in:
            _want_tick(section, sentence, place)
    places = section.want_all(exercise.title for exercise in exercises)
    if len(places) == len(exercises):
        for exercise, place in zip(exercises, places, strict=True):
            box = _find_answer_box(section, place, places, ends)
            side = section.sides[place.side]
            told = find_blank_faults(side.take_marks(box), side.take_runs(box), exercise.stops, section.facts)
            section.tell(*told, where=f", answer of {exercise.title.text}")
    compare_rest(section, phones={})
    section.orders.append([_name(each) for each in (*before, *(each.title for each in exercises), *after)])
    section.alts.append(([each.alt.text for each in exercises],))


def _want_tick(section: Section, sentence: Sentence, place: Place) -> None:
    """A short line at the end of the words, to tick or to initial."""
    side = section.sides[place.side]
    for stroke in side.strokes:
        left, right = sorted((stroke.x1_mm, stroke.x2_mm))
        is_beside = 0 <= left - place.box.right < 4.0 and abs(stroke.y1_mm - place.box.bottom) < 3.0
        if stroke.is_horizontal and is_beside and right - left >= TICK_MM:
            side.drop(stroke)
            return
    section.tell(f'"{sentence.text}" has no line to tick')


def _find_answer_box(section: Section, place: Place, titles: Sequence[Place], ends: Sequence[Place]) -> Box:
    """From a title down to the next row of titles or what comes after them, and right to the next title."""
    same = [other.box for other in titles if other.side == place.side]
    reach_mm = 2 * place.size_pt * MM_PER_PT
    row = [box for box in same if abs(box.top - place.box.top) < reach_mm]
    right = min(
        [box.left for box in row if box.left > place.box.left + 1], default=section.sides[place.side].marks.width_mm
    )
    lower = [box.top for box in same if box.top > place.box.top + reach_mm]
    lower += [end.box.top for end in ends if end.side == place.side and end.box.top > place.box.bottom]
    bottom = min(lower, default=section.sides[place.side].marks.height_mm - 20.0)
    return Box(place.box.left - 0.5, place.box.bottom + 0.3, right - 0.5, bottom)


def list_log(expecting: Expecting) -> Iterator[Part]:
    """A log: each fill on one of its sheets, as many on a sheet as it says."""
    left = [_expect_log(fill, expecting) for fill in expecting.facts.fills]
    number = 0
    while left:
        number += 1
        compare = partial(_compare_log, fills=left[:1], left=left)
        yield Part(f"log {number}", (left.pop(0).title,), _choose_rules(expecting), expecting, compare)


def _compare_log(section: Section, fills: list[LogFill], left: list[LogFill]) -> None:
    """A sheet with these fills, and those of the ones left that it bears: each day with its boxes."""
    say, expecting, count = section.say, section.expecting, len(section.sides)
    while left and section.sides[0].bears(left[0].title, is_whole=True):
        fills.append(left.pop(0))
    is_given = any(expecting.facts.is_animal or fill.is_by_mouth for fill in expecting.facts.fills)
    heads = [say("log-look-given" if is_given else "log-look"), say("log-write-from")]
    heads += [section.claims.stop_call, say("log-bring")]
    want_furniture(section, say("log-title"))
    want_helper(section)
    section.want_on_each(*heads)
    for number in range(count):
        section.want(say("log-week", step=str(1 + (number >= count // 2))), side=number)
    _compare_days(section, fills)
    compare_rest(section, phones=dict.fromkeys(range(count), 1))
    columns = _name(*(each for fill in fills for each in fill.columns))
    days = [_name(_say_day(day, expecting), say("log-not-today")) for day in EVERY_DAY]
    section.heads = [_name(each) for each in (say("log-title"), *heads)]
    section.orders.append([*(_name(fill.title) for fill in fills), columns, *days])


def _expect_log(fill: Filling, expecting: Expecting) -> LogFill:
    is_insulin = any(drawn.vial.is_insulin for drawn in fill.draws)
    names = [("reading", is_insulin), ("time", True), ("place", not fill.is_by_mouth), ("note", not is_insulin)]
    columns = tuple(expecting.say(f"log-{name}") for name, is_asked in names if is_asked)
    return LogFill(expecting.title(fill), find_sign(fill.when), columns, fill.days)


def _say_day(day: int, expecting: Expecting) -> Sentence:
    return expecting.say("log-day", day=expecting.write.days((day,)))


def _compare_days(section: Section, fills: Sequence[LogFill]) -> None:
    """The tables of all sides: two weeks, each from Monday to Sunday."""
    half = len(section.sides) // 2
    for week in (section.sides[:half], section.sides[half:]):
        days = list(EVERY_DAY)
        for side in week:
            number = section.sides.index(side)
            days = _compare_table(section, number, fills, days)
        if days:
            section.tell(f"{len(days)} days of a week have no boxes")


def _compare_table(section: Section, number: int, fills: Sequence[LogFill], days: list[int]) -> list[int]:
    """One side's table, which begins with the first of these days; the days that are left for the next."""
    side = section.sides[number]
    rules = sorted(
        (s for s in side.strokes if s.is_horizontal and abs(s.x2_mm - s.x1_mm) > TABLE_PART * side.marks.width_mm),
        key=lambda stroke: stroke.y1_mm,
    )
    levels = [rule.y1_mm for rule in rules]
    if len(levels) < 3 or len(levels) - 2 > len(days):
        section.tell(f"{len(levels)} rules across its table", where=f", side {number + 1}")
        return []
    left, right = min(min(r.x1_mm, r.x2_mm) for r in rules), max(max(r.x1_mm, r.x2_mm) for r in rules)
    table = Box(left, levels[0], right, levels[-1])
    uprights = [s for s in side.strokes if s.is_vertical and table.holds(s.x1_mm, (s.y1_mm + s.y2_mm) / 2)]
    side.drop(*rules, *uprights)
    strips = list(pairwise(levels))
    edges = _list_edges(uprights, strips[0])
    count = sum(len(fill.columns) for fill in fills)
    is_framed = len(edges) == count + 2 and abs(edges[0] - left) < 1.0 and abs(edges[-1] - right) < 1.0
    widths = [other - one for one, other in pairwise(edges)]
    if not is_framed or min(widths[1:]) < LEAST_BOX_MM:
        section.tell("its columns are not those of its fills, or too narrow", where=f", side {number + 1}")
        return []
    starts = accumulate((len(fill.columns) for fill in fills), initial=1)
    groups = [(fill, (start, start + len(fill.columns))) for fill, start in zip(fills, starts, strict=False)]
    for fill, (start, end) in groups:
        _compare_heading(section, number, fill, edges[start : end + 1], strips[0])
    for day, (top, bottom) in zip(days, strips[1:], strict=False):
        said = _say_day(day, section.expecting)
        section.want(said, Box(edges[0], top, edges[1], bottom), side=number)
        hidden: set[float] = set()
        for fill, (start, end) in groups:
            if day not in fill.days:
                section.want(section.say("log-not-today"), Box(edges[start], top, edges[end], bottom), side=number)
                hidden |= set(edges[start + 1 : end])
        meant = [edge for edge in edges if edge not in hidden]
        if bottom - top < LEAST_ROW_MM or not _are_same(_list_edges(uprights, (top, bottom)), meant):
            section.tell(f"the boxes of {said.text} are not as meant", where=f", side {number + 1}")
    return days[len(strips) - 1 :]


def _compare_heading(
    section: Section, number: int, fill: LogFill, edges: Sequence[float], strip: tuple[float, float]
) -> None:
    """Above the table the fill's name and sign; over each column what is written there."""
    top, bottom = strip
    side = section.sides[number]
    place = section.want(fill.title, Box(edges[0], EVERYWHERE.top, edges[-1], top), side=number)
    if place:
        rise_mm = SIGN_LINES * place.size_pt * MM_PER_PT
        sign = side.take_marks(Box(edges[0], top - rise_mm, place.box.left, top - 0.5))
        section.tell(*find_sign_faults(fill.sign, sign), where=f", sign of {fill.title.text}")
        if top - place.box.bottom > rise_mm:
            section.tell(f'"{fill.title.text}" does not stand at its table')
    for heading, left, right in zip(fill.columns, edges, edges[1:], strict=False):
        section.want(heading, Box(left, top, right, bottom), side=number)


def _list_edges(uprights: Sequence[Stroke], strip: tuple[float, float]) -> list[float]:
    """From left to right, upright rules that reach from one level rule to the next."""
    top, bottom = strip
    spans = ((s.x1_mm, *sorted((s.y1_mm, s.y2_mm))) for s in uprights)
    return sorted(x for x, low, high in spans if abs(low - top) < RULE_EASE_MM and abs(high - bottom) < RULE_EASE_MM)


def _are_same(seen: Sequence[float], meant: Sequence[float]) -> bool:
    return len(seen) == len(meant) and all(abs(a - b) < RULE_EASE_MM for a, b in zip(seen, meant, strict=True))
