"""Runs of text as the file has them: the words, where their baseline starts, how large, how bold.

A program that saves a card anew may join runs that stand on one line into a single one with gaps inside; such a run is
taken apart again by the places of its characters. Lengths in mm, sizes in pt, y downward.
"""

from __future__ import annotations

import codecs
import ctypes
import re
from collections.abc import Iterable
from itertools import product
from types import TracebackType
from typing import Any, Final, NamedTuple, Self

from fillcards.quantities import convert_pt_to_mm
from fillcards.readback.model import UnreadableCard
from fillcards.readback.other_faces import (
    Setting,
    lacks_letters,
    measure_in_face_mm,
    measure_ink_mm,
    place_glyphs,
    read_face,
)
from fillcards.readback.pdfium import MM_PER_PT, TEXTRENDERMODE_FILL, Numbers, load_pdfium
from fillcards.typeface import CAP_HEIGHT_EM
from fillcards.typeface.faces import Face

LONGEST_RUN: Final = 2_000
MOST_CHARACTERS: Final = 60_000
FURTHEST_PT: Final = 20_000.0
LARGEST_PT: Final = 2_000.0
BEARING_EM: Final = 0.25
"""The ink of a run may be narrower or wider than its advance by so much before it is looked at letter by letter."""
GAP_EM: Final = 0.12
"""A letter further than this from where the one before it ends begins a run of its own."""
WORD_GAP_EM: Final = 0.08
"""Runs that stand closer than this are of one word."""
MOST_SPACE_EM: Final = 0.45
SAME_BASELINE_MM: Final = 0.01
BROKEN_WORD: Final = "\x02"
"""What pdfium gives for the hyphen at the end of a line whose word it takes to go on in the next one. Whether the mark
on the page is a hyphen is looked at like every other."""
_BRACKET: Final = re.compile(r"[()\[\]]")


class Run(NamedTuple):
    """One run of text on one line. ``x_mm`` and ``y_mm`` are where its baseline starts.

    ``mark`` is the number by which the tags name it, -1 for none. ``font`` is all that a file
    of ours says of the font it is in; ``face`` what the font claims to be, ``None`` for Fillcards Text.
    """

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    bold: bool
    width_mm: float
    level: int
    mark: int = -1
    font: tuple[bytes, ...] | None = None
    face: Face | None = None

    @property
    def setting(self) -> Setting:
        """What stands there and how."""
        return Setting(self.text, self.x_mm, self.y_mm, self.size_pt, self.bold, self.face)

    @property
    def runs_back(self) -> bool:
        """Whether its letters run from right to left."""
        return self.face is not None and self.face.is_right_to_left

    @property
    def right_mm(self) -> float:
        """Where the next letter would start."""
        return self.x_mm + self.width_mm

    @property
    def height_mm(self) -> float:
        """How high its capitals and digits stand."""
        return CAP_HEIGHT_EM * convert_pt_to_mm(self.size_pt)


