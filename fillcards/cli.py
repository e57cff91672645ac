"""The command line: arguments to a verb, every way it can end to an exit code and one clear message.

Ends by returning, never by leaving the process, and shows nobody a traceback. Knows no regimen and no card.
"""

from __future__ import annotations

import argparse
import tomllib
from collections.abc import Iterable, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any, Final, NamedTuple, NoReturn, TextIO

from fillcards import __version__
from fillcards.faults import describe_fault
from fillcards.problems import OutputError
from fillcards.regimen.languages import LANGUAGES
from fillcards.verbs.answers import ExitCode, FileRefused, Streams, UsageError, describe_problems

_EXIT_CODES: Final = """\
exit codes:
  0 done   1 refused: problems found   2 wrong usage   3 could not read or write   4 a fault in Fillcards

Follow the prescriber and the pharmacist: a card replaces neither. Fillcards never recommends a dose."""
_FILE_ENDINGS: Final = (".csv", ".tsv", ".jsonl", ".ndjson", ".json", ".yaml", ".yml")


class Verb(NamedTuple):
    """One verb.

    Attributes:
        line: what it does.
        examples: printed under its help, and run by the tests.
        takes: the names of its options, and of groups of them, in the order of its help.
    """

    line: str
    examples: tuple[str, ...]
    takes: tuple[str, ...]


def _read_printer(name: str) -> str:
    """A file's name after ``--print`` would be taken for a printer's."""
    if Path(name).suffix.lower() in _FILE_ENDINGS:
        raise UsageError(f'--print: "{name}" after it would be a printer; write --print after the file')
    return name


_TABLE: Final = tomllib.loads((Path(__file__).parent / "verbs" / "verbs.toml").read_text(encoding="utf-8"))
_TYPES: Final = {"int": int, "printer": _read_printer}
VERBS: Final = {name: Verb(**row) for name, row in _TABLE["verb"].items()}
"""Every verb by its name."""


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
    """The command line with the arguments of one verb; of the others only their line."""
    parser = _Parser(
        prog="fillcards",
        description="Checked, to-scale cards that say on which line of a syringe to stop.",
        epilog=_EXIT_CODES,
    )
    parser.add_argument("--version", action="version", version=f"fillcards {__version__}", help="say which version")
    verbs = parser.add_subparsers(title="verbs", metavar="VERB", dest="verb", required=True, parser_class=_Parser)
    for name, verb in VERBS.items():
        added = verbs.add_parser(name, help=verb.line, description=f"{verb.line[0].upper()}{verb.line[1:]}.")
        if name == chosen:
            examples = "\n".join(f"  {example}" for example in verb.examples)
            added.epilog = f"examples:\n{examples}\n\n{_EXIT_CODES}"
            _add_options(added, verb.takes)
    return parser


def _add_options(parser: argparse._ActionsContainer, names: Iterable[str]) -> None:
    for name in names:
        if group := _TABLE["group"].get(name):
            _add_options(parser.add_argument_group(group["title"]), group["takes"])
            continue
        settings = {**_TABLE["option"][name]}
        settings["help"] = settings["help"].replace("{languages}", ", ".join(LANGUAGES))
        if "type" in settings:
            settings["type"] = _TYPES[settings["type"]]
        parser.add_argument(*name.partition(" of ")[0].split(", "), **settings)


def _run(argv: Sequence[str], streams: Streams) -> int:
    as_json = False
    try:
        arguments = build_parser(next((word for word in argv if word in VERBS), "")).parse_args(argv)
        as_json = getattr(arguments, "json", False)
        # Only now: what the other verbs need is not loaded.
        verb = import_module(f"fillcards.verbs.{arguments.verb.replace('-', '_')}")
        code: int = verb.run(arguments, streams)
        return code
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
        self.add_argument("-h", "--help", action="help", help="show this help")

    def error(self, message: str) -> NoReturn:
        raise UsageError(message, *self.format_usage().strip().split("\n"), f"more: {self.prog} --help")

    def _print_message(self, message: str, _file: object = None) -> NoReturn:
        # What Python's own answers come to, those about help and version.
        raise _Answered(message)


def _format_help(prog: str) -> argparse.HelpFormatter:
    # A fixed width: the help is the same on every terminal, and in the tests.
    formatter = argparse.RawDescriptionHelpFormatter(prog, width=100, max_help_position=26)
    # Python measures the names of verbs without their indent and would break the line after the longest, from-fhir.
    formatter._action_max_length = 14
    return formatter
