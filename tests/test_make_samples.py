"""The comparison of the samples can fail, and only for a reason."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Literal

import pikepdf
from make_samples import find_differences, is_same_pdf, is_same_picture
from PIL import Image


def _write_pdf(content: bytes, level: Literal[0, 6, 9]) -> bytes:
    pikepdf.settings.set_flate_compression_level(level)
    file = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.pages[0].Contents = pdf.make_stream(content)
        pdf.save(file, compress_streams=True)
    pikepdf.settings.set_flate_compression_level(-1)
    return file.getvalue()


def _write_picture(*dots: tuple[int, int]) -> bytes:
    picture = Image.new("L", (680, 880), 255)
    for dot in dots:
        picture.paste(0, (*dot, dot[0] + 10, dot[1] + 10))
    file = io.BytesIO()
    picture.save(file, "PNG", dpi=(80, 80))
    return file.getvalue()


def test_packing_alone_is_no_difference() -> None:
    """The same content packed harder is the same PDF."""
    content = b"0 0 m 100 100 l S\n" * 200
    loose, tight = _write_pdf(content, 0), _write_pdf(content, 9)
    assert loose != tight
    assert is_same_pdf(loose, tight)


def test_a_moved_line_is_a_difference() -> None:
    """One number in the content is enough."""
    assert not is_same_pdf(_write_pdf(b"0 0 m 100 100 l S", 6), _write_pdf(b"0 0 m 100 101 l S", 6))


def test_a_picture_with_a_dot_more_differs() -> None:
    """A dot of a hundred pixels is seen; an empty page is the same as an empty page."""
    assert is_same_picture(_write_picture(), _write_picture())
    assert not is_same_picture(_write_picture(), _write_picture((40, 40)))


def test_missing_and_left_over_samples_are_told(tmp_path: Path) -> None:
    """Every kind of difference has its line."""
    (tmp_path / "old.png").write_bytes(_write_picture())
    (tmp_path / "changed.png").write_bytes(_write_picture((1, 1)))
    samples = {"changed.png": _write_picture(), "new.png": _write_picture()}
    assert list(find_differences(samples, tmp_path)) == [
        "old.png: left over",
        "changed.png: differs",
        "new.png: missing",
    ]
