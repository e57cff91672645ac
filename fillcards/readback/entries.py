"""Entries of a file's dictionaries that pdfium tells nothing of, although they change what a page measures or shows, or
let the file do something else than lie there. A card is paper: it holds none of them.

Source of the names: ISO 32000-1, 12.6.4 (actions), 7.11 (files within the file), 13 (sound, film, three dimensions).

A program that saves a card anew may pack the dictionaries into object streams (ISO 32000-1, 7.5.7), and may write any
letter of a name as its number (7.3.5). Both are undone before a name is looked for.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from typing import Final

from fillcards.readback.model import UnreadableCard

MOST_UNPACKED_BYTES: Final = 16 * 1024 * 1024
_REASONS: Final = {
    "its pages have a unit of their own": "UserUnit",
    "it has layers that may be hidden": "OCProperties",
    "it holds a program": "JavaScript",
    "it starts another program": "Launch",
    "it leads to an address outside": "URI",
    "it opens another file": "GoToR GoToE",
    "it sends data away": "SubmitForm",
    "it takes data in": "ImportData",
    "it carries another file": "EmbeddedFile EmbeddedFiles Filespec FileAttachment Collection",
    "it is a form, whose contents can change": "AcroForm XFA Widget ResetForm",
    "it hides or shows something by itself": "Hide",
    "it acts on the program that shows it": "Named Thread",
    "it plays something": "Sound Movie Rendition RichMedia GoTo3DView",
}
_EXPANSION: Final = re.compile(rb"/E\s*(?:\(|<[^<])")
_IN_CONTENT: Final = re.compile(rb"/(?:Alt|E)\s*[(<][^\n]*BDC")
_BODY: Final = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
_STREAM: Final = re.compile(rb"stream\r?\n")
_UNKNOWN: Final = "its dictionaries are packed in a way that cannot be read"


# A name ends before white space and before what begins something else (7.2.2).
_NAME: Final = re.compile(rb"/([^\x00\t\n\x0c\r ()<>\[\]{}/%]+)")
_NUMBERED: Final = re.compile(rb"#([0-9A-Fa-f]{2})")


def require_plain_entries(data: bytes) -> None:
    """Refuse a file whose dictionaries name what no card has.

    Args:
        data: a whole PDF file.

    Raises:
        UnreadableCard: it names such a thing, or its dictionaries cannot be unpacked.
    """
    names, unpacked = _list_names(data), list[bytes]()
    if b"ObjStm" in names:
        unpacked = list(_unpack(data))
        names = names.union(*map(_list_names, unpacked))
    if found := [why for why, names_ in _REASONS.items() if names & set(names_.encode("ascii").split())]:
        raise UnreadableCard(", and ".join(found))
    is_told = any(map(_EXPANSION.search, (_BODY.sub(b"", data), *unpacked)))
    if is_told or any(_IN_CONTENT.search(_inflate(body[1])) for body in _BODY.finditer(data)):
        raise UnreadableCard("it tells a screen reader something else than it shows")


def _inflate(stream: bytes) -> bytes:
    """A stream's content, as far as it is packed as usual and no larger than any card's."""
    try:
        return zlib.decompressobj().decompress(stream, MOST_UNPACKED_BYTES)
    except zlib.error:
        return stream


def _list_names(part: bytes) -> set[bytes]:
    return set(map(_read_name, set(_NAME.findall(part))))


def _read_name(name: bytes) -> bytes:
    return _NUMBERED.sub(lambda match: bytes.fromhex(match[1].decode("ascii")), name) if b"#" in name else name


def _unpack(data: bytes) -> Iterator[bytes]:
    """The contents of every object stream that is packed; what is not packed stands in the file as it is."""
    for pack in _NAME.finditer(data):
        if _read_name(pack[1]) != b"ObjStm":
            continue
        start = _STREAM.search(data, pack.end())
        if start is None:
            continue
        dictionary = data[data.rfind(b"obj", 0, pack.start()) : start.start()]
        if b"Filter" not in _list_names(dictionary):
            continue
        unpacker = zlib.decompressobj()
        try:
            contents = unpacker.decompress(data[start.end() :], MOST_UNPACKED_BYTES)
        except zlib.error:
            raise UnreadableCard(_UNKNOWN) from None
        # It begins with the number of an object, unless it is packed twice, or in rows of a picture.
        if not contents[:20].lstrip()[:1].isdigit() or unpacker.unconsumed_tail:
            raise UnreadableCard(_UNKNOWN)
        yield contents
