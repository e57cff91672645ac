"""A PDF file as numbered objects: the one place that touches what reportlab keeps to itself.

reportlab numbers the objects, writes catalogue, page tree, cross-reference table and trailer. It has no tagging, so
every other object is handed to it as finished bytes. Knows nothing of cards, pages or fonts. One file object serves
one document, and nothing is kept between documents.

Every touch below has a test of its own in ``tests/output/test_pdf_file.py``, so that a new reportlab which moves one
is noticed. References: ISO 32000-1 (PDF 1.7), ISO 14289-1 (PDF/UA-1).
"""

from __future__ import annotations

import hashlib
import zlib
from typing import Any, Final

from reportlab.pdfbase import pdfdoc

MADE_BY: Final = "Fillcards"

PDF_VERSION: Final = (1, 7)
"""PDF/UA-1 is defined on PDF 1.7 (ISO 14289-1, 5)."""

VIEWER_PREFERENCES: Final = "<</DisplayDocTitle true/Duplex/DuplexFlipLongEdge/PrintScaling/None>>"
"""The title in the window bar (ISO 14289-1, 7.1); both sides, turned over along the long edge, and actual size as the
print dialogue's first offer (ISO 32000-1, table 150)."""

OutlineEntry = tuple[str, str, tuple["OutlineEntry", ...]]
"""Title, destination array and the entries below it."""


class _RawObject(pdfdoc.PDFObject):
    """An indirect object whose bytes are ready. ``__RefOnly__`` keeps reportlab from writing it inside another."""

    __RefOnly__ = 1

    def __init__(self) -> None:
        self.body = b""

    def format(self, document: pdfdoc.PDFDocument) -> bytes:  # noqa: ARG002  (reportlab calls it so)
        return self.body


class _Info(pdfdoc.PDFInfo):
    """Document information without what the base class fills in: no dates, no "anonymous"."""

    def format(self, document: pdfdoc.PDFDocument) -> bytes:  # noqa: ARG002  (reportlab calls it so)
        made_by = write_text_string(MADE_BY)
        return f"<</Creator {made_by}/Producer {made_by}/Title {write_text_string(self.title)}>>".encode("ascii")


class PdfFile:
    """Collects objects, then writes the file once.

    Args:
        title: shown in the window bar and read first aloud.
        language: BCP 47 tag of the whole text.
    """

    def __init__(self, title: str, language: str) -> None:
        # Untyped, because the published stubs leave out what a tagged file needs.
        document: Any = pdfdoc.PDFDocument(invariant=1, pdfVersion=PDF_VERSION)
        # reportlab seeds the file identifier with a time that the environment can set; ours comes from the content.
        document.signature = hashlib.md5(usedforsecurity=False)
        document.info = _Info()
        document.info.title = title
        self._document = document
        catalog = document.Catalog
        catalog.Lang = write_text_string(language)
        catalog.ViewerPreferences = VIEWER_PREFERENCES
        catalog.MarkInfo = "<</Marked true>>"
        metadata = write_metadata(title, language).encode("utf-8")
        catalog.Metadata = write_reference(self._add_plain_stream(metadata, "/Type/Metadata/Subtype/XML"))
        self.pages_reference = write_reference(self._number_of(document.Reference(document.Pages)))

    def reserve(self) -> int:
        """The number of an object whose bytes come later by ``put``."""
        return self._number_of(self._document.Reference(_RawObject()))

    def put(self, number: int, body: str) -> None:
        """Give a reserved object its content, ASCII only."""
        content = body.encode("ascii")
        self._object(number).body = content
        self._document.updateSignature(content)

    def add(self, body: str) -> int:
        """A new object; returns its number."""
        number = self.reserve()
        self.put(number, body)
        return number

    def add_stream(self, content: bytes, entries: str = "") -> int:
        """A new deflated stream object with further dictionary entries; returns its number."""
        return self.add_deflated(zlib.compress(content), entries)

    def add_deflated(self, deflated: bytes, entries: str = "") -> int:
        """The same for content that is deflated already."""
        return self._add_plain_stream(deflated, f"/Filter/FlateDecode{entries}")

    def add_page(self, number: int, body: str) -> None:
        """Give a reserved object its content and append it to the page tree."""
        self.put(number, body)
        self._document.Pages.addPage(self._object(number))

    def set_structure(self, number: int) -> None:
        """Name the structure tree's root."""
        self._document.Catalog.StructTreeRoot = write_reference(number)

    def set_outline(self, entries: tuple[OutlineEntry, ...]) -> None:
        """The bookmarks."""
        if not entries:
            return
        outlines = self._document.Outlines
        titles = outlines.destinationnamestotitles

        def make_branch(branch: tuple[OutlineEntry, ...]) -> list[object]:
            made: list[object] = []
            for title, destination, below in branch:
                name = str(len(titles))
                titles[name] = title
                leaf = {name: destination}
                made.append((leaf, make_branch(below)) if below else leaf)
            return made

        outlines.setDestinations(make_branch(entries))

    def write(self) -> bytes:
        """The finished file."""
        # The argument is a canvas; reportlab asks it only for destinations by name, and ours are arrays.
        content: bytes = self._document.GetPDFData(None)
        return content

    def _add_plain_stream(self, content: bytes, entries: str) -> int:
        number = self.reserve()
        head = f"<</Length {len(content)}{entries}>>\nstream\n".encode("ascii")
        self._object(number).body = head + content + b"\nendstream\n"
        self._document.updateSignature(content)
        return number

    def _number_of(self, reference: pdfdoc.PDFObjectReference) -> int:
        number: int = self._document.idToObjectNumberAndVersion[reference.name][0]
        return number

    def _object(self, number: int) -> _RawObject:
        found: _RawObject = self._document.idToObject[self._document.numberToId[number]]
        return found


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
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{_escape_xml(title)}</rdf:li></rdf:Alt></dc:title>
<dc:language><rdf:Bag><rdf:li>{_escape_xml(language)}</rdf:li></rdf:Bag></dc:language>
<pdf:Producer>{MADE_BY}</pdf:Producer>
<xmp:CreatorTool>{MADE_BY}</xmp:CreatorTool>
<pdfuaid:part>1</pdfuaid:part>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>
"""


def _escape_xml(text: str) -> str:
    # The standard library's own function loads a web client with it, which costs half the start-up time of a card.
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
