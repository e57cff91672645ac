"""Sheets for the patient: what stands at the top and foot of every page of one name, and the counting of its pages."""

from __future__ import annotations

from typing import Final

from fillcards.card.model import Band, Block, FigurePair
from fillcards.catalogue.model import Paper
from fillcards.layout.blocks import leads_to, make_band, set_block
from fillcards.layout.flow import measure_parts_mm, place_parts
from fillcards.layout.model import Box, Element, Page, Placed
from fillcards.layout.parts import Part, measure_baseline_mm, merge_marks, move_placed, place_lines
from fillcards.layout.setter import Setter
from fillcards.layout.sizes import LEAST_BODY_PT, MAGNET_MM, MARGIN_MM, measure_pitch_mm
from fillcards.picture.items import Line
from fillcards.typeface import measure_width_mm, wrap_text

HEAD_RULE_MM: Final = 0.8

FOOT_GAP_MM: Final = 4.0
"""Least white between what stands side by side at the foot."""

EMPTY_SIDE: Final = "This side is left empty."


class Sheets:
    """The sheets of one name while they are being laid out: a fill's, or those that hold for every fill.

    Attributes:
        elements: what was set so far, in reading order.
        barrel_gap_mm: from one line of the scale to the next on the enlarged barrels, once they are set; else 0.
        running_lines: both lines in short, for a first page that cannot hold both stops; not read aloud, like all
            repeats.
        room_mm: height for blocks on the first page; ``later_room_mm`` on the pages after it, under the running head.
    """

    def __init__(
        self,
        name: str,
        running_lines: str | None,
        band: str | None,
        feet: tuple[str, ...],
        setter: Setter,
        paper: Paper,
        *,
        reads_band: bool = True,
    ) -> None:
        """Measure the pages; nothing is set yet.

        Args:
            name: at the top of every page.
            running_lines: beside it on every page after the first.
            band: the words every page carries while unchecked or a sample.
            feet: words beside the page count, and the same in fewer words for want of room.
            setter: of the whole card.
            paper: the sheet.
            reads_band: whether the band of the first page is read aloud: on one name's sheets it is, on the others
                the same words at the same place are a repeat, as in a running head.
        """
        self.name = name
        self.reads_band = reads_band
        self.feet = feet
        self.setter = setter
        self.sizes = setter.sizes
        self.page_width_mm = float(paper.width_mm)
        self.page_height_mm = float(paper.height_mm)
        self.width_mm = self.page_width_mm - 2 * MARGIN_MM
        self.elements: tuple[Element, ...] = ()
        self.barrel_gap_mm = 0.0
        self.foot_y_mm = self.page_height_mm - MARGIN_MM - measure_pitch_mm(self.sizes.body_pt)
        self.room_mm = self.foot_y_mm - MAGNET_MM - self.sizes.gap_mm
        self.head = self._make_running_head(running_lines, band)
        self.running_lines = self._make_running_lines(running_lines)
        self.head_mm = measure_parts_mm(self.head) + 1.5 * self.sizes.gap_mm
        self.later_room_mm = self.room_mm - self.head_mm

    def set(self, block: Block, *, has_heading: bool = False) -> tuple[Part, ...]:
        """Set a block across the whole width, and remember its elements.

        Pictures whose captions grow taller than a page beside each other stand one below the other.

        Args:
            block: what to set.
            has_heading: whether a heading goes above it, which needs its own room on that page.
        """
        if isinstance(block, Band) and not self.reads_band:
            return (make_band(block.text, self.sizes.band_pt, self.width_mm, None),)
        mark = self.setter.next_mark
        done = set_block(self.setter, block, self.width_mm)
        heading_mm = measure_pitch_mm(self.sizes.heading_pt) + 2 * self.sizes.gap_mm if has_heading else 0.0
        most_mm = self.later_room_mm - heading_mm
        if isinstance(block, FigurePair) and any(part.height_mm > most_mm for part in done.parts):
            self.setter.next_mark = mark
            return tuple(part for figure in block.figures for part in self.set(figure))
        self.elements += done.elements
        return done.parts

    def set_all(self, blocks: tuple[Block, ...]) -> list[Part]:
        """Blocks across the whole width, each with the one it leads to."""
        parts: list[Part] = []
        for block, following in zip(blocks, (*blocks[1:], None), strict=True):
            parts += self.set(block)
            if following is not None and leads_to(block, following):
                parts[-1] = parts[-1]._replace(keep_with_next=True)
        return parts

    def make_pages(self, contents: list[list[Part]], fill_number: int | None) -> list[Page]:
        """Pages of the parts, whole sheets of them: an empty side is added where the number would be odd."""
        sides = contents if len(contents) % 2 == 0 else [*contents, []]
        return [
            self._make_page(parts, position, len(sides), fill_number) for position, parts in enumerate(sides, start=1)
        ]

    def _make_page(self, parts: list[Part], position: int, count: int, fill_number: int | None) -> Page:
        placed: tuple[Placed, ...] = ()
        y_mm = MAGNET_MM
        if position > 1:
            placed += place_parts(self.head, MARGIN_MM, y_mm)
            y_mm += self.head_mm
        if not parts:
            empty = place_lines((EMPTY_SIDE,), self.sizes.body_pt, bold=False, mark=None)
            parts = [Part(empty.box.height_mm, (empty,))]
        placed += merge_marks(place_parts(parts, MARGIN_MM, y_mm))
        placed += self._make_foot(position, count)
        return Page(self.page_width_mm, self.page_height_mm, placed, fill_number)

    def _make_running_head(self, running_lines: str | None, band: str | None) -> list[Part]:
        """What stands at the top of every page after the first; a repeat, so it is not read aloud again."""
        size_pt = self.sizes.body_pt
        parts = [] if band is None else [make_band(band, self.sizes.band_pt, self.width_mm, None)]
        texts = [self.name] if running_lines is None else [self.name, running_lines]
        if measure_width_mm("    ".join(texts), size_pt, True) <= self.width_mm:
            name = place_lines((texts[0],), size_pt, bold=True, mark=None)
            right_x_mm = self.width_mm - measure_width_mm(texts[-1], size_pt, True)
            lines = [place_lines((text,), size_pt, bold=True, mark=None, x_mm=right_x_mm) for text in texts[1:]]
            parts.append(Part(name.box.height_mm, (name, *lines), self.sizes.gap_mm))
        else:
            for text in texts:
                placed = place_lines(wrap_text(text, size_pt, True, self.width_mm), size_pt, bold=True, mark=None)
                parts.append(Part(placed.box.height_mm, (placed,)))
        rule = Line(0.0, HEAD_RULE_MM / 2, self.width_mm, HEAD_RULE_MM / 2, HEAD_RULE_MM)
        box = Box(0.0, 0.0, self.width_mm, HEAD_RULE_MM)
        return [*parts, Part(HEAD_RULE_MM, (Placed(box, (rule,), None),), 1.0)]

    def _make_running_lines(self, running_lines: str | None) -> list[Part]:
        if running_lines is None:
            return []
        lines = wrap_text(running_lines, self.sizes.body_pt, True, self.width_mm)
        placed = place_lines(lines, self.sizes.body_pt, bold=True, mark=None)
        return [Part(placed.box.height_mm, (placed,), self.sizes.gap_mm)]

    def _make_foot(self, position: int, count: int) -> tuple[Placed, ...]:
        """Name, card code and page count. Where the line is too short for all, name and code come in the least size;
        then the code goes: it is for whoever made the card, and on page one as well. Last goes the name, which stands
        at the top as well.

        All pages of a name have the same, whatever their numbers.
        """
        size_pt = self.sizes.body_pt
        right = f"page {position} of {count}"
        right_x_mm = self.width_mm - measure_width_mm(right, size_pt, False)
        widest_mm = max(measure_width_mm(f"page {page} of {count}", size_pt, False) for page in range(1, count + 1))
        runs = [(right, size_pt, right_x_mm), *self._list_foot_names(self.width_mm - widest_mm)]
        pitch_mm = measure_baseline_mm(size_pt)
        return tuple(
            move_placed(
                place_lines((text,), size, bold=False, mark=None, x_mm=x_mm),
                MARGIN_MM,
                # All stand on one baseline, whatever their sizes.
                self.foot_y_mm + pitch_mm - measure_baseline_mm(size),
            )
            for text, size, x_mm in runs
        )

    def _list_foot_names(self, room_mm: float) -> list[tuple[str, float, float]]:
        """Name and code at the left of the foot: words, size and place."""
        body_pt = self.sizes.body_pt
        for name_pt, code_pt in ((body_pt, body_pt), (body_pt, LEAST_BODY_PT), (LEAST_BODY_PT, LEAST_BODY_PT)):
            name_mm = measure_width_mm(self.name, name_pt, False)
            for foot in self.feet:
                spare_mm = room_mm - name_mm - measure_width_mm(foot, code_pt, False)
                if spare_mm >= 2 * FOOT_GAP_MM:
                    return [(self.name, name_pt, 0.0), (foot, code_pt, name_mm + spare_mm / 2)]
        if measure_width_mm(self.name, LEAST_BODY_PT, False) + FOOT_GAP_MM <= room_mm:
            return [(self.name, LEAST_BODY_PT, 0.0)]
        return []
