"""One view of a scale: a whole barrel, or a window of it, with what is in it and where to stop. Both pens draw it.

The whole barrel of a poster and of a raised page is what the reader holds when a draw is done. After the first draw:
its portion, slanted. After the second: both portions, a broken mark between them and no number at it, which could pass
for a stop. There is no picture of the air on it: its line is the classic wrong place to stop. A window is a close-up:
the lines round a stop, far enough apart for this reader.

Across runs from the inner wall on the numbers' side (0) to the inner wall on the side of the marks. Along runs from the
view's first line. Only lengths along are to scale; the bore follows the real one between two limits. mm.

The stopper is thinner than half the way from one line to the next, so that nobody reads its other end. In raised views
the stop is a line across the whole barrel and out through a break in the wall, solid where the plunger stays and broken
where it goes on; lines too near to be felt apart are left out (sources: ``tactile_style``).
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from fillcards.geometry import ScaleLine, is_numbered, measure_bore_mm, place_lines
from fillcards.picture.items import Drawing, Item
from fillcards.picture.kit import WEDGE_HALF, WEDGE_LENGTH, Axes, Region, draw_wedge, enclose, fill, make_dash
from fillcards.picture.pen import Pen
from fillcards.picture.scene import Portion
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection, Syringe

BORE: Final = {False: (14.0, 18.0), True: (5.5, 8.5)}
"""Least and greatest bore as drawn, in gaps of the pen: ink, raised."""
LONG_TO_BORE: Final = 0.30
UNNUMBERED_TO_LONG: Final = 0.82
SHORT_TO_LONG: Final = 0.58
"""Short lines about half as long as long ones (ISO 7886-1:1993, from memory)."""
RING: Final = 1.5
RING_TO_PITCH: Final = 0.5
"""Thickness of the stopper: in gaps of the pen, and at most so much of the pitch."""
SHOULDER_MM: Final = 1.2
"""From the inner end of the barrel to the zero line; short, since the space before it reads as one more unit."""
PAST_LAST: Final = 5.0
FLANGE_OVERHANG: Final = 4.0
HUB: Final = 6.0
NEEDLE: Final = 9.0
WINDOW_HUB: Final = 3.0
WINDOW_NEEDLE: Final = 2.2
BREAK: Final = 1.6
END_PIECE: Final = 2.8
FLANGE: Final = 2.4
WINDOW_END: Final = {False: 2.5, True: 1.0}
BROKEN_REACH: Final = 3.0
"""In gaps of the pen: barrel past the last line, flanges, hub, needle, a window's walls past its outer lines, and the
broken mark past the wall. Before a window past the zero line: a break in the walls, then the needle's end of the
barrel."""
LEAST_RAISED_WALL_MM: Final = 6.0
"""A shorter piece of a broken raised wall is left out: it would feel like a dot. By trial, no source."""
RAISED_DASH_MM: Final = 9.0
MOST_TIP_GAP_MM: Final = 1.6
"""Hub and needle of a raised barrel are no larger than this makes them."""


class Side(Enum):
    """A side of a barrel: left of an upright one and above a level one, or right and below."""

    BEFORE = -1
    AFTER = 1


class StopMark(NamedTuple):
    """A solid wedge at a stop, with what stands at it; where the plunger only passes, a raised one is broken."""

    value: Fraction
    text: str
    is_passed: bool = False


def lay_axes(direction: BarrelDirection, numbers: Side) -> Axes:
    """Axes of a barrel whose needle points that way, with its numbers on that side."""
    away = float(-numbers.value)
    if direction is BarrelDirection.NEEDLE_UP:
        return Axes(0.0, 0.0, (0.0, 1.0), (away, 0.0))
    return Axes(0.0, 0.0, (1.0 if direction is BarrelDirection.NEEDLE_LEFT else -1.0, 0.0), (0.0, away))


class BarrelDrawing(NamedTuple):
    """A barrel or a window of it, and where on its outer wall the stopper's reading edge stands.

    The place is on the side of the marks; without a stop it is that of the view's first line.
    """

    drawing: Drawing
    edge_x_mm: float
    edge_y_mm: float
    pitch_mm: float


class Window(NamedTuple):
    """The lines shown, first and last."""

    first: Fraction
    last: Fraction


class ScaleView(NamedTuple):
    """A scale from one value to another.

    Attributes:
        value_mm: millimetres that 1 of the scale's own numbers takes.
        number_pt: size of the scale's numbers, and of what stands at its marks.
        has_end_piece: whether a window past the zero line has the needle's end of the barrel before a break.
    """

    syringe: Syringe
    axes: Axes
    pen: Pen
    first: Fraction
    last: Fraction
    value_mm: float
    bore_mm: float
    number_pt: float
    has_end_piece: bool = False

    def locate(self, value: Fraction) -> float:
        """Along, the place of a value."""
        return float(value - self.first if self.first else value) * self.value_mm

    @property
    def pitch_mm(self) -> float:
        """From one line to the next."""
        return float(self.syringe.line_every) * self.value_mm

    @property
    def line_mm(self) -> float:
        """Thickness of a line: the pen's, or half the pitch where lines stand closer than the reader needs."""
        return min(self.pen.stroke_mm, self.pitch_mm / 2)

    @property
    def has_needle_end(self) -> bool:
        """Whether the zero line is in view."""
        return self.first == 0

    @property
    def has_open_end(self) -> bool:
        """Whether the last line is in view."""
        return self.last == self.syringe.last_line

    @property
    def start_mm(self) -> float:
        """Along, where the walls begin (their inner face at the needle's end)."""
        shoulder_mm = self.pen.gap_mm + self.pen.stroke_mm if self.pen.is_raised else SHOULDER_MM
        return -shoulder_mm if self.has_needle_end else -WINDOW_END[self.pen.is_raised] * self.pen.gap_mm

    @property
    def end_piece_mm(self) -> tuple[float, float]:
        """Along, the inner ends of the needle's end of the barrel before a break."""
        far_mm = self.start_mm - self.pen.outline_mm - BREAK * self.pen.gap_mm
        return far_mm - END_PIECE * self.pen.gap_mm, far_mm

    @property
    def end_mm(self) -> float:
        """Along, where the walls end."""
        if not self.has_open_end:
            return self.locate(self.last) + WINDOW_END[self.pen.is_raised] * self.pen.gap_mm
        past_mm = (1.6 if self.pen.is_raised else PAST_LAST) * self.pen.gap_mm
        label = self.pen.build_label(write_number(self.last), size_pt=self.number_pt)
        clear_mm = _measure_span_mm(label, self.axes) / 2 + (1.0 + FLANGE / 2) * self.pen.gap_mm
        return self.locate(self.last) + (past_mm if self.pen.is_raised else max(past_mm, clear_mm))

    @property
    def outer_mm(self) -> float:
        """Across, the outer face of the wall on the side of the marks."""
        return self.bore_mm + self.pen.outline_mm

    @property
    def strip_mm(self) -> float:
        """Across, where the white strip ends on which the lines stand."""
        return self.bore_mm * LONG_TO_BORE + self.pen.gap_mm

    @property
    def ring_mm(self) -> float:
        """Thickness of the stopper."""
        return min(RING * self.pen.gap_mm, RING_TO_PITCH * self.pitch_mm)

    def list_lines(self) -> Iterator[ScaleLine]:
        """The lines in view that the pen can tell apart: every line in ink; for a finger fewer, each number has one.

        Distances are from the view's first line.
        """
        syringe = self.syringe
        every = syringe.line_every
        if self.pen.is_raised:
            steps = [every, syringe.long_every, *(syringe.numbered_every * many for many in (1, 2, 5, 10, 20, 50))]
            least_mm = self.pen.gap_mm + self.pen.stroke_mm
            numbers = [value for value, _ in choose_numbers(self)]
            steps = [step for step in steps if all(number % step == 0 for number in numbers)]
            every = next((step for step in steps if float(step) * self.value_mm >= least_mm), steps[-1])
        lines = place_lines(syringe, float(syringe.last_line) * self.value_mm)
        first, last = (int(value / syringe.line_every) for value in (self.first, self.last))
        for line in lines[first : last + 1]:
            if every == syringe.line_every or line.value % every == 0:
                yield line._replace(distance_mm=line.distance_mm - lines[first].distance_mm)


