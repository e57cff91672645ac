"""The log: a table of days and fills, a week after the other, with room to write. Millimetres; type sizes in points.

As many fills as fit stand on one sheet; of large type as few days as leave room to write.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import Final, NamedTuple

from fillcards.card.model import Log, LogFill
from fillcards.layout.grid import At, Piece, beside, put, stack
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.search import NoRoom, find_fitting
from fillcards.layout.sections import Section
from fillcards.layout.setter import measure_line_mm, measure_tallness
from fillcards.layout.sheet import Sheet
from fillcards.layout.styles import LEAST_PATIENT_PT, LOG, SMALL_FOOT_TO_PT
from fillcards.picture.items import Anchor, Line
from fillcards.wording.messages import Say, say

WEEKS: Final = 2
PAD_MM: Final = 1.5
SIGN_GAP_MM: Final = 2.0
THIN_MM: Final = 0.35
THICK_MM: Final = 0.9
"""Between the columns of one fill, and round each fill."""
SHARED_PT: Final = 18.0
"""Least size of headings where fills share a sheet; larger type takes a sheet for each."""
HEADING_MM: Final = 0.8
LEAST_ROW_MM: Final = 11.0
MOST_ROW_MM: Final = 26.0
"""Height of a row, which is the room to write a time and a place by hand."""


class _Grid(NamedTuple):
    """Where the columns of a sheet stand: the day's, then those of each fill; edges from left to right in mm."""

    edges_mm: tuple[float, ...]
    fills: tuple[LogFill, ...]
    heading_pt: float

    @property
    def group_edges_mm(self) -> tuple[float, ...]:
        """Left and right edge of each fill."""
        counts = accumulate((len(fill.columns) for fill in self.fills), initial=1)
        return tuple(self.edges_mm[count] for count in counts)


def set_log(sheet: Sheet, log: Log) -> list[Section]:
    """A section for each sheet, as many fills on each as have room.

    Raises:
        NoRoom, TextTooWide: not even one has.
    """

    def set_groups(most: int) -> list[Section]:
        groups = [log.fills[start : start + most] for start in range(0, len(log.fills), most)]
        least_pt = min(sheet.body_pt, SHARED_PT) if most > 1 else LEAST_PATIENT_PT
        return [_set_sheet(sheet, log, _lay_columns(sheet, log, group, least_pt)) for group in groups]

    return find_fitting(range(min(len(log.fills), LOG.most_columns), 0, -1), set_groups)


def _lay_columns(sheet: Sheet, log: Log, fills: Sequence[LogFill], least_pt: float) -> _Grid:
    """Columns as wide as their heading, or to write in; headings in the largest type that has room."""
    setter = sheet.setter
    day_mm = max(setter.measure_mm(day, sheet.body_pt) for day in log.days) + 2 * PAD_MM
    headings = [each for fill in fills for each in fill.columns]
    size_pt = sheet.body_pt
    while size_pt >= least_pt:
        least = [max(setter.measure_mm(each, size_pt) + 2 * PAD_MM + 0.1, LOG.least_mm) for each in headings]
        spare_mm = sheet.live_mm - THICK_MM - day_mm - sum(least)
        if spare_mm >= 0.0:
            widths = [own + spare_mm / len(least) for own in least]
            return _Grid(tuple(accumulate((THICK_MM / 2, day_mm, *widths))), tuple(fills), size_pt)
        size_pt -= 1.0
    raise NoRoom


