"""Page one of a fill, enough alone to fill the syringe by: when, whose, the two stops, and the three rescues.

At most two large figures, and nothing that competes with them. In large print a line of text is as tall as two, so
what is said elsewhere on the same sheets is left out here, and what does not fit goes on to the next page from the end.
In print so large that every fact takes a page, the stops lead: the line to stop at is on the sheet on top.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fillcards.card.model import Band, Block, Heading, Paragraph, Stop, Weight, WriteIn
from fillcards.plan.model import Draw, FillPlan
from fillcards.plan.replacing import Change
from fillcards.quantities import write_number
from fillcards.regimen.model import PatientKind, Regimen, Syringe
from fillcards.wording.english import alt, amounts, cautions, counts, labels, numbers, rescue, vials
from fillcards.wording.english.changes import LINES_AS_BEFORE, SEE_WHAT_IS_NEW, write_changes

LONG_FORM_MOST_PT: Final = 22.0
"""Above this body size every line of text counts: the facts come in their short form."""


def build_front(
    fill: FillPlan,
    regimen: Regimen,
    band: str | None,
    code: str,
    replaced_fingerprint: str | None = None,
    changes: tuple[Change, ...] = (),
    *,
    is_short: bool,
    stops_lead: bool = False,
) -> tuple[Block, ...]:
    """The blocks of page one, in reading order.

    Args:
        fill: the fill the sheet is for.
        regimen: whose card it is.
        band: the words every page carries while unchecked or a sample; ``None`` gives its room to the syringe, but in
            large print to the second stop.
        code: of this card.
        replaced_fingerprint: of the regimen whose card is to be thrown away.
        changes: what is new since that card; said on the next page, so that no old figure stands on this one.
        is_short: whether there is room for the short form of the facts only.
        stops_lead: whether whose card it is stands after the stops.
    """
    # A card's code is the beginning of its fingerprint, so the old card's is found without its file.
    old_code = replaced_fingerprint[: len(code)] if replaced_fingerprint else None
    only_syringe = Paragraph(labels.write_only_this_syringe(regimen.syringe), Weight.STRONG)
    card_line = labels.write_card_line(regimen, code, old_code, is_short=is_short)
    # Not needed to fill the syringe: in large print the minutes give their room to the second stop.
    minutes = tuple(_build_minutes(fill))
    syringe_leads = band is None and not is_short
    whose = (*_build_whose(regimen), Paragraph(card_line, Weight.FACT))
    stops = (
        *_build_news(fill, changes),
        *(build_stop(fill, index, regimen.syringe, is_short=is_short) for index in range(len(fill.draws))),
        *_build_dose_notes(fill.draws, regimen.syringe),
    )
    past_and_call = (
        Paragraph(rescue.write_past_the_line(fill), Weight.FACT),
        Paragraph(rescue.write_whom_to_call(regimen), Weight.FACT),
    )
    when = (
        *((Band(band),) if band else ()),
        Heading(1, labels.write_fill_name(fill.fill)),
        *_build_days(fill, is_short=is_short),
        *((only_syringe,) if syringe_leads else ()),
    )
    warnings = tuple(_build_warnings(fill))
    if stops_lead:
        return (*when, *stops, only_syringe, *warnings, *past_and_call, *whose, *minutes)
    return (
        *when,
        *(() if is_short else minutes),
        *whose,
        *stops,
        *(() if syringe_leads else (only_syringe,)),
        *warnings,
        *past_and_call,
        *(minutes if is_short else ()),
    )


def _build_days(fill: FillPlan, *, is_short: bool) -> Iterator[Block]:
    only_days = labels.write_only_days(fill.fill, is_short=is_short)
    if only_days:
        yield Paragraph(only_days, Weight.STRONG)


def _build_news(fill: FillPlan, changes: tuple[Change, ...]) -> Iterator[Block]:
    """That something is new, or that the lines are not; the sentences with the old figures stand elsewhere."""
    if changes:
        told = write_changes(changes, fill.fill)
        yield Paragraph(LINES_AS_BEFORE if told == (LINES_AS_BEFORE,) else SEE_WHAT_IS_NEW, Weight.STRONG)


def _build_warnings(fill: FillPlan) -> Iterator[Block]:
    for draw in fill.draws:
        warning = vials.write_warning(draw.medicine)
        if warning:
            yield Paragraph(warning, Weight.STRONG)


def _build_minutes(fill: FillPlan) -> Iterator[Block]:
    minutes = labels.write_minutes_before(fill.fill, fill.first.medicine.route)
    if minutes:
        yield Paragraph(minutes, Weight.FACT)


def _build_whose(regimen: Regimen) -> Iterator[Block]:
    if regimen.patient.kind is PatientKind.ANIMAL:
        yield Paragraph(labels.FOR_THE_ANIMAL, Weight.STRONG)
    whose = labels.write_whose(regimen)
    yield Paragraph(whose, Weight.FACT) if whose else WriteIn(labels.write_name_label(regimen))


def build_stop(fill: FillPlan, draw_index: int, syringe: Syringe, *, is_short: bool = False) -> Stop:
    """One stop with its large figure. What one line is worth is said once on the page, and not in the short form."""
    draw = fill.draws[draw_index]
    is_total = draw_index == 1
    count = counts.write_count(draw.count, draw.medicine, syringe)
    return Stop(
        label=alt.name_stop(draw_index, fill),
        medicine=labels.name_medicine(fill, draw_index, is_short=is_short),
        figure=write_number(draw.stop_line),
        unit=amounts.write_unit_word(draw.stop_line, draw.medicine, syringe),
        words=numbers.write_in_words(draw.stop_line),
        count=count[:1] if is_short or _said_before(fill, draw_index) else count,
        addition=labels.write_addition(fill) if is_total else None,
        is_total=is_total,
    )


def _said_before(fill: FillPlan, draw_index: int) -> bool:
    """Whether an earlier stop of the page has told what one line is worth."""
    return any(draw.count.lines for draw in fill.draws[:draw_index])


def _build_dose_notes(draws: tuple[Draw, ...], syringe: Syringe) -> Iterator[Block]:
    for draw in draws:
        if not amounts.dose_is_line(draw, syringe):
            first, *rest = cautions.write_dose_notes(draw, syringe)
            yield Paragraph(first, Weight.STRONG)
            yield from (Paragraph(text, Weight.FACT) for text in rest)
