"""A scale on a page: its lines, the numbers beside them, and so the value of every place along the barrel.

Whole barrels and windows of one are read alike, whichever way the needle points. The value of a place follows from the
lines and the numbers drawn, from nothing else; where they contradict each other there is no scale. Lengths in mm;
values in the scale's own numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from itertools import pairwise
from typing import Final, NamedTuple, TypeAlias

from fillcards.readback.marks import Run, Stroke
from fillcards.readback.parts import Box, Region, box_of, is_outline, is_slant, is_solid, is_upright
from fillcards.typeface import CAP_HEIGHT_EM

ON_LINE_MM: Final = 0.1
"""How far a stop, a line or a portion's mark may stand from its place."""
NUMBER_EASE_MM: Final = 0.6
SPAN_EASE_MM: Final = 0.06
LEAST_LINES: Final = 3

Turn: TypeAlias = Callable[[float, float], tuple[float, float]]
"""From a place on the page to (along, across); along grows away from the needle."""

TURNS: Final[dict[str, Turn]] = {
    "needle_up": lambda x, y: (y, x),
    "needle_left": lambda x, y: (x, y),
    "needle_right": lambda x, y: (-x, y),
}


class Stretch(NamedTuple):
    """What fills the barrel from one value to another, as far as its ink reaches."""

    filling: str
    start: float
    end: float


class Scale(NamedTuple):
    """One scale with what is in its barrel.

    Attributes:
        first, last: values of the first and the last line drawn.
        edge: value at the stopper's reading edge; ``None`` without exactly one stopper.
        value_mm: length of 1 of the scale's own numbers.
        numbers: the numbers printed beside it.
        passed: values of broken marks across the barrel.
        lines: (along, value, length) of each line.
        bore: across, its inner faces: first the one at which the lines start; ``None`` without a stopper.
        others: words beside no line.
        gap_mm: of the pen that filled the barrel.
        end_piece: what fills the needle's end of the barrel before a break; ``None`` without such an end.
    """

    first: Fraction
    last: Fraction
    edge: float | None
    value_mm: float
    stretches: tuple[Stretch, ...]
    numbers: tuple[Fraction, ...]
    passed: tuple[float, ...]
    lines: tuple[tuple[float, Fraction, float], ...]
    bore: tuple[float, float] | None
    others: tuple[Run, ...]
    gap_mm: float
    end_piece: tuple[str, ...] | None

    def find_place(self, value: Fraction | None) -> float | None:
        """Along, the line of a value."""
        return next((along for along, each, _ in self.lines if each == value), None)


def read_scale(region: Region, runs: Iterable[Run], turn: Turn, line_every: Fraction | None) -> Scale | None:
    """The one scale of a region; ``None`` if there is none, or its lines and numbers contradict each other."""
    families = _find_lines(region.strokes, turn)
    if len(families[0]) < LEAST_LINES:
        return None
    # Where all are as long, both their ends are in line: they start at the end that is the bore's.
    lines = next((each for each in families if _find_bore(region, turn, each)), families[0])
    places = [along for along, _, _ in lines]
    numbers, others = _find_numbers(runs, turn, places)
    if not numbers:
        return None
    index, value = min(numbers.items())
    if line_every is None:
        other, most = max(numbers.items())
        if other == index or most <= value:
            return None
        line_every = (most - value) / (other - index)
    # One numbered line fixes the count; every other must agree.
    values = [value + (i - index) * line_every for i in range(len(places))]
    if any(values[i] != number for i, number in numbers.items()) or values[0] < 0:
        return None
    value_mm = (places[-1] - places[0]) / float(values[-1] - values[0])
    uneven = any(abs(b - a - value_mm * float(line_every)) > ON_LINE_MM for a, b in pairwise(places))
    if uneven:
        return None

    def to_value(along: float) -> float:
        return float(values[0]) + (along - places[0]) / value_mm

    inner = _find_bore(region, turn, lines)
    edges = [] if inner is None else _find_edges(region, turn, inner)
    gap_mm = _find_gap_mm(region)
    break_mm = _find_break(region, turn, inner, places[0], gap_mm)
    return Scale(
        first=values[0],
        last=values[-1],
        edge=to_value(edges[0]) if len(edges) == 1 else None,
        value_mm=value_mm,
        stretches=tuple(
            Stretch(name, to_value(start), to_value(end))
            for name, start, end in _find_stretches(region, turn, inner, break_mm)
        ),
        numbers=tuple(numbers[index] for index in sorted(numbers)),
        passed=tuple(to_value(along) for along in _find_passed(region.strokes, turn, inner)),
        lines=tuple((along, value, abs(end - wall)) for (along, wall, end), value in zip(lines, values, strict=True)),
        bore=inner if inner is None or abs(inner[0] - lines[0][1]) <= SPAN_EASE_MM else inner[::-1],
        others=others,
        gap_mm=gap_mm,
        end_piece=None
        if break_mm is None
        else tuple(name for name, _, _ in _find_stretches(region, turn, inner, break_mm, is_before=True)),
    )


