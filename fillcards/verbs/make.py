"""``make``: the card of one regimen, as one PDF, one picture a page, a page for a screen reader, text or sound.

An option that the wanted form has no use for is refused: the user expects it to change something.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import Final

from fillcards.options import PICTURE_ENDINGS, Ending, Form, TouchOptions
from fillcards.output.printer import find_program, print_jobs
from fillcards.picture.tactile_style import SWELL_GROWTH_MM, Medium, TactileStyle
from fillcards.pipeline import PlacedRegimen, list_files, list_print_jobs, place_regimen, write_pages
from fillcards.problems import OutputError
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint
from fillcards.verbs.answers import ExitCode, Streams, UsageError, describe_problems, name_file
from fillcards.verbs.arguments import (
    choose,
    choose_ending,
    choose_paths,
    list_other_sets,
    read_form,
    read_options,
    read_regimen_of,
    read_small_options,
    refuse_useless,
    write_results,
)
from fillcards.verbs.changes import list_changes
from fillcards.verbs.check import describe_card, write_code, write_page_counts
from fillcards.wording.braille import BraillePaper, Contraction

SMALL_PRINT: Final = (
    "  print at   actual size (100 %). Small cards have no staff sheet: print a fridge card in the same way and "
    "measure the bar on its staff sheet."
)
_RAISED_ONLY = ("medium", "growth", "large_cell", "raised_digits")
_BRF_ONLY = ("cells", "lines")


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Make the card and say what was made."""
    form = read_form(arguments)
    ending = _choose_what(arguments, form)
    touch = read_touch_options(arguments, form, ending)
    small = read_small_options(arguments, form)
    if arguments.output == "-" and arguments.json:
        raise UsageError("--json and the card cannot both go to standard output: name a file after -o")
    is_printed = arguments.printer is not None
    if is_printed:
        find_program()
    options = read_options(arguments, streams)._replace(form=form, touch=touch, small=small)
    regimen = read_regimen_of(arguments.file, options, streams)
    if arguments.register:
        from fillcards.register import Register, find_card, find_keeping

        register = Register(Path(arguments.register))
        card = find_card(register.read(), compute_fingerprint(regimen))
        if card is not None and card.is_over:
            streams.warn(f"{arguments.file}: card {card.code} is {card.now}. It is not made again.")
            return ExitCode.REFUSED
        options = options._replace(keeping=find_keeping(register, regimen))
    with name_file(arguments.file):
        made = place_regimen(regimen, options, is_for_print=ending in PICTURE_ENDINGS)
    code = compute_card_code(regimen)
    paths = choose_paths(list_files(made, ending), code, arguments) if arguments.output else ()
    with name_file(arguments.file):
        contents = write_pages(made, ending)
    if options.keeping is not None:
        from fillcards.register import add_made, say_check

        # Before the card: none leaves without its line.
        name, check = Path(arguments.file).name if arguments.file != "-" else "", say_check(regimen, options.keeping)
        add_made(register, regimen, f"{form.value} {ending.value}", name, check=check)
    if arguments.output:
        write_results(contents, paths, streams)
    if len(paths) > 1 and (others := list_other_sets(paths, Path(arguments.output))):
        streams.warn(f"{arguments.output}: pages made earlier stand beside it; do not print them: {', '.join(others)}")
    try:
        jobs = list_print_jobs(contents[0], options) if is_printed else ()
        printed = print_jobs(contents[0], jobs, arguments.printer or "", f"Fill card {code}")
    except OutputError as error:
        raise OutputError(f"{error}; {paths[0]} is written" if paths else str(error)) from None
    _report(made, paths, printed, arguments, streams)
    return ExitCode.DONE


def _choose_what(arguments: argparse.Namespace, form: Form) -> Ending:
    """By the name after ``-o``; what is only printed is a PDF.

    All forms but the fridge card are pages; what speaks or is braille is a file that holds the whole card.
    """
    if arguments.output is None and arguments.printer is None:
        raise UsageError("name the card after -o, or print it with --print")
    ending = Ending.PDF if arguments.output is None else choose_ending(arguments.output, Ending.PDF)
    if arguments.printer is not None and ending is not Ending.PDF:
        raise UsageError(f"--print prints a PDF: name a .pdf after -o, or leave it out, in place of .{ending.value}")
    if form is not Form.FRIDGE and ending not in PICTURE_ENDINGS:
        known = ", ".join(f".{kind.value}" for kind in PICTURE_ENDINGS)
        raise UsageError(f"--as {form.value} makes pages: {known}; leave it out to make .{ending.value}")
    return ending


def _report(
    made: PlacedRegimen,
    paths: tuple[Path, ...],
    printed: tuple[str, ...],
    arguments: argparse.Namespace,
    streams: Streams,
) -> None:
    if arguments.json:
        answer = describe_problems(arguments.file, made.problems) | describe_card(made)
        written = {"written": [str(path) for path in paths], "printed": printed}
        streams.say_json(answer | written)
        return
    streams.warn_problems(made.problems, arguments.file)
    # Beside a card on standard output, only standard error is free for words.
    say = streams.warn if arguments.output == "-" else streams.say
    name = " to ".join(str(path) for path in dict.fromkeys((paths[0], paths[-1]))) if paths else "standard output"
    say(f"{name}: written" if arguments.output else f"{arguments.file}: printed", f"  card code  {write_code(made)}")
    for job in printed:
        say(f"  printed    {job}")
    if choose_ending(arguments.output or "-", Ending.PDF) in PICTURE_ENDINGS:
        say(f"  pages      {write_page_counts(made)}")
    for line in list_changes(made.plan):
        say(line)
    if made.options.form is Form.SMALL:
        say(SMALL_PRINT)


def read_touch_options(arguments: argparse.Namespace, form: Form, ending: Ending) -> TouchOptions:
    """The options as given.

    Raises:
        UsageError: one is not known, out of range, or of no use for this form and ending.
    """
    is_raised, is_brf = form is Form.RAISED, ending is Ending.BRF
    refuse_useless(arguments, _RAISED_ONLY, "--as raised", is_used=is_raised)
    refuse_useless(arguments, _BRF_ONLY, "a braille file, -o OUT.brf", is_used=is_brf)
    refuse_useless(arguments, ("braille",), "--as raised or -o OUT.brf", is_used=is_raised or is_brf)
    medium = choose(Medium, arguments.medium or Medium.SWELL.value, "--medium")
    growth_mm = SWELL_GROWTH_MM if medium is Medium.SWELL else 0.0
    if arguments.growth is not None:
        growth_mm = _parse_length(arguments.growth)
    default = BraillePaper()
    try:
        return TouchOptions(
            choose(Contraction, arguments.braille or Contraction.UNCONTRACTED.value, "--braille"),
            TactileStyle(medium, growth_mm, arguments.large_cell, arguments.raised_digits),
            BraillePaper(
                _parse_count(arguments.cells, "--cells", default.cells),
                _parse_count(arguments.lines, "--lines", default.lines),
            ),
        )
    except ValueError as error:
        raise UsageError(str(error)) from None


def _parse_count(text: str | None, option: str, unnamed: int) -> int:
    if text is None:
        return unnamed
    if not (text.isascii() and text.isdigit() and len(text) <= 4):
        raise UsageError(f'{option}: "{text}" is not a whole number')
    return int(text)


def _parse_length(text: str) -> float:
    try:
        length_mm = float(text.removesuffix(" mm"))
    except ValueError:
        length_mm = math.nan
    if not math.isfinite(length_mm):
        raise UsageError(f'--growth: "{text}" is not a length in mm, such as 0.25')
    return length_mm
