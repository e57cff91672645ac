"""A card onto paper: each fill's section, the sheet that holds for every fill, the staff sheet."""

from __future__ import annotations

from fillcards.card.model import Card, FillCard
from fillcards.catalogue.model import Paper
from fillcards.layout.grid import Piece
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.poster import set_panels
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import make_sheet
from fillcards.layout.steps import set_steps
from fillcards.layout.grid import silence, stack
from fillcards.plan.print_size import PrintSize
from fillcards.wording.messages import say


def place_card(card: Card, reader: PrintSize, paper: Paper) -> PlacedCard:
    setter = Setter(card.language)
    pages: list[Page] = []
    sections: list[Element] = []
    for fill in card.fills:
        made, elements = _place_fill(setter, card, fill, reader, paper)
        pages += made
        sections.append(Element("Sect", elements, title=setter.write(fill.title)))
    return PlacedCard(setter.write(card.title), card.language, tuple(pages), Element("Document", tuple(sections)))


def _place_fill(setter: Setter, card: Card, fill: FillCard, reader: PrintSize, paper: Paper) -> tuple[list[Page], tuple[Element, ...]]:
    sheet = make_sheet(setter, card, paper, reader.body_pt, fill, f"fill {fill.number}")
    head, magnet = sheet.front_head()
    foot = sheet.foot(say("other-side"), 1, 2)
    below = sheet.setter.lines(fill.below, sheet.body_pt, sheet.live_mm)
    room = sheet.measure_room_mm(head, foot)
    panels = set_panels(sheet, fill.panels, room - below.height_mm - sheet.gap_mm)
    assert panels
    body = stack((panels, below), sheet.gap_mm)
    page, elements = sheet.make_page(head, body, foot, "poster-two", magnet)
    head = silence(sheet.running_head(fill.title, fill.running))
    foot = silence(sheet.foot(say("wrong-other-sheet"), 2, 2))
    steps = set_steps(sheet, fill.steps, sheet.measure_room_mm(head, foot), 2)
    assert steps
    page2, elements2 = sheet.make_page(head, steps, foot, "steps-2x6")
    return [page, page2], elements + elements2
