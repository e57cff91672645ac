"""The command line: arguments to a verb, every way it can end to an exit code and one clear message.

Ends by returning, never by leaving the process, and shows nobody a traceback. Knows no regimen and no card.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from importlib import import_module
from typing import Any, Final, NoReturn, Protocol, TextIO, cast

from fillcards import __version__
from fillcards.faults import describe_fault
from fillcards.problems import OutputError
from fillcards.verbs.answers import ExitCode, FileRefused, Streams, UsageError, describe_problems

_EXIT_CODES: Final = """\
exit codes:
  0 done   1 refused: problems found   2 wrong usage   3 could not read or write   4 a fault in Fillcards

Follow the prescriber and the pharmacist: a card replaces neither. Fillcards never recommends a dose."""


class _Verb(Protocol):
    """What every module of ``verbs`` offers."""

    @property
    def EXAMPLES(self) -> tuple[str, ...]: ...  # noqa: N802 - a constant of the module

    def add_arguments(self, parser: argparse.ArgumentParser, /) -> None: ...

    def run(self, arguments: argparse.Namespace, streams: Streams, /) -> int: ...


VERBS: Final = {
    "new": "write a starter regimen or roster, or a file that replaces an older one; without a name: list the starters",
    "check": "list every problem, the cautions of what can be read, the sides and the card code; write nothing",
    "make": "make the card",
    "barrel": "one stop alone: the enlarged barrel with its line, for a document of your own",
    "choose": "list the syringes that fit every fill, with the drawing accuracy to expect of each",
    "supply": "count vials, syringes and days of supply; list when to throw vials away",
    "measure": "read a finished card back and say what its marks mean",
    "batch": "make the cards of a whole roster; started again, it makes only what is missing or changed",
    "from-fhir": "turn a prescription into a draft regimen, with each source text beside how it was understood",
    "desk": "write, check and give out cards in a browser on this machine",
    "register": "say which cards were given out, and which are valid, replaced or ended",
    "wording": "list the words of cards in a language beside their English, and sign them, a clinic's own among them",
    "schema": "write the JSON Schema of the regimen file, for editors",
}
"""What each verb does, in a line."""


class _Answered(Exception):
    """The question was about the program itself (help, version); carries the answer."""


def main(argv: Sequence[str], stdin: TextIO, stdout: TextIO, stderr: TextIO) -> int:
    """Run the program.

    Args:
        argv: the arguments after the program's name.
        stdin: read for ``-``; must offer ``buffer``, as the process's own streams do.
        stdout: answers; for ``-o -`` the finished file, through its ``buffer``.
        stderr: problems and messages.

    Returns:
        0 done, 1 refused, 2 wrong usage, 3 could not read or write, 4 our own error; 130 if stopped by keyboard.
    """
    streams = Streams(stdin, stdout, stderr)
    try:
        return _run(argv, streams)
    except KeyboardInterrupt:
        streams.warn("stopped: nothing was written")
        return ExitCode.STOPPED
    except BrokenPipeError:
        return ExitCode.FILES  # the reader of our output is gone, so nobody would read a message
    except OSError as error:
        streams.warn(f"fillcards: {error.filename or 'standard streams'}: {error.strerror or 'cannot be used'}")
        return ExitCode.FILES
    except Exception as fault:
        streams.warn(*describe_fault(fault).split("\n"))
        return ExitCode.FAULT


def build_parser(chosen: str) -> argparse.ArgumentParser:
    """The command line with the arguments of one verb; of the others only their line, so that nothing of them loads."""
    parser = _Parser(
        prog="fillcards",
        description="Checked, to-scale cards that say on which line of a syringe to stop.",
        epilog=_EXIT_CODES,
    )
    parser.add_argument("--version", action=_Answer, answer=f"fillcards {__version__}\n", help="say which version")
    verbs = parser.add_subparsers(title="verbs", metavar="VERB", dest="verb", required=True, parser_class=_Parser)
    for name, line in VERBS.items():
        added = verbs.add_parser(name, help=line, description=f"{line[0].upper()}{line[1:]}.")
        if name == chosen:
            verb = load_verb(name)
            examples = "\n".join(f"  {example}" for example in verb.EXAMPLES)
            added.epilog = f"examples:\n{examples}\n\n{_EXIT_CODES}"
            verb.add_arguments(added)
    return parser


def load_verb(name: str) -> _Verb:
    """The module of a verb; what the others need is not loaded."""
    return cast(_Verb, import_module(f"fillcards.verbs.{name.replace('-', '_')}"))


def _run(argv: Sequence[str], streams: Streams) -> int:
    as_json = False
    try:
        arguments = build_parser(next((word for word in argv if word in VERBS), "")).parse_args(argv)
        as_json = getattr(arguments, "json", False)
        return load_verb(arguments.verb).run(arguments, streams)
    except _Answered as answer:
        streams.stdout.write(str(answer))
        return ExitCode.DONE
    except FileRefused as refusal:
        if as_json:
            streams.say_json(describe_problems(refusal.file_name, refusal.problems))
        else:
            streams.warn_problems(refusal.problems, refusal.file_name)
        return ExitCode.REFUSED
    except UsageError as error:
        first, *more = error.args
        streams.warn(f"fillcards: {first}", *more)
        return ExitCode.USAGE
    except OutputError as error:
        streams.warn(f"fillcards: {error}")
        return ExitCode.FILES


class _Parser(argparse.ArgumentParser):
    """An argument parser that raises where Python's own would write and leave the process."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings, allow_abbrev=False, add_help=False, formatter_class=_format_help)
        self.add_argument("-h", "--help", action=_Answer, help="show this help")

    def error(self, message: str) -> NoReturn:
        raise UsageError(message, *self.format_usage().strip().split("\n"), f"more: {self.prog} --help")


class _Answer(argparse.Action):
    """An option that answers a question about the program and ends the run: the help, unless given another answer."""

    def __init__(self, option_strings: Sequence[str], dest: str, answer: str | None = None, **settings: Any) -> None:
        super().__init__(option_strings, dest, nargs=0, default=argparse.SUPPRESS, **settings)
        self.answer = answer

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        raise _Answered(parser.format_help() if self.answer is None else self.answer)


def _format_help(prog: str) -> argparse.HelpFormatter:
    # A fixed width: the help is the same on every terminal, and in the tests.
    formatter = argparse.RawDescriptionHelpFormatter(prog, width=100, max_help_position=26)
    # Python measures the names of verbs without their indent and would break the line after the longest, from-fhir.
    formatter._action_max_length = 14
    return formatter
