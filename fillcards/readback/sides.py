"""Printed sides against the claims: every sentence once, whole, in its place; every mark a part of a thing.

Where a sentence may stand is asked as well: a panel's words below its own order words, a step's words and picture in
the row of its own number, a vial's words in its own frame. Which layout a side has is the maker's choice. Lengths in
mm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import combinations, pairwise
from typing import Final, NamedTuple, TypeAlias

from fillcards.readback.blocks import Word
from fillcards.readback.expect import Expecting
from fillcards.readback.linear import compare_lines, list_scan_words
from fillcards.readback.marks import PageMarks, Shape, Stroke
from fillcards.readback.model import (
    AIR_FIRST,
    IN_DECK,
    IN_SHORT,
    ON_NARROW,
    FillClaims,
    Order,
    Panel,
    Step,
    VialClaims,
    shorten,
)
from fillcards.readback.parts import (
    ROUNDED,
    Box,
    Pointed,
    Region,
    box_of,
    describe_mark,
    is_outline,
    is_solid,
    is_upright,
    name_mark,
)
from fillcards.readback.pdfium import MM_PER_PT
from fillcards.readback.pictures import find_barrel_faults, find_scene_faults, find_sign_faults, read_points
from fillcards.readback.saying import STAFF_LANGUAGE, Sentence, say_again
from fillcards.readback.scan_code import LEAST_MODULE_MM, QUIET_MODULES, Code, UnreadableCode, read_code
from fillcards.readback.words import EVERYWHERE, Place, Side, is_weighed
from fillcards.typeface import ACCENT_EM, measure_extent_em


class Rules(NamedTuple):
    """Least sizes of a kind of side: of words, of its foot, of a figure, of its margins less half a stroke."""

    least_pt: float
    foot_pt: float
    figure_pt: float
    margin_mm: float


LARGE: Final = Rules(14.0, 12.0, 76.0, 11.7)
LARGE_PRINT: Final = Rules(14.0, 14.0, 76.0, 11.7)
DECK: Final = Rules(14.0, 12.0, 140.0, 11.7)
SMALL: Final = Rules(12.0, 9.0, 30.0, 5.7)
STAFF: Final = Rules(10.0, 10.0, 10.0, 11.7)
SAID_AGAIN: Final = ("unsure", "past-two")
"""On more sides than a sheet has, these may leave the front: whom to call is at the head of every other side, what to
do past a total is in the step that checks it."""
SPILL_SIDES: Final = 3
"""So many sides after a front may begin with a sum, or with what tells the vials apart, that it could not hold."""
LARGEST_STEPS_PT: Final = 36.0
SMALL_FOOT_TO_PT: Final = 20.0
"""A larger reader's foot is no smaller than any other words."""
RULE_MM: Final = 25.0
"""A level stroke at least so long divides, or is to be written on."""
LEAST_RULE_MM: Final = 50.0
"""Between rows of steps: no column of two is as narrow, and no picture in it as wide."""
WRITE_MM: Final = 30.0
NARROW_MM: Final = 120.0
FIGURE_GAP_MM: Final = 8.0
JOINT_MM: Final = 1.0
NUMBER_EM: Final = 0.85
"""Of a step, in type sizes of its words."""
COMMA_EM: Final = 0.14
"""How far the decimal sign of some languages hangs below a figure."""
LIFT_EASE_EM: Final = 0.03
ON_A_SHEET: Final = 2
LARGEST_CODE_MM: Final = 70.0
CODE_EASE_MM: Final = 0.3
"""How a code's picture, its white with it, may begin above its caption; and how words may reach out of their line."""
ONCE_PT: Final = 32.0
"""On a deck, least size in which its title and whose it is stand once."""
SIGN_RISE_MM: Final = 3.0
"""In a deck's foot, how far above the count of sides the sign of the fill may begin."""


Boxes: TypeAlias = Box | Mapping[int, Box]
"""Where a sentence may stand: alike on every side that is asked, or in a box of each of some sides."""


