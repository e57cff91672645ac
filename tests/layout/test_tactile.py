"""Raised pages measured from the finished PDF: can a finger tell apart what must be told apart?

Published values: gaps of 1/8 inch at least and 1/4 inch on swell paper, areas of textures of 1/4 inch (Hasty,
tactilegraphics.org); braille 2.34 mm dot to dot, 6.2 mm cell to cell, 10.0 mm line to line, 1.44 mm across a dot's base
(NLS Specification 800, 3.2); 24 pt braille on swell paper grows to 29 pt (National Braille Association, forum). That no
line is thinner than 1 mm is common practice, no source.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import outloud
import pdfua
import pytest
from hypothesis import assume, given, settings
from support.pdf_walk import check_tagging
from support.pdfium_reader import read_structure
from support.plans import STARTERS, build_card, make_plans, plan_example, plan_starter
from support.touch import (
    count_euler,
    is_slanted,
    join_boxes,
    list_braille_dots,
    list_discs,
    list_raised_pages,
    list_runs,
    list_strokes,
    measure_box_gap,
    measure_disc_box,
    measure_pages,
    measure_slant_gap,
    measure_stroke_box,
    render_ink,
    swell,
)

from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import PlacedCard
from fillcards.layout.tactile import place_tactile
from fillcards.output.louis import make_translate
from fillcards.output.pdf import write_pdf
from fillcards.picture.tactile_pieces import choose_close_up, choose_pieces
from fillcards.picture.tactile_style import MOST_GROWTH_MM, Medium, TactileStyle
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.problems import RegimenRefused
from fillcards.readback.tactile import read_raised_pages, require_same_touch
from fillcards.regimen.model import BarrelDirection
from fillcards.wording.braille import Contraction

LEAST_GAP = {Medium.EMBOSSER: 25.4 / 8, Medium.SWELL: 25.4 / 4}
EASE_MM = 0.01

SWELL = TactileStyle()
EMBOSSER = TactileStyle(Medium.EMBOSSER, 0.0)
MEDIA = ("swell", "embosser")
STYLES = {
    "swell": SWELL,
    "embosser": EMBOSSER,
    "large cell": TactileStyle(large_cell=True),
    "raised digits": TactileStyle(raised_digits=True),
}
MIXED_FILLS = next(path for path in STARTERS if path.stem.startswith("two-insulins"))
CASES = [
    pytest.param(path, name, id=f"{path.stem}-{name}")
    for path in STARTERS
    for name in STYLES
    if name in MEDIA or path == MIXED_FILLS
]


def place(plan: Plan, style: TactileStyle = SWELL, *, paper: str = "letter") -> PlacedCard:
    """The tactile card of a plan, in uncontracted braille."""
    card = build_card(plan, paper=paper)
    return place_tactile(card, load_papers()[paper], style, make_translate(Contraction.UNCONTRACTED))


@cache
def make(path: Path, name: str) -> bytes:
    """The PDF of a starter in one of the styles."""
    return write_pdf(place(plan_starter(path), STYLES[name]))


def read_print(pdf: bytes, index: int) -> str:
    """The print on a page, in paint order."""
    return " ".join(" ".join(run.text for run in list_runs(pdf, index)).split())


def list_picture_pages(pdf: bytes) -> list[int]:
    """Raised pages with an upright stroke: those with a barrel on them."""
    return [
        index
        for index in list_raised_pages(pdf)
        if any(abs(stroke.ends[0] - stroke.ends[2]) < 0.01 for stroke in list_strokes(pdf, index))
    ]


@pytest.mark.parametrize(("path", "name"), CASES)
def test_elements_stand_apart(path: Path, name: str) -> None:
    """Between any two lines that are not joined, and between any line and any dot, is the gap of the medium."""
    _require_apart(make(path, name), STYLES[name])


def _require_apart(pdf: bytes, style: TactileStyle) -> None:
    least = LEAST_GAP[style.medium] - EASE_MM
    for index in list_raised_pages(pdf):
        slants = [stroke for stroke in list_strokes(pdf, index) if is_slanted(stroke)]
        straight = [measure_stroke_box(stroke) for stroke in list_strokes(pdf, index) if not is_slanted(stroke)]
        # Lines joined to one wall stand apart all the same, unless the two strokes themselves meet.
        gaps = [measure_box_gap(one, other) for one, other in itertools.combinations(straight, 2)]
        assert min((gap for gap in gaps if gap > EASE_MM), default=least) >= least
        others = [measure_stroke_box(slant) for slant in slants]
        others += [measure_disc_box(disc) for disc in list_discs(pdf, index)]
        for one in straight:
            assert min(measure_box_gap(one, other) for other in others) >= least
        for slant in slants:
            assert min(measure_slant_gap(slant, disc) for disc in list_discs(pdf, index)) >= least


@pytest.mark.parametrize(("path", "name"), CASES)
def test_textures_keep_the_least_gap(path: Path, name: str) -> None:
    """Strokes of a texture are at least 1/8 inch apart, its dots too; its area measures 1/4 inch and more."""
    pdf = make(path, name)
    for index in list_raised_pages(pdf):
        slants = [stroke for stroke in list_strokes(pdf, index) if is_slanted(stroke)]
        # The stroke that marks the corner falls to the right, those of the texture rise.
        rising = [s for s in slants if (s.ends[2] - s.ends[0]) * (s.ends[3] - s.ends[1]) < 0]
        sums = sorted(stroke.ends[0] + stroke.ends[1] for stroke in rising)
        for one, other in itertools.pairwise(sums):
            assert (other - one) / math.sqrt(2) - rising[0].width >= 25.4 / 8 - EASE_MM
        large = [disc for disc in list_discs(pdf, index) if 2.1 < disc[2] < 2.7]
        for disc, near in itertools.combinations(large, 2):
            assert math.dist(disc[:2], near[:2]) - disc[2] >= 25.4 / 8 - EASE_MM
        for texture in ([measure_stroke_box(s) for s in rising], [measure_disc_box(disc) for disc in large]):
            if texture:
                left, top, right, bottom = join_boxes(texture)
                assert min(right - left, bottom - top) >= 25.4 / 4 - EASE_MM


@pytest.mark.parametrize(("path", "name"), CASES)
def test_labels_stand_apart(path: Path, name: str) -> None:
    """Braille numbers and marks beside a barrel are apart by the gap of the medium, from each other and the words."""
    pdf, style = make(path, name), STYLES[name]
    least = LEAST_GAP[style.medium] - EASE_MM
    for index in list_picture_pages(pdf):
        top = min(measure_stroke_box(s)[1] for s in list_strokes(pdf, index) if not is_slanted(s))
        dots = [measure_disc_box(disc) for disc in list_braille_dots(pdf, index)]
        labels = _cluster([box for box in dots if box[1] > top], 2.1 * style.cell_mm)
        head = join_boxes([box for box in dots if box[1] <= top])
        for one, other in itertools.combinations([head, *map(join_boxes, labels)], 2):
            assert measure_box_gap(one, other) >= least


def _cluster(
    boxes: list[tuple[float, float, float, float]], reach: float
) -> list[list[tuple[float, float, float, float]]]:
    """Dots of one label: no further from each other than a blank cell across, and within one cell's height."""
    clusters: list[list[tuple[float, float, float, float]]] = []
    for box in boxes:
        near = [
            each
            for each in clusters
            if any(abs(own[0] - box[0]) <= reach and abs(own[1] - box[1]) <= reach * 0.38 for own in each)
        ]
        clusters = [each for each in clusters if each not in near]
        clusters.append([box, *(own for each in near for own in each)])
    return clusters


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_no_line_is_thin_or_grey(path: Path) -> None:
    """Every stroke of a raised page is black and at least 1 mm wide, and no print stands on it."""
    pdf = make(path, "swell")
    for index in list_raised_pages(pdf):
        strokes = list_strokes(pdf, index)
        assert {stroke.grey for stroke in strokes} == {0}
        assert min(stroke.width for stroke in strokes) >= 1.0
        assert list_runs(pdf, index) == []
        levels = render_ink(pdf, index)
        assert levels.any()


