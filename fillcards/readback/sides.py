"""Printed sides against the claims: every sentence once, whole, in its place, and no word more.

A sentence is found by its words among the blocks an eye sees (``blocks``). Where it may stand is asked as well: a
panel's words below its own bar and beside no other, a step's words and picture in the row of its own number. Lengths
in mm, y downward.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from fillcards.readback.blocks import Word, read_blocks
from fillcards.readback.forms import list_vials
from fillcards.readback.marks import PageMarks
from fillcards.readback.model import CardClaims, FillClaims
from fillcards.readback.parts import Box, cut_region
from fillcards.readback.parts import Region as PictureRegion
from fillcards.readback.pictures import find_barrel_faults, find_scene_faults
from fillcards.readback.regimen_text import Facts
from fillcards.readback.runs import Run
from fillcards.readback.saying import Sentence, say

EASE_MM: Final = 0.6
BAR_INDENT_MM: Final = 5.0
NUMBER_INDENT: Final = 0.9
"""From the left end of a step's words to its number, in its type size."""
RULE_MM: Final = 40.0
FOOT_MM: Final = 18.0
MM_PER_PT: Final = 25.4 / 72
_PAGE: Final = re.compile(r"[0-9]+")


class Region(NamedTuple):
    """Where a sentence may stand, by the left end and the baseline of each of its lines."""

    left_mm: float = float("-inf")
    top_mm: float = float("-inf")
    right_mm: float = float("inf")
    bottom_mm: float = float("inf")

    def holds(self, word: Word) -> bool:
        """Whether a word stands in it."""
        across = self.left_mm - EASE_MM <= word.x_mm <= self.right_mm
        return across and self.top_mm - EASE_MM <= word.y_mm <= self.bottom_mm


ANYWHERE: Final = Region()


class Place(NamedTuple):
    """Where a sentence was found: which side of its section, and the box of its words."""

    side: int
    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float


class Side:
    """One side, whose words are handed out until none is left."""

    def __init__(self, marks: PageMarks) -> None:
        self.marks = marks
        self._blocks = [list(block.words) for block in read_blocks(marks.runs)]

    def take(self, sentence: Sentence, region: Region = ANYWHERE) -> tuple[float, float, float, float] | None:
        """Hand out the words of a sentence that stand together in a region; its box, or ``None``."""
        words = sentence.text.split()
        for block in self._blocks:
            for start in range(len(block)):
                end = _match(block, start, words)
                if end is not None and all(region.holds(word) for word in block[start:end]):
                    taken = block[start:end]
                    del block[start:end]
                    return _measure(taken)
        return None

    def take_whole(self, text: str, *, is_light: bool) -> Word | None:
        """Hand out a block that is just this one word, light on dark or dark on light."""
        for block in self._blocks:
            if len(block) == 1 and block[0].text == text and (block[0].level > 128) is is_light:
                return block.pop()
        return None

    def take_text(self, box: Box) -> str:
        """Hand out every word left in a box, line by line; a word broken with a hyphen at a line's end is not joined."""
        words = [word for block in self._blocks for word in block if box.holds(word.x_mm, word.y_mm)]
        for block in self._blocks:
            block[:] = [word for word in block if not box.holds(word.x_mm, word.y_mm)]
        return " ".join(word.text for word in sorted(words, key=lambda word: (round(word.y_mm), word.x_mm)))

    def take_runs(self, box: Box) -> tuple[Run, ...]:
        """Hand out the words that are left in a box: those of a picture."""
        taken: dict[Run, None] = {}
        for block in self._blocks:
            for word in tuple(block):
                if box.holds(word.x_mm, word.y_mm - word.size_pt * 25.4 / 72 * 0.3):
                    taken[word.run] = None
                    block.remove(word)
        return tuple(taken)

    def cut(self, box: Box) -> PictureRegion:
        """The marks in a box."""
        return cut_region(box, self.marks.strokes, self.marks.shapes)

    def list_left(self) -> Iterator[str]:
        """What nobody asked for, block by block."""
        for block in self._blocks:
            if block:
                yield " ".join(word.text for word in block)

    def find_page(self, language: str) -> tuple[int, int] | None:
        """Which side of how many it says it is, in the words of the language."""
        for block in self._blocks:
            text = " ".join(word.text for word in block)
            numbers = [int(number) for number in _PAGE.findall(text)]
            if len(numbers) == 2 and text == say(language, "page", page=str(numbers[0]), pages=str(numbers[1])).text:
                return numbers[0], numbers[1]
        return None


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


