"""How a verb answers: exit codes, the streams it was given, problems as text for people or JSON for programs.

Only here does the program write to its streams; nothing here knows what a regimen is.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from enum import IntEnum
from pathlib import Path
from typing import Any, NamedTuple, TextIO

from fillcards.problems import (
    FillcardsError,
    OutputError,
    Problem,
    RegimenRefused,
    is_refused,
    show_line,
    write_problem,
)


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
