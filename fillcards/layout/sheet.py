"""What stands round the body of every side: title, sign, band and whose at its head; code and page at its foot.

A front's top is kept free beside the title, for a magnet. Millimetres; type sizes in points.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from fillcards.card.model import Card, FillCard, WriteIn
from fillcards.card.model import Line as CardLine
from fillcards.catalogue.model import Paper
from fillcards.layout import styles
from fillcards.layout.grid import EASE_MM, At, Piece, beside, make_plate, put, spread, stack
from fillcards.layout.model import Box, Element, Page, Placed
from fillcards.layout.sections import Section
from fillcards.layout.setter import PITCH, Setter, measure_line_mm, measure_rise_mm
from fillcards.layout.styles import PosterSizes, StepSpacing
from fillcards.picture.items import Anchor, Ink
from fillcards.picture.pen import STROKE_MM_PER_PT, Pen, make_ink_pen
from fillcards.picture.signs import draw_phone, draw_sign
from fillcards.quantities import convert_pt_to_mm
from fillcards.wording.messages import Say, fit, say

GAP_MM: Final = 4.0
ROW_GAP: Final = 0.8
"""Between what stands in one row, in heights of a line: wider than between words, or it would read as one sentence."""
HEAD_GAP_MM: Final = 1.5
CORNER_MM: Final = 1.5
BAR_PAD_MM: Final = 3.0
SIGN_MM: Final = 14.0
BAR_RISE_MM: Final = 1.0
SIGN_GAP_MM: Final = 2.0
FOOT_SHARES: Final = (1.0, 0.85, 0.72, 0.6, 0.5)
"""Of foot and band, sizes to be tried in parts of the reader's own."""
OTHER_SIDE: Final = say("other-side")
MOST_WHOSE_PT: Final = 28.0
TITLE_SIZES_PT: Final = (44.0, 40.0, 36.0, 32.0, 28.0)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One kind of paper for one reader, and what stands on all sides of a section.

    Attributes:
        width_mm, height_mm: as the reader holds it.
        body_pt: type size of running text.
        fill: whose title and lines head the sides; ``None`` for the sheets that hold for every fill.
        section: its name.
        poster: measures of a front's panels.
        spacing: of its steps; ``step_columns`` how many columns of them there are.
        scene_pt: type size small pictures are drawn for; 0 for the body's.
        foot_pt: type size of foot and band above 20 pt; 0 for the least.
        words_pt: of the words above and below a front's panels, where they have room to be larger than the body's.
        rest_pitch: from line to line of what a front could not hold, in type sizes.
        pointer: on a front, where the steps are; ``pointer_pt`` its type size at the foot, 0 for the foot's.
        most_sides: so many a front's foot has room to count, before it is known how many there are.
        has_scenes: whether steps have pictures; the smallest cards of one medicine have no room for them.
        is_staff: whether it is for those who print, check and teach.
        banner: words above a front and the sheet about vials, such as whom it is for.
    """

    setter: Setter
    card: Card
    width_mm: float
    height_mm: float
    body_pt: float
    fill: FillCard | None
    section: str
    margin_mm: float = styles.MARGIN_MM
    poster: PosterSizes = styles.LARGE_POSTER
    spacing: StepSpacing = styles.SMALL_SPACING
    step_columns: int = 1
    scene_pt: float = 0.0
    foot_pt: float = 0.0
    words_pt: float = 0.0
    rest_pitch: float = PITCH
    pointer: Say = OTHER_SIDE
    pointer_pt: float = 0.0
    most_sides: int = 8
    banner: Say | None = None
    has_scenes: bool = True
    is_staff: bool = False

    @property
    def live_mm(self) -> float:
        """Width between the margins."""
        return self.width_mm - 2 * self.margin_mm

    @property
    def gap_mm(self) -> float:
        """Between things that do not belong together."""
        return 0.45 * convert_pt_to_mm(self.body_pt)

    @property
    def clear_mm(self) -> float:
        """The least white that this reader sees between two marks."""
        return STROKE_MM_PER_PT * self.body_pt

    @property
    def pen(self) -> Pen:
        """For this reader's pictures."""
        return make_ink_pen(self.body_pt)

    @property
    def small_pt(self) -> float:
        """Least size of words at the head."""
        return self.foot_pt or styles.LEAST_PATIENT_PT

    def list_foot_sizes(self) -> tuple[float, ...]:
        """Of foot and band, largest first: the reader's own above 20 pt, and what is tried where it leaves no room."""
        if self.body_pt <= styles.SMALL_FOOT_TO_PT:
            return (0.0,)
        sizes = (round(2 * share * self.body_pt) / 2 for share in FOOT_SHARES)
        return (*(size for size in sizes if size > styles.LEAST_PATIENT_PT), styles.LEAST_PATIENT_PT)

    def fit_pt(self, message: Say, width_mm: float, most_pt: float, least_pt: float) -> float:
        """The largest size, in half points, in which a bold message stands on one line; the least where none does."""
        whole_mm = self.setter.measure_mm(message, 100.0, bold=True)
        return max(least_pt, min(most_pt, int(200 * width_mm / whole_mm) / 2))

    def plate(
        self,
        message: Say,
        size_pt: float,
        width_mm: float,
        *,
        anchor: Anchor = Anchor.START,
        role: str = "P",
        least_mm: float = 0.0,
    ) -> Piece:
        """White words on black, with room round them; at least that high."""
        pad_mm = 0.45 * convert_pt_to_mm(size_pt)
        words = self.setter.text(
            message, size_pt, width_mm - 2 * pad_mm, bold=True, ink=Ink.WHITE, anchor=anchor, role=role
        )
        over_mm = self.setter.measure_over_mm(message, size_pt)
        height_mm = max(words.height_mm + 0.24 * convert_pt_to_mm(size_pt) + 2 * over_mm, least_mm)
        plate = make_plate(width_mm, height_mm, CORNER_MM)
        parts = At(plate), At(words, pad_mm, (height_mm - words.height_mm) / 2)
        return put(width_mm, height_mm, parts)

    def band(self, most_pt: float = 0.0) -> Piece:
        """Checked or not, across the front: as high as the other would be, in the largest type which that holds."""
        least_pt = self.choose_foot_pt()
        most_pt = max(most_pt or self.body_pt, least_pt)
        key = "band", self.live_mm, least_pt, most_pt
        size_pt, height_mm = self.setter.remember(key, lambda: self._fit_band(least_pt, most_pt))
        words_mm = self.setter.measure_mm(self.card.band, size_pt, bold=True)
        anchor = Anchor.MIDDLE if words_mm <= self.live_mm - 0.9 * convert_pt_to_mm(size_pt) else Anchor.START
        return self.plate(self.card.band, size_pt, self.live_mm, anchor=anchor, least_mm=height_mm)

    def _fit_band(self, least_pt: float, most_pt: float) -> tuple[float, float]:
        """Type size and height of the band."""
        room_mm, band = self.live_mm - GAP_MM - 4.0, self.card.band
        sizes = {each: self.fit_pt(each, room_mm, most_pt, least_pt) for each in (band, *self.card.bands)}
        height_mm = max(self.plate(each, size_pt, self.live_mm).height_mm for each, size_pt in sizes.items())
        larger = (most_pt - step / 2 for step in range(int(2 * (most_pt - sizes[band]))))
        fitting = (size for size in larger if self.plate(band, size, self.live_mm).height_mm <= height_mm + EASE_MM)
        return next(fitting, sizes[band]), height_mm

    def small_band(self, most_pt: float, least_pt: float, width_mm: float) -> Piece:
        """Checked or not, on a side after the first, in the place that the other would need."""
        bands = (self.card.band, *self.card.bands)
        sizes = (self.fit_pt(band, width_mm, most_pt, least_pt) for band in bands)
        places = [self.setter.text(*each, width_mm, bold=True) for each in zip(bands, sizes, strict=True)]
        most_mm = max(each.width_mm for each in places), max(each.height_mm for each in places)
        return put(*most_mm, (At(places[0], 0.0, 0.0),))

    def front_head(self, fill: FillCard) -> tuple[Piece, Box]:
        """Title, sign, band and whose; and the place for a magnet.

        In reading order the band comes first, though a magnet needs its place.
        """
        sign = self.set_sign(fill, SIGN_MM)
        title_mm = self.live_mm - sign.width_mm - styles.MAGNET_WIDTH_MM
        for title_pt in TITLE_SIZES_PT:
            title = self.setter.text(fill.title, title_pt, title_mm, bold=True, role="H1")
            if title.height_mm < 1.5 * measure_line_mm(title_pt):
                break
        rise_mm = measure_rise_mm(title_pt, self.setter.language)
        title_mm = title.height_mm + self.setter.measure_over_mm(fill.title, title_pt, clear_mm=self.clear_mm)
        row_mm = max(title_mm - rise_mm, sign.height_mm + 2.5, styles.MAGNET_MM - self.margin_mm + 1.0)
        band, sign_x_mm = self.band(min(self.body_pt, MOST_WHOSE_PT)), self.live_mm - sign.width_mm
        row = (At(band, 0.0, row_mm), At(title, 0.0, -rise_mm), At(sign, sign_x_mm, 0.0))
        head = put(self.live_mm, row_mm + band.height_mm, row)
        free_mm = sign_x_mm - title.width_mm - 2.0
        magnet = Box(self.margin_mm + title.width_mm + 1.0, 0.0, free_mm, styles.MAGNET_MM)
        whose = self._set_whose(min(self.body_pt, MOST_WHOSE_PT))
        return stack((head, *self._set_banner(), whose), self.gap_mm / 2), magnet

    def set_sign(self, fill: FillCard, size_mm: float) -> Piece:
        """The time of day."""
        sign = partial(draw_sign, fill.sign, size_mm, self.pen, fill.clock)
        return self.setter.figure(self.setter.remember(("sign", fill.number, size_mm, self.body_pt), sign), None)

    def running_head(self, fill: FillCard, page: int, pages: int, call_pt: float) -> Piece:
        """At the top of a side after the front: name, lines and sign; whom to call and, on the last side, where to
        look; band and page.

        Args:
            fill: whose name, lines and time of day.
            page: of the section.
            pages: of the section.
            call_pt: type size of whom to call, if larger than band and page.
        """
        sign = self.set_sign(fill, measure_line_mm(self.body_pt) + BAR_RISE_MM)
        bar_mm = self.live_mm - sign.width_mm - SIGN_GAP_MM
        bar = self._running_bar(fill.title, fill.running, "H2" if page == 2 else "P", bar_mm)
        top = beside((bar, sign), SIGN_GAP_MM)
        small_pt = self.small_pt
        count = self.setter.text(say("page", page=page, pages=pages), small_pt, self.live_mm)
        pointer = say("wrong-other-sheet", text=self.card.vials.title)
        where = [self.setter.text(pointer, small_pt, self.live_mm)] if page == pages else []
        call_pt = max(call_pt, small_pt)
        if self.body_pt > styles.SMALL_FOOT_TO_PT:
            band = self.small_band(small_pt, small_pt, self.live_mm)
            return stack((top, stack((self.row((self.call(self.card.stop_call, call_pt), count)), *where, band))), 0.6)
        call = self.call(self.card.stop_call, call_pt)
        while call_pt > small_pt and sum(each.width_mm + GAP_MM for each in (call, *where)) - GAP_MM > self.live_mm:
            call_pt = max(call_pt - 0.5, small_pt)
            call = self.call(self.card.stop_call, call_pt)
        room_mm = self.live_mm - count.width_mm - GAP_MM
        band = self.small_band(small_pt, styles.LEAST_FOOT_PT, room_mm)
        where = [
            put(each.width_mm, call.height_mm, (At(each, 0.0, (call.height_mm - each.height_mm) / 2),))
            for each in where
        ]
        return stack((top, stack((self.row((call, *where)), self.row((band, count))))), 0.6)

    def call(self, line: CardLine, size_pt: float, *, bold: bool = True) -> Piece:
        """Whom to call, after the sign of a telephone."""
        draw = partial(draw_phone, 0.8 * measure_line_mm(size_pt), make_ink_pen(size_pt))
        phone = self.setter.figure(self.setter.remember(("phone", size_pt), draw), None)
        x_mm = phone.width_mm + 0.3 * convert_pt_to_mm(size_pt)
        words = self.setter.line(line, size_pt, self.live_mm - x_mm, bold=bold)
        parts = (At(phone, 0.0, 0.1 * measure_line_mm(size_pt)), At(words, x_mm, 0.0))
        return put(x_mm + words.width_mm, words.height_mm, parts)

    def titled_head(self, title: Say, beside_it: Say, page: int, *, is_small: bool = False) -> Piece:
        """At the top of a sheet that is no fill's: its name in a bar with what stands beside it, band and whose.

        Args:
            title: its name.
            beside_it: at the bar's other end, or under the name.
            page: of the section.
            is_small: whether band and whose give way, in large type, to what the side is for.
        """
        bar = self._running_bar(title, beside_it, "H1" if page == 1 else "P", self.live_mm)
        if is_small and self.body_pt > styles.SMALL_FOOT_TO_PT:
            band = self.small_band(self.small_pt, self.small_pt, self.live_mm)
            return stack((bar, *self._set_banner(), band, self._set_whose(self.small_pt)), 0.8)
        whose = self._set_whose(min(self.body_pt, MOST_WHOSE_PT))
        return stack((bar, self.band(), *self._set_banner(), whose), 0.8)

    def _set_whose(self, size_pt: float) -> Piece:
        """Whose the card is; what stands below keeps clear of a name whose letters reach deep."""
        words = self.setter.lines(self.card.whose, size_pt, self.live_mm)
        said = [line for line in self.card.whose if not isinstance(line, WriteIn)]
        over_mm = max((self.setter.measure_over_mm(line, size_pt) for line in said), default=0.0)
        return put(words.width_mm, words.height_mm + over_mm, (At(words, 0.0, 0.0),))

    def _set_banner(self) -> list[Piece]:
        return [self.setter.text(self.banner, self.body_pt, self.live_mm, bold=True)] if self.banner else []

    def row(self, pieces: Sequence[Piece], width_mm: float = 0.0) -> Piece:
        """The first at the left, the last at the right, a third between; the last on a row of its own where the line
        is too short for all. As wide as the page, if not told.
        """
        width_mm = width_mm or self.live_mm
        if len(pieces) == 1:
            return pieces[0]
        gap_mm = max(GAP_MM, ROW_GAP * min(piece.height_mm for piece in pieces))
        if sum(piece.width_mm for piece in pieces) + gap_mm * (len(pieces) - 1) > width_mm:
            *others, last = pieces
            right = put(width_mm, last.height_mm, (At(last, width_mm - last.width_mm, 0.0),))
            return stack((self.row(others, width_mm), right))
        return spread(pieces, width_mm)

    def front_foot(self, page: int = 7, pages: int = 0, *, has_pointer: bool = True) -> Piece:
        """Code, page of pages (0 for the most), and where the steps are, if that stands nowhere else."""
        pointer = (self.set_pointer(self.pointer_pt or self.choose_foot_pt()),) if has_pointer else ()
        return self.titled_foot(page, pages or self.most_sides, *pointer)

    def set_pointer(self, size_pt: float) -> Piece:
        """Where the steps are."""
        return self.setter.text(self.pointer, size_pt, self.live_mm, bold=True)

    def running_foot(self, page: int, pages: int) -> Piece:
        """Whose and code, on every side after a front; and, where there is one more, that it goes on."""
        size_pt = self.choose_foot_pt()
        whose = self.setter.lines(self.card.whose, size_pt, self.live_mm)
        more = say("go-on", page=page + 1)
        on = (self.setter.text(more, size_pt, self.live_mm, bold=True),) if page < pages else ()
        return self.row((whose, self.set_code(page, pages), *on))

    def titled_foot(self, page: int, pages: int, *more: Piece) -> Piece:
        """Code and date, page of pages, and what else there is to say."""
        count = self.setter.text(say("page", page=page, pages=pages), self.choose_foot_pt(), self.live_mm)
        return self.row((self.set_code(page, pages), count, *more))

    def set_code(self, page: int, pages: int) -> Piece:
        """With the date and what to do with older cards; in large type those stand on a section's last side alone."""
        is_short = self.body_pt > styles.SMALL_FOOT_TO_PT and page < pages
        words = say("card-code", code=self.card.code) if is_short else self.card.foot
        return self.setter.text(words, self.choose_foot_pt(), self.live_mm)

    def choose_foot_pt(self) -> float:
        """Type size of the foot."""
        return styles.LEAST_FOOT_PT if self.body_pt <= styles.SMALL_FOOT_TO_PT else self.small_pt

    def measure_room_mm(self, head: Piece, foot: Piece) -> float:
        """Height for a body between head and foot."""
        return self.height_mm - 2 * self.margin_mm - head.height_mm - foot.height_mm - 2 * HEAD_GAP_MM

    def lower(self, body: Piece) -> Piece:
        """The body of a side, so much lower than its head."""
        return put(self.live_mm, 0.0, (At(body, 0.0, self.gap_mm),))

    def make_section(
        self, title: Say, sides: Iterable[tuple[Piece, Piece, Piece]], style: str, magnet: Box | None = None
    ) -> Section:
        """Sides of one style.

        Args:
            title: of the section.
            sides: of each, head, body and foot.
            style: its name.
            magnet: where nothing may stand.
        """
        pages: list[Page] = []
        elements: list[Element] = []
        for head, body, foot in sides:
            pages.append(self._make_page(head, body, foot, style, magnet))
            elements += (*head.elements, *body.elements, *foot.elements)
        return Section(title, tuple(pages), tuple(elements))

    def _make_page(self, head: Piece, body: Piece, foot: Piece, style: str, magnet: Box | None) -> Page:
        body_y_mm = self.margin_mm + head.height_mm + HEAD_GAP_MM
        foot_y_mm = self.height_mm - self.margin_mm - foot.height_mm
        tops_mm = ((head, self.margin_mm), (body, body_y_mm), (foot, foot_y_mm))
        parts = [At(piece, self.margin_mm, y_mm) for piece, y_mm in tops_mm]
        running = foot.placed if magnet else (*head.placed, *foot.placed)
        return Page(
            self.width_mm,
            self.height_mm,
            self.place(put(self.width_mm, self.height_mm, parts)),
            self.fill.number if self.fill else None,
            is_staff=self.is_staff,
            free=(self.mirror_box(magnet),) if magnet else (),
            section=self.section,
            side=style,
            running=tuple(placed.mark for placed in running if placed.mark is not None),
            body_pt=self.body_pt,
        )

    def place(self, whole: Piece) -> tuple[Placed, ...]:
        """What stands on a page, mirrored where it is read from right to left: the one place where pages are."""
        return whole.place(is_mirrored=self.setter.is_backward)

    def mirror_box(self, box: Box) -> Box:
        """The same place on the page as it is read."""
        return box._replace(x_mm=self.width_mm - box.right_mm) if self.setter.is_backward else box

    def _running_bar(self, left: Say, right: Say | None, role: str, width_mm: float) -> Piece:
        """The first message with that role; the heading of a side stands there once a section."""
        room_mm = width_mm - 2 * BAR_PAD_MM
        messages = [each for each in (left, right) if each]
        whole_mm = sum(self.setter.measure_mm(each, 100.0, bold=True) for each in messages)
        gap_mm = ROW_GAP * measure_line_mm(100.0)
        size_pt = min(self.body_pt, 100.0 * (room_mm - GAP_MM) / whole_mm, 100.0 * room_mm / (whole_mm + gap_mm) - 0.01)
        size_pt = size_pt if size_pt >= styles.LEAST_PATIENT_PT else self.body_pt
        words = [
            self.setter.text(each, size_pt, room_mm, bold=True, ink=Ink.WHITE, role=role if each is left else "P")
            for each in messages
        ]
        inner = self.row(words, room_mm)
        rise_mm = BAR_RISE_MM / 2 + max(self.setter.measure_over_mm(each, size_pt) for each in messages)
        plate = make_plate(width_mm, inner.height_mm + 2 * rise_mm, CORNER_MM)
        return put(width_mm, plate.height_mm, (At(plate), At(inner, BAR_PAD_MM, rise_mm)))

    def turn(self) -> Sheet:
        """The same paper lying down."""
        return replace(self, width_mm=self.height_mm, height_mm=self.width_mm)


def is_call(line: CardLine) -> bool:
    """Whether a line below the stops says whom to call when not sure."""
    return isinstance(line, WriteIn) or line.id.startswith("unsure")


def shorten(line: CardLine, names: Mapping[str, str]) -> CardLine:
    """The shorter message of the same values, where a form has one: its id by that of the longer one."""
    return line if isinstance(line, WriteIn) or line.id not in names else fit(names[line.id], dict(line.values))


def make_sheet(setter: Setter, card: Card, paper: Paper, body_pt: float, fill: FillCard | None, section: str) -> Sheet:
    """A sheet of that paper, upright."""
    return Sheet(setter, card, float(paper.width_mm), float(paper.height_mm), body_pt, fill, section)
