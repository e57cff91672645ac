"""Files made to harm whoever opens them: refused in words, in bounded time and memory, by a child with limits."""

from __future__ import annotations

import subprocess
import sys
import time
import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from support.plans import EXAMPLES

from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.readback.foreign import MOST_MEMORY_BYTES, MOST_PROCESSOR_S, measure_foreign_pdf
from fillcards.readback.model import Reading, UnreadableCard

CATALOGUE = b"<</Type/Catalog/Pages 2 0 R>>"
ONE_PAGE = b"<</Type/Pages/Kids[3 0 R]/Count 1>>"
TOO_MUCH = "more memory or time"
MOST_S = MOST_PROCESSOR_S + 5
"""The limit of the processor's time, and what starting a process may take on a busy machine."""


def write_file(*objects: bytes) -> bytes:
    """A file of these objects, the first of which is its catalogue."""
    out = bytearray(b"%PDF-1.7\n")
    places = []
    for number, text in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n" % number + text + b"\nendobj\n"
    start = len(out)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(places) + 1) + table
    out += b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(places) + 1, start)
    return bytes(out)


def write_page(entries: bytes = b"", box: bytes = b"[0 0 612 792]") -> bytes:
    """A page in the root of the tree."""
    return b"<</Type/Page/Parent 2 0 R/MediaBox" + box + entries + b">>"


def write_stream(entries: bytes, data: bytes) -> bytes:
    """A stream, with its length."""
    return b"<<" + entries + b"/Length %d>>stream\n" % len(data) + data + b"\nendstream"


def write_form(entries: bytes, contents: bytes) -> bytes:
    """Contents of their own that a page can show."""
    return write_stream(b"/Type/XObject/Subtype/Form/BBox[0 0 600 700]" + entries, contents)