def _find_gap_mm(region: Region) -> float:
    """A slant is as wide as the pen's gap, a dot 1.6 times as wide."""
    slants = [stroke.width_mm for stroke in region.strokes if is_slant(stroke)]
    dots = [(shape.right_mm - shape.left_mm) / 1.6 for shape in region.shapes if shape.is_round]
    return next(iter((*slants, *dots)), 0.63)


def _split(stroke: Stroke, turn: Turn) -> tuple[float, float, float, float]:
    (a1, c1), (a2, c2) = turn(stroke.x1_mm, stroke.y1_mm), turn(stroke.x2_mm, stroke.y2_mm)
    return a1, c1, a2, c2


def _find_lines(strokes: Iterable[Stroke], turn: Turn) -> list[list[tuple[float, float, float]]]:
    """Lines that start at one wall: (along, wall, other end), sorted; the largest such families of the region."""
    ends: list[tuple[bool, float, float, float]] = []
    for stroke in strokes:
        a1, c1, a2, c2 = _split(stroke, turn)
        if not stroke.is_dashed and abs(a1 - a2) <= SPAN_EASE_MM:
            ends += [(c2 > c1, c1, a1, c2), (c1 > c2, c2, a1, c1)]
    families: list[list[tuple[float, float, float]]] = [[]]
    wall = None
    for way, start, along, end in sorted(ends):
        if wall is None or way != wall[0] or start - wall[1] > SPAN_EASE_MM / 2:
            families.append([])
        families[-1].append((along, start, end))
        wall = way, start
    most = max(map(len, families))
    return [sorted(family) for family in families if len(family) == most]


def _find_numbers(runs: Iterable[Run], turn: Turn, places: list[float]) -> tuple[dict[int, Fraction], tuple[Run, ...]]:
    """Numbers beside lines, by the index of the line, and what is no such number."""
    found: dict[int, Fraction] = {}
    others: list[Run] = []
    for run in runs:
        if run.bold or not run.text.replace(",", "").replace(".", "", 1).isdigit():
            others.append(run)
            continue
        height = CAP_HEIGHT_EM * run.size_pt * 25.4 / 72
        along, _ = turn(run.x_mm + run.width_mm / 2, run.y_mm - height / 2)
        index = min(range(len(places)), key=lambda i: abs(places[i] - along))
        if abs(places[index] - along) <= NUMBER_EASE_MM and index not in found:
            found[index] = Fraction(run.text.replace(",", ""))
        else:
            others.append(run)
    return found, tuple(others)


def _find_bore(region: Region, turn: Turn, lines: list[tuple[float, float, float]]) -> tuple[float, float] | None:
    """Both inner walls across: the one where the lines start, and the far end of the one stopper that starts there."""
    wall = lines[0][1]
    for shape in region.shapes:
        if is_solid(shape, 4) and is_upright(shape):
            box = _turn_box(box_of(shape), turn)
            for one, other in ((box.left, box.right), (box.right, box.left)):
                is_wide = abs(other - wall) > abs(lines[0][2] - wall) * 1.5
                if abs(one - wall) <= SPAN_EASE_MM and is_wide:
                    return min(one, other), max(one, other)
    return None


