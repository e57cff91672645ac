"""Sentences without a number that no card may lack: what to do in doubt, and that a dose is never repeated.

Everything else without a number, a name or an order in it is not compared: it is the wording's, and is the same on
every card.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fillcards.readback.model import Difference, Sheets

ESSENTIALS: Final = (
    ("Not sure?",),
    ("Stop.",),
    ("Do not inject again.", "Do not give it again."),
    ("Start again.", "Draw again."),
)
"""Each group has one of its sentences on the sheets of every fill."""


def compare_essentials(sheets: Sheets) -> Iterator[Difference]:
    """What the sheets of one fill lack.

    Args:
        sheets: of a fill, or one small card's sides.
    """
    said = {statement.text for statement in sheets.statements}
    for group in ESSENTIALS:
        if said.isdisjoint(group):
            yield Difference(sheets.pages[0], "a sentence no card may lack", "not there", f"“{group[0]}”")
