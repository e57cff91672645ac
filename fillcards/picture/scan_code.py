"""A code for a phone's camera, drawn as black bars in mm. It holds words and nothing else; which, others decide.

Reference: ISO/IEC 18004 (QR code): four modules of white around the symbol; error correction level M, which repairs
about 15 % of it, for folds and stains.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby
from typing import Final

from fillcards.picture.items import Drawing, Ink, Polygon

MODULES_MM: Final = (0.8, 0.7, 0.6, 0.5)
"""Sides of one module, best first: half a millimetre and more, for a hand that shakes and a copy of the page. Common
practice, no source; read in tests blurred, faint and turned."""

QUIET_MODULES: Final = 4

MOST_BYTES: Final = 300
"""More words make a symbol that fills the page, and that a phone must be held still for."""

VERSION: Final = 13
"""The least symbol that holds so many, for every card: whoever checks a page sees what the patient gets, and the words
of a check are longer than those before it.
"""


def draw_scan_code(words: str, module_mm: float = MODULES_MM[0]) -> Drawing:
    """The symbol with its white margin.

    Args:
        words: at most ``MOST_BYTES`` in UTF-8.
        module_mm: side of one module.

    Raises:
        ValueError: for more.
    """
    if count_bytes(words) > MOST_BYTES:
        raise ValueError(f"{count_bytes(words)} bytes of words, more than {MOST_BYTES}")
    side_mm = measure_scan_code_mm(module_mm)
    bars = tuple(bar for row, modules in enumerate(encode(words)) for bar in _list_bars(row, modules, module_mm))
    return Drawing(side_mm, side_mm, bars)


@lru_cache(maxsize=16)  # of a card that is shown again after each key, most codes stay, each as dear as a page
def encode(words: str) -> tuple[bytes, ...]:
    """The symbol's rows of modules, 1 for black."""
    import segno

    # UTF-8 throughout: phones take it for granted, and it is plain ASCII wherever the words are.
    code = segno.make(words, version=VERSION, mode="byte", error="m", boost_error=False, encoding="utf-8")
    return tuple(map(bytes, code.matrix))


def measure_scan_code_mm(module_mm: float) -> float:
    """The side of every symbol with its white margin: ISO/IEC 18004 gives version V 17 + 4 V modules a side."""
    return (17 + 4 * VERSION + 2 * QUIET_MODULES) * module_mm


def count_bytes(words: str) -> int:
    """How much of a code the words take."""
    return len(words.encode())


def _list_bars(row: int, modules: bytes, module_mm: float) -> Iterator[Polygon]:
    """A bar for each run of black modules in a row."""
    top_mm = (QUIET_MODULES + row) * module_mm
    column = QUIET_MODULES
    for is_black, run in groupby(modules):
        length = sum(1 for _ in run)
        if is_black:
            left_mm, right_mm = column * module_mm, (column + length) * module_mm
            bottom_mm = top_mm + module_mm
            corners = ((left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm))
            yield Polygon(corners, Ink.BLACK)
        column += length
