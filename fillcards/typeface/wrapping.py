"""Breaking text into lines: between words, never between a number and its unit, never inside a number.

A text may have bold places. Widths are worked out in parts of the type size. What is remembered of words, which may be
a patient's, lives in a ``LineBreaker`` and goes with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Final, NamedTuple, TypeAlias

from fillcards.problems import FillcardsError
from fillcards.typeface.metrics import MM_PER_POINT_FLOAT, load_widths, measure_width_em

_NUMBER: Final = re.compile(r'[("]?[0-9](?:[0-9.,/:-]*[0-9])?')
_UNIT: Final = re.compile(
    r"(?:units?(?:/mL)?|m[gL]|mcg|mc?g/mL|mm|cm|pt|days?|hours?|minutes?|weeks?|months?|lines?|short|long|times|°[CF]|%"
    "|unidad(?:es)?|minutos?|días?|líneas?|veces|đơn|phút|ngày|lần|vạch"
    "|единиц[аы]?|мл|мг|мкг|минут[аыу]?|дн(?:я|ей)|день|раза?|وحدة|وحدات|دقيقة|دقائق|يوما?|يومًا|أيام|مرات|خطا?|خطًا|خطوط"
    "|यूनिट|मिनट|दिन|बार|लाइनें?)[^A-Za-z0-9]*"
)
_COUNTED: Final = frozenset(
    (
        *("line", "lines", "step", "steps", "page", "pages", "figure", "number", "past", "to"),
        *("línea", "paso", "lado", "lados", "número", "hasta", "desde", "del"),
        *("vạch", "bước", "mặt", "số", "đến"),
        *("линия", "линии", "шаг", "шага", "сторона", "стороны", "число", "до", "после"),
        *("الخط", "الخطوة", "الوجه", "الرقم", "حتى"),
        *("लाइन", "चरण", "पन्ना", "नंबर"),
    )
)
"""What a number belongs to, in each language of a card."""
_JOINERS: Final = frozenset(("·", "+", "=", "–", "x", "×"))
_VISIBLE_BREAK: Final = re.compile(r"(?<=[-–])(?=.)|(?<=[/@])(?=[A-Za-z])")
_WORD: Final = re.compile(r"[^ ]+")
_FIT_TOLERANCE: Final = 1e-9
_BEGUN_AT_END: Final = re.compile(r"[.?!] [^ .?!:]+$")
"""A line that ends with the first word of a sentence."""


class TextTooWide(FillcardsError):
    """A number, or a single letter, is wider than the line it is to stand on."""


class Run(NamedTuple):
    """Neighbouring letters of one weight."""

    text: str
    bold: bool


Runs: TypeAlias = tuple[Run, ...]

BoldPlaces: TypeAlias = tuple[tuple[int, int], ...]
"""Which letters of a text are bold: pairs of the first one's place and the place after the last one's."""


class _Group(NamedTuple):
    """Words that stand on one line, and the space before them, each with its width."""

    runs: Runs
    width_em: float
    space: Run
    space_em: float


class LineBreaker:
    """Breaks the texts of one card into lines; to be dropped with the card.

    A card is laid out in several sizes until it fits. Which words belong together and how wide they are in parts of the
    type size is the same in all of them, and is worked out once.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[str, BoldPlaces], tuple[tuple[_Group, ...], ...]] = {}

    def wrap(self, text: str, bold: BoldPlaces, size_pt: float, width_mm: float) -> tuple[Runs, ...]:
        """Break a text into lines that fit, filling each line before the next is begun.

        What belongs together stays together: ``8 units``, ``line 10``, ``8 + 18 = 26``, parts joined by a no-break
        space. A word wider than a line is broken after a hyphen or slash of its own, else with a hyphen put in.

        Args:
            text: words with spaces between them; a line feed ends a line.
            bold: which letters are bold.
            size_pt: type size.
            width_mm: the room a line has.

        Returns:
            The lines as runs of one weight, no two neighbours of the same, without spaces at the ends of a line; no
            lines for a blank text.

        Raises:
            TextTooWide: what must not be broken does not fit. Breaking a number could make two of it.
            InternalFault: a character is not in the typeface.
        """
        limit = _measure_limit(size_pt, width_mm)
        return tuple(line for groups in self._find_paragraphs(text, bold) for line in _fill_lines(groups, limit))

    def balance(self, text: str, bold: BoldPlaces, size_pt: float, width_mm: float) -> tuple[Runs, ...]:
        """As many lines as ``wrap`` makes, of which none parts a word from all of its own where that can be: no last
        line of one word, no sentence begun by a single word at the end of a line.

        Raises:
            TextTooWide, InternalFault: as ``wrap``.
        """
        limit = _measure_limit(size_pt, width_mm)
        lines: list[Runs] = []
        for groups in self._find_paragraphs(text, bold):
            filled = tuple(_fill_lines(groups, limit))
            lone = sum(_count_lone(line, is_last=place == len(filled)) for place, line in enumerate(filled, start=1))
            lines += (_part_best(groups, limit, len(filled)) if lone and len(filled) > 1 else None) or filled
        return tuple(lines)

    def _find_paragraphs(self, text: str, bold: BoldPlaces) -> tuple[tuple[_Group, ...], ...]:
        known = self._known.get((text, bold))
        if known is None:
            known = self._known[text, bold] = tuple(_list_paragraphs(text, bold))
        return known


