"""The numbers that a card in braille must have, place by place, and those that it may have, in digits.

Straight from the regimen, by the arithmetic of ``expected``. Knows no cells.
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.quantities import write_number, write_quantity
from fillcards.readback.expected import (
    ExpectedAct,
    ExpectedDraw,
    ExpectedFill,
    expect_acts,
    expect_label_words,
    is_dose_the_line,
    write_amount,
)
from fillcards.regimen.model import Medicine, Regimen, Syringe

_NUMBER: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)*")
_HALF: Final = Fraction(1, 2)
_NAMES_VIAL: Final = ("push", "into")


@dataclass(frozen=True, slots=True)
class Expected:
    """The numbers of one step, and the amount with its unit if it has one."""

    numbers: tuple[str, ...]
    amount: str | None = None


def list_text_numbers(text: str | None) -> tuple[str, ...]:
    """Every number of a text, in digits; of a fraction both."""
    return tuple(_NUMBER.findall(unicodedata.normalize("NFKC", text or "")))


def list_step_numbers(fill: ExpectedFill, regimen: Regimen) -> list[Expected]:
    """Of each step that has numbers, in their order: first to make ready, then to fill the syringe."""
    steps = [*_list_ready(fill, regimen), *(_expect_act(act, regimen.syringe) for act in expect_acts(fill))]
    return [step for step in steps if step.numbers]


def _list_ready(fill: ExpectedFill, regimen: Regimen) -> Iterator[Expected]:
    for draw in fill.draws:
        yield Expected((*_mark(draw), *_list_label_numbers(draw.medicine)))
    for draw in fill.draws:
        if draw.medicine.motion is not Motion.NONE:
            yield Expected((*_mark(draw), *(("10", "10") if draw.medicine.motion is Motion.ROLL else ())))
    for draw in fill.draws:
        yield Expected((*_mark(draw), *list_text_numbers(draw.medicine.look)))
    if not fill.is_mixed and fill.draws[0].medicine.route is not Route.BY_MOUTH:
        yield Expected(_mark(fill.draws[0]))
    yield Expected((*list_text_numbers(regimen.syringe.scale.value), write_number(regimen.syringe.last_line)))


def _mark(draw: ExpectedDraw) -> tuple[str, ...]:
    return list_text_numbers(draw.medicine.vial_mark)


def _list_label_numbers(medicine: Medicine) -> tuple[str, ...]:
    return list_text_numbers(expect_label_words(medicine))


def _expect_act(act: ExpectedAct, syringe: Syringe) -> Expected:
    if act.line is not None:
        return Expected((write_number(act.line),), write_amount(act.line, act.draw.medicine, syringe))
    return Expected(_mark(act.draw) if act.kind in _NAMES_VIAL else ())


def expect_stop_numbers(fill: ExpectedFill, index: int, syringe: Syringe) -> tuple[list[str], ...]:
    """The numbers a stop begins with: figure, words, count, sum; with and without what each line is worth."""
    draw = fill.draws[index]
    stop = write_number(draw.stop)
    half = [write_number(draw.stop - _HALF)] if draw.stop > 1 and draw.stop % 1 == _HALF else []
    every = [write_number(syringe.line_every)]
    if syringe.scale is not ScaleName.ML and draw.medicine.is_insulin and syringe.line_every == _HALF:
        every = []
    addition = [write_number(part) for part in (fill.draws[0].alone, fill.draws[1].alone, draw.stop)] if index else []
    start = [stop, *half, *_count(draw.stop, syringe)]
    return ([*start, *addition], [*start, *every, *addition])


def _count(stop: Fraction, syringe: Syringe) -> list[str]:
    """``3`` and ``15``; ``3`` alone from the zero line; the number itself where it stands at the line."""
    past = stop % syringe.numbered_every
    if not past:
        return [write_number(stop)]
    base = stop - past
    return [write_number(past / syringe.line_every), *([write_number(base)] if base else [])]


def list_allowed(regimen: Regimen, fill: ExpectedFill | None) -> frozenset[str]:
    """Every number that may stand by itself outside the steps: on a fill's sheets, or those for every fill.

    Dates, strengths, the scale's name, minutes and the sum are not among them: those are known by what stands beside.
    """
    numbers = {number for text in _list_texts(regimen) for number in list_text_numbers(text)}
    if fill is None:
        return frozenset(numbers | {str(medicine.in_use_days) for medicine in regimen.medicines})
    syringe = regimen.syringe
    numbers |= {"0", write_number(syringe.line_every), write_number(syringe.last_line)}
    numbers |= set(list_text_numbers(fill.fill.when))
    for draw in fill.draws:
        numbers |= {write_number(draw.stop), *_count(draw.stop, syringe)}
        if draw.stop > 1 and draw.stop % 1 == _HALF:
            numbers.add(write_number(draw.stop - _HALF))
        if not is_dose_the_line(draw, syringe):
            numbers |= {*list_text_numbers(write_quantity(draw.dose)), write_number(draw.volume_ml)}
    return frozenset(numbers)


def list_strengths(regimen: Regimen) -> frozenset[str]:
    """The numbers of all strengths."""
    return frozenset(write_number(medicine.strength.amount) for medicine in regimen.medicines if medicine.strength)


def list_days(regimen: Regimen) -> frozenset[tuple[int, int, int]]:
    """Every date that a card may name, as day, month and year."""
    days = [regimen.patient.born, regimen.review.date, regimen.review.ask_again_by]
    for medicine in regimen.medicines:
        limit = medicine.opened + datetime.timedelta(days=medicine.in_use_days) if medicine.opened else None
        days += [medicine.opened, medicine.expires, limit]
    return frozenset((day.day, day.month, day.year) for day in days if day is not None)


def _list_texts(regimen: Regimen) -> Iterator[str | None]:
    """The user's own words outside the steps."""
    yield from (regimen.patient.name, regimen.patient.second_identifier, regimen.notes)
    for contact in regimen.contacts:
        yield from (contact.who, contact.phone)
    for medicine in regimen.medicines:
        yield from (medicine.name, medicine.vial_mark, medicine.warning, medicine.look)
