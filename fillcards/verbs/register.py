"""``register``: which cards were made and given, which are valid, replaced or ended; as text, JSON or a table."""

from __future__ import annotations

import argparse
from pathlib import Path

from fillcards.files import FinishedFile, write_files
from fillcards.problems import OutputError
from fillcards.register import CardState, Register, find_cards, list_cards, write_csv
from fillcards.verbs.answers import ExitCode, Streams, UsageError, count_words
from fillcards.verbs.arguments import require_not_an_input


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """List the cards, or verify the chain of lines."""
    path = Path(arguments.file)
    if not path.is_file():
        raise OutputError(f"{path}: there is no register")
    if arguments.verify and (arguments.find or arguments.csv):
        raise UsageError("--verify goes alone")
    if arguments.hash and not arguments.verify:
        raise UsageError("--hash goes with --verify")
    register = Register(path)
    if arguments.verify:
        return _verify(register, arguments, streams)
    cards = list_cards(register.read())
    if arguments.find:
        cards = tuple(find_cards(cards, arguments.find))
    if arguments.csv:
        return _write_table(write_csv(cards), arguments, streams)
    if arguments.json:
        streams.say_json({"register": arguments.file, "cards": [_describe(card) for card in cards]})
        return ExitCode.DONE
    for card in cards:
        streams.say(f"{card.code}  {card.now}  {card.whose}", *(f"      {fill}" for fill in card.fills))
        streams.say(*(f"      {told}" for told in _tell(card)))
    streams.say(f"{count_words(len(cards), 'card')} in {path}")
    return ExitCode.DONE


def _verify(register: Register, arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    lines, fault = register.read(), register.find_fault()
    count, head = len(lines), lines[-1].hash if lines else ""
    asked = "".join((arguments.hash or "").split()).lower()
    bearer = next((line.number for line in lines if line.hash == asked), None)
    if arguments.json:
        answer = {"register": arguments.file, "lines": count, "whole": fault is None, "head": head}
        streams.say_json(answer | ({"hash_is_of_line": bearer} if asked else {}))
    elif fault is None:
        streams.say(f"{arguments.file}: {count_words(count, 'line')}, none altered or taken out", f"  head  {head}")
        if bearer:
            streams.say(f"  line {bearer} has this hash: it and all before it are as when the sheet was printed")
    if asked and fault is None and bearer is None:
        fault = "no line has this hash: lines from before the sheet was printed were altered, or it is another register"
    if fault is not None:
        streams.warn(f"{arguments.file}: {fault}")
        return ExitCode.REFUSED
    return ExitCode.DONE


def _write_table(table: str, arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    if arguments.csv == "-":
        streams.stdout.write(table)
        return ExitCode.DONE
    require_not_an_input(Path(arguments.csv), arguments)
    write_files((FinishedFile(Path(arguments.csv), table.encode("utf-8")),))
    streams.say(f"{arguments.csv}: written")
    return ExitCode.DONE


def _tell(card: CardState) -> tuple[str, ...]:
    made, given, ended = card.made[-1] if card.made else None, card.given, card.ended
    ruler = ", print measured with a ruler" if given and given.details.get("ruler") else ""
    told = (
        f"made {made.at} as {made.details['form']}" if made else "",
        f"given {given.at} to {given.details['to']} by {given.by}{ruler}" if given else "",
        f"replaces {card.replaces[:4]}" if card.replaces else "",
        f"ended {ended.at} by {ended.by}" if ended else "",
        f"its paper {card.paper}" if card.paper else "",
        *(f"mended {line.at} by {line.by}: {line.details['reason']}" for line in card.mended),
        card.check,
    )
    return tuple(filter(None, told))


def _describe(card: CardState) -> dict[str, object]:
    return {
        "card": card.code,
        "fingerprint": card.fingerprint,
        "for": card.whose,
        "identifiers": list(card.identifiers),
        "fills": list(card.fills),
        "made": [line.at for line in card.made],
        "given": card.given.at if card.given else None,
        "to": card.given.details["to"] if card.given else None,
        "check": card.check,
        "replaces": card.replaces or None,
        "now": card.now,
        "ended": card.ended.at if card.ended else None,
        "paper": card.paper or None,
        "mended": [line.details["reason"] for line in card.mended],
        "file": card.file,
    }