DIAMETERS = {
    "embosser": 1.44,
    "swell": 24 / 29 * 1.44,
    "large cell": 1.3 * 1.44 - 0.25,
    "raised digits": 24 / 29 * 1.44,
}


@pytest.mark.parametrize(("path", "name"), CASES)
def test_braille_has_the_published_size(path: Path, name: str) -> None:
    """Dots, cells and lines of every page lie on the grid of NLS 800; on swell paper dots are printed smaller."""
    pdf = make(path, name)
    factor = 1.3 if name == "large cell" else 1.0
    for index in list_raised_pages(pdf):
        dots = list_braille_dots(pdf, index)
        assert all(dot[2] == pytest.approx(DIAMETERS[name], abs=0.01) for dot in dots)
        left, top = min(dot[0] for dot in dots), min(dot[1] for dot in dots)
        # The words at the top of a page lie on one grid; below them every row of the key has its own.
        foot = min([measure_stroke_box(s)[1] for s in list_strokes(pdf, index) if s.ends[0] < 150], default=1000.0)
        for x, y, _ in dots:
            if y < foot - 3.0:
                row, column = (y - top) % (10.0 * factor), (x - left) % (6.2 * factor)
                assert min(abs(row - place * factor) for place in (0.0, 2.34, 4.68, 10.0)) <= 0.02
                assert min(abs(column - place * factor) for place in (0.0, 2.34, 6.2, 6.2 - 2.34)) <= 0.02