def _measure(words: list[Word]) -> tuple[float, float, float, float]:
    tops = [word.y_mm - word.size_pt * 25.4 / 72 for word in words]
    return min(word.x_mm for word in words), min(tops), max(word.x_mm for word in words), max(w.y_mm for w in words)


class Section:
    """The sides of one section while its claims are looked for. Faults are collected as sentences for people."""

    def __init__(self, sides: tuple[Side, ...], name: str) -> None:
        self.sides = sides
        self.name = name
        self.faults: list[str] = []
        self.at = 0

    def want(self, sentence: Sentence, region: Region = ANYWHERE, *, only_side: int | None = None) -> Place | None:
        """A sentence that must stand on this side of the section or a later one."""
        numbers = range(self.at, len(self.sides)) if only_side is None else range(only_side, only_side + 1)
        for number in numbers:
            box = self.sides[number].take(sentence, region)
            if box is not None:
                if only_side is None:
                    self.at = number
                return Place(number, *box)
        self.faults.append(f'{self.name}: missing or changed: "{sentence.text}" ({sentence.id})')
        return None

    def want_all(self, sentences: Iterable[Sentence], region: Region = ANYWHERE) -> None:
        """Several, one after the other."""
        for sentence in sentences:
            self.want(sentence, region)

    def finish(self) -> list[str]:
        """All faults, with what stands there and should not."""
        for number, side in enumerate(self.sides, start=1):
            self.faults += [f'{self.name}, side {number}: not asked for: "{text}"' for text in side.list_left()]
        return self.faults


def split_sections(sides: Iterable[Side], language: str) -> tuple[tuple[Side, ...], ...] | None:
    """Sides by section: a new one begins at each side 1; ``None`` if the numbers do not count as they should."""
    sections: list[list[Side]] = []
    expected: list[int] = []
    for side in sides:
        page = side.find_page(language)
        if page is None:
            return None
        if page[0] == 1:
            sections.append([])
            expected.append(page[1])
        if not sections or page != (len(sections[-1]) + 1, expected[-1]):
            return None
        sections[-1].append(side)
    if [len(section) for section in sections] != expected:
        return None
    return tuple(tuple(section) for section in sections)


def want_furniture(section: Section, claims: CardClaims, title: Sentence, *, has_running: FillClaims | None) -> None:
    """What stands on every side: band, whose, title, foot, which side of how many; after a front both stops too."""
    count = len(section.sides)
    for number in range(count):
        page = say(claims.language, "page", page=str(number + 1), pages=str(count))
        for sentence in (claims.band, *claims.whose, title, claims.foot, page):
            section.want(sentence, only_side=number)
        if has_running and number:
            section.want(has_running.running, only_side=number)
            section.want(claims.stop_call, only_side=number)


def compare_fill(section: Section, claims: CardClaims, fill: FillClaims, facts: Facts) -> None:
    """A fill's sides: the front, then the steps."""
    say_ = lambda name: say(claims.language, name)  # noqa: E731
    want_furniture(section, claims, fill.title, has_running=fill)
    section.want_all(fill.above)
    section.want_all(fill.news)
    _compare_panels(section, fill, facts)
    section.want_all(fill.below)
    section.want(say_("other-side"), only_side=0)
    _compare_steps(section, fill, facts)
    pointer = say(claims.language, "wrong-other-sheet", text=claims.vials.title.text)
    section.want(pointer, only_side=len(section.sides) - 1)


def _compare_panels(section: Section, fill: FillClaims, facts: Facts) -> None:
    bars = [section.want(panel.bar) or section.want(panel.short_bar) for panel in fill.panels]
    if any(bar is None for bar in bars):
        return
    places = [bar for bar in bars if bar is not None]
    for index, (panel, bar) in enumerate(zip(fill.panels, places, strict=True)):
        region = Region(top_mm=bar.top_mm)
        if len(places) == 2:
            other = places[1 - index]
            if abs(other.top_mm - bar.top_mm) <= EASE_MM:  # side by side
                middle_mm = max(places[0].left_mm, places[1].left_mm) - BAR_INDENT_MM
                region = region._replace(**({"right_mm": middle_mm} if index == 0 else {"left_mm": middle_mm}))
            elif index == 0:
                region = region._replace(bottom_mm=other.top_mm)
        sentences = [panel.medicine, panel.dose, *panel.notes, panel.figure, panel.figure_words, panel.count]
        section.want_all([*sentences, *([panel.sum] if panel.sum else [])], region)
        side = section.sides[bar.side]
        box = Box(region.left_mm, bar.bottom_mm, region.right_mm, min(region.bottom_mm, side.marks.height_mm))
        faults = find_barrel_faults(
            panel.barrel, side.cut(box), side.take_runs(box), facts.direction, facts.last, facts.line_every
        )
        section.faults += [f"{section.name}, picture of {panel.medicine.text}: {fault}" for fault in faults]


