"""``barrel``: one stop of a fill alone on a page, its barrel enlarged, for a document of your own."""

from __future__ import annotations

import argparse

from fillcards.options import PICTURE_ENDINGS, Ending
from fillcards.pipeline import choose_form, place_regimen, write_barrel
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.verbs.answers import ExitCode, Streams, UsageError, name_file
from fillcards.verbs.arguments import choose_ending, choose_paths, read_options, read_regimen_of, write_results


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Draw the barrel and say what was drawn."""
    ending = choose_ending(arguments.output, Ending.SVG, PICTURE_ENDINGS)
    options = read_options(arguments, streams)
    regimen = read_regimen_of(arguments.file, options, streams)
    _require_number("--fill", arguments.fill, len(regimen.fills))
    with name_file(arguments.file):
        made = place_regimen(regimen, options._replace(form=choose_form(regimen)), is_for_print=False)
    fill = made.plan.fills[arguments.fill - 1]
    draw_number = len(fill.draws) if arguments.draw is None else arguments.draw
    _require_number("--draw", draw_number, len(fill.draws))
    paths = choose_paths(("",), compute_card_code(regimen), arguments)
    write_results((write_barrel(made, arguments.fill, draw_number, ending),), paths, streams)
    streams.warn_problems(made.problems, arguments.file)
    say = streams.say if paths else streams.warn
    name = paths[0] if paths else "standard output"
    say(f"{name}: written", f"  {fill.fill.when}, draw {draw_number} of {len(fill.draws)}")
    return ExitCode.DONE


def _require_number(option: str, number: int, last: int) -> None:
    if not 1 <= number <= last:
        there_are = "there is only 1" if last == 1 else f"there are 1 to {last}"
        raise UsageError(f"{option} {number}: {there_are}")
