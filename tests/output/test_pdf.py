"""The PDF read back by libraries that did not write it: places, words, fonts, document facts, determinism."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pypdf
import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from support.pdf_walk import list_instructions
from support.pdfium_reader import list_runs, list_strokes, measure_page_mm
from support.placed_cards import (
    A4_MM,
    HUNDRED_MM_BAR,
    LETTER_MM,
    make_bar_card,
    make_card,
    place,
    place_text,
)

from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Anchor, Dot, Ink, Item, Line, Polygon, Text
from fillcards.problems import InternalFault
from fillcards.typeface import find_font_file, measure_width_mm

# A twentieth of a millimetre is asked for on paper; the file itself is exact to a thousandth of a point.
ON_PAPER_MM = 0.05
IN_FILE_MM = 0.0005


def make_page_card(*items: Item) -> PlacedCard:
    """One letter page with one figure."""
    page = Page(*LETTER_MM, (place(0, Box(0.0, 0.0, *LETTER_MM), *items),), 1)
    return PlacedCard("A test", "en", (page,), Element("Document", (Element("Figure", (0,), alt="A test."),)))


def list_lines(page: Page) -> list[Line]:
    """A page's lines in paint order."""
    return [item for placed in page.placed for item in placed.items if isinstance(item, Line)]


@pytest.mark.parametrize("page_mm", [LETTER_MM, A4_MM])
def test_pdf_page_has_the_size_of_its_paper(page_mm: tuple[float, float]) -> None:
    """Letter is 8.5 x 11 in (ANSI/ASME Y14.1), A4 210 x 297 mm (ISO 216)."""
    assert measure_page_mm(write_pdf(make_card(page_mm=page_mm))) == pytest.approx(page_mm, abs=IN_FILE_MM)


def test_pdf_every_line_stands_where_it_was_placed() -> None:
    """Each stroke's ends, width and dashes as pdfium reads them are those of the placed line."""
    card = make_card()
    pdf = write_pdf(card)
    for index, page in enumerate(card.pages):
        strokes = list_strokes(pdf, index)
        lines = list_lines(page)
        assert len(strokes) == len(lines) > 0
        for stroke, line in zip(strokes, lines, strict=True):
            assert stroke.ends == pytest.approx((line.x1_mm, line.y1_mm, line.x2_mm, line.y2_mm), abs=IN_FILE_MM)
            assert stroke.width == pytest.approx(line.width_mm, abs=IN_FILE_MM)
            assert stroke.dash == pytest.approx(line.dash_mm, abs=IN_FILE_MM)
            assert stroke.grey == round(line.ink.value * 255)


COORDINATES_MM = st.tuples(st.floats(0, LETTER_MM[0]), st.floats(0, LETTER_MM[1]))
INKS = st.sampled_from(Ink)
DASHES = st.sampled_from(((), (1.0, 1.0), (3.0, 1.5, 0.5, 1.5)))
LINES = st.builds(
    lambda a, b, width, ink, dash: Line(a[0], a[1], b[0], b[1], width, ink, dash),
    COORDINATES_MM,
    COORDINATES_MM,
    st.floats(0.05, 5),
    INKS,
    DASHES,
)
FRAMES = st.builds(
    lambda corners, fill, width, ink: Polygon(tuple(corners), fill, width, ink),
    st.lists(COORDINATES_MM, min_size=3, max_size=5),
    INKS,
    st.sampled_from((0.0, 0.5, 1.0)),
    INKS,
)
DOTS = st.builds(Dot, st.floats(5, 200), st.floats(5, 200), st.floats(0.5, 9), INKS)


@given(st.lists(st.one_of(LINES, FRAMES, DOTS), min_size=1, max_size=12))
def test_pdf_graphics_state_never_leaks_from_one_item_to_the_next(items: list[Item]) -> None:
    """Whatever was drawn before, a line has its own width, ink and dash."""
    strokes = list_strokes(write_pdf(make_page_card(*items)))
    lines = [item for item in items if isinstance(item, Line)]
    assert [stroke.width for stroke in strokes] == pytest.approx([line.width_mm for line in lines], abs=IN_FILE_MM)
    assert [stroke.grey for stroke in strokes] == [round(line.ink.value * 255) for line in lines]
    assert [len(stroke.dash) for stroke in strokes] == [len(line.dash_mm) for line in lines]


