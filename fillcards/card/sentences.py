"""Every sentence of a card once, in reading order: what somebody answers for who signs its words."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.card.model import (
    Card,
    FillCard,
    Line,
    Panel,
    StaffBlock,
    StaffHeading,
    StaffPairs,
    StaffPoints,
    VialsSheet,
)
from fillcards.plan.rules.rule import write_list
from fillcards.regimen.fingerprint import name_edition
from fillcards.regimen.languages import ENGLISH, LANGUAGES
from fillcards.wording.messages import Say, render, say
from fillcards.wording.words import list_signers


def build_pairs(card: Card) -> tuple[StaffBlock, ...]:
    """The last blocks of the staff sheet of a card in another language: its words beside the English."""
    if card.language == ENGLISH:
        return ()
    pairs = (each for each in list_sentences(card) if render(each, card.language).text != render(each).text)
    label, edition, names = LANGUAGES[card.language], name_edition(card.language), list_signers(card.language)
    how = say("staff-words-how", label=label, code=edition)
    if names:
        how = say("staff-words-signed", label=label, code=edition, name=write_list(names))
    return StaffHeading(say("staff-words")), StaffPoints((how,)), StaffPairs(tuple(pairs))


def list_sentences(card: Card) -> tuple[Say, ...]:
    """Each message with its values once; the words that replace pictures come after those they belong to."""
    return tuple(dict.fromkeys(_list_all(card)))


def _list_all(card: Card) -> Iterator[Say]:
    yield card.band
    yield from map(_get_say, card.whose)
    for fill in card.fills:
        yield from _list_fill(fill)
    yield from _list_vials(card.vials)
    yield from (_get_say(card.stop_call), card.foot)


def _list_fill(fill: FillCard) -> Iterator[Say]:
    yield fill.title
    yield from map(_get_say, fill.above)
    yield from fill.news
    for panel in fill.panels:
        yield from _list_panel(panel)
    yield from map(_get_say, fill.below)
    yield fill.running
    for step in fill.steps:
        yield from (step.say, step.alt)


def _list_panel(panel: Panel) -> Iterator[Say]:
    yield from (panel.bar, panel.medicine, panel.dose, *panel.notes, panel.figure, panel.figure_words, panel.count)
    yield from () if panel.sum is None else (panel.sum,)
    yield panel.alt


def _list_vials(vials: VialsSheet) -> Iterator[Say]:
    yield from (vials.title, vials.keep)
    for vial in vials.vials:
        yield vial.heading
        yield from map(_get_say, vial.lines)
    yield from (vials.dates, vials.storage, vials.wrong_title, *vials.wrong, *vials.cautions, vials.call_title)
    yield from map(_get_say, vials.contacts)
    yield from vials.notes


def _get_say(line: Line) -> Say:
    return line if isinstance(line, Say) else line.label
