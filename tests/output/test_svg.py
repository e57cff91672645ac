"""The SVG read back by an XML parser and drawn by cairo: true size, words, outlines."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from itertools import chain
from xml.etree import ElementTree

import cairosvg
import numpy as np
import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.svgLib import parse_path
from fontTools.ttLib import TTFont
from PIL import Image
from support.placed_cards import A4_MM, LETTER_MM, make_bar_card, make_card, make_drawing, place, place_alone

from fillcards.layout.model import Box, Element, Page, PlacedCard
from fillcards.output.pdf import write_pdf
from fillcards.output.png import write_png_pages
from fillcards.output.svg import write_inline_svg, write_run_path, write_svg
from fillcards.picture.items import Anchor, Drawing, Line, Text
from fillcards.problems import InternalFault
from fillcards.typeface import find_font_file, measure_width_mm

SVG = "{http://www.w3.org/2000/svg}"


def write_first(card: PlacedCard) -> bytes:
    """Its first page."""
    return write_svg(card.pages[0], card)


def write_drawing(drawing: Drawing) -> bytes:
    """A page that is a drawing."""
    return write_first(place_alone(drawing))


def parse(svg: bytes) -> ElementTree.Element:
    """The root element."""
    return ElementTree.fromstring(svg)


def find_text(root: ElementTree.Element, name: str) -> str:
    """The text of the root's child of that name."""
    found = root.find(f"{SVG}{name}")
    assert found is not None
    return found.text or ""


def draw(svg: bytes, dpi: float) -> np.ndarray:
    """Grey levels as cairo draws the file."""
    with Image.open(BytesIO(cairosvg.svg2png(bytestring=svg, dpi=dpi))) as image:
        return np.asarray(image.convert("L"), dtype=float)


@pytest.mark.parametrize("page_mm", [LETTER_MM, A4_MM])
def test_svg_root_states_the_paper_in_mm(page_mm: tuple[float, float]) -> None:
    """Width and height in mm with a view box of the same numbers: one unit inside is one mm."""
    root = parse(write_first(make_card(page_mm=page_mm)))
    assert (root.get("width"), root.get("height")) == (f"{page_mm[0]}mm", f"{page_mm[1]}mm")
    assert [float(number) for number in (root.get("viewBox") or "").split()] == [0, 0, *page_mm]


def test_svg_bar_measures_one_hundred_mm() -> None:
    """The print check's bar is 100 mm long in the file."""
    (line,) = parse(write_first(make_bar_card())).iter(f"{SVG}line")
    assert float(line.get("x2", "")) - float(line.get("x1", "")) == pytest.approx(100.0, abs=0.05)


def test_svg_bar_is_drawn_one_hundred_mm_long() -> None:
    """Drawn by cairo at 254 dpi, ten pixels a mm, the bar's row holds 1000 black pixels."""
    row = draw(write_first(make_bar_card()), 254)[2500]
    assert (255 - row).sum() / 255 / 10 == pytest.approx(100.0, abs=0.05)


def test_svg_every_line_stands_where_it_was_placed() -> None:
    """Each line's ends and width, to a ten-thousandth of a mm."""
    card = make_card()
    lines = [item for placed in card.pages[0].placed for item in placed.items if isinstance(item, Line)]
    found = list(parse(write_first(card)).iter(f"{SVG}line"))
    assert len(found) == len(lines) > 0
    for element, line in zip(found, lines, strict=True):
        ends = [float(element.get(name, "")) for name in ("x1", "y1", "x2", "y2")]
        assert ends == pytest.approx((line.x1_mm, line.y1_mm, line.x2_mm, line.y2_mm), abs=1e-4)
        assert float(element.get("stroke-width", "")) == pytest.approx(line.width_mm, abs=1e-4)


def test_svg_has_plain_numbers_and_no_pattern_inside() -> None:
    """Lengths in mm under a mm view box land off the page, and patterns nearly vanish: neither occurs."""
    root = parse(write_first(make_card()))
    below = [element for element in root.iter() if element is not root]
    assert {element.tag.removeprefix(SVG) for element in below} <= {
        "title",
        "desc",
        "defs",
        "rect",
        "line",
        "polygon",
        "circle",
        "path",
    }
    assert not [value for element in below for value in element.attrib.values() if "mm" in value or "url(" in value]


def test_svg_has_no_text_for_another_face_to_draw() -> None:
    """Words are outlines; nothing names a font."""
    svg = write_first(make_card())
    assert b"<text" not in svg
    assert b"font" not in svg


def test_svg_page_describes_itself_in_reading_order() -> None:
    """Title and description carry the page's words in the card's order, figures by their words, no artifacts."""
    card = make_card()
    root = parse(write_first(card))
    assert root.get("role") == "img"
    assert root.get("{http://www.w3.org/XML/1998/namespace}lang") == "en"
    assert find_text(root, "title") == "Fill card, Before breakfast"
    assert find_text(root, "desc") == (
        "Before breakfast 1. Push air in: 18 units (all of it). A paragraph that goes on in a second line "
        "A barrel filled to line 8. The opening is at the top."
    )


def test_svg_drawing_carries_title_and_description() -> None:
    """The words given are the words in the file, signs of XML included."""
    root = parse(write_first(place_alone(make_drawing(), "A barrel <1 mL>", "Filled to line 26 & no further.")))
    assert find_text(root, "title") == "A barrel <1 mL>"
    assert find_text(root, "desc") == "Filled to line 26 & no further."