@pytest.mark.parametrize("name", MEDIA)
@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_every_raised_page_of_every_starter(
    path: Path, name: str, record_property: Callable[[str, object], None]
) -> None:
    """On all pages of all fills nothing merges, and gaps, lines and dots are those of the medium.

    With every edge moved out by 0.3 mm a page has as many pieces and holes as before. An embosser moves no edge; its
    pages are swollen all the same, since its gaps are the narrower ones. The figures go into the report of the run.
    """
    pdf, style = make(path, name), STYLES[name]
    found = measure_pages(pdf, list_raised_pages(pdf))
    record_property("figures", str(found))
    assert found.merged == 0
    assert found.gap_mm >= LEAST_GAP[style.medium] - EASE_MM
    assert found.texture_gap_mm >= 25.4 / 8 - EASE_MM
    assert found.line_mm >= 1.0
    assert found.dot_mm == pytest.approx((DIAMETERS[name], DIAMETERS[name]), abs=0.01)
    assert found.spacing_mm == pytest.approx(2.34, abs=0.01)


def test_a_merge_is_found() -> None:
    """The simulated heater can fail a page: with 1 mm the dots of a cell run together."""
    pdf = make(STARTERS[0], "swell")
    ink = render_ink(pdf, list_raised_pages(pdf)[0])
    assert count_euler(swell(ink, 1.0)) < count_euler(ink)


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_stops_differ_in_kind(path: Path) -> None:
    """Of two stops the first is a broken line and the total a solid one; a single stop is solid."""
    plan = plan_starter(path)
    pages = read_raised_pages(make(path, "swell"), plan.regimen.syringe)
    kinds = {stop.is_solid for page in pages for stop in page.stops}
    assert kinds == ({True, False} if any(fill.is_mixed for fill in plan.fills) else {True})


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_the_stated_enlargement_is_true(path: Path) -> None:
    """What a plain copy says, such as 3.2 times, is the drawn distance of two numbers over that on the real scale."""
    plan = plan_starter(path)
    syringe = plan.regimen.syringe
    real_mm = float(syringe.scale_length_mm or syringe.shortest_scale_length_mm)
    pdf = make(path, "swell")
    found = 0
    for index in range(len(list_raised_pages(pdf)) + 1):
        said = read_print(pdf, index)
        stated = re.search(
            r"[Ll]ines? (\d[\d.]*) to (\d[\d.]*), enlarged (?:about )?(\d[\d.]*) times, not life size", said
        )
        if stated is None:
            continue
        numbers = {
            float(run.text): run.y
            for run in list_runs(pdf, index)
            if re.fullmatch(r"\d[\d.]*\s*", run.text) and run.x < 45
        }
        (low, low_mm), (high, high_mm) = min(numbers.items()), max(numbers.items())
        drawn_mm = abs(high_mm - low_mm) / (high - low) * float(syringe.last_line)
        assert drawn_mm / real_mm == pytest.approx(float(stated[3]), abs=0.001)
        assert ("about" in stated[0]) == (syringe.scale_length_mm is None)
        found += 1
    assert found >= len(plan.fills)


