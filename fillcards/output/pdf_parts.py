"""A card's own PDF taken apart into its objects, for a print run. Reads what ``pdf_file`` writes and nothing else.

References: ISO 32000-1, 7.5.7 (object streams), 7.5.8 (table of places as a stream), 7.3.4.2 (literal strings), 7.3.10
(indirect objects).
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Final, NamedTuple

from fillcards.output.pdf_file import ENTRY_BYTES, HEADER, PLACE_BYTES, STANDS_ALONE, STANDS_IN_STREAM
from fillcards.problems import InternalFault

# A reference counts only outside literal strings; ours hold no bare parentheses.
_REFERENCE: Final = re.compile(rb"\((?:[^()\\]|\\.)*\)|\b(\d+) 0 R\b", re.DOTALL)
_STREAM: Final = b">>\nstream\n"
_FOOT_BYTES: Final = 64
"""More than stand after the table of places."""


class CardParts(NamedTuple):
    """The objects of one card by their numbers in its file.

    Attributes:
        bodies: each object as it stands.
        pages: in order.
        shared: fonts and the resources that name them, each after what it leads to.
        replaced: what a print run writes anew.
        first_height_pt: of the first page, as its file writes it.
        pages_root, tree, document, parents: page tree, structure tree, its one element and parent tree.
        outlines: of the card's own bookmarks; ``None`` where it has none.
        edge: along which its paper is turned over.
    """

    bodies: dict[int, bytes]
    pages: tuple[int, ...]
    first_height_pt: str
    shared: tuple[int, ...]
    replaced: frozenset[int]
    pages_root: int
    tree: int
    document: int
    parents: int
    outlines: int | None
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
    outlines = _find_number(catalog, b"Outlines") if b"/Outlines" in catalog else None
    document, parents = (_find_number(bodies[tree], name) for name in (b"K", b"ParentTree"))
    pages = tuple(_list_references(_find_array(bodies[pages_root], b"Kids")))
    resources = dict.fromkeys(_find_number(bodies[page], b"Resources") for page in pages)
    shared = dict.fromkeys(each for number in resources for each in _walk_down(number, bodies))
    return CardParts(
        bodies=bodies,
        pages=pages,
        first_height_pt=_find(rb"/MediaBox\[0 0 [\d.]+ ([\d.]+)\]", bodies[pages[0]]).decode("ascii"),
        shared=tuple(shared),
        replaced=frozenset((catalog_number, info, pages_root, tree, metadata, parents, outlines or 0)),
        pages_root=pages_root,
        tree=tree,
        document=document,
        parents=parents,
        outlines=outlines,
        edge=_find(rb"/Duplex/DuplexFlip(\w+)Edge", catalog).decode("ascii"),
    )


class CardSides(NamedTuple):
    """What a printer must know of a card's file.

    Attributes:
        sizes_pt: width and height of each side.
        last_section: index of the side on which the last section begins.
        edge: along which its paper is turned over.
    """

    sizes_pt: tuple[tuple[float, float], ...]
    last_section: int
    edge: str


def read_card_sides(pdf: bytes) -> CardSides:
    """The sides of a card's file.

    Raises:
        InternalFault: it is not as we write it.
    """
    parts = read_card_parts(pdf)
    boxes = [_find(rb"/MediaBox\[0 0 ([\d.]+ [\d.]+)\]", parts.bodies[page]).split() for page in parts.pages]
    last = 0
    if parts.outlines is not None:
        bookmark = parts.bodies[_find_number(parts.bodies[parts.outlines], b"Last")]
        last = parts.pages.index(int(_find(rb"/Dest\[(\d+) 0 R", bookmark)))
    return CardSides(tuple((float(width), float(height)) for width, height in boxes), last, parts.edge)


def renumber(body: bytes, rename: Callable[[int], int]) -> bytes:
    """The same object with every reference under its new number; a stream's content is left as it is."""
    head, separator, content = body.partition(_STREAM)

    def replace(match: re.Match[bytes]) -> bytes:
        return match[0] if match[1] is None else b"%d 0 R" % rename(int(match[1]))

    return _REFERENCE.sub(replace, head) + separator + content


