"""Many finished cards as one PDF for one print run: each font once, the roster's order, a bookmark a card.

Takes over the objects of each card's file as they passed its gates: the operators of every page are the same bytes.
Only numbers of objects change, and what holds the parts together is written anew: page tree, structure tree, parent
tree, bookmarks. Nothing is kept of a card but a few numbers, so that memory stays flat however many there are.

Reads only files of ``pdf_file``; anything else in them is a fault of ours. References: ISO 32000-1, 7.7.3 (page tree),
7.9.7 (number trees), 12.3.3 (bookmarks), 14.7 (structure).
"""

from __future__ import annotations

import hashlib
import re
from array import array
from collections.abc import Callable
from dataclasses import dataclass
from typing import BinaryIO, Final

from fillcards.output.pdf_file import LONG_EDGE, PdfFile, Sink, write_reference, write_text_string
from fillcards.output.pdf_parts import CardParts, read_card_parts, renumber
from fillcards.problems import InternalFault

CARDS_A_GROUP: Final = 200
"""Cards under one node of the page tree and of the parent tree, so that no node is long."""


@dataclass(slots=True)
class _Bookmark:
    """One card's bookmark, written once the next one's number is known. ``below`` are the entries for its own."""

    number: int
    title: str
    destination: str
    below: str
    previous: int | None


@dataclass(slots=True)
class _Group:
    """Some cards under one node of each tree, written when the next group begins."""

    pages_number: int
    parents_number: int
    first_page: int
    pages: list[int]
    parents: list[int]


