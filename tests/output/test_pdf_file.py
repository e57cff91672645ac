"""What the writer of numbered objects promises, as other programs find it: pikepdf, pypdf, pdfium and qpdf."""

from __future__ import annotations

import re
import subprocess
import sys
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pypdf
import pypdfium2
import pytest
from support.placed_cards import make_bar_card, make_card

from fillcards.output.pdf import Bookmark, write_bookmarks, write_pdf
from fillcards.output.pdf_file import PdfFile, escape_literal, write_metadata, write_reference, write_text_string


def make_file(change: Callable[[PdfFile], object] = lambda _: None) -> bytes:
    """A file of one empty page."""
    out = BytesIO()
    file = PdfFile(out, BytesIO())
    pages, page = file.reserve(), file.reserve()
    file.put(pages, f"<</Type/Pages/Count 1/Kids[{write_reference(page)}]>>")
    file.put(page, f"<</Type/Page/Parent {write_reference(pages)}/MediaBox[0 0 100 100]/Resources<<>>>>")
    change(file)
    file.finish("A title", "en", f"/Pages {write_reference(pages)}")
    return out.getvalue()


@contextmanager
def open_file(pdf: bytes) -> Iterator[pikepdf.Pdf]:
    """A file as pikepdf reads it, sound in every part."""
    with pikepdf.open(BytesIO(pdf), attempt_recovery=False) as document:
        assert document.check_pdf_syntax() == []
        yield document


def find_tests(document: pikepdf.Pdf) -> list[Any]:
    """What the objects marked with the key ``Test`` hold there."""
    return [each["/Test"] for each in document.objects if isinstance(each, pikepdf.Dictionary) and "/Test" in each]


def test_the_file_says_what_kind_it_is() -> None:
    """PDF/UA-1 is defined on PDF 1.7 (ISO 14289-1, 5); four bytes beyond ASCII tell that it is not text (ISO 32000-1,
    7.5.2).
    """
    assert re.match(rb"%PDF-1\.7\n%[\x80-\xff]{4}\n", make_file())


def test_readers_of_four_makers_open_it(tmp_path: Path) -> None:
    """A whole card, by pikepdf, pypdf, pdfium and the program qpdf, which repairs nothing here."""
    pdf = write_pdf(make_card())
    path = tmp_path / "card.pdf"
    path.write_bytes(pdf)
    checked = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True, check=False)
    assert (checked.returncode, checked.stderr) == (0, "")
    with open_file(pdf) as document:
        pages = len(document.pages)
    assert len(pypdf.PdfReader(BytesIO(pdf), strict=True).pages) == len(pypdfium2.PdfDocument(pdf)) == pages > 0


def test_nothing_is_encrypted() -> None:
    """Whatever reads aloud or copies may do so."""
    with open_file(make_file()) as document:
        assert not document.is_encrypted
        assert "/Encrypt" not in document.trailer


def test_reserved_numbers_are_the_numbers_in_the_file() -> None:
    """A forward reference finds its object."""

    def change(file: PdfFile) -> None:
        later = file.reserve()
        early = file.add(f"<</Test/Early/Next {write_reference(later)}>>")
        file.put(later, f"<</Test/Later/Previous {write_reference(early)}>>")

    with open_file(make_file(change)) as document:
        early = next(o for o in document.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Test") == "/Early")
        assert early["/Next"]["/Test"] == "/Later"
        assert early["/Next"]["/Previous"].objgen == early.objgen


def test_packs_at_any_moment_give_the_same_objects() -> None:
    """Objects of several compressed streams, and streams between them, are each where the table says."""

    def change(file: PdfFile) -> None:
        for number in range(5):
            file.add(f"<</Test {number}>>")
            file.pack()
            file.add_stream(b"words")
        file.pack()

    pdf = make_file(change)
    with open_file(pdf) as document:
        assert sorted(map(int, find_tests(document))) == list(range(5))
    assert pdf.count(b"/Type/ObjStm") == 6


def test_catalogue_has_the_entries_of_a_tagged_file() -> None:
    """Language, marks, metadata and the title in the window bar (ISO 14289-1, 7.1 and 7.2)."""
    with open_file(make_file()) as document:
        root = document.Root
        assert str(root["/Lang"]) == "en"
        assert bool(root["/MarkInfo"]["/Marked"])
        assert root["/Metadata"]["/Subtype"] == "/XML"
        assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])


def test_metadata_is_left_readable() -> None:
    """XMP stands undeflated, so that simple programs find it (XMP specification part 3, 2.1.2.1)."""
    assert b"<pdfuaid:part>1</pdfuaid:part>" in make_file()


def test_page_tree_has_the_pages_in_order() -> None:
    """Kids, count and parents of a card agree."""
    with open_file(write_pdf(make_card())) as document:
        root = document.Root["/Pages"]
        assert int(root["/Count"]) == len(document.pages)
        assert [page["/StructParents"] for page in document.pages] == list(range(len(document.pages)))
        assert all(page["/Parent"].objgen == root.objgen for page in document.pages)


