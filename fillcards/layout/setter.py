"""Setting messages in type: words with bold runs, words beside a line to write on, pictures with alternative texts.

One setter serves a whole card and counts its marks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import count
from typing import Final

from fillcards.card.model import Line as CardLine
from fillcards.card.model import WriteIn
from fillcards.layout.grid import At, Piece, beside, put, stack
from fillcards.layout.model import Box, Element, Placed
from fillcards.picture.items import Anchor, Drawing, Ink, Item, Line, Text
from fillcards.picture.pen import FIGURE_HEIGHT_EM, make_ink_pen
from fillcards.picture.scale_view import BarrelDrawing
from fillcards.picture.scene import Scene, SceneWords
from fillcards.picture.scenes import least_size_mm
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import ACCENT_EM, DESCENDER_EM, TextTooWide, measure_width_mm
from fillcards.typeface.wrapping import BoldPlaces, LineBreaker, Runs
from fillcards.wording.messages import Rendered, Say, render, say

PITCH: Final = 1.16
"""Line to line, in type sizes."""

_INDENT: Final = "88\u00a0"
"""As wide as a step's number on its disc, and never parted from the first word."""

MEASURED_PT: Final = (18.0, 36.0)

WRITE_IN_LEAST_MM: Final = 34.0
"""Room to write a date by hand."""


def measure_line_mm(size_pt: float, pitch: float = PITCH) -> float:
    """Height of one line of text."""
    return pitch * convert_pt_to_mm(size_pt)


def measure_baseline_mm(size_pt: float, pitch: float = PITCH) -> float:
    """From the top of a line to its baseline: capitals stand in the middle of it, and accents have their room."""
    size_mm = convert_pt_to_mm(size_pt)
    return (ACCENT_EM + (pitch - ACCENT_EM - DESCENDER_EM) / 2) * size_mm