def draw_barrel(
    syringe: Syringe,
    portions: tuple[Portion, ...],
    stop: Fraction | None,
    direction: BarrelDirection,
    pen: Pen,
    *,
    scale_length_mm: float,
    number_pt: float,
    marks: tuple[StopMark, ...] = (),
    numbers: Side = Side.AFTER,
    bore_mm: float | None = None,
    is_draft: bool = False,
) -> BarrelDrawing:
    """The barrel with what is in it.

    Args:
        syringe: whose scale is drawn.
        portions: from the needle on.
        stop: where the stopper's reading edge stands; ``None``: no plunger, an empty barrel to mark.
        direction: where the needle points.
        pen: ink or raised; a raised barrel has no stopper, its stops are its marks.
        scale_length_mm: from zero line to last line.
        number_pt: size of the scale's numbers, and of what stands at the marks.
        marks: stops with a wedge.
        numbers: the side on which the scale's numbers stand; the marks stand on the other.
        bore_mm: width inside the barrel; left out: enlarged as the scale is.
        is_draft: to be measured only, as large as the whole; what is in the barrel is not drawn.

    Raises:
        ValueError: a value is not on the scale.
    """
    value_mm = scale_length_mm / float(syringe.last_line)
    bore_mm = bore_mm or _measure_bore_of(syringe, scale_length_mm, pen)
    window = Window(Fraction(0), syringe.last_line)
    view = ScaleView(syringe, lay_axes(direction, numbers), pen, *window, value_mm, bore_mm, number_pt)
    return draw_view(view, portions, stop, marks, is_draft=is_draft)