def _read_objects(pdf: bytes) -> tuple[dict[int, bytes], bytes]:
    """Each object's body by its number, and the dictionary of the table of places."""
    start = int(_find(rb"\nstartxref\n(\d+)\n%%EOF\n\Z", pdf[-_FOOT_BYTES:]))
    foot = pdf.rindex(b"startxref\n")
    table_number = int(_find(rb"\A(\d+) 0 obj\n", pdf[start : start + _FOOT_BYTES]))
    table = _cut(pdf[start:foot], table_number)
    entries = _inflate(table)
    alone: list[tuple[int, int]] = []
    packed: dict[int, list[int]] = {}
    for number in range(1, len(entries) // ENTRY_BYTES):
        entry = entries[number * ENTRY_BYTES : (number + 1) * ENTRY_BYTES]
        place = int.from_bytes(entry[1 : 1 + PLACE_BYTES])
        if entry[0] == STANDS_ALONE:
            alone.append((place, number))
        elif entry[0] == STANDS_IN_STREAM:
            packed.setdefault(place, []).append(number)
        else:
            raise InternalFault(f"object {number} of a card is missing")
    edges = [*sorted(alone), (foot, 0)]
    bodies = {number: _cut(pdf[begin:end], number) for (begin, number), (end, _) in pairwise(edges)}
    if not pdf.startswith(HEADER) or edges[0][0] != len(HEADER) or bodies.pop(table_number, None) != table:
        raise InternalFault("the objects of a card do not fill its file")
    for stream, numbers in packed.items():
        found = dict(_unpack(bodies.pop(stream, b"")))
        if sorted(found) != numbers:
            raise InternalFault("the objects of a card are not those of its table")
        bodies |= found
    return dict(sorted(bodies.items())), table


def _cut(part: bytes, number: int) -> bytes:
    head, foot = b"%d 0 obj\n" % number, b"\nendobj\n"
    if not (part.startswith(head) and part.endswith(foot)):
        raise InternalFault(f"object {number} of a card is not where its table says")
    return part[len(head) : -len(foot)]


def _unpack(stream: bytes) -> Iterator[tuple[int, bytes]]:
    """The objects of an object stream, each under its number."""
    first = int(_find(rb"/Type/ObjStm/N \d+/First (\d+)", stream))
    content = _inflate(stream)
    numbers = [int(number) for number in content[:first].split()]
    places = [first + offset for offset in numbers[1::2]]
    for number, (begin, end) in zip(numbers[::2], pairwise([*places, len(content) + 1]), strict=True):
        yield number, content[begin : end - 1]


def _inflate(stream: bytes) -> bytes:
    try:
        return zlib.decompress(stream.partition(_STREAM)[2].removesuffix(b"\nendstream"))
    except zlib.error:
        raise InternalFault("a card's file is not as this program writes it") from None


def _walk_down(number: int, bodies: dict[int, bytes]) -> Iterator[int]:
    head = bodies[number].partition(_STREAM)[0]
    for below in _list_references(head):
        yield from _walk_down(below, bodies)
    yield number


def _list_references(body: bytes) -> Iterator[int]:
    return (int(match[1]) for match in _REFERENCE.finditer(body) if match[1] is not None)


def _find_number(body: bytes, name: bytes) -> int:
    return int(_find(rb"/%b (\d+) 0 R" % name, body))


def _find_array(body: bytes, name: bytes) -> bytes:
    return _find(rb"/%b\[([^\]]*)\]" % name, body)


def _find(pattern: bytes, body: bytes) -> bytes:
    match = re.search(pattern, body)
    if match is None:
        raise InternalFault("a card's file is not as this program writes it")
    return match[1]
