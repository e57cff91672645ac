"""One raised page, or its plain copy: entries with the words of each in braille, or in print at the same places.

An entry is what a screen reader is told at once: a line or paragraph of words, a row of the key, a picture. In
millimetres; an entry's own coordinates begin at its left upper corner.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from fillcards.catalogue.model import Paper
from fillcards.layout.model import Box, Element, Page, Placed
from fillcards.picture.items import Item, Text, move_item
from fillcards.picture.tactile_frame import Label, RaisedDrawing
from fillcards.picture.tactile_marks import draw_cells, draw_cut_corner
from fillcards.picture.tactile_style import TactileStyle
from fillcards.problems import InternalFault
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import CAP_HEIGHT_EM, measure_width_mm
from fillcards.wording.braille import BrailleText, measure_cells, wrap_words

MARGIN_MM: Final = 16.0

PRINT_SIZES_PT: Final = (18.0, 16.0, 14.0, 12.0, 10.0)
"""Of a plain copy's words: the largest in which a line of braille's words fits on the page."""

FOOT_PT: Final = 14.0
_PARAGRAPH_INDENT: Final = 2
_KEY_RUNOVER: Final = 0


@dataclass(frozen=True, slots=True)
class Entry:
    """What belongs together on a page.

    Attributes:
        says: its words, or the words that replace its picture.
        role: of the plain copy's words; ``Figure`` for a picture; ``None`` for what repeats the page before, which is
            felt on each raised page and read aloud from none of the copies.
        line_count: lines of braille, for text.
    """

    says: str
    role: str | None
    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    labels: tuple[Label, ...]
    line_count: int = 0
    x_mm: float = 0.0
    y_mm: float = 0.0

    def move(self, dx_mm: float, dy_mm: float) -> Entry:
        """The same entry elsewhere."""
        return replace(self, x_mm=self.x_mm + dx_mm, y_mm=self.y_mm + dy_mm)


@dataclass(frozen=True, slots=True)
class WrittenPage:
    """A page and its elements in reading order."""

    page: Page
    elements: tuple[Element, ...]


def make_text_entry(words: BrailleText, text: str, style: TactileStyle, width_mm: float, role: str | None) -> Entry:
    """A paragraph across the page; only a paragraph is indented.

    Raises:
        BrailleTooWide: a word or an amount is longer than a line.
    """
    labels = _place_lines(words, style, width_mm, _PARAGRAPH_INDENT if role == "P" else 0, 0)
    height_mm = (len(labels) - 1) * style.line_mm + style.cell_height_mm
    return Entry(text, role, width_mm, height_mm, (), labels, len(labels))


def make_key_entry(
    words: BrailleText,
    text: str,
    sample: tuple[Item, ...],
    sample_mm: tuple[float, float],
    style: TactileStyle,
    width_mm: float,
) -> Entry:
    """A sample on the left, halfway down its words on the right."""
    x_mm = sample_mm[0] + style.gap_mm
    labels = _place_lines(words, style, width_mm - x_mm, 0, _KEY_RUNOVER)
    text_mm = (len(labels) - 1) * style.line_mm + style.cell_height_mm
    height_mm = max(text_mm, sample_mm[1])
    # A thin sample stands beside the first line, so that a finger that follows the line meets its words.
    first_mm = style.cell_height_mm / 2 if sample_mm[1] < style.cell_height_mm else sample_mm[1] / 2
    items = tuple(move_item(item, 0.0, first_mm - sample_mm[1] / 2) for item in sample)
    moved = tuple(replace(label, x_mm=label.x_mm + x_mm) for label in labels)
    return Entry(text, "P", width_mm, height_mm, items, moved, len(labels))


def make_picture_entry(drawing: RaisedDrawing, says: str) -> Entry:
    """A raised picture."""
    return Entry(says, "Figure", drawing.width_mm, drawing.height_mm, drawing.items, drawing.labels)


class PageWriter:
    """Writes entries onto pages. The count of marks is its only state."""

    def __init__(self, paper: Paper, style: TactileStyle, next_mark: int) -> None:
        self._width_mm = float(paper.width_mm)
        self._height_mm = float(paper.height_mm)
        self._style = style
        self._next_mark = next_mark

    def write_page(self, entries: tuple[Entry, ...], fill_number: int, copy_foot: str | None) -> WrittenPage:
        """A raised page, or with a foot its plain copy.

        Args:
            entries: placed from the corner of the live area.
            fill_number: of the fill the page is for.
            copy_foot: words at the foot of a plain copy; ``None`` for a raised page, which has no print.
        """
        corner = draw_cut_corner(self._width_mm)
        corner_box = Box(
            corner.x1_mm - 1, corner.y1_mm - 1, corner.x2_mm - corner.x1_mm + 2, corner.y2_mm - corner.y1_mm + 2
        )
        placed = [Placed(corner_box, (corner,), None, may_overlap=True)]
        elements: list[Element] = []
        for entry in entries:
            moved = entry.move(MARGIN_MM, MARGIN_MM)
            if copy_foot is not None and entry.role is None:
                placed.append(self._place(moved, None, is_raised=False))
                continue
            mark = self._next_mark
            self._next_mark += 1
            placed.append(self._place(moved, mark, is_raised=copy_foot is None))
            # Dots and strokes are no text to a program that reads aloud: the words stand beside them.
            if copy_foot is None or entry.items or entry.role is None:
                elements.append(Element("Figure", (mark,), alt=entry.says))
            else:
                elements.append(Element(entry.role, (mark,)))
        if copy_foot is not None:
            placed.append(self._place_foot(copy_foot))
        page = Page(self._width_mm, self._height_mm, tuple(placed), fill_number, is_makers=copy_foot is not None)
        return WrittenPage(page, tuple(elements))

    def _place(self, entry: Entry, mark: int | None, *, is_raised: bool) -> Placed:
        items: list[Item] = [move_item(item, entry.x_mm, entry.y_mm) for item in entry.items]
        for label in entry.labels:
            x_mm, y_mm = label.x_mm + entry.x_mm, label.y_mm + entry.y_mm
            if is_raised:
                cells = "\u2800".join(word.cells for word in label.words)
                items += draw_cells(cells, x_mm, y_mm, self._style)
            else:
                items.append(self._make_text(label.words, x_mm, y_mm))
        return Placed(Box(entry.x_mm, entry.y_mm, entry.width_mm, entry.height_mm), tuple(items), mark)

    def _make_text(self, words: BrailleText, x_mm: float, y_mm: float) -> Text:
        """The words in print, halfway up where the cells stand."""
        text = " ".join(word.print for word in words)
        room_mm = self._width_mm - MARGIN_MM - x_mm
        for size_pt in PRINT_SIZES_PT:
            if measure_width_mm(text, size_pt, False) <= room_mm:
                cap_mm = CAP_HEIGHT_EM * convert_pt_to_mm(size_pt)
                return Text(x_mm, y_mm + (self._style.cell_height_mm + cap_mm) / 2, text, size_pt)
        raise InternalFault("a line of braille has more words than a line of print holds")

    def _place_foot(self, words: str) -> Placed:
        baseline_mm = self._height_mm - MARGIN_MM / 2
        width_mm = measure_width_mm(words, FOOT_PT, False)
        box = Box(MARGIN_MM, baseline_mm - 5.0, width_mm, 7.0)
        return Placed(box, (Text(MARGIN_MM, baseline_mm, words, FOOT_PT),), None)


def _place_lines(
    words: BrailleText, style: TactileStyle, width_mm: float, indent: int, runover: int
) -> tuple[Label, ...]:
    cells = style.count_cells(width_mm)
    lines = wrap_words(words, cells, indent=indent, runover=runover)
    if any(measure_cells(line.words) + line.indent > cells for line in lines):
        raise InternalFault("a line of braille is longer than the page is wide")
    return tuple(
        Label(line.indent * style.cell_mm, number * style.line_mm, line.words) for number, line in enumerate(lines)
    )
