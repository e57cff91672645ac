"""``measure``: read a finished card back and say what its marks mean; or compare it with its regimen."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from fillcards.problems import OutputError
from fillcards.quantities import write_number
from fillcards.verbs.answers import ExitCode, Streams, UsageError, count_words
from fillcards.verbs.inputs import add_json_argument, add_syringes_argument, read_options, read_regimen_of

if TYPE_CHECKING:
    from fillcards.readback.measure import Barrel, Measured

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
        help="the regimen file the card should say; where it does not, every sentence that differs is listed",
    )
    add_syringes_argument(parser)
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Read the card; refuse it if it is faulty or differs from the regimen."""
    if arguments.card == arguments.file == "-":
        raise UsageError('"-" can stand for one file only: standard input is read once')
    text, syringes = None, None
    if arguments.file is not None:
        options = read_options(arguments, streams)
        text, syringes = read_regimen_of(arguments.file, options, streams).text, options.syringes_text
    measured = _read_card(arguments.card, text, syringes, streams)
    _report(measured, arguments, streams)
    return ExitCode.REFUSED if measured.differences or measured.faults else ExitCode.DONE


def _read_card(file_name: str, text: str | None, syringes: str | None, streams: Streams) -> Measured:
    from fillcards.readback.foreign import LARGEST_FILE_BYTES, measure_foreign_pdf
    from fillcards.readback.model import UnreadableCard

    data = streams.read_bytes(file_name, LARGEST_FILE_BYTES)
    try:
        return measure_foreign_pdf(data, text, syringes)
    except UnreadableCard as error:
        raise OutputError(f"{file_name}: cannot be read as a card: {error}") from None


def _report(measured: Measured, arguments: argparse.Namespace, streams: Streams) -> None:
    if arguments.json:
        streams.say_json(_describe(measured, arguments))
        return
    streams.say(f"{arguments.card}: {measured.title}, {count_words(len(measured.sides), 'side')}")
    for number, side in enumerate(measured.sides, start=1):
        for barrel in side.barrels:
            streams.say(f"  side {number}: {_write_barrel(barrel)}")
    if measured.faults:
        streams.say("Not everything on it looks as it reads:", *(f"  {fault}" for fault in measured.faults))
    if measured.differences:
        streams.say(f"{arguments.card} does not say what {arguments.file} means:")
        streams.say(*(f"  {difference}" for difference in measured.differences))
    elif measured.differences is not None:
        streams.say(f"{arguments.card} says what {arguments.file} means")


def _write_barrel(barrel: Barrel) -> str:
    wedges = ", ".join(f"{value:.2f}" for value in barrel.wedges)
    scale = f"a barrel to {write_number(barrel.last)} with a line every {write_number(barrel.line_every)}"
    return f"{scale}: the stopper's edge stands at {barrel.edge:.2f}, and an arrow points at {wedges or 'nothing'}"


def _describe(measured: Measured, arguments: argparse.Namespace) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "card": arguments.card,
        "title": measured.title,
        "faults": list(measured.faults),
        "sides": [
            {
                "words": list(side.words),
                "barrels": [
                    {
                        "last_line": write_number(barrel.last),
                        "line_every": write_number(barrel.line_every),
                        "edge": round(barrel.edge, 3),
                        "arrows": [round(value, 3) for value in barrel.wedges],
                    }
                    for barrel in side.barrels
                ],
            }
            for side in measured.sides
        ],
    }
    if measured.differences is not None:
        answer |= {"against": arguments.file, "differences": list(measured.differences)}
    return answer
