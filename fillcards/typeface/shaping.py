"""Letters of other faces as glyphs: which, how far apart, what they look like.

One face in one weight is pinned out of its variable font by harfbuzz, which is loaded only where a text needs it. What
is set is a word: nothing reaches over a space. Lengths in parts of the type size.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Collection
from functools import lru_cache
from math import fsum
from typing import Any, Final, NamedTuple

from fillcards.problems import InternalFault
from fillcards.typeface.faces import Face, find_face_file

WEIGHTS: Final = {False: 400, True: 700}
_LETTERS: Final = frozenset("LMP")
"""Letters, marks that stand on one, punctuation; no symbols and no digits, which Fillcards Text has."""

_NOT_EMBEDDED: Final = (b"GSUB", b"GPOS", b"GDEF", b"cmap", b"name", b"OS/2", b"post", b"STAT", b"gasp")
"""Tables that nobody reads in an embedded font (ISO 32000-1, 9.9)."""


class Glyph(NamedTuple):
    """One glyph of a set word.

    Attributes:
        number: in the font.
        cluster: the first of the characters it stands for, counted in the word.
        advance: how far the next one stands.
        right, up: how far it is off its place.
    """

    number: int
    cluster: int
    advance: float
    right: float
    up: float


@lru_cache(maxsize=8)
def _load(face: Face, bold: bool) -> Any:
    """The font of a face in one weight. Raises ``OutputError`` where the face is not installed."""
    import uharfbuzz as hb

    font = hb.Font(hb.Face(hb.Blob.from_file_path(str(find_face_file(face)))))
    font.set_variations({"wght": WEIGHTS[bold], "wdth": 100})
    return font


@lru_cache(maxsize=8)
def list_letters(face: Face) -> frozenset[str]:
    """The characters a face is used for: of its own script, none that is but another form of others, no controls."""
    return _list_known(face, face.blocks)


@lru_cache(maxsize=8)
def list_signs(face: Face) -> frozenset[str]:
    """Those, and what stands among them where a whole line runs their way."""
    return _list_known(face, face.blocks + face.stops)


def _list_known(face: Face, blocks: tuple[tuple[int, int], ...]) -> frozenset[str]:
    known = (chr(code) for code in _load(face, False).face.unicodes)
    return frozenset(
        letter
        for letter in known
        if any(first <= ord(letter) <= last for first, last in blocks)
        and (unicodedata.category(letter)[0] in _LETTERS or letter in " \u00a0")
        and (face.is_shaped or not unicodedata.category(letter).startswith("M"))
        and unicodedata.normalize("NFKC", letter) in {letter, " ", unicodedata.normalize("NFC", letter)}
    )


@lru_cache(maxsize=8)
def _load_widths(face: Face, bold: bool) -> dict[str, float]:
    """Width of each character that is used. Not to be altered."""
    number = _load(face, bold).get_nominal_glyph
    return {letter: measure_glyph_em(face, bold, number(ord(letter))) for letter in list_signs(face)}


@lru_cache(maxsize=4096)
def measure_glyph_em(face: Face, bold: bool, number: int) -> float:
    """How far the next glyph stands where nothing is shaped."""
    font = _load(face, bold)
    return float(font.get_glyph_h_advance(number) / font.face.upem)


@lru_cache(maxsize=1024)  # the same words stand on a card several times, and each is measured more often than drawn
def set_word(word: str, face: Face, bold: bool) -> tuple[Glyph, ...]:
    """A word as glyphs, from left to right.

    Raises:
        InternalFault: the face lacks a letter; ``find_missing_glyphs`` is asked before anything is placed.
    """
    font = _load(face, bold)
    if not face.is_shaped:
        numbers, widths = map(font.get_nominal_glyph, map(ord, word)), _load_widths(face, bold)
        glyphs = tuple(
            Glyph(number or 0, place, widths[letter], 0.0, 0.0)
            for place, (number, letter) in enumerate(zip(numbers, word, strict=True))
        )
    else:
        import uharfbuzz as hb

        buffer = hb.Buffer()
        buffer.add_str(word)
        buffer.direction = "rtl" if face.is_right_to_left else "ltr"
        buffer.script = face.script
        buffer.language = {"Arab": "ar", "Deva": "hi"}[face.script]
        hb.shape(font, buffer)
        em = font.face.upem
        glyphs = tuple(
            Glyph(info.codepoint, info.cluster, place.x_advance / em, place.x_offset / em, place.y_offset / em)
            for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
        )
    if any(not glyph.number for glyph in glyphs):
        raise InternalFault(f"a word was to be set in {face.name}, which lacks a letter of it; please report")
    return glyphs


def measure_word_em(word: str, face: Face, bold: bool) -> float:
    """How wide a word is."""
    if face.is_shaped:
        return fsum([glyph.advance for glyph in set_word(word, face, bold)])
    return fsum(map(_load_widths(face, bold).__getitem__, word))


@lru_cache(maxsize=4096)
def draw_glyph(face: Face, bold: bool, number: int) -> tuple[tuple[str, tuple[tuple[float, float], ...]], ...]:
    """A glyph's outline: ``M``, ``L``, ``Q`` and ``Z`` with points in parts of the type size, y upward."""
    import uharfbuzz as hb

    font = _load(face, bold)
    commands: list[tuple[str, tuple[tuple[float, float], ...]]] = []
    em = font.face.upem

    def add(letter: str, *numbers: float) -> None:
        points = zip(numbers[::2], numbers[1::2], strict=True)
        commands.append((letter, tuple((x / em, y / em) for x, y in points)))

    funcs = hb.DrawFuncs()
    funcs.set_move_to_func(lambda x, y, _: add("M", x, y))
    funcs.set_line_to_func(lambda x, y, _: add("L", x, y))
    funcs.set_quadratic_to_func(lambda x1, y1, x, y, _: add("Q", x1, y1, x, y))
    funcs.set_close_path_func(lambda _: add("Z"))
    font.draw_glyph(number, funcs, None)
    return tuple(commands)


