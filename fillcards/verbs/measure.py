"""``measure``: read a finished card back and say what its marks mean; or compare it with its regimen."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from fillcards.problems import OutputError
from fillcards.verbs.answers import ExitCode, Streams, UsageError, name_file
from fillcards.verbs.inputs import add_json_argument, add_syringes_argument, read_options, read_regimen_of

if TYPE_CHECKING:
    from fillcards.readback.model import Difference, Reading

NOT_COMPARED = "sentences without a number, a name or an order; words that only screen readers hear; a code to scan"
HELP = "read a finished card back and say what its marks mean"
EXAMPLES = (
    "fillcards measure card.pdf",
    "fillcards measure card.pdf --against regimen.yaml",
    "fillcards measure --json card.pdf",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``measure`` takes."""
    parser.add_argument("card", metavar="CARD", help="the finished card, a PDF; - for standard input")
    parser.add_argument(
        "--against",
        dest="file",
        metavar="FILE",
        help="the regimen file the card should say; where it does not, every difference is listed",
    )
    add_syringes_argument(parser)
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Read the card; refuse it if it is faulty or differs from the regimen."""
    from fillcards.readback.telling import list_faults

    if arguments.card == arguments.file == "-":
        raise UsageError('"-" can be used for one file only: standard input is read once')
    differences = None
    if arguments.file is None:
        reading = _read_card(arguments.card, streams)
    else:
        from fillcards.readback.compare import compare_with_regimen

        options = read_options(arguments, streams)
        with name_file(arguments.file):
            regimen = read_regimen_of(arguments.file, options, streams)
        reading = _read_card(arguments.card, streams)
        differences = compare_with_regimen(reading, regimen)
    _report(reading, differences, arguments, streams)
    return ExitCode.REFUSED if differences or list_faults(reading) else ExitCode.DONE


def _read_card(file_name: str, streams: Streams) -> Reading:
    from fillcards.readback.foreign import LARGEST_FILE_BYTES, measure_foreign_pdf
    from fillcards.readback.model import UnreadableCard

    data = streams.read_bytes(file_name, LARGEST_FILE_BYTES)
    try:
        return measure_foreign_pdf(data)
    except UnreadableCard as error:
        raise OutputError(f"{file_name}: cannot be read as a card: {error}") from None


def _report(
    reading: Reading, differences: tuple[Difference, ...] | None, arguments: argparse.Namespace, streams: Streams
) -> None:
    from fillcards.readback.telling import describe_reading, tell_reading

    if arguments.json:
        answer: dict[str, Any] = {"card": arguments.card, **describe_reading(reading)}
        if differences is not None:
            answer["against"] = arguments.file
            answer["differences"] = [
                {"page": each.page, "what": each.what, "read": each.read, "meant": each.meant} for each in differences
            ]
        streams.say_json(answer)
        return
    first, *more = tell_reading(reading).split("\n")
    streams.say(f"{arguments.card}: {first}", *more)
    if differences:
        streams.say(f"{arguments.card} does not say what {arguments.file} means:")
        for difference in differences:
            streams.say(f"  {difference}")
    elif differences is not None:
        streams.say(f"{arguments.card} says what {arguments.file} means")
        streams.say(f"  not compared: {NOT_COMPARED}")
