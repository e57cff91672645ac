"""Claims about fronts, by the boxes of what stands on them (rules of the front in the card's design)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Final

import numpy as np
import pytest
from support.fifths import TURNED, keep_a_fifth
from support.placed_starters import place_starter
from support.plans import STARTERS, build_card, plan_starter

from fillcards.card.model import Card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.layout.place import place_card
from fillcards.layout.proof import measure_item_box
from fillcards.layout.setter import PITCH
from fillcards.layout.styles import MARGIN_MM
from fillcards.picture.items import Item, Line, Polygon, Text
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import choose_print_size
from fillcards.quantities import convert_pt_to_mm
from fillcards.regimen.fingerprint import compute_card_code, is_checked
from fillcards.regimen.model import BarrelDirection, Patient, Regimen
from fillcards.wording.messages import render

RISING_PT: Final = (18, 24, 28, 32, 36)
SIZES: Final = keep_a_fifth(TURNED, RISING_PT, ("letter", "a4"))
CHECKED_SIZES_PT: Final = (18, 24, 36)
MIXED: Final = tuple(path for path in STARTERS if "two-insulins" in path.stem or "half-units" in path.stem)
FIGURE_FROM_PT: Final = 70.0
"""Everything set larger is a figure."""


def make(starter: Path, size_pt: int = 18, paper: str = "letter") -> tuple[Card, PlacedCard]:
    """A starter's card and its pages."""
    return place_starter(starter, float(size_pt), paper)


def list_fronts(placed: PlacedCard) -> list[Page]:
    """The first side of each fill."""
    return [page for page in placed.pages if page.side in {"poster", "facts-left", "facts-left-few"}]


def list_figure_marks(element: Element) -> Iterator[int]:
    """The marks of pictures."""
    for child in element.children:
        if isinstance(child, Element):
            if child.role == "Figure":
                yield from (mark for mark in child.children if isinstance(mark, int))
            yield from list_figure_marks(child)


def measure_share(boxes: Iterable[Box], within: Box) -> float:
    """The part of an area that boxes cover, counted on a grid of half millimetres."""
    x_mm = within.x_mm + np.arange(int(within.width_mm * 2)) / 2
    y_mm = within.y_mm + np.arange(int(within.height_mm * 2)) / 2
    covered = np.zeros((len(y_mm), len(x_mm)), dtype=bool)
    for box in boxes:
        rows = (box.y_mm <= y_mm) & (y_mm <= box.bottom_mm)
        covered |= np.outer(rows, (box.x_mm <= x_mm) & (x_mm <= box.right_mm))
    return float(covered.mean())


def list_texts(page: Page) -> list[Text]:
    """Every run on a side."""
    return [item for placed in page.placed for item in placed.items if isinstance(item, Text)]


@pytest.mark.parametrize("starter", MIXED, ids=lambda path: path.stem)
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_picture_takes_a_fifth_of_page_one(starter: Path, paper: str) -> None:
    """At 18 pt and for two medicines: barrels with their numbers, figures with a total's frame, the arrows that tie the
    two together, and the sign.
    """
    card, placed = make(starter, paper=paper)
    marks = set(list_figure_marks(placed.structure))
    for page, fill in zip(list_fronts(placed), card.fills, strict=True):
        if len(fill.panels) < 2:
            continue
        shown = [each for each in page.placed if each.mark in marks or _is_figure(each) or _is_sign(page, each)]
        shown += [each for each in page.placed if _is_outline(each) and not _is_panel_frame(page, each)]
        boxes = [each.box for each in shown]
        boxes += [stroke for each in page.placed if _is_arrow(each) for stroke in map(measure_item_box, each.items)]
        whole = Box(0.0, 0.0, page.width_mm, page.height_mm)
        assert measure_share(boxes, whole) >= 0.20


def _is_arrow(placed: Placed) -> bool:
    return placed.mark is None and any(isinstance(item, Polygon) and len(item.points_mm) == 3 for item in placed.items)


