"""The section of one fill up to 36 pt: a front, then the steps, on whole sheets.

What a front cannot hold goes on at the head of its other side; its stops never do. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import chain, pairwise, product
from typing import Final, NamedTuple

from fillcards.card.model import CardStep, FillCard, WriteIn
from fillcards.card.model import Line as CardLine
from fillcards.layout.grid import EASE_MM, At, Piece, flow, make_rule, put, stack
from fillcards.layout.model import Box
from fillcards.layout.poster import Told, list_figure_sizes, set_facts_left, set_panels
from fillcards.layout.search import NoRoom, find_fitting, list_cuts, list_fitting
from fillcards.layout.sections import Section
from fillcards.layout.setter import PITCH, measure_baseline_mm, measure_line_mm, measure_tallness
from fillcards.layout.sheet import GAP_MM, Sheet, is_call
from fillcards.layout.steps import RULE_MM, measure_steps_mm, set_steps
from fillcards.layout.styles import FINE_MM_PER_PT, LEAST_PATIENT_PT, StepSpacing, Style
from fillcards.picture.scene import SceneKind
from fillcards.regimen.model import BarrelDirection
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import Say, say

_TOO_FINE: Final = say("too-fine")

_WITHIN_A_TURN: Final = frozenset(
    (SceneKind.ROLL_AND_TIP, SceneKind.AIR_STAY, SceneKind.NO_AIR, SceneKind.DRAW, SceneKind.BUBBLE)
) | {SceneKind.ORAL_DRAW, SceneKind.ORAL_BUBBLE}
"""After these scenes the vial whose turn it is is still needed: steps are best not parted there."""


REST_PITCHES: Final = (PITCH, 1.0)
"""From line to line of what a front could not hold: closer where its sides would not hold it else."""

LEFT_OF_A_BARREL: Final = 0.7
"""What is left at least where words come back to a front whose barrel is too fine anyway."""
POINTER_SIZES_PT: Final = (16.0, LEAST_PATIENT_PT)
"""Of where the steps are, in the foot of a front, where the reader's own size leaves no room beside the code."""
KEPT_OF_A_BARREL: Final = 0.8
"""What is left at least of a barrel's length where foot and band are set larger."""


LONE_WORDS_PT: Final = {True: (22.0, 21.0, 20.0), False: (24.0, 22.0, 20.0)}
KEPT_BESIDE_WORDS: Final = 0.85
"""Of the words above and below a lone stop, which has room for larger ones, by whether its barrel is upright; and what
they leave of the barrel's length."""

LEAST_LOG_LINES: Final = 3
MOST_LOG_LINES: Final = 10
LOG_PITCH: Final = 1.5
"""Of the lines to write on: how many there are at least and at most, and how far apart, in lines of text."""

BARE_SIDE: Final = 2
"""A side without steps is as bad as sides that differ by so many."""

KEPT_OF_A_POSTER: Final = {1: 0.92, 2: 0.95}
HALF_ML: Final = Fraction(1, 2)
HALF_ML_MM: Final = 120.0
"""A poster leads by its pictures, by number of panels; and a scale of half a milliliter is so long."""


class Front(NamedTuple):
    """A front and its sheet, how much and what of it goes on the other side, the lines it has below its stops, how many
    it keeps of those above and of these, how far apart its lines are, and whether its foot says where the steps are.
    """

    sheet: Sheet
    head: Piece
    body: Piece
    magnet: Box
    level: int
    spilled: tuple[Piece, ...]
    lines: tuple[CardLine, ...]
    kept: tuple[int, int]
    line_gap_mm: float
    has_pointer: bool

    @property
    def rest_gap_mm(self) -> float:
        """Between what it could not hold and the steps."""
        return self.sheet.gap_mm * (2.0 if self.sheet.rest_pitch == PITCH else 1.0)


class Back(NamedTuple):
    """The sides after a front: their sheet, what heads them, their steps, the room of a side, what it costs."""

    sheet: Sheet
    heads: tuple[Piece, ...]
    sides: tuple[Sequence[CardStep], ...]
    rooms_mm: tuple[float, ...]
    call_pt: float
    broken: int


