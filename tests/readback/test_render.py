"""The look of a page: digits cannot pass for each other, and what covers words is noticed."""

from __future__ import annotations

from itertools import permutations

import pytest

from fillcards.readback import render
from fillcards.readback.render import (
    DPI,
    LARGE_PRINT_PT,
    MOST_UNLIKE,
    SHIFTS,
    TEXT_DPI,
    Raster,
    find_letter_box,
    is_alike,
    load_proofreader,
    measure_unlikeness,
    render_size,
)
from fillcards.readback.runs import Run
from fillcards.typeface import measure_width_mm

DIGITS = "0123456789"
SIZES_PT = (10, 11, 12, 13, 14, 18, 20, 24, 28, 32, 36, 40, 48, 64, 96, 120, 144)
PAGE_PT = (400.0, 300.0)
PLACES_MM = (20.0, 20.1, 20.17)


def set_run(text: str, size_pt: float, bold: bool, x_mm: float = 20.0) -> Run:
    """A run 50 mm below the top of a small page."""
    origin_pt = (x_mm * 72 / 25.4, PAGE_PT[1] - 50.0 * 72 / 25.4)
    return Run(text, x_mm, 50.0, size_pt, bold, measure_width_mm(text, size_pt, bold), 0, text, origin_pt)


def draw(run: Run, dpi: int) -> Raster:
    """The run alone on a page, from the typeface's own file."""
    with load_proofreader().draw_again([run], PAGE_PT) as page:
        return render_size(page, PAGE_PT, dpi)


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize(("dpi", "least_pt"), [(DPI, 10.0), (TEXT_DPI, LARGE_PRINT_PT)])
def test_digits_differ_by_more_than_twice_the_tolerance(dpi: int, least_pt: float, bold: bool) -> None:
    """So a raster within the tolerance of one digit is nearer to it than to any other, at each size that is used."""
    for size_pt in (size for size in SIZES_PT if size >= least_pt):
        runs = {digit: set_run(digit, size_pt, bold) for digit in DIGITS}
        rasters = {digit: draw(run, dpi) for digit, run in runs.items()}
        for one, other in permutations(DIGITS, 2):
            box = find_letter_box(runs[one], runs[one].x_mm, runs[one].right_mm, dpi / 25.4)
            left, top, right, bottom = box
            least = min(
                measure_unlikeness(
                    rasters[other].pack_ink((left + dx, top + dy, right + dx, bottom + dy)), rasters[one].pack_ink(box)
                )
                for dx, dy in SHIFTS
            )
            assert least > 2 * MOST_UNLIKE, (size_pt, one, other)


@pytest.mark.parametrize("size_pt", [11, 14, 18, 36, 120])
@pytest.mark.parametrize("x_mm", PLACES_MM)
def test_the_same_words_are_alike_wherever_they_stand(size_pt: float, x_mm: float) -> None:
    """The file's own place decides the pixels, so words drawn again there look the same."""
    run = set_run("8 units, 26", size_pt, bold=True, x_mm=x_mm)
    assert is_alike(draw(run, DPI), draw(run, DPI), run)


@pytest.mark.parametrize(
    ("said", "drawn"), [("28", "23"), ("8", "6"), ("0.5", "0.6"), ("line 10", "line 18"), ("26", "")]
)
def test_other_words_are_not_alike(said: str, drawn: str) -> None:
    """One wrong digit, or none at all, is enough."""
    run = set_run(said, 18, bold=True)
    seen = draw(set_run(drawn or " ", 18, bold=True), DPI)
    assert not is_alike(seen, draw(run, DPI), run)


@pytest.mark.parametrize("edge", ["first", "last"])
def test_a_pixel_at_the_edge_of_a_band_makes_it_another(edge: str) -> None:
    """Two rasters are compared from the first to the last pixel between two heights, and no further."""
    width, height, top, bottom = 10, 20, 5, 9
    place = top * width if edge == "first" else bottom * width - 1
    other, beside = bytearray(b"\xff" * width * height), bytearray(b"\xff" * width * height)
    other[place] = 0
    beside[top * width - 1] = beside[bottom * width] = 0
    white = Raster(bytearray(b"\xff" * width * height), width, height, DPI)
    assert not white.is_like_band(Raster(other, width, height, DPI), top, bottom)
    assert white.is_like_band(Raster(beside, width, height, DPI), top, bottom)


def test_the_proofreader_begins_anew_and_draws_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Something of every page that was deleted stays in it, so that after so many the document is another one."""
    monkeypatch.setattr(render, "PAGES_A_DOCUMENT", 3)
    proofreader = render.Proofreader()
    begun, looks = set(), set()
    for _ in range(8):
        with proofreader.draw_again([set_run("26 units", 18, True)], PAGE_PT) as page:
            looks.add(render_size(page, PAGE_PT, DPI).pack_ink((0, 0, 800, 600)))
            begun.add(id(proofreader._document))
    assert len(looks) == 1
    assert len(begun) > 1
