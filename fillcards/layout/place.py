"""A card onto paper: each fill's section, the sheet that holds for every fill, the staff sheet. A pure function.

What fits nowhere is a problem with its reason: never smaller type, never a side more than the table allows.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import TypeVar

from fillcards.card.model import Card, FillCard, Log, Practice
from fillcards.catalogue.model import Paper
from fillcards.layout.deck import set_deck
from fillcards.layout.fills import set_fill
from fillcards.layout.log import set_log
from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.layout.practice import set_practice
from fillcards.layout.refusal import refuse
from fillcards.layout.repeats import silence_repeats
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import Sheet, make_sheet
from fillcards.layout.staff import STAFF_LANGUAGE, set_staff
from fillcards.layout.styles import (
    ANSWERS,
    HELPER_PT,
    LARGEST_STEPS_PT,
    LOG,
    PRACTICE,
    SheetStyle,
    list_styles,
    list_vials_sizes,
)
from fillcards.layout.vials import set_vials
from fillcards.plan.print_size import PrintSize
from fillcards.typeface import TextTooWide
from fillcards.wording.messages import Say, say

Section = tuple[Say, list[Page], tuple[Element, ...]]


def place_card(card: Card, reader: PrintSize, paper: Paper) -> PlacedCard:
    """Every page of a large card.

    Args:
        card: what it says.
        reader: their type size.
        paper: letter or a4.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if a fill or a sheet does not fit on the sides it may have, ``LAYOUT-002`` if a
            number does not fit on a line. Whether print serves the reader at all is the plan's.
    """
    setter = Setter(card.language)
    return _join(setter, card, _list_sections(setter, card, reader.body_pt, paper))


def place_fill(card: Card, fill: FillCard, reader: PrintSize, paper: Paper) -> PlacedCard:
    """The sides of one fill alone, as ``place_card`` makes them; with a helper's where the card has one.

    Raises:
        RegimenRefused: as for the whole card.
    """
    setter = Setter(card.language)
    return _join(setter, card, _list_fill_sections(setter, card, fill, reader.body_pt, paper))


def place_practice(card: Card, practice: Practice, reader: PrintSize, paper: Paper) -> PlacedCard:
    """The patient's exercises, and the sheet of answers for staff.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if an exercise does not fit on a side.
    """
    setter = Setter(card.language)
    sheet = _make_beside(setter, card, reader, paper, PRACTICE)
    staff = make_sheet(setter.turn_to(STAFF_LANGUAGE), card, paper, reader.body_pt, None, ANSWERS.name)
    answers = set_staff(staff, practice.answers_title, practice.answers, only=practice.only, style=ANSWERS.name)
    sections = (_require(set_practice(sheet, practice), PRACTICE, sheet), answers)
    return replace(_join(setter, card, iter(sections)), title=setter.write(practice.document))


def place_log(card: Card, log: Log, reader: PrintSize, paper: Paper) -> PlacedCard:
    """The sheets of a fortnight, as many fills on each as it has room for.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if not even one fill has room.
    """
    setter = Setter(card.language)
    sheet = _make_beside(setter, card, reader, paper, LOG)
    sections = _require(set_log(sheet, log), LOG, sheet)
    return replace(_join(setter, card, iter(sections)), title=setter.write(log.document))


def _make_beside(setter: Setter, card: Card, reader: PrintSize, paper: Paper, style: SheetStyle) -> Sheet:
    """A sheet that goes with the card, in the card's type or for the helper."""
    size_pt = style.choose_pt(reader.body_pt)
    banner = say("helper-title") if size_pt != reader.body_pt else None
    return replace(make_sheet(setter, card, paper, size_pt, None, style.name), banner=banner)


_Made = TypeVar("_Made")


def _require(made: _Made | None, style: SheetStyle, sheet: Sheet) -> _Made:
    if made is None:
        raise refuse(f"the {style.name} sheet at {sheet.body_pt:g} pt")
    return made


def _join(setter: Setter, card: Card, made: Iterator[Section]) -> PlacedCard:
    pages: list[Page] = []
    sections: list[Element] = []
    for title, sides, elements in made:
        pages += sides
        is_for_staff = sides[0].is_staff and setter.language != STAFF_LANGUAGE
        words = setter.turn_to(STAFF_LANGUAGE if is_for_staff else setter.language).write(title)
        sections.append(Element("Sect", elements, title=words, language=STAFF_LANGUAGE if is_for_staff else None))
    whole, count = Element("Document", tuple(sections)), setter.write(say("page", page=0, pages=0))
    return PlacedCard(setter.write(card.title), card.language, *silence_repeats(pages, whole, count))


def _list_sections(setter: Setter, card: Card, body_pt: float, paper: Paper) -> Iterator[Section]:
    for fill in card.fills:
        yield from _list_fill_sections(setter, card, fill, body_pt, paper)
    yield _set_vials(setter, card, body_pt, paper)
    yield set_staff(make_sheet(setter.turn_to(STAFF_LANGUAGE), card, paper, body_pt, None, "staff"))


def _list_fill_sections(setter: Setter, card: Card, fill: FillCard, body_pt: float, paper: Paper) -> Iterator[Section]:
    sheet = make_sheet(setter, card, paper, body_pt, fill, f"fill {fill.number}")
    if body_pt <= LARGEST_STEPS_PT:
        yield _set_fill(sheet, fill, body_pt)
        return
    yield _set_deck(sheet.turn(), fill)
    helper = replace(
        make_sheet(setter, card, paper, HELPER_PT, fill, f"helper {fill.number}"), banner=say("helper-title")
    )
    yield _set_fill(helper, fill, HELPER_PT)


def _set_fill(sheet: Sheet, fill: FillCard, body_pt: float) -> Section:
    """In the first style that holds it."""
    code = "LAYOUT-001"
    styles = list_styles(body_pt, sheet.setter.language)
    for style in styles:
        try:
            done = set_fill(sheet, fill, style)
        except TextTooWide:
            code = "LAYOUT-002"
            continue
        if done:
            return fill.title, *done
    sides = styles[-1].most_sides
    raise refuse(f"fill {fill.number} at {body_pt:g} pt, on {sides} sides", code)


def _set_vials(setter: Setter, card: Card, body_pt: float, paper: Paper) -> Section:
    """In the largest type that four sides hold; marked as the helper's where that is not for the reader."""
    banner = say("helper-title") if body_pt > LARGEST_STEPS_PT else None
    for size_pt in list_vials_sizes(body_pt):
        with suppress(TextTooWide):
            done = set_vials(replace(make_sheet(setter, card, paper, size_pt, None, "vials"), banner=banner))
            if done:
                return done
    raise refuse(f"the sheet for all fills at {body_pt:g} pt, on 4 sides")


def _set_deck(sheet: Sheet, fill: FillCard) -> Section:
    try:
        done = set_deck(sheet, fill)
    except TextTooWide as error:
        raise refuse(f"fill {fill.number} at {sheet.body_pt:g} pt", "LAYOUT-002") from error
    if done is None:
        raise refuse(f"fill {fill.number} at {sheet.body_pt:g} pt, on 6 sides")
    return fill.title, *done