def wrap_runs(text: str, bold: BoldPlaces, size_pt: float, width_mm: float) -> tuple[Runs, ...]:
    """Break a single text into lines, as ``LineBreaker.wrap`` does."""
    return LineBreaker().wrap(text, bold, size_pt, width_mm)


def wrap_text(text: str, size_pt: float, bold: bool, width_mm: float) -> tuple[str, ...]:
    """Break a single text of one weight into lines, as ``LineBreaker.wrap`` does."""
    lines = wrap_runs(text, ((0, len(text)),) if bold else (), size_pt, width_mm)
    return tuple(run.text for (run,) in lines)


def join_inseparable(words: list[str]) -> Iterator[str]:
    """Groups of words that stand on one line."""
    start = 0
    for end in _list_group_ends(words):
        yield " ".join(words[start:end])
        start = end


def _list_group_ends(words: list[str]) -> Iterator[int]:
    """For each group of words that stand on one line, how many words there are up to its end."""
    yield from (place for place, pair in enumerate(pairwise(words), start=1) if not _belong_together(*pair))
    if words:
        yield len(words)


def _belong_together(first: str, second: str) -> bool:
    if second in _JOINERS:
        return True
    if _starts_with_number(second):
        return first.lower() in _COUNTED or first in {"+", "=", "×"}
    return _NUMBER.fullmatch(first) is not None and _UNIT.fullmatch(second) is not None


def _starts_with_number(word: str) -> bool:
    return word[0].isdigit()


def _list_paragraphs(text: str, bold: BoldPlaces) -> Iterator[tuple[_Group, ...]]:
    weights = bytearray(len(text))
    for first, last in bold:
        weights[first:last] = b"\1" * (last - first)
    start = 0
    for paragraph in text.split("\n"):
        end = start + len(paragraph)
        yield tuple(_list_groups(text, weights, start, end))
        start = end + 1


def _list_groups(text: str, weights: bytearray, start: int, end: int) -> Iterator[_Group]:
    widths = load_widths()
    spaces = [(Run(" ", bold), widths[bold][" "]) for bold in (False, True)]
    places = [match.span() for match in _WORD.finditer(text, start, end)]
    first = 0
    for last in _list_group_ends([text[left:right] for left, right in places]):
        left = places[first][0]
        runs = _cut(text, weights, *places[first])
        for place in places[first + 1 : last]:
            runs = _merge((*runs, spaces[weights[place[0] - 1]][0], *_cut(text, weights, *place)))
        yield _Group(runs, _measure_em(runs), *spaces[weights[left - 1] if left else 0])
        first = last


def _cut(text: str, weights: bytearray, start: int, end: int) -> Runs:
    """A word of a text as runs; nearly every one is of one weight."""
    word, own = text[start:end], weights[start:end]
    if own.count(own[0]) == len(word):
        return (Run(word, own[0] == 1),)
    return _merge(Run(letter, weight == 1) for letter, weight in zip(word, own, strict=True))


