"""Drawn pictures in the values of their scales, and whether an eye can tell their lines. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import accumulate, repeat
from typing import Final, NamedTuple

from fillcards.readback.barrels import measure_hole_mm
from fillcards.readback.conventions import LONGEST_EMPTY_MM, PRINT_BAR_MM
from fillcards.readback.marks import Stroke
from fillcards.readback.model import PassedReading, PictureKind, PictureReading, StopReading
from fillcards.readback.nearby import EASE_MM
from fillcards.readback.render import DARK, LIGHT, Raster
from fillcards.readback.scale_model import Axes, Scale
from fillcards.readback.spoken import parse_card_number
from fillcards.readback.stops import DrawnPicture, DrawnStop
from fillcards.regimen.model import BarrelDirection

SAMPLES_A_STOP: Final = 12
SAMPLES_A_LINE: Final = 3


def build_pictures(
    pictures: tuple[DrawnPicture, ...], page: int, line_every: Fraction | None
) -> Iterator[PictureReading]:
    """The pictures of one page.

    Args:
        pictures: as found.
        page: its number.
        line_every: for a picture with one number only; without it such a picture is left out, and missed by whoever
            compares.
    """
    for picture in pictures:
        step = abs(picture.scale.step) if picture.scale.step else line_every
        if step:
            yield _build_picture(picture, page, step)


class _Values(NamedTuple):
    """The lines of a picture, to find the nearest to a place."""

    places_mm: tuple[float, ...]
    values: tuple[Fraction, ...]
    gap_mm: float
    growth: int

    def locate(self, place_mm: float) -> tuple[Fraction, float]:
        """The nearest line's value, and how far the place is from it in gaps, positive towards larger values."""
        index = min(range(len(self.places_mm)), key=lambda i: abs(self.places_mm[i] - place_mm))
        return self.values[index], (place_mm - self.places_mm[index]) * self.growth / self.gap_mm


def _build_picture(picture: DrawnPicture, page: int, step: Fraction) -> PictureReading:
    scale = picture.scale
    values = _list_values(scale, picture.growth, step)
    lines = _Values(scale.places_mm, values, scale.gap_mm, picture.growth)
    fitted = scale.fit_numbers()
    return PictureReading(
        page=page,
        kind=_find_kind(picture, values, scale.gap_mm),
        direction=_find_direction(scale.axes, picture.growth),
        has_needle=picture.has_needle,
        is_consistent=scale.is_consistent,
        numbers=tuple(number.value for number in scale.numbers),
        mm_per_number=fitted[0] if fitted else None,
        residual_mm=fitted[2] if fitted else 0.0,
        line_every=step,
        first_line=min(values),
        last_line=max(values),
        long_lines=frozenset(_list_long_lines(values, scale.lengths_mm)),
        length_mm=scale.places_mm[-1] - scale.places_mm[0],
        stops=tuple(_build_stop(picture, stop, lines) for stop in picture.stops),
        passed=tuple(
            PassedReading(*lines.locate(mark.place_mm), parse_card_number(mark.label.text) if mark.label else None)
            for mark in picture.passed
        ),
    )


def _find_kind(picture: DrawnPicture, values: tuple[Fraction, ...], gap_mm: float) -> PictureKind:
    is_metric = max(values) == PRINT_BAR_MM and not picture.is_whole and not picture.has_needle
    if is_metric and not picture.stops and gap_mm >= PRINT_BAR_MM / 20:
        return PictureKind.BAR
    if not picture.is_whole:
        return PictureKind.CLOSE_UP
    return PictureKind.ENLARGED if picture.stops or picture.edge_mm is not None else PictureKind.LIFE_SIZE


def _find_direction(axes: Axes, growth: int) -> BarrelDirection | None:
    if axes.is_upright:
        return BarrelDirection.NEEDLE_UP if growth > 0 else None
    return BarrelDirection.NEEDLE_LEFT if growth > 0 else BarrelDirection.NEEDLE_RIGHT


