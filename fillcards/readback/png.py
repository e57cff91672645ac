"""Png pictures against pictures of the pdf file that was read back, drawn anew here.

Both are drawn by the same library and must be the same pixel by pixel.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import TYPE_CHECKING, Any

from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import measure_page_pt
from fillcards.readback.render import Raster, render_size

if TYPE_CHECKING:
    from PIL.Image import Image


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
