"""The reader of raised pages finds what fingers would: right pages pass, and every seeded fault is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from typing import TypeGuard

import pikepdf
import pytest
from support.plans import build_card, plan_example

from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Page, Placed, PlacedCard
from fillcards.layout.tactile import place_tactile
from fillcards.output.louis import make_translate
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Dot, Ink, Item, Line, Text
from fillcards.picture.tactile_marks import draw_cells
from fillcards.picture.tactile_style import Medium, TactileStyle
from fillcards.problems import ReadbackFault
from fillcards.readback.cells import read_lines
from fillcards.readback.tactile import read_raised_pages, require_same_touch
from fillcards.regimen.model import Regimen
from fillcards.wording.braille import Contraction

STYLES = [
    TactileStyle(),
    TactileStyle(large_cell=True),
    TactileStyle(raised_digits=True),
    TactileStyle(medium=Medium.EMBOSSER),
    TactileStyle(medium=Medium.EMBOSSER, large_cell=True),
]


def place(contraction: Contraction = Contraction.UNCONTRACTED, style: TactileStyle = STYLES[0]) -> PlacedCard:
    """The tactile card of two insulins."""
    card = build_card(plan_example("mixed"))
    return place_tactile(card, load_papers()["letter"], style, make_translate(contraction))


def get_regimen() -> Regimen:
    """What it was made from: 8 and 26, then 6 and 18."""
    return plan_example("mixed").regimen


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("contraction", Contraction)
def test_a_right_card_passes(contraction: Contraction, style: TactileStyle) -> None:
    """The reader agrees with the regimen, whatever the grade of braille and the size of cell."""
    require_same_touch(write_pdf(place(contraction, style)), get_regimen())


def test_the_stops_are_read() -> None:
    """The barrel's page says 8 and 26 in lines and in braille: W12 of the plan's examples, 8 + 18 = 26."""
    pages = read_raised_pages(write_pdf(place()), get_regimen().syringe)
    barrel = next(page for page in pages if len(page.stops) == 2)
    assert [(stop.line, stop.is_solid, stop.label) for stop in barrel.stops] == [
        (Fraction(8), False, Fraction(8)),
        (Fraction(26), True, Fraction(26)),
    ]


# Unified English Braille, from memory: number sign 3456, a to j for digits, 256 for the point, 2 for the comma.
@pytest.mark.parametrize(
    ("cells", "numbers"),
    [
        ("⠼⠃⠋", [26]),
        ("⠼⠚⠲⠃⠑⠀⠍⠛", [Fraction(1, 4)]),
        ("⠼⠁⠂⠃⠉⠙", [1234]),
        ("⠼⠓⠲⠀⠠⠞⠕⠀⠼⠊", [8, 9]),
        ("⠼⠁⠃⠂⠀⠁", [12]),
    ],
)
@pytest.mark.parametrize("style", STYLES[:2])
def test_numbers_are_read_from_dots(cells: str, numbers: list[Fraction], style: TactileStyle) -> None:
    """Discs at their places become numbers; a point at the end of a sentence is not part of one."""
    (line,) = read_lines((dot.x_mm, dot.y_mm) for dot in draw_cells(cells, 30.0, 40.0, style))
    assert list(line.list_numbers()) == numbers


def test_dots_off_the_grid_are_not_read() -> None:
    """A row with a dot between two places has no certain meaning and is left unread."""
    dots = [(dot.x_mm, dot.y_mm) for dot in draw_cells("⠼⠃⠋", 30.0, 40.0, STYLES[0])]
    x, y = dots[-1]
    assert read_lines([*dots[:-1], (x + 0.8, y)]) == ()


def _change_items(change: Callable[[Item], Item | None]) -> Callable[[PlacedCard], PlacedCard]:
    """A fault that changes the items of every raised page."""

    def apply(placed: PlacedCard) -> PlacedCard:
        return replace(placed, pages=tuple(_change_page(page, change) for page in placed.pages))

    return apply


def _change_page(page: Page, change: Callable[[Item], Item | None]) -> Page:
    if page.is_makers:
        return page
    return page._replace(placed=tuple(_change_placed(each, change) for each in page.placed))


def _change_placed(placed: Placed, change: Callable[[Item], Item | None]) -> Placed:
    items = (change(item) for item in placed.items)
    return placed._replace(items=tuple(item for item in items if item is not None))


def _is_solid_stop(item: Item) -> TypeGuard[Line]:
    return isinstance(item, Line) and item.y1_mm == item.y2_mm and item.x2_mm - item.x1_mm > 60


def _move_solid(item: Item) -> Item:
    return item._replace(y1_mm=item.y1_mm + 1.5, y2_mm=item.y2_mm + 1.5) if _is_solid_stop(item) else item


def _grey(item: Item) -> Item:
    return item._replace(ink=Ink.GREY) if _is_solid_stop(item) else item


def _drop_solid(item: Item) -> Item | None:
    return None if _is_solid_stop(item) else item


def _drop_braille(item: Item) -> Item | None:
    return None if isinstance(item, Dot) else item


FAULTS = {
    "stop moved by 1.5 mm": (_change_items(_move_solid), "between two lines|broken|solid|off its line"),
    "grey stop": (_change_items(_grey), "plain black"),
    "total line gone": (_change_items(_drop_solid), "stops and"),
    "no braille": (_change_items(_drop_braille), "which page"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_seeded_fault_is_found(fault: str) -> None:
    """A line in the wrong place, a grey or missing one, and missing braille each hold the file back."""
    apply, words = FAULTS[fault]
    with pytest.raises(ReadbackFault, match=words):
        require_same_touch(write_pdf(apply(place())), get_regimen())


def test_another_regimen_is_found() -> None:
    """Raised pages of 8 and 26 do not pass for a regimen of 6 and 24."""
    other = replace(get_regimen(), fills=(plan_example("W13").regimen.fills[0], get_regimen().fills[1]))
    with pytest.raises(ReadbackFault, match="no broken line at 6"):
        require_same_touch(write_pdf(place()), other)


def test_print_on_a_raised_page_hides_it() -> None:
    """A page with print on it is not counted as one to be read by touch, so its set comes out short."""
    placed = place()
    last = placed.pages[-1]
    first = last.placed[0]
    items = (*first.items, Text(30.0, 30.0, "8 units", 18))
    spoiled = last._replace(placed=(first._replace(items=items), *last.placed[1:]))
    with pytest.raises(ReadbackFault, match="do not count"):
        require_same_touch(write_pdf(replace(placed, pages=(*placed.pages[:-1], spoiled))), get_regimen())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"total 26", b"total 28", "not those of the raised page"),
        (b"first line, 8 units", b"first line, 9 units", "not those of the raised page"),
        (b"(total 26", b"3 Tr (total 26", "plain copies|cannot be read back"),
        (b"(total 26", b"1 g (total 26", "do not look as they read"),
        (b"Not yet checked", b"Not yet clicked", "is not said"),
        (b"Plain copy of the raised page", b"A copy of the raised page", "plain copies: read"),
    ],
)
@pytest.mark.parametrize("style", [STYLES[0], STYLES[3]], ids=["swell", "embosser"])
def test_a_plain_copy_says_what_its_raised_page_says(old: bytes, new: bytes, words: str, style: TactileStyle) -> None:
    """The helper's print is held to the braille, number by number, and to what an eye would see."""
    out = BytesIO()
    with pikepdf.open(BytesIO(write_pdf(place(style=style)))) as document:
        page = next(
            page
            for page in document.pages
            if b"Plain copy" in (contents := page.Contents.read_bytes()) and old in contents
        )
        page.Contents = document.make_stream(page.Contents.read_bytes().replace(old, new, 1))
        document.save(out)
    with pytest.raises(ReadbackFault, match=words):
        require_same_touch(out.getvalue(), get_regimen())