def _build_stop(picture: DrawnPicture, stop: DrawnStop, lines: _Values) -> StopReading:
    line, off = lines.locate(stop.place_mm)
    edge_off = None
    if picture.edge_mm is not None:
        edge_off = (picture.edge_mm - stop.place_mm) * picture.growth / lines.gap_mm
    short_mm = None
    if marks := picture.liquid_marks:
        far_mm = max(mark.far_mm for mark in marks) if picture.growth > 0 else min(mark.near_mm for mark in marks)
        short_mm = (stop.place_mm - far_mm) * picture.growth
    return StopReading(
        line=line,
        off_lines=off,
        style=stop.style,
        label=parse_card_number(stop.label.text) if stop.label else None,
        edge_off_lines=edge_off,
        liquid=picture.liquid,
        liquid_short_mm=short_mm,
        counted_dots=picture.counted_dots,
    )


def find_dim_lines(picture: DrawnPicture, raster: Raster) -> Iterator[str]:
    """Lines without ink on them, or without light beside them."""
    axes, scale = picture.scale.axes, picture.scale
    dim = 0
    for place_mm, length_mm in zip(scale.places_mm, scale.lengths_mm, strict=True):
        for sample in range(1, SAMPLES_A_LINE + 1):
            across_mm = scale.wall_mm + axes.inward * length_mm * sample / (SAMPLES_A_LINE + 1)
            if raster.find_level(*axes.join(place_mm, across_mm)) >= DARK:
                dim += 1
                break
    if picture.strays:
        yield f"marks in a barrel that belong to nothing: {picture.strays}"
    if dim:
        yield f"graduation lines without ink: {dim}"
    buried = _count_buried(picture, raster)
    if buried:
        yield f"graduation lines that run together: {buried}"
    for mark in (*picture.stops,):
        if not _has_ink(mark.stroke, raster):
            yield "a stop line without ink along all of its length"
    yield from _find_thin_liquid(picture, raster)


def _find_thin_liquid(picture: DrawnPicture, raster: Raster) -> Iterator[str]:
    """A liquid that an eye would take to end elsewhere: its pattern is covered, or has a hole."""
    for stop in picture.stops[: bool(picture.liquid_marks)]:
        seen = [mark for mark in picture.liquid_marks if raster.find_level(*mark.ink) < DARK]
        start_mm = picture.scale.places_mm[0 if picture.growth > 0 else -1]
        hole_mm = measure_hole_mm(seen, start_mm, stop.place_mm)
        if hole_mm > LONGEST_EMPTY_MM:
            yield f"a liquid without ink over {hole_mm:.1f} mm"


def _count_buried(picture: DrawnPicture, raster: Raster) -> int:
    """Gaps between lines that are not light. The gap that the stopper's ring stands in is left out."""
    scale, axes = picture.scale, picture.scale.axes
    shallow_mm = min(scale.lengths_mm) / 2
    across_mm = scale.wall_mm + axes.inward * shallow_mm
    half_mm = scale.gap_mm / 2
    ring_mm = None if picture.edge_mm is None else picture.edge_mm + picture.growth * half_mm
    buried = 0
    for place_mm in scale.places_mm[:-1]:
        middle_mm = place_mm + half_mm
        if ring_mm is not None and abs(middle_mm - ring_mm) < half_mm:
            continue
        buried += raster.find_level(*axes.join(middle_mm, across_mm)) < LIGHT
    return buried


def _has_ink(stroke: Stroke, raster: Raster) -> bool:
    for sample in range(1, SAMPLES_A_STOP + 1):
        share = sample / (SAMPLES_A_STOP + 1)
        x_mm = stroke.x1_mm + share * (stroke.x2_mm - stroke.x1_mm)
        y_mm = stroke.y1_mm + share * (stroke.y2_mm - stroke.y1_mm)
        if raster.find_level(x_mm, y_mm) >= DARK:
            return False
    return True


def _list_values(scale: Scale, growth: int, step: Fraction) -> tuple[Fraction, ...]:
    """The value of each line, in the order of their places, from one number and what a gap is worth."""
    number = scale.numbers[0]
    gap = growth * step
    first = number.value - gap * number.line
    return tuple(accumulate(repeat(gap, len(scale.places_mm) - 1), initial=first))


def _list_long_lines(values: Iterable[Fraction], lengths_mm: Iterable[float]) -> Iterator[Fraction]:
    """Values of lines longer than the shortest."""
    pairs = list(zip(values, lengths_mm, strict=True))
    shortest_mm = min(length for _, length in pairs)
    return (value for value, length in pairs if length > shortest_mm + EASE_MM)
