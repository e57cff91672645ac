"""``measure``: read a finished card back and say what its marks mean; or compare it with its regimen."""

from __future__ import annotations

import argparse
from typing import Any

from fillcards.options import Form
from fillcards.problems import OutputError
from fillcards.quantities import write_number
from fillcards.readback.foreign import LARGEST_FILE_BYTES, Barrel, Meaning, compare_foreign, measure_foreign
from fillcards.readback.gate import Making
from fillcards.readback.model import UnreadableCard
from fillcards.verbs.answers import ExitCode, Streams, UsageError, count_words, name_file
from fillcards.verbs.arguments import read_options, read_regimen_of


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Read the card; refuse it if it is faulty or differs from the regimen."""
    if arguments.card == arguments.file == "-":
        raise UsageError('"-" can stand for one file only: standard input is read once')

    differences = None
    source = None if arguments.file is None else _read_source(arguments, streams)
    data = streams.read_bytes(arguments.card, LARGEST_FILE_BYTES)
    try:
        meaning = measure_foreign(data)
        if source is not None:
            differences = _compare(data, meaning, *source)
    except UnreadableCard as error:
        raise OutputError(f"{arguments.card}: cannot be read as a card: {error}") from None
    if arguments.json:
        streams.say_json(_describe(meaning, differences, arguments))
    else:
        _tell(meaning, differences, arguments, streams)
    return ExitCode.REFUSED if differences or any(side.faults for side in meaning.sides) else ExitCode.DONE


def _read_source(arguments: argparse.Namespace, streams: Streams) -> tuple[str, str | None]:
    """The text of the regimen file, which must be readable, and of the user's own syringes."""
    options = read_options(arguments, streams)
    with name_file(arguments.file):
        return read_regimen_of(arguments.file, options, streams).text, options.syringes_text


def _compare(data: bytes, meaning: Meaning, text: str, syringes: str | None) -> tuple[str, ...]:
    """The differences in the form that fits: a card does not say which it is."""
    # Raised pages have no stopper: their stops are lines to be felt. Nor have barrels to draw on; a log has no barrel.
    has_stopper = any(barrel.edge is not None for side in meaning.sides for barrel in side.barrels)
    forms = (Form.FRIDGE, Form.SMALL) if has_stopper else (Form.RAISED, Form.TEACHING, Form.LOG)
    found: list[tuple[str, ...]] = []
    for form in forms:
        found.append(compare_foreign(data, text, Making(form.value), syringes))
        if not found[-1]:
            break
    return min(found, key=len)


def _tell(
    meaning: Meaning, differences: tuple[str, ...] | None, arguments: argparse.Namespace, streams: Streams
) -> None:
    streams.say(f"{arguments.card}: {meaning.title}, {count_words(len(meaning.sides), 'side')}")
    for side in meaning.sides:
        streams.say(*(f"  side {side.number}: {_write_barrel(barrel)}" for barrel in side.barrels))
        streams.say(*(f"  side {side.number}: fault: {fault}" for fault in side.faults))
    if differences:
        streams.say(f"{arguments.card} does not say what {arguments.file} means:")
        streams.say(*(f"  {difference}" for difference in differences))
    elif differences is not None:
        streams.say(f"{arguments.card} says what {arguments.file} means")


def _write_barrel(barrel: Barrel) -> str:
    edge = "no stopper" if barrel.edge is None else f"the stopper's edge stands at {barrel.edge:.2f}"
    filled = "".join(f"; {filling} from {start:.1f} to {end:.1f}" for filling, start, end in barrel.portions)
    return f"a barrel from {write_number(barrel.first)} to {write_number(barrel.last)}: {edge}{filled}"


def _describe(meaning: Meaning, differences: tuple[str, ...] | None, arguments: argparse.Namespace) -> dict[str, Any]:
    sides = [
        {
            "side": side.number,
            "words": list(side.words),
            "faults": list(side.faults),
            "barrels": [
                {
                    "first_line": write_number(barrel.first),
                    "last_line": write_number(barrel.last),
                    "edge": None if barrel.edge is None else round(barrel.edge, 3),
                    "portions": [
                        {"filling": filling, "from": round(start, 3), "to": round(end, 3)}
                        for filling, start, end in barrel.portions
                    ],
                }
                for barrel in side.barrels
            ],
        }
        for side in meaning.sides
    ]
    answer: dict[str, Any] = {"card": arguments.card, "title": meaning.title, "sides": sides}
    if differences is not None:
        answer |= {"against": arguments.file, "differences": list(differences)}
    return answer
