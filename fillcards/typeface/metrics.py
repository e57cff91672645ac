"""Fillcards Text: its measures, the widths of its characters from ``widths.tsv``, and its files, known by their sums.

Left out of the table though the font has them: combining marks, soft hyphens and control characters, because
nothing here shapes text. Sizes in points.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Final

from fillcards.problems import InternalFault, OutputError
from fillcards.quantities import MM_PER_POINT

X_HEIGHT_EM: Final = 0.496
"""Height of the letter x, in parts of the type size; the same in both weights."""
CAP_HEIGHT_EM: Final = 0.668
"""Height of the letter H; figures are 0.012 higher."""
ACCENT_EM: Final = 0.885
"""Height of an accented capital, the tallest ink that text needs room for."""
DESCENDER_EM: Final = 0.21
"""Depth of the deepest letter, a positive number."""

FOLDER: Final = Path(__file__).parent
WIDTHS_FILE: Final = FOLDER / "widths.tsv"
MM_PER_POINT_FLOAT: Final = float(MM_PER_POINT)


@lru_cache(maxsize=1)
def load_widths() -> tuple[dict[str, float], dict[str, float]]:
    """Width of each character in parts of the type size: regular, bold. Not to be altered.

    Raises:
        InternalFault: the table that comes with the package is missing.
    """
    regular: dict[str, float] = {}
    bold: dict[str, float] = {}
    for line in _read_widths_file().splitlines():
        if line.startswith("#"):
            continue
        code, regular_width, bold_width = line.split("\t")
        character = chr(int(code, 16))
        regular[character] = int(regular_width) / 1000
        bold[character] = int(bold_width) / 1000
    return regular, bold


def _read_widths_file() -> str:
    """The text of the table, its head with the sums of the font files included.

    Raises:
        InternalFault: it is missing.
    """
    try:
        return WIDTHS_FILE.read_text(encoding="ascii")
    except OSError as error:
        raise InternalFault(f"{WIDTHS_FILE.name} cannot be read ({error.strerror}): install Fillcards again") from error


@lru_cache(maxsize=2)
def find_font_file(bold: bool) -> Path:
    """The font file of a weight, byte for byte the one whose widths were measured.

    Raises:
        OutputError: it is missing or damaged.
    """
    # In use by the time a card is written, but not where a file is only checked.
    import hashlib

    style = "Bold" if bold else "Regular"
    path = FOLDER / f"FillcardsText-{style}.ttf"
    try:
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        reason = f"the font file {path.name} cannot be read ({error.strerror})"
        raise OutputError(f"{reason}: install Fillcards again") from error
    # With other widths text would run into its neighbours without anybody being told.
    if f"# {style} SHA-256 {digest}\n" not in _read_widths_file():
        raise OutputError(f"the font file {path.name} is damaged: install Fillcards again")
    return path
