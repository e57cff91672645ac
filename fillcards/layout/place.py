"""A card onto paper: each fill's section, the sheet that holds for every fill, the staff sheet. A pure function.

What fits nowhere is a problem with its reason: never smaller type, never a side more than the table allows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Final

from fillcards.card.model import Card, FillCard, Log, Practice
from fillcards.catalogue.model import Paper
from fillcards.layout import styles
from fillcards.layout.deck import set_deck
from fillcards.layout.fills import set_fill
from fillcards.layout.grid import stack
from fillcards.layout.log import set_log
from fillcards.layout.model import PlacedCard
from fillcards.layout.poster import set_panels
from fillcards.layout.practice import set_practice
from fillcards.layout.search import Made, NoRoom, find_fitting
from fillcards.layout.sections import STAFF_LANGUAGE, Section, join_sections, refuse
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import Sheet, make_sheet
from fillcards.layout.staff import set_staff
from fillcards.layout.styles import SheetStyle
from fillcards.layout.vials import set_vials
from fillcards.plan.print_size import LARGEST_STEPS_PT, PrintSize
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import say

BARREL_STYLE: Final = "picture"
BARREL_SIZES: Final = ((18.0, 1.0), (18.0, 0.8), (16.0, 0.8), (14.0, 0.7), (12.0, 0.6), (12.0, 0.5), (12.0, 0.4))
"""Of the page of one stop, type size, and the share of a front's measures; the first that fits. Whoever uses the page
sees to its size."""


def place_card(card: Card, reader: PrintSize, paper: Paper) -> PlacedCard:
    """Every page of a large card.

    Args:
        card: what it says.
        reader: their type size.
        paper: letter or a4.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if a fill or a sheet does not fit on the sides it may have, ``LAYOUT-002`` if a
            number does not fit on a line. Whether print serves the reader at all is the plan's.
    """
    setter = Setter(card.language)

    def list_sections() -> Iterator[Section]:
        for fill in card.fills:
            yield from _list_fill_sections(setter, card, fill, reader.body_pt, paper)
        yield _set_vials(setter, card, reader.body_pt, paper)
        staff = make_sheet(setter.turn_to(STAFF_LANGUAGE), card, paper, reader.body_pt, None, "staff")
        yield set_staff(staff, card.staff_title, card.staff)

    return join_sections(setter, card, list_sections())


def place_fill(card: Card, fill: FillCard, reader: PrintSize, paper: Paper) -> PlacedCard:
    """The sides of one fill alone, as ``place_card`` makes them; with a helper's where the card has one.

    Raises:
        RegimenRefused: as for the whole card.
    """
    setter = Setter(card.language)
    return join_sections(setter, card, _list_fill_sections(setter, card, fill, reader.body_pt, paper))


def place_practice(card: Card, practice: Practice, reader: PrintSize, paper: Paper) -> PlacedCard:
    """The patient's exercises, and the sheet of answers for staff.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if an exercise does not fit on a side.
    """
    setter = Setter(card.language)
    sheet = _make_beside(setter, card, reader, paper, styles.PRACTICE)
    exercises = _require(f"the practice sheet at {sheet.body_pt:g} pt", lambda: set_practice(sheet, practice))
    staff = make_sheet(setter.turn_to(STAFF_LANGUAGE), card, paper, reader.body_pt, None, styles.ANSWERS.name)
    answers = set_staff(staff, practice.answers_title, practice.answers, only=practice.only, style=styles.ANSWERS.name)
    return join_sections(setter, card, (exercises, answers), document=practice.document)


def place_log(card: Card, log: Log, reader: PrintSize, paper: Paper) -> PlacedCard:
    """The sheets of a fortnight, as many fills on each as it has room for.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if not even one fill has room.
    """
    setter = Setter(card.language)
    sheet = _make_beside(setter, card, reader, paper, styles.LOG)
    sections = _require(f"the log sheet at {sheet.body_pt:g} pt", lambda: set_log(sheet, log))
    return join_sections(setter, card, sections, document=log.document)


def place_barrel(card: Card, fill_number: int, draw_number: int, paper: Paper) -> PlacedCard:
    """One stop alone on a page: its panel as on the front, under the fill's title, the band and whose it is.

    For a document of one's own. Whatever becomes of the page, it says for whom it is, and whether somebody has checked
    it.

    Args:
        card: whose stop it is.
        fill_number: from 1.
        draw_number: from 1.
        paper: of the page.

    Raises:
        IndexError: there is no such fill or draw.
        RegimenRefused: ``LAYOUT-001`` if it does not fit on the paper.
    """
    if min(fill_number, draw_number) < 1:
        raise IndexError("fills and draws count from 1")
    setter, fill = Setter(card.language), card.fills[fill_number - 1]
    panel = fill.panels[draw_number - 1]
    shown = replace(panel, bar=panel.short_bar)
    margin_mm = styles.SMALL_MARGIN_MM if paper.is_small else styles.MARGIN_MM

    def set_page(size: tuple[float, float]) -> Section:
        body_pt, share = size
        made = make_sheet(setter, card, paper, body_pt, fill, f"fill {fill_number}")
        sheet = replace(made, margin_mm=margin_mm, poster=styles.LARGE_POSTER.scale(share))
        width_mm = sheet.live_mm
        band_pt = sheet.fit_pt(card.band, width_mm - body_pt / 2, body_pt, styles.LEAST_SMALL_FOOT_PT)
        title = setter.text(fill.title, 1.5 * body_pt, width_mm, bold=True, role="H1")
        band, whose = sheet.plate(card.band, band_pt, width_mm), setter.lines(card.whose, body_pt, width_mm)
        head = stack((title, band, whose), sheet.gap_mm / 2)
        foot = setter.text(card.foot, min(body_pt, 12.0), width_mm)
        panels = set_panels(sheet, (shown,), sheet.measure_room_mm(head, foot))
        return sheet.make_section(fill.title, [(head, panels.piece, foot)], BARREL_STYLE)

    found = f"the picture of {setter.write(panel.figure_words)} on {paper.name}"
    page = _require(found, lambda: find_fitting(BARREL_SIZES, set_page))
    return join_sections(setter, card, (page,))


def _make_beside(setter: Setter, card: Card, reader: PrintSize, paper: Paper, style: SheetStyle) -> Sheet:
    """A sheet that goes with the card, in the card's type or for the helper."""
    size_pt = reader.body_pt if reader.body_pt <= LARGEST_STEPS_PT else styles.HELPER_PT
    banner = say("helper-title") if size_pt != reader.body_pt else None
    return replace(make_sheet(setter, card, paper, size_pt, None, style.name), banner=banner)


