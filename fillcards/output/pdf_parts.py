"""A card's own PDF taken apart into its objects, for a print run. Reads what ``pdf_file`` writes and nothing else.

References: ISO 32000-1, 7.5.4 (table of places), 7.3.4.2 (literal strings), 7.3.10 (indirect objects).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from fillcards.problems import InternalFault

# A reference counts only outside literal strings; ours hold no bare parentheses.
_REFERENCE: Final = re.compile(rb"\((?:[^()\\]|\\.)*\)|\b(\d+) 0 R\b", re.DOTALL)
_STREAM: Final = b">>\nstream\n"


@dataclass(frozen=True, slots=True)
class CardParts:
    """The objects of one card by their numbers in its file.

    Attributes:
        bodies: what stands between ``obj`` and ``endobj``.
        pages: in order.
        shared: fonts and the resources that name them, each after what it leads to.
        replaced: what a print run writes anew.
        first_height_pt: of the first page, as its file writes it.
        pages_root, tree, document, parents, outlines: page tree, structure tree, its one element, parent tree and
            bookmarks.
        first_bookmark, last_bookmark: of the card's own; ``None`` where it has none.
        bookmarks: how many of them show.
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
    outlines: int
    first_bookmark: int | None
    last_bookmark: int | None
    bookmarks: int


def read_card_parts(pdf: bytes) -> CardParts:
    """Take a card's file apart.

    Raises:
        InternalFault: it is not as we write it.
    """
    bodies, trailer = _read_objects(pdf)
    catalog_number, info = _find_number(trailer, b"Root"), _find_number(trailer, b"Info")
    catalog = bodies[catalog_number]
    names = (b"Pages", b"StructTreeRoot", b"Metadata", b"Outlines")
    pages_root, tree, metadata, outlines = (_find_number(catalog, name) for name in names)
    document, parents = (_find_number(bodies[tree], name) for name in (b"K", b"ParentTree"))
    pages = tuple(_list_references(_find_array(bodies[pages_root], b"Kids")))
    resources = dict.fromkeys(_find_number(bodies[page], b"Resources") for page in pages)
    shared = dict.fromkeys(each for number in resources for each in _walk_down(number, bodies))
    marks = bodies[outlines]
    has_marks = b"/First" in marks
    empty = [number for number, body in bodies.items() if body.startswith(b"<<") and body[2:].strip() == b">>"]
    return CardParts(
        bodies=bodies,
        pages=pages,
        first_height_pt=_find(rb"/MediaBox\[0 0 [\d.]+ ([\d.]+)\]", bodies[pages[0]]).decode("ascii"),
        shared=tuple(shared),
        replaced=frozenset((catalog_number, info, pages_root, tree, metadata, outlines, parents, *empty)),
        pages_root=pages_root,
        tree=tree,
        document=document,
        parents=parents,
        outlines=outlines,
        first_bookmark=_find_number(marks, b"First") if has_marks else None,
        last_bookmark=_find_number(marks, b"Last") if has_marks else None,
        bookmarks=int(_find(rb"/Count (\d+)", marks)) if has_marks else 0,
    )


def renumber(body: bytes, rename: Callable[[int], int]) -> bytes:
    """The same object with every reference under its new number; a stream's content is left as it is."""
    head, separator, content = body.partition(_STREAM)

    def replace(match: re.Match[bytes]) -> bytes:
        return match[0] if match[1] is None else b"%d 0 R" % rename(int(match[1]))

    return _REFERENCE.sub(replace, head) + separator + content


def _read_objects(pdf: bytes) -> tuple[dict[int, bytes], bytes]:
    """Each object's body by its number, and the trailer."""
    tail = pdf[-64:]
    start = int(_find(rb"startxref\s+(\d+)\s+%%EOF\s*\Z", tail))
    table, _, trailer = pdf[start:].partition(b"trailer")
    offsets = [int(offset) for offset in re.findall(rb"(\d{10}) \d{5} n", table)]
    edges = [*offsets, start]
    if sorted(edges) != edges:
        raise InternalFault("the objects of a card do not stand in their order")
    bodies: dict[int, bytes] = {}
    for number, (begin, end) in enumerate(pairwise(edges), start=1):
        head, middle, foot = b"%d 0 obj\n" % number, pdf[begin:end], b"endobj\n"
        if not (middle.startswith(head) and middle.endswith(foot)):
            raise InternalFault(f"object {number} of a card is not where its table says")
        bodies[number] = middle[len(head) : -len(foot)].rstrip(b"\n")
    return bodies, trailer


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
    return _find(rb"/%b\s*\[([^\]]*)\]" % name, body)


def _find(pattern: bytes, body: bytes) -> bytes:
    match = re.search(pattern, body)
    if match is None:
        raise InternalFault("a card's file is not as this program writes it")
    return match[1]
