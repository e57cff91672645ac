"""Text as outlines: the typeface's glyphs as path data in mm, for outputs whose reader may not have the typeface.

Knows nothing of the file the path goes into. Quadratic curves are kept as they are in the font file. No kerning, as
in the PDF and in ``typeface.measure_width_mm``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any, Final

from fillcards.problems import InternalFault
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import find_font_file
from fillcards.typeface.measures import PLAIN_LANGUAGES
from fillcards.typeface.metrics import load_widths

DECIMALS: Final = 4
"""A ten-thousandth of a millimetre."""

_Command = tuple[str, tuple[tuple[float, float], ...]]


@lru_cache(maxsize=512)  # of a card that is shown again after each key, most words stay where they were
def write_run_path(
    text: str, left_mm: float, baseline_mm: float, size_pt: float, bold: bool, language: str = "en"
) -> str:
    """SVG path data of one run of text, y downward.

    Args:
        text: the run.
        left_mm: where its first glyph's origin stands.
        baseline_mm: height of the baseline.
        size_pt: size of type.
        bold: which weight.
        language: chooses the face of words that several have.

    Raises:
        InternalFault: if a character has no glyph; coverage is checked long before.
        OutputError: if the typeface's files are missing.
    """
    if language in PLAIN_LANGUAGES and load_widths()[bold].keys() >= set(text):
        return _write_plain(text, left_mm, baseline_mm, size_pt, bold)
    from fillcards.typeface.segments import place_segments
    from fillcards.typeface.shaping import draw_glyph, set_word

    size_mm = convert_pt_to_mm(size_pt)
    pieces: list[str] = []
    for (part, face), start_em in place_segments(text, bold, language):
        x_mm = left_mm + start_em * size_mm
        if face is None:
            pieces.append(_write_plain(part, x_mm, baseline_mm, size_pt, bold))
            continue
        for glyph in set_word(part, face, bold):
            place = x_mm + glyph.right * size_mm, baseline_mm - glyph.up * size_mm
            pieces += _write_commands(draw_glyph(face, bold, glyph.number), *place, size_mm)
            x_mm += glyph.advance * size_mm
    return "".join(pieces)


def _write_plain(text: str, left_mm: float, baseline_mm: float, size_pt: float, bold: bool) -> str:
    """A run in Fillcards Text."""
    scale = convert_pt_to_mm(size_pt) / _load_glyphs(bold)[2]
    pieces: list[str] = []
    x_mm = left_mm
    for character in text:
        commands, advance = _record_glyph(bold, character)
        pieces += _write_commands(commands, x_mm, baseline_mm, scale)
        x_mm += advance * scale
    return "".join(pieces)


def _write_commands(commands: Iterable[_Command], x_mm: float, y_mm: float, scale: float) -> Iterator[str]:
    for letter, points in commands:
        places = (f"{_write(x_mm + x * scale)} {_write(y_mm - y * scale)}" for x, y in points)
        yield letter + " ".join(places)


def _write(length_mm: float) -> str:
    return f"{length_mm:.{DECIMALS}f}".rstrip("0").rstrip(".")


@lru_cache(maxsize=2)
def _load_glyphs(bold: bool) -> tuple[Any, dict[int, str], float]:
    """The face's glyphs, the glyph name of each character, and its units to the em."""
    from fontTools.ttLib import TTFont

    font = TTFont(find_font_file(bold), lazy=True)
    return font.getGlyphSet(), font.getBestCmap(), float(font["head"].unitsPerEm)


@lru_cache(maxsize=512)
def _record_glyph(bold: bool, character: str) -> tuple[tuple[_Command, ...], float]:
    """A glyph's outline as path commands in font units, and its advance."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    glyphs, name_of, _ = _load_glyphs(bold)
    name = name_of.get(ord(character))
    if name is None:
        raise InternalFault(f"the typeface has no glyph for U+{ord(character):04X}")
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    return tuple(command for verb, points in pen.value for command in _convert(verb, points)), float(glyphs[name].width)


def _convert(verb: str, points: tuple[tuple[float, float], ...]) -> list[_Command]:
    """One pen call as path commands; a TrueType run of off-curve points has its on-curve points halfway between."""
    from fontTools.pens.basePen import decomposeQuadraticSegment

    match verb:
        case "moveTo":
            return [("M", points)]
        case "lineTo":
            return [("L", points)]
        case "qCurveTo":
            return [("Q", pair) for pair in decomposeQuadraticSegment(points)]
        case "closePath":
            return [("Z", ())]
    raise InternalFault(f"a glyph is drawn with {verb}, which outlines of this typeface never use")
