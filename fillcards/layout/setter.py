"""Setting messages in type: words with bold runs, words beside a line to write on, pictures with alternative texts.

One setter serves a whole card and counts its marks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from itertools import count
from typing import Final, TypeVar

from fillcards.card.model import Line as CardLine
from fillcards.card.model import WriteIn
from fillcards.layout.grid import At, Late, Piece, beside, paint, put, stack
from fillcards.layout.model import Box, Element, Placed
from fillcards.layout.search import NoRoom
from fillcards.picture.items import Anchor, Drawing, Ink, Item, Line, Text
from fillcards.picture.pen import COMMA_EM, FIGURE_HEIGHT_EM, make_ink_pen
from fillcards.picture.scene import Scene, SceneWords
from fillcards.picture.scenes import least_size_mm
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import (
    ACCENT_EM,
    DESCENDER_EM,
    TextTooWide,
    measure_extent_em,
    measure_other_ink_em,
    measure_width_mm,
)
from fillcards.typeface.direction import is_right_to_left
from fillcards.typeface.segments import PLAIN_LANGUAGES
from fillcards.typeface.wrapping import Words
from fillcards.wording.messages import Rendered, Say, render, say

PITCH: Final = 1.16
"""Line to line, in type sizes."""

_INDENT: Final = "88\u00a0"
_INDENT_BACKWARD: Final = "\u00a0" * 6
"""As wide as a step's number on its disc, and never parted from the first word."""

Made = TypeVar("Made")

MEASURED_PT: Final = (18.0, 36.0)

WRITE_IN_LEAST_MM: Final = 34.0
"""Room to write a date by hand."""


def measure_line_mm(size_pt: float, pitch: float = PITCH) -> float:
    """Height of one line of text."""
    return pitch * convert_pt_to_mm(size_pt)


def measure_baseline_mm(size_pt: float, pitch: float = PITCH, language: str = "en") -> float:
    """From the top of a line to its baseline: capitals stand in the middle of it, and accents have their room."""
    rise_em, depth_em = measure_extent_em(language)
    return (rise_em + (pitch * measure_tallness(language) - rise_em - depth_em) / 2) * convert_pt_to_mm(size_pt)


def measure_tallness(language: str) -> float:
    """How high and deep the letters of a language reach, in parts of what those of Latin do: its lines are as much
    further apart.
    """
    return sum(measure_extent_em(language)) / (ACCENT_EM + DESCENDER_EM)


def measure_rise_mm(size_pt: float, language: str = "en") -> float:
    """From the top of a line to the ink of its figures."""
    return measure_baseline_mm(size_pt, PITCH, language) - FIGURE_HEIGHT_EM * convert_pt_to_mm(size_pt)