class Section:
    """The sides of one section while its claims are looked for. Faults are collected as sentences for people; beside
    them what its tags must tell, as ``Compared`` has it.
    """

    def __init__(self, sides: Sequence[Side], name: str, rules: Rules, expecting: Expecting) -> None:
        self.sides = sides
        self.name = name
        self.rules = rules
        self.expecting = expecting
        self.facts, self.claims, self.say = expecting.facts, expecting.claims, expecting.say
        self.faults: list[str] = []
        self.alts: list[tuple[list[str], ...]] = []
        self.orders: list[Order] = []
        self.heads: Order = []
        self.in_row: list[str] = []

    def tell(self, *faults: str, where: str = "") -> None:
        """Collect faults."""
        self.faults += [f"{self.name}{where}: {fault}" for fault in faults]

    def take(
        self,
        sentence: Sentence,
        box: Boxes = EVERYWHERE,
        *,
        side: int | None = None,
        least_pt: float | None = None,
    ) -> Place | None:
        """A sentence that may stand in a box of this side, or of one of the sides; or in one box of several sides."""
        least_pt = self.rules.least_pt if least_pt is None else least_pt
        numbers = range(len(self.sides)) if side is None else (side,)
        boxes = dict.fromkeys(numbers, box) if isinstance(box, Box) else box
        found = (self.sides[number].take(sentence, each, least_pt, number) for number, each in boxes.items())
        return next(filter(None, found), None)

    def want(
        self,
        sentence: Sentence,
        box: Boxes = EVERYWHERE,
        *,
        side: int | None = None,
        least_pt: float | None = None,
    ) -> Place | None:
        """A sentence that must stand there, with its line to write on."""
        place = self.take(sentence, box, side=side, least_pt=least_pt)
        if place is None:
            self.miss(sentence)
        elif sentence.is_write_in:
            self._want_rule(sentence, place)
        return place

    def miss(self, sentence: Sentence) -> None:
        """Tell that a sentence is not where it must stand."""
        self.tell(f'missing, changed, in the wrong place or too small: "{sentence.text}" ({sentence.id})')

    def want_all(
        self, sentences: Iterable[Sentence], box: Boxes = EVERYWHERE, *, side: int | None = None
    ) -> list[Place]:
        """Several; the places of those found."""
        return [place for each in sentences if (place := self.want(each, box, side=side))]

    def take_write_ins(self, sentence: Sentence, side: int) -> None:
        """As often as it stands there, each time with its line to write on."""
        while place := self.take(sentence, side=side):
            self._want_rule(sentence, place)

    def want_on_each(self, *sentences: Sentence) -> None:
        """Some that must stand on every side."""
        for number in range(len(self.sides)):
            self.want_all(sentences, side=number)

    def _want_rule(self, sentence: Sentence, place: Place) -> None:
        """A line to write on, beside the words or below them."""
        side = self.sides[place.side]
        size = place.size_pt * MM_PER_PT
        for stroke in side.strokes:
            left, right = sorted((stroke.x1_mm, stroke.x2_mm))
            down = stroke.y1_mm - place.box.bottom
            is_beside = left >= place.box.right and left - place.box.right < 2 * size and abs(down) < 0.6 * size
            is_below = abs(left - place.box.left) < size and 0 < down < 2 * size
            if stroke.is_horizontal and right - left >= WRITE_MM and (is_beside or is_below):
                side.drop(stroke)
                return
        self.tell(f'"{sentence.text}" has no line to write on')

    def finish(self) -> list[str]:
        """All faults, with what stands there and should not."""
        for number, side in enumerate(self.sides, start=1):
            where = f", side {number}"
            self.tell(*(f'not asked for: "{text}"' for text in side.list_left()), where=where)
            self.tell(*find_margin_faults(side, self.rules.margin_mm), where=where)
        return self.faults


class Part(NamedTuple):
    """A section that a form must have: its name in faults, the titles on its first side, how it is compared."""

    name: str
    titles: tuple[Sentence, ...]
    rules: Rules
    expecting: Expecting
    compare: Callable[[Section], None]


def split_sections(sides: Iterable[Side], language: str) -> list[list[Side]] | None:
    """Sides by section: a new one begins at each side 1; ``None`` if the numbers do not count as they should."""
    sections: list[list[Side]] = []
    expected: list[int] = []
    for side in sides:
        page = side.find_page(language) or side.find_page(STAFF_LANGUAGE)
        if page is None:
            return None
        if page[0] == 1:
            sections.append([])
            expected.append(page[1])
        if not sections or page != (len(sections[-1]) + 1, expected[-1]):
            return None
        sections[-1].append(side)
    return sections if [len(section) for section in sections] == expected else None


def want_furniture(
    section: Section,
    title: Sentence,
    *,
    whose: Iterable[Sentence] | None = None,
    foot: Sentence | None = None,
    has_date: bool = True,
) -> list[float]:
    """What stands on every side: band, whose, title, code and date, which side of how many; and how high on each side
    the count begins.
    """
    tops: list[float] = []
    claims, count, least_pt = section.claims, len(section.sides), section.rules.foot_pt
    short = section.say("card-code", code=claims.code)
    for number in range(count):
        section.want(title, side=number)
        for sentence in (claims.band, *(claims.whose if whose is None else whose)):
            section.want(sentence, side=number, least_pt=least_pt)
        page = section.say("page", page=str(number + 1), pages=str(count))
        place = section.want(page, side=number, least_pt=least_pt)
        tops.append(place.box.top if place else EVERYWHERE.bottom)
        # In large type the date, and what to do with older cards, may stand on the last side alone; of a deck, on the
        # helper's sheet.
        if (has_date and number == count - 1) or not section.take(short, side=number, least_pt=least_pt):
            section.want(foot or claims.foot, side=number, least_pt=least_pt)
    return tops


