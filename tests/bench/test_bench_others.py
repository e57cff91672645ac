"""A whole card against other ways to the same page: bare reportlab, WeasyPrint in its PDF/UA variant, and Typst.

Processor time of this process, in turns, so that what else the machine does decides nothing; every starter, at its own
size. WeasyPrint and Typst come with ``pip install -e '.[bench]'`` and are left out without
it.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pypdf
import pytest
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from support.measuring import Spread, compare, measure_in_turns
from support.pdfium_reader import list_runs
from support.plans import STARTERS

from fillcards.layout.model import PlacedCard
from fillcards.output.html import write_html
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Anchor, Dot, Item, Line, Polygon, Text
from fillcards.pipeline import PlacedRegimen, make_pdf, place_regimen
from fillcards.regimen.schema import read_regimen
from fillcards.typeface import find_font_file, measure_width_mm

PT_PER_MM = 72 / 25.4
TURNS = 7
WEASYPRINT_TIMES = 5.0
"""A guard: so many times faster than WeasyPrint, with the card read back. The aim is 20; ``results.txt`` has both."""


def list_ways(theirs: Callable[[PlacedRegimen], bytes], path: Path) -> dict[str, Callable[[], bytes]]:
    """Another way to the pages of a starter, given everything placed, beside ours, alone and read back."""
    regimen = read_regimen(path.read_text(encoding="utf-8"))
    placed = place_regimen(regimen)
    return {
        "theirs": lambda: theirs(placed),
        "alone": lambda: write_pdf(place_regimen(regimen).placed),
        "gated": lambda: make_pdf(regimen),
    }


def count_pages(pdf: bytes) -> int:
    """As another library counts them."""
    return len(pypdf.PdfReader(io.BytesIO(pdf)).pages)


def compare_starters(name: str, theirs: Callable[[PlacedRegimen], bytes], turns: int = TURNS) -> list[Spread]:
    """How many times as long as another way a card takes, made and read back; prints each starter, median and worst."""
    found, alone = [], []
    for path in STARTERS:
        took = measure_in_turns(list_ways(theirs, path), turns)
        found.append(compare(took, "gated", "theirs"))
        alone.append(compare(took, "alone", "theirs"))
        sys.stdout.write(f"{path.stem}: {found[-1]} times as long as {name}, made alone {alone[-1]}\n")
    for what, each in (("read back", found), ("made alone", alone)):
        middles = [spread.middle for spread in each]
        sys.stdout.write(f"{name}, {what}: all starters' median {median(middles):.2f}, worst {max(middles):.2f}\n")
    return found


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


@pytest.mark.bench
def test_bench_a_card_against_bare_reportlab(monkeypatch: pytest.MonkeyPatch) -> None:
    """Made, tagged and read back, against canvas calls that place nothing."""
    # Its pages in letters alone, which nobody needs today, take longer to write.
    monkeypatch.setattr(rl_config, "useA85", 0)
    for name, bold in (("Regular", False), ("Bold", True)):
        pdfmetrics.registerFont(TTFont(name, str(find_font_file(bold))))
    for path in STARTERS:
        made = place_regimen(read_regimen(path.read_text(encoding="utf-8")))
        bare, ours = emit_with_bare_reportlab(made), write_pdf(made.placed)
        assert count_pages(bare) == count_pages(ours)
        assert len(list_runs(bare)) == len(list_runs(ours))
    compare_starters("bare reportlab", emit_with_bare_reportlab)


@pytest.mark.bench
def test_bench_a_card_against_weasyprint() -> None:
    """The same words and pictures, tagged by WeasyPrint's PDF/UA variant from the card's own page for the screen."""
    weasyprint = pytest.importorskip("weasyprint")

    def print_with_weasyprint(made: PlacedRegimen) -> bytes:
        return bytes(weasyprint.HTML(string=write_html(made.card).decode()).write_pdf(pdf_variant="pdf/ua-1"))

    times = compare_starters("WeasyPrint", print_with_weasyprint, turns=3)
    assert median(spread.middle for spread in times) <= 1 / WEASYPRINT_TIMES


@pytest.mark.bench
def test_bench_a_card_against_typst() -> None:
    """The same items placed by Typst, which is compiled code."""
    typst = pytest.importorskip("typst")
    folder = find_font_file(False).parent

    def compile_with_typst(made: PlacedRegimen) -> bytes:
        return bytes(typst.compile(write_typst(made.placed).encode(), font_paths=[str(folder)]))

    for path in STARTERS:
        made = place_regimen(read_regimen(path.read_text(encoding="utf-8")))
        assert count_pages(compile_with_typst(made)) == len(made.placed.pages)
    compare_starters("Typst", compile_with_typst)


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
            body = f'text(font: "Fillcards Text", size: {item.size_pt}pt, weight: "{weight}", "{words}")'
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
