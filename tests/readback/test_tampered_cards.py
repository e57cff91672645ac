"""Right cards to which somebody added a mark or took a sentence: none of them says what the regimen means.

The places are taken from the finished page. A reader would see another number, another place to stop, or less than the
card is to say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO

import pikepdf
import pytest
from support.pdfium_reader import Run, list_runs
from support.plans import EXAMPLES

from fillcards.options import Options
from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.readback.compare import compare_with_regimen
from fillcards.readback.measure import measure_pdf
from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import MM_PER_PT

REGIMEN = EXAMPLES["mixed"]
"""8 and 18 units: the total line is 26."""


@pytest.fixture(scope="module")
def card_pdf() -> bytes:
    """The whole card, right."""
    return write_pdf(place_regimen(REGIMEN).placed)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a run of text stands on page one, in points, y upward."""

    x: float
    y: float
    width: float
    size: float


def find(pdf: bytes, text: str) -> Place:
    """The largest run with these words on page one."""
    run: Run = max((run for run in list_runs(pdf, 0) if run.text.strip() == text), key=lambda run: run.size)
    with pikepdf.open(BytesIO(pdf)) as document:
        height = float(document.pages[0].MediaBox[3])
    return Place(run.x / MM_PER_PT, height - run.y / MM_PER_PT, 0.6 * run.size * len(text), run.size)


def draw(pdf: bytes, marks: str, page_number: int = 1) -> bytes:
    """The card with marks over one page."""
    with pikepdf.open(BytesIO(pdf)) as document:
        page = document.pages[page_number - 1]
        page.Contents = document.make_stream(page.Contents.read_bytes() + f"\nq {marks} Q".encode())
        out = BytesIO()
        document.save(out)
    return out.getvalue()


def make_decimal_point(pdf: bytes) -> str:
    """A square between the digits of the total, on its line: 26 becomes 2.6."""
    total = find(pdf, "26")
    return f"0 g {total.x + total.width / 2 - 5} {total.y} 10 10 re f"


def make_bar(pdf: bytes) -> str:
    """A bar as tall as a digit, close behind the first figure: 8 becomes 81."""
    first = find(pdf, "8")
    return f"0 g {first.x + first.width + 6} {first.y} 12 {0.67 * first.size} re f"


def make_strike(pdf: bytes) -> str:
    """A line through the total."""
    total = find(pdf, "26")
    return f"0 G 2 w {total.x} {total.y + 5} m {total.x + total.width} {total.y + 60} l S"


def make_long_strike(pdf: bytes) -> str:
    """A line from far under the total to far over it: its box stands round the figure, and it goes through."""
    total = find(pdf, "26")
    return f"0 G 2 w {total.x - 10} {total.y - 20} m {total.x + total.width + 10} {total.y + 110} l S"


def make_blot(pdf: bytes) -> str:
    """A blot on the first figure."""
    first = find(pdf, "8")
    return f"0 g {first.x + 5} {first.y + 20} 9 14 re f"


def make_drawn_number(_: bytes) -> str:
    """A 4 of strokes where the page is empty, at its foot."""
    return "0 G 6 w 100 64 m 100 99 l 80 76 l 112 76 l S"


def make_disc(_: bytes) -> str:
    """A bullet before no line."""
    return "0 g 60 62 4 4 re f"


@pytest.mark.parametrize(
    "make",
    [make_decimal_point, make_bar, make_strike, make_long_strike, make_blot, make_drawn_number, make_disc],
    ids=lambda f: f.__name__,
)
def test_an_added_mark_is_stopped(make: Callable[[bytes], str], card_pdf: bytes) -> None:
    """No mark may touch text, and none may stand outside the pictures but rules, bullets and frames."""
    assert compare_with_regimen(measure_pdf(card_pdf), REGIMEN) == ()
    faults = measure_pdf(draw(card_pdf, make(card_pdf))).faults
    assert any("touch text" in fault.what or "belong to nothing" in fault.what for fault in faults)


