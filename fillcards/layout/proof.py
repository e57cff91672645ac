"""The geometric proof: nothing overlaps, nothing leaves the page's live area, nothing is set too small.

What is kept free for a magnet or a staple stays free. On a small card the margins are narrower and no stroke is finer
than a label printer prints. Runs on every placed card before it is written, and again in tests over random regimens. It
measures the placed items themselves, not the intentions of the code that placed them.
"""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.layout import styles
from fillcards.layout.model import Box, Page, Placed, PlacedCard
from fillcards.picture.items import Anchor, Dot, Item, Line, Polygon, Text
from fillcards.picture.pen import HANGING
from fillcards.problems import InternalFault
from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import CAP_HEIGHT_EM, DESCENDER_EM, measure_width_mm

EASE_MM = 0.02
"""A fiftieth of a millimetre: float sums, and the half width of a hairline."""


def require_apart(card: PlacedCard) -> None:
    """Prove the card's pages sound.

    Raises:
        InternalFault: naming page and boxes; the layout is at fault, not the file.
    """
    for number, page in enumerate(card.pages, start=1):
        for fault in find_faults(page):
            raise InternalFault(f"layout, page {number}: {fault}")


def find_faults(page: Page) -> Iterator[str]:
    """Everything wrong with a page, in words."""
    live, least_pt = tuple(_list_live_areas(page)), _find_least_pt(page)
    for placed in page.placed:
        if not any(_holds(area, placed.box) for area in live) and not _is_cut_mark(placed, page, live):
            yield f"{_describe(placed)} leaves the live area"
        for item in placed.items:
            box = measure_item_box(item)
            if not _holds(placed.box, box):
                yield f"an item of {_describe(placed)} leaves its box: {item}"
            if isinstance(item, Text) and item.size_pt < least_pt:
                yield f"text of {item.size_pt} pt, least is {least_pt} pt: {item.text!r}"
            if any(_meet(box, corner) for corner in page.free):
                yield f"{_describe(placed)} stands where a magnet or staple goes"
            stroke_mm = _measure_stroke_mm(item, box)
            if page.small_cards and stroke_mm < styles.LEAST_STROKE_MM - EASE_MM / 10:
                yield f"a stroke of {stroke_mm:.2f} mm in {_describe(placed)}, least is {styles.LEAST_STROKE_MM} mm"
    solid = sorted((p for p in page.placed if not p.may_overlap), key=lambda p: p.box.y_mm)
    for position, one in enumerate(solid):
        for other in solid[position + 1 :]:
            if other.box.y_mm >= one.box.bottom_mm - EASE_MM:
                break
            if _meet(one.box, other.box):
                yield f"{_describe(one)} overlaps {_describe(other)}"


def _list_live_areas(page: Page) -> Iterator[Box]:
    """Where things may stand."""
    margin_mm = styles.SMALL_MARGIN_MM if page.small_cards else styles.MARGIN_MM
    for card in page.small_cards or (Box(0.0, 0.0, page.width_mm, page.height_mm),):
        width_mm, height_mm = card.width_mm - 2 * margin_mm, card.height_mm - 2 * margin_mm
        yield Box(card.x_mm + margin_mm, card.y_mm + margin_mm, width_mm, height_mm)


def _find_least_pt(page: Page) -> float:
    if page.small_cards:
        return styles.LEAST_SMALL_FOOT_PT
    return styles.LEAST_STAFF_PT if page.is_staff else styles.LEAST_FOOT_PT


def _is_cut_mark(placed: Placed, page: Page, live: tuple[Box, ...]) -> bool:
    """On a sheet of cards to be cut apart, what is not read aloud may stand between them, off all they say."""
    is_sheet = any((card.width_mm, card.height_mm) != (page.width_mm, page.height_mm) for card in page.small_cards)
    return is_sheet and placed.mark is None and not any(_meet(placed.box, area) for area in live)


def _measure_stroke_mm(item: Item, box: Box) -> float:
    """The finest ink of an item; letters are judged by their size."""
    match item:
        case Line():
            return item.width_mm
        case Polygon() if item.fill is None:
            return item.outline_mm
        case Polygon() | Dot():
            return min(box.width_mm, box.height_mm)
        case Text():
            return styles.LEAST_STROKE_MM


def measure_item_box(item: Item) -> Box:
    """The box of the ink of an item; text from cap height to descender."""
    match item:
        case Line():
            half_mm = item.width_mm / 2
            left, right = sorted((item.x1_mm, item.x2_mm))
            top, bottom = sorted((item.y1_mm, item.y2_mm))
            dx_mm = half_mm if left == right else 0.0
            dy_mm = half_mm if top == bottom else 0.0
            return Box(left - dx_mm, top - dy_mm, right - left + 2 * dx_mm, bottom - top + 2 * dy_mm)
        case Polygon():
            xs = [x for x, _ in item.points_mm]
            ys = [y for _, y in item.points_mm]
            half_mm = item.outline_mm / 2
            width_mm, height_mm = max(xs) - min(xs) + item.outline_mm, max(ys) - min(ys) + item.outline_mm
            return Box(min(xs) - half_mm, min(ys) - half_mm, width_mm, height_mm)
        case Dot():
            half_mm = item.diameter_mm / 2
            return Box(item.x_mm - half_mm, item.y_mm - half_mm, item.diameter_mm, item.diameter_mm)
        case Text():
            size_mm = convert_pt_to_mm(item.size_pt)
            width_mm = measure_width_mm(item.text, item.size_pt, item.bold, item.language)
            left_mm = item.x_mm - width_mm * {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[item.anchor]
            descent_mm = DESCENDER_EM * size_mm if HANGING & set(item.text) else 0.0
            return Box(left_mm, item.y_mm - CAP_HEIGHT_EM * size_mm, width_mm, CAP_HEIGHT_EM * size_mm + descent_mm)


def _holds(outer: Box, inner: Box) -> bool:
    return (
        inner.x_mm >= outer.x_mm - EASE_MM
        and inner.y_mm >= outer.y_mm - EASE_MM
        and inner.right_mm <= outer.right_mm + EASE_MM
        and inner.bottom_mm <= outer.bottom_mm + EASE_MM
    )


def _meet(one: Box, other: Box) -> bool:
    return (
        one.x_mm < other.right_mm - EASE_MM
        and other.x_mm < one.right_mm - EASE_MM
        and one.y_mm < other.bottom_mm - EASE_MM
        and other.y_mm < one.bottom_mm - EASE_MM
    )


def _describe(placed: Placed) -> str:
    words = next((repr(item.text) for item in placed.items if isinstance(item, Text)), "a drawing")
    box = placed.box
    return f"{words} at ({box.x_mm:.1f}, {box.y_mm:.1f}) size {box.width_mm:.1f} x {box.height_mm:.1f} mm"
