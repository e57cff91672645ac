"""``make``: the card of one regimen, as one PDF or one picture a page."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from fillcards.verbs.answers import ExitCode, Streams, UsageError, describe_problems, name_file
from fillcards.verbs.inputs import add_json_argument, add_regimen_argument, read_options, read_regimen_of

if TYPE_CHECKING:
    from fillcards.pipeline import Options, PlacedRegimen

HELP = "make the card"
EXAMPLES = (
    "fillcards make regimen.yaml -o card.pdf",
    "fillcards make regimen.yaml -o card.png",
    "fillcards make regimen.yaml --replacing older.yaml -o card.pdf",
    "fillcards make --json regimen.yaml -o card.pdf",
)

PROMISED_FORMS = ("staple", "tactile")
"""Forms that the program is to have and does not make yet: they get an answer of their own."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``make`` takes."""
    parser.add_argument(
        "-o",
        "--output",
        metavar="OUT",
        required=True,
        help="where to write; the ending picks pdf, svg or png, several pages as svg or png become OUT-1, OUT-2 ...; "
        "- writes the PDF to standard output",
    )
    parser.add_argument("--as", dest="form", metavar="FORM", default="fridge", help="the form of the card: fridge")
    parser.add_argument(
        "--replacing",
        metavar="FILE",
        help="the regimen of the card that this one replaces: the new card names the old one's code, and every change "
        "is listed",
    )
    add_regimen_argument(parser)
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Make the card and say what was made."""
    from fillcards.pipeline import Ending, place_regimen, write_pages
    from fillcards.verbs.outputs import choose_ending, choose_paths, write_results

    _require_form(arguments.form)
    ending = choose_ending(arguments.output, Ending.PDF)
    if arguments.output == "-" and arguments.json:
        raise UsageError("--json and the card cannot both go to standard output: name a file after -o")
    options = read_options(arguments, streams)
    regimen = read_regimen_of(arguments.file, options, streams)
    with name_file(arguments.file):
        made = place_regimen(regimen, options)
    page_count = 1 if ending is Ending.PDF else len(made.placed.pages)
    paths = choose_paths(page_count, arguments)
    write_results(write_pages(made, ending), paths, streams)
    _report(made, paths, _list_changes(made, options), arguments, streams)
    return ExitCode.DONE


def _require_form(form: str) -> None:
    from fillcards.pipeline import Form

    known = ", ".join(each.value for each in Form)
    if form in PROMISED_FORMS:
        raise UsageError(f"--as {form}: this version does not make it yet; it makes: {known}")
    if form not in {each.value for each in Form}:
        raise UsageError(f'--as: there is no form "{form}"; there are: {known}')


def _list_changes(made: PlacedRegimen, options: Options) -> list[str]:
    if options.replaces is None:
        return []
    from fillcards.pipeline import list_changes
    from fillcards.wording.english.changes import write_all_changes

    return list(write_all_changes(list_changes(options.replaces, made.regimen)))


def _report(
    made: PlacedRegimen, paths: tuple[Path, ...], changes: list[str], arguments: argparse.Namespace, streams: Streams
) -> None:
    from fillcards.verbs.check import describe_card, write_code, write_page_counts

    if arguments.json:
        answer = describe_problems(arguments.file, made.problems) | describe_card(made)
        streams.say_json(answer | {"written": [str(path) for path in paths], "changes": changes})
        return
    streams.warn_problems(made.problems, arguments.file)
    # Beside a card on standard output, only standard error is free for words.
    say = streams.say if paths else streams.warn
    name = " to ".join(str(path) for path in dict.fromkeys((paths[0], paths[-1]))) if paths else "standard output"
    say(f"{name}: written\n  card code  {write_code(made)}\n  pages      {write_page_counts(made)}")
    for change in changes:
        say(f"  changed    {change}")
