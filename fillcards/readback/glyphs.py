"""Words drawn as outlines, held against the glyphs of the typeface's own files.

Outlines are path data of straight and quadratic curves in mm, y downward, as the vector outputs write them. Where the
words are known, their outlines are worked out and compared; where they are not, they are read glyph by glyph.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import accumulate, product
from typing import Any, Final, NamedTuple

from fillcards.readback.model import UnreadableCard
from fillcards.readback.other_faces import Setting, place_glyphs
from fillcards.readback.pdfium import MM_PER_PT
from fillcards.readback.runs import Run
from fillcards.typeface import find_font_file, find_missing_glyphs, measure_width_mm
from fillcards.typeface.faces import LANGUAGES
from fillcards.typeface.segments import measure_mixed_em, place_segments


class Outline(NamedTuple):
    """Letters of path commands (``M``, ``L``, ``Q``, ``Z``), and all their numbers, x and y by turns."""

    letters: str
    numbers: tuple[float, ...]

    def __add__(self, other: Outline) -> Outline:  # type: ignore[override]  # of two outlines, not of tuples
        """Both, one after the other."""
        return Outline(self.letters + other.letters, self.numbers + other.numbers)


_POINTS: Final = {"M": 1, "L": 1, "Q": 2, "Z": 0}
GLYPH_EASE_MM: Final = 0.002
"""How far a point of a known glyph may stand from its place: path data are written to a ten-thousandth."""
SPACE_EASE: Final = 0.04
"""How far the gap between two glyphs may be from a whole number of spaces, in spaces."""
_COMMANDS: Final = re.compile(r"(?:[ML]-?[0-9.]+ -?[0-9.]+|Q-?[0-9.]+(?: -?[0-9.]+){3}|Z)*")
_NUMBERS: Final = re.compile(r"[-0-9.]+")
_LETTERS: Final = re.compile(r"[A-Z]")


class _Glyph(NamedTuple):
    """A character's outline in parts of the em, and how far the next one stands."""

    character: str
    outline: Outline
    advance: float


def read_path(data: str) -> Outline:
    """Path data as commands.

    Raises:
        UnreadableCard: there is anything in it but absolute moves, lines, quadratic curves and closings.
    """
    if not _COMMANDS.fullmatch(data):
        raise UnreadableCard("it has an outline that no glyph has")
    return Outline("".join(_LETTERS.findall(data)), tuple(map(float, _NUMBERS.findall(data))))


def outline_run(run: Run) -> Outline:
    """What a run looks like.

    Raises:
        UnreadableCard: a character has no glyph.
    """
    size_mm = run.size_pt * MM_PER_PT
    if run.face is not None:
        return _outline_other(run.setting)
    x_mm, y_mm, letters, numbers = run.x_mm, run.y_mm, "", list[float]()
    for character in run.text:
        glyph = _load_glyph(run.bold, character)
        letters += glyph.outline.letters
        points = iter(glyph.outline.numbers)
        for x, y in zip(points, points, strict=True):
            numbers += (x_mm + x * size_mm, y_mm - y * size_mm)
        x_mm += glyph.advance * size_mm
    return Outline(letters, tuple(numbers))


def _outline_other(word: Setting) -> Outline:
    """A word in another face, set anew."""
    from fillcards.typeface.shaping import draw_glyph

    size_mm, letters, numbers = word.size_pt * MM_PER_PT, "", list[float]()
    for number, right_pt, up_pt in place_glyphs(word):
        x_mm, y_mm = word.x_mm + right_pt * MM_PER_PT, word.y_mm - up_pt * MM_PER_PT
        for letter, points in draw_glyph(word.face, word.bold, number) if word.face else ():
            letters += letter
            for x, y in points:
                numbers += (x_mm + x * size_mm, y_mm - y * size_mm)
    return Outline(letters, tuple(numbers))


_WAYS: Final = tuple({row.face: language for language, row in LANGUAGES.items()}.values())
"""A language for each way in which the words of a label may be parted among faces: a space may be of either."""


def _read_label(outline: Outline, labels: Iterable[str], level: int) -> Run | None:
    """The one of some labels, in any face, that an outline is, or a word of one."""
    parts = [part for label in labels for part in (label, *label.split(" "))]
    for text, bold, language in product(dict.fromkeys(parts), (False, True), _WAYS):
        if not text or find_missing_glyphs(text, bold):
            continue
        unit = Run(text, 0.0, 0.0, 1 / MM_PER_PT, bold, 0.0, level)
        meant, x_em = Outline("", ()), measure_mixed_em(text, bold, language)
        for (part, face), start_em in place_segments(text, bold, language):
            meant += outline_run(unit._replace(text=part, x_mm=start_em, face=face))
        if meant.letters != outline.letters:
            continue
        # A glyph's own numbers grow upward.
        upward = tuple(-each if place % 2 else each for place, each in enumerate(meant.numbers))
        fit = _fit(_Glyph(text, Outline(meant.letters, upward), x_em), outline.numbers, 0.0)
        if fit:
            x_mm, y_mm, size_mm = fit
            size_pt = round(size_mm / MM_PER_PT, 1)
            return unit._replace(x_mm=x_mm, y_mm=y_mm, size_pt=size_pt, width_mm=x_em * size_mm)
    return None


