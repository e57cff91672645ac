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


def find_pictures(data: bytes) -> list[Any]:
    """Every page as rows of pixels, true where a barrel is drawn: its scale, its numbers, its marks."""
    import numpy

    from fillcards.readback.marks import read_page_marks
    from fillcards.readback.pdfium import open_document, open_page
    from fillcards.readback.scales import find_scales

    areas = []
    with open_document(data) as (document, count):
        for index, look in enumerate(render(data)[:count]):
            area = numpy.zeros_like(look)
            with open_page(document, index) as page:
                scales = find_scales(read_page_marks(page, index + 1))
            for scale in scales:
                edges_mm = scale.wall_mm - 13, scale.wall_mm + 30, scale.places_mm[0] - 3, scale.places_mm[-1] + 3
                left, right, top, bottom = (max(round(edge * DPI / 25.4), 0) for edge in edges_mm)
                area[top:bottom, left:right] = True
            areas.append(area)
    return areas


def find_unlike(one: list[Any], other: list[Any]) -> tuple[int, int, Any]:
    """The page that differs most, from 1; how many of its pixels are ink on one side and have none near them on the
    other, for two renderings may set a letter one pixel apart; and which those are.
    """
    if len(one) != len(other) or any(a.shape != b.shape for a, b in zip(one, other, strict=True)):
        return 0, 10**9, None
    worst: tuple[int, int, Any] = (1, 0, None)
    for number, (a, b) in enumerate(zip(one, other, strict=True), start=1):
        if (a == b).all():
            continue
        unlike = (a & ~_grow(b)) | (b & ~_grow(a))
        if (pixels := int(unlike.sum())) > worst[1]:
            worst = number, pixels, unlike
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