def test_pdf_bar_measures_one_hundred_mm() -> None:
    """The print check's bar is 100 mm long in the file."""
    (stroke,) = list_strokes(write_pdf(make_bar_card()))
    assert stroke.ends[2] - stroke.ends[0] == pytest.approx(100.0, abs=ON_PAPER_MM)


def test_pdf_user_space_is_never_scaled() -> None:
    """No page carries a unit, a rotation or a change of coordinates that could alter the scale."""
    with pikepdf.open(BytesIO(write_pdf(make_card()))) as document:
        for page in document.pages:
            assert "/UserUnit" not in page
            assert "/Rotate" not in page
            assert "cm" not in {operator for _, operator in list_instructions(page)}


def test_pdf_text_is_read_as_written() -> None:
    """Each run's words, baseline, size and mark as pdfium reads them; accents and fractions too."""
    card = make_card()
    pdf = write_pdf(card)
    for index, page in enumerate(card.pages):
        texts = [item for placed in page.placed for item in placed.items if isinstance(item, Text)]
        runs = list_runs(pdf, index)
        assert [run.text.rstrip() for run in runs] == [text.text for text in texts]
        assert [run.y for run in runs] == pytest.approx([text.y_mm for text in texts], abs=IN_FILE_MM)
        assert [run.size for run in runs] == [text.size_pt for text in texts]


@pytest.mark.parametrize(("anchor", "share"), [(Anchor.START, 0.0), (Anchor.MIDDLE, 0.5), (Anchor.END, 1.0)])
def test_pdf_text_hangs_by_its_anchor(anchor: Anchor, share: float) -> None:
    """The run starts left of x by none, half or all of its measured width."""
    (run,) = list_runs(write_pdf(make_page_card(Text(100.0, 100.0, "26 units", 24, True, anchor))))
    assert run.x == pytest.approx(100.0 - share * measure_width_mm("26 units", 24, True), abs=IN_FILE_MM)


def test_pdf_words_of_two_lines_stay_apart() -> None:
    """A reader that takes the content without the places finds a space between runs (ISO 32000-1, 14.8.2.5)."""
    runs = list_runs(write_pdf(make_card()))
    paragraph = "".join(run.text for run in runs if run.number == 4)
    assert paragraph == "A paragraph that goes on in a second line "


def test_pdf_a_hyphen_at_the_end_of_a_line_joins() -> None:
    """No space after a hyphen: the word goes on."""
    pdf = write_pdf(make_page_card(Text(20, 20, "blood-", 18), Text(20, 30, "sugar", 18)))
    ((_, codes),) = list_fonts(pdf)
    assert codes == b"blood-sugar "


def test_pdf_text_survives_another_reader() -> None:
    """pypdf, which decodes by ToUnicode alone, finds the same words."""
    text = pypdf.PdfReader(BytesIO(write_pdf(make_card()))).pages[1].extract_text()
    assert "½ of 26 – café" in text


def test_pdf_parentheses_and_backslashes_are_text() -> None:
    """Characters that end or escape a literal string come back as they were."""
    words = r"(a) \n b) \\ ((c"
    (run,) = list_runs(write_pdf(make_page_card(Text(20, 20, words, 18))))
    assert run.text.rstrip() == words


def list_fonts(pdf: bytes) -> Iterator[tuple[Any, bytes]]:
    """Each font dictionary with the codes that are shown in it."""
    with pikepdf.open(BytesIO(pdf)) as document:
        shown: dict[str, bytes] = {}
        for page in document.pages:
            font = ""
            for operands, operator in list_instructions(page):
                if operator == "Tf":
                    font = str(operands[0])
                elif operator == "Tj":
                    shown[font] = shown.get(font, b"") + bytes(operands[0])
        fonts = document.pages[0].Resources["/Font"]
        for name in fonts.keys():  # noqa: SIM118  (a pikepdf dictionary iterates otherwise)
            yield fonts[name], shown.get(name, b"")


