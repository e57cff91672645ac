"""What hands, magnets and printers do to a card: measured on the finished PDF."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby

import numpy as np
import pytest
from hypothesis import given, reject
from hypothesis import strategies as st
from support.plans import build_card, make_plans, plan_example
from support.seeing import render_pdf
from support.shares import try_of_100

from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import PlacedCard
from fillcards.layout.place import place_card
from fillcards.output.pdf import write_pdf
from fillcards.plan.model import Plan
from fillcards.plan.print_size import choose_print_size
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import Patient

MAGNET_MM = 22.0
EDGE_MM = 11.0
"""The margin is 12 mm; ascenders of a large title are taller than its capitals, and reach into it."""
PIXELS_PER_MM = 3.0


def place(plan: Plan, size_pt: int, paper: str) -> PlacedCard:
    """A plan's card at a size on a paper."""
    size = choose_print_size(Patient(text_size_pt=Fraction(size_pt)))
    return place_card(build_card(plan), size, load_papers()[paper])


@pytest.mark.parametrize("size_pt", [18, 33, 66])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_no_ink_where_the_magnet_sits(size_pt: int, paper: str) -> None:
    """Where a magnet goes, 22 mm high beside a front's title, and the outer 11 mm of every patient's page
    are white in the rendered file.
    """
    placed = place(plan_example("mixed"), size_pt, paper)
    pdf = write_pdf(placed)
    edge = round(EDGE_MM * PIXELS_PER_MM) - 1
    for index, page in enumerate(placed.pages):
        if page.is_staff:
            continue
        ink = render_pdf(pdf, index, pixels_per_mm=PIXELS_PER_MM)
        assert ink.any() == bool(page.placed)
        edges = (ink[:edge], ink[-edge:], ink[:, :edge], ink[:, -edge:])
        assert not np.concatenate([each.ravel() for each in edges]).any()
        for box in page.free:
            assert (box.y_mm, box.height_mm) == (0.0, MAGNET_MM)
            left, right = (round(x_mm * PIXELS_PER_MM) for x_mm in (box.x_mm, box.right_mm))
            assert not ink[: round(MAGNET_MM * PIXELS_PER_MM) - 1, left + 1 : right - 1].any()


@try_of_100(15)
@given(make_plans(), st.sampled_from((18, 24, 32, 48)), st.sampled_from(("letter", "a4")))
def test_two_sides_of_a_sheet_never_hold_two_fills(plan: Plan, size_pt: int, paper: str) -> None:
    """Printed on both sides, each sheet belongs to one section: every run of its pages starts on a front side."""
    try:
        pages = [page for page in place(plan, size_pt, paper).pages if not page.is_staff]
    except RegimenRefused:
        reject()
    position = 0
    for _, group in groupby(pages, key=lambda page: (page.fill_number, page.section)):
        assert position % 2 == 0
        position += len(list(group))
