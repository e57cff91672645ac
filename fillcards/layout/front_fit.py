"""Whether page one is of use at a print size: asked of a card that is then built anew, if it is not.

Large print may push the second stop overleaf, behind whose card it is: then the stops lead. Very large print may make a
single fact taller than a page: then all facts come as large as fits, for a sentence broken over two pages, or a figure
apart from its medicine, could be taken for another.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import takewhile
from typing import Final

from fillcards.card.model import Card, FillSheets, Stop
from fillcards.catalogue.model import Paper
from fillcards.layout.flow import EASE_MM, list_chains, measure_parts_mm
from fillcards.layout.front import set_facts, set_stops
from fillcards.layout.parts import Part
from fillcards.layout.setter import Setter
from fillcards.layout.sheets import Sheets
from fillcards.layout.sizes import choose_patient_sizes
from fillcards.plan.print_size import PrintSize, limit_print_size
from fillcards.typeface import TextTooWide

STEP_PT: Final = 1.0


def fit_print_size(card: Card, size: PrintSize, paper: Paper) -> PrintSize:
    """The size at which page one serves: with the stops leading, or with smaller facts, where that is needed.

    Args:
        card: built at ``size``.
        size: what the reader needs.
        paper: the sheet.
    """
    if size.facts_lead_steps:
        return _find_size_that_fits(card, size, paper)
    return size if all(_holds_stops(card, fill, size, paper) for fill in card.fills) else size.let_stops_lead()


def _find_size_that_fits(card: Card, size: PrintSize, paper: Paper) -> PrintSize:
    """The largest size, not under that of the steps, at which no fact is taller than a page or wider than a line."""
    fitted = size
    while fitted.facts_lead_steps and not _fits(card, fitted, paper):
        fitted = limit_print_size(size, max(fitted.body_pt - STEP_PT, size.step_pt))
    return fitted


def _fits(card: Card, size: PrintSize, paper: Paper) -> bool:
    try:
        return all(_holds_facts(fill, _open_sheets(card, fill, size, paper)) for fill in card.fills)
    except TextTooWide:
        return False


def _holds_facts(fill: FillSheets, sheets: Sheets) -> bool:
    parts = [*set_facts(fill.front, sheets)]
    return all(measure_parts_mm(chain) <= sheets.later_room_mm + EASE_MM for chain in list_chains(parts))


def _holds_stops(card: Card, fill: FillSheets, size: PrintSize, paper: Paper) -> bool:
    """Whether page one holds its stops, under all that stands above them. What fits on no line is refused later on."""
    try:
        sheets = _open_sheets(card, fill, size, paper)
        parts = _set_up_to_stops(fill, sheets)
    except TextTooWide:
        return True
    return measure_parts_mm(parts) <= sheets.room_mm + EASE_MM


def _set_up_to_stops(fill: FillSheets, sheets: Sheets) -> list[Part]:
    above = tuple(takewhile(lambda block: not isinstance(block, Stop), fill.front))
    stops: Iterable[Stop] = (block for block in fill.front if isinstance(block, Stop))
    return [*set_facts(above, sheets), *set_stops(tuple(stops), sheets)]


def _open_sheets(card: Card, fill: FillSheets, size: PrintSize, paper: Paper) -> Sheets:
    setter = Setter(choose_patient_sizes(size, card.band, float(paper.width_mm)))
    return Sheets(fill.name, fill.running_lines, card.band, (card.foot, card.short_foot), setter, paper)