def compare_fill(section: Section, fill: FillClaims, helper: Sentence | None = None) -> None:
    """A fill's sides: the front, which may say that it is for a helper, then the steps."""
    if helper:
        section.want(helper, side=0)
    count, claims, language = len(section.sides), section.claims, section.facts.language
    want_furniture(section, fill.title)
    for number in range(1, count):
        section.want_all((fill.running, claims.stop_call), side=number)
    if section.rules is not SMALL:
        pointed = _take_pointer(section)
        section.want(section.say("wrong-other-sheet", text=claims.vials.title.text), side=count - 1)
        for number in range(1, count - 1):
            section.want(section.say("go-on", page=str(number + 2)), side=number, least_pt=section.rules.foot_pt)
    else:
        compare_codes(section, (fill,))
    short = ON_NARROW if section.sides[0].marks.width_mm < NARROW_MM else {}
    section.want_all(shorten(each, short, language) for each in (*fill.above, *fill.news))
    calls: Counter[int] = Counter(range(1, count))
    again = [each for each in fill.below if each.id.startswith(SAID_AGAIN)]
    meant = [each for each in fill.below if each not in again]
    below = section.want_all(shorten(each, short, language) for each in meant)
    is_sheet = section.rules is SMALL or (section.rules is not LARGE_PRINT and count <= ON_A_SHEET)
    for each in again:
        if is_sheet or section.sides[0].bears(each, is_whole=False):
            said = section.want_all([each])
            calls.update(place.side for place in said if each.id.startswith("unsure"))
            below += said
    compare_panels(section, fill, [place for place in below if place.side == 0])
    if not is_sheet:
        section.take_write_ins(section.say("write-done"), count - 1)
    with_steps = _compare_steps(section, fill.steps)
    if section.rules is not SMALL and with_steps and pointed != (min(with_steps), max(with_steps)):
        section.tell(f"steps on sides {sorted(number + 1 for number in with_steps)}, which its front does not say")
    for number in range(count):
        section.take(section.say("too-fine"), side=number)
    compare_rest(section, fill.sign, phones=None if section.rules is SMALL else calls)


def compare_deck(section: Section, fill: FillClaims) -> None:
    """A fill for readers above 36 pt: one fact a side; each stop under its own order words, with its close-up."""
    claims, language = section.claims, section.facts.language
    for sentence in (fill.title, *claims.whose):  # large once, before the small words of every side
        section.want(sentence, least_pt=ONCE_PT)
    tops = want_furniture(section, fill.title, has_date=False)
    for side, top in zip(section.sides, tops, strict=True):
        sign = side.take_marks(EVERYWHERE._replace(top=top - SIGN_RISE_MM))
        section.tell(*find_sign_faults(fill.sign, sign), where=", sign")
    lines = [
        shorten(each, IN_DECK, language) for each in (*fill.above, *fill.news, *fill.below) if each.id not in AIR_FIRST
    ]
    if fill.title.id != "title":  # the title names the days
        days = [each for each in lines if each.id in {"deck-only-day", "deck-only-days"}]
        lines = [each for each in lines if each not in days]
        for sentence in days:
            section.take(sentence)
    has_air = any(each.id in AIR_FIRST for each in fill.above)
    section.want_all((*lines, section.say("deck-steps-air" if has_air else "deck-steps")))
    for number in range(1, len(section.sides)):
        section.take(fill.title, side=number)
    section.take(claims.band, side=0)  # large once more, beside the small words of every side
    ways = [_compare_stop(section, panel) for panel in fill.panels]
    if any(len(set(shown) - {None}) > 1 for shown in zip(*ways, strict=True)):
        section.tell("its stops are not all shown in the same way")
    compare_rest(section)


