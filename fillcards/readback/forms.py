"""Which claims a form carries, in its order, and what it may leave out: the one list of that, with the reasons.

| form | leaves out | why |
|---|---|---|
| spoken words | pictures | a picture cannot be spoken; its step says the same |
| braille file | pictures | likewise |
| small card | "Your vials" | it is stapled to a prescription whose own leaflet holds that; the fridge card has it |
| raised pages | sentences other than stops, title, whose, band | words are in the braille file |
| deck (above 36 pt) | steps, in its own size | they come on the helper's sheet in 18 pt |

Everything else is on every form.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from fillcards.readback.model import CardClaims, FillClaims, Panel, PictureClaim, VialsClaims
from fillcards.readback.saying import Sentence, say, say_again


def list_daily(fill: FillClaims, language: str, *, has_pictures: bool = False) -> Iterator[Sentence]:
    """A fill's daily card, after its title."""
    yield from fill.above
    yield from fill.news
    for panel in fill.panels:
        yield from list_panel(panel)
        if has_pictures:
            yield say(language, "text-picture", text=panel.alt.text)
    yield from fill.below


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


def list_vials(vials: VialsClaims, *, pictures_in: str | None = None) -> Iterator[Sentence]:
    """The sheet "Your vials"; with the words of its pictures where a language is given for them."""
    yield vials.title
    yield vials.keep
    for vial in vials.vials:
        yield vial.heading
        yield from vial.lines
        if pictures_in is not None:
            yield say(pictures_in, "text-picture", text=vial.alt.text)
    yield from vials.rest


def list_steps(fill: FillClaims, language: str, *, has_pictures: bool = False) -> Iterator[Sentence]:
    """A fill's steps, each with its number."""
    for number, step in enumerate(fill.steps, start=1):
        yield say(language, "text-step", step=str(number), steps=str(len(fill.steps)))
        yield step.say
        if has_pictures:
            yield say(language, "text-picture", text=step.alt.text)


def list_text(claims: CardClaims) -> Iterator[Sentence]:
    """The plain text: daily cards, then steps, then the rest."""
    yield claims.title
    yield claims.band
    yield from claims.whose
    for fill in claims.fills:
        yield fill.title
        yield from list_daily(fill, claims.language, has_pictures=True)
    for fill in claims.fills:
        yield fill.title
        yield fill.running
        yield from list_steps(fill, claims.language, has_pictures=True)
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
    yield from list_daily(fill, claims.language)
    yield fill.running
    yield from list_steps(fill, claims.language)


def list_html(claims: CardClaims) -> Iterator[Sentence]:
    """The words of the screen page, its pictures' words among them, without its controls."""
    language = claims.language
    yield claims.title
    yield claims.band
    for fill in claims.fills:
        yield fill.title
        yield from claims.whose
        yield claims.band
        yield from list_daily(fill, language, has_pictures=True)
        yield say(language, "html-steps")
        yield from list_steps(fill, language, has_pictures=True)
    yield from list_vials(claims.vials, pictures_in=language)
    yield claims.foot


def list_html_pictures(claims: CardClaims) -> Iterator[tuple[PictureClaim, str]]:
    """The pictures of the screen page, each with a few words to tell it by: of a barrel those at its mark."""
    for fill in claims.fills:
        yield fill.sign, fill.title.text
        for panel in fill.panels:
            yield panel.barrel, panel.figure.text
        for step in fill.steps:
            yield step.picture, step.say.text
    for vial in claims.vials.vials:
        yield vial.picture, vial.heading.text