def test_a_line_near_a_stop_is_left_out() -> None:
    """Between 5 and 10 units, 11 units leave no room for the line of 10: it is gone, its neighbours stand."""
    plan = plan_starter(MIXED_FILLS)
    syringe, stops = plan.regimen.syringe, tuple(draw.stop_line for draw in plan.fills[0].draws)
    (piece,) = choose_pieces(syringe, stops, SWELL, 200.0)
    assert abs(float(stops[0] - 10)) * piece.value_mm < 25.4 / 4
    said = {run.text.strip() for run in list_runs(make(MIXED_FILLS, "swell"), 4)}
    assert {"5", "15", "20", "first 11"} <= said
    assert "10" not in said


@settings(max_examples=40)
@given(make_plans())
def test_stops_are_always_far_enough_apart(plan: Plan) -> None:
    """Zero, first and total line are apart by the gap on any scale; the barrel goes on over pages where it must."""
    syringe = plan.regimen.syringe
    for style in STYLES.values():
        for fill in plan.fills:
            stops = tuple(draw.stop_line for draw in fill.draws)
            pieces = choose_pieces(syringe, stops, style, 200.0)
            assert pieces[0].first == 0
            assert pieces[-1].last >= stops[-1]
            assert all(other.first <= one.last < other.last for one, other in itertools.pairwise(pieces))
            assert {piece.magnification for piece in pieces} == {pieces[0].magnification}
            for before, stop in itertools.pairwise((Fraction(0), *stops)):
                assert float(stop - before) * pieces[0].value_mm >= LEAST_GAP[style.medium] + 2.2 - EASE_MM
            for draw in fill.draws:
                close_up = choose_close_up(syringe, draw, style, 150.0)
                assert close_up.first <= draw.stop_line <= close_up.last
                assert float(close_up.every) * close_up.value_mm >= LEAST_GAP[style.medium] + 1.2


@settings(max_examples=8)
@given(make_plans())
def test_random_cards_are_read_back(plan: Plan) -> None:
    """What the raised pages of a random card say by touch is what its plan says, and all their lines stand apart."""
    _require_read_back(plan)


@pytest.mark.campaign
@pytest.mark.filterwarnings("ignore::hypothesis.errors.HypothesisWarning")
@settings(max_examples=1000)
@given(make_plans())
def test_many_random_cards_are_read_back(plan: Plan) -> None:
    """The same for 1,000 random cards."""
    _require_read_back(plan)


def _require_read_back(plan: Plan) -> None:
    assume(plan.regimen.print.paper == "letter")
    pdf = write_pdf(place(plan))
    _require_apart(pdf, SWELL)
    pages = read_raised_pages(pdf, plan.regimen.syringe)
    meant = [
        (draw.stop_line, index == len(fill.draws) - 1) for fill in plan.fills for index, draw in enumerate(fill.draws)
    ]
    read = [(stop.line, stop.is_solid) for page in pages for stop in page.stops]
    assert set(read) == set(meant)
    assert all(read.count(each) >= 2 for each in meant)
    assert all(stop.label == stop.line for page in pages for stop in page.stops)


def test_first_words_are_honest() -> None:
    """In print and in braille the first line says that the pages tell the amounts and do not set the plunger."""
    card = build_card(plan_example("mixed"))
    placed = place(plan_example("mixed"))
    pdf = write_pdf(placed)
    assert read_print(pdf, 0).startswith("The raised pages tell the amounts. They do not set the plunger.")
    raised = list_raised_pages(pdf)
    firsts = [read_structure(pdf, index)[0].children[0].children[0].alt for index in raised]
    starting = [alt for alt in firsts if alt.startswith("These pages tell the amounts. They do not set the plunger.")]
    assert len(starting) == len(card.fills)
    assert firsts[0] in starting


