"""Words in other faces than Fillcards Text: measured, set anew, and held against the ink of the page.

What a file says of such a word is a guess at most. The word is set anew, from the packaged font and not from the one in
the file, and drawn again; then strong pixels of one picture with nothing near them in the other are counted. Tried
figures, at 48 pixels an em: the same word 0, a lost dot or tone mark 8 and more, another digit 66 and more.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor
from typing import Final, NamedTuple, Protocol

from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import find_missing_glyphs, measure_width_mm
from fillcards.typeface.faces import FACES, Face

LEAST_EM_PX: Final = 48
"""Pixels of the type size from which on a lost dot is seen; at 24 it was not."""
MOST_ODD: Final = 3
STRONG: Final = 160
WEAK: Final = 64
EDGE_PX: Final = 3
_DARK_STRONG, _DARK_WEAK = (bytes(255 - level > least for level in range(256)) for least in (STRONG, WEAK))
_LIGHT_STRONG, _LIGHT_WEAK = (bytes(level > least for level in range(256)) for least in (STRONG, WEAK))


class Setting(NamedTuple):
    """A word in a face (``None``: Fillcards Text): how large and how heavy, and where its baseline begins."""

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    bold: bool
    face: Face | None


class Raster(Protocol):
    """A page in grey, as far as it is asked here."""

    px_per_mm: float

    def list_rows(self, box: tuple[int, int, int, int]) -> list[bytearray]:
        """Rows of a rectangle."""
        ...


def read_face(font_name: bytes) -> Face | None:
    """The face that a font in a file claims to be; ``None`` for Fillcards Text."""
    family = font_name.rpartition(b"+")[2].partition(b"-")[0]
    return next((face for face in FACES if face.name.encode("ascii") == family), None)


def measure_in_face_mm(text: str, size_pt: float, bold: bool, face: Face | None) -> float:
    """Width of a run."""
    if face is None:
        return measure_width_mm(text, size_pt, bold)
    from fillcards.typeface.shaping import measure_word_em

    return measure_word_em(text, face, bold) * convert_pt_to_mm(size_pt)


def lacks_letters(text: str, bold: bool, face: Face | None) -> bool:
    """Whether a face does not have all of a text."""
    if face is None:
        return bool(find_missing_glyphs(text, bold))
    from fillcards.typeface.shaping import list_signs

    return not list_signs(face).issuperset(text)


def place_glyphs(word: Setting) -> Iterator[tuple[int, float, float]]:
    """The glyphs of a word, set anew: each one's number, how far right of its beginning and how far up, in pt."""
    from fillcards.typeface.shaping import set_word

    x = 0.0
    for glyph in set_word(word.text, word.face, word.bold) if word.face else ():
        yield glyph.number, (x + glyph.right) * word.size_pt, glyph.up * word.size_pt
        x += glyph.advance


def measure_ink_mm(word: Setting) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a word's ink, set anew."""
    from fillcards.typeface.shaping import draw_glyph

    xs, ys = [word.x_mm], [word.y_mm]
    em_mm = convert_pt_to_mm(word.size_pt)
    for number, x_pt, y_pt in place_glyphs(word):
        left_mm, base_mm = word.x_mm + convert_pt_to_mm(x_pt), word.y_mm - convert_pt_to_mm(y_pt)
        for _, points in draw_glyph(word.face, word.bold, number) if word.face else ():
            xs += [left_mm + x * em_mm for x, _ in points]
            ys += [base_mm - y * em_mm for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def is_same_ink(seen: Raster, meant: Raster, word: Setting, *, is_light: bool) -> bool:
    """Whether a word looks like what it says."""
    edges = [edge * seen.px_per_mm for edge in measure_ink_mm(word)]
    box = floor(edges[0]), floor(edges[1]), ceil(edges[2]), ceil(edges[3])
    strong, weak = (_LIGHT_STRONG, _LIGHT_WEAK) if is_light else (_DARK_STRONG, _DARK_WEAK)
    seen_strong, seen_weak, width = _pack(seen, box, strong, weak)
    meant_strong, meant_weak, _ = _pack(meant, box, _DARK_STRONG, _DARK_WEAK)
    if not meant_strong:
        return False
    odd = (seen_strong & ~_spread(meant_weak, width)).bit_count()
    odd += (meant_strong & ~_spread(seen_weak, width)).bit_count()
    return odd <= MOST_ODD


def _pack(raster: Raster, box: tuple[int, int, int, int], strong: bytes, weak: bytes) -> tuple[int, int, int]:
    """Strong pixels of a box, weak ones of it and a little more round it, as numbers with eight bits a pixel; and how
    many pixels a row of them has.
    """
    left, top, right, bottom = box
    rows = raster.list_rows((left - EDGE_PX, top - EDGE_PX, right + EDGE_PX, bottom + EDGE_PX))
    width = len(rows[0]) if rows else 0
    blank = bytes(width)
    inner = slice(EDGE_PX, width - EDGE_PX)
    edge = bytes(EDGE_PX)
    middle = rows[EDGE_PX : len(rows) - EDGE_PX]
    packed = b"".join(
        [blank * EDGE_PX, *(edge + row[inner].translate(strong) + edge for row in middle), blank * EDGE_PX]
    )
    return int.from_bytes(packed), int.from_bytes(b"".join(rows).translate(weak)), width


def _spread(pixels: int, width: int) -> int:
    """Every pixel, and those round it."""
    wide = pixels | pixels << 8 | pixels >> 8
    return wide | wide << 8 * width | wide >> 8 * width
