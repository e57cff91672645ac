"""Makes ``fillcards/typeface/widths.tsv`` from the installed font files.

Run ``python tests/typeface/make_widths.py > fillcards/typeface/widths.tsv`` after a new version of the typeface; the
tests then say which constants have moved.
"""

from __future__ import annotations

import hashlib
import sys
import unicodedata
from importlib.util import find_spec
from pathlib import Path

from fontTools.ttLib import TTFont

# Marks that join the letter before them, format and control characters: the font has some, but nothing here shapes
# text, so they would land beside their letter or not be seen.
_LEFT_OUT = {"Mn", "Cf", "Cc", "Co"}


def find_installed_file(style: str) -> Path:
    """The font file of a style, ``Regular`` or ``Bold``."""
    spec = find_spec("fontpkg_atkinson_hyperlegible")
    assert spec
    assert spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0], "files", f"AtkinsonHyperlegible-{style}.ttf")


def read_widths(style: str) -> dict[int, int]:
    """Advance width in 1/1000 em of every character that may stand on a card."""
    font = TTFont(find_installed_file(style))
    assert font["head"].unitsPerEm == 1000
    advances = font["hmtx"].metrics
    return {
        code: advances[glyph][0]
        for code, glyph in font.getBestCmap().items()
        if unicodedata.category(chr(code)) not in _LEFT_OUT
    }


def make_widths() -> str:
    """The text of the file."""
    regular, bold = read_widths("Regular"), read_widths("Bold")
    lines = ["# Widths of characters in 1/1000 em: code point, regular, bold. Made by tests/typeface/make_widths.py."]
    for style in ("Regular", "Bold"):
        digest = hashlib.sha256(find_installed_file(style).read_bytes()).hexdigest()
        lines.append(f"# {style} SHA-256 {digest}")
    assert regular.keys() == bold.keys()
    lines += [f"{code:04X}\t{regular[code]}\t{bold[code]}" for code in sorted(regular)]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(make_widths())
