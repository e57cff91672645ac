"""Breaking text into lines: between words, never between a number and its unit, never inside a number; inside one to
call only where no line holds it.

A text may have bold places. Widths are worked out in parts of the type size. What is remembered of words, which may be
a patient's, lives in ``Words`` and goes with it.
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from itertools import chain, pairwise
from math import fsum
from typing import Final, NamedTuple, TypeAlias

from fillcards.problems import FillcardsError
from fillcards.typeface.direction import find_forward, is_right_to_left, order_from_left
from fillcards.typeface.metrics import MM_PER_POINT_FLOAT
from fillcards.typeface.segments import measure_text_em

_NUMBER: Final = re.compile(r'[("«“„]?[0-9](?:[0-9.,/:-]*[0-9])?')
_UNIT: Final = re.compile(
    r"(?:units?(?:/mL)?|m[gL]|mcg|mc?g/mL|mm|cm|pt|days?|hours?|minutes?|weeks?|months?|lines?|short|long|times|°[CF]|%"
    "|unidad(?:es)?|minutos?|días?|líneas?|veces|đơn|phút|ngày|lần|vạch"
    "|единиц[аы]?|мл|мг|мкг|минут[аыу]?|дн(?:я|ей)|день|раза?|وحدة|وحدات|دقيقة|دقائق|يوما?|يومًا|أيام|مرات|خطا?|خطًا|خطوط"
    "|यूनिट|मिनट|दिन|बार|लाइनें?"
    "|января|февраля|марта|апреля|мая|июня|июля|августа|сентября|октября|ноября|декабря"
    "|जनवरी|फ़रवरी|मार्च|अप्रैल|मई|जून|जुलाई|अगस्त|सितंबर|अक्टूबर|नवंबर|दिसंबर)[^A-Za-z0-9]*"
)


def _split(words: str) -> frozenset[str]:
    return frozenset(words.split())


_COUNTED: Final = _split(
    "line lines step steps page pages figure number past to "
    "línea paso lado lados número hasta desde del "
    "vạch bước mặt số cuối đến ngày tháng năm "
    "линия линии шаг шага сторона стороны число до после "
    "الخط الخطوة الوجه الرقم رقم حتى "
    "लाइन चरण पन्ना पन्ने नंबर"
)
"""What a number belongs to, in each language of a card."""
_NUMBER_WORDS: Final = _split(
    "zero one two three four five six seven eight nine "
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciséis diecisiete "
    "dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro veinticinco veintiséis veintisiete "
    "veintiocho veintinueve treinta cuarenta cincuenta sesenta setenta ochenta noventa y cien ciento doscientos "
    "trescientos cuatrocientos quinientos seiscientos setecientos ochocientos novecientos "
    "không một hai ba bốn năm sáu bảy tám chín mười mươi mốt lăm lẻ "
    "ноль один два три четыре пять шесть семь восемь девять десять одиннадцать двенадцать тринадцать четырнадцать "
    "пятнадцать шестнадцать семнадцать восемнадцать девятнадцать двадцать тридцать сорок пятьдесят шестьдесят "
    "семьдесят восемьдесят девяносто сто двести триста четыреста пятьсот шестьсот семьсот восемьсот девятьсот "
    "صفر واحد اثنان ثلاثة أربعة خمسة ستة سبعة ثمانية تسعة عشرة أحد اثنا عشر مائة مئتان ثلاثمائة أربعمائة خمسمائة "
    "ستمائة سبعمائة ثمانمائة تسعمائة عشرون ثلاثون أربعون خمسون ستون سبعون ثمانون تسعون "
    "शून्य एक दो तीन चार पाँच छह सात आठ नौ"
)
_WITHIN_NUMBERS: Final = _split("point hundred punto phẩy trăm запятая فاصلة दशमलव सौ")
"""Words that only stand inside or behind a number said in words: each stays with both its neighbours."""
_ARABIC_AND: Final = "و"
_NEGATIONS: Final = _split("not never no не đừng لا न")
"""Without it, the next line would tell the reader to do what must not be done."""
_ENDS: Final = ".,:;?!)»”।؟،"
_DIALLED: Final = re.compile(r"(?:\+?[0-9]+|\([0-9]+\)|[0-9]+(?:-[0-9]+)+)[.,:;?!)»”।؟،]*")
"""A part of a telephone number."""
_JOINERS: Final = frozenset(("·", "+", "=", "–", "x", "×"))
_VISIBLE_BREAK: Final = re.compile(r"(?<=[-–])(?=.)|(?<=[/@])(?=[A-Za-z])")
_WORD: Final = re.compile(r"[^ ]+")
_JOINER: Final = "\u094d"
_FIT_TOLERANCE: Final = 1e-9
_BEGUN_AT_END: Final = re.compile(r"[.?!] [^ .?!:]+$")
"""A line that ends with the first word of a sentence."""


class TextTooWide(FillcardsError):
    """A number, or a single letter, is wider than the line it is to stand on."""


class Run(NamedTuple):
    """Neighbouring letters of one weight.

    ``is_forward``: in a language that is read from right to left, they run from left to right, as all do in others.
    """

    text: str
    bold: bool
    is_forward: bool = False


Runs: TypeAlias = tuple[Run, ...]

BoldPlaces: TypeAlias = tuple[tuple[int, int], ...]
"""Which letters of a text are bold: pairs of the first one's place and the place after the last one's."""


class _Group(NamedTuple):
    """Words that stand on one line, and the space before them, each with its width."""

    runs: Runs
    width_em: float
    space: Run
    space_em: float


class WordLine(NamedTuple):
    """One line of a text.

    Attributes:
        runs: of one weight, no two neighbours of the same, in the order they are read, without spaces at the ends of
            the line. In a language that is read from right to left, each runs one way.
        widths_em: of each run, in parts of the type size.
        is_backward: whether it is read from right to left.
    """

    runs: Runs
    widths_em: tuple[float, ...]
    is_backward: bool = False

    def list_starts_mm(self, size_pt: float) -> list[float]:
        """Where each run stands, from the left end of the line."""
        order = list(range(len(self.runs)))
        if self.is_backward:
            order = order_from_left(order, [run.is_forward for run in self.runs])
        starts, x_mm = [0.0] * len(order), 0.0
        for place in order:
            starts[place] = x_mm
            x_mm += self.widths_em[place] * size_pt * MM_PER_POINT_FLOAT
        return starts

    def measure_mm(self, size_pt: float) -> float:
        """Its width."""
        return fsum(width_em * size_pt * MM_PER_POINT_FLOAT for width_em in self.widths_em)


class _Paragraph:
    """Groups of words, their widths added up once: in any size and room, the end of a line is found by halving."""

    __slots__ = ("_begun", "_lines", "_spaced", "ends_em", "groups", "language", "starts_em", "widest_em")

    def __init__(self, groups: Iterable[_Group], language: str) -> None:
        self.groups = tuple(groups)
        self.language = language
        self.widest_em = max((group.width_em for group in self.groups), default=0.0)
        self.starts_em: list[float] = []
        self.ends_em: list[float] = []
        self._spaced: list[bool] = []
        self._begun: list[tuple[bool, bool]] = []
        self._lines: dict[tuple[int, int], WordLine] = {}
        x_em, before = 0.0, ""
        for group in self.groups:
            self.starts_em.append(x_em + group.space_em if before else 0.0)
            x_em = self.starts_em[-1] + group.width_em
            self.ends_em.append(x_em)
            text = "".join(run.text for run in group.runs)
            self._spaced.append(" " in text)
            alone = self._spaced[-1] and _BEGUN_AT_END.search(text) is not None
            self._begun.append((alone, alone or _BEGUN_AT_END.search(f"{before} {text}") is not None))
            before = text[-1]

    def set_line(self, first: int, last: int) -> WordLine:
        """The line from one group up to another, which is not on it."""
        known = self._lines.get((first, last))
        if known is None:
            head, *rest = self.groups[first:last]
            runs = _merge(chain(head.runs, *((group.space, *group.runs) for group in rest)))
            known = self._lines[first, last] = WordLine(
                runs, tuple(_measure_run_em(run, self.language) for run in runs), is_right_to_left(self.language)
            )
        return known

    def find_end(self, first: int, limit: float) -> int:
        """The group at which a line that begins with the first one is full; one group always fits."""
        return bisect_right(self.ends_em, self.starts_em[first] + limit, first + 1)

    def count_lone(self, first: int, last: int) -> int:
        """Words on a line that are parted from all of their own; one alone on the last line weighs more."""
        is_single = last - first == 1
        if last == len(self.groups):
            return 4 if is_single and not self._spaced[first] else 0
        return int(self._begun[last - 1][not is_single])

    def fill(self, limit: float) -> list[int]:
        """Where lines end if each is filled before the next is begun."""
        ends = [0]
        while ends[-1] < len(self.groups):
            ends.append(self.find_end(ends[-1], limit))
        return ends

    def part_best(self, limit: float, count: int) -> list[int] | None:
        """Where so many lines end with the fewest words parted from their own, then the least uneven; ``None`` where
        a word must be broken.
        """
        whole = len(self.groups)
        best: dict[int, tuple[float, list[int]]] = {0: (0.0, [0])}
        for number in range(1, count + 1):
            longer: dict[int, tuple[float, list[int]]] = {}
            for first, (cost, ends) in best.items():
                full = self.find_end(first, limit) + 1
                for last in range(first + 1, min(full, whole)) if number < count else range(whole, full):
                    width_em = self.ends_em[last - 1] - self.starts_em[first]
                    slack = ((limit - width_em) / limit) ** 2 / count if number < count else 0.0
                    own = cost + self.count_lone(first, last) + slack
                    if last not in longer or own < longer[last][0]:
                        longer[last] = own, [*ends, last]
            best = longer
        return best[whole][1] if whole in best else None


class Words:
    """A text with bold places, to be broken into lines in many sizes and rooms; to be dropped with its card.

    A card is laid out in several sizes until it fits. Which words belong together and how wide they are in parts of the
    type size is the same in all of them, and is worked out once.
    """

    __slots__ = ("_known", "_paragraphs")

    def __init__(self, text: str, bold: BoldPlaces, language: str = "en") -> None:
        self._paragraphs = tuple(_list_paragraphs(text, bold, language))
        self._known: dict[tuple[float, bool], _Breaks | str] = {}

    def wrap(self, size_pt: float, width_mm: float) -> tuple[WordLine, ...]:
        """Break the text into lines that fit, filling each line before the next is begun.

        What belongs together stays together: ``8 units``, ``line 10``, ``8 + 18 = 26``, parts joined by a no-break
        space; and the words of a number, so that no line shows another, and "not" with what it forbids, unless they are
        wider than a line. A word wider than a line is broken after a hyphen or slash of its own, else with a hyphen put
        in.

        Args:
            size_pt: type size.
            width_mm: the room a line has.

        Returns:
            The lines; none for a blank text.

        Raises:
            TextTooWide: what must not be broken does not fit. Breaking a number could make two of it.
            InternalFault: a character is not in the typeface.
        """
        return _set_lines(self._find_breaks(size_pt, width_mm, is_balanced=False))

    def balance(self, size_pt: float, width_mm: float) -> tuple[WordLine, ...]:
        """As many lines as ``wrap`` makes, of which none parts a word from all of its own where that can be: no last
        line of one word, no sentence begun by a single word at the end of a line.

        Raises:
            TextTooWide, InternalFault: as ``wrap``.
        """
        return _set_lines(self._find_breaks(size_pt, width_mm, is_balanced=True))

    def count_lines(self, size_pt: float, width_mm: float) -> int:
        """How many lines the two make.

        Raises:
            TextTooWide, InternalFault: as ``wrap``.
        """
        return sum(len(ends) - 1 for _, ends in self._find_breaks(size_pt, width_mm, is_balanced=False))

    def breaks_word(self, size_pt: float, width_mm: float) -> bool:
        """Whether a word is wider than a line, so that a hyphen is put in.

        Raises:
            TextTooWide, InternalFault: as ``wrap``.
        """
        broken = self._find_breaks(size_pt, width_mm, is_balanced=False)
        return any(
            _count_letters(those.groups) > _count_letters(whole.groups)
            for (those, _), whole in zip(broken, self._paragraphs, strict=True)
            if those is not whole
        )

    def _find_breaks(self, size_pt: float, width_mm: float, *, is_balanced: bool) -> _Breaks:
        limit = width_mm / (size_pt * MM_PER_POINT_FLOAT) + _FIT_TOLERANCE
        known = self._known.get((limit, is_balanced))
        if known is None:
            try:
                known = tuple(_break(each, limit, is_balanced=is_balanced) for each in self._paragraphs)
            except TextTooWide as error:
                known = str(error)
            self._known[limit, is_balanced] = known
        if isinstance(known, str):
            raise TextTooWide(known)
        return known


_Breaks: TypeAlias = tuple[tuple[_Paragraph, list[int]], ...]
"""Paragraphs, and the groups with which the lines of each begin, after them their number."""


def _break(paragraph: _Paragraph, limit: float, *, is_balanced: bool) -> tuple[_Paragraph, list[int]]:
    if paragraph.widest_em > limit:
        paragraph = _Paragraph(_break_groups(paragraph.groups, limit, paragraph.language), paragraph.language)
        is_balanced = False
    ends = paragraph.fill(limit)
    if is_balanced and len(ends) > 2 and any(paragraph.count_lone(*line) for line in pairwise(ends)):
        ends = paragraph.part_best(limit, len(ends) - 1) or ends
    return paragraph, ends


def _set_lines(breaks: _Breaks) -> tuple[WordLine, ...]:
    return tuple([paragraph.set_line(*line) for paragraph, ends in breaks for line in pairwise(ends)])


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
    if second in _JOINERS or first.lower() in _NEGATIONS:
        return True
    if _DIALLED.fullmatch(first) and _DIALLED.fullmatch(second):
        return True
    if second[0].isdigit():
        return first.lower() in _COUNTED or first in {"+", "=", "×"}
    if first in _WITHIN_NUMBERS or second.rstrip(_ENDS) in _WITHIN_NUMBERS:
        return True
    if first in _NUMBER_WORDS:
        last = second.rstrip(_ENDS)
        return last in _NUMBER_WORDS or (last.startswith(_ARABIC_AND) and last[1:] in _NUMBER_WORDS)
    return _NUMBER.fullmatch(first) is not None and _UNIT.fullmatch(second) is not None


def _list_paragraphs(text: str, bold: BoldPlaces, language: str) -> Iterator[_Paragraph]:
    # Of each letter: 1 where it is bold, 2 where it runs forward in a text that does not.
    weights = bytearray(len(text))
    for first, last in bold:
        weights[first:last] = b"\1" * (last - first)
    if is_right_to_left(language):
        weights = bytearray(weight | way << 1 for weight, way in zip(weights, find_forward(text), strict=True))
    start = 0
    for paragraph in text.split("\n"):
        end = start + len(paragraph)
        yield _Paragraph(_list_groups(text, weights, start, end, language), language)
        start = end + 1


def _list_groups(text: str, weights: bytearray, start: int, end: int, language: str) -> Iterator[_Group]:
    runs_of_space = [_make_run(" ", weight) for weight in range(4)]
    spaces = [(space, _measure_run_em(space, language)) for space in runs_of_space]
    places = [match.span() for match in _WORD.finditer(text, start, end)]
    first = 0
    for last in _list_group_ends([text[left:right] for left, right in places]):
        left = places[first][0]
        runs = _cut(text, weights, *places[first])
        for place in places[first + 1 : last]:
            runs = _merge((*runs, spaces[weights[place[0] - 1]][0], *_cut(text, weights, *place)))
        yield _Group(runs, _measure_em(runs, language), *spaces[weights[left - 1] if left else 0])
        first = last


def _cut(text: str, weights: bytearray, start: int, end: int) -> Runs:
    """A word of a text as runs; nearly every one is of one weight."""
    word, own = text[start:end], weights[start:end]
    if own.count(own[0]) == len(word):
        return (_make_run(word, own[0]),)
    return _merge(map(_make_run, word, own))


def _make_run(text: str, weight: int) -> Run:
    return Run(text, weight & 1 == 1, weight & 2 == 2)


def _merge(runs: Iterable[Run]) -> Runs:
    """Runs without neighbours of the same weight and way."""
    merged: list[Run] = []
    texts: list[str] = []
    before = Run("", False)
    for run in runs:
        if run[1:] != before[1:] and texts:
            merged.append(before._replace(text="".join(texts)))
            texts = []
        before = run
        texts.append(run.text)
    return (*merged, before._replace(text="".join(texts)))


def _measure_em(runs: Iterable[Run], language: str) -> float:
    return fsum(_measure_run_em(run, language) for run in runs)


def _count_letters(groups: Iterable[_Group]) -> int:
    return sum(len(run.text.replace(" ", "")) for group in groups for run in group.runs)


def _measure_run_em(run: Run, language: str) -> float:
    # A space between words that run forward is one of theirs.
    return measure_text_em(run.text, run.bold, "en" if run.is_forward else language)


def _break_groups(groups: Iterable[_Group], limit: float, language: str) -> Iterator[_Group]:
    """The groups, those that no line can hold in pieces, each but the last as wide as fits."""
    for group in groups:
        if group.width_em <= limit:
            yield group
            continue
        words = "".join(run.text for run in group.runs).split(" ")
        if len(words) > 1:
            is_dialled = all(map(_DIALLED.fullmatch, words))
            if is_dialled or not any(word in _JOINERS or any(map(str.isdigit, word)) for word in words):
                yield from _break_groups(_part_words(group, language), limit, language)
                continue
            raise TextTooWide(
                "an amount with its unit does not fit on one line: choose a smaller text size or larger paper"
            )
        letters = [run._replace(text=letter) for run in group.runs for letter in _list_letters(run.text)]
        for piece in map(_merge, _break_word(letters, limit, language)):
            yield group._replace(runs=piece, width_em=_measure_em(piece, language))


def _part_words(group: _Group, language: str) -> Iterator[_Group]:
    """The words of a number, or the parts of one to call, that no line holds whole."""
    space, space_em = group.space, group.space_em
    letters: list[Run] = []
    for letter in (*(run._replace(text=letter) for run in group.runs for letter in run.text), Run(" ", False)):
        if letter.text != " ":
            letters.append(letter)
            continue
        runs = _merge(letters)
        yield _Group(runs, _measure_em(runs, language), space, space_em)
        space, space_em, letters = letter, _measure_run_em(letter, language), []


def _list_letters(text: str) -> Iterator[str]:
    """Letters with the marks that stand on them, and those that a joiner of Devanagari ties together."""
    letter = ""
    for sign in text:
        if letter and not (unicodedata.category(sign).startswith("M") or letter.endswith(_JOINER)):
            yield letter
            letter = ""
        letter += sign
    if letter:
        yield letter


def _break_word(letters: list[Run], limit: float, language: str) -> Iterator[list[Run]]:
    piece: list[Run] = []
    for length in map(len, _VISIBLE_BREAK.split("".join(letter.text for letter in letters))):
        part: list[Run] = []
        while sum(len(letter.text) for letter in part) < length:
            part.append(letters.pop(0))
        if _measure_em(_merge(piece + part), language) <= limit:
            piece += part
            continue
        if piece:
            yield piece
        piece = part
        while _measure_em(_merge(piece), language) > limit:
            head = _take_head(piece, limit, language)
            yield [*head, head[-1]._replace(text="-")]
            piece = piece[len(head) :]
    yield piece


def _take_head(letters: list[Run], limit: float, language: str) -> list[Run]:
    """As many letters of a word as fit with a hyphen after them."""
    if any(unicodedata.bidirectional(letter.text[0]) == "AL" for letter in letters):
        raise TextTooWide(
            "a word in Arabic letters, which take no hyphen, does not fit on one line: choose larger paper"
        )
    if any(letter.text.isdigit() for letter in letters):
        raise TextTooWide("a number does not fit on one line: choose a smaller text size or larger paper")
    head: list[Run] = []
    for letter in letters:
        if _measure_em(_merge((*head, letter, letter._replace(text="-"))), language) > limit:
            break
        head.append(letter)
    if not head:
        raise TextTooWide("a single letter does not fit on one line: choose a smaller text size or larger paper")
    return head