def _measure_bore_of(syringe: Syringe, scale_length_mm: float, pen: Pen) -> float:
    """Width of the bore on paper: enlarged as the scale is, between two limits; mm."""
    real_mm = syringe.scale_length_mm or syringe.shortest_scale_length_mm
    enlarged_mm = measure_bore_mm(syringe.capacity_ml, real_mm) * scale_length_mm / float(real_mm)
    least, most = BORE[pen.is_raised]
    return min(max(enlarged_mm, least * pen.gap_mm), most * pen.gap_mm)


def choose_window(syringe: Syringe, stop: Fraction, least_gaps: int, most_gaps: int) -> Window:
    """From the number before a stop to the number past it, a line more at each end, and on toward the needle.

    What the reader counts along lies on the needle's side of a stop; so more of that side is shown.

    Args:
        syringe: whose scale.
        stop: the line meant.
        least_gaps: so many gaps at least, where the scale is long enough.
        most_gaps: so many at most: lines past the stop go first, then lines before the number counted from.
    """
    every = syringe.line_every
    first, last = stop - every, stop + every
    while not is_numbered(syringe, first):
        first -= every
    while not is_numbered(syringe, last):
        last += every
    first, last = max(first - every, Fraction(0)), min(last + every, syringe.last_line)
    while (last - first) / every < least_gaps and (first > 0 or last < syringe.last_line):
        if first > 0:
            first -= every
        else:
            last += every
    counted_from = stop // syringe.numbered_every * syringe.numbered_every
    while (last - first) / every > most_gaps:
        if last > stop + 2 * every:
            last -= every
        elif first < counted_from - every:
            first += every
        elif last > stop + every:
            last -= every
        else:
            break
    return Window(first, last)


def draw_close_up(
    syringe: Syringe,
    window: Window,
    portions: tuple[Portion, ...],
    stop: Fraction | None,
    direction: BarrelDirection,
    pen: Pen,
    *,
    pitch_mm: float,
    number_pt: float,
    bore_mm: float,
    marks: tuple[StopMark, ...] = (),
    numbers: Side = Side.AFTER,
    has_end_piece: bool = False,
    is_draft: bool = False,
) -> BarrelDrawing:
    """The lines of a window, with what is in the barrel there.

    Args:
        syringe: whose scale.
        window: which lines.
        portions: of the whole barrel; what lies outside the window is not drawn.
        stop: where the stopper's reading edge stands; in raised views its mark alone.
        direction: where the needle points.
        pen: ink or raised.
        pitch_mm: from one line to the next.
        number_pt: size of numbers.
        bore_mm: width inside the barrel.
        marks: stops with a wedge, on the side without scale numbers.
        numbers: the side of the scale's numbers.
        has_end_piece: whether a window past the zero line shows, before a break, where the needle is.
        is_draft: whether only the size is wanted.

    Raises:
        ValueError: a stop is not in the window.
    """
    value_mm = pitch_mm / float(syringe.line_every)
    axes = lay_axes(direction, numbers)
    view = ScaleView(syringe, axes, pen, *window, value_mm, bore_mm, number_pt, has_end_piece and window.first > 0)
    return draw_view(view, portions, stop, marks, is_draft=is_draft)


