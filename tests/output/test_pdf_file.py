"""One test for each touch of what reportlab keeps to itself: that it is needed, and that it works.

If one of these fails after an update of reportlab, ``fillcards/output/pdf_file.py`` is where to look.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from reportlab.pdfbase import pdfdoc

from fillcards.output.pdf_file import PdfFile, escape_literal, write_metadata, write_reference, write_text_string


def make_file(change: Callable[[PdfFile], object] = lambda _: None) -> bytes:
    """A file of one empty page."""
    file = PdfFile("A title", "en")
    number = file.reserve()
    file.add_page(number, f"<</Type/Page/Parent {file.pages_reference}/MediaBox[0 0 100 100]/Resources<<>>>>")
    change(file)
    return file.write()


@contextmanager
def open_root(pdf: bytes) -> Iterator[Any]:
    """The catalogue."""
    with pikepdf.open(BytesIO(pdf)) as document:
        yield document.Root


def test_raw_objects_are_written_once_and_on_their_own() -> None:
    """``PDFObject`` with ``__RefOnly__``: reportlab refers to it instead of copying it into the page tree."""
    pdf = make_file()
    assert pdf.count(b"/MediaBox[0 0 100 100]") == 1
    with open_root(pdf) as root:
        assert root["/Pages"]["/Kids"][0].is_indirect


def test_reserved_numbers_are_the_numbers_in_the_file() -> None:
    """``Reference``, ``idToObjectNumberAndVersion``, ``numberToId``: a forward reference finds its object."""

    def change(file: PdfFile) -> None:
        later = file.reserve()
        early = file.add(f"<</Test/Early/Next {write_reference(later)}>>")
        file.put(later, f"<</Test/Later/Previous {write_reference(early)}>>")

    with pikepdf.open(BytesIO(make_file(change))) as document:
        early = next(o for o in document.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Test") == "/Early")
        assert early["/Next"]["/Test"] == "/Later"
        assert early["/Next"]["/Previous"].objgen == early.objgen


def test_catalogue_takes_the_entries_of_a_tagged_file() -> None:
    """``Catalog`` attributes Lang, MarkInfo, Metadata, StructTreeRoot, ViewerPreferences reach the file."""
    with open_root(make_file(lambda file: file.set_structure(file.add("<</Type/StructTreeRoot>>")))) as root:
        assert str(root["/Lang"]) == "en"
        assert root["/MarkInfo"]["/Marked"] is True
        assert root["/Metadata"]["/Subtype"] == "/XML"
        assert root["/StructTreeRoot"]["/Type"] == "/StructTreeRoot"
        assert root["/ViewerPreferences"]["/DisplayDocTitle"] is True


def test_metadata_is_left_readable() -> None:
    """XMP stands undeflated, so that simple programs find it (XMP specification part 3, 2.1.2.1)."""
    assert b"<pdfuaid:part>1</pdfuaid:part>" in make_file()


def test_page_tree_takes_raw_pages_in_order() -> None:
    """``Pages.addPage`` and ``Reference(Pages)``: kids, count and parents agree."""

    def change(file: PdfFile) -> None:
        for side in (200, 300):
            body = f"<</Type/Page/Parent {file.pages_reference}/MediaBox[0 0 {side} {side}]/Resources<<>>>>"
            file.add_page(file.reserve(), body)

    with pikepdf.open(BytesIO(make_file(change))) as document:
        assert [int(page.MediaBox[2]) for page in document.pages] == [100, 200, 300]
        assert int(document.Root["/Pages"]["/Count"]) == 3
        assert all(page["/Parent"].objgen == document.Root["/Pages"].objgen for page in document.pages)


def test_info_is_replaced_because_the_original_invents_entries() -> None:
    """``document.info``: reportlab's own would say anonymous, unspecified and a date."""
    plain: Any = pdfdoc.PDFDocument(invariant=1)
    assert b"anonymous" in plain.info.format(plain)
    assert b"CreationDate" in plain.info.format(plain)
    pdf = make_file()
    assert b"anonymous" not in pdf
    assert b"CreationDate" not in pdf


