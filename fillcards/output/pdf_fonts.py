"""The typeface inside a PDF: which characters a card uses, their codes, and the embedded subsets.

A face becomes one simple TrueType font (ISO 32000-1, 9.6.3) for the first 128 characters beyond ASCII that a card
uses, and one more for each further 128. Printable ASCII always has its own codes and is always embedded: the subset
is then the same for nearly every card, and codes do not depend on the order in which text is drawn. Each subset's
name carries a digest of its characters, so that programs which join files by font name cannot mix two subsets up.
"""

from __future__ import annotations

import sys
import zlib
from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import groupby
from threading import Lock
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeAlias

from fillcards.output.pdf_file import PdfFile, write_reference
from fillcards.output.pdf_font_parts import make_subset_tag, write_to_unicode
from fillcards.problems import InternalFault, OutputError
from fillcards.typeface import find_font_file
from fillcards.typeface.faces import Face

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFontFace

    from fillcards.output.pdf_glyphs import GlyphFont

FIRST_CODE: Final = 0x20
ASCII: Final = tuple(range(FIRST_CODE, 0x7F))
FIRST_FREE_CODE: Final = 0x80
CODES_A_SUBSET: Final = 0x100 - FIRST_FREE_CODE

"""Entries of one ``bfchar`` block (Adobe Technical Note 5411, 1.4.1)."""

_subsetting = Lock()

OtherWords: TypeAlias = Mapping[tuple[Face, bool], Iterable[str]]
"""Of each other face and whether it is bold, the words that are set in it."""


class Subset(NamedTuple):
    """One embedded font: ``name`` in the page's resources, and the characters from code 0x80 on."""

    name: str
    bold: bool
    beyond_ascii: tuple[int, ...]


class CardFonts:
    """The fonts of one document.

    Args:
        regular: every character set in the regular face.
        bold: every character set in the bold face.
        others: what is set in other faces.

    Raises:
        InternalFault: for a character the face has no glyph for; it would vanish without a trace. Coverage is
            checked long before, where the message can name the place in the file.
    """

    def __init__(self, regular: Iterable[str], bold: Iterable[str], others: OtherWords | None = None) -> None:
        self._subsets: list[Subset] = []
        self._code_of: dict[bool, dict[str, tuple[int, str]]] = {}
        for is_bold, used in ((False, frozenset(regular)), (True, frozenset(bold))):
            if used:
                self._code_of[is_bold] = self._assign_codes(is_bold, used)
        self.others: dict[tuple[Face, bool], GlyphFont] = {}
        if others:
            from fillcards.output.pdf_glyphs import GlyphFont

            for number, ((face, weight), words) in enumerate(others.items(), start=1):
                self.others[face, weight] = GlyphFont(f"G{number}", face, weight, words)

    def _assign_codes(self, bold: bool, used: frozenset[str]) -> dict[str, tuple[int, str]]:
        known = load_face(bold).charToGlyph
        for character in sorted(used):
            if not known.get(ord(character)):
                raise InternalFault(f"the typeface has no glyph for U+{ord(character):04X}")
        first = len(self._subsets)
        beyond = sorted(ord(character) for character in used if ord(character) not in ASCII)
        for start in range(0, max(len(beyond), 1), CODES_A_SUBSET):
            name = f"F{len(self._subsets) + 1}"
            self._subsets.append(Subset(name, bold, tuple(beyond[start : start + CODES_A_SUBSET])))
        codes = {chr(code): (first, chr(code)) for code in ASCII}
        for position, code in enumerate(beyond):
            subset, offset = divmod(position, CODES_A_SUBSET)
            codes[chr(code)] = (first + subset, chr(FIRST_FREE_CODE + offset))
        return codes

    def encode_run(self, text: str, bold: bool) -> list[tuple[str, str]]:
        """The run as (font name, codes as Latin-1 text), one pair for each change of font."""
        codes = self._code_of[bold]
        if text.isascii():
            # Nearly every run; its codes are its characters.
            return [(self._subsets[codes[" "][0]].name, text)]
        pairs = [codes[character] for character in text]
        return [
            (self._subsets[subset].name, "".join(code for _, code in group))
            for subset, group in groupby(pairs, key=lambda pair: pair[0])
        ]

    def write(self, file: PdfFile) -> str:
        """Add the fonts to the file; returns the ``Font`` entry of the pages' resources."""
        written = [(subset.name, _write_font(file, subset)) for subset in self._subsets]
        written += [(font.name, font.write(file)) for font in self.others.values()]
        return f"<<{''.join(f'/{name} {write_reference(number)}' for name, number in written)}>>"