def draw_view(
    view: ScaleView,
    portions: tuple[Portion, ...],
    stop: Fraction | None,
    marks: tuple[StopMark, ...],
    *,
    is_draft: bool = False,
) -> BarrelDrawing:
    """Everything in view, in a drawing just as large as its ink.

    Args:
        view: of which scale, how large.
        portions: from the needle on.
        stop: where the reading edge stands; ``None``: no plunger. A raised view has none, its stops are its marks.
        marks: stops with a wedge and a number.
        is_draft: whether only the size is wanted.

    Raises:
        ValueError: a stop is not in view, or a portion not on the scale.
    """
    ends = tuple(portion.end for portion in portions if not 0 <= portion.end <= view.syringe.last_line)
    for value in (*ends, *(mark.value for mark in marks), *(() if stop is None else (stop,))):
        if value in ends or not view.first <= value <= view.last:
            raise ValueError(f"{value} is not on a scale from {view.first} to {view.last}")
    stops = tuple(mark.value for mark in marks)
    items: list[Item] = [] if is_draft else [*draw_portions(view, portions, stop)]
    # Lines, too, are within the walls.
    items += [*draw_walls(view, stops), *(() if is_draft else draw_scale_lines(view, stops))]
    items += [*draw_numbers(view), *draw_marks(view, marks)]
    if stop is not None and not view.pen.is_raised:
        items += draw_plunger(view, stop)
    drawing, right_mm, down_mm = enclose(items)
    x_mm, y_mm = view.axes.place(view.locate(view.first if stop is None else stop), view.outer_mm)
    return BarrelDrawing(drawing, x_mm + right_mm, y_mm + down_mm, view.pitch_mm)


def draw_scale_lines(view: ScaleView, kept_clear: tuple[Fraction, ...] = ()) -> Iterator[Item]:
    """The lines of the scale, from the wall inward; raised ones not where a stop's own line would be felt with them."""
    long_mm, pen = view.bore_mm * LONG_TO_BORE, view.pen
    apart_mm = pen.gap_mm + (pen.stop_mm + pen.stroke_mm) / 2
    line_mm, stops_mm = view.line_mm, [view.locate(stop) for stop in kept_clear] if pen.is_raised else []
    for line in view.list_lines():
        along_mm = line.distance_mm
        if all(abs(along_mm - stop_mm) >= apart_mm - 1e-9 for stop_mm in stops_mm):
            part = 1.0 if line.number else UNNUMBERED_TO_LONG if line.is_long else SHORT_TO_LONG
            yield view.axes.line((along_mm, 0.0), (along_mm, part * long_mm), line_mm)


def choose_numbers(view: ScaleView) -> tuple[tuple[Fraction, Drawing], ...]:
    """The numbers that can stand beside the scale without touching: all of them, or every 2nd, 5th, 10th ...

    A left-out number is left out of the picture only; its line stays a long one.
    """
    step = view.syringe.numbered_every
    labels = _list_labels(view.pen, step, view.first, view.last, view.number_pt, view.axes.across[0] > 0)
    step_mm = float(step) * view.value_mm
    for every in (1, 2, 5, 10, 20, 50):
        kept = [each for each in labels if each[0] % every == 0]
        spans = [_measure_span_mm(label, view.axes) for _, _, label in kept]
        widest_mm = max(((one + after) / 2 for one, after in pairwise(spans)), default=0.0)
        if len(kept) < 2 or every * step_mm >= widest_mm + 1.2 * view.pen.gap_mm:
            break
    return tuple((value, label) for _, value, label in kept)


