"""What is seen on a finished card, and what must be seen: plain values that ``look``, ``expect`` and ``compare`` share.

Lengths in mm, x to the right and y downward from the top left corner of a side. Nothing here reads or decides.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple, TypeAlias

from fillcards.readback.saying import Sentence

Portion: TypeAlias = tuple[Fraction, Fraction, str]
"""From one value of the scale to another, and its filling: ``slanted``, ``dots`` or ``empty``."""


class PictureClaim(NamedTuple):
    """One picture that must be there.

    Attributes:
        kind: ``barrel``, ``sign``, ``vial`` or the name of a scene in small letters, such as ``air_out``.
        portions: what is in the barrel, from the needle on.
        stop: where the reading edge must stand, in the scale's own numbers.
        wedge: what is written at the wedge.
        air: where the stopper stands before air is pushed out.
        vials: fillings of the vials, with the bands around each.
        sign: time of day: ``rising_sun``, ``high_sun``, ``setting_sun``, ``moon`` or ``clock 07:30``.
        words: everything written inside it.
    """

    kind: str
    portions: tuple[Portion, ...] = ()
    stop: Fraction | None = None
    wedge: str = ""
    air: Fraction | None = None
    vials: tuple[tuple[str, int], ...] = ()
    sign: str = ""
    words: tuple[str, ...] = ()


class Panel(NamedTuple):
    """What one stop of a front says."""

    bar: Sentence
    medicine: Sentence
    dose: Sentence
    notes: tuple[Sentence, ...]
    figure: Sentence
    figure_words: Sentence
    counting: Sentence
    sum: Sentence | None
    barrel: PictureClaim
    alt: Sentence


class Step(NamedTuple):
    """What one step says and shows."""

    say: Sentence
    picture: PictureClaim
    alt: Sentence


class FillClaims(NamedTuple):
    """Everything one fill's sides must say, in reading order."""

    title: Sentence
    sign: PictureClaim
    above: tuple[Sentence, ...]
    news: tuple[Sentence, ...]
    panels: tuple[Panel, ...]
    below: tuple[Sentence, ...]
    running: Sentence
    steps: tuple[Step, ...]
    both: Sentence | None


class VialClaims(NamedTuple):
    """What "Your vials" says of one vial."""

    heading: Sentence
    picture: PictureClaim
    alt: Sentence
    lines: tuple[Sentence, ...]


class VialsClaims(NamedTuple):
    """The sheet "Your vials": after what is said of each vial the rest, from its dates on, as it is read."""

    title: Sentence
    keep: Sentence
    vials: tuple[VialClaims, ...]
    rest: tuple[Sentence, ...]


class Spelled(NamedTuple):
    """What a voice says sign by sign: in which messages, and what stands between two signs."""

    text: str
    between: str
    ids: frozenset[str]


class CardClaims(NamedTuple):
    """All that a card must say, whatever its form; which form leaves what out stands in ``forms``."""

    language: str
    title: Sentence
    code: str
    band: Sentence
    whose: tuple[Sentence, ...]
    stop_call: Sentence
    foot: Sentence
    fills: tuple[FillClaims, ...]
    vials: VialsClaims
    spelled: tuple[Spelled, ...] = ()


Order: TypeAlias = list[frozenset[str]]
"""What is heard one after the other; of each group its sentences come as a side needs them."""


class Compared(NamedTuple):
    """What the comparison of a form tells.

    Attributes:
        faults: as sentences for people.
        alts: alternative texts of its pictures, group by group, each in every way in which it may be told.
        orders: in which each section of it is read, last the words of its heads; none: in the card's.
        in_row: what is read one after the other, whatever else is read between.
    """

    faults: list[str]
    alts: list[tuple[list[str], ...]]
    orders: list[Order]
    in_row: list[str]


class UnreadableCard(Exception):
    """The file is not a card, or cannot be read for certain."""
