"""Png pictures against pictures of the pdf file that was read back, drawn anew here.

Pages are drawn by the same library and must be the same pixel by pixel. A single barrel is drawn by another one, so
only strong differences count: ink where the other has none nearby.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import measure_page_pt
from fillcards.readback.render import Raster, render_size

if TYPE_CHECKING:
    from PIL.Image import Image

STRONG: Final = 160
FAINT: Final = 64
"""Ink from 0 (none) to 255: what is stronger in one picture than the first must be no fainter than the second, within
one pixel, in the other. Same words drawn by two libraries never differ so; a lost or moved mark does (by trial)."""
WHITE: Final = 255


def find_page_faults(png: bytes, page: Any, dpi: int) -> Iterator[str]:
    """What is wrong with the picture of a page.

    Args:
        png: the file.
        page: pdfium's own.
        dpi: what it must state.
    """
    image, meant = _open(png), render_size(page, measure_page_pt(page), dpi)
    yield from _find_form_faults(image, meant, dpi)
    if image.size == meant.size_px and image.tobytes() != meant.data:
        yield "it is not the picture of its page of the pdf file"


def find_drawing_faults(png: bytes, page: Any, dpi: int) -> Iterator[str]:
    """What is wrong with the picture of a drawing whose pdf page is as large as it is.

    Args:
        png: the file.
        page: pdfium's own.
        dpi: what it must state.
    """
    from PIL import Image

    image, raster = _open(png), render_size(page, measure_page_pt(page), dpi)
    yield from _find_form_faults(image, raster, dpi)
    if image.size == raster.size_px:
        meant = Image.frombytes("L", raster.size_px, raster.data)
        if _has_strong_alone(image, meant):
            yield "it shows something that the pdf file does not show"
        if _has_strong_alone(meant, image):
            yield "it lacks something that the pdf file shows"


def _open(png: bytes) -> Image:
    from PIL import Image, UnidentifiedImageError

    try:
        image = Image.open(BytesIO(png), formats=("PNG",))
        image.load()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        raise UnreadableCard("it is not a png file, or a damaged one") from error
    return image


def _find_form_faults(image: Image, meant: Raster, dpi: int) -> Iterator[str]:
    if image.mode != "L" or image.info.keys() - {"dpi"}:
        yield "it is not plain grey"
    # The file counts dots to the metre.
    if [round(dots * 100 / 2.54) for dots in image.info.get("dpi", ())] != [round(dpi * 100 / 2.54)] * 2:
        yield f"it does not state {dpi} dots per inch"
    if image.size != meant.size_px:
        yield f"it is {image.size[0]} x {image.size[1]} pixels, where {meant.size_px[0]} x {meant.size_px[1]} are meant"


def _has_strong_alone(one: Image, other: Image) -> bool:
    """Whether one has strong ink where the other has next to none within a pixel."""
    from PIL import ImageChops, ImageFilter

    strong = one.point([255 if WHITE - level > STRONG else 0 for level in range(256)])
    near = other.filter(ImageFilter.MinFilter(3))
    faint = near.point([255 if WHITE - level <= FAINT else 0 for level in range(256)])
    return ImageChops.darker(strong, faint).getbbox() is not None