def test_pdf_embeds_the_typeface_and_nothing_else() -> None:
    """Every font in the file is embedded, mapped to Unicode, and one of the two faces (ISO 14289-1, 7.21.4, 7.21.7)."""
    ours = {TTFont(find_font_file(bold))["name"].getDebugName(6) for bold in (False, True)}
    pdf = write_pdf(make_card())
    fonts = list(list_fonts(pdf))
    with pikepdf.open(BytesIO(pdf)) as document:
        everywhere = [o for o in document.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/Font"]
        assert len(everywhere) == len(fonts) == 2
        names = {str(font["/BaseFont"])[1:] for font in everywhere}
        assert {name.split("+")[1] for name in names} == ours
        assert all("/FontFile2" in font["/FontDescriptor"] and "/ToUnicode" in font for font in everywhere)


def test_pdf_shows_the_very_glyph_its_code_reads_as() -> None:
    """For each code: a character, a glyph that is not .notdef, the outline of that character in the font file, and
    equal widths in dictionary and font program (ISO 14289-1, 7.21.5, 7.21.7, 7.21.8). A subset that printed 28 and
    read as 23 would fail here.
    """
    checked = 0
    for font, codes in list_fonts(write_pdf(make_card())):
        embedded = TTFont(BytesIO(font["/FontDescriptor"]["/FontFile2"].read_bytes()))
        source = TTFont(find_font_file("Bold" in str(font["/BaseFont"])))
        to_unicode = read_to_unicode(font["/ToUnicode"].read_bytes().decode("ascii"))
        (table,) = embedded["cmap"].tables
        for code in sorted(set(codes)):
            name = table.cmap[code]
            assert embedded.getGlyphID(name) != 0
            source_name = source.getBestCmap()[ord(to_unicode[code])]
            assert record_outline(embedded, name) == record_outline(source, source_name)
            advance = source["hmtx"][source_name][0]
            assert embedded["hmtx"][name][0] == advance == int(font["/Widths"][code - int(font["/FirstChar"])])
            checked += 1
    assert checked > 40


def read_to_unicode(cmap: str) -> dict[int, str]:
    """The map of one-byte codes, read line by line (Adobe Technical Note 5411)."""
    found: dict[int, str] = {}
    mode = ""
    for line in cmap.splitlines():
        if "begin" in line or "end" in line:
            mode = line.split()[-1]
        elif mode == "beginbfrange":
            first, last, start = (int(part.strip("<>"), 16) for part in line.split())
            found |= {code: chr(start + code - first) for code in range(first, last + 1)}
        elif mode == "beginbfchar":
            code, text = (part.strip("<>") for part in line.split())
            found[int(code, 16)] = bytes.fromhex(text).decode("utf-16-be")
    return found


def record_outline(font: Any, glyph: str) -> list[Any]:
    """A glyph as pen calls, its parts resolved."""
    pen = DecomposingRecordingPen(font.getGlyphSet())
    font.getGlyphSet()[glyph].draw(pen)
    return list(pen.value)


def test_pdf_no_code_maps_to_nothing() -> None:
    """No entry of any ToUnicode map is U+0000, U+FEFF or U+FFFE (ISO 14289-1, 7.21.7)."""
    for font, _ in list_fonts(write_pdf(make_card())):
        mapped = read_to_unicode(font["/ToUnicode"].read_bytes().decode("ascii"))
        assert not {"\0", "\ufeff", "\ufffe"} & set(mapped.values())


def test_pdf_takes_more_characters_than_one_font_has_codes() -> None:
    """Every character of the typeface at once: several fonts, and the words still come back."""
    known = sorted(chr(code) for code in TTFont(find_font_file(False)).getBestCmap() if code > 0x20 and code != 0xA0)
    beyond = [character for character in known if not character.isascii() and character.isalpha()]
    assert len(beyond) > 128
    rows = ["a".join(beyond[start : start + 12]) for start in range(0, len(beyond), 12)]
    texts = tuple(Text(10, 10 + 9 * number, row, 12) for number, row in enumerate(rows))
    runs = list_runs(write_pdf(make_page_card(*texts)))
    assert "".join(run.text for run in runs).replace(" ", "") == "".join(rows)


def test_pdf_refuses_a_character_without_a_glyph() -> None:
    """A missing glyph would vanish in silence; the message names the code point and not the patient's words."""
    with pytest.raises(InternalFault, match=r"U\+4E2D, which no typeface has"):
        write_pdf(make_page_card(Text(20, 20, "中", 18)))


@pytest.mark.parametrize(
    "item",
    [
        Line(20, 20, 220, 20, 0.5),
        Line(20, 20, float("nan"), 20, 0.5),
        Text(200, 20, "past the edge", 18),
        Text(3, 20, "past the edge", 18, anchor=Anchor.END),
        Dot(1, 50, 4),
        Polygon(((20, 20), (30, 20), (30, 280)), Ink.BLACK),
    ],
)
def test_pdf_refuses_what_stands_off_the_paper(item: Item) -> None:
    """What the printer would cut away is never written."""
    with pytest.raises(InternalFault, match="off the paper"):
        write_pdf(make_page_card(item))


@pytest.mark.parametrize(
    ("item", "words"),
    [
        (Line(20, 20, 30, 20, 0.0), "0.0 mm wide"),
        (Line(20, 20, 30, 20, float("nan")), "nan mm wide"),
        (Line(20, 20, 30, 20, 0.5, Ink.BLACK, (0.0, 1.0)), "dashed"),
        (Dot(20, 20, 0.0), "a dot of 0.0 mm"),
        (Polygon(((20, 20), (30, 20), (30, 30))), "neither fill nor outline"),
        (Polygon(((20, 20), (30, 20)), Ink.BLACK), "fewer than three"),
    ],
)
def test_pdf_refuses_items_without_ink(item: Item, words: str) -> None:
    """A width of zero would be as thin as the printer can; nothing is left to the printer."""
    with pytest.raises(InternalFault, match=words):
        write_pdf(make_page_card(item))


def test_pdf_bold_words_join_the_others() -> None:
    """Where the weight changes inside a line, words are read with the spaces they have and no more.

    A space stands at the end of a line and not at the end of a run that goes on: "line 11 ." would be read as a word.
    """
    parts = (("Check:", True), (" edge on ", False), ("line 11", True), (". Needle out.", False))
    x_mm, items = 20.0, []
    for text, bold in parts:
        items.append(Text(x_mm, 40.0, text, 18, bold))
        x_mm += measure_width_mm(text, 18, bold)
    items.append(Text(20.0, 50.0, "Next line.", 18))
    pdf = write_pdf(make_page_card(*items))
    said = "Check: edge on line 11. Needle out. Next line."
    assert " ".join("".join(run.text for run in list_runs(pdf)).split()) == said
    assert pypdf.PdfReader(BytesIO(pdf)).pages[0].extract_text().replace("\n", "").strip() == said


def test_pdf_names_title_language_and_kind() -> None:
    """Title in XMP and info alike, DisplayDocTitle, Lang, Marked, PDF/UA-1 (ISO 14289-1, 5 and 7.1)."""
    with pikepdf.open(BytesIO(write_pdf(make_card("Frühstück & <more>")))) as document:
        root = document.Root
        with document.open_metadata() as metadata:
            assert metadata["dc:title"] == "Fill card, Frühstück & <more>" == str(document.docinfo["/Title"])
            assert metadata["pdfuaid:part"] == "1"
        assert str(root["/Lang"]) == "en"
        assert root["/MarkInfo"]["/Marked"]
        assert root["/ViewerPreferences"]["/DisplayDocTitle"]
        assert document.pdf_version == "1.7"


def test_pdf_asks_for_actual_size_on_both_sides() -> None:
    """The print dialogue begins with no scaling and both sides, turned over along the long edge (ISO 32000-1, 12.2)."""
    with pikepdf.open(BytesIO(write_pdf(make_card()))) as document:
        wishes = document.Root["/ViewerPreferences"]
        assert str(wishes["/PrintScaling"]) == "/None"
        assert str(wishes["/Duplex"]) == "/DuplexFlipLongEdge"


def test_pdf_carries_nothing_of_the_machine() -> None:
    """No dates and no author; the program's name only."""
    with pikepdf.open(BytesIO(write_pdf(make_card()))) as document:
        assert {str(key) for key in document.docinfo} == {"/Title", "/Creator", "/Producer"}


def test_pdf_bookmarks_lead_to_the_sections() -> None:
    """One for each titled section, at the page where it starts."""
    reader = pypdf.PdfReader(BytesIO(write_pdf(make_card())))
    outline = [entry for entry in reader.outline if isinstance(entry, pypdf.generic.Destination)]
    found = [(entry.title, reader.get_destination_page_number(entry)) for entry in outline]
    assert found == [("Before breakfast", 0), ("For the maker", 1)]


def test_pdf_bookmarks_nest_like_their_sections() -> None:
    """A section within a section is a bookmark below a bookmark."""
    page = Page(*LETTER_MM, (place_text(0, 20, 20, "one"), place_text(1, 20, 60, "two")), 1)
    inner = Element("Sect", (Element("P", (1,)),), title="Inner")
    outer = Element("Sect", (Element("P", (0,)), inner), title="Outer")
    reader = pypdf.PdfReader(BytesIO(write_pdf(PlacedCard("Nested", "en", (page,), Element("Document", (outer,))))))
    outer_entry, below = reader.outline
    assert isinstance(outer_entry, pypdf.generic.Destination)
    assert outer_entry.title == "Outer"
    assert isinstance(below, list)
    assert [entry.title for entry in below if isinstance(entry, pypdf.generic.Destination)] == ["Inner"]


def test_pdf_same_card_same_bytes_whatever_came_before() -> None:
    """A, then B, then A again in one process: both As are equal, and B differs."""
    first = write_pdf(make_card())
    other = write_pdf(make_card("Ærø øl ½"))
    assert write_pdf(make_card()) == first != other


def test_pdf_same_bytes_in_another_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fresh process with another hash seed and another clock writes the same bytes."""
    tests = Path(__file__).parents[1]
    code = (
        "import sys; from support.placed_cards import make_card; from fillcards.output.pdf import write_pdf;"
        "sys.stdout.buffer.write(write_pdf(make_card()))"
    )
    monkeypatch.setenv("PYTHONPATH", f"{tests}:{tests.parent}")
    monkeypatch.setenv("PYTHONHASHSEED", "4711")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    monkeypatch.setenv("TZ", "Asia/Tokyo")
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)
    assert done.stdout == write_pdf(make_card())


def test_pdf_different_cards_have_different_identifiers() -> None:
    """The file identifier follows the content, not only the title (ISO 32000-1, 14.4)."""
    one = make_card()
    moved = replace(one, pages=(one.pages[0], one.pages[1]._replace(placed=(*one.pages[1].placed[:-1], shift_bar()))))
    identifiers = []
    for card in (one, moved):
        with pikepdf.open(BytesIO(write_pdf(card))) as document:
            identifiers.append(bytes(document.trailer["/ID"][0]))
    assert identifiers[0] != identifiers[1]


def shift_bar() -> Placed:
    """The bar a millimetre lower."""
    bar = HUNDRED_MM_BAR._replace(y1_mm=HUNDRED_MM_BAR.y1_mm + 1, y2_mm=HUNDRED_MM_BAR.y2_mm + 1)
    return place(9, Box(40.0, 250.0, 100.0, 2.0), bar)


@pytest.mark.parametrize(
    ("card", "words"),
    [
        (replace(make_card(), pages=()), "without pages"),
        (replace(make_card(), title=" "), "without title"),
        (replace(make_card(), language=""), "without title or language"),
    ],
)
def test_pdf_refuses_an_incomplete_card(card: PlacedCard, words: str) -> None:
    """PDF/UA asks for title and language of every document."""
    with pytest.raises(InternalFault, match=words):
        write_pdf(card)
