"""The card as meaning in reading order: what a person sees, hears or feels, before anyone decides where it stands.

Print, screen, braille and plain text all read this one model; order and alt text live here and are never inferred
from paint order. Every string is final wording. No sizes in mm here except inside a figure's drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from fillcards.picture.items import Drawing
from fillcards.plan.model import FillPlan
from fillcards.regimen.model import BarrelDirection, Syringe


class Weight(Enum):
    """How much a paragraph counts; the layout gives each one size and weight of type."""

    FACT = "fact"
    STRONG = "strong"
    BODY = "body"
    SMALL = "small"


@dataclass(frozen=True, slots=True)
class Heading:
    """Level 1 is the fill's name, 2 a part of it, 3 a part of a part."""

    level: int
    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text of one kind."""

    text: str
    weight: Weight = Weight.BODY


@dataclass(frozen=True, slots=True)
class Band:
    """A framed warning across the page, such as "Not yet checked. Do not use."."""

    text: str


@dataclass(frozen=True, slots=True)
class Stop:
    """One of the at most two large figures of a card.

    Attributes:
        label: ``First line``, ``Total line`` or, for a single medicine, ``Line``.
        medicine: which medicine is drawn to this line.
        figure: the number alone, such as ``26`` or ``12.5``.
        unit: the word beside it, such as ``units``, ``mL`` or ``line`` (a line is not a dose).
        words: the number in words.
        count: how to count to the line, one sentence each.
        addition: ``8 + 18 = 26``, said once, on the total line of a mixed fill.
        is_total: the second of two stops.
    """

    label: str
    medicine: str
    figure: str
    unit: str
    words: str
    count: tuple[str, ...]
    addition: str | None = None
    is_total: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture with the words that replace it. ``caption`` is printed; ``alt`` is for whoever does not see."""

    drawing: Drawing
    alt: str
    caption: str | None = None


@dataclass(frozen=True, slots=True)
class FigurePair:
    """Figures that are read one after the other and may stand side by side."""

    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Barrels:
    """The enlarged barrels of a fill, one a draw, in drawing order, to one scale.

    Not yet drawn: whoever places them draws them as large as their place allows, never under twice the standard's
    shortest scale, so that nobody takes them for life size.

    Attributes:
        alts: words that replace each barrel.
        captions: printed under each where there is room for words.
        least_gap_mm: from line to line, below which this reader cannot tell the lines apart; 0 if nothing is known.
        too_fine: what is said where the barrels come out finer than that.
        number_pt: size of the scale's numbers; where the place is too narrow they come smaller, but never under 14.
    """

    fill: FillPlan
    syringe: Syringe
    direction: BarrelDirection
    alts: tuple[str, ...]
    captions: tuple[str, ...]
    least_gap_mm: float = 0.0
    too_fine: str = ""
    number_pt: float = 14.0


@dataclass(frozen=True, slots=True)
class Steps:
    """Numbered steps, one act each. ``first_number`` lets a list go on after a heading."""

    items: tuple[str, ...]
    first_number: int = 1


@dataclass(frozen=True, slots=True)
class Points:
    """Short statements without an order."""

    items: tuple[str, ...]
    weight: Weight = Weight.BODY


@dataclass(frozen=True, slots=True)
class WriteIn:
    """Words with room to write by hand; each label is followed by a ruled line."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A small table; ``header`` names the columns, the first cell of each row names the row."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class LineGaps:
    """On the maker's page: how far apart the scale's lines came out in the pictures, and what this reader needs.

    What the enlarged barrels came to is known to whoever places them; the rest is here. In mm on paper.

    Attributes:
        names: of the fills.
        close_up_mm: of the close-ups of each fill.
        real_mm: on the standard's shortest barrel.
        least_mm: for this reader; 0 if nothing is known.
    """

    names: tuple[str, ...]
    close_up_mm: tuple[float, ...]
    real_mm: float
    least_mm: float


Block: TypeAlias = Heading | Paragraph | Band | Stop | Figure | FigurePair | Steps | Points | WriteIn | Table | LineGaps


@dataclass(frozen=True, slots=True)
class FillSheets:
    """The patient's pages of one fill.

    Attributes:
        name: of the fill, such as ``Before breakfast``; stands at the top of every page.
        running_lines: both lines in short, such as ``First line 8 · Total line 26``; top of every page after the first.
        front: the blocks of page one, enough alone to fill the syringe by.
        barrels: beside the stops where page one has room, else they lead page two; read after page one.
        after: everything that follows page one, in reading order.
    """

    name: str
    running_lines: str
    front: tuple[Block, ...]
    barrels: Barrels
    after: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class GeneralSheets:
    """The patient's pages that hold for every fill, given once: vials, when to throw away, whom to call.

    Attributes:
        name: stands at the top of every page.
        blocks: everything under that name, in reading order.
    """

    name: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """The whole card.

    Attributes:
        band: the words every page carries while unchecked or a sample; ``None`` on a checked card.
        makers: blocks of the maker's page, which is not given away.
        foot: words at the foot of each patient's page beside the page count, such as the card code.
        short_foot: the same where the line is short.
    """

    title: str
    language: str
    code: str
    band: str | None
    fills: tuple[FillSheets, ...]
    general: GeneralSheets
    makers: tuple[Block, ...]
    foot: str
    short_foot: str
