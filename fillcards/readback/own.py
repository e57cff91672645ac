"""Our own files read as we write them, line by line: a second reader besides the library that draws them.

Understands nothing but what a card's file holds: objects one after the other, the rest in one packed stream, a line of
content for each mark. There is no way to clip, move, turn, cover up or see through in what it takes; anything else in a
file is left to ``page_objects``, which asks pdfium. References: ISO 32000-1, 7.5.7 (packed objects), 8 and 9 (content),
14.7 (structure).
"""

from __future__ import annotations

import re
import zlib
from functools import lru_cache
from itertools import zip_longest
from typing import Final, NamedTuple, TypeAlias

from fillcards.readback.marks import Mark, PageMarks, Run, Shape, Stroke, gather_marks, make_disc, make_shape
from fillcards.readback.pdfium import MM_PER_PT
from fillcards.typeface import find_missing_glyphs, measure_width_mm

_TEXT: Final = rb"(?:\((?:[^\\()]|\\.)*\)|<FEFF[0-9A-F]*>)"
_OBJECT: Final = re.compile(rb"(\d+) 0 obj\n<</(?:Length (\d+)|Type/XRef)([^\n]*)>>\nstream\n")
_PACKED: Final = re.compile(rb"/Filter/FlateDecode/Type/ObjStm/N (\d+)/First (\d+)")
_TABLE: Final = re.compile(rb"/W\[1 (\d+) (\d+)\]/Root")
_FONTS: Final = re.compile(rb"<</Font<<((?:/F\d+ \d+ 0 R)+)>>>>")
_FONT: Final = re.compile(
    rb"<</Type/Font/Subtype/TrueType/BaseFont/[A-Z]{6}\+FillcardsText-(Regular|Bold)/FirstChar 32/LastChar (\d+)"
    rb"/Widths\[([0-9 ]+)\]/FontDescriptor (\d+) 0 R/ToUnicode (\d+) 0 R>>"
)
_PROGRAM: Final = re.compile(rb"/FontFile2 (\d+) 0 R>>$")
_CODE: Final = re.compile(r"<([89A-F][0-9A-F])> <([0-9A-F]{4})>\n")
_ROOT: Final = re.compile(
    rb"<</Type/Catalog/Lang %b/MarkInfo<</Marked true>>/Metadata \d+ 0 R/ViewerPreferences<</DisplayDocTitle true"
    rb"/Duplex/DuplexFlip(?:Long|Short)Edge/PrintScaling/None>>/Pages (\d+) 0 R(?:/Outlines \d+ 0 R)?"
    rb"/StructTreeRoot (\d+) 0 R>>" % _TEXT
)
_PAGE: Final = re.compile(
    rb"<</Type/Page/Parent \d+ 0 R/MediaBox\[0 0 ([0-9.]+) ([0-9.]+)\]/Resources (\d+) 0 R/Contents (\d+) 0 R"
    rb"/StructParents \d+/Tabs/S>>"
)
_ELEMENT: Final = re.compile(
    rb"<</Type/StructElem/S/\w+/P \d+ 0 R(?:/Pg \d+ 0 R)?(?:/Alt%b)?(?:/T%b)?(?:/Lang%b)?(?:/A<<[^<>]*>>)?"
    rb"(?:/K ?((?:[\[\] ]|\d+ 0 R|<</Type/MCR/Pg \d+ 0 R/MCID \d+>>|\d+)*+))?>>" % (_TEXT, _TEXT, _TEXT)
)
"""An element of the tags, which holds nothing but what ``tags`` asks pdfium for, and others."""
_INNER: Final = re.compile(rb"<<[^<>]*>>|(\d+) 0 R")
_WORDS: Final = re.compile(r"BT (?:/(F\d+) ([0-9.]+) Tf )?([0-9.]+) ([0-9.]+) Td \(((?:[^\\()]|\\.)*)\) Tj ET")
_MARKED: Final = re.compile(r"/\w+<<(?:/MCID (\d+)|/Type/(?:Layout|Pagination))>>BDC")
_DASHED: Final = re.compile(r"\[([0-9.]*(?: [0-9.]+)*)\] 0 d")
_STATE: Final = re.compile(r"([0-9]+(?:\.[0-9]+)?) ([wgGJ])")
_OF_PATHS: Final = "0123456789. ml"
_PAINTS: Final = {"S": (False, True), "s": (False, True), "b": (True, True), "h f": (True, False)}
"""Whether a path is filled, and whether it is outlined."""


class NotOwn(Exception):
    """A file that is not as we write it."""


