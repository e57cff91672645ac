"""What follows page one of a fill: what is new, the lines up close, the steps, and the rescues."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from fillcards.card.model import Block, Heading, Paragraph, Points, Steps, Weight
from fillcards.card.pictures import build_close_ups
from fillcards.catalogue.model import Paper
from fillcards.plan.model import FillPlan
from fillcards.plan.print_size import PrintSize
from fillcards.plan.replacing import Change
from fillcards.regimen.model import Regimen
from fillcards.wording.english import amounts, counts, rescue, steps
from fillcards.wording.english.changes import write_changes
from fillcards.wording.english.labels import HEADINGS


def build_after(
    fill: FillPlan, regimen: Regimen, size: PrintSize, paper: Paper, changes: tuple[Change, ...] = ()
) -> tuple[Block, ...]:
    """The blocks after page one, in reading order.

    Args:
        fill: the fill the sheet is for.
        regimen: whose card it is.
        size: type sizes.
        paper: the sheet.
        changes: what is new since the card this one replaces.
    """
    return (
        *build_changes(fill, changes),
        *_build_close_up(fill, regimen, size, paper),
        Heading(2, HEADINGS.before_you_start),
        Points(rescue.write_dose_trouble(fill, regimen)),
        *_build_steps(fill, regimen),
        Heading(2, HEADINGS.trouble),
        Points(rescue.write_rescue(fill, regimen)),
    )


def build_changes(fill: FillPlan, changes: tuple[Change, ...]) -> Iterator[Block]:
    """What is new for a fill since the card this one replaces; nothing where none is replaced."""
    if changes:
        yield Heading(2, HEADINGS.what_is_new)
        yield Points(write_changes(changes, fill.fill), Weight.STRONG)


def _build_close_up(fill: FillPlan, regimen: Regimen, size: PrintSize, paper: Paper) -> Iterator[Block]:
    yield Heading(2, HEADINGS.close_up)
    yield build_close_ups(fill, regimen, size, paper)
    every = amounts.write_line_every(fill.first.medicine, regimen.syringe)
    yield Paragraph(" ".join((every, *counts.write_how_to_read(fill.first.medicine, regimen.syringe))))


def _build_steps(fill: FillPlan, regimen: Regimen) -> Iterator[Block]:
    """Steps under their headings, numbered through."""
    number = 1
    for heading, group in groupby(fill.steps, key=lambda step: steps.write_group(step.act, fill, regimen)):
        items = tuple(steps.write_step(step, fill, regimen) for step in group)
        yield Heading(2, heading)
        yield Steps(items, number)
        number += len(items)