def test_information_says_no_more_than_title_and_maker() -> None:
    """No clock, no machine, no user."""
    with open_file(make_file()) as document:
        info = {key: str(value) for key, value in document.docinfo.items()}
    assert info == {"/Creator": "Fillcards", "/Producer": "Fillcards", "/Title": "A title"}


def test_the_same_content_is_the_same_file_in_another_process() -> None:
    """Whatever the time and the seed of its hashes."""
    code = (
        "import sys; from support.placed_cards import make_card; from fillcards.output.pdf import write_pdf;"
        "sys.stdout.buffer.write(write_pdf(make_card()))"
    )
    surroundings = {"PYTHONPATH": ":".join(sys.path), "PYTHONHASHSEED": "7", "SOURCE_DATE_EPOCH": "1234567890"}
    other = subprocess.run([sys.executable, "-c", code], env=surroundings, capture_output=True, check=True)
    assert other.stdout == write_pdf(make_card()) == write_pdf(make_card())


def test_identifier_follows_every_object() -> None:
    """Another object or stream, another identifier, of sixteen bytes (ISO 32000-1, 14.4)."""
    identifiers = set()
    for change in (lambda _: None, lambda file: file.add("<</A 1>>"), lambda file: file.add_stream(b"words")):
        with open_file(make_file(change)) as document:
            identifiers.add(bytes(document.trailer["/ID"][0]))
    assert len(identifiers) == 3
    assert {len(identifier) for identifier in identifiers} == {16}


def test_streams_end_on_a_line_of_their_own() -> None:
    """An end of line before ``endstream`` (ISO 32000-1, 7.3.8.1)."""
    pdf = make_file(lambda file: file.add_stream(b"words"))
    assert pdf.count(b"\nendstream\n") == pdf.count(b"endstream") == pdf.count(b"\nstream\n")


def test_streams_come_back_as_they_were() -> None:
    """Deflated content and its length are right."""
    content = bytes(range(256)) * 9
    with open_file(make_file(lambda file: file.add_deflated(zlib.compress(content), "/Test true"))) as document:
        streams = [o for o in document.objects if isinstance(o, pikepdf.Stream) and "/Test" in o]
        assert [stream.read_bytes() for stream in streams] == [content]


def test_bookmarks_stand_in_order_and_below_each_other() -> None:
    """Titles stay apart even when they are the same; the counts are those of ISO 32000-1, tables 152 and 153."""
    entries = []

    def change(file: PdfFile) -> None:
        target = f"[{write_reference(file.add('<<>>'))}/Fit]"
        below = Bookmark("Below (1)", target, ())
        marks = Bookmark("Same", target, (below,)), Bookmark("Same", target, ()), Bookmark("Über", target, ())
        entries.append(f"<</Test {write_reference(write_bookmarks(file, marks))}>>")
        file.add(entries[0])

    with open_file(make_file(change)) as document:
        (root,) = find_tests(document)
        first, last = root["/First"], root["/Last"]
        assert (str(first["/Title"]), str(first["/First"]["/Title"])) == ("Same", "Below (1)")
        assert (str(first["/Next"]["/Title"]), str(last["/Title"])) == ("Same", "Über")
        assert first["/Next"]["/Next"].objgen == last.objgen
        assert last["/Prev"]["/Prev"].objgen == first.objgen
        assert {each["/Parent"].objgen for each in (first, last)} == {root.objgen}
        assert (int(root["/Count"]), int(first["/Count"])) == (4, 1)
        assert "/Count" not in last


def test_without_bookmarks_there_is_no_outline() -> None:
    """An empty outline is left out."""
    with open_file(write_pdf(make_bar_card())) as document:
        assert "/Outlines" not in document.Root


def test_no_font_slips_in() -> None:
    """Every font of a card is embedded (ISO 14289-1, 7.21.4.1)."""
    with open_file(write_pdf(make_card())) as document:
        fonts = [o for o in document.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/Font"]
        assert fonts
        assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


@pytest.mark.parametrize("text", ["plain", "a (b) c\\", "Frühstück ½", "line\nbreak", "\N{MUSICAL SYMBOL G CLEF}", ""])
def test_text_strings_come_back(text: str) -> None:
    """Text strings as another library decodes them (ISO 32000-1, 7.9.2.2)."""
    with open_file(make_file(lambda file: file.add(f"<</Test {write_text_string(text)}>>"))) as document:
        assert list(map(str, find_tests(document))) == [text]


def test_literals_escape_what_ends_them() -> None:
    """Parentheses and the backslash (ISO 32000-1, 7.3.4.2)."""
    assert escape_literal("(\\)") == "\\(\\\\\\)"


def test_metadata_escapes_the_title() -> None:
    """A title with signs of XML stays text."""
    assert '<rdf:li xml:lang="x-default">a &lt; b &amp; c</rdf:li>' in write_metadata("a < b & c", "en")