def set_fill(sheet: Sheet, fill: FillCard, style: Style) -> Section:
    """The section of a fill in this style.

    Foot and band are as large as leaves figures, pictures, sides and what stands on each of them as they are.

    Raises:
        NoRoom, TextTooWide: it does not fit.
    """
    for rest_pitch in REST_PITCHES if not style.is_poster else (PITCH,):
        most_sides, pointer = max(sheet.most_sides, style.most_sides), _say_where(2, style.most_sides)
        own = replace(sheet, most_sides=most_sides, pointer=pointer, rest_pitch=rest_pitch)
        front = _set_front(own, fill, style)
        try:
            back = _find_back(sheet, fill, style, front)
        except NoRoom:
            if not front.spilled:
                raise
            continue
        # Now it is known on which sides the steps are.
        numbers = [number for number, side in enumerate(back.sides, start=2) if side]
        return _make_section(fill, style, _point(front, fill, style, _say_where(numbers[0], numbers[-1])), back)
    raise NoRoom


def _say_where(first: int, last: int) -> Say:
    """On which sides the steps are."""
    return say("other-side") if last == 2 else say("other-sides", page=first, pages=last)


def _point(front: Front, fill: FillCard, style: Style, pointer: Say) -> Front:
    """The same front, with the same lines, with other words for where the steps are."""
    if pointer == front.sheet.pointer:
        return front
    sheets = [replace(front.sheet, pointer=pointer, pointer_pt=size) for size in (front.sheet.pointer_pt, 0.0)]
    set_again = partial(_try_front, fill=fill, style=style, lines=front.lines, level=front.level, kept=front.kept)
    return find_fitting(sheets, set_again, is_strict=True)


def _set_front(sheet: Sheet, fill: FillCard, style: Style) -> Front:
    """The front with figures as large as they can be: rather than a smaller figure, words go on the other side."""
    *larger, least_pt = sheet.list_foot_sizes()
    is_upright = fill.panels[0].barrel.direction is BarrelDirection.NEEDLE_UP
    lone_pt = LONE_WORDS_PT[is_upright] if style.is_poster and len(fill.panels) == 1 else ()

    def set_figures(figure_pt: float) -> Front:
        sizes = (figure_pt,), (figure_pt,)
        poster = sheet.poster._replace(figures_pt=sizes, long_figures_pt=sizes)
        return _fill_front(replace(sheet, poster=poster, foot_pt=least_pt), fill, style)

    front = find_fitting(list_figure_sizes(sheet, fill.panels), set_figures, is_strict=True)

    def list_again(sheets: Iterable[Sheet]) -> Iterator[Front]:
        """With as much of its words on those sheets."""
        return list_fitting(sheets, lambda own: _fill_front(own, fill, style, front.level))

    tried = list_again(replace(front.sheet, words_pt=size) for size in lone_pt)
    least_gap_mm = KEPT_BESIDE_WORDS * front.line_gap_mm
    front = next((each for each in tried if each.line_gap_mm >= least_gap_mm), front)
    pointer_sizes = dict.fromkeys((sheet.body_pt, *larger, *POINTER_SIZES_PT))
    tried = list_again(replace(front.sheet, pointer_pt=size) for size in pointer_sizes if _is_in_row(front, size))
    least_gap_mm = _find_least_gap_mm(fill, front) if style.is_poster else 0.0
    good = (each for each in tried if each.line_gap_mm >= least_gap_mm and _is_as_good(each, front))
    pointed = next(good, front)
    tried = list_again(replace(pointed.sheet, foot_pt=size) for size in larger)
    return next((each for each in tried if _is_as_good(each, front)), pointed)


def _is_in_row(front: Front, pointer_pt: float) -> bool:
    """Whether a foot with where the steps are in that size is one row; alone below it they would be off every edge."""
    foot = replace(front.sheet, pointer_pt=pointer_pt).front_foot(has_pointer=front.has_pointer)
    pitch = PITCH * measure_tallness(front.sheet.setter.language)
    return front.has_pointer and foot.height_mm < 1.1 * measure_line_mm(max(pointer_pt, front.sheet.small_pt), pitch)


def _find_least_gap_mm(fill: FillCard, front: Front) -> float:
    """From one line of a poster's barrel to the next, at least, where the words at its foot are set larger."""
    syringe = fill.panels[0].barrel.syringe
    floor_mm = HALF_ML_MM if syringe.capacity_ml == HALF_ML else 0.0
    kept_mm = KEPT_OF_A_POSTER[len(fill.panels)] * front.line_gap_mm
    return max(kept_mm, floor_mm * float(syringe.line_every / syringe.last_line))


def _is_as_good(front: Front, other: Front) -> bool:
    """Whether it holds as much, and its barrel is about as long."""
    is_long = front.line_gap_mm >= KEPT_OF_A_BARREL * other.line_gap_mm
    return is_long and len(front.spilled) == len(other.spilled)


