"""The structure tree of a tagged PDF: what is read aloud, in which order, as what.

Writes the structure elements, the tree's root, the way back from each page's marked content to its element (parent
tree), and the bookmarks. References: ISO 32000-1, 14.7 and 14.8; ISO 14289-1 (PDF/UA-1), 7. Knows nothing of how
things are painted; lengths in points.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from fillcards.layout.model import Box, Element, Page, PlacedCard
from fillcards.output.pdf_content import PT_PER_MM, measure_page_pt
from fillcards.output.pdf_file import PdfFile, write_reference, write_text_string
from fillcards.picture.items import Text
from fillcards.problems import InternalFault

ROLES: Final = frozenset(
    {"Document", "Part", "Sect", "Div", "Caption", "H1", "H2", "H3", "H4", "H5", "H6", "P", "Span"}
    | {"L", "LI", "Lbl", "LBody", "Table", "THead", "TBody", "TFoot", "TR", "TH", "TD", "Figure", "Note"}
)
"""Standard structure types (ISO 32000-1, 14.8.4), so no role map is needed."""


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


def find_roles(structure: Element) -> dict[int, str]:
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


def write_structure(
    file: PdfFile, card: PlacedCard, page_numbers: tuple[int, ...], page_marks: tuple[tuple[int, ...], ...]
) -> str:
    """Add the tree and the bookmarks to the file; returns the entries of the document's root that name them.

    Args:
        file: gets the objects.
        card: its structure, and the boxes on its pages.
        page_numbers: the object of each page.
        page_marks: for each page, the mark behind each marked-content number.

    Raises:
        InternalFault: if a mark of the tree stands on no page.
    """
    spots = find_spots(card.pages, page_marks)
    for mark in find_roles(card.structure):
        if mark not in spots:
            raise InternalFault(f"mark {mark} stands in the structure tree and on no page")
    writer = _TreeWriter(file, card, page_numbers, spots)
    tree = writer.write(page_marks)
    bookmarks = tuple(writer.find_bookmarks(card.structure))
    outlines = f"/Outlines {write_reference(write_bookmarks(file, bookmarks))}" if bookmarks else ""
    return f"{outlines}/StructTreeRoot {write_reference(tree)}"


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


def find_spots(pages: tuple[Page, ...], page_marks: tuple[tuple[int, ...], ...]) -> dict[int, tuple[Spot, ...]]:
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
        page_numbers: tuple[int, ...],
        spots: Mapping[int, tuple[Spot, ...]],
    ) -> None:
        self._file = file
        self._card = card
        self._page_numbers = page_numbers
        self._spots = spots
        self._owner_of: dict[int, int] = {}

    def write(self, page_marks: tuple[tuple[int, ...], ...]) -> int:
        """Add the tree; returns the number of its root."""
        root = self._file.reserve()
        top = self._write_element(self._card.structure, root, in_header_row=False)
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

    def _write_element(self, element: Element, parent: int, *, in_header_row: bool) -> int:
        number = self._file.reserve()
        pieces = [spot for child in element.children if isinstance(child, int) for spot in self._spots[child]]
        page = pieces[0].page if pieces else None
        kids: list[str] = []
        is_header_row = element.role == "TR" and all(_is_role(child, "TH") for child in element.children)
        for child in element.children:
            if isinstance(child, int):
                self._owner_of[child] = number
                kids += [self._write_content_reference(spot, page) for spot in self._spots[child]]
            else:
                kids.append(write_reference(self._write_element(child, number, in_header_row=is_header_row)))
        entries = [f"/Type/StructElem/S/{element.role}/P {write_reference(parent)}"]
        if page is not None:
            entries.append(f"/Pg {write_reference(self._page_numbers[page])}")
        if element.alt is not None:
            entries.append(f"/Alt{write_text_string(element.alt)}")
        if element.title is not None and element.role != "TH":
            entries.append(f"/T{write_text_string(element.title)}")
        if element.language is not None:
            entries.append(f"/Lang{write_text_string(element.language)}")
        entries += self._find_attributes(element, pieces, in_header_row)
        if kids:
            # A single kid stands bare: some readers lose one that is wrapped in an array.
            entries.append(f"/K {kids[0]}" if len(kids) == 1 else f"/K[{' '.join(kids)}]")
        self._file.put(number, f"<<{''.join(entries)}>>")
        return number

    def _write_content_reference(self, spot: Spot, page: int | None) -> str:
        if spot.page == page:
            return str(spot.number)
        return f"<</Type/MCR/Pg {write_reference(self._page_numbers[spot.page])}/MCID {spot.number}>>"

    def _find_attributes(self, element: Element, pieces: list[Spot], in_header_row: bool) -> Iterator[str]:
        """Attribute objects (ISO 32000-1, 14.8.5) that PDF/UA-1 or good readers ask for."""
        match element.role:
            case "Figure" if pieces:
                first = pieces[0]
                box = _write_rectangle(first.box, self._card.pages[first.page])
                yield f"/A<</O/Layout/Placement/Block/BBox{box}>>"
            case "L":
                yield f"/A<</O/List/ListNumbering/{self._find_numbering(element)}>>"
            case "TH":
                named = element.title if element.title in {"Column", "Row"} else None
                yield f"/A<</O/Table/Scope/{named or ('Column' if in_header_row else 'Row')}>>"

    def _find_numbering(self, element: Element) -> str:
        """``Decimal`` for labels with digits, ``Disc`` for other labels, ``None`` without labels."""
        labels = [e for e in _walk(element) if e.role == "Lbl"]
        marks = [child for label in labels for child in label.children if isinstance(child, int)]
        if not marks:
            return "None"
        words = "".join(self._find_words(marks[0]))
        return "Decimal" if words[:1].isdigit() else "Disc"

    def _find_words(self, mark: int) -> Iterator[str]:
        page = self._card.pages[self._spots[mark][0].page]
        for placed in page.placed:
            if placed.mark == mark:
                yield from (item.text for item in placed.items if isinstance(item, Text))

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


def _is_role(child: Element | int, role: str) -> bool:
    return isinstance(child, Element) and child.role == role


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
