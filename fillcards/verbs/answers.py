"""How a verb answers: exit codes, the streams it was given, problems as text for people or JSON for programs.

Only here does the program write to its streams; nothing here knows what a regimen is. A card prints exact numbers only;
what a verb tells of worked-out amounts is an estimate or a sum for ordering, so it may be rounded, and the rounding is
never to the flattering side: a limit of error is rounded up.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from enum import IntEnum
from fractions import Fraction
from math import ceil, floor, log10
from pathlib import Path
from typing import Any, Final, NamedTuple, TextIO

from fillcards.problems import (
    FillcardsError,
    OutputError,
    Problem,
    RegimenRefused,
    is_refused,
    show_line,
    write_problem,
)
from fillcards.quantities import Quantity, Unit, write_number, write_quantity

_DIGITS: Final = 2
"""Digits told of an estimate; more would claim a knowledge nobody has."""


class ExitCode(IntEnum):
    """What the program's exit code says."""

    DONE = 0
    REFUSED = 1
    USAGE = 2
    FILES = 3
    FAULT = 4
    STOPPED = 130
    """From the keyboard: what shells report for it (128 + SIGINT)."""


class UsageError(FillcardsError):
    """The command line asks for something that does not exist or does not go together; one argument a line."""


class FileRefused(FillcardsError):
    """A refused file by its name, on the way to where it is reported."""

    def __init__(self, file_name: str, problems: tuple[Problem, ...]) -> None:
        super().__init__(f"{file_name}: refused")
        self.file_name = file_name
        self.problems = problems


@contextlib.contextmanager
def name_file(file_name: str) -> Iterator[None]:
    """Give every refusal from inside the name of the file it is about.

    Raises:
        FileRefused: in place of ``RegimenRefused``.
    """
    try:
        yield
    except RegimenRefused as refusal:
        raise FileRefused(file_name, refusal.problems) from None


class Streams(NamedTuple):
    """The standard streams of one run. What cannot be seen reaches a terminal as an escape only."""

    stdin: TextIO
    stdout: TextIO
    stderr: TextIO

    def say(self, *lines: str) -> None:
        """Write one answer for people. A line break within a line is part of a name and is shown as such."""
        self.stdout.writelines(f"{show_line(line)}\n" for line in lines)

    def warn(self, *lines: str) -> None:
        """Write one message beside the answer, likewise."""
        self.stderr.writelines(f"{show_line(line)}\n" for line in lines)

    def say_json(self, answer: Any) -> None:
        """Write the whole answer for programs; plain ASCII, so that no encoding can spoil it."""
        import json

        json.dump(answer, self.stdout, indent=2)
        self.stdout.write("\n")

    def say_bytes(self, data: bytes) -> None:
        """Write a finished file to standard output.

        Raises:
            UsageError: standard output is a terminal, which would show it as noise.
        """
        if self.stdout.isatty():
            raise UsageError('"-o -" writes a whole file: send it to a file or another program, not to the screen')
        self.stdout.flush()
        self.stdout.buffer.write(data)
        self.stdout.buffer.flush()

    def warn_problems(self, problems: tuple[Problem, ...], file_name: str) -> None:
        """Write problems for people, with an empty line between two."""
        if problems:
            self.warn(*"\n\n".join(write_problem(problem, file_name) for problem in problems).split("\n"))

    def read_bytes(self, file_name: str, most_bytes: int) -> bytes:
        """Read a file, or standard input where the name is ``-``; never more than one byte past the limit.

        Raises:
            OutputError: it cannot be read.
        """
        try:
            if file_name == "-":
                return self.stdin.buffer.read(most_bytes + 1)
            with Path(file_name).open("rb") as file:
                return file.read(most_bytes + 1)
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else "no file can have this name"
            raise OutputError(f"{file_name}: cannot be read: {reason}") from None


def count_words(number: int, singular: str) -> str:
    """A number with its noun: ``1 problem``, ``3 problems``."""
    return f"{number} {singular if number == 1 else singular + 's'}"


def describe_problems(file_name: str, problems: tuple[Problem, ...]) -> dict[str, Any]:
    """What every answer about a file has for programs: its name, whether it is accepted, its problems."""
    return {
        "file": file_name,
        "accepted": not is_refused(problems),
        "problems": [problem.as_dict() for problem in problems],
    }


def write_estimate(amount: Fraction | float, unit: Unit, *, round_up: bool = False) -> str:
    """An estimate with its unit to two digits: ``0.56 units``, ``1.7 units``, ``0.03 mg``.

    Args:
        amount: 0 or more.
        unit: its unit.
        round_up: for a limit, which must not be told smaller than it is.
    """
    return write_quantity(Quantity(_round(Fraction(amount), round_up), unit))


def write_percent(percent: float, *, round_up: bool = False) -> str:
    """A share in whole per cent, or to two digits below 10: ``21 %``, ``4.2 %``."""
    exact = Fraction(percent)
    return f"{write_number(_round(exact, round_up) if exact < 10 else _to_multiple(exact, Fraction(1), round_up))} %"


def write_sum(amount: Fraction, unit: Unit) -> str:
    """A sum for ordering: rounded up to two decimals, below 1 to two digits; exact where these can say it."""
    rounded = _to_multiple(amount, Fraction(1, 100), True) if amount >= 1 else _round(amount, True)
    return write_quantity(Quantity(rounded, unit))


def write_span(least: Fraction, most: Fraction, unit: Unit) -> str:
    """A measured range: ``3.3 to 6.5 units``."""
    return f"{write_number(_round(least, False))} to {write_estimate(most, unit)}"


def align_columns(rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Rows of one table as lines, each column as wide as its widest cell and two spaces apart; nothing is cut."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return tuple(
        "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )


def _round(value: Fraction, round_up: bool) -> Fraction:
    if value == 0:
        return value
    place = floor(log10(value)) + 1 - _DIGITS
    return _to_multiple(value, Fraction(10) ** min(place, 0), round_up)


def _to_multiple(value: Fraction, step: Fraction, round_up: bool) -> Fraction:
    count = value / step
    return (ceil(count) if round_up else floor(count + Fraction(1, 2))) * step