def _merge(runs: Iterable[Run]) -> Runs:
    """Runs without neighbours of the same weight."""
    merged: list[Run] = []
    texts: list[str] = []
    weight = False
    for text, bold in runs:
        if bold is not weight and texts:
            merged.append(Run("".join(texts), weight))
            texts = []
        weight = bold
        texts.append(text)
    return (*merged, Run("".join(texts), weight))


def _measure_em(runs: Iterable[Run]) -> float:
    widths = load_widths()
    return sum([measure_width_em(text, widths[bold]) for text, bold in runs])


def _fill_lines(groups: tuple[_Group, ...], limit: float) -> Iterator[Runs]:
    line: list[Run] = []
    line_width = 0.0
    for group in groups:
        is_fitting = group.width_em <= limit
        for runs, width in ((group.runs, group.width_em),) if is_fitting else _break_group(group.runs, limit):
            wider = line_width + group.space_em + width
            if line and wider <= limit:
                line += (group.space, *runs)
                line_width = wider
                continue
            if line:
                yield _merge(line)
            line, line_width = list(runs), width
    if line:
        yield _merge(line)


def _part_best(groups: tuple[_Group, ...], limit: float, count: int) -> list[Runs] | None:
    """So many lines with the fewest words parted from their own, then the least uneven; ``None`` where a word must be
    broken.
    """
    best: dict[int, tuple[float, list[Runs]]] = {0: (0.0, [])}
    for number in range(1, count + 1):
        longer: dict[int, tuple[float, list[Runs]]] = {}
        for first, (cost, lines) in best.items():
            runs: list[Run] = []
            width = 0.0
            for last in range(first, len(groups)):
                group = groups[last]
                width += group.width_em + (group.space_em if runs else 0.0)
                if width > limit:
                    break
                runs += (group.space, *group.runs) if runs else group.runs
                is_last = last + 1 == len(groups)
                if is_last != (number == count):
                    continue
                line = _merge(runs)
                slack = 0.0 if is_last else ((limit - width) / limit) ** 2 / count
                own = cost + _count_lone(line, is_last=is_last) + slack
                if last + 1 not in longer or own < longer[last + 1][0]:
                    longer[last + 1] = own, [*lines, line]
        best = longer
    return best[len(groups)][1] if len(groups) in best else None


def _count_lone(line: Runs, *, is_last: bool) -> int:
    """Words on a line that are parted from all of their own; one alone on the last line weighs more."""
    text = "".join(run.text for run in line)
    if is_last:
        return 0 if " " in text else 4
    return 1 if _BEGUN_AT_END.search(text) else 0


def _measure_limit(size_pt: float, width_mm: float) -> float:
    return width_mm / (size_pt * MM_PER_POINT_FLOAT) + _FIT_TOLERANCE


def _break_group(runs: Runs, limit: float) -> Iterator[tuple[Runs, float]]:
    """A group that no line can hold, in pieces with their widths, each but the last as wide as fits."""
    if any(" " in run.text for run in runs):
        raise TextTooWide(
            "an amount with its unit does not fit on one line: choose a smaller text size or larger paper"
        )
    for piece in _break_word([Run(letter, run.bold) for run in runs for letter in run.text], limit):
        yield _merge(piece), _measure_em(piece)


def _break_word(letters: list[Run], limit: float) -> Iterator[list[Run]]:
    piece: list[Run] = []
    for count in map(len, _VISIBLE_BREAK.split("".join(letter.text for letter in letters))):
        part, letters = letters[:count], letters[count:]
        if _measure_em(piece + part) <= limit:
            piece += part
            continue
        if piece:
            yield piece
        piece = part
        while _measure_em(piece) > limit:
            head = _take_head(piece, limit)
            yield [*head, Run("-", head[-1].bold)]
            piece = piece[len(head) :]
    yield piece


def _take_head(letters: list[Run], limit: float) -> list[Run]:
    """As many letters of a word as fit with a hyphen after them."""
    if any(letter.text.isdigit() for letter in letters):
        raise TextTooWide("a number does not fit on one line: choose a smaller text size or larger paper")
    head: list[Run] = []
    for letter in letters:
        if _measure_em((*head, letter, Run("-", letter.bold))) > limit:
            break
        head.append(letter)
    if not head:
        raise TextTooWide("a single letter does not fit on one line: choose a smaller text size or larger paper")
    return head
