"""The words of one side, handed out until none is left. A sentence is found whole, by its words and where they stand.

Lengths in mm, x to the right and y downward.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from typing import Final, NamedTuple

from fillcards.readback.blocks import Way, Word, read_blocks, sort_lines
from fillcards.readback.marks import PageMarks, Run, Shape, Stroke, join_faces, mirror_marks
from fillcards.readback.parts import Box, Region, box_of
from fillcards.readback.pdfium import MM_PER_PT
from fillcards.readback.saying import STAFF_LANGUAGE, Sentence, say
from fillcards.typeface.faces import LANGUAGES

EASE_MM: Final = 0.6
EVERYWHERE: Final = Box(float("-inf"), float("-inf"), float("inf"), float("inf"))
DARK: Final = 128


class Place(NamedTuple):
    """Where a sentence was found: the side of its section, the box of its words, their least size, light or dark."""

    side: int
    box: Box
    size_pt: float
    is_light: bool


class Side:
    """One side: its words and its marks, each handed out once.

    A side that is read from right to left is mirrored first: "left" is then where reading begins, on every side. Only a
    picture is handed out as it is drawn, since none is mirrored.

    Args:
        marks: of the side, as it is drawn.
        is_from_right: whether it is read from right to left.

    Attributes:
        drawn: its marks as they are on the page.
        marks: the same, mirrored where it is read from right to left.
        said: every sentence that was handed out.
        page: which side of how many it is, once asked.
    """

    def __init__(self, marks: PageMarks, *, is_from_right: bool = False) -> None:
        self.drawn = marks
        self._is_from_right = is_from_right
        self.marks = mirror_marks(marks) if is_from_right else marks
        self.strokes, self.shapes = list(self.marks.strokes), list(self.marks.shapes)
        self.said: list[str] = []
        self.page: tuple[int, int] | None = None
        self._blocks = read_blocks(self.marks, Way.FROM_RIGHT if is_from_right else Way.FROM_LEFT)
        self._by_letters: list[list[Word]] | None = None
        own, drawn = (each.strokes + each.shapes + each.runs for each in (self.marks, marks))
        self._as_drawn = {id(one): other for one, other in zip(own, drawn, strict=True)}
        self._texts: dict[int, list[str]] = {}
        self._hyphened = {id(block) for block in self._blocks if any(word.text[-1] == "-" for word in block)}

    def draw_box(self, box: Box) -> Box:
        """A box of it where it is on the page."""
        width_mm = self.marks.width_mm
        return Box(width_mm - box.right, box.top, width_mm - box.left, box.bottom) if self._is_from_right else box

    def draw(self, strokes: Iterable[Stroke], shapes: Iterable[Shape], box: Box = EVERYWHERE) -> Region:
        """Marks of it as they are drawn on the page."""
        drawn = self._as_drawn
        return Region(
            self.draw_box(box),
            tuple(each for stroke in strokes if isinstance(each := drawn[id(stroke)], Stroke)),
            tuple(each for shape in shapes if isinstance(each := drawn[id(shape)], Shape)),
        )

    def take(self, sentence: Sentence, box: Box, least_pt: float, number: int = 0) -> Place | None:
        """Hand out a sentence that stands whole in a box and is not smaller; first where it fills its lines."""
        taken = self._take(self._blocks, sentence, box, least_pt)
        return _measure(taken, number) if taken else None

    def take_from_right(self, sentence: Sentence, box: Box, least_pt: float, number: int = 0) -> Place | None:
        """The same of one that is read from right to left, on lines of its own on a side that is not."""
        if self._by_letters is None:
            self._by_letters = read_blocks(self.marks, Way.BY_LETTERS)
        taken = self._take(self._by_letters, sentence, box, least_pt)
        if not taken:
            return None
        place = _measure(taken, number)
        # Its last stop may stand a little further left than its words.
        self._cut(lambda word: place.box.holds(word.x_mm, word.y_mm, place.size_pt * MM_PER_PT / 2))
        return place

    def _take(self, blocks: list[list[Word]], sentence: Sentence, box: Box, least_pt: float) -> list[Word]:
        found = [
            (block, start, end)
            for block, start, end in self._find(sentence, blocks)
            if block[start].size_pt >= least_pt
            and all(_holds(box, word) for word in block[start:end])
            and is_weighed(block[start:end], sentence)
        ]
        if not found:
            return []
        block, start, end = next((each for each in found if _is_whole(*each)), found[0])
        taken = block[start:end]
        del block[start:end]
        self._texts.pop(id(block), None)
        self.said.append(sentence.text)
        return taken

    def bears(self, sentence: Sentence, *, is_whole: bool) -> bool:
        """Whether a sentence stands on it, on lines of its own."""
        return any(not is_whole or _is_whole(*place) for place in self._find(sentence, self._blocks))

    def _find(self, sentence: Sentence, blocks: list[list[Word]]) -> Iterator[tuple[list[Word], int, int]]:
        """Wherever a sentence stands: its block, its first word and the one after it."""
        words = sentence.text.split()
        for block in blocks:
            texts = self._texts.get(id(block))
            if texts is None:
                texts = self._texts[id(block)] = [word.text for word in block]
            # A word may go on after a hyphen.
            if words[0] in texts or id(block) in self._hyphened:
                for start, text in enumerate(texts):
                    if (text == words[0] or text[-1] == "-") and (end := _match(block, start, words)):
                        yield block, start, end

    def take_number(self, text: str) -> Word | None:
        """Hand out a number that stands alone, light on dark: that of a step."""
        for block in self._blocks:
            if len(block) == 1 and block[0].text == text and block[0].level > DARK:
                self.said.append(text)
                self._texts.pop(id(block), None)
                return block.pop()
        return None

    def take_words(self, box: Box) -> list[Word]:
        """Hand out every word left in a box, line by line."""
        words = sort_lines(self._cut(lambda word: box.holds(word.x_mm, word.y_mm)))
        self.said.append(" ".join(word.text for word in words))
        return words

    def take_runs(self, box: Box) -> tuple[Run, ...]:
        """Hand out the words of a picture: those whose middle is left in a box."""
        found = self._cut(lambda word: box.holds(word.x_mm, word.y_mm - word.size_pt * MM_PER_PT * 0.3))
        drawn = [self._as_drawn[id(word.run)] for word in found]
        return join_faces(dict.fromkeys(run for run in drawn if isinstance(run, Run)))

    def take_marks(self, box: Box, ease: float = 0.0) -> Region:
        """Hand out the marks whose middle lies in a box, as they are drawn."""
        strokes = [s for s in self.strokes if box.holds((s.x1_mm + s.x2_mm) / 2, (s.y1_mm + s.y2_mm) / 2, ease)]
        shapes = [s for s in self.shapes if box.holds(*box_of(s).middle, ease)]
        self.drop(*strokes, *shapes)
        return self.draw(strokes, shapes, box)

    def drop(self, *marks: Stroke | Shape) -> None:
        """Hand out marks that are accounted for."""
        gone = set(map(id, marks))
        self.strokes = [s for s in self.strokes if id(s) not in gone]
        self.shapes = [s for s in self.shapes if id(s) not in gone]

    def list_left(self) -> Iterator[str]:
        """Words nobody asked for, block by block."""
        for block in self._blocks:
            if block:
                yield " ".join(word.text for word in block)

    def take_cautions(self) -> list[str]:
        """Hand out every block that is left."""
        left = list(self.list_left())
        self.said += left
        self._blocks = []
        return left

    def find_page(self, language: str) -> tuple[int, int] | None:
        """Which side of how many it says it is, in the words of the language."""
        pattern = re.escape(say(language, "page", page="1", pages="2").text)
        pattern = pattern.replace("1", "([0-9]+)").replace("2", "([0-9]+)")
        found = []
        for block in self._blocks:
            for number in sorted({word.line for word in block}):
                text = " ".join(word.text for word in block if word.line == number)
                if match := re.fullmatch(f"(?:.* )?{pattern}", text):
                    found.append((int(match[1]), int(match[2])))
        self.page = found[0] if len(found) == 1 else None
        return self.page

    def _cut(self, wanted: Callable[[Word], bool]) -> list[Word]:
        found: list[Word] = []
        for block in self._blocks:
            kept: list[Word] = []
            for word in block:
                (found if wanted(word) else kept).append(word)
            block[:] = kept
        self._texts.clear()
        return found


def read_side(marks: PageMarks, language: str) -> Side:
    """A side of a card in a language, the staff's sheets in theirs."""
    side = Side(marks)
    if not LANGUAGES[language].is_right_to_left or side.find_page(STAFF_LANGUAGE):
        return side
    return Side(marks, is_from_right=True)


