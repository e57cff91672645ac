"""``supply``: vials, syringes and days of supply, and the dates to throw vials away."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import date

from fillcards.verbs.answers import ExitCode, Streams, UsageError, describe_problems, name_file
from fillcards.verbs.inputs import add_json_argument, add_regimen_argument, read_options, read_regimen_of

HELP = "count vials, syringes and days of supply; list when to throw vials away"
EXAMPLES = ("fillcards supply regimen.yaml", "fillcards supply --json --from 2026-12-01 regimen.yaml")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``supply`` takes."""
    parser.add_argument(
        "--from",
        dest="start",
        metavar="DATE",
        help="count from this day, such as 2026-12-01; left out: the day each vial was opened, else the card's date",
    )
    add_regimen_argument(parser)
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Count the supply of a regimen that no rule refuses."""
    from fillcards.pipeline import choose_form, require_accepted
    from fillcards.plan.supply import plan_supply

    asked = None if arguments.start is None else _parse_day(arguments.start)
    options = read_options(arguments, streams)
    regimen = read_regimen_of(arguments.file, options, streams)
    with name_file(arguments.file):
        cautions = require_accepted(regimen, replace(options, form=choose_form(regimen)))
    # Never today's date: the same file and the same command give the same answer on any day.
    start = asked or regimen.review.date
    if start is None:
        raise UsageError("the file has no date under review: give the day to count from, such as --from 2026-12-01")
    supply = plan_supply(regimen, start, is_asked=asked is not None)
    if arguments.json:
        streams.say_json(describe_problems(arguments.file, cautions) | supply.as_dict())
    else:
        from fillcards.verbs.supply_text import write_supply

        streams.say(*write_supply(supply).split("\n"))
    return ExitCode.DONE


def _parse_day(text: str) -> date:
    from fillcards.regimen.forms import FIRST_YEAR, LAST_YEAR

    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or day.isoformat() != text:
        raise UsageError(f'--from: found "{text}", expected a day written as year-month-day, such as 2026-12-01')
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise UsageError(f'--from: found "{text}", expected a year from {FIRST_YEAR} to {LAST_YEAR}, as in the file')
    return day
