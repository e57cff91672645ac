"""A PDF file as numbered objects, written one by one: each is on its way out when the next one comes.

A single card goes to memory, a print run too long for it to the disk; its table of places grows in a file of its own.
Objects that are no streams share one compressed stream, which nearly halves a file of tagged pages. Knows nothing of
cards, pages or fonts. References: ISO 32000-1 (PDF 1.7), 7.5.7 (object streams) and 7.5.8 (table of places as a
stream); ISO 14289-1 (PDF/UA-1).
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Iterator
from typing import BinaryIO, Final, Protocol

from fillcards.problems import OutputError

MADE_BY: Final = "Fillcards"

HEADER: Final = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
"""PDF/UA-1 is defined on PDF 1.7 (ISO 14289-1, 5). The second line tells programs that move files that this one is not
text (ISO 32000-1, 7.5.2)."""

VIEWER_PREFERENCES: Final = "<</DisplayDocTitle true/Duplex/DuplexFlip{edge}Edge/PrintScaling/None>>"
"""The title in the window bar (ISO 14289-1, 7.1); both sides, turned over along an edge, and actual size as the print
dialogue's first offer (ISO 32000-1, table 150)."""
LONG_EDGE: Final = "Long"
SHORT_EDGE: Final = "Short"

MOST_OBJECTS: Final = 8_388_607
"""What readers of PDF must be able to take (ISO 32000-1, table C.1)."""
LARGEST_BYTES: Final = 10**10 - 1
"""What ten digits can place, for which readers are built (ISO 32000-1, 7.5.4)."""

PLACE_BYTES: Final = 5
INDEX_BYTES: Final = 2
ENTRY_BYTES: Final = 1 + PLACE_BYTES + INDEX_BYTES
IS_FREE: Final = 0
STANDS_ALONE: Final = 1
STANDS_IN_STREAM: Final = 2
"""Entries of the table of places (ISO 32000-1, table 18): the kind; where the object begins, or the number of the
stream it stands in; its index there."""


class Sink(Protocol):
    """Where the file goes."""

    def write(self, data: bytes, /) -> object:
        """Append."""
        ...