def _compare_stop(section: Section, panel: Panel) -> tuple[bool | None, ...]:
    """A stop's side of a deck, under its own order words.

    Returns whether its figure is in words, too, whether it has a picture, and whether its vial's mark is there;
    ``None`` for the last where the vial has none. The sum may be left out.
    """
    dose = say_again(section.facts.language, "deck-dose", panel.medicine, panel.dose)
    count = shorten(panel.counting, IN_DECK, section.facts.language)
    short_bar = shorten(panel.bar, IN_SHORT, section.facts.language)
    for number, side in enumerate(section.sides):
        if not all(side.bears(each, is_whole=True) for each in (panel.figure, dose)):
            continue
        if not (section.take(short_bar, side=number) or section.take(panel.bar, side=number)):
            continue
        section.want_all((dose, count), side=number)
        section.want(panel.figure, side=number, least_pt=DECK.figure_pt)
        has_words = section.take(panel.figure_words, side=number) is not None
        marks = [section.take(note, side=number) for note in panel.notes if note.id == "panel-mark"]
        if panel.sum:
            section.take(panel.sum, side=number)
        side.drop(*(s for s in side.shapes if name_mark(s) in {f"outline {ROUNDED}", f"solid {ROUNDED}"}))
        region, runs = side.take_marks(EVERYWHERE), side.take_runs(EVERYWHERE)
        has_picture = bool(region.strokes or region.shapes or runs)
        if has_picture:
            faults = find_scene_faults(panel.barrel._replace(kind="close_up"), region, runs, section.facts)
            section.tell(*faults, where=f", picture of {panel.medicine.text}")
        return has_words, has_picture, marks[0] is not None if marks else None
    section.tell(f'no side says "{panel.bar.text}", "{panel.figure.text}" and "{dose.text}"')
    return False, False, None


def _find_plate(side: Side, box: Box) -> Box | None:
    """The black plate behind light words."""
    plates = [box_of(s) for s in side.shapes if is_solid(s, ROUNDED) and box_of(s).holds(*box.middle)]
    return min(plates, key=lambda plate: plate.right - plate.left) if plates else None


def compare_panels(section: Section, fill: FillClaims, below: list[Place]) -> None:
    """The stops of a front: words, figure and barrel of each; what a front cannot hold, on the side after it."""
    side, facts = section.sides[0], section.facts
    plates: list[Box] = []
    for panel in fill.panels:
        place = section.take(panel.bar, side=0) or section.take(shorten(panel.bar, IN_SHORT, facts.language), side=0)
        plate = _find_plate(side, place.box) if place and place.is_light else None
        if plate is None:
            section.tell(f'missing or changed: "{panel.bar.text}" ({panel.bar.id})')
            return
        plates.append(plate)
    if any(other.left < plate.right and other.top < plate.bottom for plate, other in pairwise(plates)):
        section.tell("its stops do not come one after the other")
    end = min([place.box.top for place in below if place.box.top > plates[0].bottom], default=side.marks.height_mm)
    boxes, figures, lowest = [], [], 0.0
    has_own = any(is_outline(shape, ROUNDED) and box_of(shape).holds(*plates[0].middle) for shape in side.shapes)
    for panel, plate in zip(fill.panels, plates, strict=True):
        under = [other.top for other in plates if other.top > plate.bottom and other.left < plate.right]
        box = Box(plate.left, plate.bottom, plate.right, min([*under, end]))
        boxes.append(box)
        places = section.want_all((panel.medicine, panel.dose, panel.figure_words), box, side=0)
        counted = section.take(panel.counting, box, side=0)
        if counted is None and not has_own and section.rules is LARGE_PRINT:
            # In the largest type, how to count to a line may stand on a side after, with the line's own words.
            section.want_all((panel.figure_words, panel.counting), side=_find_later(section, panel.counting))
        elif counted is None:
            section.want(panel.counting, box, side=0)
        else:
            places.append(counted)
        figures.append(section.want(panel.figure, box, side=0, least_pt=section.rules.figure_pt))
        lowest = max([lowest, *(place.box.bottom for place in places)])
        under_all = Box(0.0, lowest, side.marks.width_mm, end)
        if panel.sum and not any(section.take(panel.sum, each, side=0) for each in (box, under_all)):
            section.want(panel.sum, side=_find_later(section, panel.sum, SPILL_SIDES))
        missing = [note for note in panel.notes if not section.take(note, box, side=0)]
        if missing:
            section.want_all((panel.medicine, *missing), side=_find_later(section, panel.medicine, SPILL_SIDES))
    if any(figure is None for figure in figures):
        return
    if has_own:
        for panel, box, figure in zip(fill.panels, boxes, figures, strict=True):
            region = _drop_frames(side.take_marks(box, -0.01))
            hanging_mm = COMMA_EM * figure.size_pt * MM_PER_PT if figure and "," in panel.figure.text else 0.0
            tied = figure.box._replace(bottom=figure.box.bottom + hanging_mm) if figure else box
            tie, faults = _find_tie(region, side.draw_box(tied))
            runs = side.take_runs(box)
            marks = [(panel.barrel.stop or Fraction(0), "")]
            told = find_barrel_faults(panel.barrel, _without(region, tie), runs, marks, "solid 3", facts)
            section.tell(*faults, *told, where=f", picture of {panel.medicine.text}")
    else:
        # Right of the words where it is held upright; below them, across the side, where it is held level.
        left = plates[0].right if facts.direction == "needle_up" else 0.0
        box = Box(left, plates[0].top, side.marks.width_mm, end)
        region = _drop_frames(side.take_marks(box, -0.01))
        marks = [(panel.barrel.stop or Fraction(0), panel.figure.text) for panel in fill.panels]
        more = f"{len(marks)} solid 3"
        told = find_barrel_faults(fill.panels[-1].barrel, region, side.take_runs(box), marks, more, facts)
        section.tell(*told, where=", picture of its stops")


