"""A placed card as a tagged PDF (PDF/UA-1): exact, the same bytes each time, one typeface, read in the card's order.

In: millimetres on paper. Out: the bytes of the file. Each call builds a document of its own; what is kept between
calls (parsed faces and font subsets) does not depend on a patient. Knows nothing of cards, doses or wording.
"""

from __future__ import annotations

import zlib
from io import BytesIO

from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.output.pdf_content import measure_page_pt, write_page_content
from fillcards.output.pdf_file import LONG_EDGE, SHORT_EDGE, PdfFile, write_reference
from fillcards.output.pdf_fonts import CardFonts
from fillcards.output.pdf_structure import find_roles, write_structure
from fillcards.picture.items import Drawing, Text
from fillcards.problems import InternalFault
from fillcards.typeface.faces import Face
from fillcards.typeface.measures import PLAIN_LANGUAGES
from fillcards.typeface.metrics import load_widths


def write_pdf(placed: PlacedCard) -> bytes:
    """The card as a PDF file.

    Args:
        placed: pages at scale exactly 1, and the structure over them.

    Raises:
        InternalFault: if pages and structure do not belong together, something stands off the paper, or a character
            has no glyph.
        OutputError: if the typeface's files are missing.
    """
    if not placed.pages:
        raise InternalFault("a card without pages")
    if not placed.title.strip() or not placed.language:
        raise InternalFault("a card without title or language")
    role_of = find_roles(placed.structure)
    fonts = _collect_fonts(placed)
    out = BytesIO()
    file = PdfFile(out, table=BytesIO())
    resources = write_reference(file.add(f"<</Font{fonts.write(file)}>>"))
    contents = [write_page_content(page, fonts, role_of) for page in placed.pages]
    pages_number, *page_numbers = (file.reserve() for _ in range(1 + len(placed.pages)))
    parent = write_reference(pages_number)
    for index, (page, number, content) in enumerate(zip(placed.pages, page_numbers, contents, strict=True)):
        width_pt, height_pt = measure_page_pt(page)
        stream = write_reference(file.add_deflated(zlib.compress(content.operators)))
        file.put(
            number,
            f"<</Type/Page/Parent {parent}/MediaBox[0 0 {width_pt:.3f} {height_pt:.3f}]"
            f"/Resources {resources}/Contents {stream}/StructParents {index}/Tabs/S>>",
        )
    kids = " ".join(map(write_reference, page_numbers))
    file.put(pages_number, f"<</Type/Pages/Count {len(page_numbers)}/Kids[{kids}]>>")
    entries = write_structure(file, placed, tuple(page_numbers), tuple(content.marks for content in contents))
    first = placed.pages[0]
    edge = SHORT_EDGE if first.small_cards and first.width_mm > first.height_mm else LONG_EDGE
    file.finish(placed.title, placed.language, f"/Pages {parent}{entries}", edge)
    return out.getvalue()


def write_drawing_pdf(drawing: Drawing, title: str, desc: str, language: str = "en") -> bytes:
    """A single drawing as a PDF whose page is the drawing's box.

    Args:
        drawing: in mm.
        title: a short name, shown in the window bar.
        desc: the words that replace the picture.
        language: BCP 47 tag of both.

    Raises:
        InternalFault: as for ``write_pdf``.
        OutputError: if the typeface's files are missing.
    """
    box = Box(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    page = Page(drawing.width_mm, drawing.height_mm, (Placed(box, drawing.items, 0),), None)
    figure = Element("Figure", (0,), alt=desc)
    return write_pdf(PlacedCard(title, language, (page,), Element("Document", (figure,))))


def _collect_fonts(placed: PlacedCard) -> CardFonts:
    letters: dict[bool, set[str]] = {False: set(), True: set()}
    texts = [item for page in placed.pages for group in page.placed for item in group.items if isinstance(item, Text)]
    for item in texts:
        letters[item.bold].update(item.text)
    has_others = any(letters[bold].difference(load_widths()[bold]) for bold in letters)
    if not has_others and all(item.language in PLAIN_LANGUAGES for item in texts):
        return CardFonts(letters[False], letters[True])
    from fillcards.typeface.segments import cut_segments

    plain: dict[bool, set[str]] = {False: set(), True: set()}
    others: dict[tuple[Face, bool], set[str]] = {}
    for item in texts:
        # A space is put at the end of a line.
        for part, face in cut_segments(f"{item.text} ", item.bold, item.language):
            if face is None or (face.is_right_to_left and part.isspace()):
                plain[item.bold].update(part)
            else:
                others.setdefault((face, item.bold), set()).add(part)
    ordered = {key: sorted(others[key]) for key in sorted(others, key=lambda key: (key[0].name, key[1]))}
    return CardFonts(plain[False], plain[True], ordered)