def _is_sign(page: Page, placed: Placed) -> bool:
    """A picture in the right upper corner that is not read aloud."""
    return (
        placed.mark is None
        and placed.box.y_mm < 22
        and placed.box.right_mm > page.width_mm - MARGIN_MM - 0.1
        and not placed.may_overlap
    )


def _is_figure(placed: Placed) -> bool:
    return any(isinstance(item, Text) and item.size_pt > FIGURE_FROM_PT for item in placed.items)


@pytest.mark.parametrize(("starter", "paper"), keep_a_fifth(TURNED, ("letter", "a4"), every=2))
def test_less_than_35_percent_of_page_one_is_blank(starter: Path, paper: str) -> None:
    """Between the margins at 18 pt: what no block covers, and no magnet."""
    _, placed = make(starter, paper=paper)
    for page in list_fronts(placed):
        live = Box(MARGIN_MM, MARGIN_MM, page.width_mm - 2 * MARGIN_MM, page.height_mm - 2 * MARGIN_MM)
        assert 1 - measure_share((*list_blocks(page), *page.free), live) < 0.35


def list_blocks(page: Page) -> Iterator[Box]:
    """What covers a front: a paragraph's lines, as wide as the widest; a bar; a figure's ink and a total's frame; a
    barrel with its numbers; a sign; each stroke of an arrow by itself. The frame of a panel covers nothing.
    """
    for each in page.placed:
        texts = [item for item in each.items if isinstance(item, Text)]
        if _is_arrow(each):
            yield from map(measure_item_box, each.items)
        elif len(texts) == len(each.items) and not _is_figure(each):
            # From one line to the next is 1.16 of the type size; ink takes 0.97 of it.
            leading_mm = (PITCH - 0.97) / 2 * convert_pt_to_mm(max(text.size_pt for text in texts))
            box = each.box
            yield Box(box.x_mm, box.y_mm - leading_mm, box.width_mm, box.height_mm + 2 * leading_mm)
        elif not _is_panel_frame(page, each):
            yield each.box


def _is_panel_frame(page: Page, placed: Placed) -> bool:
    """An outline about half as wide as the page, or wider."""
    return _is_outline(placed) and placed.box.width_mm > 0.35 * page.width_mm


def _is_outline(placed: Placed) -> bool:
    """A panel's frame, or a total's."""
    return placed.may_overlap and all(isinstance(item, Polygon) and item.fill is None for item in placed.items)


@pytest.mark.parametrize(("starter", "size_pt", "paper"), SIZES)
def test_a_figure_is_read_from_a_metre_away(starter: Path, size_pt: int, paper: str) -> None:
    """At least 100 pt, or 76 where three digits or a point must fit."""
    card, placed = make(starter, size_pt, paper)
    for page, fill in zip(list_fronts(placed), card.fills, strict=True):
        figures = [text for text in list_texts(page) if text.size_pt > FIGURE_FROM_PT]
        is_long = any(len(text.text) > 2 for text in figures)
        assert len(figures) == len(fill.panels)
        assert all(text.size_pt >= (76 if is_long else 100) for text in figures)


@pytest.mark.parametrize("starter", keep_a_fifth(TURNED))
def test_order_words_are_at_least_24_pt(starter: Path) -> None:
    """The words in the bars, at any size of type."""
    for size_pt in RISING_PT:
        _, placed = make(starter, size_pt)
        marks = {mark for element in _find(placed.structure, "H2") for mark in element.children}
        for page in list_fronts(placed):
            sizes = [
                item.size_pt
                for each in page.placed
                if each.mark in marks
                for item in each.items
                if isinstance(item, Text)
            ]
            assert sizes
            assert min(sizes) >= 24


@pytest.mark.parametrize(
    ("name", "paper", "phone"),
    [("half-units-for-a-child", "a4", "555-0151"), ("two-insulins-twice-a-day", "letter", "555-0142")],
)
def test_a_front_says_whom_to_call(name: str, paper: str, phone: str) -> None:
    """At 24 pt as well, on the starter's own paper, where other words leave it: without a number, "Call" is no help."""
    (starter,) = (each for each in STARTERS if each.stem == name)
    _, placed = make(starter, 24, paper)
    for page in list_fronts(placed):
        assert phone in "".join(text.text for text in list_texts(page))