def _find_back(sheet: Sheet, fill: FillCard, style: Style, front: Front) -> Back:
    """The sides with steps at their best; then foot and band, then pictures, as large as leaves those sides room."""
    *larger, least_pt = sheet.list_foot_sizes()
    body_pt, columned = sheet.body_pt, replace(sheet, step_columns=style.step_columns)

    def set_sized(sizes: tuple[float, StepSpacing, float]) -> Back:
        share, spacing, call_pt = sizes
        scaled = replace(columned, scene_pt=share * body_pt, spacing=spacing, foot_pt=least_pt)
        return _set_back(scaled, fill, front, call_pt, range(1, style.most_sides, 2))

    def improve(old: Back, sheets: Iterable[Sheet]) -> Back:
        """The first on those sheets that has as few sides and serves as well."""

        def set_again(own: Sheet) -> Back:
            back = _set_back(own, fill, front, old.call_pt, (len(old.sides),))
            if back.broken > old.broken:
                raise NoRoom
            return back

        with suppress(NoRoom, TextTooWide):
            return find_fitting(sheets, set_again)
        return old

    back = find_fitting(style.list_step_sizes(body_pt), set_sized)
    back = improve(back, (replace(back.sheet, foot_pt=size) for size in larger))
    return improve(back, [replace(back.sheet, scene_pt=share * body_pt) for share in style.grown_shares])


def _set_back(sheet: Sheet, fill: FillCard, front: Front, call_pt: float, counts: Sequence[int]) -> Back:
    """The steps of each side after the front: as few sides as make whole sheets with it, parted where a vial's turn
    is over if they can be. The first sides begin with what their front could not hold.

    Raises:
        NoRoom: none of these numbers of sides holds them.
    """

    def measure_room_mm(page: int, pages: int) -> float:
        head, foot = sheet.running_head(fill, page, pages, call_pt), sheet.running_foot(page, pages)
        return sheet.measure_room_mm(head, foot)

    def set_sides(way: tuple[int, float]) -> Back:
        count, gap_mm = way
        rooms = [
            sheet.setter.remember(
                ("room", fill.number, sheet.body_pt, sheet.foot_pt, call_pt, page, count),
                partial(measure_room_mm, page, count + 1),
            )
            for page in range(2, count + 2)
        ]
        heads = tuple(stack(side, gap_mm) for side in flow(front.spilled, rooms, gap_mm) if side)
        if len(heads) > count:
            raise NoRoom
        heads_mm = [heads[at].height_mm + front.rest_gap_mm if at < len(heads) else 0.0 for at in range(count)]
        left = tuple(room_mm - head_mm for room_mm, head_mm in zip(rooms, heads_mm, strict=True))
        broken, sides = _share_steps(sheet, fill, len(heads), left)
        return Back(sheet, heads, sides, left, call_pt, broken)

    gaps = (0.5 * sheet.gap_mm, 0.0) if front.spilled else (0.0,)
    return find_fitting(product(counts, gaps), set_sides, is_strict=True)


def _fill_front(sheet: Sheet, fill: FillCard, style: Style, only_level: int | None = None) -> Front:
    """The front with all of its own; where that does not fit, the fullest one that does, or one at that level alone.

    What goes on the other side: what stands below the stops, from its end; the sum; what stands above; what tells the
    vials apart; how to count to the lines. Where what goes last leaves room, some of what stands below comes back.
    """
    lines: tuple[CardLine, ...] = fill.below
    level = only_level or 0
    while level <= (_count_levels(style, lines, fill.above) if only_level is None else only_level):
        above = len(fill.above) - min(max(level - len(lines) - 1, 0), len(fill.above))
        below = max(len(lines) - level, 0)
        set_kept = partial(_try_front, sheet, fill, style, lines, level)
        try:
            front = set_kept((above, below))
        except NoRoom:
            level += 1
            continue
        if front.line_gap_mm < FINE_MM_PER_PT * sheet.body_pt and _TOO_FINE not in lines:
            lines = (*lines, _TOO_FINE)
            continue
        is_fine = _TOO_FINE in lines
        least_gap_mm = LEFT_OF_A_BARREL * front.line_gap_mm if is_fine else FINE_MM_PER_PT * sheet.body_pt
        # Counted down: of what stands above, then of what stands below.
        more_above, more_below = range(len(fill.above), above - 1, -1), range(len(lines), -1, -1)
        fuller = product(more_above, more_below) if level > len(lines) else ()
        tried = list_fitting(fuller, set_kept)
        return next((each for each in tried if each.line_gap_mm >= least_gap_mm), front)
    raise NoRoom


