"""Makes the typeface of the cards, and its table of widths, from the packaged files of Atkinson Hyperlegible.

Run ``python tests/typeface/make_typeface.py`` after a new version of the package: it writes the two font files and
``widths.tsv`` in ``fillcards/typeface/``; the tests then say which constants have moved.

What is changed, and why:

* The zero loses its stroke. A slashed zero is on the published list of error-prone signs, and readers took it for an
  8. The stroke cuts the counter in two; the upper right and the lower left quarter of the counter are whole, and the
  zero is as wide on its left as on its right, so the two quarters and their mirror images are the counter.
* Hinting goes: its instructions speak of points the zero no longer has, and a card is drawn at sizes that need none.
* Kerning and alternative figures go: the width of a text is the sum of the widths of its characters in every output,
  in a browser too.
* The name, as a changed face should not pass for the original. Its licence has no reserved name; copyright notice and
  licence stay.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterator
from importlib.util import find_spec
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from fontTools import subset
from fontTools.ttLib import TTFont

FOLDER: Final = Path(__file__).parents[2] / "fillcards" / "typeface"
FAMILY: Final = "Fillcards Text"
STYLES: Final = ("Regular", "Bold")

# Marks that join the letter before them, format and control characters: the font has some, but nothing here shapes
# text, so they would land beside their letter or not be seen.
_NOT_MEASURED: Final = {"Mn", "Cf", "Cc", "Co"}

# Name table (OpenType, "name"): copyright, licence, address of the licence. The others are written anew or left out.
_KEPT_NAMES: Final = {0, 13, 14}

_Point = tuple[int, int, int]
"""Place in font units, and 1 where the outline goes through the point."""


def find_packaged_file(style: str) -> Path:
    """The packaged font file of a style, ``Regular`` or ``Bold``."""
    spec = find_spec("fontpkg_atkinson_hyperlegible")
    assert spec
    assert spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0], "files", f"AtkinsonHyperlegible-{style}.ttf")


def find_licence() -> Path:
    """The licence that comes with the packaged files."""
    return find_packaged_file("Regular").parents[1] / "LICENSE"


def name_file(style: str) -> str:
    """File name of our own face of a style."""
    return f"{FAMILY.replace(' ', '')}-{style}.ttf"


def make_font(style: str) -> bytes:
    """Our own font file of a style."""
    font = TTFont(find_packaged_file(style), recalcTimestamp=False)
    for table in ("DSIG", "GDEF", "GPOS", "GSUB", "gasp"):
        del font[table]
    _make_zero_plain(font)
    subsetter = subset.Subsetter(subset.Options(hinting=False, glyph_names=False, notdef_outline=True, name_IDs=["*"]))
    subsetter.populate(unicodes=list(font.getBestCmap()))
    subsetter.subset(font)
    _rename(font, style)
    file = BytesIO()
    font.save(file)
    return file.getvalue()


def _make_zero_plain(font: TTFont) -> None:
    glyph = font["glyf"]["zero"]
    outer, *halves = _list_contours(glyph)
    counter = list(_join_halves(*halves))
    points = [*outer, *counter]
    glyph.coordinates = type(glyph.coordinates)([(x, y) for x, y, _ in points])
    glyph.flags = type(glyph.flags)(on for _, _, on in points)
    glyph.endPtsOfContours = [len(outer) - 1, len(points) - 1]
    glyph.numberOfContours = 2
    glyph.recalcBounds(font["glyf"])


def _list_contours(glyph: Any) -> list[list[_Point]]:
    points = [(x, y, on & 1) for (x, y), on in zip(glyph.coordinates, glyph.flags, strict=True)]
    starts = [0, *(end + 1 for end in glyph.endPtsOfContours)]
    return [points[start:end] for start, end in pairwise(starts)]


def _join_halves(one: list[_Point], other: list[_Point]) -> Iterator[_Point]:
    """The whole counter, once round in the direction of its halves."""
    left, right = sorted((one, other), key=max)
    upper_right = _take_arc(right, start=max(_list_drawn(right)), end=max(_list_drawn(right), key=_find_height))
    lower_left = _take_arc(left, start=min(_list_drawn(left)), end=min(_list_drawn(left), key=_find_height))
    twice_middle = upper_right[0][0] + lower_left[0][0]
    yield from upper_right
    yield from _mirror(upper_right, twice_middle)[1:-1]
    yield from lower_left
    yield from _mirror(lower_left, twice_middle)[1:-1]


def _list_drawn(contour: list[_Point]) -> list[_Point]:
    """The points the outline goes through; it only bends towards the others."""
    return [point for point in contour if point[2]]


def _find_height(point: _Point) -> int:
    return point[1]


def _take_arc(contour: list[_Point], *, start: _Point, end: _Point) -> list[_Point]:
    first = contour.index(start)
    turned = contour[first:] + contour[:first]
    return turned[: turned.index(end) + 1]


def _mirror(arc: list[_Point], twice_middle: int) -> list[_Point]:
    return [(twice_middle - x, y, on) for x, y, on in reversed(arc)]


def _rename(font: TTFont, style: str) -> None:
    names = font["name"]
    version = names.getDebugName(5).split(";")[0]
    names.names = [record for record in names.names if record.nameID in _KEPT_NAMES]
    postscript_name = name_file(style).removesuffix(".ttf")
    full_name, version = f"{FAMILY} {style}", f"{version}; plain zero"
    texts = (FAMILY, style, f"{full_name}, {version}", full_name, version, postscript_name)
    for name_id, text in enumerate(texts, start=1):
        names.setName(text, name_id, 3, 1, 0x409)


def make_widths() -> str:
    """The text of the table of widths: those of every character that may stand on a card."""
    lines = ["# Widths of characters in 1/1000 em: code point, regular, bold. Made by tests/typeface/make_typeface.py."]
    files = {style: make_font(style) for style in STYLES}
    lines += [f"# {style} SHA-256 {hashlib.sha256(file).hexdigest()}" for style, file in files.items()]
    regular, bold = (_read_widths(file) for file in files.values())
    assert regular.keys() == bold.keys()
    lines += [f"{code:04X}\t{regular[code]}\t{bold[code]}" for code in sorted(regular)]
    return "\n".join(lines) + "\n"


def _read_widths(file: bytes) -> dict[int, int]:
    font = TTFont(BytesIO(file))
    assert font["head"].unitsPerEm == 1000
    return {
        code: font["hmtx"][glyph][0]
        for code, glyph in font.getBestCmap().items()
        if unicodedata.category(chr(code)) not in _NOT_MEASURED
    }


if __name__ == "__main__":
    for each in STYLES:
        (FOLDER / name_file(each)).write_bytes(make_font(each))
    (FOLDER / "widths.tsv").write_text(make_widths(), encoding="ascii")
    (FOLDER / "OFL.txt").write_bytes(find_licence().read_bytes())
