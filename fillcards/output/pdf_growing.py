"""A PDF too long for memory, written object by object: each is on its way to the disk when the next one comes.

The table of places grows in a file of its own. Small objects can share one compressed stream, which nearly halves a
file of tagged pages. Knows nothing of pages, fonts or cards. References: ISO 32000-1, 7.5.7 (object streams), 7.5.8
(table of places as a stream).
"""

from __future__ import annotations

import zlib
from typing import BinaryIO, Final, Protocol

from fillcards.output.pdf_file import write_reference
from fillcards.problems import OutputError

MOST_OBJECTS: Final = 8_388_607
"""What readers of PDF must be able to take (ISO 32000-1, table C.1)."""
LARGEST_BYTES: Final = 10**10 - 1
"""What ten digits can place, for which readers are built (ISO 32000-1, 7.5.4)."""

_PLACE_BYTES: Final = 5
_INDEX_BYTES: Final = 2
_ENTRY_BYTES: Final = 1 + _PLACE_BYTES + _INDEX_BYTES
_IS_FREE: Final = b"\x00"
_STANDS_ALONE: Final = b"\x01"
_STANDS_IN_STREAM: Final = b"\x02"


class Sink(Protocol):
    """Where the file goes."""

    def write(self, data: bytes) -> object:
        """Append."""
        ...

    @property
    def size_bytes(self) -> int:
        """How much was written."""
        ...


class GrowingPdf:
    """Objects under numbers that are given out in turn.

    Args:
        out: gets the file.
        table: an empty file, open for reading and writing; gets the places.
    """

    def __init__(self, out: Sink, table: BinaryIO) -> None:
        self._out = out
        self._table = table
        self._next_number = 1
        self._last_noted = -1
        # The second line tells programs that move files that this one is not text (ISO 32000-1, 7.5.2).
        self._out.write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")

    def reserve(self) -> int:
        """The number of an object whose content comes later; it must come."""
        number = self._next_number
        self._next_number += 1
        return number

    def put(self, number: int, body: str) -> None:
        """Give a reserved object its content, ASCII only."""
        self.put_bytes(number, body.encode("ascii"))

    def put_bytes(self, number: int, body: bytes) -> None:
        """The same for content that is bytes, such as a stream's."""
        self._note_place(number, _STANDS_ALONE, self._out.size_bytes, 0)
        self._out.write(b"%d 0 obj\n%b\nendobj\n" % (number, body))

    def add(self, body: str) -> int:
        """A new object; returns its number."""
        number = self.reserve()
        self.put(number, body)
        return number

    def add_stream(self, content: bytes, entries: str = "") -> int:
        """A new stream object as it stands, with further dictionary entries; returns its number."""
        number = self.reserve()
        head = f"<</Length {len(content)}{entries}>>\nstream\n".encode("ascii")
        self.put_bytes(number, head + content + b"\nendstream")
        return number

    def put_together(self, objects: list[tuple[int, bytes]]) -> None:
        """Give several reserved objects, none of them a stream, their content in one compressed stream."""
        places: list[str] = []
        offset = 0
        for number, body in objects:
            places.append(f"{number} {offset}")
            offset += len(body) + 1
        head = (" ".join(places) + "\n").encode("ascii")
        content = zlib.compress(head + b"\n".join(body for _, body in objects))
        entries = f"/Type/ObjStm/N {len(objects)}/First {len(head)}/Filter/FlateDecode"
        stream_number = self.add_stream(content, entries)
        for index, (number, _) in enumerate(objects):
            self._note_place(number, _STANDS_IN_STREAM, stream_number, index)

    def require_room(self) -> None:
        """Stop before the file is larger than readers can take.

        Raises:
            OutputError: it is.
        """
        if self._next_number > MOST_OBJECTS or self._out.size_bytes > LARGEST_BYTES:
            raise OutputError("the print run grows larger than one PDF can be; divide the roster. The cards are made")

    def finish(self, catalog: int, info: int, identifier: str) -> None:
        """Write the table of places; the file is then complete.

        Args:
            catalog: number of the document's root.
            info: number of the document's information.
            identifier: in hexadecimal digits.
        """
        number = self.reserve()
        start = self._out.size_bytes
        self._note_place(number, _STANDS_ALONE, start, 0)
        self._note_place(0, _IS_FREE, 0, 0xFFFF)
        self._out.write(
            (
                f"{number} 0 obj\n<</Type/XRef/Size {self._next_number}/W[1 {_PLACE_BYTES} {_INDEX_BYTES}]"
                f"/Root {write_reference(catalog)}/Info {write_reference(info)}/ID[<{identifier}><{identifier}>]"
                f"/Length {self._next_number * _ENTRY_BYTES}>>\nstream\n"
            ).encode("ascii")
        )
        self._table.seek(0)
        while piece := self._table.read(_ENTRY_BYTES * 10_000):
            self._out.write(piece)
        self._out.write(f"\nendstream\nendobj\nstartxref\n{start}\n%%EOF\n".encode("ascii"))

    def _note_place(self, number: int, kind: bytes, place: int, index: int) -> None:
        entry = kind + place.to_bytes(_PLACE_BYTES) + index.to_bytes(_INDEX_BYTES)
        try:
            if number != self._last_noted + 1:
                self._table.seek(number * _ENTRY_BYTES)
            self._table.write(entry)
        except OSError as error:
            raise OutputError(f"the print run cannot be written: {error.strerror}") from None
        self._last_noted = number
