"""``supply``: vials, syringes and days of supply, and the dates to throw vials away.

Sums for ordering are rounded up to two decimals. Proposes no dose.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Final

from fillcards.catalogue.model import Route
from fillcards.pipeline import choose_form, require_accepted
from fillcards.plan.supply import MedicineSupply, Period, Supply, VialCount, VialUse, plan_supply
from fillcards.quantities import Quantity, Unit, write_quantity
from fillcards.regimen.forms import FIRST_YEAR, LAST_YEAR
from fillcards.regimen.model import EVERY_DAY, Medicine
from fillcards.verbs.answers import (
    ExitCode,
    Streams,
    UsageError,
    align_columns,
    describe_problems,
    name_file,
    write_sum,
)
from fillcards.verbs.arguments import read_options, read_regimen_of
from fillcards.wording.writers import ENGLISH

_UNKNOWN: Final = "not known"
_LOSS: Final = (
    "Loss: what stays in the needle at each injection, as measured in a study of 1986. Of a mixture it is charged in",
    "full to each vial.",
)
_CLOSING: Final = (
    "Each vial or bottle is taken as full on the day it is opened. Spills and breakages are not counted.",
    "A month counts 30 days. This changes no dose: follow the prescriber and the pharmacist.",
)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Count the supply of a regimen that no rule refuses."""
    asked = None if arguments.start is None else _parse_day(arguments.start)
    options = read_options(arguments, streams)
    regimen = read_regimen_of(arguments.file, options, streams)
    with name_file(arguments.file):
        cautions = require_accepted(regimen, options._replace(form=choose_form(regimen)))
    # Never today's date: the same file and the same command give the same answer on any day.
    start = asked or regimen.review.date
    if start is None:
        raise UsageError("the file has no date under review: give the day to count from, such as --from 2026-12-01")
    supply = plan_supply(regimen, start, is_asked=asked is not None)
    if arguments.json:
        streams.say_json(describe_problems(arguments.file, cautions) | supply.as_dict())
    else:
        streams.say(*write_supply(supply).split("\n"))
    return ExitCode.DONE


def _parse_day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or day.isoformat() != text:
        raise UsageError(f'--from: found "{text}", expected a day written as year-month-day, such as 2026-12-01')
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise UsageError(f'--from: found "{text}", expected a year from {FIRST_YEAR} to {LAST_YEAR}, as in the file')
    return day


def write_supply(supply: Supply) -> str:
    """The whole answer as lines of plain text."""
    parts = [_write_medicine(medicine, supply) for medicine in supply.medicines]
    parts.append(_write_syringes(supply))
    has_loss = any(medicine.loss is not None for medicine in supply.medicines)
    parts.append("\n".join((*_LOSS, *_CLOSING) if has_loss else _CLOSING))
    return "\n\n".join(parts)


def _name_container(medicine: Medicine) -> str:
    return "bottle" if medicine.route is Route.BY_MOUTH else "vial"


def _write_syringes(supply: Supply) -> str:
    counts = " and ".join(f"{need.syringes:,} for {need.days} days" for need in supply.syringes)
    if all(medicine.medicine.route is Route.BY_MOUTH for medicine in supply.medicines):
        return f"Fillings of the oral syringe from {ENGLISH.write_date(supply.start)}: {counts}."
    return f"Syringes from {ENGLISH.write_date(supply.start)}, each used once: {counts}."


def _write_medicine(medicine: MedicineSupply, supply: Supply) -> str:
    vial = _name_container(medicine.medicine)
    lines = [f"{medicine.medicine.name}, counted from {ENGLISH.write_date(medicine.begins)}"]
    if medicine.opened_is_past:
        lines.append(
            f"  The {vial} in the file may not be used on {ENGLISH.write_date(supply.start)}: counted from a new one."
        )
    elif medicine.begins != supply.start:
        lines.append(f"  That is the day its {vial} was opened.")
    elif medicine.first_vial is not None and medicine.first_vial.opened < medicine.begins:
        if medicine.first_vial.opened != medicine.medicine.opened:
            lines.append(f"  The {vial} in the file is finished by then; another has followed it and is in use.")
        lines.append(f"  The {vial} in use goes on; the {vial}s counted are those opened from then on.")
    rows = [("", "Without loss", "With loss"), *_list_rows(medicine)]
    lines += align_columns([row[:2] for row in rows[1:]] if medicine.loss is None else rows)
    if medicine.vial_holds is None:
        lines.append(f"  Not counted in {vial}s: the file does not say what one holds.")
    elif medicine.first_vial is None:
        lines.append(f"  Not counted in {vial}s: one does not hold one dose.")
    return "\n".join(lines)


def _list_rows(medicine: MedicineSupply) -> Iterator[tuple[str, ...]]:
    unit, vial = medicine.unit, _name_container(medicine.medicine)
    mean = "A day" if medicine.is_same_every_day else "A day, mean of a week"
    yield mean, write_sum(medicine.daily, unit), _write_known(medicine.daily_with_loss, unit)
    if not medicine.is_same_every_day:
        for day, need in zip(EVERY_DAY, medicine.need_by_weekday, strict=True):
            if need:
                yield day.word.capitalize(), write_sum(need, unit), ""
    for period in medicine.periods:
        yield f"{period.days} days", write_sum(period.need, unit), _write_known(period.need_with_loss, unit)
    if medicine.vial_holds is not None:
        yield f"A full {vial} holds", write_sum(medicine.vial_holds, unit), ""
    if medicine.first_vial is not None:
        yield from _list_vial_rows(medicine, medicine.first_vial, medicine.first_vial_with_loss)
        for period in medicine.periods:
            yield from _list_period_rows(period, unit, vial)


def _list_vial_rows(medicine: MedicineSupply, plain: VialUse, with_loss: VialUse | None) -> Iterator[tuple[str, ...]]:
    pair, vial = (plain, with_loss), _name_container(medicine.medicine)
    yield f"Life of an open {vial}", _write_days(medicine.medicine.in_use_days), ""
    yield f"First {vial} opened", ENGLISH.write_date(plain.opened), ""
    yield "  do not use from", ENGLISH.write_date(plain.do_not_use_from), ""
    yield "  lasts", *(_write_days(use.days) if use else _UNKNOWN for use in pair)
    yield "  last day of use", *(_write_last_day(use) for use in pair)
    yield "  left in it then", *(write_sum(use.left, medicine.unit) if use else _UNKNOWN for use in pair)


def _list_period_rows(period: Period, unit: Unit, vial: str) -> Iterator[tuple[str, ...]]:
    pair = (period.without_loss, period.with_loss)
    yield (
        f"{vial.capitalize()}s for {period.days} days, to {ENGLISH.write_date(period.last)}",
        *(_write_count(count) for count in pair),
    )
    yield "  without the discard date", *(f"{count.vials_by_content_alone:,}" if count else _UNKNOWN for count in pair)
    yield "  thrown away by then", *(write_sum(count.thrown_away, unit) if count else _UNKNOWN for count in pair)


def _write_known(amount: Fraction | None, unit: Unit) -> str:
    return _UNKNOWN if amount is None else write_sum(amount, unit)


def _write_days(days: int) -> str:
    return write_quantity(Quantity(Fraction(days), Unit.DAYS))


def _write_last_day(use: VialUse | None) -> str:
    if use is None:
        return _UNKNOWN
    return ENGLISH.write_date(use.last_used) if use.last_used else "none"


def _write_count(count: VialCount | None) -> str:
    return f"{count.vials:,}" if count else _UNKNOWN
