"""``new``: a starter regimen or roster with its doses left blank, or the list of starters."""

from __future__ import annotations

import argparse
import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from fillcards.problems import OutputError
from fillcards.verbs.answers import ExitCode, Streams, UsageError
from fillcards.verbs.inputs import add_json_argument

if TYPE_CHECKING:
    from fillcards.strict_yaml import Node, TextScalar

HELP = "write a starter regimen or roster, its doses left blank; without a name: list the starters"
EXAMPLES = (
    "fillcards new",
    "fillcards new two-insulins-twice-a-day -o my-regimen.yaml",
    "fillcards new roster -o my-roster.csv",
)
ROSTER = "roster"
_ROSTER_TITLE = "A table with a card a row, for fillcards batch."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``new`` takes."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="a starter from the list")
    parser.add_argument("-o", "--output", metavar="FILE", help="where to write it; - for standard output")
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """List the starters, or write one."""
    starters = find_starters()
    if arguments.name is None:
        return _list_starters(starters, streams, as_json=arguments.json)
    if arguments.json:
        raise UsageError("--json lists the starters and goes with no NAME")
    if arguments.name not in starters:
        raise UsageError(f'there is no starter "{arguments.name}"; there are: {", ".join(starters)}')
    if arguments.output is None:
        raise UsageError("say where to write the starter: -o FILE, or -o - for standard output")
    blank = blank_doses if arguments.name != ROSTER else blank_roster
    text = blank(starters[arguments.name].read_text(encoding="utf-8"))
    if arguments.output == "-":
        streams.stdout.write(text)
        return ExitCode.DONE
    path = _write_starter(text, arguments.output)
    then = f"batch {path} -o DIR" if arguments.name == ROSTER else f"check {path}"
    streams.say(f"{path}: written. Fill in the doses, then: fillcards {then}")
    return ExitCode.DONE


def find_starters() -> dict[str, Path]:
    """The starters by name, in alphabetical order.

    Raises:
        OutputError: the installation lacks them.
    """
    package = Path(__file__).parent.parent
    # An installed package has its own copy; a checkout has the folder beside the package.
    for folder in (package / "templates_yaml", package.parent / "templates_yaml"):
        if found := sorted((*folder.glob("*.yaml"), *folder.glob(f"{ROSTER}.csv"))):
            return {path.stem: path for path in found}
    raise OutputError("the starters are missing from this installation; install Fillcards again")


def read_title(path: Path) -> str:
    """What a starter is for: its first line, a comment; a table has none."""
    if path.stem == ROSTER:
        return _ROSTER_TITLE
    return path.read_text(encoding="utf-8").partition("\n")[0].lstrip("# ").strip()


def blank_doses(text: str) -> str:
    """The same text with every dose under ``fills`` taken out; all else, comments too, stays as it is."""
    from fillcards.strict_yaml import read_tree

    tree = read_tree(text)
    lines = text.split("\n")
    # From the end, so that the columns found still hold.
    for dose in sorted(_list_doses(tree), key=lambda scalar: scalar.place, reverse=True):
        line, column = dose.place.line - 1, dose.place.column - 1
        before, after = lines[line][:column], lines[line][column:]
        for written in (f'"{dose.text}"', f"'{dose.text}'", dose.text):
            if after.startswith(written):
                lines[line] = (before + after.removeprefix(written)).rstrip()
                break
    return "\n".join(lines)


def blank_roster(text: str) -> str:
    """The same table with its example rows' doses taken out."""
    header, *rows = csv.reader(io.StringIO(text))
    blanked = [["" if name.endswith(".dose") else cell for name, cell in zip(header, row, strict=True)] for row in rows]
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows((header, *blanked))
    return out.getvalue()


def _list_doses(tree: Node) -> Iterator[TextScalar]:
    from fillcards.strict_yaml import TextMapping, TextScalar, TextSequence

    fills = tree.find_value("fills") if isinstance(tree, TextMapping) else None
    if not isinstance(fills, TextSequence):
        return
    for fill in fills.items:
        draw = fill.find_value("draw") if isinstance(fill, TextMapping) else None
        if isinstance(draw, TextMapping):
            yield from (dose for _, dose in draw.entries if isinstance(dose, TextScalar))


def _list_starters(starters: dict[str, Path], streams: Streams, *, as_json: bool) -> ExitCode:
    titles = {name: read_title(path) for name, path in starters.items()}
    if as_json:
        streams.say_json({"starters": [{"name": name, "title": title} for name, title in titles.items()]})
    else:
        width = max(map(len, titles))
        for name, title in titles.items():
            streams.say(f"{name:{width}}  {title}")
    return ExitCode.DONE


def _write_starter(text: str, name: str) -> Path:
    from fillcards.files import FinishedFile, write_files

    path = Path(name)
    if path.exists():
        raise OutputError(f"{name}: exists already, and a starter never takes the place of a file; name another")
    write_files((FinishedFile(path, text.encode("utf-8")),))
    return path