class TextReader:
    """Reads the text objects of one page.

    Raises:
        UnreadableCard: from every method, for text that is slanted, stretched, outlined, see-through or invisible, or
            in characters that the cards' typeface does not have.
    """

    def __init__(self, page: Any, height_pt: float, number: int) -> None:
        self._pdfium = load_pdfium()
        self._page = page
        self._height_pt = height_pt
        self._number = number
        self._matrix = Numbers(ctypes.c_float, 6)
        self._size = Numbers(ctypes.c_float, 1)
        self._text = ctypes.create_string_buffer(2 * LONGEST_RUN)
        self._edges = Numbers(ctypes.c_float, 4)
        self._colour = Numbers(ctypes.c_uint, 4)
        self._kinds: dict[int, tuple[bool, Face | None]] = {}
        self._word: tuple[int, Run, tuple[float, float, float, float]] | None = None
        self._letters: dict[int, list[tuple[str, float, float]]] | None = None
        self._is_turned = False

    def expect(self, items: Iterable[Any]) -> None:
        """Be told of all text objects of the page before the first is read."""
        kinds = (self._read_kind(self._pdfium.FPDFTextObj_GetFont(item)) for item in items)
        self._is_turned = any(face is not None and face.is_right_to_left for _, face in kinds)

    def __enter__(self) -> Self:
        self._text_page = self._pdfium.FPDFText_LoadPage(self._page)
        if not self._text_page:
            raise UnreadableCard(f"the text of page {self._number} cannot be read")
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._pdfium.FPDFText_ClosePage(self._text_page)

    def read(self, item: Any) -> list[Run]:
        """The run of one text object, or its several runs."""
        pdfium = self._pdfium
        font = pdfium.FPDFTextObj_GetFont(item)
        bold, face = self._read_kind(font)
        if face is not None and face.is_shaped:
            return self._read_shaped(item, bold, face)
        size = 2 * LONGEST_RUN
        length = pdfium.FPDFTextObj_GetText(item, self._text_page, self._text, size)
        if length > size:
            raise UnreadableCard(f"page {self._number} has a line of {length} characters")
        drawn = ctypes.string_at(self._text, max(length - 2, 0)).decode("utf-16-le", "replace")
        drawn = self._read_from_left(item) if self._is_turned else drawn.replace(BROKEN_WORD, "-")
        text = drawn.rstrip()
        if not text.strip():
            return []
        size_pt = self._read_size_pt(item)
        if lacks_letters(text, bold, face):
            raise UnreadableCard(f"page {self._number} has characters that no card has")
        level = self._read_level(item)
        origin_pt = self._matrix.room[4], self._matrix.room[5]
        x_mm, y_mm = origin_pt[0] * MM_PER_PT, (self._height_pt - origin_pt[1]) * MM_PER_PT
        # Written so that a value that is not a number fails too.
        if not (abs(origin_pt[0]) < FURTHEST_PT and abs(origin_pt[1]) < FURTHEST_PT and 0 < size_pt < LARGEST_PT):
            raise UnreadableCard(f"page {self._number} has text far off the paper")
        mark = pdfium.FPDFPageObj_GetMarkedContentID(item)
        width_mm = measure_in_face_mm(text, size_pt, bold, face)
        whole = Run(text, x_mm, y_mm, size_pt, bold, width_mm, level, mark, face=face)
        if self._is_solid(item, whole):
            return [whole]
        return self._split(item, whole)

    def _read_from_left(self, item: Any) -> str:
        """The letters of a text object by their places: on a line with Arabic ones pdfium turns the others round, and
        some of their brackets too, which are guessed anew; like all that is read, they are looked at afterwards.
        """
        letters = self._find_letters(item)
        text = "".join(letter for letter, _, _ in sorted(letters, key=lambda letter: letter[1]))
        return _open_brackets(text)

    def _find_letters(self, item: Any) -> list[tuple[str, float, float]]:
        if self._letters is None:
            self._letters = self._list_letters()
        return self._letters.get(item, [])

    def _read_size_pt(self, item: Any) -> float:
        pdfium = self._pdfium
        if pdfium.FPDFTextObj_GetTextRenderMode(item) != TEXTRENDERMODE_FILL:
            raise UnreadableCard(f"page {self._number} has text that is not plainly filled")
        pdfium.FPDFPageObj_GetMatrix(item, self._matrix.addresses[0])
        pdfium.FPDFTextObj_GetFontSize(item, *self._size.addresses)
        a, b, c, d, _, _ = self._matrix.room[:]
        ease = 1e-4 * abs(a)
        if not (a > 0 and abs(a - d) <= ease and abs(b) <= ease and abs(c) <= ease):
            raise UnreadableCard(f"page {self._number} has text that is turned, slanted or stretched")
        # A hundredth of a point is far below what anybody sees; it takes off what other programs round.
        return round(float(self._size.room[0] * a), 2)

    def _read_shaped(self, item: Any, bold: bool, face: Face) -> list[Run]:
        """The word that its mark says these glyphs are; every further piece of it must lie where it has ink."""
        mark, text = self._read_word(item)
        size_pt, level = self._read_size_pt(item), self._read_level(item)
        if self._word is not None and self._word[0] == mark:
            whole = self._word[1]
            if (size_pt, level, bold, face) != (whole.size_pt, whole.level, whole.bold, whole.face):
                raise UnreadableCard(f"page {self._number} has a word in more than one size or face")
            self._require_within(item, whole, self._word[2])
            return []
        if not text.strip() or text != text.strip() or lacks_letters(text, bold, face):
            raise UnreadableCard(f"page {self._number} has glyphs without a word that they are")
        origin_pt = self._matrix.room[4], self._matrix.room[5]
        if not (abs(origin_pt[0]) < FURTHEST_PT and abs(origin_pt[1]) < FURTHEST_PT and 0 < size_pt < LARGEST_PT):
            raise UnreadableCard(f"page {self._number} has text far off the paper")
        _, right_pt, up_pt = next(place_glyphs(Setting(text, 0.0, 0.0, size_pt, bold, face)))
        origin_pt = origin_pt[0] - right_pt, origin_pt[1] - up_pt
        x_mm, y_mm = origin_pt[0] * MM_PER_PT, (self._height_pt - origin_pt[1]) * MM_PER_PT
        width_mm = measure_in_face_mm(text, size_pt, bold, face)
        own_mark = self._pdfium.FPDFPageObj_GetMarkedContentID(item)
        whole = Run(text, x_mm, y_mm, size_pt, bold, width_mm, level, own_mark, face=face)
        self._word = mark, whole, measure_ink_mm(whole.setting)
        self._require_within(item, whole, self._word[2])
        return [whole]

    def _read_word(self, item: Any) -> tuple[int, str]:
        """The innermost mark of an object, and the words that it replaces (ISO 32000-1, 14.9.4)."""
        pdfium, length = self._pdfium, Numbers(ctypes.c_ulong, 1)
        mark = pdfium.FPDFPageObj_GetMark(item, pdfium.FPDFPageObj_CountMarks(item) - 1)
        size = 2 * LONGEST_RUN
        has_words = mark and pdfium.FPDFPageObjMark_GetParamBlobValue(
            mark, b"ActualText", self._text, size, *length.addresses
        )
        words = ctypes.string_at(self._text, min(length.room[0], size)) if has_words else b""
        # Plain ASCII, such as a full stop alone, is written as it is (ISO 32000-1, 7.9.2.2).
        is_wide = words.startswith(codecs.BOM_UTF16_BE)
        text = words[2:].decode("utf-16-be", "replace") if is_wide else words.decode("ascii", "replace")
        return mark or 0, text

    def _require_within(self, item: Any, run: Run, box: tuple[float, float, float, float]) -> None:
        """Glyphs that lie elsewhere would be looked at by nobody; the box is that of the run's ink."""
        self._pdfium.FPDFPageObj_GetBounds(item, *self._edges.addresses)
        left, bottom, right, top = (edge * MM_PER_PT for edge in self._edges.room[:])
        ease_mm = GAP_EM * convert_pt_to_mm(run.size_pt)
        low, high = self._height_pt * MM_PER_PT - bottom, self._height_pt * MM_PER_PT - top
        # Written so that a value that is not a number fails too.
        if not (
            left >= box[0] - ease_mm
            and high >= box[1] - ease_mm
            and right <= box[2] + ease_mm
            and low <= box[3] + ease_mm
        ):
            raise UnreadableCard(f'page {self._number} has glyphs beside "{run.text}" that are not of it')

    def _read_kind(self, font: int | None) -> tuple[bool, Face | None]:
        """Its weight, and the face that it claims to be."""
        if not font:
            raise UnreadableCard(f"page {self._number} has text without a font")
        if font not in self._kinds:
            name = ctypes.create_string_buffer(128)
            self._pdfium.FPDFFont_GetBaseFontName(font, name, 128)
            self._kinds[font] = b"Bold" in name.value, read_face(name.value)
        return self._kinds[font]

    def _read_level(self, item: Any) -> int:
        self._pdfium.FPDFPageObj_GetFillColor(item, *self._colour.addresses)
        red, green, blue, alpha = self._colour.room[:]
        if alpha != 255:
            raise UnreadableCard(f"page {self._number} has text that can be seen through")
        return int(max(red, green, blue))

    def _is_solid(self, item: Any, run: Run) -> bool:
        """Whether the ink is as wide as the words are."""
        self._pdfium.FPDFPageObj_GetBounds(item, *self._edges.addresses)
        left, _, right, _ = self._edges.room[:]
        ink_mm = float(right - left) * MM_PER_PT
        return abs(ink_mm - run.width_mm) <= BEARING_EM * convert_pt_to_mm(run.size_pt)

    def _split(self, item: Any, whole: Run) -> list[Run]:
        """The runs inside one text object, by where each letter stands."""
        letters = self._find_letters(item)
        if lacks_letters("".join(letter for letter, _, _ in letters), whole.bold, whole.face):
            raise UnreadableCard(f"page {self._number} has characters that no card has")
        gap_mm = GAP_EM * convert_pt_to_mm(whole.size_pt)
        runs: list[Run] = []
        text, start_mm, end_mm = "", 0.0, 0.0
        for letter, x_mm, _ in letters:
            if text and abs(x_mm - end_mm) > gap_mm:
                runs += _make_run(text, start_mm, whole)
                text = ""
            if not text:
                start_mm = end_mm = x_mm
            text += letter
            end_mm = start_mm + measure_in_face_mm(text, whole.size_pt, whole.bold, whole.face)
        return runs + _make_run(text, start_mm, whole)

    def _list_letters(self) -> dict[int, list[tuple[str, float, float]]]:
        """Of each text object, by its address: every letter with the place of its origin."""
        pdfium = self._pdfium
        count = pdfium.FPDFText_CountChars(self._text_page)
        if count > MOST_CHARACTERS:
            raise UnreadableCard(f"page {self._number} has {count} characters")
        letters: dict[int, list[tuple[str, float, float]]] = {}
        origin = Numbers(ctypes.c_double, 2)
        for index in range(count):
            owner = pdfium.FPDFText_GetTextObject(self._text_page, index)
            if not owner or pdfium.FPDFText_IsGenerated(self._text_page, index) == 1:
                continue
            pdfium.FPDFText_GetCharOrigin(self._text_page, index, *origin.addresses)
            x_pt, y_pt = origin.room[:]
            letter = chr(pdfium.FPDFText_GetUnicode(self._text_page, index)).replace(BROKEN_WORD, "-")
            letters.setdefault(owner, []).append((letter, x_pt * MM_PER_PT, (self._height_pt - y_pt) * MM_PER_PT))
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


