"""What must be seen on a finished card, as plain values, and which form carries which of it: the one list of that.

| form | leaves out | why |
|---|---|---|
| spoken words | pictures | a picture cannot be spoken; its step says the same |
| braille file | pictures | likewise |
| small card | "Your vials" | it is stapled to a prescription whose own leaflet holds that; the fridge card has it |
| raised pages | sentences other than stops, title, whose, band | words are in the braille file |
| deck (above 36 pt) | steps, in its own size | they come on the helper's sheet in 18 pt |

Everything else is on every form.

Lengths in mm, x to the right and y downward from the top left corner of a side. Nothing here reads or decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from functools import partial
from typing import Final, NamedTuple, TypeAlias

from fillcards.readback.saying import Sentence, say, say_again

AIR_FIRST: Final = ("air-first", "air-first-two")
"""What a front says of air; a deck has another sentence for it."""
IN_DECK: Final = {
    **{f"{act}-before-eating{days}": "deck-when" for act in ("inject", "give") for days in ("", "-days")},
    **{f"syringe{kind}": f"deck-syringe{kind}" for kind in ("", "-half", "-oral")},
    **{f"past-{kind}": f"deck-past-{kind}" for kind in ("two", "one", "mouth")},
    **{name: f"deck-{name}" for name in ("only-day", "only-days", "animal", "unsure", "count-number")},
    **{f"count-{size}": "deck-count" for size in ("short", "long", "mixed", "any")},
    **{f"count-{size}-zero": "deck-count-zero" for size in ("short", "long", "mixed", "any")},
}
"""What a deck says in short."""
IN_SHORT: Final = {"bar-second": "bar-second-short"}
"""Where a panel has no room for the whole."""
ON_NARROW: Final = {
    "air-first-two": "air-first",
    **{f"syringe{kind}": f"scan-syringe{kind}" for kind in ("", "-half", "-oral")},
}
"""What a narrow small card and the code to scan say in short."""

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
    sign: str
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


Tell: TypeAlias = Callable[[Sentence], Sentence]
"""How the words of a picture are told in a form."""


def _tell(language: str, alt: Sentence) -> Sentence:
    return say(language, "text-picture", text=alt.text)


def list_daily(fill: FillClaims, tell: Tell | None = None) -> Iterator[Sentence]:
    """A fill's daily card, after its title; its pictures where they are told."""
    yield from fill.above
    yield from fill.news
    for panel in fill.panels:
        yield from list_panel(panel)
        if tell:
            yield tell(panel.alt)
    yield from fill.below


def shorten(sentence: Sentence, names: Mapping[str, str], language: str) -> Sentence:
    """The short message of the same values, where a form has one."""
    return say_again(language, names[sentence.id], sentence) if sentence.id in names else sentence


def list_panel(panel: Panel) -> Iterator[Sentence]:
    """One stop."""
    yield panel.bar
    yield panel.medicine
    yield panel.dose
    yield from panel.notes
    yield panel.figure
    yield panel.figure_words
    yield panel.counting
    if panel.sum:
        yield panel.sum


def list_vials(vials: VialsClaims, tell: Tell | None = None) -> Iterator[Sentence]:
    """The sheet "Your vials"."""
    yield vials.title
    yield vials.keep
    for vial in vials.vials:
        yield vial.heading
        yield from vial.lines
        if tell:
            yield tell(vial.alt)
    yield from vials.rest


def list_steps(fill: FillClaims, language: str, tell: Tell | None = None) -> Iterator[Sentence]:
    """A fill's steps, each with its number."""
    for number, step in enumerate(fill.steps, start=1):
        yield say(language, "text-step", step=str(number), steps=str(len(fill.steps)))
        yield step.say
        if tell:
            yield tell(step.alt)


def list_text(claims: CardClaims) -> Iterator[Sentence]:
    """The plain text: each daily card and its steps, then the rest."""
    tell = partial(_tell, claims.language)
    yield claims.title
    yield claims.band
    yield from claims.whose
    for fill in claims.fills:
        yield fill.title
        yield from list_daily(fill, tell)
        yield fill.title
        yield fill.running
        yield from list_steps(fill, claims.language, tell)
    yield from list_vials(claims.vials)
    yield claims.foot


def list_spoken(claims: CardClaims) -> tuple[tuple[Sentence, ...], ...]:
    """The words of each sound file: one a fill, and one for what holds for all."""
    files = [tuple(_list_spoken_fill(claims, fill)) for fill in claims.fills]
    return (*files, (claims.band, *list_vials(claims.vials)))


def _list_spoken_fill(claims: CardClaims, fill: FillClaims) -> Iterator[Sentence]:
    yield claims.band
    yield fill.title
    yield from claims.whose
    yield from list_daily(fill)
    yield fill.running
    yield from list_steps(fill, claims.language)


def list_html(claims: CardClaims) -> Iterator[Sentence]:
    """The words of the screen page, its pictures' words among them, without its controls."""
    language, tell = claims.language, partial(_tell, claims.language)
    yield claims.title
    yield claims.band
    for fill in claims.fills:
        yield fill.title
        yield from claims.whose
        yield claims.band
        yield from list_daily(fill, tell)
        yield say(language, "html-steps")
        yield from list_steps(fill, language, tell)
    yield from list_vials(claims.vials, tell)
    yield claims.foot


def list_html_pictures(claims: CardClaims) -> Iterator[tuple[PictureClaim, str]]:
    """The pictures of the screen page, each with a few words to tell it by: of a barrel those at its mark."""
    for fill in claims.fills:
        yield PictureClaim("sign", sign=fill.sign), fill.title.text
        for panel in fill.panels:
            yield panel.barrel, panel.figure.text
        for step in fill.steps:
            yield step.picture, step.say.text
    for vial in claims.vials.vials:
        yield vial.picture, vial.heading.text