_Place: TypeAlias = tuple[int, int, int]
"""Where an object stands: its kind, then two numbers, as a row of the file's own table has them (ISO 32000-1,
7.5.8.3).
"""
_ALONE: Final = 1
_PACKED_IN: Final = 2
_FREE: Final = (0, 0, 0xFFFF)


class Font(NamedTuple):
    """A font of a file: its weight, the characters beyond ASCII by their codes, and all that decides how it looks."""

    bold: bool
    beyond: dict[int, str]
    looks: tuple[bytes, ...]


def read_own(data: bytes) -> list[PageMarks] | None:
    """The pages of a file of ours; ``None`` for any other."""
    try:
        return _Reader(data).read()
    except (NotOwn, KeyError, ValueError, IndexError, RecursionError, zlib.error):
        return None


class _Reader:
    def __init__(self, data: bytes) -> None:
        self.bodies: dict[int, bytes] = {}
        self.streams: dict[int, bytes] = {}
        self._places: dict[int, _Place] = {0: _FREE}
        place = data.index(b"\n", 9) + 1
        while match := _OBJECT.match(data, place):
            self._note(int(match[1]), (_ALONE, place, 0))
            if match[2] is None:
                break
            end = match.end() + int(match[2])
            place = end + len(b"\nendstream\nendobj\n")
            self.streams[int(match[1])] = data[match.end() : end]
            if packed := _PACKED.fullmatch(match[3]):
                content = zlib.decompress(data[match.end() : end])
                self._unpack(int(match[1]), content, int(packed[1]), int(packed[2]))
        if match is None or not self.bodies:
            raise NotOwn
        self.trailer = match[3]
        self._require_table(data, match.end(), place)

    def _note(self, number: int, place: _Place) -> None:
        if number in self._places:
            raise NotOwn
        self._places[number] = place

    def _unpack(self, within: int, content: bytes, count: int, first: int) -> None:
        heads = list(map(int, content[:first].split()))
        places = [first + offset for offset in heads[1::2]]
        for index, (number, start, end) in enumerate(zip_longest(heads[::2], places, places[1:])):
            self._note(number, (_PACKED_IN, within, index))
            self.bodies[number] = content[start:end].rstrip(b"\n")
        if len(places) != count:
            raise NotOwn

    def _require_table(self, data: bytes, start: int, place: int) -> None:
        """Other programs find each object where this table says, and at the file's end which table: what was read one
        after the other must be what they find, and nothing may follow.

        Args:
            data: the file.
            start: of the table.
            place: of its object.
        """
        widths, length = _TABLE.search(self.trailer), _find(rb"/Length (\d+)/", self.trailer)
        if widths is None or data[start + length :] != b"\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % place:
            raise NotOwn
        table = zlib.decompress(data[start : start + length])
        after_kind, size = 1 + int(widths[1]), 1 + int(widths[1]) + int(widths[2])
        rows = [table[at : at + size] for at in range(0, len(table), size)]
        read = [(row[0], int.from_bytes(row[1:after_kind]), int.from_bytes(row[after_kind:])) for row in rows]
        if dict(enumerate(read)) != self._places:
            raise NotOwn

    def read(self) -> list[PageMarks]:
        """Every page, from the root on."""
        root = _ROOT.fullmatch(self.bodies[_find(rb"/Root (\d+) 0 R", self.trailer)])
        if root is None:
            raise NotOwn
        self._require_plain_element(_find(rb"/K (\d+) 0 R", self.bodies[int(root[2])]))
        kids = re.search(rb"/Kids\[([0-9 R]+)\]", self.bodies[int(root[1])])
        numbers = [int(kid) for kid in kids[1].split()[::3]] if kids else []
        return [self._read_page(self.bodies[number], at) for at, number in enumerate(numbers, start=1)]

    def _require_plain_element(self, number: int) -> None:
        element = _ELEMENT.fullmatch(self.bodies[number])
        if element is None:
            raise NotOwn
        for inner in filter(None, _INNER.findall(element[1] or b"")):
            self._require_plain_element(int(inner))

    def _read_page(self, body: bytes, number: int) -> PageMarks:
        page = _PAGE.fullmatch(body)
        names = _FONTS.fullmatch(self.bodies[int(page[3])]) if page else None
        if page is None or names is None:
            raise NotOwn
        fonts = {name.decode(): self._read_font(int(at)) for name, at in re.findall(rb"/(F\d+) (\d+) 0 R", names[1])}
        content = zlib.decompress(self.streams[int(page[4])]).decode("latin-1")
        reader = _ContentReader(float(page[2]), fonts)
        painted = (mark for line in content.split("\n") if (mark := reader.read(line)))
        return gather_marks(number, float(page[1]) * MM_PER_PT, float(page[2]) * MM_PER_PT, painted)

    def _read_font(self, number: int) -> Font:
        body = self.bodies[number]
        if not (font := _FONT.fullmatch(body)) or not (program := _PROGRAM.search(self.bodies[int(font[4])])):
            raise NotOwn
        return _make_font(body, self.bodies[int(font[4])], self.streams[int(font[5])], self.streams[int(program[1])])


