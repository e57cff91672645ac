"""Many finished cards as one PDF for one print run: each font once, the roster's order, a bookmark a card.

Takes over the objects of each card's file as they passed its gates: the operators of every page are the same bytes.
Only numbers of objects change, and what holds the parts together is written anew: page tree, structure tree, parent
tree, bookmarks. Nothing is kept of a card but a few numbers, so that memory stays flat however many there are.

Reads only files of ``pdf_file``; anything else in them is a fault of ours. References: ISO 32000-1, 7.3.4.2 (literal
strings), 7.3.10 (indirect objects), 7.5.7 (object streams), 7.7.3 (page tree), 7.9.7 (number trees), 12.3.3
(bookmarks), 14.7 (structure).
"""

from __future__ import annotations

import hashlib
import re
import zlib
from array import array
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import BinaryIO, Final, NamedTuple

from fillcards.output.pdf_file import HEADER, LONG_EDGE, PdfFile, Sink, write_reference, write_text_string
from fillcards.problems import InternalFault

CARDS_A_GROUP: Final = 200
"""Cards under one node of the page tree and of the parent tree, so that no node is long."""

_OBJECT: Final = re.compile(rb"(\d+) 0 obj\n(<<[^\n]*/Length (\d+)[^\n]*>>\nstream\n)")
_END: Final = b"\nendstream"
# A reference counts only outside literal strings; ours hold no bare parentheses.
_REFERENCE: Final = re.compile(rb"\((?:[^()\\]|\\.)*\)|\b(\d+) 0 R\b", re.DOTALL)
_STREAM: Final = b">>\nstream\n"


class CardParts(NamedTuple):
    """The objects of one card by their numbers in its file.

    Attributes:
        bodies: each object as it stands.
        pages: in order.
        sizes_pt: width and height of each page, as its file writes them.
        shared: fonts and the resources that name them, each after what it leads to.
        replaced: what a print run writes anew.
        pages_root, tree, document, parents: page tree, structure tree, its one element and parent tree.
        outlines: of the card's own bookmarks; ``None`` where it has none.
        last_section: index of the page on which the last section begins.
        edge: along which its paper is turned over.
    """

    bodies: dict[int, bytes]
    pages: tuple[int, ...]
    sizes_pt: tuple[tuple[str, str], ...]
    shared: tuple[int, ...]
    replaced: frozenset[int]
    pages_root: int
    tree: int
    document: int
    parents: int
    outlines: int | None
    last_section: int
    edge: str


def read_card_parts(pdf: bytes) -> CardParts:
    """Take a card's file apart.

    Raises:
        InternalFault: it is not as we write it.
    """
    bodies, trailer = _read_objects(pdf)
    catalog_number, info = _find_number(trailer, b"Root"), _find_number(trailer, b"Info")
    catalog = bodies[catalog_number]
    pages_root, tree, metadata = (_find_number(catalog, name) for name in (b"Pages", b"StructTreeRoot", b"Metadata"))
    document, parents = (_find_number(bodies[tree], name) for name in (b"K", b"ParentTree"))
    pages = tuple(_list_references(_find(rb"/Kids\[([^\]]*)\]", bodies[pages_root])))
    outlines, last_section = None, 0
    if b"/Outlines" in catalog:
        outlines = _find_number(catalog, b"Outlines")
        last_bookmark = bodies[_find_number(bodies[outlines], b"Last")]
        last_section = pages.index(int(_find(rb"/Dest\[(\d+) 0 R", last_bookmark)))
    boxes = [_find(rb"/MediaBox\[0 0 ([\d.]+ [\d.]+)\]", bodies[page]).decode("ascii") for page in pages]
    resources = dict.fromkeys(_find_number(bodies[page], b"Resources") for page in pages)
    return CardParts(
        bodies=bodies,
        pages=pages,
        sizes_pt=tuple((width, height) for width, height in map(str.split, boxes)),
        shared=tuple(dict.fromkeys(each for number in resources for each in _walk_down(number, bodies))),
        replaced=frozenset((catalog_number, info, pages_root, tree, metadata, parents, outlines or 0)),
        pages_root=pages_root,
        tree=tree,
        document=document,
        parents=parents,
        outlines=outlines,
        last_section=last_section,
        edge=_find(rb"/Duplex/DuplexFlip(\w+)Edge", catalog).decode("ascii"),
    )


