"""From the plan to the card: every message and picture in reading order. Knows nothing of type, paper or files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Final

from fillcards.card.front import build_fill
from fillcards.card.model import (
    Card,
    FillCard,
    Keeping,
    Line,
    Panel,
    StaffBlock,
    StaffHeading,
    StaffPairs,
    StaffPoints,
    VialsSheet,
    WriteIn,
)
from fillcards.card.staff import build_staff
from fillcards.card.vials import build_vials
from fillcards.plan.model import Plan
from fillcards.plan.rules.rule import write_list
from fillcards.problems import Problem
from fillcards.regimen.fingerprint import compute_card_code, is_checked, name_edition
from fillcards.regimen.languages import ENGLISH, LANGUAGES
from fillcards.regimen.model import Patient, PatientKind, Regimen
from fillcards.wording.messages import Say, Value, render, say
from fillcards.wording.words import are_words_signed, list_signers

LONG_CHECKER: Final = "Alexandra Featherstone RN"
LONG_DATE: Final = date(2026, 9, 30)


def build_card(plan: Plan, cautions: tuple[Problem, ...] | None = None, keeping: Keeping | None = None) -> Card:
    """The whole card.

    Args:
        plan: made from a regimen no rule refuses.
        cautions: to be settled before the card leaves, for the sheet for staff; left out: those of the plan.
        keeping: of the register in which the card is kept, for the sheet for staff.

    Raises:
        InternalFault: a language without messages (the schema has already refused it), or a message that does not fit.
    """
    regimen = plan.regimen
    code = compute_card_code(regimen)
    contacts, made_on = regimen.contacts, regimen.review.date
    vials = build_vials(plan)
    card = Card(
        language=regimen.language,
        title=say("document-title", code=code),
        code=code,
        band=_say_band(regimen, code),
        bands=_list_bands(regimen, code),
        whose=tuple(_list_whose(regimen.patient)),
        stop_call=say("stop-call", phone=contacts[0].phone) if contacts else WriteIn(say("stop-call-write")),
        foot=say("foot", code=code, date=made_on) if made_on else say("foot-undated", code=code),
        fills=tuple(build_fill(fill, regimen) for fill in plan.fills),
        vials=vials,
        staff_title=say("staff-title"),
        staff=build_staff(plan, code, vials.title, plan.cautions if cautions is None else cautions, keeping),
    )
    return replace(card, staff=(*card.staff, *build_pairs(card)))


def _say_band(regimen: Regimen, code: str) -> Say:
    """What every side carries: that nobody has checked the card, or who has."""
    review, checked = regimen.review, is_checked(regimen) and are_words_signed(regimen.language)
    if regimen.is_sample:
        return say("band-sample-checked" if checked else "band-sample")
    if not checked or not review.checked_by or review.checked_on is None:
        return say("band-unchecked")
    return say("band-checked", checker=review.checked_by, date=review.checked_on, code=code)


def _list_bands(regimen: Regimen, code: str) -> tuple[Say, ...]:
    """Every band that the card may carry, of the checked one a long form."""
    if regimen.is_sample:
        return say("band-sample"), say("band-sample-checked")
    return say("band-unchecked"), say("band-checked", checker=LONG_CHECKER, date=LONG_DATE, code=code)


def _list_whose(patient: Patient) -> Iterator[Line]:
    """Name, birth date and identifier, or ruled lines for what the file leaves out. No birth date stands alone."""
    is_person = patient.kind is PatientKind.PERSON
    identifier = patient.second_identifier
    if patient.name is not None:
        values: dict[str, Value | None] = {"born": patient.born, "identifier": identifier}
        given = {slot: value for slot, value in values.items() if value}
        yield say("-".join(("whose", *given)), name=patient.name, **given)
    elif identifier:
        yield WriteIn(say("write-name-identifier", identifier=identifier))
    else:
        yield WriteIn(say("write-name"))
    if is_person and patient.born is None:
        yield WriteIn(say("write-born"))


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