@lru_cache(maxsize=64)
def _make_font(body: bytes, descriptor: bytes, to_unicode: bytes, program: bytes) -> Font:
    """A font whose letters are as wide as the typeface's."""
    weight, last, widths_text, *_ = _FONT.findall(body)[0]
    table = zlib.decompress(to_unicode).decode("ascii")
    beyond = {int(code, 16): chr(int(character, 16)) for code, character in _CODE.findall(table)}
    bold, widths = weight == b"Bold", list(map(int, widths_text.split()))
    letters = {code: beyond.get(code, chr(code)) for code in (*range(32, 127), *range(128, int(last) + 1))}
    if "<20> <7E> <0020>" not in table or any(
        find_missing_glyphs(letter, bold)
        or abs(measure_width_mm(letter, 1.0, bold) / MM_PER_PT - widths[code - 32] / 1000) > 1e-6
        for code, letter in letters.items()
    ):
        raise NotOwn
    return Font(bold, beyond, (body, descriptor, to_unicode, program))


def _find(pattern: bytes, body: bytes) -> int:
    match = re.search(pattern, body)
    if match is None:
        raise NotOwn
    return int(match[1])


class _ContentReader:
    """Reads a page's lines one after the other, and keeps in mind what holds for those that follow."""

    def __init__(self, height_pt: float, fonts: dict[str, Font]) -> None:
        self._height_pt = height_pt
        self._fonts = fonts
        self._font, self._size_pt = fonts["F1"], 0.0
        self._state = {"w": 1.0, "g": 0.0, "G": 0.0, "J": 0.0}
        self._is_dashed = False
        self._mark = -1

    def read(self, line: str) -> Mark | None:
        """The mark that a line paints."""
        if line[0] == "B" and (words := _WORDS.fullmatch(line)):
            return self._read_words(*words.groups())
        path, _, paint = line.rpartition(" l ")
        if path and paint in _PAINTS and not path.strip(_OF_PATHS):
            return self._read_path(path.split(" "), paint)
        if line == "EMC":
            self._mark = -1
        elif marked := _MARKED.fullmatch(line):
            self._mark = int(marked[1] or -1)
        elif dashed := _DASHED.fullmatch(line):
            self._is_dashed = bool(dashed[1])
        elif state := _STATE.fullmatch(line):
            self._state[state[2]] = float(state[1])
        else:
            raise NotOwn
        return None

    def _read_path(self, parts: list[str], paint: str) -> Stroke | Shape:
        if parts[2::3] != ["m", *["l"] * (len(parts) // 3 - 1)]:
            raise NotOwn
        xs = [float(x) * MM_PER_PT for x in parts[::3]]
        ys = [(self._height_pt - float(y)) * MM_PER_PT for y in parts[1::3]]
        points = list(zip(xs, ys, strict=True))
        width_mm, fill, outline = self._state["w"] * MM_PER_PT, self._find_level("g"), self._find_level("G")
        if paint == "S":
            (x1, y1), (x2, y2) = points
            if self._state["J"] and (x1, y1) == (x2, y2):
                return make_disc(x1, y1, width_mm, outline)
            return Stroke(x1, y1, x2, y2, width_mm, outline, self._is_dashed)
        is_filled, is_outlined = _PAINTS[paint]
        paints = fill if is_filled else None, outline if is_outlined else None
        return make_shape(points, *paints, width_mm if is_outlined else 0.0, is_curved=False)

    def _find_level(self, operator: str) -> int:
        return round(self._state[operator] * 255)

    def _read_words(self, name: str | None, size: str, x: str, y: str, codes: str) -> Run | None:
        if name:
            self._font, self._size_pt = self._fonts[name], float(size)
        font, size_pt = self._font, self._size_pt
        text = re.sub(r"\\(.)", r"\1", codes).translate(font.beyond).rstrip()
        x_mm, y_mm = float(x) * MM_PER_PT, (self._height_pt - float(y)) * MM_PER_PT
        width_mm, level = measure_width_mm(text, size_pt, font.bold), self._find_level("g")
        if not size_pt:
            raise NotOwn
        return Run(text, x_mm, y_mm, size_pt, font.bold, width_mm, level, self._mark, font.looks) if text else None
