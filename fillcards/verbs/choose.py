"""``choose``: which syringes hold every fill on a line, and how exactly each of them can measure it."""

from __future__ import annotations

import argparse

from fillcards.verbs.answers import ExitCode, Streams, describe_problems
from fillcards.verbs.inputs import add_json_argument, add_regimen_argument, read_options, read_regimen_of

HELP = "list the syringes that fit every fill, with the drawing accuracy to expect of each"
EXAMPLES = ("fillcards choose regimen.yaml", "fillcards choose --json regimen.yaml")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``choose`` takes."""
    add_regimen_argument(parser)
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Try every syringe; refused if none serves."""
    from fillcards.catalogue.scales import load_scales
    from fillcards.plan.accuracy import choose_syringes

    options = read_options(arguments, streams)
    regimen = read_regimen_of(arguments.file, options, streams)
    choice = choose_syringes(regimen, options.scales or load_scales())
    if arguments.json:
        streams.say_json(describe_problems(arguments.file, choice.regimen_problems) | choice.as_dict())
    else:
        from fillcards.verbs.choose_text import write_choice

        streams.warn_problems(choice.regimen_problems, arguments.file)
        streams.say(*write_choice(choice).split("\n"))
    return ExitCode.DONE if choice.fits else ExitCode.REFUSED