def _require(found: str, make: Callable[[], Made], *, too_wide: str = "LAYOUT-001") -> Made:
    """What is made, or that it does not fit; with a code of its own where a number is too wide for a line."""
    try:
        return make()
    except NoRoom as fault:
        raise refuse(found) from fault
    except TextTooWide as fault:
        raise refuse(found, too_wide) from fault


def _list_fill_sections(setter: Setter, card: Card, fill: FillCard, body_pt: float, paper: Paper) -> Iterator[Section]:
    sheet = make_sheet(setter, card, paper, body_pt, fill, f"fill {fill.number}")
    if body_pt <= LARGEST_STEPS_PT:
        yield _set_fill(sheet, fill)
        return
    found = f"fill {fill.number} at {body_pt:g} pt, on 6 sides"
    yield _require(found, lambda: set_deck(sheet.turn(), fill), too_wide="LAYOUT-002")
    helper = make_sheet(setter, card, paper, styles.HELPER_PT, fill, f"helper {fill.number}")
    yield _set_fill(replace(helper, banner=say("helper-title")), fill)


def _set_fill(sheet: Sheet, fill: FillCard) -> Section:
    """In the first style that holds it."""
    ways = styles.list_styles(sheet.body_pt, sheet.setter.language)
    found = f"fill {fill.number} at {sheet.body_pt:g} pt, on {ways[-1].most_sides} sides"
    return _require(found, lambda: find_fitting(ways, partial(set_fill, sheet, fill)), too_wide="LAYOUT-002")


def _set_vials(setter: Setter, card: Card, body_pt: float, paper: Paper) -> Section:
    """In the largest type that four sides hold; marked as the helper's where that is not for the reader."""
    banner = say("helper-title") if body_pt > LARGEST_STEPS_PT else None

    def set_sized(size_pt: float) -> Section:
        return set_vials(replace(make_sheet(setter, card, paper, size_pt, None, "vials"), banner=banner))

    found = f"the sheet for all fills at {body_pt:g} pt, on 4 sides"
    return _require(found, lambda: find_fitting(styles.list_vials_sizes(body_pt), set_sized))
