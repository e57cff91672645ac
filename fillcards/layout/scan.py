"""A fill's code to scan, with what it is beside it. It stands where a side has room to spare, and nowhere else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

from fillcards.card.model import Card, FillCard
from fillcards.card.scan_code import write_scan_words
from fillcards.layout.grid import At, Piece, put
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import GAP_MM
from fillcards.picture.items import Item
from fillcards.picture.scan_code import MODULES_MM, draw_scan_code, measure_scan_code_mm
from fillcards.quantities import convert_pt_to_mm
from fillcards.wording.messages import say

CAPTION_EM: Final = 5.0
"""Least width of the words beside a code."""


def list_scan_codes(
    setter: Setter, card: Card, fills: Sequence[FillCard], body_pt: float, width_mm: float
) -> Iterator[Piece]:
    """Rows of codes, one for each fill, all of one size, the largest row first.

    None where a fill's words are no code: without one of them a hand would scan another's.
    """
    words = [told for fill in fills if (told := write_scan_words(card, fill)) is not None]
    if len(words) < len(fills):
        return
    column_mm = (width_mm - (len(fills) - 1) * GAP_MM) / len(fills)
    for module_mm in MODULES_MM:
        side_mm = measure_scan_code_mm(module_mm)
        caption_mm = column_mm - side_mm
        if caption_mm < CAPTION_EM * convert_pt_to_mm(body_pt):
            continue
        parts: list[At] = []
        for index, (fill, told) in enumerate(zip(fills, words, strict=True)):
            x_mm = index * (column_mm + GAP_MM)
            caption = setter.text(say("scan-caption", text=fill.title), body_pt, caption_mm)
            draw = partial(setter.remember, ("code", told, module_mm), partial(_draw, told, module_mm))
            code = setter.late_figure(side_mm, side_mm, draw, say("alt-scan"))
            parts += (At(code, x_mm, 0.0), At(caption, x_mm + side_mm, 0.0))
        yield put(width_mm, max(part.piece.height_mm for part in parts), parts)


def _draw(words: str, module_mm: float) -> tuple[Item, ...]:
    return draw_scan_code(words, module_mm).items