def _import_ttfonts() -> Any:
    """Reportlab's fonts without the shaper that it loads where it finds one: 40 ms of every card, and never used."""
    is_hidden = "uharfbuzz" not in sys.modules
    if is_hidden:
        sys.modules["uharfbuzz"] = None  # type: ignore[assignment]  # Python's own sign for what cannot be imported
    try:
        from reportlab.pdfbase import ttfonts
    finally:
        if is_hidden:
            del sys.modules["uharfbuzz"]
    return ttfonts


@lru_cache(maxsize=2)
def load_face(bold: bool) -> TTFontFace:
    """The parsed font file. Parsing takes a millisecond, so both faces are kept; they are never altered.

    Raises:
        OutputError: if the font file is not installed, or has gone since it was found.
    """
    ttfonts = _import_ttfonts()
    path = find_font_file(bold)
    try:
        face: TTFontFace = ttfonts.TTFontFace(str(path))
    except ttfonts.TTFError:
        raise OutputError(f"the font file {path.name} cannot be read: install Fillcards again") from None
    return face


@lru_cache(maxsize=16)
def _make_font_file(bold: bool, characters: tuple[int, ...]) -> tuple[bytes, int]:
    """The subset's font program, deflated, and its length before that."""
    with _subsetting:  # reportlab's parser keeps its reading position in the face
        program = load_face(bold).makeSubset((0,) * FIRST_CODE + characters)
    return zlib.compress(program), len(program)


def _write_font(file: PdfFile, subset: Subset) -> int:
    face = load_face(subset.bold)
    # Code 0x7F has no character; the subset's table counts it so that the codes from 0x80 fall into place.
    characters = (*ASCII, 0, *subset.beyond_ascii)
    program, length = _make_font_file(subset.bold, characters)
    name = f"{make_subset_tag(f'{subset.bold} {characters}')}+{face.name.decode('ascii')}"
    program_number = file.add_deflated(program, f"/Length1 {length}")
    box = " ".join(f"{edge:g}" for edge in face.bbox)
    descriptor = file.add(
        f"<</Type/FontDescriptor/FontName/{name}/Flags {face.flags}/FontBBox[{box}]/ItalicAngle {face.italicAngle:g}"
        f"/Ascent {face.ascent:g}/Descent {face.descent:g}/CapHeight {face.capHeight:g}/StemV {face.stemV:g}"
        f"/MissingWidth {face.defaultWidth:g}/FontFile2 {write_reference(program_number)}>>"
    )
    # Nothing maps to zero.
    ascii_block = f"1 beginbfrange\n<{ASCII[0]:02X}> <{ASCII[-1]:02X}> <{ASCII[0]:04X}>\nendbfrange"
    beyond = enumerate(map(chr, subset.beyond_ascii), start=FIRST_FREE_CODE)
    to_unicode = file.add_deflated(zlib.compress(write_to_unicode(name, 1, beyond, (ascii_block,)).encode("ascii")))
    widths = " ".join(f"{face.charWidths.get(character, face.defaultWidth):g}" for character in characters)
    return file.add(
        f"<</Type/Font/Subtype/TrueType/BaseFont/{name}/FirstChar {FIRST_CODE}"
        f"/LastChar {FIRST_CODE + len(characters) - 1}/Widths[{widths}]"
        f"/FontDescriptor {write_reference(descriptor)}/ToUnicode {write_reference(to_unicode)}>>"
    )
