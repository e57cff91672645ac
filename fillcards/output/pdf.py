"""A placed card as a tagged PDF (PDF/UA-1): exact, the same bytes each time, one typeface, read in the card's order.

Beside what is painted it writes the structure tree, which says what is read aloud, in which order, as what: its
elements, the way back from each page's marked content to its element (parent tree), and the bookmarks. References:
ISO 32000-1, 14.7 and 14.8; ISO 14289-1 (PDF/UA-1), 7.

In: millimetres on paper. Out: the bytes of the file. Each call builds a document of its own; what is kept between
calls (parsed faces and font subsets) does not depend on a patient. Knows nothing of cards, doses or wording.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping
from io import BytesIO
from typing import Final, NamedTuple

from fillcards.layout.model import Box, Element, Page, PlacedCard
from fillcards.output.pdf_content import PT_PER_MM, measure_page_pt, write_page_content
from fillcards.output.pdf_file import LONG_EDGE, SHORT_EDGE, PdfFile, write_reference, write_text_string
from fillcards.output.pdf_fonts import CardFonts
from fillcards.picture.items import Text
from fillcards.problems import InternalFault

ROLES: Final = frozenset(
    {"Document", "Part", "Sect", "Div", "Caption", "H1", "H2", "H3", "H4", "H5", "H6", "P", "Span"}
    | {"L", "LI", "Lbl", "LBody", "Table", "THead", "TBody", "TFoot", "TR", "TH", "TD", "Figure", "Note"}
)
"""Standard structure types (ISO 32000-1, 14.8.4), so no role map is needed."""


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
    role_of = _find_roles(placed.structure)
    items = (item for page in placed.pages for group in page.placed for item in group.items)
    fonts = CardFonts(item for item in items if isinstance(item, Text))
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
    page_marks = [content.marks for content in contents]
    spots = _find_spots(placed.pages, page_marks)
    for mark in role_of:
        if mark not in spots:
            raise InternalFault(f"mark {mark} stands in the structure tree and on no page")
    writer = _TreeWriter(file, placed, page_numbers, spots)
    tree = write_reference(writer.write(page_marks))
    bookmarks = tuple(writer.find_bookmarks(placed.structure))
    outlines = f"/Outlines {write_reference(write_bookmarks(file, bookmarks))}" if bookmarks else ""
    first = placed.pages[0]
    edge = SHORT_EDGE if first.small_cards and first.width_mm > first.height_mm else LONG_EDGE
    file.finish(placed.title, placed.language, f"/Pages {parent}{outlines}/StructTreeRoot {tree}", edge)
    return out.getvalue()


class Spot(NamedTuple):
    """Where one piece of marked content is: page from 0, its number on that page, and the box around it."""

    page: int
    number: int
    box: Box


class Bookmark(NamedTuple):
    """Title, destination array and the bookmarks below it."""

    title: str
    destination: str
    below: tuple[Bookmark, ...]


def _find_roles(structure: Element) -> dict[int, str]:
    """The role of the element that owns each mark.

    Raises:
        InternalFault: if a mark belongs to two elements, a role is not standard, or a figure has no words.
    """
    role_of: dict[int, str] = {}
    for element in _walk(structure):
        if element.role not in ROLES:
            raise InternalFault(f'"{element.role}" is no standard structure type')
        if element.role == "Figure" and not (element.alt and element.alt.strip()):
            raise InternalFault("a figure without words that replace it")
        for child in element.children:
            if isinstance(child, int):
                if child in role_of:
                    raise InternalFault(f"mark {child} stands twice in the structure tree")
                role_of[child] = element.role
    return role_of


def write_bookmarks(file: PdfFile, bookmarks: tuple[Bookmark, ...]) -> int:
    """Add the document's bookmarks, every one of them in sight; returns the number of what holds them."""
    root = file.reserve()
    file.put(root, f"<</Type/Outlines{_write_below(file, root, bookmarks)}>>")
    return root


def _write_below(file: PdfFile, parent: int, bookmarks: tuple[Bookmark, ...]) -> str:
    """First and last of some bookmarks, and how many there are with all that are below them (ISO 32000-1, 12.3.3)."""
    if not bookmarks:
        return ""
    numbers = [file.reserve() for _ in bookmarks]
    for index, (number, mark) in enumerate(zip(numbers, bookmarks, strict=True)):
        previous = f"/Prev {write_reference(numbers[index - 1])}" if index else ""
        following = "".join(f"/Next {write_reference(each)}" for each in numbers[index + 1 : index + 2])
        file.put(
            number,
            f"<</Title {write_text_string(mark.title)}/Parent {write_reference(parent)}/Dest{mark.destination}"
            f"{previous}{following}{_write_below(file, number, mark.below)}>>",
        )
    first, last = write_reference(numbers[0]), write_reference(numbers[-1])
    return f"/First {first}/Last {last}/Count {_count(bookmarks)}"


def _count(bookmarks: tuple[Bookmark, ...]) -> int:
    return len(bookmarks) + sum(_count(mark.below) for mark in bookmarks)


def _find_spots(pages: tuple[Page, ...], page_marks: list[tuple[int, ...]]) -> dict[int, tuple[Spot, ...]]:
    """Every piece of each mark's content, in page order, then paint order."""
    spots: dict[int, tuple[Spot, ...]] = {}
    for index, (page, marks) in enumerate(zip(pages, page_marks, strict=True)):
        box_of: dict[int, Box] = {}
        for placed in page.placed:
            if placed.mark is not None:
                known = box_of.get(placed.mark)
                box_of[placed.mark] = placed.box if known is None else _join_boxes(known, placed.box)
        for number, mark in enumerate(marks):
            spots[mark] = (*spots.get(mark, ()), Spot(index, number, box_of[mark]))
    return spots