class PdfFile:
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
        self._size_bytes = 0
        self._digest = hashlib.sha256()
        self._waiting: list[tuple[int, bytes]] = []
        self._write(HEADER)

    def reserve(self) -> int:
        """The number of an object whose content comes later; it must come."""
        number = self._next_number
        self._next_number += 1
        return number

    def put(self, number: int, body: str | bytes) -> None:
        """Give a reserved object its content, which waits for ``pack``: words are ASCII only. A stream is written at
        once, on its own, as it must be.
        """
        data = body.encode("ascii") if isinstance(body, str) else body
        if data.endswith(b"endstream"):
            self._write_object(number, data)
        else:
            self._waiting.append((number, data))

    def add(self, body: str | bytes) -> int:
        """A new object; returns its number."""
        number = self.reserve()
        self.put(number, body)
        return number

    def add_stream(self, content: bytes, entries: str = "") -> int:
        """A new stream object as it stands, with further dictionary entries; returns its number."""
        head = f"<</Length {len(content)}{entries}>>\nstream\n".encode("ascii")
        return self.add(head + content + b"\nendstream")

    def add_deflated(self, deflated: bytes, entries: str = "") -> int:
        """The same for content that is deflated already."""
        return self.add_stream(deflated, f"/Filter/FlateDecode{entries}")

    def pack(self) -> None:
        """Write the objects that wait, as one compressed stream."""
        if not self._waiting:
            return
        places: list[str] = []
        offset = 0
        for number, body in self._waiting:
            places.append(f"{number} {offset}")
            offset += len(body) + 1
        head = (" ".join(places) + "\n").encode("ascii")
        content = zlib.compress(head + b"\n".join(body for _, body in self._waiting))
        stream = self.add_deflated(content, f"/Type/ObjStm/N {len(places)}/First {len(head)}")
        for index, (number, _) in enumerate(self._waiting):
            self._note_place(number, STANDS_IN_STREAM, stream, index)
        self._waiting.clear()

    def require_room(self) -> None:
        """Stop before the file is larger than readers can take.

        Raises:
            OutputError: it is.
        """
        if self._next_number > MOST_OBJECTS or self._size_bytes > LARGEST_BYTES:
            raise OutputError("the print run grows larger than one PDF can be; divide the roster. The cards are made")

    def finish(self, title: str, language: str, entries: str, edge: str = LONG_EDGE) -> None:
        """Write the document's root and the table of places; the file is then complete.

        Args:
            title: shown in the window bar and read first aloud.
            language: BCP 47 tag of the whole text.
            entries: of the root, that name pages, structure tree and bookmarks.
            edge: along which the paper is turned over.
        """
        # Undeflated, so that simple programs find it (XMP specification part 3, 2.1.2.1).
        metadata = self.add_stream(write_metadata(title, language).encode("utf-8"), "/Type/Metadata/Subtype/XML")
        root = self.add(
            f"<</Type/Catalog/Lang {write_text_string(language)}/MarkInfo<</Marked true>>"
            f"/Metadata {write_reference(metadata)}/ViewerPreferences{VIEWER_PREFERENCES.format(edge=edge)}{entries}>>"
        )
        made_by = write_text_string(MADE_BY)
        info = self.add(f"<</Creator {made_by}/Producer {made_by}/Title {write_text_string(title)}>>")
        self.pack()
        number, start = self.reserve(), self._size_bytes
        self._note_place(number, STANDS_ALONE, start, 0)
        self._note_place(0, IS_FREE, 0, 0xFFFF)
        # It may be too long for memory, and its length stands before it: it is deflated twice.
        length = sum(map(len, self._deflate_table()))
        # Of the content alone: no clock, and nothing of the machine.
        identifier = self._digest.hexdigest()[:32]
        self._write(
            f"{number} 0 obj\n<</Type/XRef/Size {self._next_number}/W[1 {PLACE_BYTES} {INDEX_BYTES}]"
            f"/Root {write_reference(root)}/Info {write_reference(info)}/ID[<{identifier}><{identifier}>]"
            f"/Length {length}/Filter/FlateDecode>>\nstream\n".encode("ascii")
        )
        for piece in self._deflate_table():
            self._write(piece)
        self._write(f"\nendstream\nendobj\nstartxref\n{start}\n%%EOF\n".encode("ascii"))

    def _deflate_table(self) -> Iterator[bytes]:
        self._table.seek(0)
        packer = zlib.compressobj()
        while piece := self._table.read(ENTRY_BYTES * 10_000):
            yield packer.compress(piece)
        yield packer.flush()

    def _write_object(self, number: int, body: bytes) -> None:
        self._note_place(number, STANDS_ALONE, self._size_bytes, 0)
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, body))

    def _write(self, data: bytes) -> None:
        self._out.write(data)
        self._digest.update(data)
        self._size_bytes += len(data)

    def _note_place(self, number: int, kind: int, place: int, index: int) -> None:
        entry = kind.to_bytes() + place.to_bytes(PLACE_BYTES) + index.to_bytes(INDEX_BYTES)
        try:
            if number != self._last_noted + 1:
                self._table.seek(number * ENTRY_BYTES)
            self._table.write(entry)
        except OSError as error:
            raise OutputError(f"the print run cannot be written: {error.strerror}") from None
        self._last_noted = number


def write_reference(number: int) -> str:
    """A reference to an object, such as ``12 0 R``."""
    return f"{number} 0 R"


def write_text_string(text: str) -> str:
    """A PDF text string (ISO 32000-1, 7.9.2.2): a literal for plain ASCII, else UTF-16 in hexadecimal."""
    if text.isascii() and text.isprintable():
        return f"({escape_literal(text)})"
    return f"<FEFF{text.encode('utf-16-be').hex().upper()}>"


def escape_literal(text: str) -> str:
    """What stands between the parentheses of a literal string (ISO 32000-1, 7.3.4.2)."""
    return text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")


def write_metadata(title: str, language: str) -> str:
    """The XMP packet: title, language, and the statement of PDF/UA-1 (ISO 14289-1, 5 and 7.1)."""
    return f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/"\
 xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape_xml(title)}</rdf:li></rdf:Alt></dc:title>
<dc:language><rdf:Bag><rdf:li>{escape_xml(language)}</rdf:li></rdf:Bag></dc:language>
<pdf:Producer>{MADE_BY}</pdf:Producer>
<xmp:CreatorTool>{MADE_BY}</xmp:CreatorTool>
<pdfuaid:part>1</pdfuaid:part>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>
"""


def escape_xml(text: str) -> str:
    """What stands between the tags of XML."""
    # The standard library's own function loads a web client with it, which costs half the start-up time of a card.
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