def _find(element: Element, role: str) -> Iterator[Element]:
    if element.role == role:
        yield element
    for child in element.children:
        if isinstance(child, Element):
            yield from _find(child, role)


@pytest.mark.parametrize("starter", keep_a_fifth(TURNED))
def test_figures_scale_numbers_and_strokes_never_fall_as_the_type_grows(starter: Path) -> None:
    """What a reader of larger type gets is never smaller (rule 4)."""
    seen = []
    for size_pt in RISING_PT:
        _, placed = make(starter, size_pt)
        page = list_fronts(placed)[0]
        marks = set(list_figure_marks(placed.structure))
        barrels = [each for each in page.placed if each.mark in marks]
        numbers = [item.size_pt for each in barrels for item in each.items if isinstance(item, Text)]
        walls = [
            item.outline_mm for each in barrels for item in each.items if isinstance(item, Polygon) and item.outline_mm
        ]
        figure_pt = min(text.size_pt for text in list_texts(page) if text.size_pt > FIGURE_FROM_PT)
        seen.append((figure_pt, min(numbers), min(walls)))
    for smaller, larger in pairwise(seen):
        assert all(after >= before for before, after in zip(smaller, larger, strict=True))


@pytest.mark.parametrize("starter", [path for path in STARTERS if "two-insulins" in path.stem], ids=lambda p: p.stem)
def test_half_a_milliliter_is_120_mm_long(starter: Path) -> None:
    """The scale of a 0.5 mL barrel at 18 pt, from zero line to last line."""
    _, placed = make(starter)
    marks = set(list_figure_marks(placed.structure))
    for page in list_fronts(placed):
        for each in (each for each in page.placed if each.mark in marks):
            level = [
                item
                for item in each.items
                if isinstance(item, Line) and not item.dash_mm and item.y1_mm == item.y2_mm and item.width_mm < 1.0
            ]
            heights = [line.y1_mm for line in level]
            assert max(heights) - min(heights) >= 120


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_the_magnet_has_its_place(starter: Path) -> None:
    """At the top of a front, 22 mm high and at least 25 mm wide, beside the title; nothing stands on it."""
    _, placed = make(starter)
    for page in list_fronts(placed):
        (free,) = page.free
        assert free.y_mm == 0
        assert free.height_mm >= 22
        assert free.width_mm >= 25
        boxes = [measure_item_box(item) for each in page.placed for item in each.items]
        assert not any(
            box.x_mm < free.right_mm and free.x_mm < box.right_mm and box.y_mm < free.bottom_mm - 0.02 for box in boxes
        )


@pytest.mark.parametrize("starter", keep_a_fifth(TURNED))
def test_every_mark_is_placed_and_read_once(starter: Path) -> None:
    """The structure tree names each placed mark exactly once, and no mark that is not placed."""
    for size_pt in (18, 24, 36, 48):
        _, placed = make(starter, size_pt)
        read = list(_list_marks(placed.structure))
        on_paper = {each.mark for page in placed.pages for each in page.placed if each.mark is not None}
        assert len(read) == len(set(read))
        assert set(read) == on_paper


def _list_marks(element: Element) -> Iterator[int]:
    for child in element.children:
        if isinstance(child, int):
            yield child
        else:
            yield from _list_marks(child)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("direction", ["needle_left", "needle_right"])
def test_level_barrels_of_two_medicines_share_a_front(direction: str, paper: str) -> None:
    """Two panels one above the other, each across the whole width, on one sheet at 18 pt (rule 7)."""
    starter = next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day")
    plan = plan_starter(starter)
    syringe = replace(plan.regimen.print, barrel=BarrelDirection(direction))
    card = build_card(plan_fills(replace(plan.regimen, print=syringe)), ())
    placed = place_card(card, choose_print_size(Patient(text_size_pt=Fraction(18))), load_papers()[paper])
    fills = [page for page in placed.pages if page.section.startswith("fill")]
    assert [page.side for page in fills] == ["poster", "steps-2x6"] * 2
    marks = set(list_figure_marks(placed.structure))
    for page in list_fronts(placed):
        barrels = [each.box for each in page.placed if each.mark in marks]
        assert len(barrels) == 2
        assert all(box.width_mm > 0.8 * page.width_mm for box in barrels)
        assert barrels[0].bottom_mm < barrels[1].y_mm