class _TreeWriter:
    """Writes the elements of one card."""

    def __init__(
        self,
        file: PdfFile,
        card: PlacedCard,
        page_numbers: list[int],
        spots: Mapping[int, tuple[Spot, ...]],
    ) -> None:
        self._file = file
        self._card = card
        self._page_numbers = page_numbers
        self._spots = spots
        self._owner_of: dict[int, int] = {}

    def write(self, page_marks: list[tuple[int, ...]]) -> int:
        """Add the tree; returns the number of its root."""
        root = self._file.reserve()
        top = self._write_element(self._card.structure, root)
        rows = (
            f"{page}[{' '.join(write_reference(self._owner_of[mark]) for mark in marks)}]"
            for page, marks in enumerate(page_marks)
        )
        parents = self._file.add(f"<</Nums[{' '.join(rows)}]>>")
        self._file.put(
            root,
            f"<</Type/StructTreeRoot/K {write_reference(top)}/ParentTree {write_reference(parents)}"
            f"/ParentTreeNextKey {len(page_marks)}>>",
        )
        return root

    def _write_element(self, element: Element, parent: int) -> int:
        number = self._file.reserve()
        pieces = [spot for child in element.children if isinstance(child, int) for spot in self._spots[child]]
        page = pieces[0].page if pieces else None
        kids: list[str] = []
        for child in element.children:
            if isinstance(child, int):
                self._owner_of[child] = number
                kids += [self._write_content_reference(spot, page) for spot in self._spots[child]]
            else:
                kids.append(write_reference(self._write_element(child, number)))
        entries = [f"/Type/StructElem/S/{element.role}/P {write_reference(parent)}"]
        if page is not None:
            entries.append(f"/Pg {write_reference(self._page_numbers[page])}")
        if element.alt is not None:
            entries.append(f"/Alt{write_text_string(element.alt)}")
        if element.title is not None and element.role != "TH":
            entries.append(f"/T{write_text_string(element.title)}")
        if element.language is not None:
            entries.append(f"/Lang{write_text_string(element.language)}")
        entries += self._find_attributes(element, pieces)
        if kids:
            # A single kid stands bare: some readers lose one that is wrapped in an array.
            entries.append(f"/K {kids[0]}" if len(kids) == 1 else f"/K[{' '.join(kids)}]")
        self._file.put(number, f"<<{''.join(entries)}>>")
        return number

    def _write_content_reference(self, spot: Spot, page: int | None) -> str:
        if spot.page == page:
            return str(spot.number)
        return f"<</Type/MCR/Pg {write_reference(self._page_numbers[spot.page])}/MCID {spot.number}>>"

    def _find_attributes(self, element: Element, pieces: list[Spot]) -> Iterator[str]:
        """Attribute objects (ISO 32000-1, 14.8.5) that PDF/UA-1 or good readers ask for. Every list of a card is
        numbered; a header cell's title says what it heads, and those without words head a column.
        """
        match element.role:
            case "Figure" if pieces:
                first = pieces[0]
                box = _write_rectangle(first.box, self._card.pages[first.page])
                yield f"/A<</O/Layout/Placement/Block/BBox{box}>>"
            case "L":
                yield "/A<</O/List/ListNumbering/Decimal>>"
            case "TH":
                yield f"/A<</O/Table/Scope/{element.title or 'Column'}>>"

    def find_bookmarks(self, element: Element) -> Iterator[Bookmark]:
        """One bookmark for each titled section, at the top of its first content."""
        for child in element.children:
            if isinstance(child, int):
                continue
            below = tuple(self.find_bookmarks(child))
            if child.role != "Sect" or child.title is None:
                yield from below
                continue
            mark = next((m for e in _walk(child) for m in e.children if isinstance(m, int)), None)
            if mark is not None:
                yield Bookmark(child.title, self._write_destination(self._spots[mark][0]), below)

    def _write_destination(self, spot: Spot) -> str:
        top_pt = measure_page_pt(self._card.pages[spot.page])[1] - spot.box.y_mm * PT_PER_MM
        return f"[{write_reference(self._page_numbers[spot.page])}/XYZ 0 {top_pt:.3f} 0]"


def _walk(element: Element) -> Iterator[Element]:
    yield element
    for child in element.children:
        if isinstance(child, Element):
            yield from _walk(child)


def _join_boxes(one: Box, other: Box) -> Box:
    x_mm, y_mm = min(one.x_mm, other.x_mm), min(one.y_mm, other.y_mm)
    right_mm, bottom_mm = max(one.right_mm, other.right_mm), max(one.bottom_mm, other.bottom_mm)
    return Box(x_mm, y_mm, right_mm - x_mm, bottom_mm - y_mm)


def _write_rectangle(box: Box, page: Page) -> str:
    top_pt = measure_page_pt(page)[1]
    edges = (box.x_mm, box.right_mm), (box.bottom_mm, box.y_mm)
    left, right = (edge * PT_PER_MM for edge in edges[0])
    low, high = (top_pt - edge * PT_PER_MM for edge in edges[1])
    return f"[{left:.3f} {low:.3f} {right:.3f} {high:.3f}]"