def _find_later(section: Section, sentence: Sentence, last: int | None = None) -> int:
    """The side after the front that says it; the first of them where none does."""
    later = range(1, len(section.sides))[:last]
    found = (number for number in later if section.sides[number].bears(sentence, is_whole=True))
    return next(found, min(1, len(section.sides) - 1))


def _drop_frames(region: Region) -> Region:
    """A region without frames, plates and the arrow that joins two plates."""
    frames = (f"outline {ROUNDED}", f"solid {ROUNDED}", "both 3")
    return region._replace(shapes=tuple(s for s in region.shapes if name_mark(s) not in frames))


def _without(region: Region, strokes: Sequence[Stroke]) -> Region:
    gone = set(map(id, strokes))
    return region._replace(strokes=tuple(s for s in region.strokes if id(s) not in gone))


def _find_tie(region: Region, figure: Box) -> tuple[list[Stroke], list[str]]:
    """The shaft of the arrow from a figure to the edge: strokes end to end, back from its head to the figure."""
    heads = read_points(region)
    if len(heads) != 1:
        return [], [f"{len(heads)} arrows tie its figure to the barrel"]
    joints = [_find_base(region, heads[0])]
    shaft: list[Stroke] = []
    for _ in range(3):
        for stroke in region.strokes:
            touches = any(math.dist(end, joint) <= JOINT_MM for end in _ends(stroke) for joint in joints)
            is_same = not shaft or abs(stroke.width_mm - shaft[0].width_mm) < 0.02
            if touches and is_same and stroke not in shaft and not stroke.is_dashed and stroke.width_mm > 0.6:
                shaft.append(stroke)
                joints += _ends(stroke)
    gaps = [max(figure.left - x, x - figure.right, figure.top - y, y - figure.bottom) for x, y in joints]
    return shaft, [] if shaft and min(gaps) <= FIGURE_GAP_MM else ["no arrow ties its figure to the barrel"]


def _ends(stroke: Stroke) -> tuple[tuple[float, float], tuple[float, float]]:
    return (stroke.x1_mm, stroke.y1_mm), (stroke.x2_mm, stroke.y2_mm)


def _find_base(region: Region, head: Pointed) -> tuple[float, float]:
    box = next(box_of(s) for s in region.shapes if is_solid(s, 3) and box_of(s).holds(head.x, head.y))
    x, y = box.middle
    return {"right": (box.left, y), "left": (box.right, y), "down": (x, box.top), "up": (x, box.bottom)}[head.way]


def compare_codes(section: Section, fills: Sequence[FillClaims]) -> None:
    """The codes to scan, where a side has room for them: all of these fills or none, each left of its own caption."""
    captions = (section.say("scan-caption", text=fill.title.text) for fill in fills)
    places = [place for caption in captions if (place := section.take(caption))]
    if not places:
        return
    if len(places) != len(fills):
        section.tell("not every fill has its code to scan")
        return
    starts = [0.0, *(place.box.right for place in places)]
    for fill, place, start in zip(fills, places, starts, strict=False):
        side = section.sides[place.side]
        top = place.box.top - CODE_EASE_MM
        region = Box(start, top, place.box.left, top + LARGEST_CODE_MM)
        found = [s for s in side.shapes if is_solid(s, 4) and region.holds(*s.middle) and is_upright(s)]
        side.drop(*found)
        bars = side.draw((), found).shapes
        where = f', code to scan of "{fill.title.text}"'
        try:
            code = read_code([box_of(bar) for bar in bars])
        except UnreadableCode as error:
            section.tell(str(error), where=where)
            continue
        if any(bar.fill for bar in bars):
            section.tell("it is not black", where=where)
        section.tell(
            *compare_lines(code.words.split("\n"), list_scan_words(section.claims, fill), "code to scan"), where=where
        )
        if code.module_mm < LEAST_MODULE_MM - 0.01:
            section.tell(f"its modules are {code.module_mm:.2f} mm, too small", where=where)
        section.tell(*_find_near(side, code, bars), where=where)


