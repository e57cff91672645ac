"""Widths of text, and which characters the typeface has, from ``widths.tsv``. Lengths in mm, sizes in points.

Left out of the table though the font has them: combining marks, soft hyphens and control characters, because
nothing here shapes text.
"""

from __future__ import annotations

from functools import lru_cache
from math import fsum
from pathlib import Path
from typing import Final

from fillcards.problems import InternalFault
from fillcards.quantities import MM_PER_POINT

X_HEIGHT_EM: Final = 0.496
"""Height of the letter x, in parts of the type size; the same in both weights."""
CAP_HEIGHT_EM: Final = 0.668
"""Height of the letter H; figures are 0.012 higher."""
ASCENT_EM: Final = 0.95
"""Room above the baseline for every character, accents included."""
DESCENT_EM: Final = 0.29
ACCENT_EM: Final = 0.885
"""Height of an accented capital, the tallest ink that text needs room for."""
DESCENDER_EM: Final = 0.21
"""Depth of the deepest letter; ``DESCENT_EM`` is the room the typeface asks for below it. Positive numbers."""

WIDTHS_FILE: Final = Path(__file__).with_name("widths.tsv")
MM_PER_POINT_FLOAT: Final = float(MM_PER_POINT)


@lru_cache(maxsize=1)
def load_widths() -> tuple[dict[str, float], dict[str, float]]:
    """Width of each character in parts of the type size: regular, bold. Not to be altered.

    Raises:
        InternalFault: the table that comes with the package is missing.
    """
    regular: dict[str, float] = {}
    bold: dict[str, float] = {}
    for line in read_widths_file().splitlines():
        if line.startswith("#"):
            continue
        code, regular_width, bold_width = line.split("\t")
        character = chr(int(code, 16))
        regular[character] = int(regular_width) / 1000
        bold[character] = int(bold_width) / 1000
    return regular, bold


def read_widths_file() -> str:
    """The text of the table, its head with the sums of the font files included.

    Raises:
        InternalFault: it is missing.
    """
    try:
        return WIDTHS_FILE.read_text(encoding="ascii")
    except OSError as error:
        raise InternalFault(f"{WIDTHS_FILE.name} cannot be read ({error.strerror}): install Fillcards again") from error


def measure_width_em(text: str, widths: dict[str, float]) -> float:
    """Width of a run of text in parts of the type size, by one of the two tables of ``load_widths``.

    Raises:
        InternalFault: a character is not in the typeface.
    """
    try:
        return fsum(map(widths.__getitem__, text))
    except KeyError as error:
        code = f"U+{ord(error.args[0]):04X}"
        raise InternalFault(
            f"a text with {code}, which the typeface lacks, was to be measured; please report"
        ) from error
