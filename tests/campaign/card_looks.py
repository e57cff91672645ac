"""What finished pages look like: rows of pixels with ink and without, and where two pages differ."""

from __future__ import annotations

from typing import Any

DPI = 96


def render(data: bytes) -> list[Any]:
    """Every page as rows of pixels at 96 dpi, true where there is ink."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    try:
        pages = [page.render(scale=DPI / 72, grayscale=True).to_numpy() for page in document]
    finally:
        document.close()
    return [page.reshape(page.shape[0], -1) < 128 for page in pages]


def find_unlike(one: list[Any], other: list[Any]) -> tuple[int, int]:
    """The page that differs most, from 1, and how many of its pixels are ink on one side and have none near them on the
    other; for two renderings may set a letter one pixel apart.
    """
    if len(one) != len(other) or any(a.shape != b.shape for a, b in zip(one, other, strict=True)):
        return 0, 10**9
    worst = (1, 0)
    for number, (a, b) in enumerate(zip(one, other, strict=True), start=1):
        if (a == b).all():
            continue
        unlike = (a & ~_grow(b)) | (b & ~_grow(a))
        if (pixels := int(unlike.sum())) > worst[1]:
            worst = number, pixels
    return worst


def _grow(ink: Any) -> Any:
    """Ink and its neighbours."""
    grown = ink.copy()
    for axis in (0, 1):
        grown = grown | _shift(grown, 1, axis) | _shift(grown, -1, axis)
    return grown


def _shift(ink: Any, by: int, axis: int) -> Any:
    import numpy

    return numpy.roll(ink, by, axis)
