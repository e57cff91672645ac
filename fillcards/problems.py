"""Problems as data: what is wrong with a file, where, and what to do about it.

Checking returns problems and prints nothing; ``cli`` prints them, for people or as JSON, from the same data. Two
families of exceptions by whose fault it is: ``RegimenRefused`` (the user's file), ``OutputError`` (the surroundings:
disk, fonts, missing program) and ``InternalFault`` (ours).
"""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple


class Severity(Enum):
    """Whether a card may be made in spite of the problem."""

    REFUSE = "refused"
    CAUTION = "caution"


class Place(NamedTuple):
    """A position in a text file; ``key`` is the path of keys, such as ``fills[1].draw``. All three count from 1.

    Line 0 stands for a file that has paths but no lines worth naming, such as JSON.
    """

    line: int = 1
    column: int = 1
    key: str = ""


class Problem(NamedTuple):
    """One thing wrong or worth a look.

    Attributes:
        code: stable and searchable, such as ``DOSE-002``; the same in table, test and message.
        found: what is in the file, quoted; never the patient's name.
        expected: what would have been accepted.
        remedy: what to do.
    """

    code: str
    severity: Severity
    place: Place
    found: str
    expected: str
    remedy: str

    def as_dict(self) -> dict[str, str | int]:
        """Flat form for JSON."""
        return {
            "code": self.code,
            "severity": self.severity.value,
            **self.place._asdict(),
            "found": self.found,
            "expected": self.expected,
            "remedy": self.remedy,
        }


def show_line(text: str) -> str:
    r"""A line as it may reach a terminal or a file of messages: whatever cannot be seen stands there as an escape.

    A file's name may hold characters that move a cursor, change colours, turn the direction of reading or begin a line
    of their own. Every message goes through here; what has been through once stays as it is. Lone surrogates, which
    stand for bytes of a name that are no text, are escaped too, so that every line can be encoded.

    Example:
        >>> print(show_line("a\x1b[2J\nb.yaml"))
        a\x1b[2J\nb.yaml
    """
    if text.isprintable():
        return text
    return "".join(each if each.isprintable() else each.encode("unicode_escape").decode("ascii") for each in text)


def write_problem(problem: Problem, file_name: str) -> str:
    """The message for people: place and code on the first line, then found, expected and what to do."""
    place = problem.place
    key = f"  {place.key}" if place.key else ""
    position = f":{place.line}:{place.column}" if place.line else ""
    lines = (
        f"{file_name}{position}{key}  {problem.code} {problem.severity.value}",
        f"  found     {problem.found}",
        f"  expected  {problem.expected}",
        f"  do        {problem.remedy}",
    )
    return "\n".join(map(show_line, lines))


def sort_problems(problems: list[Problem]) -> tuple[Problem, ...]:
    """Refusals first, then in the order of the file; the same problem said twice is kept once."""
    unique = dict.fromkeys(problems)
    return tuple(sorted(unique, key=lambda p: (p.severity is Severity.CAUTION, p.place, p.code)))


def is_refused(problems: tuple[Problem, ...]) -> bool:
    """Whether any of the problems forbids a card."""
    return any(problem.severity is Severity.REFUSE for problem in problems)


class FillcardsError(Exception):
    """Base of everything this package raises on purpose."""


class RegimenRefused(FillcardsError):
    """The file cannot become a card; carries every problem found, cautions too."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(f"{len(problems)} problems, first: {problems[0].code}")
        self.problems = problems


class OutputError(FillcardsError):
    """The surroundings failed: a file cannot be read or written, a font or a program is missing."""


class InternalFault(FillcardsError):
    """An error in Fillcards itself; the message asks for a report."""


class ReadbackFault(InternalFault):
    """A finished card does not say what its file means; the message is the whole report and names no patient."""