class Setter:
    """Sets the messages of one card. Its state is a count of marks, and what was measured before."""

    def __init__(self, language: str, marks: Iterator[int] | None = None) -> None:
        self.language = language
        self._marks = count() if marks is None else marks
        self._breaker = LineBreaker()
        self._rendered: dict[Say, Rendered] = {}
        self._broken: dict[tuple[Say, float, float, bool, bool, bool], tuple[Runs, ...]] = {}
        self._counted: dict[tuple[Say, float, float], int] = {}
        self.drafts: dict[tuple[object, ...], tuple[BarrelDrawing, float]] = {}
        self._scene_sizes: dict[Scene, tuple[tuple[float, float], ...]] = {}

    def turn_to(self, language: str) -> Setter:
        """Another for the same card, whose messages it sets in a language of its own."""
        return self if language == self.language else Setter(language, self._marks)

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
        return self.text(message, size_pt, 1e6, bold=bold).width_mm

    @cached_property
    def scene_words(self) -> SceneWords:
        """What stands in small pictures."""
        return SceneWords(*(self.write(say(f"scene-{name}")) for name in SceneWords._fields))

    def measure_scene_mm(self, scene: Scene, size_pt: float) -> tuple[float, float]:
        """The least box of a scene for that type size: measured for two, between and beyond which it grows evenly."""
        known = self._scene_sizes.get(scene)
        if known is None:
            pens = map(make_ink_pen, MEASURED_PT)
            known = self._scene_sizes[scene] = tuple(least_size_mm(scene, self.scene_words, pen) for pen in pens)
        share = (size_pt - MEASURED_PT[0]) / (MEASURED_PT[1] - MEASURED_PT[0])
        width_mm, height_mm = (near + share * (far - near) for near, far in zip(*known, strict=True))
        return width_mm, height_mm

    def measure_step_mm(self, message: Say, size_pt: float, width_mm: float, pitch: float) -> float:
        """Height of a step's words, without setting them: which of as many lines are best does not matter.

        Raises:
            TextTooWide: what must not be broken does not fit.
        """
        key = message, size_pt, width_mm
        known = self._counted.get(key)
        if known is None:
            text, runs = self._find_words(message, bold=False, is_indented=True)
            known = self._counted[key] = len(self._breaker.wrap(text, runs, size_pt, width_mm))
        return known * measure_line_mm(size_pt, pitch)

    def fits(self, message: Say, size_pt: float, width_mm: float) -> bool:
        """Whether nothing in it that must not be broken is wider than the room."""
        try:
            self.text(message, size_pt, width_mm)
        except TextTooWide:
            return False
        return True

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
        lines = self._break(message, size_pt, width_mm, bold=bold, is_indented=is_step, is_filled=is_filled)
        line_mm, baseline_mm = measure_line_mm(size_pt, pitch), measure_baseline_mm(size_pt, pitch)
        widths = [sum(measure_width_mm(run.text, size_pt, run.bold) for run in line) for line in lines]
        whole_mm = max(widths) if anchor is Anchor.START else width_mm
        items: list[Item] = []
        for number, (line, own_mm) in enumerate(zip(lines, widths, strict=True)):
            x_mm = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[anchor] * (whole_mm - own_mm)
            for run in line:
                shown = run.text.removeprefix(_INDENT) if is_step and not number else run.text
                x_mm += measure_width_mm(run.text, size_pt, run.bold) - measure_width_mm(shown, size_pt, run.bold)
                if shown:
                    items.append(Text(x_mm, number * line_mm + baseline_mm, shown, size_pt, run.bold, ink=ink))
                x_mm += measure_width_mm(shown, size_pt, run.bold)
        mark = next(self._marks)
        top_mm = baseline_mm - FIGURE_HEIGHT_EM * convert_pt_to_mm(size_pt)
        bottom_mm = (len(lines) - 1) * line_mm + baseline_mm + DESCENDER_EM * convert_pt_to_mm(size_pt)
        ink_box = Box(0.0, top_mm, whole_mm, bottom_mm - top_mm)
        return Piece(whole_mm, len(lines) * line_mm, (Placed(ink_box, tuple(items), mark),), (Element(role, (mark,)),))

    def _break(
        self, message: Say, size_pt: float, width_mm: float, *, bold: bool, is_indented: bool, is_filled: bool
    ) -> tuple[Runs, ...]:
        """Lines, each worked out once."""
        key = message, size_pt, width_mm, bold, is_indented, is_filled
        known = self._broken.get(key)
        if known is None:
            text, runs = self._find_words(message, bold=bold, is_indented=is_indented)
            known = self._broken[key] = (self._breaker.wrap if is_filled else self._breaker.balance)(
                text, runs, size_pt, width_mm
            )
        return known

    def _find_words(self, message: Say, *, bold: bool, is_indented: bool) -> tuple[str, BoldPlaces]:
        """What is broken into lines: the words, after the room for a number; and which of them are bold."""
        text, runs, _ = self._render(message)
        runs = ((0, len(text)),) if bold else runs
        if is_indented:
            text, runs = _INDENT + text, tuple((start + len(_INDENT), end + len(_INDENT)) for start, end in runs)
        return text, runs

    def line(self, line: CardLine, size_pt: float, width_mm: float, *, bold: bool = False) -> Piece:
        """A message, or words with a line to write on: beside them, below them where that is too short."""
        if not isinstance(line, WriteIn):
            return self.text(line, size_pt, width_mm, bold=bold)
        words = self.text(line.label, size_pt, width_mm, bold=bold)
        x_mm = words.width_mm + 0.3 * convert_pt_to_mm(size_pt)
        if words.height_mm > measure_line_mm(size_pt) * 1.5 or width_mm - x_mm < WRITE_IN_LEAST_MM - 0.01:
            return stack((words, self._rule(width_mm, size_pt)))
        rule = self._rule(min(width_mm - x_mm, 120.0), size_pt)
        return put(x_mm + rule.width_mm, words.height_mm, (At(words, 0.0, 0.0), At(rule, x_mm, 0.0)))

    def lines(self, lines: Sequence[CardLine], size_pt: float, width_mm: float, gap_mm: float = 0.0) -> Piece:
        """Lines one below the other; what is to be written stands beside the words before it where it fits."""
        rows: list[Piece] = []
        for each in lines:
            gutter_mm = convert_pt_to_mm(size_pt)
            if isinstance(each, WriteIn) and rows:
                words_mm = self.measure_mm(each.label, size_pt) + 0.3 * gutter_mm
                left_mm = width_mm - rows[-1].width_mm - gutter_mm
                if left_mm >= words_mm + WRITE_IN_LEAST_MM and rows[-1].height_mm < 1.5 * measure_line_mm(size_pt):
                    rows[-1] = beside((rows[-1], self.line(each, size_pt, words_mm + WRITE_IN_LEAST_MM)), gutter_mm)
                    continue
            rows.append(self.line(each, size_pt, width_mm))
        return stack(rows, gap_mm)

    def figure(self, drawing: Drawing, alt: Say | None) -> Piece:
        """A picture, with the words that replace it; without them it is an ornament."""
        box = Box(0.0, 0.0, drawing.width_mm, drawing.height_mm)
        if alt is None:
            return Piece(box.width_mm, box.height_mm, (Placed(box, drawing.items, None),))
        mark = next(self._marks)
        element = Element("Figure", (mark,), alt=self.write(alt))
        return Piece(box.width_mm, box.height_mm, (Placed(box, drawing.items, mark),), (element,))

    def plain(self, text: str, size_pt: float, *, ink: Ink = Ink.BLACK, role: str = "P") -> Piece:
        """Figures in bold, their box their ink."""
        width_mm, height_mm = measure_width_mm(text, size_pt, True), FIGURE_HEIGHT_EM * convert_pt_to_mm(size_pt)
        item = Text(0.0, height_mm, text, size_pt, True, ink=ink)
        mark = next(self._marks)
        placed = Placed(Box(0.0, 0.0, width_mm, height_mm), (item,), mark)
        return Piece(width_mm, height_mm, (placed,), (Element(role, (mark,)),))

    def _rule(self, width_mm: float, size_pt: float) -> Piece:
        y_mm = measure_baseline_mm(size_pt) + 0.1 * convert_pt_to_mm(size_pt)
        rule = Line(0.0, y_mm, width_mm, y_mm, 0.5)
        placed = Placed(Box(0.0, y_mm - 0.25, width_mm, 0.5), (rule,), None)
        return Piece(width_mm, measure_line_mm(size_pt), (placed,))
