"""SVG pages and single barrels pass gates of their own."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from support.plans import EXAMPLES

from fillcards.finishing import write_barrel, write_pages
from fillcards.options import Ending
from fillcards.output.pdf import write_pdf
from fillcards.output.svg import write_svg
from fillcards.picture import barrel_frame
from fillcards.pipeline import place_regimen
from fillcards.problems import ReadbackFault
from fillcards.readback.svg import measure_svg, require_same_pages


def test_svg_pages_pass() -> None:
    """Each page of a card draws what its page of the PDF draws."""
    made = place_regimen(EXAMPLES["W13"])
    assert len(write_pages(made, Ending.SVG)) == len(made.placed.pages)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        (r'(<line [^>]*?)y1="([0-9]+)', r'\1y1="1\2', "SVG lines"),
        (r"<circle[^>]*/>", "", "SVG shapes"),
        (r'(<path d="M)([0-9]+)', r"\g<1>1\2", "SVG text"),
        (r'width="[0-9.]+mm"', 'width="210mm"', "its picture of"),
        (r"<line ", '<line opacity="0" ', "attributes"),
        (r"</svg>", '<rect x="0" y="0" width="50" height="50" fill="#ffffff"/></svg>', "not the paper"),
    ],
)
def test_a_changed_svg_page_is_stopped(old: str, new: str, what: str) -> None:
    """A line, a dot or a word elsewhere, another paper, anything hidden or covered."""
    placed = place_regimen(EXAMPLES["W13"]).placed
    pages = [write_svg(page, placed) for page in placed.pages]
    changed = re.sub(old, new, pages[0].decode(), count=1).encode()
    assert changed != pages[0]
    with pytest.raises(ReadbackFault, match=what):
        require_same_pages((changed, *pages[1:]), write_pdf(placed))


def test_svg_lines_are_measured_in_mm() -> None:
    """The page is as large as letter paper (ANSI/ASME Y14.1, size A)."""
    placed = place_regimen(EXAMPLES["W13"]).placed
    marks, outlines = measure_svg(write_svg(placed.pages[0], placed))
    assert (marks.width_mm, marks.height_mm) == (215.9, 279.4)
    assert len(outlines) > 10


@pytest.mark.parametrize("ending", [Ending.PDF, Ending.SVG, Ending.PNG])
@pytest.mark.parametrize("draw", [1, 2])
def test_a_single_barrel_passes(ending: Ending, draw: int) -> None:
    """Each kind of file."""
    assert write_barrel(place_regimen(EXAMPLES["mixed"]), 1, draw, ending)


def test_a_wrong_barrel_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stop one line too far does not leave as a picture either."""
    made = place_regimen(EXAMPLES["mixed"])
    locate = barrel_frame.BarrelFrame.locate
    monkeypatch.setattr(
        barrel_frame.BarrelFrame, "locate", lambda frame, value: locate(frame, value) + frame.line_gap_mm
    )
    with pytest.raises(ReadbackFault, match="stop mark: read 9"):
        write_barrel(made, 1, 1, Ending.SVG)


def test_the_barrel_of_another_fill_is_stopped() -> None:
    """The picture of fill 2 does not leave as that of fill 1."""
    made = place_regimen(EXAMPLES["mixed"])
    first, second = made.card.fills
    card = replace(made.card, fills=(replace(first, barrels=second.barrels), second))
    with pytest.raises(ReadbackFault, match="stop mark: read 6"):
        write_barrel(replace(made, card=card), 1, 1, Ending.PDF)