def is_same_outline(one: Outline, other: Outline, ease_mm: float) -> bool:
    """Whether two outlines are the same commands, point by point."""
    return one.letters == other.letters and all(
        -ease_mm <= a - b <= ease_mm for a, b in zip(one.numbers, other.numbers, strict=True)
    )


def read_run(outline: Outline, level: int, labels: Sequence[str] = ()) -> Run:
    """The words of an outline, where they stand, their size and weight.

    Args:
        outline: to be read.
        level: its grey.
        labels: words that may be in another face; whatever is only in Fillcards Text is read without.

    Raises:
        UnreadableCard: it is not a line of type in one face and size.
    """
    found = [run for bold in (False, True) if (run := _read_in_face(outline, bold, level))]
    if not found and (label := _read_label(outline, labels, level)):
        return label
    if len(found) != 1:
        raise UnreadableCard("it has an outline that is no line of type")
    return found[0]


def _read_in_face(outline: Outline, bold: bool, level: int) -> Run | None:
    by_letters, most = _load_face(bold)
    letters, numbers = outline
    starts = list(accumulate((2 * _POINTS[letter] for letter in letters), initial=0))
    place, text, size_mm, x_mm, y_mm, end_mm = 0, "", 0.0, 0.0, 0.0, 0.0
    space = measure_width_mm(" ", 1 / MM_PER_PT, bold)
    while place < len(letters):
        for length in range(min(most, len(letters) - place), 0, -1):
            part = numbers[starts[place] : starts[place + length]]
            fits = (
                (glyph, _fit(glyph, part, size_mm)) for glyph in by_letters.get(letters[place : place + length], ())
            )
            known = next(((glyph, fit) for glyph, fit in fits if fit), None)
            if known:
                break
        else:
            return None
        glyph, (left_mm, base_mm, em_mm) = known
        if not text:
            x_mm, y_mm, size_mm = left_mm, base_mm, em_mm
        else:
            spaces = (left_mm - end_mm) / (space * size_mm)
            if abs(spaces - round(spaces)) > SPACE_EASE or round(spaces) < 0 or abs(base_mm - y_mm) > GLYPH_EASE_MM:
                return None
            text += " " * round(spaces)
        text += glyph.character
        end_mm = left_mm + glyph.advance * size_mm
        place += length
    size_pt = round(size_mm / MM_PER_PT, 1)
    run = Run(text, x_mm, y_mm, size_pt, bold, end_mm - x_mm, level)
    return run if text and is_same_outline(outline_run(run), outline, 10 * GLYPH_EASE_MM) else None


def _fit(glyph: _Glyph, seen: tuple[float, ...], size_mm: float) -> tuple[float, float, float] | None:
    """Origin, baseline and em of a glyph that has just these points; ``None`` if none has."""
    meant = glyph.outline.numbers
    us, vs, xs, ys = meant[::2], meant[1::2], seen[::2], seen[1::2]
    if not size_mm:
        # From its extent across and up and down, which no glyph has neither of.
        size_mm = (max(xs) - min(xs) + max(ys) - min(ys)) / (max(us) - min(us) + max(vs) - min(vs))
    x_mm, y_mm = xs[0] - us[0] * size_mm, ys[0] + vs[0] * size_mm
    ease_mm = 2 * GLYPH_EASE_MM
    for u, v, x, y in zip(us, vs, xs, ys, strict=True):
        if abs(x_mm + u * size_mm - x) > ease_mm or abs(y_mm - v * size_mm - y) > ease_mm:
            return None
    return x_mm, y_mm, size_mm


@lru_cache(maxsize=2)
def _load_font(bold: bool) -> tuple[Any, dict[int, str], float]:
    from fontTools.ttLib import TTFont

    font = TTFont(find_font_file(bold), lazy=True)
    return font.getGlyphSet(), font.getBestCmap(), float(font["head"].unitsPerEm)


@lru_cache(maxsize=1024)
def _load_glyph(bold: bool, character: str) -> _Glyph:
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    glyphs, names, em = _load_font(bold)
    name = names.get(ord(character))
    if name is None:
        raise UnreadableCard("it has characters that no card has")
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    commands = [command for verb, points in pen.value for command in _convert(verb, points)]
    numbers = tuple(number / em for _, points in commands for point in points for number in point)
    return _Glyph(character, Outline("".join(letter for letter, _ in commands), numbers), glyphs[name].width / em)


def _convert(verb: str, points: Sequence[tuple[float, float]]) -> Iterator[tuple[str, Sequence[tuple[float, float]]]]:
    from fontTools.pens.basePen import decomposeQuadraticSegment

    if verb == "qCurveTo":
        yield from (("Q", pair) for pair in decomposeQuadraticSegment(points))
    elif verb != "endPath":
        yield {"moveTo": "M", "lineTo": "L", "closePath": "Z"}[verb], points


@lru_cache(maxsize=2)
def _load_face(bold: bool) -> tuple[dict[str, list[_Glyph]], int]:
    """Glyphs by the letters of their commands, and the most commands that a glyph has."""
    by_letters: dict[str, list[_Glyph]] = {}
    for code in sorted(_load_font(bold)[1]):
        glyph = _load_glyph(bold, chr(code))
        if glyph.outline.letters:
            by_letters.setdefault(glyph.outline.letters, []).append(glyph)
    return by_letters, max(map(len, by_letters))
