"""The starters' pages, placed once for all tests of one process that look at where things stand."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from support.plans import build_card, plan_starter

from fillcards.card.model import Card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import PlacedCard
from fillcards.layout.place import place_card
from fillcards.plan.print_size import PrintSize


@cache
def place_starter(starter: Path, size_pt: float, paper: str) -> tuple[Card, PlacedCard]:
    """A starter's card, and its pages for a reader of that type.

    Raises:
        RegimenRefused: it does not fit.
    """
    card = build_card(plan_starter(starter), ())
    return card, place_card(card, PrintSize(size_pt, ""), load_papers()[paper])