@pytest.mark.parametrize(("name", "end"), [("mixed", "needle"), ("by mouth", "tip")])
def test_the_key_says_which_way_the_barrel_points(name: str, end: str) -> None:
    """Whatever way the card's pictures are turned, the raised barrel points up, and its key says so."""
    for direction in BarrelDirection:
        regimen = plan_example(name).regimen
        plan = plan_fills(replace(regimen, print=replace(regimen.print, barrel=direction)))
        pdf = write_pdf(place(plan))
        alts = [
            node.alt for index in list_raised_pages(pdf) for node in read_structure(pdf, index)[0].children[0].children
        ]
        assert alts.count(f"The cut corner is at the top right. The {end} is at the top.") == len(plan.fills)
        require_same_touch(pdf, plan.regimen)


@pytest.mark.parametrize(
    ("direction", "words"),
    [(BarrelDirection.NEEDLE_LEFT, "to the left"), (BarrelDirection.NEEDLE_RIGHT, "to the right")],
)
def test_the_helper_is_told_of_pictures_that_are_turned(direction: BarrelDirection, words: str) -> None:
    """Where the card shows the barrel another way than the raised pages, the helper's page says both ways."""
    regimen = plan_example("mixed").regimen
    turned = plan_fills(replace(regimen, print=replace(regimen.print, barrel=direction)))
    said = read_print(write_pdf(place(turned)), 0)
    assert f"The raised pages have the needle at the top. The card's pictures have it {words}." in said
    assert "pictures have it" not in read_print(write_pdf(place(plan_fills(regimen))), 0)


def test_every_raised_page_says_whose_it_is() -> None:
    """Fill, page number and band are on every raised page, in words for a screen reader as in braille."""
    card = build_card(plan_example("mixed"))
    pdf = write_pdf(place(plan_example("mixed")))
    half = len(list_raised_pages(pdf)) // 2
    for number, index in enumerate(list_raised_pages(pdf)):
        alts = [node.alt for node in read_structure(pdf, index)[0].children[0].children]
        fill = card.fills[number // half]
        assert any(re.fullmatch(rf"{fill.name}, {number % half + 1}\s+of\s+{half}", alt) for alt in alts)
        assert card.band in alts


def test_a_small_paper_is_refused() -> None:
    """A sheet on which the scale cannot be enlarged enough is refused, with the millimetres and a remedy."""
    with pytest.raises(RegimenRefused) as refusal:
        place(plan_example("mixed"), paper="a6")
    (problem,) = refusal.value.problems
    assert problem.code == "RAISED-001"
    assert "letter or a4" in problem.remedy


@pytest.mark.parametrize("growth", [-0.1, MOST_GROWTH_MM + 0.1, math.nan])
def test_growth_out_of_range_is_refused(growth: float) -> None:
    """A growth that would leave no dot to print cannot be asked for."""
    with pytest.raises(ValueError, match="growth"):
        TactileStyle(growth_mm=growth)


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_raised_pages_are_tagged(path: Path) -> None:
    """Each file's tagging is sound, and every picture and line of braille has words for a screen reader."""
    pdf = make(path, "swell")
    assert check_tagging(pdf) == []
    for index in list_raised_pages(pdf):
        nodes = read_structure(pdf, index)[0].children[0].children
        assert nodes
        assert all(node.role == "Figure" and node.alt for node in nodes)


def test_checkers_accept_raised_pages(tmp_path: Path) -> None:
    """Two checkers of tagged files find nothing, and no rule was skipped but those that compare with a source file."""
    path = tmp_path / "raised.pdf"
    path.write_bytes(make(MIXED_FILLS, "swell"))
    report = pdfua.validate(str(path))
    assert report.findings == ()
    assert report.skipped == ()
    result = outloud.check(str(path))
    assert result.error is None
    assert [finding.to_dict() for finding in result.findings] == []