def test_identifier_is_free_of_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """``signature``: reportlab seeds it with a time the environment can set; ours is seeded with nothing."""
    before = make_file()
    plain: Any = pdfdoc.PDFDocument(invariant=1)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1234567890")
    other: Any = pdfdoc.PDFDocument(invariant=1)
    assert plain.signature.digest() != other.signature.digest()
    assert make_file() == before


def test_identifier_follows_every_object() -> None:
    """``updateSignature``: another object or stream, another identifier."""
    identifiers = set()
    for change in (lambda _: None, lambda file: file.add("<</A 1>>"), lambda file: file.add_stream(b"words")):
        with pikepdf.open(BytesIO(make_file(change))) as document:
            identifiers.add(bytes(document.trailer["/ID"][0]))
    assert len(identifiers) == 3


def test_streams_end_on_a_line_of_their_own() -> None:
    """An end of line before ``endstream`` (ISO 32000-1, 7.3.8.1); reportlab's own streams have none."""
    pdf = make_file(lambda file: file.add_stream(b"words"))
    assert pdf.count(b"\nendstream") == pdf.count(b"endstream") == 2


def test_streams_come_back_as_they_were() -> None:
    """Deflated content and its length are right."""
    content = bytes(range(256)) * 9
    with pikepdf.open(BytesIO(make_file(lambda file: file.add_stream(content, "/Test true")))) as document:
        streams = [o for o in document.objects if isinstance(o, pikepdf.Stream) and "/Test" in o]
        assert [stream.read_bytes() for stream in streams] == [content]


def test_outline_needs_no_canvas() -> None:
    """``Outlines.setDestinations`` and ``GetPDFData(None)``: titles stay apart even when they are the same."""

    def change(file: PdfFile) -> None:
        target = f"[{write_reference(file.add('<<>>'))}/Fit]"
        file.set_outline((("Same", target, (("Below (1)", target, ()),)), ("Same", target, ()), ("Über", target, ())))

    with open_root(make_file(change)) as root:
        first = root["/Outlines"]["/First"]
        assert (str(first["/Title"]), str(first["/First"]["/Title"])) == ("Same", "Below (1)")
        assert str(first["/Next"]["/Title"]) == "Same"
        assert str(root["/Outlines"]["/Last"]["/Title"]) == "Über"


def test_without_bookmarks_there_is_no_outline() -> None:
    """An empty outline is left out."""
    with open_root(make_file(lambda file: file.set_outline(()))) as root:
        assert "/Outlines" not in root


def test_version_is_the_one_pdf_ua_is_defined_on() -> None:
    """``pdfVersion``: ISO 14289-1 builds on PDF 1.7; reportlab's own start is 1.3."""
    assert make_file().startswith(b"%PDF-1.7\n")


def test_no_font_slips_in() -> None:
    """A document made without a canvas has no Helvetica; reportlab's canvas names one on every page."""
    assert b"Helvetica" not in make_file()
    assert b"/Font" not in make_file()


@pytest.mark.parametrize("text", ["plain", "a (b) c\\", "Frühstück ½", "line\nbreak", "\N{MUSICAL SYMBOL G CLEF}", ""])
def test_text_strings_come_back(text: str) -> None:
    """Text strings as another library decodes them (ISO 32000-1, 7.9.2.2)."""
    pdf = make_file(lambda file: file.add(f"<</Test {write_text_string(text)}>>"))
    with pikepdf.open(BytesIO(pdf)) as document:
        found = [str(o["/Test"]) for o in document.objects if isinstance(o, pikepdf.Dictionary) and "/Test" in o]
    assert found == [text]


def test_literals_escape_what_ends_them() -> None:
    """Parentheses and the backslash (ISO 32000-1, 7.3.4.2)."""
    assert escape_literal("(\\)") == "\\(\\\\\\)"


def test_metadata_escapes_the_title() -> None:
    """A title with signs of XML stays text."""
    assert '<rdf:li xml:lang="x-default">a &lt; b &amp; c</rdf:li>' in write_metadata("a < b & c", "en")
