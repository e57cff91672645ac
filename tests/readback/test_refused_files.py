"""Files that cannot be read for certain are refused, with a reason; a hostile one cannot take the machine with it."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from io import BytesIO

import pikepdf
import pytest
from support.plans import EXAMPLES

from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.readback import foreign
from fillcards.readback.foreign import measure_foreign_pdf
from fillcards.readback.measure import measure_pdf
from fillcards.readback.model import Reading, Statement, UnreadableCard
from fillcards.readback.serial import build_value, write_plain


@pytest.fixture(scope="module")
def card() -> bytes:
    """A right card."""
    return write_pdf(place_regimen(EXAMPLES["W13"]).placed)


def save(document: pikepdf.Pdf, **settings: object) -> bytes:
    """The document's bytes."""
    out = BytesIO()
    document.save(out, **settings)  # type: ignore[arg-type]  # passed on by name
    return out.getvalue()


def _encrypt(document: pikepdf.Pdf) -> bytes:
    return save(document, encryption=pikepdf.Encryption(owner="o", user="u"))


def _add_picture(document: pikepdf.Pdf) -> bytes:
    picture = document.make_stream(b"\xff" * 3)
    picture.update(
        {
            "/Type": pikepdf.Name.XObject,
            "/Subtype": pikepdf.Name.Image,
            "/Width": 1,
            "/Height": 1,
            "/ColorSpace": pikepdf.Name.DeviceRGB,
            "/BitsPerComponent": 8,
        }
    )
    page = document.pages[0]
    page.Resources.XObject = pikepdf.Dictionary(Im1=picture)
    page.Contents = document.make_stream(page.Contents.read_bytes() + b"\nq 300 0 0 300 40 200 cm /Im1 Do Q")
    return save(document)


def _overlay(document: pikepdf.Pdf) -> bytes:
    document.pages[0].add_overlay(document.pages[1], pikepdf.Rectangle(0, 0, 612, 792))
    return save(document)


def _slant(document: pikepdf.Pdf) -> bytes:
    page = document.pages[0]
    page.Contents = document.make_stream(b"1 0 0.2 1 0 0 cm\n" + page.Contents.read_bytes())
    return save(document)


def _turn(document: pikepdf.Pdf) -> bytes:
    document.pages[0].Rotate = 90
    return save(document)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (_encrypt, "encrypted"),
        (_add_picture, "a picture"),
        (_overlay, "a page within the page"),
        (_slant, "slanted"),
        (_turn, "turned"),
        (lambda _: b"", "not a PDF"),
        (lambda _: b"%PDF-1.7\nnothing", "not a PDF"),
    ],
)
def test_what_cannot_be_read_is_refused(change: Callable[[pikepdf.Pdf], bytes], reason: str, card: bytes) -> None:
    """Each with the reason why."""
    with pikepdf.open(BytesIO(card)) as document:
        data = change(document)
    with pytest.raises(UnreadableCard, match=reason):
        measure_pdf(data)


def test_a_foreign_file_is_read_in_a_process_of_its_own(card: bytes) -> None:
    """The answer is the very reading that this process makes."""
    assert measure_foreign_pdf(card) == measure_pdf(card)


def test_a_reading_survives_as_plain_data(card: bytes) -> None:
    """Nothing is lost between the two processes, fractions least of all."""
    reading = measure_pdf(card)
    assert build_value(Reading, write_plain(reading)) == reading


def test_a_statement_in_a_trace_says_nothing_of_its_words() -> None:
    """Neither its text nor the parts found in it: both may name the patient."""
    told = repr(Statement(3, "whose", "For Ann Example", {"whose": "Ann Example"}, 18.0, False))
    assert "Ann" not in told
    assert "whose" in told


@pytest.mark.parametrize("plain", [{}, {"pages": 3}, [], {"pages": [{"number": "1"}]}])
def test_other_data_are_no_reading(plain: object) -> None:
    """The parent believes no more of an answer than its form."""
    with pytest.raises(ValueError, match="not the data"):
        build_value(Reading, plain)


def test_a_file_that_unfolds_is_refused() -> None:
    """Two kilobytes that unfold to more than the limit of memory: refused, and this process does not grow."""
    packer = zlib.compressobj(9)
    bomb = b"".join(packer.compress(b" " * 1_048_576) for _ in range(1024)) + packer.flush()
    twice = zlib.compress(bomb, 9)
    document = pikepdf.new()
    document.add_blank_page()
    content = document.make_stream(b"")
    content.write(twice, filter=pikepdf.Array([pikepdf.Name.FlateDecode, pikepdf.Name.FlateDecode]))
    document.pages[0].Contents = content
    data = save(document, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    assert len(data) < 20_000
    with pytest.raises(UnreadableCard, match="more memory or time"):
        measure_foreign_pdf(data)


def test_a_file_larger_than_any_card_is_not_even_opened() -> None:
    """The limit of size is told."""
    with pytest.raises(UnreadableCard, match="larger than"):
        measure_foreign_pdf(b"%" * (foreign.LARGEST_FILE_BYTES + 1))