def renumber(body: bytes, rename: Callable[[int], int]) -> bytes:
    """The same object with every reference under its new number; a stream's content is left as it is."""
    head, separator, content = body.partition(_STREAM)

    def replace(match: re.Match[bytes]) -> bytes:
        return match[0] if match[1] is None else b"%d 0 R" % rename(int(match[1]))

    return _REFERENCE.sub(replace, head) + separator + content


def _read_objects(pdf: bytes) -> tuple[dict[int, bytes], bytes]:
    """Each object's body by its number, and the dictionary of the table of places, which is the last in the file.

    All that stands on its own is a stream; other objects share compressed ones.
    """
    bodies: dict[int, bytes] = {}
    start, place, head = 0, len(HEADER), b""
    while found := _OBJECT.match(pdf, place):
        start, head, content = place, found[2], pdf[found.end() : found.end() + int(found[3])]
        if b"/Type/ObjStm" in head:
            bodies |= _unpack(head, content)
        elif b"/Type/XRef" not in head:
            bodies[int(found[1])] = head + content + _END
        place = found.end() + len(content) + len(_END + b"\nendobj\n")
        if not pdf.endswith(_END + b"\nendobj\n", found.end() + len(content), place):
            break
    foot = b"startxref\n%d\n%%%%EOF\n" % start
    if not pdf.startswith(HEADER) or b"/Type/XRef" not in head or pdf[place:] != foot:
        raise InternalFault("a card's file is not as this program writes it")
    return dict(sorted(bodies.items())), head


def _unpack(head: bytes, deflated: bytes) -> Iterator[tuple[int, bytes]]:
    """The objects of an object stream, each under its number."""
    first = int(_find(rb"/First (\d+)", head))
    try:
        content = zlib.decompress(deflated)
    except zlib.error:
        raise InternalFault("a card's file is not as this program writes it") from None
    numbers = [int(number) for number in content[:first].split()]
    places = [first + offset for offset in numbers[1::2]]
    for number, (begin, end) in zip(numbers[::2], pairwise([*places, len(content) + 1]), strict=True):
        yield number, content[begin : end - 1]


def _walk_down(number: int, bodies: dict[int, bytes]) -> Iterator[int]:
    for below in _list_references(bodies[number].partition(_STREAM)[0]):
        yield from _walk_down(below, bodies)
    yield number


def _list_references(body: bytes) -> Iterator[int]:
    return (int(match[1]) for match in _REFERENCE.finditer(body) if match[1] is not None)


def _find_number(body: bytes, name: bytes) -> int:
    return int(_find(rb"/%b (\d+) 0 R" % name, body))


def _find(pattern: bytes, body: bytes) -> bytes:
    match = re.search(pattern, body)
    if match is None:
        raise InternalFault("a card's file is not as this program writes it")
    return match[1]