def _unfold(piece: bytes, times: int = 1024) -> bytes:
    """A page of a gigabyte in a megabyte: one packed block, which needs none before it, again and again."""
    packer = zlib.compressobj(9, wbits=-zlib.MAX_WBITS)
    block = packer.compress(piece * (1024 * 1024 // len(piece))) + packer.flush(zlib.Z_FULL_FLUSH)
    data = b"\x78\xda" + block * times + b"\x03\x00"
    return write_file(CATALOGUE, ONE_PAGE, write_page(b"/Contents 4 0 R"), write_stream(b"/Filter/FlateDecode", data))


def _show(name: bytes, *things: bytes) -> bytes:
    """A page that shows the first of these."""
    resources = b"/Contents 4 0 R/Resources<</XObject<</" + name + b" 5 0 R>>>>"
    return write_file(CATALOGUE, ONE_PAGE, write_page(resources), write_stream(b"", b"/" + name + b" Do"), *things)


def _show_huge_picture() -> bytes:
    size = b"/Width 100000/Height 100000/ColorSpace/DeviceRGB/BitsPerComponent 8/Filter/FlateDecode"
    return _show(b"I", write_stream(b"/Type/XObject/Subtype/Image" + size, zlib.compress(bytes(1000))))


def _nest(depth: int, times: int) -> bytes:
    """A form that shows a form that shows a form, each so many times."""
    forms = [
        write_form(b"/Resources<</XObject<</F %d 0 R>>>>" % number, b"/F Do " * times) for number in range(6, 6 + depth)
    ]
    return _show(b"F", *forms, write_form(b"", b"0 0 9 9 re f"))


def _change(change: Callable[[pikepdf.Pdf], object]) -> Callable[[], bytes]:
    """A right card with something added."""

    def write() -> bytes:
        out = BytesIO()
        with pikepdf.open(BytesIO(_write_card())) as document:
            change(document)
            document.save(out)
        return out.getvalue()

    return write


def _write_card() -> bytes:
    return write_pdf(place_regimen(EXAMPLES["W13"]).placed)


def _link(document: pikepdf.Pdf) -> None:
    action = pikepdf.Dictionary(S=pikepdf.Name.URI, URI=pikepdf.String("http://example.invalid"))
    note = pikepdf.Dictionary(Subtype=pikepdf.Name.Link, Rect=pikepdf.Array([0, 0, 600, 700]), A=action)
    document.pages[0].Annots = pikepdf.Array([document.make_indirect(note)])


def _run_script(document: pikepdf.Pdf) -> None:
    action = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS=pikepdf.String("this.print()"))
    document.pages[0].AA = pikepdf.Dictionary(O=action)


FILES: dict[str, tuple[Callable[[], bytes], str]] = {
    "a page of a gigabyte of spaces": (lambda: _unfold(b" "), TOO_MUCH),
    "a page of a gigabyte of lines": (lambda: _unfold(b"0 0 m 9 9 l S\n  "), TOO_MUCH),
    "a page of states within states": (lambda: _unfold(b"q ", 40), TOO_MUCH),
    "a picture of 100,000 x 100,000": (_show_huge_picture, "a picture"),
    "a million times the same page": (
        lambda: write_file(CATALOGUE, b"<</Kids[" + b"3 0 R " * 1_000_000 + b"]/Count 1000000>>", write_page()),
        "1000000 pages",
    ),
    "a million pages that are not there": (
        lambda: write_file(CATALOGUE, b"<</Type/Pages/Kids[3 0 R]/Count 1000000>>", write_page()),
        "1000000 pages",
    ),
    "forms 2,000 deep": (lambda: _nest(2_000, 1), f"a page within the page|{TOO_MUCH}"),
    "forms that double 30 times": (lambda: _nest(30, 2), TOO_MUCH),
    "a form within itself": (
        lambda: _show(b"F", write_form(b"/Resources<</XObject<</F 5 0 R>>>>", b"/F Do /F Do")),
        f"a page within the page|{TOO_MUCH}",
    ),
    "a tree of pages within itself": (
        lambda: write_file(CATALOGUE, b"<</Type/Pages/Kids[2 0 R]/Count 1>>"),
        "page 1 is damaged",
    ),
    "a tree of pages 20,000 deep": (
        lambda: write_file(
            CATALOGUE, *(b"<</Type/Pages/Kids[%d 0 R]/Count 1>>" % number for number in range(3, 20_003)), write_page()
        ),
        "page 1 is damaged",
    ),
    "the first half of a card": (lambda: _write_card()[: len(_write_card()) // 2], "a damaged one"),
    "a card without its end": (lambda: _write_card()[:-200], "a damaged one"),
    "no pages": (lambda: write_file(CATALOGUE, b"<</Type/Pages/Kids[]/Count 0>>"), "0 pages"),
    "a page of 350,000 km": (
        lambda: write_file(CATALOGUE, ONE_PAGE, write_page(box=b"[0 0 1e12 1e12]")),
        "cropped|measures",
    ),
    "a page of 300 m": (lambda: write_file(CATALOGUE, ONE_PAGE, write_page(box=b"[0 0 850000 850000]")), "measures"),
    "a table of 4,294,967,295 objects": (
        lambda: b"%PDF-1.7\nxref\n0 4294967295\ntrailer<</Size 4294967295/Root 1 0 R>>startxref\n9\n%%EOF",
        "a damaged one",
    ),
    "a page that leads elsewhere": (_change(_link), "it leads to an address"),
    "a page that runs a program": (_change(_run_script), "it holds a program"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_hostile_file_is_refused(name: str) -> None:
    """In words, and no later than the limit of time allows."""
    write, words = FILES[name]
    data = write()
    began = time.monotonic()
    with pytest.raises(UnreadableCard, match=words):
        measure_foreign_pdf(data)
    assert time.monotonic() - began < MOST_S


@pytest.mark.campaign
def test_pages_as_large_and_as_many_as_allowed_are_refused() -> None:
    """400 pages of 1.7 m are within every single limit; together they are stopped by the processor's time."""
    pages = b"<</Type/Pages/Kids[" + b"3 0 R " * 400 + b"]/Count 400>>"
    data = write_file(CATALOGUE, pages, write_page(b"/Contents 4 0 R", b"[0 0 4999 4999]"), write_stream(b"", b"q Q"))
    began = time.monotonic()
    with pytest.raises(UnreadableCard, match=TOO_MUCH):
        measure_foreign_pdf(data)
    assert time.monotonic() - began < 3 * MOST_S


@pytest.mark.skipif(sys.platform != "linux", reason="the size of a process is counted in kilobytes on Linux")
@pytest.mark.parametrize("name", ["a page of a gigabyte of lines", "a picture of 100,000 x 100,000"])
def test_the_child_stays_small(name: str) -> None:
    """However far a file unfolds; seen from a process that has no other child."""
    code = """
import resource, sys
from fillcards.readback.foreign import measure_foreign_pdf
from fillcards.readback.model import UnreadableCard
try:
    measure_foreign_pdf(sys.stdin.buffer.read())
except UnreadableCard:
    print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024)
"""
    root = Path(__file__).parent.parent.parent
    done = subprocess.run(
        [sys.executable, "-c", code], input=FILES[name][0](), capture_output=True, cwd=root, check=True
    )
    assert int(done.stdout) < MOST_MEMORY_BYTES


def test_the_files_are_files() -> None:
    """The same writing gives a file that is read, so that no refusal above is for its form."""
    data = write_file(CATALOGUE, ONE_PAGE, write_page(b"/Contents 4 0 R"), write_stream(b"", b"0 0 m 9 9 l S"))
    reading = measure_foreign_pdf(data)
    assert isinstance(reading, Reading)
    assert len(reading.pages) == 1
