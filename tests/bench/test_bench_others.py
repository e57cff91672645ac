"""A whole card against other ways to the same page: bare reportlab, WeasyPrint in its PDF/UA variant, and Typst.

Each card has other doses, so that no cache answers. Processor time of this process and its children, so that what else
the machine does decides nothing. WeasyPrint and Typst come with ``pip install -e '.[bench]'`` and are left out without
it.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from statistics import median
from time import process_time

import pypdf
import pytest
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from support.pdfium_reader import list_runs
from support.plans import EXAMPLES

from fillcards.layout.model import PlacedCard
from fillcards.output.html import write_html
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Anchor, Dot, Item, Line, Polygon, Text
from fillcards.pipeline import PlacedRegimen, make_pdf, place_regimen
from fillcards.regimen.model import Regimen
from fillcards.typeface import find_font_file, measure_width_mm

PT_PER_MM = 72 / 25.4
CARDS = 7
WEASYPRINT_TIMES = 5.0
"""A guard: so many times faster than WeasyPrint, with the card read back. The aim is 20; ``results.txt`` has both."""


def make_regimen(number: int) -> Regimen:
    """Two insulins, with other doses each time."""
    regimen = EXAMPLES["mixed"]
    (fill, *others) = regimen.fills
    amounts = (Fraction(5 + number), Fraction(20 - number))
    draws = tuple(
        replace(draw, dose=replace(draw.dose, amount=amount)) for draw, amount in zip(fill.draws, amounts, strict=True)
    )
    return replace(regimen, fills=(replace(fill, draws=draws), *others))


def measure_ms(work: Callable[[PlacedRegimen], bytes]) -> tuple[float, bytes]:
    """The median over several cards, the first one not counted; and the last card."""
    took, pdf = [], b""
    for number in range(CARDS + 1):
        made = place_regimen(make_regimen(number))
        start = process_time()
        pdf = work(made)
        took.append(process_time() - start)
    return median(took[1:]) * 1000, pdf


def make_and_read_back(made: PlacedRegimen) -> bytes:
    """Everything from the regimen to checked bytes, as the program does it."""
    return make_pdf(made.regimen)


def make_alone(made: PlacedRegimen) -> bytes:
    """The same without reading back, which the program never does: how much of the time that is."""
    return write_pdf(place_regimen(made.regimen).placed)


def emit_with_bare_reportlab(made: PlacedRegimen) -> bytes:
    """The same strokes, shapes and words, one canvas call each: no tags, no reading back, nothing placed."""
    out = io.BytesIO()
    # The published stubs take the name of a font for a number.
    canvas = Canvas(out, invariant=1, pageCompression=1, initialFontName="Regular")  # type: ignore[arg-type]
    for page in made.placed.pages:
        height = page.height_mm * PT_PER_MM
        canvas.setPageSize((page.width_mm * PT_PER_MM, height))
        for placed in page.placed:
            for item in placed.items:
                _emit(canvas, item, height)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _emit(canvas: Canvas, item: Item, height: float) -> None:
    match item:
        case Text():
            canvas.setFont("Bold" if item.bold else "Regular", item.size_pt)
            canvas.drawString(_find_left_mm(item) * PT_PER_MM, height - item.y_mm * PT_PER_MM, item.text)
        case Line():
            canvas.setLineWidth(item.width_mm * PT_PER_MM)
            ends = item.x1_mm, item.y1_mm, item.x2_mm, item.y2_mm
            x1, y1, x2, y2 = (place * PT_PER_MM for place in ends)
            canvas.line(x1, height - y1, x2, height - y2)
        case Dot():
            canvas.circle(
                item.x_mm * PT_PER_MM,
                height - item.y_mm * PT_PER_MM,
                item.diameter_mm / 2 * PT_PER_MM,
                stroke=0,
                fill=1,
            )
        case Polygon():
            path = canvas.beginPath()
            (x, y), *others = ((x * PT_PER_MM, height - y * PT_PER_MM) for x, y in item.points_mm)
            path.moveTo(x, y)
            for x, y in others:
                path.lineTo(x, y)
            path.close()
            canvas.setLineWidth(max(item.outline_mm, 0.1) * PT_PER_MM)
            canvas.drawPath(path, stroke=int(item.outline_mm > 0), fill=int(item.fill is not None))


def _find_left_mm(item: Text) -> float:
    width_mm = measure_width_mm(item.text, item.size_pt, item.bold)
    return item.x_mm - {Anchor.START: 0.0, Anchor.MIDDLE: width_mm / 2, Anchor.END: width_mm}[item.anchor]


def list_items(card: PlacedCard) -> list[Item]:
    """Everything drawn on a card."""
    return [item for page in card.pages for placed in page.placed for item in placed.items]


@pytest.mark.bench
def test_bench_a_card_against_bare_reportlab() -> None:
    """Made, tagged and read back, against canvas calls that place nothing; aim: no slower. Prints the ratio."""
    for name, bold in (("Regular", False), ("Bold", True)):
        pdfmetrics.registerFont(TTFont(name, str(find_font_file(bold))))
    bare_ms, bare = measure_ms(emit_with_bare_reportlab)
    ours_ms, ours = measure_ms(make_and_read_back)
    alone_ms, alone = measure_ms(make_alone)
    assert alone == ours
    pages = len(pypdf.PdfReader(io.BytesIO(ours)).pages)
    assert len(pypdf.PdfReader(io.BytesIO(bare)).pages) == pages
    assert len(list_runs(bare)) == len(list_runs(ours))
    items = len(list_items(place_regimen(make_regimen(CARDS)).placed))
    sys.stdout.write(
        f"a card of {pages} pages and {items:,} marks and lines of text: made and read back {ours_ms:.0f} ms, bare "
        f"reportlab {bare_ms:.0f} ms, {ours_ms / bare_ms:.2f} times; made alone {alone_ms:.0f} ms\n"
    )


@pytest.mark.bench
def test_bench_a_card_against_weasyprint() -> None:
    """The same words and pictures, tagged by WeasyPrint's PDF/UA variant from the card's own page for the screen."""
    weasyprint = pytest.importorskip("weasyprint")

    def print_with_weasyprint(made: PlacedRegimen) -> bytes:
        return bytes(weasyprint.HTML(string=write_html(made.card).decode()).write_pdf(pdf_variant="pdf/ua-1"))

    theirs_ms, theirs = measure_ms(print_with_weasyprint)
    ours_ms, ours = measure_ms(make_and_read_back)
    for pdf in (theirs, ours):
        assert "First line" in pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    pages = [len(pypdf.PdfReader(io.BytesIO(pdf)).pages) for pdf in (ours, theirs)]
    sys.stdout.write(
        f"{pages[0]} pages made and read back in {ours_ms:.0f} ms, by WeasyPrint {pages[1]} pages in "
        f"{theirs_ms:.0f} ms: {theirs_ms / ours_ms:.1f} times faster\n"
    )
    assert theirs_ms >= WEASYPRINT_TIMES * ours_ms


@pytest.mark.bench
def test_bench_a_card_against_typst() -> None:
    """The same items placed by Typst, which is compiled code; aim: faster, with the card read back."""
    typst = pytest.importorskip("typst")
    folder = find_font_file(False).parent

    def compile_with_typst(made: PlacedRegimen) -> bytes:
        return bytes(typst.compile(write_typst(made.placed).encode(), font_paths=[str(folder)]))

    theirs_ms, theirs = measure_ms(compile_with_typst)
    ours_ms, ours = measure_ms(make_and_read_back)
    pages = [len(pypdf.PdfReader(io.BytesIO(pdf)).pages) for pdf in (ours, theirs)]
    assert pages[0] == pages[1]
    sys.stdout.write(
        f"{pages[0]} pages made and read back in {ours_ms:.0f} ms, by Typst in {theirs_ms:.0f} ms: "
        f"{theirs_ms / ours_ms:.2f} times faster\n"
    )


def write_typst(card: PlacedCard) -> str:
    """A card's items as markup that places each of them."""
    page = card.pages[0]
    parts = [f"#set page(width: {page.width_mm}mm, height: {page.height_mm}mm, margin: 0mm)"]
    for number, each in enumerate(card.pages):
        parts += ["#pagebreak()"] if number else []
        parts += [_write_typst_item(item) for placed in each.placed for item in placed.items]
    return "\n".join(parts)