def touches(before: Run, run: Run) -> bool:
    """Whether a run goes on where another ends, in a word or after a space of its own."""
    gap_mm = min(abs(run.x_mm - before.right_mm), abs(before.x_mm - run.right_mm))
    is_near = gap_mm <= WORD_GAP_EM * convert_pt_to_mm(run.size_pt)
    return is_near and before.mark == run.mark and abs(before.y_mm - run.y_mm) < SAME_BASELINE_MM


def join_texts(runs: Iterable[Run]) -> list[str]:
    """What runs say, those that touch as one.

    A stretch that runs from left to right on a line that does not touches what stands before and after it with either
    of its ends.
    """
    texts: list[str] = []
    before: list[Run] = []
    stretches: list[list[Run]] = []
    for run in runs:
        last = stretches[-1][-1] if stretches else None
        is_level = last is not None and abs(last.y_mm - run.y_mm) < SAME_BASELINE_MM
        if last is not None and is_level and (last.runs_back, last.mark) == (run.runs_back, run.mark):
            stretches[-1].append(run)
        else:
            stretches.append([run])
    for stretch in stretches:
        for index, run in enumerate(stretch):
            is_first = not index and not run.runs_back
            beside = stretch[index - 1 : index] if index else before
            pairs = product(beside, stretch if is_first else [run])
            if texts and any(touches(*pair) for pair in pairs):
                texts[-1] += run.text
            else:
                texts.append(run.text)
        before = stretch[-1:] if stretch[0].runs_back else stretch
    return texts