def _find_near(side: Side, code: Code, bars: Sequence[Shape]) -> Iterator[str]:
    """What stands in the white that every code needs around it."""
    quiet = QUIET_MODULES * code.module_mm - CODE_EASE_MM
    white = Box(code.box.left - quiet, code.box.top - quiet, code.box.right + quiet, code.box.bottom + quiet)
    for left, top, right, bottom in _list_boxes(side.drawn, bars):
        if left < white.right and right > white.left and top < white.bottom and bottom > white.top:
            yield "something stands in the white around it"
            return


def _list_boxes(marks: PageMarks, but: Iterable[Shape] = ()) -> Iterator[tuple[float, float, float, float]]:
    """Of everything on a side but some shapes: left, top, right, bottom."""
    gone = set(map(id, but))
    yield from (stroke.box for stroke in marks.strokes)
    yield from (box_of(shape) for shape in marks.shapes if id(shape) not in gone)
    yield from ((run.x_mm, run.y_mm - run.height_mm, run.right_mm, run.y_mm) for run in marks.runs)


def _take_pointer(section: Section) -> tuple[int, int] | None:
    """The first and the last side with steps, counted from 0, as the front says."""
    for first, last in [(1, 1), *combinations(range(1, len(section.sides)), 2)]:
        numbers = {"page": str(first + 1), "pages": str(last + 1)}
        pointer = section.say("other-side") if last == 1 else section.say("other-sides", **numbers)
        if section.take(pointer, side=0, least_pt=section.rules.foot_pt):
            return first, last
    section.tell("its front does not say where the steps are")
    return None


def _compare_steps(section: Section, steps: Sequence[Step]) -> set[int]:
    """Each step in the row of its own number, with its picture at its left; on which sides steps are."""
    cells: list[tuple[int, Box, float]] = []
    for number in range(1, len(steps) + 1):
        found = [(at, word) for at, side in enumerate(section.sides) if (word := side.take_number(str(number)))]
        if len(found) != 1 or (cells and found[0][0] < cells[-1][0]):
            section.tell(f"step {number} has no number of its own")
            return set()
        at, word = found[0]
        side = section.sides[at]
        discs = [s for s in side.shapes if s.is_round and box_of(s).holds(word.x_mm, word.y_mm) and s.fill is not None]
        side.drop(*discs)
        left, top = (discs[0].left_mm, discs[0].top_mm) if discs else (word.x_mm, word.y_mm - word.size_pt * MM_PER_PT)
        cells.append((at, Box(left, top, word.x_mm, word.y_mm), word.size_pt))
    rules = [_take_rules(side) for side in section.sides]
    for at, side in enumerate(section.sides):
        section.tell(*_find_column_faults(side, [box for side_at, box, _ in cells if side_at == at]))
    bare = 0
    sizes: set[float] = set()
    for index, ((at, number_box, size_pt), step) in enumerate(zip(cells, steps, strict=True)):
        side = section.sides[at]
        others = [box for side_at, box, _ in cells if side_at == at]
        lift_mm = _measure_lift_em(section.facts.language) * size_pt * MM_PER_PT
        box = _find_cell(side, number_box._replace(top=number_box.top - lift_mm), others, rules[at])
        words = side.take_words(box._replace(left=number_box.left - 0.3))
        where = f", step {index + 1}"
        section.tell(*find_text_faults(words, step.say, section.rules.least_pt), where=where)
        cell = box._replace(right=number_box.left)
        region, runs = side.take_marks(cell), side.take_runs(cell)
        sizes |= {run.size_pt for run in runs}
        is_bare = not (region.strokes or region.shapes or runs)
        if section.rules is SMALL and is_bare:
            bare += 1
            continue
        faults = find_scene_faults(step.picture, region, runs, section.facts)
        section.tell(*faults, where=f"{where}, picture")
    if len(sizes) > 1 or len({size_pt for _, _, size_pt in cells}) > 1:
        section.tell("the words of its pictures, or the numbers of its steps, are not all as large")
    if bare not in {0, len(steps)}:
        section.tell(f"{bare} of {len(steps)} steps have no picture")
    return {at for at, _, _ in cells}


def _measure_lift_em(language: str) -> float:
    """How much lower the first line of a step may stand than in English, below marks over letters, in type sizes of its
    number.
    """
    return max(0.0, measure_extent_em(language)[0] - ACCENT_EM + LIFT_EASE_EM) / NUMBER_EM if language != "en" else 0.0


def _take_rules(side: Side) -> list[tuple[float, float, float]]:
    """Level strokes across a column: height, left and right end."""
    found = [s for s in side.strokes if s.is_horizontal and not s.is_dashed and abs(s.x2_mm - s.x1_mm) > LEAST_RULE_MM]
    side.drop(*found)
    return [(s.y1_mm, min(s.x1_mm, s.x2_mm), max(s.x1_mm, s.x2_mm)) for s in found]


