"""How well an eye of 20/200 tells the three marks of a stop apart: the table ``stops.txt``.

``python tests/vision/score_stops.py`` writes it. Every mark is drawn at its smallest, on the same barrel, with the same
number; copied, dimmed and blurred (``support.seeing``); two of them are laid on each other as well as they can be, and
the difference left is the score, in smallest readable Landolt rings.

The passed line is given: thin and dashed, so that it leads nobody to stop there. The mark of the first line is then the
one that is furthest from it, and the mark of the total the one that is furthest from the first line's.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Final

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from support.pictures import make_syringe
from support.seeing import Ink, measure_difference, measure_ring, see, write_score

from fillcards.picture.barrel_frame import build_frame
from fillcards.picture.items import Drawing, Item, Line, move_item
from fillcards.picture.items import Ink as Level
from fillcards.picture.orientation import Side, measure_depth_mm, measure_span_mm
from fillcards.picture.stop_marks import (
    ARROW_MM,
    LABEL_GAP_MM,
    PASSED_DASH_MM,
    PASSED_LINE_MM,
    TAG_OUTLINE_MM,
    TAG_PAD_MM,
    TAG_TIP_MM,
    build_label,
    build_passed_label,
    draw_stop,
)
from fillcards.regimen.model import BarrelDirection

TABLE: Final = Path(__file__).parent / "stops.txt"
LEAST_SCORE: Final = 3.0
LEAST_LEAD: Final = 1.05

UP: Final = BarrelDirection.NEEDLE_UP
STOP: Final = Fraction(26)
NUMBER_PT: Final = 14.0
SHIFT_MM: Final = 3.0
FRAME: Final = build_frame(make_syringe("U-100", "0.5", "1"), 100.0, UP, NUMBER_PT, 30.0, (11.0, 11.0))
ALONG_MM: Final = FRAME.locate(STOP)
WALL_MM: Final = FRAME.high_outer_mm
LABEL: Final = build_label(STOP, NUMBER_PT)
SHEET_MM: Final = (40.0, 24.0)

ARROW: Final = "arrow (chosen)"
TAG: Final = "tag (chosen)"
PASSED: Final = "passed line (given)"


def draw_marks() -> Mapping[str, tuple[Item, ...]]:
    """Every candidate, the chosen ones by the package's own code."""
    bar = _bar(3.0)
    return {
        ARROW: draw_stop(FRAME, STOP, LABEL, is_total=False),
        TAG: draw_stop(FRAME, STOP, LABEL, is_total=True),
        PASSED: _passed(),
        "arrow, thin (bar 1.5, head 4.2)": (*_bar(1.5, 3.4), _head(2.1, 3.4), _label()),
        "arrow, open": (*_open_head(), *_bar(0.8), _label()),
        "bar 3 without a head": (*bar, _label()),
        "two bars 1.2": (*_bar(1.2, shift_mm=-1.1), *_bar(1.2, shift_mm=1.1), _label()),
        "number alone": (_label(),),
        "tag, thin (outline 1)": _tag(1.0, 1.5),
        "ring round the number": _ring(TAG_OUTLINE_MM),
        "ring, thin (outline 1)": _ring(1.0),
    }


@cache
def _see_marks() -> Mapping[str, Ink]:
    return {name: see(_crop(items)) for name, items in draw_marks().items()}


def score_marks(one: str, other: str) -> float:
    """How well two marks are told apart."""
    seen = _see_marks()
    return measure_difference(seen[one], seen[other], SHIFT_MM) / measure_ring()


def list_others(*left_out: str) -> tuple[str, ...]:
    """Names of every mark but those."""
    return tuple(name for name in draw_marks() if name not in {PASSED, *left_out})


def list_framed() -> tuple[str, ...]:
    """Names of the marks that frame the number: they are the total's, as at the large figures."""
    return tuple(name for name in draw_marks() if name.startswith(("tag", "ring")))