@lru_cache(maxsize=4096)
def measure_glyph_box_em(face: Face, bold: bool, number: int) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of all points of a glyph's outline, y upward; nothing wide where it has none."""
    points = [point for _, points in draw_glyph(face, bold, number) for point in points]
    xs, ys = zip(*points, strict=True) if points else ((0.0,), (0.0,))
    return min(xs), min(ys), max(xs), max(ys)


def make_subset(face: Face, bold: bool, numbers: Collection[int]) -> tuple[bytes, dict[int, int]]:
    """A font file of some glyphs in one weight, and the new number of each of them."""
    import uharfbuzz as hb

    wanted = _want(face, bold)
    wanted.glyph_set.update(numbers)
    wanted.drop_table_tag_set.update(int.from_bytes(tag) for tag in _NOT_EMBEDDED)
    plan = hb.SubsetPlan(_load(face, bold).face, wanted)
    return bytes(plan.execute().blob.data), dict(plan.old_to_new_glyph_mapping)


@lru_cache(maxsize=4)
def make_whole(face: Face, bold: bool) -> bytes:
    """A font file of all letters that are used, in one weight, under the numbers of the whole font."""
    return make_web_font(face, bold, "".join(list_signs(face)), keeps_numbers=True)


def make_web_font(face: Face, bold: bool, letters: str, *, keeps_numbers: bool = False) -> bytes:
    """A font file for a browser, which shapes by itself: some letters in one weight."""
    import uharfbuzz as hb

    wanted = _want(face, bold)
    wanted.unicode_set.update(map(ord, letters))
    if keeps_numbers:
        wanted.flags = hb.SubsetFlags.RETAIN_GIDS
    return bytes(hb.subset(_load(face, bold).face, wanted).blob.data)


def _want(face: Face, bold: bool) -> Any:
    """What a subset is to be, pinned to one weight."""
    import uharfbuzz as hb

    wanted, whole = hb.SubsetInput(), _load(face, bold).face
    wanted.pin_axis_location(whole, "wght", WEIGHTS[bold])
    wanted.pin_axis_location(whole, "wdth", 100)
    return wanted
