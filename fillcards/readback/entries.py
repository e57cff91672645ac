"""Entries of a file's dictionaries that pdfium tells nothing of, although they change what a page measures or shows.

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
    "UserUnit": "its pages have a unit of their own",
    "JavaScript": "it holds a program",
    "OCProperties": "it has layers that may be hidden",
}
_STREAM: Final = re.compile(rb"stream\r?\n")
_UNKNOWN: Final = "its dictionaries are packed in a way that cannot be read"


def _write_pattern(name: str) -> bytes:
    letters = (f"(?:{letter}|#{ord(letter):02x}|#{ord(letter):02X})" for letter in name)
    return f"/(?P<{name}>{''.join(letters)})".encode()


_NAMES: Final = re.compile(b"|".join(map(_write_pattern, _REASONS)))
_PACK: Final = re.compile(_write_pattern("ObjStm"))


def require_plain_entries(data: bytes) -> None:
    """Refuse a file whose dictionaries name what no card has.

    Args:
        data: a whole PDF file.

    Raises:
        UnreadableCard: it names such a thing, or its dictionaries cannot be unpacked.
    """
    for part in (data, *_unpack(data)):
        if found := _NAMES.search(part):
            raise UnreadableCard(_REASONS[str(found.lastgroup)])


def _unpack(data: bytes) -> Iterator[bytes]:
    """The contents of every object stream that is packed; what is not packed stands in the file as it is."""
    for pack in _PACK.finditer(data):
        start = _STREAM.search(data, pack.end())
        if start is None:
            continue
        dictionary = data[data.rfind(b"obj", 0, pack.start()) : start.start()]
        if b"/Filter" not in dictionary:
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
