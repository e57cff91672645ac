"""What pdfium finds painted on a page, as marks: for every file that is not as we write it.

A program that saves a card anew may join runs that stand on one line into a single one with gaps inside; such a run is
taken apart again by the places of its characters. What cannot be read for certain (pictures, shadings, nested content,
slanted or transparent text) is refused: the reader would not know what it covers or says. Lengths in mm, sizes in pt, y
downward.
"""

from __future__ import annotations

import codecs
import ctypes
import re
from collections import defaultdict
from collections.abc import Iterator
from typing import Any, Final

from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.marks import (
    Mark,
    PageMarks,
    Run,
    Shape,
    Stroke,
    gather_marks,
    lacks_letters,
    make_disc,
    make_shape,
    measure_in_face_mm,
    measure_ink_mm,
    place_glyphs,
    read_face,
)
from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import (
    LINECAP_ROUND,
    MM_PER_PT,
    PAGEOBJ_PATH,
    PAGEOBJ_TEXT,
    SEGMENT_BEZIERTO,
    SEGMENT_MOVETO,
    TEXTRENDERMODE_FILL,
    Numbers,
    load_pdfium,
    measure_page_pt,
)
from fillcards.typeface.faces import Face

MOST_OBJECTS: Final = 20_000
MOST_SEGMENTS: Final = 2_000
CIRCLE_SEGMENTS: Final = 13
"""A circle of four curves: one start, four times three points."""
FURTHEST_MM: Final = 7_000.0
LONGEST_RUN: Final = 2_000
MOST_CHARACTERS: Final = 60_000
LARGEST_PT: Final = 2_000.0
BEARING_EM: Final = 0.25
"""The ink of a run may be narrower or wider than its advance by so much before it is looked at letter by letter."""
GAP_EM: Final = 0.12
"""A letter further than this from where the one before it ends begins a run of its own."""
BROKEN_WORD: Final = "\x02"
"""What pdfium gives for the hyphen at the end of a line whose word it takes to go on in the next one. Whether the mark
on the page is a hyphen is looked at like every other."""
_BRACKET: Final = re.compile(r"[()\[\]]")
_ROOM_BYTES: Final = 2 * LONGEST_RUN


def read_page_marks(page: Any, number: int) -> PageMarks:
    """Read a page.

    Args:
        page: pdfium's own, open.
        number: counts from 1; for messages.

    Raises:
        UnreadableCard: something on it cannot be read for certain: text that is slanted, stretched, outlined,
            see-through or invisible, or in characters that the cards' typeface does not have; a path that is no stroke
            or shape; anything else.
    """
    return _PageReader(page, number).read()