def test_what_is_covered_on_one_page_alone_is_told_of_there(card_pdf: bytes) -> None:
    """The running head stands on page after page: that it looks right on three of them says nothing of the next."""
    head = next(run for run in list_runs(card_pdf, 4) if run.text.startswith("First line 8"))
    with pikepdf.open(BytesIO(card_pdf)) as document:
        height = float(document.pages[4].MediaBox[3])
    x, y = head.x / MM_PER_PT, height - head.y / MM_PER_PT
    covered = draw(card_pdf, f"1 g {x + 5 * head.size} {y - 2} {head.size} {head.size} re f", page_number=5)
    unlike = [fault for fault in measure_pdf(covered).faults if "does not look as it reads" in fault.what]
    assert [fault.page for fault in unlike] == [5]


def test_another_number_in_the_head_of_one_page_is_told_of_there(card_pdf: bytes) -> None:
    """The same paragraph, right on the pages before, is read anew on each page."""
    with pikepdf.open(BytesIO(card_pdf)) as document:
        page = document.pages[4]
        contents = page.Contents.read_bytes()
        assert contents.count(b"First line 8") == 1
        page.Contents = document.make_stream(contents.replace(b"First line 8", b"First line 9"))
        out = BytesIO()
        document.save(out)
    differences = compare_with_regimen(measure_pdf(out.getvalue()), REGIMEN)
    assert {difference.page for difference in differences if difference.what == "lines at the top"} == {5}


def change_words(pdf: bytes, old: str, new: str) -> bytes:
    """The card with a sentence in other words, glyph for glyph, on every page that has it."""
    with pikepdf.open(BytesIO(pdf)) as document:
        changed = 0
        for page in document.pages:
            content = page.Contents.read_bytes()
            if old.encode() in content:
                page.Contents = document.make_stream(content.replace(old.encode(), new.encode()))
                changed += 1
        assert changed
        out = BytesIO()
        document.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("old", "new"),
    [("Do not inject again.", "Do inject it again."), ("Not sure? ", "Too late? "), ("Start again.", "Go on as is.")],
)
def test_a_missing_sentence_is_told(old: str, new: str, card_pdf: bytes) -> None:
    """What to do in doubt, and that no dose is repeated, may be missing on no fill."""
    differences = compare_with_regimen(measure_pdf(change_words(card_pdf, old, new)), REGIMEN)
    assert "a sentence no card may lack" in {difference.what for difference in differences}


def test_missing_sheets_for_every_fill_are_told(card_pdf: bytes) -> None:
    """Whom to call and when to throw away stand on sheets of their own; a card without them is not whole."""
    reading = measure_pdf(card_pdf)
    (general,) = reading.general
    with pikepdf.open(BytesIO(card_pdf)) as document:
        del document.pages[general.pages[0] - 1 : general.pages[-1]]
        out = BytesIO()
        document.save(out)
    differences = compare_with_regimen(measure_pdf(out.getvalue()), REGIMEN)
    assert "sheets beside the fills" in {difference.what for difference in differences}


def test_layers_that_may_be_hidden_are_refused(card_pdf: bytes) -> None:
    """A screen may show a layer that a printer leaves out (ISO 32000-1, 8.11)."""
    with pikepdf.open(BytesIO(card_pdf)) as document:
        document.Root.OCProperties = pikepdf.Dictionary(OCGs=pikepdf.Array(), D=pikepdf.Dictionary())
        out = BytesIO()
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    with pytest.raises(UnreadableCard, match="layers"):
        measure_pdf(out.getvalue())


def test_a_code_to_scan_is_no_stray_mark() -> None:
    """The modules of a code are dark rectangles on a page that offers one."""
    pdf = write_pdf(place_regimen(REGIMEN, Options(has_scan_code=True)).placed)
    assert compare_with_regimen(measure_pdf(pdf), REGIMEN) == ()