def _write_typst_item(item: Item) -> str:
    match item:
        case Text():
            words = item.text.replace("\\", "\\\\").replace('"', '\\"')
            weight = "bold" if item.bold else "regular"
            body = f'text(font: "Atkinson Hyperlegible", size: {item.size_pt}pt, weight: "{weight}", "{words}")'
            return f"#place(dx: {_find_left_mm(item)}mm, dy: {item.y_mm}mm, {body})"
        case Line():
            ends = f"start: ({item.x1_mm}mm, {item.y1_mm}mm), end: ({item.x2_mm}mm, {item.y2_mm}mm)"
            return f"#place(line({ends}, stroke: {item.width_mm}mm))"
        case Dot():
            radius_mm = item.diameter_mm / 2
            return (
                f"#place(dx: {item.x_mm - radius_mm}mm, dy: {item.y_mm - radius_mm}mm, "
                f"circle(radius: {radius_mm}mm, fill: black))"
            )
        case Polygon():
            points = ", ".join(f"({x}mm, {y}mm)" for x, y in item.points_mm)
            fill = "black" if item.fill is not None else "none"
            stroke = f"{item.outline_mm}mm" if item.outline_mm else "none"
            return f"#place(polygon(fill: {fill}, stroke: {stroke}, {points}))"
