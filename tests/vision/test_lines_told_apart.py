"""Where the lines of the enlarged barrel are too fine for the reader, the card says so."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Final

import pytest
from support.plans import build_card, plan_example

from fillcards.catalogue.near_vision import measure_line_separation_mm, parse_near_acuity
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Element, Placed, PlacedCard
from fillcards.layout.place import place_card
from fillcards.picture.items import Line, Text
from fillcards.plan.print_size import choose_print_size
from fillcards.regimen.model import BarrelDirection, Patient
from fillcards.wording.messages import render, say

EASE_MM: Final = 1e-4
EYES: Final = (("20/20", 2.0), ("20/40", 2.0), ("20/63", 2.0), ("20/80", 2.0), ("20/100", 2.0), ("20/63", 3.0))
"""With their reserve: those whose card has a front, of up to 36 pt; a deck has a picture of the lines on every side."""
UP: Final = BarrelDirection.NEEDLE_UP
TOO_FINE: Final = render(say("too-fine")).text


def place(name: str, acuity: str, direction: BarrelDirection, reserve: float) -> PlacedCard:
    """An example's card for an eye at 40 cm, with the barrel held as asked."""
    plan = plan_example(name)
    regimen = replace(plan.regimen, print=replace(plan.regimen.print, barrel=direction))
    size = choose_print_size(Patient(reads=parse_near_acuity(f"{acuity} at 40 cm", reserve)))
    return place_card(build_card(plan._replace(regimen=regimen)), size, load_papers()["letter"])


def list_front_figures(placed: PlacedCard) -> Iterator[tuple[Placed, ...]]:
    """Every picture of the front of the first fill that has words of its own."""
    by_mark = defaultdict(list)
    for each in placed.pages[0].placed:
        by_mark[each.mark].append(each)
    for figure in find_figures(placed.structure):
        if items := tuple(each for mark in figure.children if isinstance(mark, int) for each in by_mark[mark]):
            yield items


def find_figures(element: Element) -> Iterator[Element]:
    """Every element that is a picture."""
    if element.role == "Figure":
        yield element
    for child in element.children:
        if isinstance(child, Element):
            yield from find_figures(child)


def measure_gap_mm(placed: PlacedCard) -> float:
    """The least distance between neighbouring lines of a scale on the front, measured on the picture on paper.

    The lines of a scale all begin at one wall of the barrel: the longest row of strokes across, with one end in common.
    A front may hold the barrel upright however it is held.
    """
    rows: dict[tuple[bool, float], set[float]] = defaultdict(set)
    for figure in list_front_figures(placed):
        for line in (item for each in figure for item in each.items if isinstance(item, Line) and not item.dash_mm):
            xs, ys = (line.x1_mm, line.x2_mm), (line.y1_mm, line.y2_mm)
            for is_level, across, along in ((True, xs, ys), (False, ys, xs)):
                if along[0] == along[1]:
                    for end in across:
                        rows[is_level, round(end, 4)].add(round(along[0], 6))
    _, row = max((len(places), sorted(places)) for places in rows.values())
    return min(other - one for one, other in pairwise(row))


def says_so(placed: PlacedCard) -> bool:
    """Whether a side of the first fill sends the reader to the larger pictures."""
    texts = " ".join(
        item.text
        for page in placed.pages
        if page.fill_number == 1
        for each in page.placed
        for item in each.items
        if isinstance(item, Text)
    )
    return TOO_FINE in texts


@pytest.mark.parametrize("name", ["W13", "units on mL", "single"])
@pytest.mark.parametrize(("acuity", "reserve"), EYES)
def test_lines_too_fine_for_the_reader_are_told(name: str, acuity: str, reserve: float) -> None:
    """Barrels of 50, 100 and 60 lines: lines that this eye cannot tell apart are never passed over."""
    needed_mm = reserve * measure_line_separation_mm(parse_near_acuity(f"{acuity} at 40 cm"))
    placed = place(name, acuity, BarrelDirection.NEEDLE_UP, reserve)
    assert says_so(placed) or measure_gap_mm(placed) >= needed_mm - EASE_MM


def test_both_cases_are_met() -> None:
    """A hundred lines are too fine for 20/100, 50 lines for 20/40 are not: their scale is 120 mm long or longer."""
    fine, wide = (place(*case) for case in (("units on mL", "20/100", UP, 2.0), ("W13", "20/40", UP, 2.0)))
    assert says_so(fine)
    assert measure_gap_mm(fine) < 2 * measure_line_separation_mm(parse_near_acuity("20/100 at 40 cm"))
    assert not says_so(wide)
    assert measure_gap_mm(wide) * 50 >= 120


@pytest.mark.parametrize("direction", BarrelDirection)
def test_lines_are_as_far_apart_however_the_barrel_is_held(direction: BarrelDirection) -> None:
    """No way of holding it costs a reader of 20/63 the lines."""
    needed_mm = 2 * measure_line_separation_mm(parse_near_acuity("20/63 at 40 cm"))
    placed = place("W13", "20/63", direction, 2.0)
    assert says_so(placed) or measure_gap_mm(placed) >= needed_mm - EASE_MM
