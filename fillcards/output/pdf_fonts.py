"""The typefaces inside a PDF: which characters a card uses, their codes, and the embedded subsets.

Fillcards Text in one weight becomes one simple TrueType font (ISO 32000-1, 9.6.3) for the first 128 characters beyond
ASCII that a card uses, and one more for each further 128. Printable ASCII always has its own codes and is always
embedded: the subset is then the same for nearly every card, and codes do not depend on the order in which text is
drawn. Each subset's name carries a digest of its characters, so that programs which join files by font name cannot mix
two subsets up.

Another face in one weight becomes one composite font (ISO 32000-1, 9.7) whose codes are numbered through by what they
stand for, so that a Latin A and a Cyrillic one that look alike stay two characters. Its file is a subset pinned out of
the variable font. The word behind shaped glyphs stands beside them as ``ActualText`` (ISO 32000-1, 14.9.4).
"""

from __future__ import annotations

import hashlib
import sys
import zlib
from collections.abc import Iterable
from functools import lru_cache
from itertools import groupby, pairwise
from threading import Lock
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from fillcards.output.pdf_file import PdfFile, write_reference
from fillcards.picture.items import Text
from fillcards.problems import InternalFault, OutputError
from fillcards.typeface import find_font_file
from fillcards.typeface.faces import Face
from fillcards.typeface.segments import cut_segments, is_plain
from fillcards.typeface.shaping import Glyph, make_subset, measure_glyph_em, set_word

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFontFace

FIRST_CODE: Final = 0x20
ASCII: Final = tuple(range(FIRST_CODE, 0x7F))
FIRST_FREE_CODE: Final = 0x80
CODES_A_SUBSET: Final = 0x100 - FIRST_FREE_CODE

MOST_IN_A_BLOCK: Final = 100
"""Entries of one ``bfchar`` block (Adobe Technical Note 5411, 1.4.1)."""

_PER_EM: Final = 1000

_subsetting = Lock()


class Subset(NamedTuple):
    """One embedded font: ``name`` in the page's resources, and the characters from code 0x80 on."""

    name: str
    bold: bool
    beyond_ascii: tuple[int, ...]


class CardFonts:
    """The fonts of one document.

    Args:
        texts: everything that is set in it.

    Raises:
        InternalFault: for a character no face has a glyph for; it would vanish without a trace. Coverage is
            checked long before, where the message can name the place in the file.
    """

    def __init__(self, texts: Iterable[Text]) -> None:
        plain: dict[bool, set[str]] = {False: set(), True: set()}
        others: dict[tuple[Face, bool], set[str]] = {}
        for item in texts:
            if is_plain(item.text, item.bold, item.language):
                plain[item.bold].update(item.text)
                continue
            # A space is put at the end of a line.
            for part, face in cut_segments(f"{item.text} ", item.bold, item.language):
                if face is None or (face.is_right_to_left and part.isspace()):
                    plain[item.bold].update(part)
                else:
                    others.setdefault((face, item.bold), set()).add(part)
        self._subsets: list[Subset] = []
        self._code_of = {bold: self._assign_codes(bold, used) for bold, used in plain.items() if used}
        ordered = sorted(others.items(), key=lambda pair: (pair[0][0].name, pair[0][1]))
        self.others = {
            key: GlyphFont(f"G{number}", *key, words) for number, (key, words) in enumerate(ordered, start=1)
        }

    def _assign_codes(self, bold: bool, used: set[str]) -> dict[str, tuple[int, str]]:
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
    name = f"{_make_subset_tag(f'{subset.bold} {characters}')}+{face.name.decode('ascii')}"
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
    to_unicode = file.add_deflated(zlib.compress(_write_to_unicode(name, 1, beyond, (ascii_block,)).encode("ascii")))
    widths = " ".join(f"{face.charWidths.get(character, face.defaultWidth):g}" for character in characters)
    return file.add(
        f"<</Type/Font/Subtype/TrueType/BaseFont/{name}/FirstChar {FIRST_CODE}"
        f"/LastChar {FIRST_CODE + len(characters) - 1}/Widths[{widths}]"
        f"/FontDescriptor {write_reference(descriptor)}/ToUnicode {write_reference(to_unicode)}>>"
    )


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
        tag = _make_subset_tag(repr((bold, tuple(self._code_of))))
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
        to_unicode = file.add_deflated(zlib.compress(_write_to_unicode(name, 2, characters).encode("ascii")))
        return file.add(
            f"<</Type/Font/Subtype/Type0/BaseFont/{name}/Encoding/Identity-H"
            f"/DescendantFonts[{write_reference(below)}]/ToUnicode {write_reference(to_unicode)}>>"
        )


def _make_subset_tag(content: str) -> str:
    """Six capital letters (ISO 32000-1, 9.6.4), one set of letters for one set of glyphs.

    Args:
        content: what is in the subset, in words.
    """
    digest = hashlib.sha256(content.encode()).digest()
    return "".join(chr(ord("A") + byte % 26) for byte in digest[:6])


def _write_to_unicode(
    name: str, code_bytes: int, characters: Iterable[tuple[int, str]], first: tuple[str, ...] = ()
) -> str:
    """Codes back to characters (ISO 32000-1, 9.10.3), for search, copying and reading aloud.

    Args:
        name: of the font.
        code_bytes: how long a code is.
        characters: each code with what it stands for.
        first: blocks before theirs, as they stand in the file.
    """
    digits = 2 * code_bytes
    entries = [f"<{code:0{digits}X}> <{text.encode('utf-16-be').hex().upper()}>" for code, text in characters]
    blocks = [*first]
    for start in range(0, len(entries), MOST_IN_A_BLOCK):
        block = entries[start : start + MOST_IN_A_BLOCK]
        blocks.append("\n".join((f"{len(block)} beginbfchar", *block, "endbfchar")))
    body = "\n".join(blocks)
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo <</Registry (Adobe)/Ordering (UCS)/Supplement 0>> def\n"
        f"/CMapName /{name}-UCS def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<{'0' * digits}> <{'F' * digits}>\nendcodespacerange\n{body}\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
    )
