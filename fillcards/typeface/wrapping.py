"""Breaking text into lines: between words, never between a number and its unit, never inside a number.

Widths are worked out in parts of the type size. What is remembered of words, which may be a patient's, lives in a
``LineBreaker`` and goes with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from fillcards.problems import FillcardsError
from fillcards.typeface.metrics import MM_PER_POINT_FLOAT, load_widths, measure_width_em

_NUMBER: Final = re.compile(r'[("]?[0-9](?:[0-9.,/:-]*[0-9])?')
_UNIT: Final = re.compile(
    r"(?:units?(?:/mL)?|m[gL]|mcg|mc?g/mL|mm|cm|pt|days?|hours?|minutes?|weeks?|months?|lines?|short|long|times|°[CF]|%)[^A-Za-z0-9]*"
)
_COUNTED: Final = frozenset(("line", "lines", "step", "steps", "page", "pages", "figure", "number", "past", "to"))
_JOINERS: Final = frozenset(("·", "+", "=", "–", "x", "×"))
_VISIBLE_BREAK: Final = re.compile(r"(?<=[-–])(?=.)|(?<=[/@])(?=[A-Za-z])")
_FIT_TOLERANCE: Final = 1e-9


class TextTooWide(FillcardsError):
    """A number, or a single letter, is wider than the line it is to stand on."""


class LineBreaker:
    """Breaks the texts of one card into lines; to be dropped with the card.

    A card is laid out in several sizes until it fits. Which words belong together and how wide they are in parts of the
    type size is the same in all of them, and is worked out once.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[str, bool], tuple[tuple[tuple[str, float], ...], ...]] = {}

    def wrap(self, text: str, size_pt: float, bold: bool, width_mm: float) -> tuple[str, ...]:
        """Break a text into lines that fit, filling each line before the next is begun.

        What belongs together stays together: ``8 units``, ``line 10``, ``8 + 18 = 26``, parts joined by a no-break
        space. A word wider than a line is broken after a hyphen or slash of its own, else with a hyphen put in.

        Args:
            text: words with spaces between them; a line feed ends a line.
            size_pt: type size.
            bold: which weight.
            width_mm: the room a line has.

        Returns:
            The lines, without spaces at their ends; none for a blank text.

        Raises:
            TextTooWide: what must not be broken does not fit. Breaking a number could make two of it.
            InternalFault: a character is not in the typeface.
        """
        limit = width_mm / (size_pt * MM_PER_POINT_FLOAT) + _FIT_TOLERANCE
        widths, known = load_widths()[bold], self._known.get((text, bold))
        if known is None:
            known = self._known[text, bold] = _measure_paragraphs(text, widths)
        lines: list[str] = []
        for groups in known:
            lines += _fill_lines(groups, widths, limit)
        return tuple(lines)


def wrap_text(text: str, size_pt: float, bold: bool, width_mm: float) -> tuple[str, ...]:
    """Break a single text into lines, as ``LineBreaker.wrap`` does."""
    return LineBreaker().wrap(text, size_pt, bold, width_mm)


def _measure_paragraphs(text: str, widths: dict[str, float]) -> tuple[tuple[tuple[str, float], ...], ...]:
    """Of each paragraph the groups of words that stand on one line, each with its width."""
    paragraphs = ([word for word in paragraph.split(" ") if word] for paragraph in text.split("\n"))
    return tuple(
        tuple((group, measure_width_em(group, widths)) for group in join_inseparable(words)) for words in paragraphs
    )


def _fill_lines(groups: tuple[tuple[str, float], ...], widths: dict[str, float], limit: float) -> Iterator[str]:
    space = widths[" "]
    line: list[str] = []
    line_width = 0.0
    for group, group_width in groups:
        for piece, width in ((group, group_width),) if group_width <= limit else _break_group(group, widths, limit):
            wider = line_width + space + width
            if line and wider <= limit:
                line.append(piece)
                line_width = wider
                continue
            if line:
                yield " ".join(line)
            line, line_width = [piece], width
    if line:
        yield " ".join(line)


def join_inseparable(words: list[str]) -> Iterator[str]:
    """Groups of words that stand on one line."""
    group = ""
    previous = ""
    for word in words:
        if group and _belong_together(previous, word):
            group = f"{group} {word}"
        else:
            if group:
                yield group
            group = word
        previous = word
    if group:
        yield group


def _belong_together(first: str, second: str) -> bool:
    if second in _JOINERS:
        return True
    if _starts_with_number(second):
        return first.lower() in _COUNTED or first in {"+", "=", "×"}
    return _NUMBER.fullmatch(first) is not None and _UNIT.fullmatch(second) is not None


def _starts_with_number(word: str) -> bool:
    return word[0].isdigit()


def _break_group(group: str, widths: dict[str, float], limit: float) -> Iterator[tuple[str, float]]:
    """A group that no line can hold, in pieces with their widths, each but the last as wide as fits."""
    if " " in group:
        raise TextTooWide(
            "an amount with its unit does not fit on one line: choose a smaller text size or larger paper"
        )
    for piece in _break_word(group, widths, limit):
        yield piece, measure_width_em(piece, widths)


def _break_word(word: str, widths: dict[str, float], limit: float) -> Iterator[str]:
    piece = ""
    for part in _VISIBLE_BREAK.split(word):
        if measure_width_em(piece + part, widths) <= limit:
            piece += part
            continue
        if piece:
            yield piece
        piece = part
        while measure_width_em(piece, widths) > limit:
            head = _take_head(piece, widths, limit)
            yield f"{head}-"
            piece = piece[len(head) :]
    yield piece


def _take_head(word: str, widths: dict[str, float], limit: float) -> str:
    if any(character.isdigit() for character in word):
        raise TextTooWide("a number does not fit on one line: choose a smaller text size or larger paper")
    room = limit - widths["-"]
    count = 0
    for character in word:
        room -= widths[character]
        if room < 0:
            break
        count += 1
    if count == 0:
        raise TextTooWide("a single letter does not fit on one line: choose a smaller text size or larger paper")
    return word[:count]