@dataclass(slots=True)
class _Group:
    """Some cards under one node of each tree, written when the next group begins."""

    pages_number: int
    parents_number: int
    first_page: int
    pages: list[int] = field(default_factory=list)
    parents: list[int] = field(default_factory=list)


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
        self._first_bookmark = 0
        # The last one's number and entries: it is written once the next one's number is known.
        self._bookmark: tuple[int, str] | None = None
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
            KeyError: likewise, it leads out of what a run takes over.
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
        rename = numbers.__getitem__
        self._write_own(parts, own, rename, title)
        parent = write_reference(self._group.pages_number)
        kids = _join(map(rename, parts.pages))
        self._file.put(pages_node, f"<</Type/Pages/Parent {parent}/Count {len(parts.pages)}/Kids[{kids}]>>")
        self._file.put(parents_node, self._write_parents(parts, rename))
        self._add_bookmark(bookmark, title, parts, rename)
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
        if self._bookmark is None:
            raise InternalFault("a print run without cards")
        self._end_group()
        last, entries = self._bookmark
        self._file.put(last, f"<<{entries}>>")
        self._write_trees(last)
        outlines, pages, tree = map(write_reference, (self._outlines, self._pages_root, self._tree))
        entries = f"/Outlines {outlines}/PageMode/UseOutlines/Pages {pages}/StructTreeRoot {tree}"
        self._file.finish(title, self._language, entries, self._edge)

    def _take_shared(self, parts: CardParts) -> dict[int, int]:
        """The numbers of the fonts and of what names them; each is written the first time it is met."""
        numbers: dict[int, int] = {}
        for number in parts.shared:
            body = renumber(parts.bodies[number], numbers.__getitem__)
            digest = hashlib.sha256(body).digest()
            if digest not in self._shared:
                self._shared[digest] = self._file.reserve()
                self._file.put(self._shared[digest], body)
            numbers[number] = self._shared[digest]
        return numbers

    def _write_own(self, parts: CardParts, own: list[int], rename: Callable[[int], int], title: str) -> None:
        first = self._pages
        for number in own:
            body = renumber(parts.bodies[number], rename)
            if number in parts.pages:
                body = re.sub(rb"/StructParents (\d+)", lambda m: b"/StructParents %d" % (int(m[1]) + first), body)
            elif number == parts.document:
                # Below the one document of the run each card is a section (ISO 32000-1, table 333).
                section = f"/S/Sect/T{write_text_string(title)}".encode("ascii")
                body = body.replace(b"/S/Document", section, 1)
            self._file.put(rename(number), body)

    def _write_parents(self, parts: CardParts, rename: Callable[[int], int]) -> str:
        first = self._pages
        body = renumber(parts.bodies[parts.parents], rename).decode("ascii")
        nums = body.partition("/Nums")[2].removesuffix(">>")
        rows = re.sub(r"(\d+)\[", lambda match: f"{int(match[1]) + first}[", nums)
        return f"<</Limits[{first} {first + len(parts.pages) - 1}]/Nums{rows}>>"

    def _add_bookmark(self, number: int, title: str, parts: CardParts, rename: Callable[[int], int]) -> None:
        place = f"{write_reference(rename(parts.pages[0]))}/XYZ 0 {parts.sizes_pt[0][1]} 0"
        entries = f"/Title {write_text_string(title)}/Parent {write_reference(self._outlines)}/Dest[{place}]"
        if parts.outlines is not None:
            # The card's own are folded away (ISO 32000-1, table 153).
            marks = renumber(parts.bodies[parts.outlines], rename).decode("ascii")
            entries += marks.removeprefix("<</Type/Outlines").removesuffix(">>").replace("/Count ", "/Count -")
        if self._bookmark is None:
            self._first_bookmark = number
        else:
            previous, previous_entries = self._bookmark
            self._file.put(previous, f"<<{previous_entries}/Next {write_reference(number)}>>")
            entries += f"/Prev {write_reference(previous)}"
        self._bookmark = number, entries

    def _begin_group(self) -> _Group:
        return _Group(self._file.reserve(), self._file.reserve(), self._pages)

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

    def _write_trees(self, last_bookmark: int) -> None:
        pages_nodes = _join(group.pages_number for group in self._groups)
        self._file.put(self._pages_root, f"<</Type/Pages/Count {self._pages}/Kids[{pages_nodes}]>>")
        self._file.put(self._parents_root, f"<</Kids[{_join(group.parents_number for group in self._groups)}]>>")
        tree, document = write_reference(self._tree), write_reference(self._document)
        self._file.put(self._document, f"<</Type/StructElem/S/Document/P {tree}/K[{_join(self._sections)}]>>")
        parents = write_reference(self._parents_root)
        self._file.put(
            self._tree,
            f"<</Type/StructTreeRoot/K {document}/ParentTree {parents}/ParentTreeNextKey {self._pages}>>",
        )
        first, last = write_reference(self._first_bookmark), write_reference(last_bookmark)
        self._file.put(self._outlines, f"<</Type/Outlines/First {first}/Last {last}/Count {self.cards}>>")


def _join(numbers: Iterable[int]) -> str:
    return " ".join(map(write_reference, numbers))
