"""Where the font files are: beside this module, known by their sums."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Final

from fillcards.problems import OutputError
from fillcards.typeface.metrics import read_widths_file

FOLDER: Final = Path(__file__).parent


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
    if f"# {style} SHA-256 {digest}\n" not in read_widths_file():
        raise OutputError(f"the font file {path.name} is damaged: install Fillcards again")
    return path