def _holds(box: Box, word: Word) -> bool:
    across = box.left - EASE_MM <= word.x_mm <= box.right
    return across and box.top - EASE_MM <= word.y_mm <= box.bottom + EASE_MM


def _is_whole(block: list[Word], start: int, end: int) -> bool:
    begins = start == 0 or block[start - 1].line != block[start].line
    return begins and (end == len(block) or block[end].line != block[end - 1].line)


def is_weighed(words: list[Word], sentence: Sentence) -> bool:
    """Whether the words are bold that should be, or all: a title is. A word has the weight it begins with."""
    said = [word.run.bold for word in words for letter in word.text if letter != "-"]
    meant = [
        bold
        for text, bold in zip(sentence.text.split(), sentence.bold, strict=True)
        for letter in text
        if letter != "-"
    ]
    return said == meant or all(said)


def _match(block: list[Word], start: int, words: list[str]) -> int | None:
    """Where the words end in a block from a start on; a word broken with a hyphen at a line's end counts whole."""
    place = start
    for wanted in words:
        if place >= len(block):
            return None
        text, line = block[place].text, block[place].line
        place += 1
        while text != wanted and text.endswith("-") and place < len(block) and block[place].line == line + 1:
            joined = text + block[place].text
            text = joined if wanted.startswith(text) else text[:-1] + block[place].text
            line = block[place].line
            place += 1
        if text != wanted:
            return None
    return place


def _measure(words: list[Word], number: int) -> Place:
    box = Box(
        min(word.x_mm for word in words),
        min(word.y_mm - word.size_pt * MM_PER_PT for word in words),
        max(word.run.right_mm for word in words),
        max(word.y_mm for word in words),
    )
    return Place(number, box, min(word.size_pt for word in words), words[0].level > DARK)