class Setter:
    """Sets the messages of one card. Its state is a count of marks, and what was measured before."""

    def __init__(self, language: str, marks: Iterator[int] | None = None) -> None:
        self.language = language
        self.is_backward = is_right_to_left(language)
        self._indent = _INDENT_BACKWARD if self.is_backward else _INDENT
        self._tallness = measure_tallness(language)
        self._marks = count() if marks is None else marks
        self._others: dict[str, Setter] = {}
        self._rendered: dict[Say, Rendered] = {}
        self._words: dict[tuple[Say, bool, bool], Words] = {}
        self._words_of: dict[tuple[int, bool, bool], tuple[Say, Words]] = {}
        self._known: dict[object, tuple[object, object]] = {}

    def remember(self, key: object, make: Callable[[], Made]) -> Made:
        """What ``make`` made for that key before on this card, which is the same; else what it makes now.

        Args:
            key: may name things of the card by their ``id``: with ``make`` they are kept as long as the setter.
            make: gives for the same key the same, or finds each time that it does not fit.

        Raises:
            NoRoom, TextTooWide: as ``make``.
        """
        if key not in self._known:
            try:
                self._known[key] = make(), make
            except (NoRoom, TextTooWide) as error:
                self._known[key] = error, make
        known: Made = self._known[key][0]  # type: ignore[assignment]  # nobody else writes under the key
        if isinstance(known, (NoRoom, TextTooWide)):
            raise type(known)(*known.args)
        return known

    def turn_to(self, language: str) -> Setter:
        """Another for the same card, whose messages it sets in a language of its own."""
        if language == self.language:
            return self
        if language not in self._others:
            self._others[language] = Setter(language, self._marks)
        return self._others[language]

    def write(self, message: Say) -> str:
        """The words alone."""
        return self._render(message).text

    def _render(self, message: Say) -> Rendered:
        known = self._rendered.get(message)
        if known is None:
            known = self._rendered[message] = render(message, self.language)
        return known

    def measure_mm(self, message: Say, size_pt: float, *, bold: bool = False) -> float:
        """Width of the words on one line."""
        lines = self._find_words(message, bold=bold).wrap(size_pt, 1e6)
        return max(line.measure_mm(size_pt) for line in lines)

    @cached_property
    def scene_words(self) -> SceneWords:
        """What stands in small pictures."""
        return SceneWords(*(self.write(say(f"scene-{name}")) for name in SceneWords._fields))

    def measure_scene_mm(self, scene: Scene, size_pt: float) -> tuple[float, float]:
        """The least box of a scene for that type size: measured for two, between and beyond which it grows evenly."""

        def measure() -> tuple[tuple[float, float], ...]:
            return tuple(least_size_mm(scene, self.scene_words, make_ink_pen(each_pt)) for each_pt in MEASURED_PT)

        (width_mm, height_mm), (wider_mm, higher_mm) = self.remember(("scene", id(scene)), measure)
        share = (size_pt - MEASURED_PT[0]) / (MEASURED_PT[1] - MEASURED_PT[0])
        return width_mm + share * (wider_mm - width_mm), height_mm + share * (higher_mm - height_mm)

    def measure_lift_mm(self, size_pt: float, pitch: float) -> float:
        """How much lower than in English a first line stands, whose letters reach less high."""
        return measure_baseline_mm(size_pt, pitch, self.language) - measure_baseline_mm(size_pt, pitch)

    def measure_over_mm(self, message: Say, size_pt: float, pitch: float = PITCH, clear_mm: float = 0.0) -> float:
        """How far the ink of bold words may reach out of their lines: marks over marks, deep letters. A plate must hold
        it, and what stands above or below must keep clear of it.

        Args:
            message: the words.
            size_pt: type size.
            pitch: from line to line, in type sizes.
            clear_mm: white that must be left round the ink of a script whose letters may reach out.
        """
        if self.language in PLAIN_LANGUAGES and self.write(message).isascii():
            return 0.0
        ink = self.remember(("ink", id(message)), lambda: measure_other_ink_em(self.write(message), True))
        rise_em, depth_em = ink
        baseline_mm = measure_baseline_mm(size_pt, pitch, self.language)
        below_mm = measure_line_mm(size_pt, pitch * self._tallness) - baseline_mm
        em_mm = convert_pt_to_mm(size_pt)
        return max(0.0, rise_em * em_mm + clear_mm - baseline_mm, depth_em * em_mm + clear_mm - below_mm)

    def measure_step_mm(self, message: Say, size_pt: float, width_mm: float, pitch: float) -> float:
        """Height of a step's words, without setting them: which of as many lines are best does not matter.

        Raises:
            TextTooWide: what must not be broken does not fit.
        """
        lines = self._find_words(message, is_step=True).count_lines(size_pt, width_mm)
        return lines * measure_line_mm(size_pt, pitch * self._tallness)

    def fits(self, message: Say, size_pt: float, width_mm: float) -> bool:
        """Whether nothing in it that must not be broken is wider than the room."""
        try:
            self._find_words(message).count_lines(size_pt, width_mm)
        except TextTooWide:
            return False
        return True

    def breaks_word(self, message: Say, size_pt: float, width_mm: float) -> bool:
        """Whether a word of it is wider than the room.

        Raises:
            TextTooWide: what must not be broken does not fit.
        """
        return self._find_words(message).breaks_word(size_pt, width_mm)

    def text(
        self,
        message: Say,
        size_pt: float,
        width_mm: float,
        *,
        bold: bool = False,
        ink: Ink = Ink.BLACK,
        role: str = "P",
        anchor: Anchor = Anchor.START,
        is_step: bool = False,
        is_filled: bool = False,
        pitch: float = PITCH,
    ) -> Piece:
        """A paragraph, broken into lines; as wide as its longest line.

        Args:
            message: what it says.
            size_pt: type size.
            width_mm: the room a line has.
            bold: all of it bold, not only its own bold runs.
            ink: black, or white on a plate.
            role: of its element.
            anchor: where in the width its lines stand; if not at the start, the piece is as wide as the room.
            is_step: whether its first line leaves room for a number.
            is_filled: whether each line is filled before the next: an arrow passes under a short last one.
            pitch: from line to line, in type sizes.

        Raises:
            TextTooWide: what must not be broken does not fit.
        """
        words = self._find_words(message, bold=bold, is_step=is_step)
        lines = (words.wrap if is_filled else words.balance)(size_pt, width_mm)
        line_mm = measure_line_mm(size_pt, pitch * self._tallness)
        baseline_mm = measure_baseline_mm(size_pt, pitch, self.language)
        widths = [line.measure_mm(size_pt) for line in lines]
        whole_mm = max(widths) if anchor is Anchor.START else width_mm
        share = {Anchor.START: 1.0 if self.is_backward else 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[anchor]
        starts = [share * (whole_mm - own_mm) for own_mm in widths]
        mark = next(self._marks)
        top_mm = baseline_mm - FIGURE_HEIGHT_EM * convert_pt_to_mm(size_pt)
        bottom_mm = (len(lines) - 1) * line_mm + baseline_mm + DESCENDER_EM * convert_pt_to_mm(size_pt)
        ink_box = Box(0.0, top_mm, whole_mm, bottom_mm - top_mm)

        def draw() -> tuple[Item, ...]:
            """The runs in the order they are read; of a step, without the room for its number."""
            items: list[Item] = []
            for number, (line, left_mm) in enumerate(zip(lines, starts, strict=True)):
                for (text, bold, _), start_mm in zip(line.runs, line.list_starts_mm(size_pt), strict=True):
                    shown = text.removeprefix(self._indent) if is_step and not number else text
                    x_mm = left_mm + start_mm
                    if not line.is_backward:
                        x_mm += measure_width_mm(text, size_pt, bold, self.language)
                        x_mm -= measure_width_mm(shown, size_pt, bold, self.language)
                    if shown:
                        y_mm = number * line_mm + baseline_mm
                        items.append(Text(x_mm, y_mm, shown, size_pt, bold, ink=ink, language=self.language))
            return tuple(items)

        return Piece(whole_mm, len(lines) * line_mm, (Late(ink_box, draw, mark),), (Element(role, (mark,)),))

    def _find_words(self, message: Say, *, bold: bool = False, is_step: bool = False) -> Words:
        """What is broken into lines: the words, of a step after the room for its number."""
        # A message is asked for a hundred times; to compare its exact numbers each time takes longer than all the rest.
        key = id(message), bold, is_step
        if key not in self._words_of:
            if (message, bold, is_step) not in self._words:
                text, runs, _ = self._render(message)
                runs = ((0, len(text)),) if bold else runs
                if is_step:
                    by = len(self._indent)
                    text, runs = self._indent + text, tuple((at + by, to + by) for at, to in runs)
                self._words[message, bold, is_step] = Words(text, runs, self.language)
            self._words_of[key] = message, self._words[message, bold, is_step]
        return self._words_of[key][1]

    def line(
        self, line: CardLine, size_pt: float, width_mm: float, *, bold: bool = False, pitch: float = PITCH
    ) -> Piece:
        """A message, or words with a line to write on: beside them, below them where that is too short."""
        if not isinstance(line, WriteIn):
            return self.text(line, size_pt, width_mm, bold=bold, pitch=pitch)
        words = self.text(line.label, size_pt, width_mm, bold=bold)
        x_mm = words.width_mm + 0.3 * convert_pt_to_mm(size_pt)
        if (
            words.height_mm > measure_line_mm(size_pt, PITCH * self._tallness) * 1.5
            or width_mm - x_mm < WRITE_IN_LEAST_MM - 0.01
        ):
            return stack((words, self._rule(width_mm, size_pt)))
        rule = self._rule(min(width_mm - x_mm, 120.0), size_pt)
        return put(x_mm + rule.width_mm, words.height_mm, (At(words, 0.0, 0.0), At(rule, x_mm, 0.0)))

    def lines(self, lines: Sequence[CardLine], size_pt: float, width_mm: float, gap_mm: float = 0.0) -> Piece:
        """Lines one below the other; what is to be written stands beside the words before it where it fits."""
        rows: list[Piece] = []
        for each in lines:
            gutter_mm, one_mm = convert_pt_to_mm(size_pt), measure_line_mm(size_pt, PITCH * self._tallness)
            if isinstance(each, WriteIn) and rows:
                words_mm = self.measure_mm(each.label, size_pt) + 0.3 * gutter_mm
                left_mm = width_mm - rows[-1].width_mm - gutter_mm
                if left_mm >= words_mm + WRITE_IN_LEAST_MM and rows[-1].height_mm < 1.5 * one_mm:
                    rows[-1] = beside((rows[-1], self.line(each, size_pt, words_mm + WRITE_IN_LEAST_MM)), gutter_mm)
                    continue
            rows.append(self.line(each, size_pt, width_mm))
        return stack(rows, gap_mm)

    def figure(self, drawing: Drawing, alt: Say | None) -> Piece:
        """A picture, with the words that replace it; without them it is an ornament."""
        return self.late_figure(drawing.width_mm, drawing.height_mm, lambda: drawing.items, alt)

    def late_figure(
        self, width_mm: float, height_mm: float, draw: Callable[[], tuple[Item, ...]], alt: Say | None
    ) -> Piece:
        """The same of a picture that is drawn if its page is made."""
        box = Box(0.0, 0.0, width_mm, height_mm)
        if alt is None:
            return Piece(width_mm, height_mm, (Late(box, draw, None),))
        mark = next(self._marks)
        element = Element("Figure", (mark,), alt=self.write(alt))
        return Piece(width_mm, height_mm, (Late(box, draw, mark),), (element,))

    def plain(self, text: str, size_pt: float, *, ink: Ink = Ink.BLACK, role: str = "P") -> Piece:
        """Figures in bold, their box their ink."""
        width_mm, height_mm = measure_width_mm(text, size_pt, True), FIGURE_HEIGHT_EM * convert_pt_to_mm(size_pt)
        item = Text(0.0, height_mm, text, size_pt, True, ink=ink)
        height_mm += COMMA_EM * convert_pt_to_mm(size_pt) if "," in text else 0.0
        mark = next(self._marks)
        placed = Placed(Box(0.0, 0.0, width_mm, height_mm), (item,), mark)
        return Piece(width_mm, height_mm, (placed,), (Element(role, (mark,)),))

    def _rule(self, width_mm: float, size_pt: float) -> Piece:
        y_mm = measure_baseline_mm(size_pt, PITCH, self.language) + 0.1 * convert_pt_to_mm(size_pt)
        rule = paint((Line(0.0, y_mm, width_mm, y_mm, 0.5),))
        return put(width_mm, measure_line_mm(size_pt, PITCH * self._tallness), (At(rule),))
