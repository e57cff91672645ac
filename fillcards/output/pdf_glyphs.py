"""Words in other faces than Fillcards Text inside a PDF: glyphs under codes of their own.

A face in one weight becomes one composite font (ISO 32000-1, 9.7) whose codes are numbered through by what they stand
for, so that a Latin A and a Cyrillic one that look alike stay two characters. Its file is a subset pinned out of the
variable font. The word behind shaped glyphs stands beside them as ``ActualText`` (ISO 32000-1, 14.9.4).
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from itertools import pairwise
from typing import Final, NamedTuple

from fillcards.output.pdf_file import PdfFile, write_reference
from fillcards.output.pdf_font_parts import make_subset_tag, write_to_unicode
from fillcards.typeface.faces import Face
from fillcards.typeface.shaping import Glyph, make_subset, measure_glyph_em, set_word

_PER_EM: Final = 1000


class Sign(NamedTuple):
    """A glyph and what it stands for; ``""`` where another one stands for its letters."""

    text: str
    number: int


def list_signs(word: str, face: Face, bold: bool) -> tuple[tuple[Sign, Glyph], ...]:
    """The glyphs of a word from left to right, each with its letters."""
    glyphs = set_word(word, face, bold)
    ends = dict(pairwise([*sorted({glyph.cluster for glyph in glyphs}), len(word)]))
    told: set[int] = set()
    signs = []
    for glyph in glyphs:
        text = "" if glyph.cluster in told else word[glyph.cluster : ends[glyph.cluster]]
        told.add(glyph.cluster)
        signs.append((Sign(text, glyph.number), glyph))
    return tuple(signs)


class GlyphFont:
    """One face in one weight, as a card uses it.

    Args:
        name: in the resources of the pages.
        face: which.
        bold: its weight.
        words: every word that is set in it.
    """

    def __init__(self, name: str, face: Face, bold: bool, words: Iterable[str]) -> None:
        self.name = name
        self._face = face
        self._bold = bold
        signs = {sign for word in words for sign, _ in list_signs(word, face, bold)}
        self._code_of = {sign: code for code, sign in enumerate(sorted(signs), start=1)}

    def encode(self, sign: Sign) -> str:
        """Its code in hexadecimal digits."""
        return f"{self._code_of[sign]:04X}"

    def write(self, file: PdfFile) -> int:
        """Add the font to a file; returns the number of its object."""
        face, bold = self._face, self._bold
        program, new_number = make_subset(face, bold, {sign.number for sign in self._code_of})
        tag = make_subset_tag(repr((bold, tuple(self._code_of))))
        name = f"{tag}+{face.name}-{'Bold' if bold else 'Regular'}"
        program_number = file.add_deflated(zlib.compress(program), f"/Length1 {len(program)}")
        descriptor = file.add(
            f"<</Type/FontDescriptor/FontName/{name}/Flags 4/FontBBox[-1000 -1000 3000 1500]/ItalicAngle 0"
            f"/Ascent 1069/Descent -293/CapHeight 714/StemV {140 if bold else 90}"
            f"/FontFile2 {write_reference(program_number)}>>"
        )
        places = b"".join(new_number[sign.number].to_bytes(2) for sign in self._code_of)
        to_glyph = file.add_deflated(zlib.compress(b"\0\0" + places))
        widths = (f"{_PER_EM * measure_glyph_em(face, bold, sign.number):g}" for sign in self._code_of)
        below = file.add(
            f"<</Type/Font/Subtype/CIDFontType2/BaseFont/{name}/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)"
            f"/Supplement 0>>/DW 0/W[1[{' '.join(widths)}]]/CIDToGIDMap {write_reference(to_glyph)}"
            f"/FontDescriptor {write_reference(descriptor)}>>"
        )
        # A glyph whose letters another one has is a joiner.
        characters = ((code, sign.text or chr(0x200D)) for sign, code in self._code_of.items())
        to_unicode = file.add_deflated(zlib.compress(write_to_unicode(name, 2, characters).encode("ascii")))
        return file.add(
            f"<</Type/Font/Subtype/Type0/BaseFont/{name}/Encoding/Identity-H"
            f"/DescendantFonts[{write_reference(below)}]/ToUnicode {write_reference(to_unicode)}>>"
        )