def _turn_box(box: Box, turn: Turn) -> Box:
    """The box with across as x and along as y."""
    (a1, c1), (a2, c2) = turn(box.left, box.top), turn(box.right, box.bottom)
    return Box(min(c1, c2), min(a1, a2), max(c1, c2), max(a1, a2))


def _find_edges(region: Region, turn: Turn, inner: tuple[float, float]) -> list[float]:
    """Along, the needle side of everything solid that spans the bore."""
    edges = []
    for shape in region.shapes:
        if shape.fill is None or is_solid(shape, 3):
            continue
        box = _turn_box(box_of(shape), turn)
        if abs(box.left - inner[0]) <= SPAN_EASE_MM and abs(box.right - inner[1]) <= SPAN_EASE_MM:
            edges.append(box.top)
    return edges


def _find_break(
    region: Region, turn: Turn, inner: tuple[float, float] | None, first: float, gap_mm: float
) -> float | None:
    """Along, where the needle's end of a barrel ends before the break: two short walls, an end wall, hub or tip."""
    if inner is None:
        return None
    near, far = set(), set()
    for stroke in region.strokes:
        a1, c1, a2, c2 = _split(stroke, turn)
        is_wall = any(
            0 < (c1 - wall) * side <= gap_mm + SPAN_EASE_MM for wall, side in zip(inner, (-1, 1), strict=True)
        )
        if is_wall and not stroke.is_dashed and abs(c1 - c2) <= SPAN_EASE_MM and max(a1, a2) < first - SPAN_EASE_MM:
            near.add(round(min(a1, a2), 1))
            far.add(round(max(a1, a2), 1))
    tips = [
        box
        for shape in region.shapes
        if (is_solid(shape, 4) or is_outline(shape, 4)) and not is_upright(shape)
        for box in (_turn_box(box_of(shape), turn),)
        if abs(box.left + box.right - sum(inner)) <= SPAN_EASE_MM and any(abs(box.bottom - a) <= 0.15 for a in near)
    ]
    return max(far) if len(near) == len(far) == len(tips) == 1 else None


def _find_stretches(
    region: Region, turn: Turn, inner: tuple[float, float] | None, break_mm: float | None, *, is_before: bool = False
) -> list[tuple[str, float, float]]:
    """Fillings of the bore along, in order, past the break or before it."""
    if inner is None:
        return []
    found: dict[str, list[float]] = {}
    low, high = inner[0] - SPAN_EASE_MM, inner[1] + SPAN_EASE_MM

    def keep(name: str, box: Box) -> None:
        piece = break_mm is not None and box.bottom <= break_mm + SPAN_EASE_MM
        if low <= box.left and box.right <= high and piece is is_before:
            found.setdefault(name, []).extend((box.top, box.bottom))

    for stroke in region.strokes:
        if is_slant(stroke):
            keep("slanted", _turn_box(Box(stroke.x1_mm, stroke.y1_mm, stroke.x2_mm, stroke.y2_mm), turn))
    for shape in region.shapes:
        if shape.is_round and shape.fill is not None:
            keep("dots", _turn_box(box_of(shape), turn))
    return sorted(((name, min(ends), max(ends)) for name, ends in found.items()), key=lambda each: each[1])


def _find_passed(strokes: Iterable[Stroke], turn: Turn, inner: tuple[float, float] | None) -> list[float]:
    """Along, broken marks that cross the whole bore."""
    if inner is None:
        return []
    found = []
    for stroke in strokes:
        a1, c1, a2, c2 = _split(stroke, turn)
        spans = min(c1, c2) <= inner[0] + SPAN_EASE_MM and max(c1, c2) >= inner[1] - SPAN_EASE_MM
        if stroke.is_dashed and abs(a1 - a2) <= SPAN_EASE_MM and spans:
            found.append(a1)
    return found