class _PageReader:
    """Reads object after object of one page into the same few C variables."""

    def __init__(self, page: Any, number: int) -> None:
        self._pdfium = load_pdfium()
        self._page = page
        self._width_pt, self._height_pt = measure_page_pt(page)
        self._number = number
        self._matrix = Numbers(ctypes.c_float, 6)
        self._point = Numbers(ctypes.c_float, 2)
        self._length = Numbers(ctypes.c_float, 1)
        self._edges = Numbers(ctypes.c_float, 4)
        self._colour = Numbers(ctypes.c_uint, 4)
        self._modes = Numbers(ctypes.c_int, 2)
        self._text = ctypes.create_string_buffer(_ROOM_BYTES)
        self._kinds: dict[int, tuple[bool, Face | None]] = {}
        self._word: tuple[int, Run, tuple[float, float, float, float]] | None = None
        self._letters: dict[int, list[tuple[str, float]]] | None = None

    def read(self) -> PageMarks:
        pdfium = self._pdfium
        count = pdfium.FPDFPage_CountObjects(self._page)
        if not 0 <= count <= MOST_OBJECTS:
            raise self._refuse(f"{count} marks")
        self._text_page = pdfium.FPDFText_LoadPage(self._page)
        if not self._text_page:
            raise UnreadableCard(f"the text of page {self._number} cannot be read")
        try:
            items = [pdfium.FPDFPage_GetObject(self._page, index) for index in range(count)]
            kinds = [pdfium.FPDFPageObj_GetType(item) for item in items]
            texts = [item for item, kind in zip(items, kinds, strict=True) if kind == PAGEOBJ_TEXT]
            faces = [self._read_kind(item)[1] for item in texts]
            self._unshaped = {item for item, face in zip(texts, faces, strict=True) if not (face and face.is_shaped)}
            self._is_turned = any(face is not None and face.is_right_to_left for face in faces)
            painted: list[Mark] = []
            for item, kind in zip(items, kinds, strict=True):
                if kind not in {PAGEOBJ_PATH, PAGEOBJ_TEXT}:
                    raise UnreadableCard(f"page {self._number} holds a picture, a shading or a page within the page")
                painted += self._read_path(item) if kind == PAGEOBJ_PATH else self._read_text(item)
        finally:
            pdfium.FPDFText_ClosePage(self._text_page)
        return gather_marks(self._number, self._width_pt * MM_PER_PT, self._height_pt * MM_PER_PT, painted)

    def _refuse(self, what: str) -> UnreadableCard:
        return UnreadableCard(f"page {self._number} has {what}")

    def _read_level(self, get_colour: Any, item: Any, what: str) -> int:
        get_colour(item, *self._colour.addresses)
        red, green, blue, alpha = self._colour.room[:]
        if alpha != 255:
            raise self._refuse(f"{what} that can be seen through")
        return int(max(red, green, blue))

    def _place(self, x_pt: float, y_pt: float, what: str) -> tuple[float, float]:
        """A place on the page in mm."""
        x_mm, y_mm = x_pt * MM_PER_PT, (self._height_pt - y_pt) * MM_PER_PT
        # Written so that a value that is not a number fails too.
        if not (abs(x_mm) < FURTHEST_MM and abs(y_mm) < FURTHEST_MM):
            raise self._refuse(f"{what} far off the paper")
        return x_mm, y_mm

    def _read_box(self, item: Any, what: str) -> tuple[float, float, float, float]:
        self._pdfium.FPDFPageObj_GetBounds(item, *self._edges.addresses)
        left, bottom, right, top = self._edges.room[:]
        return *self._place(left, top, what), *self._place(right, bottom, what)

    def _read_path(self, path: Any) -> Iterator[Stroke | Shape]:
        pdfium = self._pdfium
        count = pdfium.FPDFPath_CountSegments(path)
        if not 1 <= count <= MOST_SEGMENTS:
            raise self._refuse(f"a path of {count} points")
        pdfium.FPDFPath_GetDrawMode(path, *self._modes.addresses)
        fill_mode, is_stroked = self._modes.room[:]
        fill = self._read_level(pdfium.FPDFPageObj_GetFillColor, path, "a mark") if fill_mode else None
        outline = self._read_level(pdfium.FPDFPageObj_GetStrokeColor, path, "a mark") if is_stroked else None
        if fill is None and outline is None:
            return
        if outline is None and count == CIRCLE_SEGMENTS:
            second = pdfium.FPDFPath_GetPathSegment(path, 1)
            if pdfium.FPDFPathSegment_GetType(second) == SEGMENT_BEZIERTO:
                yield Shape((), *self._read_box(path, "a mark"), fill, None, 0.0, is_round=True)
                return
        pdfium.FPDFPageObj_GetMatrix(path, self._matrix.addresses[0])
        width_mm = 0.0 if outline is None else self._read_width_mm(path)
        for points, is_closed, is_curved in self._list_subpaths(path, count):
            if fill is not None or outline is None or len(points) != 2 or is_closed:
                yield make_shape(points, fill, outline, width_mm, is_curved)
            elif points[0] == points[1] and pdfium.FPDFPageObj_GetLineCap(path) == LINECAP_ROUND:
                yield make_disc(*points[0], width_mm, outline)
            else:
                is_dashed = pdfium.FPDFPageObj_GetDashCount(path) > 0
                yield Stroke(*points[0], *points[1], width_mm, outline, is_dashed)

    def _read_width_mm(self, path: Any) -> float:
        """As it is on the page: the file states it before the page's own matrix."""
        self._pdfium.FPDFPageObj_GetStrokeWidth(path, *self._length.addresses)
        a, b, c, d, _, _ = self._matrix.room[:]
        return float(self._length.room[0] * abs(a * d - b * c) ** 0.5 * MM_PER_PT)

    def _list_subpaths(self, path: Any, count: int) -> Iterator[tuple[list[tuple[float, float]], bool, bool]]:
        """Points of each subpath on the page, whether it is closed, whether it has a curve."""
        pdfium, (x, y), point_room = self._pdfium, self._point.addresses, self._point.room
        a, b, c, d, e, f = self._matrix.room[:]
        points: list[tuple[float, float]] = []
        is_closed = is_curved = False
        for index in range(count):
            segment = pdfium.FPDFPath_GetPathSegment(path, index)
            kind = pdfium.FPDFPathSegment_GetType(segment)
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            if kind == SEGMENT_MOVETO and points:
                yield points, is_closed, is_curved
                points, is_closed, is_curved = [], False, False
            is_curved = is_curved or kind == SEGMENT_BEZIERTO
            u, v = point_room[:]
            points.append(self._place(a * u + c * v + e, b * u + d * v + f, "a mark"))
            if count > 2 and pdfium.FPDFPathSegment_GetClose(segment):
                is_closed = True
        yield points, is_closed, is_curved

    def _read_text(self, item: Any) -> list[Run]:
        """The run of one text object, or its several runs."""
        bold, face = self._read_kind(item)
        if face is not None and face.is_shaped:
            return self._read_shaped(item, bold, face)
        length = self._pdfium.FPDFTextObj_GetText(item, self._text_page, self._text, _ROOM_BYTES)
        if length > _ROOM_BYTES:
            raise self._refuse(f"a line of {length} characters")
        drawn = ctypes.string_at(self._text, max(length - 2, 0)).decode("utf-16-le", "replace")
        drawn = self._read_from_left(item) if self._is_turned else drawn.replace(BROKEN_WORD, "-")
        text = drawn.rstrip()
        if not text.strip():
            return []
        if lacks_letters(text, bold, face):
            raise self._refuse("characters that no card has")
        whole = self._read_run(item, text, bold, face)
        left_mm, _, right_mm, _ = self._read_box(item, "text")
        # Whether the ink is as wide as the words are.
        if abs(right_mm - left_mm - whole.width_mm) <= BEARING_EM * convert_pt_to_mm(whole.size_pt):
            return [whole]
        return list(self._split(item, whole))

    def _read_kind(self, item: Any) -> tuple[bool, Face | None]:
        """The weight of a text object's font, and the face that it claims to be."""
        font = self._pdfium.FPDFTextObj_GetFont(item)
        if not font:
            raise self._refuse("text without a font")
        if font not in self._kinds:
            name = ctypes.create_string_buffer(128)
            self._pdfium.FPDFFont_GetBaseFontName(font, name, 128)
            self._kinds[font] = b"Bold" in name.value, read_face(name.value)
        return self._kinds[font]

    def _read_run(self, item: Any, text: str, bold: bool, face: Face | None) -> Run:
        """A run that begins where a text object does."""
        pdfium = self._pdfium
        if pdfium.FPDFTextObj_GetTextRenderMode(item) != TEXTRENDERMODE_FILL:
            raise self._refuse("text that is not plainly filled")
        pdfium.FPDFPageObj_GetMatrix(item, self._matrix.addresses[0])
        pdfium.FPDFTextObj_GetFontSize(item, *self._length.addresses)
        a, b, c, d, x_pt, y_pt = self._matrix.room[:]
        ease = 1e-4 * abs(a)
        if not (a > 0 and abs(a - d) <= ease and abs(b) <= ease and abs(c) <= ease):
            raise self._refuse("text that is turned, slanted or stretched")
        # A thousandth of a point adds up to nothing along a line; it takes off what other programs round.
        size_pt = round(float(self._length.room[0] * a), 3)
        level = self._read_level(pdfium.FPDFPageObj_GetFillColor, item, "text")
        x_mm, y_mm = self._place(x_pt, y_pt, "text")
        if not 0 < size_pt < LARGEST_PT:
            raise self._refuse("text far off the paper")
        width_mm = measure_in_face_mm(text, size_pt, bold, face)
        mark = pdfium.FPDFPageObj_GetMarkedContentID(item)
        return Run(text, x_mm, y_mm, size_pt, bold, width_mm, level, mark, face=face)

    def _read_from_left(self, item: Any) -> str:
        """The letters of a text object by their places: on a line with Arabic ones pdfium turns the others round, and
        some of their brackets too, which are guessed anew; like all that is read, they are looked at afterwards.
        """
        letters = sorted(self._find_letters(item), key=lambda each: each[1])
        return _open_brackets("".join(letter for letter, _ in letters))

    def _read_shaped(self, item: Any, bold: bool, face: Face) -> list[Run]:
        """The word that its mark says these glyphs are; every further piece of it must lie where it has ink."""
        mark = self._pdfium.FPDFPageObj_GetMark(item, self._pdfium.FPDFPageObj_CountMarks(item) - 1) or 0
        is_new = self._word is None or self._word[0] != mark
        text = self._read_word(mark) if self._word is None or is_new else self._word[1].text
        if is_new and (not text or text != text.strip() or lacks_letters(text, bold, face)):
            raise self._refuse("glyphs without a word that they are")
        run = self._read_run(item, text, bold, face)
        if self._word is None or is_new:
            _, right_mm, up_mm = next(place_glyphs(run))
            run = run._replace(x_mm=run.x_mm - right_mm, y_mm=run.y_mm + up_mm)
            self._word = mark, run, measure_ink_mm(run)
        _, whole, ink_mm = self._word
        if (run.size_pt, run.level, run.bold, run.face) != (whole.size_pt, whole.level, whole.bold, whole.face):
            raise self._refuse("a word in more than one size or face")
        left, top, right, bottom = self._read_box(item, "text")
        ease_mm = GAP_EM * convert_pt_to_mm(whole.size_pt)
        # Glyphs that lie elsewhere would be looked at by nobody.
        if min(left - ink_mm[0], top - ink_mm[1], ink_mm[2] - right, ink_mm[3] - bottom) < -ease_mm:
            raise self._refuse(f'glyphs beside "{whole.text}" that are not of it')
        return [whole] if is_new else []

    def _read_word(self, mark: int) -> str:
        """The words that the innermost mark of an object replaces (ISO 32000-1, 14.9.4); 0 for no mark."""
        length = Numbers(ctypes.c_ulong, 1)
        has_words = mark and self._pdfium.FPDFPageObjMark_GetParamBlobValue(
            mark, b"ActualText", self._text, _ROOM_BYTES, *length.addresses
        )
        words = ctypes.string_at(self._text, min(length.room[0], _ROOM_BYTES)) if has_words else b""
        # Plain ASCII, such as a full stop alone, is written as it is (ISO 32000-1, 7.9.2.2).
        is_wide = words.startswith(codecs.BOM_UTF16_BE)
        return words[2:].decode("utf-16-be", "replace") if is_wide else words.decode("ascii", "replace")

    def _split(self, item: Any, whole: Run) -> Iterator[Run]:
        """The runs inside one text object, by where each letter stands."""
        letters = self._find_letters(item)
        if lacks_letters("".join(letter for letter, _ in letters), whole.bold, whole.face):
            raise self._refuse("characters that no card has")

        def measure_mm(text: str) -> float:
            return measure_in_face_mm(text, whole.size_pt, whole.bold, whole.face)

        gap_mm = GAP_EM * convert_pt_to_mm(whole.size_pt)
        pieces: list[tuple[str, float]] = []
        for letter, x_mm in letters:
            text, start_mm = pieces[-1] if pieces else ("", 0.0)
            if text and abs(x_mm - start_mm - measure_mm(text)) <= gap_mm:
                pieces[-1] = text + letter, start_mm
            else:
                pieces.append((letter, x_mm))
        for text, start_mm in pieces:
            if inner := text.strip():
                ahead_mm = measure_mm(text[: text.index(inner)])
                yield whole._replace(text=inner, x_mm=start_mm + ahead_mm, width_mm=measure_mm(inner))

    def _find_letters(self, item: Any) -> list[tuple[str, float]]:
        """The letters of a text object, each with the place of its origin from the left; the page's are listed once."""
        if self._letters is None:
            self._letters = self._list_letters()
        return self._letters.get(item, [])

    def _list_letters(self) -> dict[int, list[tuple[str, float]]]:
        """Those of every text object whose letters are not shaped, by its address."""
        pdfium, letters = self._pdfium, defaultdict[int, list[tuple[str, float]]](list)
        count = pdfium.FPDFText_CountChars(self._text_page)
        if count > MOST_CHARACTERS:
            raise self._refuse(f"{count} characters")
        origin = Numbers(ctypes.c_double, 2)
        for index in range(count):
            owner = pdfium.FPDFText_GetTextObject(self._text_page, index)
            if owner in self._unshaped and pdfium.FPDFText_IsGenerated(self._text_page, index) != 1:
                pdfium.FPDFText_GetCharOrigin(self._text_page, index, *origin.addresses)
                letter = chr(pdfium.FPDFText_GetUnicode(self._text_page, index)).replace(BROKEN_WORD, "-")
                letters[owner].append((letter, origin.room[0] * MM_PER_PT))
        return letters


def _open_brackets(text: str) -> str:
    """A text from left to right with each bracket as it must be: a word follows the one that opens, or else they take
    turns.
    """
    signs, is_open = list(text), False
    for match in _BRACKET.finditer(text):
        before, after = text[: match.start()][-1:].isalnum(), text[match.end() :][:1].isalnum()
        is_open = after if before is not after else not is_open
        signs[match.start()] = ("()" if match[0] in "()" else "[]")[not is_open]
    return "".join(signs)
