"""Two readers of one file: the one that knows only how we write, and pdfium's."""

from __future__ import annotations

import re
import zlib
from contextlib import ExitStack
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from support.fifths import TURNED, keep_a_fifth
from support.plans import STARTERS

from fillcards.options import Form, Options, SmallOptions
from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.readback.marks import Run
from fillcards.readback.own import read_own
from fillcards.readback.page_objects import read_page_marks
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.tags import read_tags
from fillcards.regimen.schema import read_regimen

EASE_MM = 0.0002
"""pdfium has its places in single precision."""
SIZE_EASE = 0.00051
"""Of what may be another program's, sizes are rounded to a thousandth of a point."""


def is_same(one: Any, other: Any, ease: float = EASE_MM) -> bool:
    """Whether two values are the same, numbers nearly; of runs the fonts apart."""
    if isinstance(one, Run) and isinstance(other, Run):
        one, other = one._replace(font=None), other._replace(font=None, width_mm=one.width_mm)
        return is_same(tuple(one), tuple(other), SIZE_EASE)
    if isinstance(one, tuple):
        return len(one) == len(other) and all(is_same(a, b, ease) for a, b in zip(one, other, strict=True))
    return abs(one - other) <= ease if isinstance(one, float) else bool(one == other)


@pytest.mark.parametrize(("path", "form"), keep_a_fifth(TURNED, list(Form)))
def test_both_readers_see_the_same(path: Any, form: Form) -> None:
    """Marks, words and what the tags say of them, of every page."""
    options = Options(form=form, small=SmallOptions(size="a6" if form is Form.SMALL else None))
    data = write_pdf(place_regimen(read_regimen(path.read_text(encoding="utf-8")), options).placed)
    own = read_own(data)
    assert own is not None
    with open_document(data) as (document, count), ExitStack() as pages:
        assert len(own) == count
        for index in range(count):
            page = pages.enter_context(open_page(document, index))
            meant = read_page_marks(page, index + 1)
            seen = own[index]
            assert read_tags(page, seen) == read_tags(page, meant)
            assert is_same(seen[:3], meant[:3])
            for one, other in zip(seen.painted, meant.painted, strict=True):
                assert is_same(one, other)


def test_a_card_in_spanish_is_read_by_ours_too() -> None:
    """Its band stands there in English as well, and that element names its language."""
    text = STARTERS[0].read_text(encoding="utf-8").replace("language: en", "language: es")
    data = write_pdf(place_regimen(read_regimen(text)).placed)
    own = read_own(data)
    assert own is not None
    with open_document(data) as (document, count):
        assert len(own) == count
        for index in range(count):
            with open_page(document, index) as page:
                assert is_same(own[index].runs, read_page_marks(page, index + 1).runs)


def test_what_is_not_written_as_we_write_is_left_to_the_other_reader() -> None:
    """A clip, a matrix, text see-through or moved, a curve, a number in another form; and a file saved anew."""
    data = write_pdf(place_regimen(read_regimen(STARTERS[0].read_text(encoding="utf-8"))).placed)
    assert read_own(data) is not None
    lines = ("q", "0 0 9 9 re W n", "1 0 0 1 4 0 cm", "3 Tr", "/GS gs", "1 2 m 3 4 5 6 7 8 c S", "1e1 2 m 3 4 l S")
    for line in (*lines, "nan 2 m 3 4 l S", "BT /F1 9 Tf 1 2 Td (a) Tj (b) Tj ET", "/Span<</ActualText(9)>>BDC"):
        assert read_own(add_line(data, line)) is None, line
    assert read_own(add_line(data, "0 g")) is not None
    saved = BytesIO()
    with pikepdf.open(BytesIO(data)) as document:
        document.save(saved)
    assert read_own(saved.getvalue()) is None


def add_line(data: bytes, line: str) -> bytes:
    """The file with a line more at the end of its first page."""
    for match in re.finditer(rb"<</Length (\d+)/Filter/FlateDecode>>\nstream\n", data):
        start, end = match.end(), match.end() + int(match[1])
        content = zlib.decompress(data[start:end])
        if content.startswith(b"/") and content.endswith(b"EMC"):
            packed = zlib.compress(content + b"\n" + line.encode())
            head = b"<</Length %d/Filter/FlateDecode>>\nstream\n" % len(packed)
            longer = len(head) + len(packed) - (end - match.start())
            return move_places(data[: match.start()] + head + packed + data[end:], match.start(), longer)
    raise AssertionError("no page")


def move_places(data: bytes, after: int, longer: int) -> bytes:
    """The file with its table of places put right (ISO 32000-1, 7.5.8): objects beyond a place stand so much later."""
    start = int(data.rpartition(b"startxref\n")[2].split()[0]) + longer
    head = re.compile(rb"/W\[1 (\d+) (\d+)\](.*?)/Length (\d+)/Filter/FlateDecode>>\nstream\n").search(data, start)
    assert head
    size = 1 + int(head[1]) + int(head[2])
    table = bytearray(zlib.decompress(data[head.end() : head.end() + int(head[4])]))
    for at in range(0, len(table), size):
        stands = slice(at + 1, at + 1 + int(head[1]))
        place = int.from_bytes(table[stands])
        if table[at] == 1 and place > after:
            table[stands] = (place + longer).to_bytes(int(head[1]))
    packed = zlib.compress(bytes(table))
    between = b"/W[1 %b %b]%b/Length %d/Filter/FlateDecode>>\nstream\n" % (head[1], head[2], head[3], len(packed))
    end = b"\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % start
    return data[: head.start()] + between + packed + end


def _read_stream(data: bytes, head: re.Match[bytes]) -> bytes:
    return data[head.end() : head.end() + int(head[2])]


def append_update(data: bytes, line: str) -> bytes:
    """The file with its first page's content replaced by an update at its end, as other programs save one."""
    edited = add_line(data, line)
    pages = re.compile(rb"(\d+) 0 obj\n<</Length (\d+)/Filter/FlateDecode>>\nstream\n")
    pairs = zip(pages.finditer(data), pages.finditer(edited), strict=True)
    match = next(new for old, new in pairs if _read_stream(data, old) != _read_stream(edited, new))
    body = edited[match.start() : match.end() + int(match[2])] + b"\nendstream\nendobj\n"
    before = int(data.rpartition(b"startxref\n")[2].split()[0])
    root = re.search(rb"/Root \d+ 0 R", data)
    size = re.search(rb"/XRef/Size (\d+)", data)
    assert root
    assert size
    place = len(data) + len(body)
    table = b"xref\n%d 1\n%010d 00000 n \n" % (int(match[1]), len(data))
    trailer = b"trailer\n<</Size %b%b/Prev %d>>\nstartxref\n%d\n%%%%EOF\n" % (size[1], root[0], before, place)
    return data + body + table + trailer


def test_what_follows_the_end_of_a_file_makes_it_another() -> None:
    """A saved update replaces what stands before it for every other reader, so none of it is taken for ours."""
    data = write_pdf(place_regimen(read_regimen(STARTERS[0].read_text(encoding="utf-8"))).placed)
    updated = append_update(data, "0 0 9 9 re f")
    with pikepdf.open(BytesIO(updated)) as document:
        assert b"0 0 9 9 re f" in document.pages[0].Contents.read_bytes()
    assert read_own(data) is not None
    assert read_own(updated) is None
    assert read_own(data + b"\n") is None