def _compare_steps(section: Section, fill: FillClaims, facts: Facts) -> None:
    """Each step in the row of its own number, with its picture."""
    numbers: list[tuple[int, Word]] = []
    section.at = min(1, len(section.sides) - 1)
    for number in range(1, len(fill.steps) + 1):
        found = [
            (at, word) for at, side in enumerate(section.sides) if (word := side.take_whole(str(number), is_light=True))
        ]
        if len(found) != 1 or (numbers and found[0][0] < numbers[-1][0]):
            section.faults.append(f"{section.name}: step {number} has no number of its own")
            return
        numbers.append(found[0])
    for (at, word), step in zip(numbers, fill.steps, strict=True):
        side = section.sides[at]
        box = _find_cell(side.marks, word)
        words = box._replace(left=word.x_mm - NUMBER_INDENT * word.size_pt * MM_PER_PT)
        said = side.take_text(words)
        if not is_same_text(said, step.say.text):
            section.faults.append(f'{section.name}: step {word.text} says "{said}", should say "{step.say.text}"')
        faults = find_scene_faults(step.picture, side.cut(box), side.take_runs(box), facts.last, facts.line_every)
        section.faults += [f"{section.name}, picture of step {word.text}: {fault}" for fault in faults]


def is_same_text(said: str, meant: str) -> bool:
    """Whether words on a side are a sentence; a hyphen and a line's end inside a word are the layout's."""
    return said == meant or said.replace("- ", "") == meant.replace("-", "") or said.replace("- ", "-") == meant


def _find_cell(marks: PageMarks, word: Word) -> Box:
    """The cell of a step: between the rules above and below its number, as wide as they are."""
    rules = [
        (stroke.y1_mm, *sorted((stroke.x1_mm, stroke.x2_mm)))
        for stroke in marks.strokes
        if stroke.is_horizontal and abs(stroke.x2_mm - stroke.x1_mm) > RULE_MM
    ]
    mine = [rule for rule in rules if rule[1] < word.x_mm < rule[2]]
    above = [rule[0] for rule in mine if rule[0] < word.y_mm]
    below = [rule[0] for rule in mine if rule[0] > word.y_mm]
    left, right = (min(rule[1] for rule in mine), max(rule[2] for rule in mine)) if mine else (0.0, marks.width_mm)
    top = max(above, default=word.y_mm - 2 * word.size_pt * MM_PER_PT)
    return Box(left, top, right, min(below, default=marks.height_mm - FOOT_MM))


def compare_vials(section: Section, claims: CardClaims) -> None:
    """The sheet "Your vials"."""
    want_furniture(section, claims, claims.vials.title, has_running=None)
    first, *rest = list_vials(claims.vials)
    del first  # the title, on every side
    for sentence in rest:
        section.want(sentence)
    section.want(say(claims.language, "emergency"), only_side=len(section.sides) - 1)


def compare_sides(marks: Iterable[PageMarks], claims: CardClaims, facts: Facts) -> list[str]:
    """Every fault of the words of a printed card whose staff sheet is not among the sides.

    Args:
        marks: of the patient's sides, in order.
        claims: what they must say.
    """
    sections = split_sections([Side(each) for each in marks], claims.language)
    if sections is None:
        return ["the sides do not count from 1 to their number in each section"]
    if len(sections) != len(claims.fills) + 1:
        return [f"{len(sections)} sections, where {len(claims.fills) + 1} were expected"]
    faults: list[str] = []
    for number, (sides, fill) in enumerate(zip(sections, claims.fills, strict=False), start=1):
        section = Section(sides, f"fill {number}")
        compare_fill(section, claims, fill, facts)
        faults += section.finish()
    section = Section(sections[-1], "vials")
    compare_vials(section, claims)
    return faults + section.finish()