def test_svg_outline_is_the_glyph_of_the_font_file() -> None:
    """The path of a letter has the bounds of its glyph, scaled to its size and turned over."""
    font = TTFont(find_font_file(False))
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord("8")]].draw(pen)
    left, low, right, high = pen.bounds
    size_mm = 72 * 25.4 / 72
    svg = write_drawing(Drawing(40.0, 40.0, (Text(10.0, 30.0, "8", 72),)))
    ink = draw(svg, 2540) < 128
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    drawn = columns[0] / 100, rows[0] / 100, (columns[-1] + 1) / 100, (rows[-1] + 1) / 100
    em = size_mm / 1000
    assert drawn == pytest.approx((10 + left * em, 30 - high * em, 10 + right * em, 30 - low * em), abs=0.03)


def list_points(path: str) -> list[tuple[float, float]]:
    """Every point of path data, steps added up by fontTools."""
    pen = RecordingPen()
    parse_path(path, pen)
    return [point for _, points in pen.value for point in points]


def test_svg_text_keeps_the_measured_width() -> None:
    """The second letter begins where the first one's measured width ends."""
    pair, alone = (list_points(write_run_path(text, 10.0, 20.0, 24, True)) for text in ("Ml", "l"))
    shift = measure_width_mm("M", 24, True)
    shifts = [one[0] - other[0] for one, other in zip(pair[-len(alone) :], alone, strict=True)]
    assert shifts == pytest.approx([shift] * len(alone), abs=2e-4)


@pytest.mark.parametrize("character", "8@%gQ")
def test_svg_steps_add_up_to_the_glyph(character: str) -> None:
    """However many steps an outline has, each point is a rounding or two from the font's own."""
    font = TTFont(find_font_file(False))
    em_mm = 200 * 25.4 / 72 / font["head"].unitsPerEm
    pen = SVGPathPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(character)]].draw(
        TransformPen(pen, (em_mm, 0.0, 0.0, -em_mm, 10.0, 90.0))
    )
    meant, shown = map(list_points, (pen.getCommands(), write_run_path(character, 10.0, 90.0, 200, False)))
    assert len(shown) > 20
    assert list(chain(*shown)) == pytest.approx(list(chain(*meant)), abs=1.5e-4)


@pytest.mark.parametrize("anchor", list(Anchor))
def test_svg_and_pdf_draw_the_same_picture(anchor: Anchor) -> None:
    """Drawn by two programs from two files, text and lines cover the same paper but for the soft edges."""
    card = make_bar_card()
    text = Text(100.0, 100.0, "26 units ½", 48, True, anchor)
    placed = card.pages[0].placed[0]._replace(items=(*card.pages[0].placed[0].items, text))
    card = replace(card, pages=(card.pages[0]._replace(placed=(placed,)),))
    with Image.open(BytesIO(write_png_pages(write_pdf(card), 100)[0])) as image:
        from_pdf = np.asarray(image, dtype=float)
    from_svg = draw(write_first(card), 100)
    height, width = (min(a, b) for a, b in zip(from_pdf.shape, from_svg.shape, strict=True))
    difference = np.abs(from_pdf[:height, :width] - from_svg[:height, :width])
    assert (255 - from_pdf).sum() > 255 * 1000
    assert difference.sum() < 0.03 * (255 - from_pdf).sum()


def test_svg_refuses_a_character_without_a_glyph() -> None:
    """A missing glyph would vanish in silence."""
    drawing = Drawing(40.0, 40.0, (Text(10.0, 30.0, "中", 18),))
    with pytest.raises(InternalFault, match=r"U\+4E2D"):
        write_drawing(drawing)


def test_svg_refuses_what_stands_outside() -> None:
    """What a reader would cut off is never written."""
    with pytest.raises(InternalFault, match="outside the drawing"):
        write_drawing(make_drawing()._replace(height_mm=25.0))


def test_svg_inside_a_page_has_the_colours_of_the_page() -> None:
    """The same shapes as on paper, without paper of its own; black is the text's colour and white the page's."""
    alone, inside = parse(write_drawing(make_drawing())), parse(write_inline_svg(make_drawing(), "t").encode())
    names = [[child.tag.removeprefix(SVG) for child in root] for root in (alone, inside)]
    assert [name for name in names[0] if name not in {"desc", "rect"}] == names[1]
    paints = {each.get(key) for each in inside.iter() for key in ("fill", "stroke") if each.get(key)}
    assert paints == {"currentColor", "Canvas"}
    assert find_text(inside, "title") == "t"


def test_svg_bold_words_join_the_others() -> None:
    """A line whose weight changes is described as one line, without a space where the weight changes."""
    end_mm = 5.0 + measure_width_mm("line 11", 18, True)
    items = (Text(5.0, 10.0, "line 11", 18, True), Text(end_mm, 10.0, ". Out.", 18), Text(5.0, 20.0, "Next.", 18))
    page = Page(100.0, 30.0, (place(0, Box(0.0, 0.0, 100.0, 30.0), *items),), None)
    card = PlacedCard("t", "en", (page,), Element("Document", (Element("P", (0,)),)))
    assert find_text(parse(write_first(card)), "desc") == "line 11. Out. Next."


def test_svg_same_drawing_same_bytes() -> None:
    """Twice the same, and nothing of the machine in it."""
    assert write_drawing(make_drawing()) == write_drawing(make_drawing())