def _set_sheet(sheet: Sheet, log: Log, grid: _Grid) -> Section:
    room_mm = sheet.measure_room_mm(_set_head(sheet, log, 1, 2), _set_foot(sheet, log, 8, 8)) - sheet.gap_mm
    least_mm = max(LEAST_ROW_MM, measure_line_mm(sheet.body_pt) + 2 * PAD_MM)
    room_mm -= _set_titles(sheet, grid).height_mm + _measure_heading_mm(sheet, grid) + THICK_MM
    most = int(room_mm / least_mm)
    if most < 1:
        raise NoRoom
    rows = -(-len(log.days) // -(-len(log.days) // most))
    row_mm = min(MOST_ROW_MM, room_mm / rows)
    days = list(enumerate(log.days))
    parts = [(week, days[start : start + rows]) for week in range(1, WEEKS + 1) for start in range(0, len(days), rows)]
    sides = (
        (
            _set_head(sheet, log, number, week),
            sheet.lower(stack((_set_titles(sheet, grid), _set_rows(sheet, log, grid, part, row_mm)))),
            _set_foot(sheet, log, number, len(parts)),
        )
        for number, (week, part) in enumerate(parts, start=1)
    )
    return sheet.make_section(log.title, sides, LOG.name)


def _set_head(sheet: Sheet, log: Log, page: int, week: int) -> Piece:
    """Title, week, band, whose; the day it begins; what to look at first, and whom to call."""
    setter, body_pt, width_mm = sheet.setter, sheet.body_pt, sheet.live_mm
    return stack(
        (
            sheet.titled_head(log.title, say("log-week", step=week), page, is_small=True),
            setter.text(log.look, body_pt, width_mm),
            sheet.call(sheet.card.stop_call, body_pt),
            sheet.row((setter.line(log.start, body_pt, width_mm / 2), *_set_bring(sheet, log, is_head=True))),
        ),
        0.4 * sheet.gap_mm,
    )


def _set_foot(sheet: Sheet, log: Log, page: int, pages: int) -> Piece:
    return sheet.titled_foot(page, pages, *_set_bring(sheet, log, is_head=False))


def _set_bring(sheet: Sheet, log: Log, *, is_head: bool) -> tuple[Piece, ...]:
    """Where there is room for it: in the head of a sheet in small type, in the foot of one in large."""
    is_small = sheet.body_pt <= SMALL_FOOT_TO_PT
    if is_head is not is_small:
        return ()
    return (sheet.setter.text(log.bring, sheet.body_pt if is_small else sheet.small_pt, sheet.live_mm),)


def _set_titles(sheet: Sheet, grid: _Grid) -> Piece:
    """The name of each fill over its columns."""
    edges = grid.group_edges_mm
    names: list[Piece] = []
    for fill, left_mm, right_mm in zip(grid.fills, edges, edges[1:], strict=False):
        sign = sheet.set_sign(sheet.card.fills[fill.number - 1], 0.9 * measure_line_mm(sheet.body_pt))
        room_mm = right_mm - left_mm - 2 * PAD_MM - sign.width_mm - SIGN_GAP_MM
        words = sheet.setter.text(fill.title, sheet.body_pt, room_mm, bold=True, role="H2")
        names.append(beside((sign, words), SIGN_GAP_MM, 1.0))
    height_mm = max(name.height_mm for name in names)
    places = zip(names, edges, edges[1:], strict=False)
    parts = [
        At(name, (left_mm + right_mm - name.width_mm) / 2, height_mm - name.height_mm)
        for name, left_mm, right_mm in places
    ]
    return put(sheet.live_mm, height_mm + 1.0, parts)


def _measure_heading_mm(sheet: Sheet, grid: _Grid) -> float:
    return measure_line_mm(grid.heading_pt) * measure_tallness(sheet.setter.language) + HEADING_MM


def _set_rows(sheet: Sheet, log: Log, grid: _Grid, days: Sequence[tuple[int, Say]], row_mm: float) -> Piece:
    """The table: headings, then a row a day."""
    head_mm = _measure_heading_mm(sheet, grid)
    heading = _set_heading(sheet, grid, head_mm)
    rows = [heading, *(_set_day(sheet, log, grid, at, day, row_mm) for at, day in days)]
    whole = stack(rows)
    lines = list(_draw_levels(grid, [head_mm, *(row_mm for _ in days)]))
    table = Element("Table", whole.elements)
    box = Box(0.0, -THICK_MM / 2, grid.edges_mm[-1] + THICK_MM / 2, whole.height_mm + THICK_MM)
    rules = Placed(box, tuple(lines), None, may_overlap=True)
    return Piece(sheet.live_mm, whole.height_mm, (*whole.parts, rules), (table,))


def _draw_levels(grid: _Grid, heights_mm: Sequence[float]) -> Iterator[Line]:
    """Level rules across the table: thick at its top and foot and under the headings."""
    left_mm, right_mm = grid.edges_mm[0] - THICK_MM / 2, grid.edges_mm[-1] + THICK_MM / 2
    ends = [0.0, *accumulate(heights_mm)]
    for at, y_mm in enumerate(ends):
        width_mm = THICK_MM if at in {0, 1, len(ends) - 1} else THIN_MM
        yield Line(left_mm, y_mm, right_mm, y_mm, width_mm)


def _draw_uprights(sheet: Sheet, grid: _Grid, height_mm: float, open_groups: Sequence[int] = ()) -> Piece:
    """Rules between the columns of one row, where they are on the page; none inside a fill that is not on this day."""
    groups = grid.group_edges_mm
    inside = [(groups[at], groups[at + 1]) for at in open_groups]
    is_mirrored = sheet.setter.is_backward
    lines = [
        Line(
            at_mm := sheet.live_mm - x_mm if is_mirrored else x_mm,
            0.0,
            at_mm,
            height_mm,
            THICK_MM if x_mm in groups or x_mm == grid.edges_mm[0] else THIN_MM,
        )
        for x_mm in grid.edges_mm
        if not any(left < x_mm < right for left, right in inside)
    ]
    right_mm = grid.edges_mm[-1] + THICK_MM / 2
    box = Box(sheet.live_mm - right_mm if is_mirrored else 0.0, 0.0, right_mm, height_mm)
    return Piece(sheet.live_mm, 0.0, (Placed(box, tuple(lines), None, may_overlap=True),), is_fixed=True)


def _set_heading(sheet: Sheet, grid: _Grid, height_mm: float) -> Piece:
    marks: list[Element] = [Element("TD", ())]
    parts: list[At] = []
    headings = [each for fill in grid.fills for each in fill.columns]
    for heading, left_mm in zip(headings, grid.edges_mm[1:], strict=False):
        words = sheet.setter.text(heading, grid.heading_pt, 1e3, role="TH")
        marks += [element._replace(title="Column") for element in words.elements]
        parts.append(At(words, left_mm + PAD_MM, (height_mm - words.height_mm) / 2))
    return _make_row(sheet, parts, marks, height_mm, _draw_uprights(sheet, grid, height_mm))


def _set_day(sheet: Sheet, log: Log, grid: _Grid, at: int, day: Say, height_mm: float) -> Piece:
    words = sheet.setter.text(day, sheet.body_pt, sheet.live_mm, role="TH")
    parts = [At(words, grid.edges_mm[0] + PAD_MM, (height_mm - words.height_mm) / 2)]
    marks = [element._replace(title="Row") for element in words.elements]
    groups, without = grid.group_edges_mm, []
    for number, (fill, left_mm, right_mm) in enumerate(zip(grid.fills, groups, groups[1:], strict=False)):
        cells = [Element("TD", ()) for _ in fill.columns]
        if not fill.is_day[at]:
            room_mm = right_mm - left_mm - 2 * PAD_MM
            none = sheet.setter.text(log.not_today, sheet.body_pt, room_mm, role="TD", anchor=Anchor.MIDDLE)
            parts.append(At(none, left_mm + PAD_MM, (height_mm - none.height_mm) / 2))
            cells[:1] = none.elements
            without.append(number)
        marks += cells
    return _make_row(sheet, parts, marks, height_mm, _draw_uprights(sheet, grid, height_mm, without))


def _make_row(sheet: Sheet, parts: Sequence[At], marks: Sequence[Element], height_mm: float, rules: Piece) -> Piece:
    row = put(sheet.live_mm, height_mm, (*parts, At(rules, 0.0, 0.0)))
    return row._replace(own_elements=(Element("TR", tuple(marks)),))
