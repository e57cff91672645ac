"""How long a tagged page takes, against what bare reportlab needs for the same strokes and words."""

from __future__ import annotations

import sys
from io import BytesIO

import pytest
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from support.measuring import compare, measure_in_turns
from support.pdf_walk import check_tagging
from support.pdfium_reader import list_runs, list_strokes
from support.placed_cards import LETTER_MM

from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Line, Text
from fillcards.typeface import find_font_file

LINES = 600
RUNS = 60
PT_PER_MM = 72 / 25.4


def make_full_page() -> PlacedCard:
    """600 lines in one figure and 60 paragraphs of one run."""
    runs = tuple(
        Placed(
            Box(20.0, 12.0 + 4 * number, 100.0, 5.0),
            (Text(20.0, 16.0 + 4 * number, f"Step {number}: pull to line {number * 3}.", 12, number % 3 == 0),),
            number,
        )
        for number in range(RUNS)
    )
    lines = tuple(
        Line(130.0 + number % 6 * 12, 20 + number // 6 * 2.4, 138.0 + number % 6 * 12, 20 + number // 6 * 2.4, width)
        for number in range(LINES)
        for width in (0.3 if number % 5 else 0.5,)
    )
    page = Page(*LETTER_MM, (*runs, Placed(Box(130.0, 10.0, 80.0, 260.0), lines, RUNS)), 1)
    paragraphs = tuple(Element("P", (number,)) for number in range(RUNS))
    figure = Element("Figure", (RUNS,), alt="Lines.")
    return PlacedCard("A full page", "en", (page,), Element("Document", (*paragraphs, figure)))


def write_with_bare_reportlab(card: PlacedCard) -> bytes:
    """The same strokes and words by one canvas call each, untagged."""
    out = BytesIO()
    (page,) = card.pages
    size = page.width_mm * PT_PER_MM, page.height_mm * PT_PER_MM
    # The published stubs take the name of a font for a number.
    canvas = Canvas(out, pagesize=size, invariant=1, pageCompression=1, initialFontName="Regular")  # type: ignore[arg-type]
    for placed in page.placed:
        for item in placed.items:
            if isinstance(item, Line):
                canvas.setLineWidth(item.width_mm * PT_PER_MM)
                top = size[1] - item.y1_mm * PT_PER_MM, size[1] - item.y2_mm * PT_PER_MM
                canvas.line(item.x1_mm * PT_PER_MM, top[0], item.x2_mm * PT_PER_MM, top[1])
            elif isinstance(item, Text):
                canvas.setFont("Bold" if item.bold else "Regular", item.size_pt)
                canvas.drawString(item.x_mm * PT_PER_MM, size[1] - item.y_mm * PT_PER_MM, item.text)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


@pytest.mark.bench
def test_bench_tagged_page_costs_no_more_than_bare_reportlab(monkeypatch: pytest.MonkeyPatch) -> None:
    """With parsed fonts at hand on both sides; both files hold every stroke and run, and ours is soundly tagged."""
    # Its pages in letters alone, which nobody needs today, take longer to write.
    monkeypatch.setattr(rl_config, "useA85", 0)
    for name, bold in (("Regular", False), ("Bold", True)):
        pdfmetrics.registerFont(TTFont(name, str(find_font_file(bold))))
    card = make_full_page()
    for pdf in (write_pdf(card), write_with_bare_reportlab(card)):
        assert len(list_strokes(pdf)) == LINES
        assert len(list_runs(pdf)) == RUNS
    assert check_tagging(write_pdf(card)) == []
    took = measure_in_turns(
        {"ours": lambda: write_pdf(card), "bare": lambda: write_with_bare_reportlab(card)}, turns=30
    )
    times = compare(took, "ours", "bare")
    sys.stdout.write(f"a full page takes {times} times as long as bare reportlab\n")
    assert times.middle <= 1.0
