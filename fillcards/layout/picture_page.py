"""One stop of a card alone on a page: its panel as on the front, under the fill's title, the band and whose it is.

For a document of one's own. Whatever becomes of the page, it says for whom it is, and whether somebody has checked it.
"""

from __future__ import annotations

from typing import Final

from fillcards.card.model import Card
from fillcards.catalogue.model import Paper
from fillcards.layout.grid import At, put, stack
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.poster import set_panels
from fillcards.layout.refusal import refuse
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import HEAD_GAP_MM, Sheet
from fillcards.layout.sizes import LARGE_POSTER, LEAST_SMALL_FOOT_PT, MARGIN_MM, SMALL_MARGIN_MM
from fillcards.typeface import TextTooWide

STYLE_NAME: Final = "picture"
SIZES: Final = ((18.0, 1.0), (18.0, 0.8), (16.0, 0.8), (14.0, 0.7), (12.0, 0.6), (12.0, 0.5), (12.0, 0.4))
"""Type size, and the share of a front's measures; the first that fits. Whoever uses the page sees to its size."""


def place_barrel(card: Card, fill_number: int, draw_number: int, paper: Paper) -> PlacedCard:
    """The page of one stop.

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
    margin_mm = SMALL_MARGIN_MM if paper.is_small else MARGIN_MM
    for body_pt, share in SIZES:
        sheet = Sheet(
            setter,
            card,
            float(paper.width_mm),
            float(paper.height_mm),
            body_pt,
            fill,
            f"fill {fill_number}",
            margin_mm=margin_mm,
            poster=LARGE_POSTER.scale(share),
        )
        try:
            page, elements = _set_page(sheet, draw_number - 1)
        except TextTooWide:
            continue
        if page is not None:
            structure = Element("Document", (Element("Sect", elements, title=setter.write(fill.title)),))
            return PlacedCard(setter.write(card.title), card.language, (page,), structure)
    found = f"the picture of {setter.write(panel.figure_words)} on {paper.name}"
    raise refuse(found)


def _set_page(sheet: Sheet, index: int) -> tuple[Page | None, tuple[Element, ...]]:
    """The page and what stands on it in reading order; no page where the panel does not fit."""
    setter, width_mm, body_pt, fill = sheet.setter, sheet.live_mm, sheet.body_pt, sheet.fill
    assert fill is not None
    band_pt = sheet.fit_pt(sheet.card.band, width_mm - body_pt / 2, body_pt, LEAST_SMALL_FOOT_PT)
    head = stack(
        (
            setter.text(fill.title, 1.5 * body_pt, width_mm, bold=True, role="H1"),
            sheet.plate(sheet.card.band, band_pt, width_mm),
            setter.lines(sheet.card.whose, body_pt, width_mm),
        ),
        sheet.gap_mm / 2,
    )
    foot = setter.text(sheet.card.foot, min(body_pt, 12.0), width_mm)
    room_mm = sheet.height_mm - 2 * sheet.margin_mm - head.height_mm - foot.height_mm - 2 * HEAD_GAP_MM
    panels = set_panels(sheet, fill.panels[index : index + 1], room_mm)
    if panels is None:
        return None, ()
    parts = (
        At(head, sheet.margin_mm, sheet.margin_mm),
        At(panels.piece, sheet.margin_mm, sheet.margin_mm + head.height_mm + HEAD_GAP_MM),
        At(foot, sheet.margin_mm, sheet.height_mm - sheet.margin_mm - foot.height_mm),
    )
    whole = put(sheet.width_mm, sheet.height_mm, parts)
    page = Page(
        sheet.width_mm, sheet.height_mm, sheet.place(whole), fill.number, section=sheet.section, side=STYLE_NAME
    )
    return page._replace(line_gap_mm=panels.pitch_mm), whole.elements
