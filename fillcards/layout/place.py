"""A card onto paper: each fill's section, the sheet that holds for every fill, the staff sheet."""

from __future__ import annotations

from fillcards.card.model import Card, FillCard
from fillcards.catalogue.model import Paper
from fillcards.layout.fills import set_fill
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import make_sheet
from fillcards.layout.styles import list_styles
from fillcards.typeface import TextTooWide
from fillcards.plan.print_size import PrintSize


def place_card(card: Card, reader: PrintSize, paper: Paper) -> PlacedCard:
    setter = Setter(card.language)
    pages: list[Page] = []
    sections: list[Element] = []
    for fill in card.fills:
        sheet = make_sheet(setter, card, paper, reader.body_pt, fill, f"fill {fill.number}")
        for style in list_styles(reader.body_pt):
            try: done = set_fill(sheet, fill, style)
            except TextTooWide: done=None
            if done:
                pages += done[0]
                sections.append(Element("Sect", done[1], title=setter.write(fill.title)))
                break
        else:
            print("does not fit", setter.write(fill.title))
    return PlacedCard(setter.write(card.title), card.language, tuple(pages), Element("Document", tuple(sections)))