def _find_column_faults(side: Side, numbers: list[Box]) -> Iterator[str]:
    """One upright rule between two columns of steps, past all of their numbers, so that nobody reads across."""
    lefts = [box.left for box in numbers]
    if not lefts or max(lefts) - min(lefts) <= side.marks.width_mm / 3:
        return
    top, bottom = min(box.top for box in numbers), max(box.bottom for box in numbers)
    # The walls of a large close-up are upright and long as well, but not as long as all steps.
    upright = [s for s in side.strokes if s.is_vertical and not s.is_dashed]
    found = [s for s in upright if min(s.y1_mm, s.y2_mm) <= top and max(s.y1_mm, s.y2_mm) >= bottom]
    if len(found) == 1 and min(lefts) < found[0].x1_mm < max(lefts):
        side.drop(*found)
    else:
        yield "no rule parts its columns of steps"


def _find_cell(side: Side, number: Box, others: list[Box], rules: list[tuple[float, float, float]]) -> Box:
    """The cell of a step: between the rules above and below its number, in its column; at the top of a column from
    its number on, at the foot down to the end of what stands there.
    """
    starts = sorted({round(box.left) for box in others})
    mine = [rule for rule in rules if rule[1] - 3.0 < number.left < rule[2]]
    width = side.marks.width_mm
    left, right = (min(r[1] for r in mine), max(r[2] for r in mine)) if mine else (0.0, width)
    if not mine and len(starts) > 1 and starts[-1] - starts[0] > width / 3:
        left, right = (0.0, width / 2) if number.left < width / 2 else (width / 2, width)
    above = [rule[0] for rule in mine if rule[0] < number.bottom]
    below = [rule[0] for rule in mine if rule[0] > number.bottom]
    foot = side.marks.height_mm - 12.0
    return Box(left, max(above, default=number.top - 1.0) + 0.05, right, min(below, default=foot) - 0.05)


def find_text_faults(words: list[Word], meant: Sentence, least_pt: float) -> Iterator[str]:
    """Whether words on a side are a sentence; a hyphen and a line's end inside a word are the layout's."""
    said, text = " ".join(word.text for word in words), meant.text
    if not (said == text or said.replace("- ", "") == text.replace("-", "") or said.replace("- ", "-") == text):
        yield f'says "{said}", should say "{text}"'
    elif not is_weighed(words, meant):
        yield f'other words than should be are bold in "{text}"'
    if min((word.size_pt for word in words), default=0.0) < least_pt:
        yield "its words are too small"
    elif len({word.size_pt for word in words}) > 1:
        yield "its words are not all as large"


def compare_vials(section: Section) -> None:
    """The sheet "Your vials": each vial's words in its own frame, with its picture."""
    vials = section.claims.vials
    want_helper(section)
    compare_codes(section, section.claims.fills)
    want_furniture(section, vials.title)
    headings = [section.want(vial.heading) for vial in vials.vials]
    ends = [*headings[1:], section.want(vials.rest[0])]
    found = [(v, at, end) for v, at, end in zip(vials.vials, headings, ends, strict=True) if at and end]
    regions = [_want_vial_lines(section, *each) for each in found]
    for (vial, heading, end), region in zip(found, regions, strict=True):
        region = region or _cut_vial(section.sides[heading.side], heading, end)
        faults = find_scene_faults(vial.picture, region, (), section.facts)
        section.tell(*faults, where=f', picture of "{vial.lines[0].text}"')
    section.want_all((vials.keep, *(each for each in vials.rest[1:] if not _is_wrong(each))))
    for title in (each for each in vials.rest if each.id == "wrong-title"):
        place = section.want(title)
        points = section.want_all(each for each in vials.rest if _is_wrong(each) and each is not title)
        _want_again(section, title, place, points)
    for number, side in enumerate(section.sides):
        emergency = section.say("emergency")
        if not any(emergency.text in said for said in side.said):
            section.want(emergency, side=number, least_pt=section.rules.foot_pt)
        section.take(vials.keep, side=number)
    compare_rest(section)


def _is_wrong(sentence: Sentence) -> bool:
    """Whether it is under "If something goes wrong", or that heading itself."""
    return sentence.id.startswith("wrong-") or sentence.id == "clinic-says"


def _want_again(section: Section, heading: Sentence, place: Place | None, below: Sequence[Place]) -> None:
    """A heading over what goes on on other sides than its own."""
    tops = {each.side: each.box.top for each in sorted(below, key=lambda each: -each.box.top)}
    for side, top in sorted(tops.items()):
        if place and side != place.side:
            section.want(heading, EVERYWHERE._replace(bottom=top), side=side)