class PrintRun:
    """One PDF that grows card by card.

    Args:
        out: gets the file.
        table: an empty file of the writer's own, for the table of places.
        language: BCP 47 tag of every card.
    """

    def __init__(self, out: Sink, table: BinaryIO, language: str) -> None:
        self._file = PdfFile(out, table)
        self._language, self._edge = language, LONG_EDGE
        self._shared: dict[bytes, int] = {}
        self._pages = 0
        self._sections = array("L")
        self._groups: list[_Group] = []
        self._first_bookmark: int | None = None
        self._bookmark: _Bookmark | None = None
        self._pages_root, self._tree, self._document, self._parents_root, self._outlines = (
            self._file.reserve() for _ in range(5)
        )
        self._group = self._begin_group()

    @property
    def cards(self) -> int:
        """How many cards it has so far."""
        return len(self._sections)

    def add_card(self, pdf: bytes, title: str) -> None:
        """Take over a card.

        Args:
            pdf: its whole file, as ``output.pdf`` wrote it.
            title: of its bookmark.

        Raises:
            InternalFault: the file is not as we write it.
            OutputError: the run grows beyond what PDF can hold.
        """
        if len(self._group.pages) == CARDS_A_GROUP:
            self._end_group()
            self._group = self._begin_group()
        parts = read_card_parts(pdf)
        # All cards of a run are made with the same options.
        self._edge = parts.edge
        numbers = self._take_shared(parts)
        bookmark = self._file.reserve()
        own = [number for number in parts.bodies if number not in numbers and number not in parts.replaced]
        numbers |= {number: self._file.reserve() for number in own}
        pages_node, parents_node = self._file.reserve(), self._file.reserve()
        numbers |= {parts.pages_root: pages_node, parts.tree: self._document}
        if parts.outlines is not None:
            numbers[parts.outlines] = bookmark
        rename = self._write_own(parts, own, numbers, title)
        kids = " ".join(write_reference(numbers[page]) for page in parts.pages)
        parent = write_reference(self._group.pages_number)
        self._file.put(pages_node, f"<</Type/Pages/Parent {parent}/Count {len(parts.pages)}/Kids[{kids}]>>")
        self._file.put(parents_node, self._write_parents(parts, rename))
        self._add_bookmark(_Bookmark(bookmark, title, *self._find_target(parts, rename), previous=None))
        self._sections.append(numbers[parts.document])
        self._group.pages.append(pages_node)
        self._group.parents.append(parents_node)
        self._pages += len(parts.pages)
        self._file.pack()
        self._file.require_room()

    def finish(self, title: str) -> None:
        """Write what holds the cards together. The file is then complete.

        Args:
            title: of the file.

        Raises:
            InternalFault: there is no card in it.
        """
        if not self._sections:
            raise InternalFault("a print run without cards")
        self._end_group()
        self._write_bookmark(following=None)
        self._write_trees()
        outlines, pages, tree = map(write_reference, (self._outlines, self._pages_root, self._tree))
        entries = f"/Outlines {outlines}/PageMode/UseOutlines/Pages {pages}/StructTreeRoot {tree}"
        self._file.finish(title, self._language, entries, self._edge)

    def _take_shared(self, parts: CardParts) -> dict[int, int]:
        """The numbers of the fonts and of what names them; each is written the first time it is met."""
        numbers: dict[int, int] = {}
        for number in parts.shared:
            body = renumber(parts.bodies[number], lambda old: numbers[old])
            digest = hashlib.sha256(body).digest()
            if digest not in self._shared:
                self._shared[digest] = self._file.reserve()
                self._file.put_bytes(self._shared[digest], body)
            numbers[number] = self._shared[digest]
        return numbers

    def _write_own(self, parts: CardParts, own: list[int], numbers: dict[int, int], title: str) -> Callable[[int], int]:
        def rename(old: int) -> int:
            try:
                return numbers[old]
            except KeyError:
                raise InternalFault(f"object {old} of a card leads out of what a print run takes over") from None

        first = self._pages
        for number in own:
            body = renumber(parts.bodies[number], rename)
            if number in parts.pages:
                body = re.sub(rb"/StructParents (\d+)", lambda m: b"/StructParents %d" % (int(m[1]) + first), body)
            elif number == parts.document:
                # Below the one document of the run each card is a section (ISO 32000-1, table 333).
                section = f"/S/Sect/T{write_text_string(title)}".encode("ascii")
                body = body.replace(b"/S/Document", section, 1)
            self._file.put_bytes(numbers[number], body)
        return rename

    def _write_parents(self, parts: CardParts, rename: Callable[[int], int]) -> str:
        first = self._pages
        body = renumber(parts.bodies[parts.parents], rename).decode("ascii")
        nums = body.partition("/Nums")[2].removesuffix(">>")
        rows = re.sub(r"(\d+)\[", lambda match: f"{int(match[1]) + first}[", nums)
        return f"<</Limits[{first} {first + len(parts.pages) - 1}]/Nums{rows}>>"

    def _find_target(self, parts: CardParts, rename: Callable[[int], int]) -> tuple[str, str]:
        first_page = write_reference(rename(parts.pages[0]))
        below = ""
        if parts.outlines is not None:
            # The card's own are folded away (ISO 32000-1, table 153).
            marks = renumber(parts.bodies[parts.outlines], rename).decode("ascii")
            below = marks.removeprefix("<</Type/Outlines").removesuffix(">>").replace("/Count ", "/Count -")
        return f"[{first_page}/XYZ 0 {parts.first_height_pt} 0]", below

    def _add_bookmark(self, bookmark: _Bookmark) -> None:
        if self._bookmark is None:
            self._first_bookmark = bookmark.number
        else:
            bookmark.previous = self._bookmark.number
            self._write_bookmark(following=bookmark.number)
        self._bookmark = bookmark

    def _write_bookmark(self, following: int | None) -> None:
        mark = self._bookmark
        if mark is None:
            return
        entries = [f"/Title {write_text_string(mark.title)}/Parent {write_reference(self._outlines)}"]
        entries.append(f"/Dest{mark.destination}{mark.below}")
        entries += [f"/Prev {write_reference(mark.previous)}"] if mark.previous is not None else []
        entries += [f"/Next {write_reference(following)}"] if following is not None else []
        self._file.put(mark.number, f"<<{''.join(entries)}>>")

    def _begin_group(self) -> _Group:
        return _Group(self._file.reserve(), self._file.reserve(), self._pages, [], [])

    def _end_group(self) -> None:
        group = self._group
        count = self._pages - group.first_page
        parent = write_reference(self._pages_root)
        self._file.put(group.pages_number, f"<</Type/Pages/Parent {parent}/Count {count}/Kids[{_join(group.pages)}]>>")
        limits = f"{group.first_page} {self._pages - 1}"
        self._file.put(group.parents_number, f"<</Limits[{limits}]/Kids[{_join(group.parents)}]>>")
        self._groups.append(group)
        # Its nodes know their cards now.
        group.pages, group.parents = [], []

    def _write_trees(self) -> None:
        pages_nodes = _join([group.pages_number for group in self._groups])
        self._file.put(self._pages_root, f"<</Type/Pages/Count {self._pages}/Kids[{pages_nodes}]>>")
        self._file.put(self._parents_root, f"<</Kids[{_join([group.parents_number for group in self._groups])}]>>")
        tree, document = write_reference(self._tree), write_reference(self._document)
        self._file.put(self._document, f"<</Type/StructElem/S/Document/P {tree}/K[{_join(self._sections)}]>>")
        parents = write_reference(self._parents_root)
        self._file.put(
            self._tree,
            f"<</Type/StructTreeRoot/K {document}/ParentTree {parents}/ParentTreeNextKey {self._pages}>>",
        )
        if self._first_bookmark is not None and self._bookmark is not None:
            first, last = write_reference(self._first_bookmark), write_reference(self._bookmark.number)
            self._file.put(self._outlines, f"<</Type/Outlines/First {first}/Last {last}/Count {len(self._sections)}>>")


def _join(numbers: list[int] | array[int]) -> str:
    return " ".join(write_reference(number) for number in numbers)