@pytest.mark.parametrize(
    ("starter", "size_pt", "direction"),
    keep_a_fifth(MIXED, (18, 20, 24, 36), (BarrelDirection.NEEDLE_LEFT, BarrelDirection.NEEDLE_RIGHT)),
)
def test_a_barrel_held_level_reaches_across_the_page(starter: Path, size_pt: int, direction: BarrelDirection) -> None:
    """Rule 7, for every size: from margin to margin but for a panel's frame, and panels one above the other."""
    regimen = plan_starter(starter).regimen
    card = build_card(plan_fills(replace(regimen, print=replace(regimen.print, barrel=direction))))
    placed = place_card(card, choose_print_size(Patient(text_size_pt=Fraction(size_pt))), load_papers()["letter"])
    marks = set(list_figure_marks(placed.structure))
    for page in list_fronts(placed):
        widths = [each.box.width_mm for each in page.placed if each.mark in marks]
        assert min(widths) > page.width_mm - 2 * MARGIN_MM - 8.0


@pytest.mark.parametrize(("starter", "size_pt"), keep_a_fifth(TURNED, CHECKED_SIZES_PT))
def test_all_but_the_band_stands_where_it_stood_before_the_check(starter: Path, size_pt: int) -> None:
    """The checker sees what the patient gets; the code to scan says the band too, in the same place and size."""
    regimen = replace(plan_starter(starter).regimen, is_sample=False)
    unchecked = replace(regimen, review=replace(regimen.review, prepared_by="Nora Quinn RN", checked_by=None))
    review = replace(unchecked.review, checked_by="Paul Osei RN", checked_on=date(2026, 11, 29))
    checked = replace(unchecked, review=replace(review, checked_code=compute_card_code(unchecked)))
    assert is_checked(checked)
    assert list_all_but_bands(unchecked, size_pt) == list_all_but_bands(checked, size_pt)


def list_all_but_bands(regimen: Regimen, size_pt: int) -> list[tuple[str, list[tuple[Item, ...] | Box]]]:
    """What stands on each of the patient's sides; of a code its box."""
    card = build_card(plan_fills(regimen))
    placed = place_card(card, choose_print_size(Patient(text_size_pt=Fraction(size_pt))), load_papers()["letter"])
    words = set(render(card.band).text.split())
    return [
        (
            page.side,
            [each.box if _is_code(each) else each.items for each in page.placed if not _is_of_band(each, words)],
        )
        for page in placed.pages
        if page.section != "staff"
    ]


def _is_code(placed: Placed) -> bool:
    """Whether it is some hundred bars and nothing else."""
    return len(placed.items) > 100 and all(isinstance(item, Polygon) for item in placed.items)


def _is_of_band(placed: Placed, words: set[str]) -> bool:
    """Whether all its words are the band's, of which none is a whole sentence elsewhere."""
    said = [item.text for item in placed.items if isinstance(item, Text)]
    return bool(said) and set(" ".join(said).split()) == words


@pytest.mark.parametrize(("starter", "size_pt", "paper"), [case for case in SIZES if case.values[1] != 18])
def test_a_barrel_with_both_stops_has_a_number_at_each(starter: Path, size_pt: int, paper: str) -> None:
    """In bold, in the reader's size, beside its arrow."""
    card, placed = make(starter, size_pt, paper)
    marks = set(list_figure_marks(placed.structure))
    for page, fill in zip(list_fronts(placed), card.fills, strict=True):
        numbers = [
            item.text
            for each in page.placed
            if each.mark in marks
            for item in each.items
            if isinstance(item, Text) and item.bold and item.size_pt >= size_pt
        ]
        assert sorted(numbers) == sorted(render(panel.figure).text for panel in fill.panels)
