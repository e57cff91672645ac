"""``make``: the card of one regimen, as one PDF, one picture a page, a page for a screen reader, text or sound."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fillcards.verbs.answers import ExitCode, Streams, UsageError, describe_problems, name_file
from fillcards.verbs.inputs import (
    add_json_argument,
    add_regimen_argument,
    add_replacing_argument,
    read_form,
    read_options,
    read_regimen_of,
)
from fillcards.verbs.small_options import add_small_arguments, read_small_options
from fillcards.verbs.touch_options import add_touch_arguments, read_touch_options

if TYPE_CHECKING:
    from fillcards.options import Ending, Form
    from fillcards.pipeline import PlacedRegimen

HELP = "make the card"
EXAMPLES = (
    "fillcards make regimen.yaml -o card.pdf",
    "fillcards make regimen.yaml -o card.png",
    "fillcards make regimen.yaml -o card.html",
    "fillcards make regimen.yaml --replacing older.yaml -o card.pdf",
    "fillcards make regimen.yaml --as raised -o raised.pdf",
    "fillcards make regimen.yaml --as small --size a6 --n-up a4 -o cards.pdf",
    "fillcards make regimen.yaml --braille contracted -o card.brf",
    "fillcards make --json regimen.yaml -o card.pdf",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``make`` takes."""
    parser.add_argument(
        "-o",
        "--output",
        metavar="OUT",
        required=True,
        help="where to write; the ending picks: pdf; svg or png, one file a page, numbered and with the card code in "
        "the name; html, for screen readers and large screens; txt, for a phone; wav, spoken, one file a fill; brf, "
        "braille. The maker's page is in pdf, svg and png only. - writes the PDF to standard output",
    )
    parser.add_argument(
        "--as",
        dest="form",
        metavar="FORM",
        default="fridge",
        help="the form of the card: fridge, small (to staple to a prescription) or raised (to read by touch)",
    )
    add_replacing_argument(parser)
    parser.add_argument(
        "--scan-code",
        action="store_true",
        help="end each fill with a code for a phone to scan: it shows page one without the name and needs no network",
    )
    add_touch_arguments(parser)
    add_small_arguments(parser)
    add_regimen_argument(parser)
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Make the card and say what was made."""
    from fillcards.finishing import count_files, write_pages
    from fillcards.options import Ending
    from fillcards.pipeline import place_regimen
    from fillcards.regimen.fingerprint import compute_card_code
    from fillcards.verbs.outputs import choose_ending, choose_paths, list_other_sets, write_results

    form = read_form(arguments)
    ending = choose_ending(arguments.output, Ending.PDF)
    _require_pages(form, ending)
    touch = read_touch_options(arguments, form, ending)
    small = read_small_options(arguments, form)
    if arguments.output == "-" and arguments.json:
        raise UsageError("--json and the card cannot both go to standard output: name a file after -o")
    options = replace(
        read_options(arguments, streams),
        form=form,
        has_scan_code=arguments.scan_code,
        touch=touch,
        small=small,
    )
    regimen = read_regimen_of(arguments.file, options, streams)
    with name_file(arguments.file):
        made = place_regimen(regimen, options)
    paths = choose_paths(count_files(made, ending), compute_card_code(regimen), arguments)
    with name_file(arguments.file):
        contents = write_pages(made, ending)
    write_results(contents, paths, streams)
    if len(paths) > 1 and (others := list_other_sets(paths, Path(arguments.output))):
        streams.warn(
            f"{arguments.output}: pages from an earlier run are in its folder; do not print them: {', '.join(others)}"
        )
    _report(made, paths, _list_changes(made), arguments, streams)
    return ExitCode.DONE


def _require_pages(form: Form, ending: Ending) -> None:
    """Raised pages and small cards are pages; what speaks or is braille is a file that holds the whole card."""
    from fillcards.options import PICTURE_ENDINGS, Form

    if form is not Form.FRIDGE and ending not in PICTURE_ENDINGS:
        known = ", ".join(f".{kind.value}" for kind in PICTURE_ENDINGS)
        raise UsageError(f"--as {form.value} makes pages: {known}; leave it out to make .{ending.value}")


def _list_changes(made: PlacedRegimen) -> list[str]:
    from fillcards.plan.replacing import compare_replaced
    from fillcards.wording.english.changes import write_all_changes

    return list(write_all_changes(compare_replaced(made.plan)))


def _report(
    made: PlacedRegimen, paths: tuple[Path, ...], changes: list[str], arguments: argparse.Namespace, streams: Streams
) -> None:
    from fillcards.options import PICTURE_ENDINGS, Ending
    from fillcards.verbs.check import describe_card, write_code, write_page_counts
    from fillcards.verbs.outputs import choose_ending

    if arguments.json:
        answer = describe_problems(arguments.file, made.problems) | describe_card(made)
        raised = _count_raised(made)
        answer |= {"raised_pages": {"plain": raised[0], "raised": raised[1]}} if made.raised else {}
        streams.say_json(answer | {"written": [str(path) for path in paths], "changes": changes})
        return
    streams.warn_problems(made.problems, arguments.file)
    # Beside a card on standard output, only standard error is free for words.
    say = streams.say if paths else streams.warn
    name = " to ".join(str(path) for path in dict.fromkeys((paths[0], paths[-1]))) if paths else "standard output"
    say(f"{name}: written", f"  card code  {write_code(made)}")
    if choose_ending(arguments.output, Ending.PDF) in PICTURE_ENDINGS:
        say(f"  pages      {_write_raised_counts(made) if made.raised else write_page_counts(made)}")
    for change in changes:
        say(f"  changed    {change}")


def _count_raised(made: PlacedRegimen) -> tuple[int, int]:
    """Pages that stay flat, and pages to be read by touch."""
    pages = made.raised.pages if made.raised else ()
    plain = sum(page.is_makers for page in pages)
    return plain, len(pages) - plain


def _write_raised_counts(made: PlacedRegimen) -> str:
    plain, raised = _count_raised(made)
    return f"{plain + raised}: 1 to {plain} on plain paper, {plain + 1} to {plain + raised} to be read by touch"
