"""The section of one fill up to 36 pt: a front, then steps, on whole sheets.

What a front cannot hold goes on at the head of its other side, in the order of ``_list_spills``; its stops never do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final, NamedTuple

from fillcards.card.model import CardStep, FillCard
from fillcards.card.model import Line as CardLine
from fillcards.layout.facts import set_facts_left
from fillcards.layout.grid import Piece, silence, stack
from fillcards.layout.model import Element, Page
from fillcards.layout.poster import set_panels
from fillcards.layout.sheet import Sheet
from fillcards.layout.steps import measure_steps_mm, set_steps
from fillcards.wording.messages import say


class Front(NamedTuple):
    """What stands on a front, and what goes on the other side; elements in reading order."""

    body: Piece
    spilled: Piece
    elements: tuple[Element, ...]