@lru_cache(maxsize=256)  # layouts try many lengths of one scale
def _list_labels(
    pen: Pen, step: Fraction, first: Fraction, last: Fraction, number_pt: float, grows_left: bool
) -> tuple[tuple[int, Fraction, Drawing], ...]:
    """The numbers of a scale, which of them each is, its value, and how it is written."""
    values = [(number, step * number) for number in range(-(-first // step), last // step + 1)]
    return tuple(
        (number, value, pen.build_label(write_number(value), size_pt=number_pt, grows_left=grows_left))
        for number, value in values
    )


def draw_numbers(view: ScaleView) -> Iterator[Item]:
    """The scale's numbers, upright, outside the wall at which the lines start."""
    for value, label in choose_numbers(view):
        yield from view.axes.label(label, view.locate(value), -view.pen.outline_mm - 1.2 * view.pen.gap_mm, -1)


def draw_walls(view: ScaleView, stops: tuple[Fraction, ...] = ()) -> Iterator[Item]:
    """The barrel: its walls, with hub and needle where the zero line is in view, and flanges where the last line is."""
    axes, pen, half_mm = view.axes, view.pen, view.pen.outline_mm / 2
    low_mm, high_mm = -half_mm, view.bore_mm + half_mm
    near_mm, far_mm, middle_mm = view.start_mm - half_mm, view.end_mm, view.bore_mm / 2
    if pen.is_raised:
        yield from _draw_raised_walls(view, stops)
    elif view.has_needle_end and view.has_open_end:
        yield axes.box(near_mm, far_mm, low_mm, high_mm, pen.outline_mm)
    else:
        yield axes.line((near_mm - half_mm, low_mm), (far_mm, low_mm), pen.outline_mm)
        yield axes.line((near_mm - half_mm, high_mm), (far_mm, high_mm), pen.outline_mm)
        if view.has_end_piece:
            near_mm, piece_mm = view.end_piece_mm[0] - half_mm, view.end_piece_mm[1]
            for wall_mm in (low_mm, high_mm):
                yield axes.line((near_mm - half_mm, wall_mm), (piece_mm, wall_mm), pen.outline_mm)
        if view.has_needle_end or view.has_end_piece:
            yield axes.line((near_mm, low_mm), (near_mm, high_mm), pen.outline_mm)
    if view.has_needle_end or view.has_end_piece:
        size = (HUB, NEEDLE) if view.has_needle_end and view.has_open_end else (WINDOW_HUB, WINDOW_NEEDLE)
        yield from draw_tip(axes, view.syringe, pen, near_mm - half_mm, middle_mm, *size)
    if view.has_open_end:
        over_mm = pen.outline_mm + FLANGE_OVERHANG * pen.gap_mm / (4 if pen.is_raised else 1)
        thick_mm = pen.outline_mm if pen.is_raised else FLANGE * pen.gap_mm
        yield axes.line((far_mm, -over_mm), (far_mm, view.bore_mm + over_mm), thick_mm)


def draw_tip(
    axes: Axes, syringe: Syringe, pen: Pen, end_mm: float, middle_mm: float, hub: float = HUB, needle: float = NEEDLE
) -> Iterator[Item]:
    """Hub and needle before the barrel's end, or the open tip of an oral syringe; not to scale."""
    gap_mm = min(pen.gap_mm, MOST_TIP_GAP_MM if pen.is_raised else pen.gap_mm)
    hub_mm = end_mm - hub * gap_mm
    is_oral = syringe.is_oral
    base_mm, top_mm = (2.6 * gap_mm, 1.7 * gap_mm) if is_oral else (2.2 * gap_mm, 1.3 * gap_mm)
    corners = ((hub_mm, -top_mm), (hub_mm, top_mm), (end_mm, base_mm), (end_mm, -base_mm))
    shape = [(along, middle_mm + across) for along, across in corners]
    yield axes.shape(shape, filled=not is_oral, outline_mm=pen.stroke_mm if is_oral else 0.0)
    if not is_oral:
        yield axes.line((hub_mm, middle_mm), (hub_mm - needle * gap_mm, middle_mm), pen.stroke_mm)


def _draw_raised_walls(view: ScaleView, stops: tuple[Fraction, ...]) -> Iterator[Item]:
    """The wall of the marks is broken at each stop, to let its line out."""
    axes, pen, half_mm = view.axes, view.pen, view.pen.outline_mm / 2
    near_mm, end_mm = view.start_mm - half_mm, view.end_mm
    clear_mm, start_mm = pen.gap_mm + pen.stop_mm / 2, near_mm - half_mm
    yield axes.line((start_mm, -half_mm), (end_mm, -half_mm), pen.outline_mm)
    if view.has_needle_end:
        yield axes.line((near_mm, 0.0), (near_mm, view.bore_mm), pen.outline_mm)
    for place_mm in [view.locate(stop) for stop in stops] + [end_mm + clear_mm]:
        if place_mm - clear_mm - start_mm >= LEAST_RAISED_WALL_MM:
            across_mm = view.bore_mm + half_mm
            yield axes.line((start_mm, across_mm), (place_mm - clear_mm, across_mm), pen.outline_mm)
        start_mm = place_mm + clear_mm


def draw_portions(view: ScaleView, portions: tuple[Portion, ...], stop: Fraction | None) -> Iterator[Item]:
    """What is in the barrel, and a broken mark wherever one portion ends and another begins."""
    pen, axes = view.pen, view.axes
    clear_mm = pen.gap_mm + pen.stop_mm / 2
    low_mm = view.strip_mm
    high_mm = view.bore_mm - (pen.gap_mm if pen.is_raised else 0.0)
    inner_ends = {portion.end for portion in portions[:-1]}
    for portion in portions:
        near_mm, far_mm = view.locate(max(portion.start, view.first)), view.locate(min(portion.end, view.last))
        if not pen.is_raised and (portion.start < view.first or portion.start == 0):
            near_mm = view.start_mm
        elif portion.start in inner_ends or pen.is_raised:
            near_mm = max(near_mm + clear_mm, 0.0)
        if portion.end in inner_ends or pen.is_raised:
            far_mm -= clear_mm
        elif portion.end > view.last:
            far_mm = view.end_mm
        yield from fill(axes, portion.filling, Region(near_mm, far_mm, low_mm, high_mm), pen)
    if view.has_end_piece and portions:
        yield from fill(axes, portions[0].filling, Region(*view.end_piece_mm, 0.0, view.bore_mm), pen)
    for value in sorted(inner_ends):
        if view.first <= value <= view.last and value != stop and not pen.is_raised:
            reach_mm = view.outer_mm + BROKEN_REACH * pen.gap_mm
            along_mm, dash = view.locate(value), make_dash(reach_mm, pen, 9)
            yield axes.line((along_mm, 0.0), (along_mm, reach_mm), pen.stroke_mm, dash)


def draw_plunger(view: ScaleView, stop: Fraction) -> Iterator[Item]:
    """Stopper and rod; the side of the stopper nearest the needle lies exactly on the stop."""
    edge_mm, middle_mm = view.locate(stop), view.bore_mm / 2
    back_mm = edge_mm + view.ring_mm
    yield view.axes.box(edge_mm, back_mm, 0.0, view.bore_mm)
    # The rod is cut off at the flanges, or where the window ends.
    yield view.axes.line((back_mm, middle_mm), (view.end_mm, middle_mm), view.pen.outline_mm)


def draw_marks(view: ScaleView, marks: tuple[StopMark, ...]) -> Iterator[Item]:
    """Wedges at stops, and what stands at them; two that would touch give way to both sides."""
    pen, axes = view.pen, view.axes
    grows_left = axes.across[0] < 0
    labels = [pen.build_label(mark.text, bold=True, size_pt=view.number_pt, grows_left=grows_left) for mark in marks]
    places = [view.locate(mark.value) for mark in marks]
    spans = [max(_measure_span_mm(label, axes), 2 * WEDGE_HALF * pen.gap_mm) for label in labels]
    if len(marks) == 2:
        give_mm = max(0.0, (spans[0] + spans[1]) / 2 + pen.gap_mm - (places[1] - places[0])) / 2
        places = [places[0] - give_mm, places[1] + give_mm]
    tip_mm = view.outer_mm + pen.gap_mm
    for mark, label, place_mm in zip(marks, labels, places, strict=True):
        if pen.is_raised:
            text_mm = tip_mm + 2 * pen.gap_mm
            yield from _draw_stop_line(view, mark, tip_mm + pen.gap_mm)
        else:
            text_mm = tip_mm + (WEDGE_LENGTH + 1.0) * pen.gap_mm
            yield draw_wedge(axes, (view.locate(mark.value), tip_mm), 1, pen, place_mm)
        yield from axes.label(label, place_mm, text_mm, 1)


def _draw_stop_line(view: ScaleView, mark: StopMark, end_mm: float) -> Iterator[Item]:
    """Dashes are at least 9 mm long, longer than their gaps, and stand whole at both ends; no source was found."""
    pen, along_mm = view.pen, view.locate(mark.value)
    count = max(2, int((end_mm + pen.gap_mm) / (RAISED_DASH_MM + pen.gap_mm))) if mark.is_passed else 1
    dash_mm = (end_mm - (count - 1) * pen.gap_mm) / count
    for index in range(count):
        start_mm = index * (dash_mm + pen.gap_mm)
        yield view.axes.line((along_mm, start_mm), (along_mm, start_mm + dash_mm), pen.stop_mm)


def _measure_span_mm(label: Drawing, axes: Axes) -> float:
    """How much of the barrel's length a label takes."""
    return label.height_mm if axes.along[0] == 0 else label.width_mm