def _try_front(
    sheet: Sheet, fill: FillCard, style: Style, lines: tuple[CardLine, ...], level: int, kept: tuple[int, int]
) -> Front:
    """The front at a level, with so many of the lines above and below the stops."""
    kept_above, kept_below = kept
    head, magnet = sheet.front_head(fill)
    setter, body_pt, width_mm = sheet.setter, max(sheet.body_pt, sheet.words_pt), sheet.live_mm
    set_above = partial(setter.line, size_pt=body_pt, width_mm=width_mm, bold=True)
    is_kept = _choose_kept(lines, kept_below)
    below = [
        sheet.call(each, body_pt, bold=False) if is_call(each) else setter.line(each, body_pt, width_mm)
        for at, each in enumerate(lines)
        if at in is_kept
    ]
    above = [set_above(each) for each in fill.above[:kept_above]]
    row = _point_beside(sheet, above[-1]) if above else None
    above, has_pointer = ([*above[:-1], row], False) if row else (above, True)
    room_mm = sheet.measure_room_mm(head, sheet.front_foot(has_pointer=has_pointer))
    last = len(lines) + len(fill.above) + 2
    told = Told(sum=level <= len(lines), notes=level < last, counts=level <= last)
    news = [setter.text(each, body_pt, width_mm, bold=True) for each in fill.news]
    top, bottom = stack([*above, *news]), stack(below)
    used_mm = sum(piece.height_mm + sheet.gap_mm for piece in (top, bottom) if piece.height_mm)
    if style.is_poster:
        panels = set_panels(sheet, fill.panels, room_mm - used_mm)
    else:
        panels = set_facts_left(sheet, fill, room_mm - used_mm, told)
    left = [line for at, line in enumerate(lines) if at not in is_kept and not _is_said_again(line)]
    rest = chain(
        (set_above(each, pitch=sheet.rest_pitch) for each in fill.above[kept_above:]),
        _set_rest(sheet, fill, told),
        (setter.line(each, body_pt, width_mm, pitch=sheet.rest_pitch) for each in left),
    )
    body = stack((top, panels.piece, bottom), sheet.gap_mm)
    return Front(sheet, head, body, magnet, level, tuple(rest), lines, kept, panels.pitch_mm, has_pointer)


def _count_levels(style: Style, lines: Sequence[CardLine], above: Sequence[CardLine]) -> int:
    """How often a front can hold less."""
    return 0 if style.is_poster else len(lines) + len(above) + 3


def _point_beside(sheet: Sheet, line: Piece) -> Piece | None:
    """A line above the stops and, where the reader's size leaves room for it in the same row, where the steps are."""
    room_mm, words_pt = sheet.live_mm - line.width_mm - 2 * GAP_MM, max(sheet.body_pt, sheet.words_pt)
    size_pt = sheet.fit_pt(sheet.pointer, room_mm, words_pt, sheet.body_pt)
    pointer = sheet.set_pointer(size_pt)
    if pointer.width_mm > room_mm:
        return None
    language = sheet.setter.language
    down_mm = measure_baseline_mm(words_pt, PITCH, language) - measure_baseline_mm(size_pt, PITCH, language)
    parts = At(line, 0.0, 0.0), At(pointer, sheet.live_mm - pointer.width_mm, down_mm)
    return put(sheet.live_mm, line.height_mm, parts)


def _choose_kept(lines: Sequence[CardLine], count: int) -> frozenset[int]:
    """Places of so many of the lines below the stops: which syringe, whom to call, then the others as they come."""
    ranked = sorted(range(len(lines)), key=lambda at: at > 0 and not is_call(lines[at]))
    return frozenset(ranked[:count])


def _is_said_again(line: CardLine) -> bool:
    """Whether the other sides say it anyway: whom to call at their heads, what to do past a total at its check."""
    return is_call(line) or (isinstance(line, Say) and line.id == "past-two")


