"""Small placed cards made by hand, so that outputs are tested without a layout. Lengths in mm."""

from __future__ import annotations

from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.picture.items import Anchor, Dot, Drawing, Ink, Item, Line, Polygon, Text

LETTER_MM = (215.9, 279.4)
A4_MM = (210.0, 297.0)

HUNDRED_MM_BAR = Line(40.0, 250.0, 140.0, 250.0, 2.0)

SCALE_LINES: tuple[Line, ...] = tuple(
    Line(150.0, 40.0 + 2.5 * number, 160.0 if number % 5 else 166.0, 40.0 + 2.5 * number, 0.3) for number in range(51)
)
"""A scale of 51 lines, 2.5 mm apart, every fifth longer."""


def place(mark: int | None, box: Box, *items: Item) -> Placed:
    """Items with their box and mark."""
    return Placed(box, items, mark)


def place_text(
    mark: int | None, x_mm: float, y_mm: float, text: str, size_pt: float = 18, bold: bool = False
) -> Placed:
    """One run with a roughly fitting box; the baseline stands 8 mm below its top."""
    return place(mark, Box(x_mm, y_mm, 150.0, 10.0), Text(x_mm, y_mm + 8.0, text, size_pt, bold))


def make_card(name: str = "Before breakfast", page_mm: tuple[float, float] = LETTER_MM) -> PlacedCard:
    """Two pages with every role, every item, an artifact of each kind, and a paragraph that breaks between pages."""
    barrel: tuple[Item, ...] = (
        *SCALE_LINES,
        Polygon(((150.0, 40.0), (145.0, 40.0), (145.0, 165.0), (150.0, 165.0)), Ink.WHITE, 0.5, Ink.GREY),
        Line(140.0, 60.0, 170.0, 60.0, 0.8, Ink.BLACK, (3.0, 1.5)),
        Dot(146.0, 170.0, 3.0),
        Text(168.0, 54.0, "5", 14, anchor=Anchor.START),
        Text(168.0, 66.5, "10", 14, anchor=Anchor.MIDDLE),
    )
    first = Page(
        *page_mm,
        (
            place_text(None, 20.0, 12.0, f"{name}: first line 8"),
            place(None, Box(20.0, 22.0, 170.0, 0.5), Line(20.0, 22.0, 190.0, 22.0, 0.5, Ink.GREY)),
            place_text(0, 20.0, 25.0, name, 44, True),
            place(7, Box(138.0, 38.0, 40.0, 136.0), *barrel),
            place_text(1, 20.0, 60.0, "1."),
            place_text(2, 30.0, 60.0, "Push air in: 18 units (all of it)."),
            place_text(3, 20.0, 80.0, "A paragraph that goes on"),
            place_text(3, 20.0, 90.0, "in a second line"),
        ),
        1,
    )
    second = Page(
        *page_mm,
        (
            place_text(3, 20.0, 20.0, "and on the next page."),
            place_text(4, 20.0, 40.0, "Fill"),
            place_text(5, 70.0, 40.0, "Line"),
            place_text(6, 20.0, 52.0, "Breakfast"),
            place_text(8, 70.0, 52.0, "½ of 26 – café", bold=True),
            place(9, Box(40.0, 249.0, 100.0, 2.0), HUNDRED_MM_BAR),
        ),
        None,
    )
    fill = Element(
        "Sect",
        (
            Element("H1", (0,)),
            Element("L", (Element("LI", (Element("Lbl", (1,)), Element("LBody", (2,)))),)),
            Element("P", (3,)),
            Element("Figure", (7,), alt="A barrel filled to line 8. The opening is at the top."),
        ),
        title=name,
    )
    table = Element(
        "Table",
        (
            Element("TR", (Element("TH", (4,), title="Column"), Element("TH", (5,), title="Column"))),
            Element("TR", (Element("TH", (6,), title="Row"), Element("TD", (8,)))),
        ),
    )
    maker = Element("Sect", (table, Element("Figure", (9,), alt="A bar 100 mm long.")), title="For the maker")
    return PlacedCard(f"Fill card, {name}", "en", (first, second), Element("Document", (fill, maker)))


def make_bar_card(page_mm: tuple[float, float] = LETTER_MM) -> PlacedCard:
    """One page with nothing but the 100 mm bar."""
    page = Page(*page_mm, (place(0, Box(40.0, 249.0, 100.0, 2.0), HUNDRED_MM_BAR),), None)
    figure = Element("Figure", (0,), alt="A bar 100 mm long.")
    return PlacedCard("Print check", "en", (page,), Element("Document", (figure,)))


def place_alone(drawing: Drawing, title: str = "A drawing", alt: str = "A drawing") -> PlacedCard:
    """A drawing on a page as large as itself, with the words that replace it."""
    page = Page(*drawing[:2], (place(0, Box(0.0, 0.0, *drawing[:2]), *drawing.items),), None)
    return PlacedCard(title, "en", (page,), Element("Document", (Element("Figure", (0,), alt=alt),)))


def make_drawing() -> Drawing:
    """A small drawing with every item."""
    return Drawing(
        120.0,
        40.0,
        (
            Line(10.0, 20.0, 110.0, 20.0, 2.0),
            Line(10.0, 30.0, 110.0, 30.0, 0.5, Ink.GREY, (3.0, 1.5)),
            Polygon(((10.0, 5.0), (20.0, 5.0), (20.0, 12.0), (10.0, 12.0)), Ink.WHITE, 0.5),
            Dot(30.0, 8.0, 4.0, Ink.GREY),
            Text(60.0, 12.0, "26 units", 18, True, Anchor.MIDDLE),
        ),
    )