def _want_vial_lines(section: Section, vial: VialClaims, heading: Place, end: Place) -> Region | None:
    """One vial's words: in the frame round its heading, whose marks are given back; else down to the next vial."""
    side = section.sides[heading.side]
    frames = [s for s in side.shapes if is_outline(s, ROUNDED) and box_of(s).holds(*heading.box.middle)]
    if frames:
        side.drop(*frames)
        lines = section.want_all(vial.lines, box_of(frames[0]), side=heading.side)
        region = side.take_marks(box_of(frames[0]), -0.5)
    else:
        boxes = dict.fromkeys(range(heading.side, end.side + 1), EVERYWHERE)
        boxes[heading.side] = EVERYWHERE._replace(top=heading.box.top)
        boxes[end.side] = boxes[end.side]._replace(bottom=end.box.top)
        lines, region = section.want_all(vial.lines, boxes), None
        _want_again(section, vial.heading, heading, lines)
    if any(line.size_pt > heading.size_pt for line in lines):
        section.tell(f'"{vial.heading.text}" is smaller than what stands below it')
    return region


def _cut_vial(side: Side, heading: Place, end: Place) -> Region:
    """The marks of a vial's picture, at the left of its heading or below it."""
    _take_rules(side)
    bottom = end.box.top if end.side == heading.side else side.marks.height_mm
    right = heading.box.left - 0.5 if heading.box.left > 20.0 else EVERYWHERE.right
    return side.take_marks(Box(EVERYWHERE.left, heading.box.top - 2.0, right, bottom))


def compare_rest(section: Section, sign: str | None = None, *, phones: Mapping[int, int] | None = None) -> None:
    """What is left of each side's marks: plates behind light words, frames, rules, dots before points, sign and phone.

    Args:
        section: whose sides they are.
        sign: of the fill, on every side.
        phones: how many signs of a telephone each side must have; left out, one at the most.
    """
    for number, side in enumerate(section.sides):
        where = f", side {number + 1}"
        _drop_plain(side)
        seen = [s for s in side.shapes if s.fill is not None and s.outline is None and 45 <= len(s.points) <= 52]
        if len(seen) > 1 if phones is None else len(seen) != phones.get(number, 0):
            section.tell(f"{len(seen)} signs of a telephone", where=where)
        side.drop(*seen)
        region = side.draw(side.strokes, side.shapes)
        if sign:
            section.tell(*find_sign_faults(sign, region), where=f"{where}, sign")
        elif region.strokes or region.shapes:
            names = ", ".join([*map(describe_mark, region.strokes), *map(describe_mark, region.shapes)])
            section.tell(f"marks that belong to nothing: {names}", where=where)


def _drop_plain(side: Side) -> None:
    """Hand out plates, frames, rules and dots before points."""
    words = list(side.marks.runs)
    light = [run for run in words if run.level > 128]
    for shape in tuple(side.shapes):
        box = box_of(shape)
        is_plate = is_solid(shape, ROUNDED) and any(box.holds(run.x_mm, run.y_mm) for run in light)
        is_frame = (is_outline(shape, ROUNDED) and box.right - box.left > 15.0) or name_mark(shape) == "both 3"
        is_point = shape.is_round and any(
            0 < run.x_mm - box.right < run.size_pt * MM_PER_PT and box.bottom < run.y_mm < box.bottom + 6.0
            for run in words
        )
        if is_plate or is_frame or is_point:
            side.drop(shape)
    side.drop(*(s for s in side.strokes if s.is_horizontal and abs(s.x2_mm - s.x1_mm) >= RULE_MM and not s.is_dashed))


def find_margin_faults(side: Side, margin_mm: float) -> Iterable[str]:
    """Words and marks too near the edge of the paper."""
    marks = side.marks
    right, bottom = marks.width_mm - margin_mm, marks.height_mm - margin_mm
    boxes = _list_boxes(marks)
    if any(box[0] < margin_mm or box[1] < margin_mm or box[2] > right or box[3] > bottom for box in boxes):
        yield "something stands in the margin"


def find_section(sections: Sequence[list[Side]], titles: Sequence[Sentence]) -> int | None:
    """Which section bears these titles on its first side: of a right card the first, else the next that does so on
    lines of their own, or anyhow.
    """
    ways = [(0, False), *((at, is_whole) for is_whole in (True, False) for at in range(len(sections)))]
    for at, is_whole in ways if sections else ():
        if all(sections[at][0].bears(title, is_whole=is_whole) for title in titles):
            return at
    return None


def want_helper(section: Section) -> None:
    """Above the size in which steps are set, everything but the deck is for a helper and says so."""
    if section.facts.reader_pt > LARGEST_STEPS_PT:
        section.want_on_each(section.say("helper-title"))