def _set_rest(sheet: Sheet, fill: FillCard, told: Told) -> list[Piece]:
    """Of the stops, what their front could not hold: how they add up, how the vials are told apart, how to count."""
    text = partial(sheet.setter.text, size_pt=sheet.body_pt, width_mm=sheet.live_mm, pitch=sheet.rest_pitch)
    rows: list[Piece] = []
    for panel in fill.panels:
        notes = (panel.medicine, *panel.notes) if panel.notes and not told.notes else ()
        counts = () if told.counts else (panel.figure_words, panel.count)
        rows += [stack([text(each) for each in says]) for says in (notes, counts) if says]
    # The sum comes last: before a medicine it read as the units of that one.
    return rows + [text(panel.sum) for panel in fill.panels if panel.sum and not told.sum]


def _share_steps(
    sheet: Sheet, fill: FillCard, headed: int, rooms_mm: tuple[float, ...]
) -> tuple[int, tuple[Sequence[CardStep], ...]]:
    """How often a vial's turn is broken off, and the steps of each side.

    Args:
        sheet: of the sides.
        fill: its steps.
        headed: how many sides begin with something else, and may have no steps.
        rooms_mm: height for steps, by side.

    Raises:
        NoRoom: the sides do not hold them.
    """
    steps, sizes = fill.steps, (sheet.body_pt, sheet.scene_pt, sheet.spacing, sheet.step_columns)

    def fits(side: int, first: int, end: int) -> bool:
        key, own = ("steps", fill.number, *sizes, first, end), steps[first:end]
        height_mm = sheet.setter.remember(key, lambda: measure_steps_mm(sheet, own)) if own else 0.0
        return height_mm <= rooms_mm[side] + EASE_MM

    def weigh(sides: Sequence[Sequence[CardStep]]) -> tuple[int, int]:
        """Turns that are broken off; and next to them how uneven sides are, and those that have only their head."""
        broken = sum(side[-1].scene.kind in _WITHIN_A_TURN for side in sides[:-1] if side)
        later = sides[headed:] or sides
        bare = sum(not side for side in sides)
        return broken, 10 * broken + max(map(len, later)) - min(map(len, later)) + BARE_SIDE * bare

    cuts = list_cuts(len(steps), len(rooms_mm), fits, empties=headed)
    ways = ([steps[start:end] for start, end in pairwise((0, *ends))] for ends in cuts)
    best = min(ways, key=lambda sides: weigh(sides)[1], default=None)
    if best is None:
        raise NoRoom
    return weigh(best)[0], tuple(best)


def _set_log(sheet: Sheet, room_mm: float) -> tuple[Piece, ...]:
    """Where the last side of large print has the room: lines to write down each day and time on, under a rule."""
    line_mm = LOG_PITCH * measure_line_mm(sheet.body_pt, PITCH * measure_tallness(sheet.setter.language))
    count = min(int((room_mm - RULE_MM) / line_mm), MOST_LOG_LINES)
    if count < LEAST_LOG_LINES:
        return ()
    written = WriteIn(say("write-done"))
    lines = [sheet.setter.line(written, sheet.body_pt, sheet.live_mm) for _ in range(count)]
    gap_mm = line_mm - max(line.height_mm for line in lines)
    return (stack((make_rule(sheet.live_mm, RULE_MM), *lines), gap_mm),)


def _make_section(fill: FillCard, style: Style, front: Front, back: Back) -> Section:
    count = len(back.sides) + 1
    foot = front.sheet.front_foot(1, count, has_pointer=front.has_pointer)
    first = front.sheet.make_section(fill.title, [(front.head, front.body, foot)], style.name, front.magnet)
    sheet = back.sheet

    def set_side(number: int, side: Sequence[CardStep], room_mm: float) -> tuple[Piece, Piece, Piece]:
        log: tuple[Piece, ...] = ()
        if number == count and not style.is_poster:
            log = _set_log(sheet, room_mm - measure_steps_mm(sheet, side) - sheet.gap_mm)
        left_mm = room_mm - sum(each.height_mm + sheet.gap_mm for each in log)
        rows = set_steps(sheet, side, left_mm) if side else Piece(0.0, 0.0)
        rows = stack((rows, *log), sheet.gap_mm)
        body = stack((*back.heads[number - 2 : number - 1], rows), front.rest_gap_mm)
        return sheet.running_head(fill, number, count, back.call_pt), body, sheet.running_foot(number, count)

    sides = map(set_side, range(2, count + 1), back.sides, back.rooms_mm)
    others = sheet.make_section(fill.title, sides, style.steps_name)
    page = first.pages[0]._replace(line_gap_mm=front.line_gap_mm)
    return Section(fill.title, (page, *others.pages), first.elements + others.elements)