def write_table() -> str:
    """The table as text."""
    lines = [
        "Marks of a stop, copied at 94 % to one bit, in half contrast, to an eye of 20/200 at 40 cm.",
        "Scores in smallest readable Landolt rings (1 = as hard as the smallest ring). Written by score_stops.py.",
        "",
        "First line against the passed line:",
    ]
    lines += [
        f"  {name:34} {write_score(score_marks(name, PASSED)):>5}"
        for name in sorted(list_others(*list_framed()), key=lambda name: -score_marks(name, PASSED))
    ]
    lines += ["", f"Total line against the {ARROW.split()[0]} of the first line:"]
    lines += [
        f"  {name:34} {write_score(score_marks(name, ARROW)):>5}"
        for name in sorted(list_others(ARROW), key=lambda name: -score_marks(name, ARROW))
    ]
    lines += ["", f"Total line against the passed line: {write_score(score_marks(TAG, PASSED))}"]
    return "\n".join(lines) + "\n"


def _crop(items: tuple[Item, ...]) -> Drawing:
    """The marks alone, without the line across the barrel that all of them share."""
    beside = [item for item in items if not (isinstance(item, Line) and item.x1_mm < WALL_MM - 1.0)]
    moved = (move_item(item, 2.0 - WALL_MM, SHEET_MM[1] / 2 - ALONG_MM) for item in beside)
    return Drawing(*SHEET_MM, tuple(moved))


def _label() -> Item:
    return FRAME.orientation.draw_figures(LABEL, ALONG_MM, WALL_MM + ARROW_MM + LABEL_GAP_MM, Side.LABELS)


def _bar(width_mm: float, from_mm: float = 0.0, shift_mm: float = 0.0) -> tuple[Item, ...]:
    along_mm = ALONG_MM + shift_mm
    return (FRAME.orientation.draw_line((along_mm, WALL_MM + from_mm), (along_mm, WALL_MM + ARROW_MM), width_mm),)


def _head(half_mm: float, length_mm: float) -> Item:
    base_mm = WALL_MM + length_mm
    points = ((ALONG_MM, WALL_MM), (ALONG_MM - half_mm, base_mm), (ALONG_MM + half_mm, base_mm))
    return FRAME.orientation.draw_polygon(points, Level.BLACK)


def _open_head() -> tuple[Item, ...]:
    ends = ((ALONG_MM + side * 2.1, WALL_MM + 3.4) for side in (-1, 1))
    return tuple(FRAME.orientation.draw_line((ALONG_MM, WALL_MM), end, 0.8) for end in ends)


def _passed() -> tuple[Item, ...]:
    label = build_passed_label(STOP, NUMBER_PT)
    end_mm = WALL_MM + ARROW_MM
    leader = FRAME.orientation.draw_line(
        (ALONG_MM, WALL_MM), (ALONG_MM, end_mm), PASSED_LINE_MM, dash_mm=PASSED_DASH_MM
    )
    return leader, FRAME.orientation.draw_figures(label, ALONG_MM, end_mm + LABEL_GAP_MM, Side.LABELS)


def _tag(outline_mm: float, pad_mm: float) -> tuple[Item, ...]:
    axes, inset_mm = FRAME.orientation, outline_mm / 2
    half_mm = measure_span_mm(LABEL, UP) / 2 + pad_mm
    near_mm = WALL_MM + TAG_TIP_MM
    far_mm = near_mm + 2 * pad_mm + measure_depth_mm(LABEL, UP)
    low, high = (ALONG_MM - half_mm + inset_mm, near_mm - inset_mm), (ALONG_MM + half_mm - inset_mm, far_mm - inset_mm)
    frame = axes.draw_rectangle(low, high, Level.WHITE, outline_mm)
    number = axes.draw_figures(LABEL, ALONG_MM, near_mm + pad_mm, Side.LABELS)
    return frame, _head(half_mm, TAG_TIP_MM), number


def _ring(outline_mm: float) -> tuple[Item, ...]:
    depth_mm = measure_depth_mm(LABEL, UP)
    radius_mm = math.hypot(measure_span_mm(LABEL, UP), depth_mm) / 2 + TAG_PAD_MM - outline_mm / 2
    middle_mm = WALL_MM + TAG_TIP_MM + radius_mm
    turns = (2 * math.pi * step / 48 for step in range(48))
    points = [(ALONG_MM + radius_mm * math.cos(t), middle_mm + radius_mm * math.sin(t)) for t in turns]
    ring = FRAME.orientation.draw_polygon(points, Level.WHITE, outline_mm)
    number = FRAME.orientation.draw_figures(LABEL, ALONG_MM, middle_mm - depth_mm / 2, Side.LABELS)
    return ring, _head(2.1, TAG_TIP_MM), number


if __name__ == "__main__":
    TABLE.write_text(write_table(), encoding="utf-8")
