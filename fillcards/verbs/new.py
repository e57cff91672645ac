"""``new``: a starter regimen or roster, or the file for a card that replaces an older one; or the list of starters.

Of a starter everything invented is left blank. Of an older file everything is kept but the review, which is left blank,
and the card that the new one replaces is written in.
"""

from __future__ import annotations

import argparse
import csv
import io
from collections.abc import Iterator
from pathlib import Path

from fillcards.options import Options
from fillcards.plan.replacing import blank_values, write_successor
from fillcards.regimen.fingerprint import is_check_stale
from fillcards.regimen.starters import ROSTER, find_starters
from fillcards.strict_text import LARGEST_FILE_BYTES
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence, decode_text, read_tree
from fillcards.verbs.answers import ExitCode, Streams, UsageError
from fillcards.verbs.arguments import read_older, read_syringes_of, require_not_an_input, write_new

# Of a starter, what is invented beside the doses; of a medicine that is kind: other, more of it is.
_INVENTED = {
    "patient": ("name", "born", "second_identifier"),
    "syringe": ("scale_length",),
    "contacts": ("phone",),
    "review": ("date", "ask_again_by"),
}
_INVENTED_OF_MEDICINE = ("opened", "expires", "use_within")
_INVENTED_OF_OTHER = ("name", "strength", "on_the_label")
_ROSTER_TITLE = "A table with one fill a row, for fillcards batch."


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """List the starters, or write one, or the successor of an older file."""
    if arguments.older is not None:
        return _run_from(arguments, streams)
    starters = find_starters()
    if arguments.name is None:
        return _list_starters(starters, streams, as_json=arguments.json)
    if arguments.json:
        raise UsageError("--json lists the starters and goes with no NAME")
    if arguments.name not in starters:
        raise UsageError(f'there is no starter "{arguments.name}"; there are: {", ".join(starters)}')
    if arguments.output is None:
        raise UsageError("say where to write the starter: -o FILE, or -o - for standard output")
    blank = blank_starter if arguments.name != ROSTER else blank_roster
    text = blank(starters[arguments.name].read_text(encoding="utf-8"))
    then = "batch {} -o DIR" if arguments.name == ROSTER else "check {}"
    return _write(text, arguments.output, f"Fill in what is blank, then: fillcards {then}", streams)


def _run_from(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    if arguments.name is not None or arguments.json:
        raise UsageError("--from copies an older file and goes with neither a NAME nor --json")
    if arguments.output is None:
        raise UsageError("say where to write the new file: -o FILE, or -o - for standard output")
    if arguments.older == "-":
        raise UsageError("--from reads the older file twice: name a file")
    require_not_an_input(Path(arguments.output), arguments)
    scales, _ = read_syringes_of(arguments, streams)
    older = read_older(arguments.older, Options(scales=scales), streams)
    if is_check_stale(older):
        streams.warn(
            f"{arguments.older}: checked as {older.review.checked_code}, and changed since, or our words were: compare "
            "its lines with the card that the patient has"
        )
    text = decode_text(streams.read_bytes(arguments.older, LARGEST_FILE_BYTES))
    then = "Change the doses, fill in the review, then: fillcards check {} --replacing " + arguments.older
    return _write(write_successor(text, older, scales), arguments.output, then, streams)


def read_title(path: Path) -> str:
    """What a starter is for: its first line, a comment; a table has none."""
    if path.stem == ROSTER:
        return _ROSTER_TITLE
    return path.read_text(encoding="utf-8").partition("\n")[0].lstrip("# ").strip()


def blank_starter(text: str) -> str:
    """The same text with every dose and everything invented taken out; all else, comments too, stays as it is."""
    values = tuple(_list_values(read_tree(text), ()))
    others = {path[1] for path, value in values if path[0] == "medicines" and value.text == "other"}
    return blank_values(text, tuple(value for path, value in values if _is_invented(path, others)))


def _list_values(node: Node, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], TextScalar]]:
    """Every value that is given, and the keys that lead to it."""
    if isinstance(node, TextMapping):
        for key, value in node.entries:
            yield from _list_values(value, (*path, key.text))
    elif isinstance(node, TextSequence):
        for item in node.items:
            yield from _list_values(item, path)
    elif node.text:
        yield path, node


def _is_invented(path: tuple[str, ...], others: set[str]) -> bool:
    """Whether it is a dose, or made up; ``others`` are the medicines that are not in the catalogue."""
    match path:
        case (section, key):
            return key in _INVENTED.get(section, ())
        case ("medicines", medicine, key):
            return key in _INVENTED_OF_MEDICINE or (medicine in others and key in _INVENTED_OF_OTHER)
        case _:
            return path[:2] == ("fills", "draw")


def blank_roster(text: str) -> str:
    """The same table with the doses of its example rows and everything else invented taken out."""
    header, *rows = csv.reader(io.StringIO(text))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    for row in rows:
        cells = dict(zip(header, row, strict=True))
        writer.writerow(["" if _is_invented_column(name, cells) else cell for name, cell in cells.items()])
    return out.getvalue()


def _is_invented_column(name: str, cells: dict[str, str]) -> bool:
    section, _, key = name.rpartition(".")
    if section.startswith("medicine"):
        is_other = cells.get(f"{section}.kind") == "other"
        return key in {"dose", *_INVENTED_OF_MEDICINE} or (is_other and key in _INVENTED_OF_OTHER)
    return key in _INVENTED.get(section, ()) or name in {"contact.phone", "prescription"}


def _list_starters(starters: dict[str, Path], streams: Streams, *, as_json: bool) -> ExitCode:
    titles = {name: read_title(path) for name, path in starters.items()}
    if as_json:
        streams.say_json({"starters": [{"name": name, "title": title} for name, title in titles.items()]})
    else:
        width = max(map(len, titles))
        for name, title in titles.items():
            streams.say(f"{name:{width}}  {title}")
    return ExitCode.DONE


def _write(text: str, name: str, then: str, streams: Streams) -> ExitCode:
    """Write the text; ``then`` says what to do, {} standing for the file."""
    write_new(text, name, streams)
    if name != "-":
        streams.say(f"{name}: written. {then.replace('{}', name)}")
    return ExitCode.DONE