def join_faces(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Runs of a picture, those of one label as one: a number in one face and its unit in another."""
    joined: list[Run] = []
    for run in runs:
        before = joined[-1] if joined else None
        gap_mm = run.x_mm - before.right_mm if before else 0.0
        if (
            before is None
            or before.face is run.face
            or before._replace(size_pt=run.size_pt, bold=run.bold)[3:5] != before[3:5]
            or abs(before.y_mm - run.y_mm) >= SAME_BASELINE_MM
            or not -SAME_BASELINE_MM < gap_mm < MOST_SPACE_EM * convert_pt_to_mm(run.size_pt)
        ):
            joined.append(run)
            continue
        space = "" if touches(before, run) else " "
        width_mm = run.right_mm - before.x_mm
        joined[-1] = before._replace(text=f"{before.text}{space}{run.text}", width_mm=width_mm, face=run.face)
    return tuple(joined)


def _make_run(text: str, x_mm: float, whole: Run) -> list[Run]:
    """A piece of a run, without the spaces around it; none if nothing is left."""
    inner = text.strip()
    if not inner:
        return []
    ahead = text[: len(text) - len(text.lstrip())]
    x_mm += measure_in_face_mm(ahead, whole.size_pt, whole.bold, whole.face)
    width_mm = measure_in_face_mm(inner, whole.size_pt, whole.bold, whole.face)
    return [whole._replace(text=inner, x_mm=x_mm, width_mm=width_mm)]
