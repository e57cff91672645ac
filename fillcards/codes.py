"""What each problem code means, and the words of its problems, read from ``codes.yaml``.

Where one code has one thing to say, its words stand there, with slots for what they speak of; a slot may go into a
value, as in ``{medicine.name}``. An amount in a slot is written by the safety rules.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from pathlib import Path
from string import Formatter
from typing import Final, NamedTuple

from fillcards.own_data import parse_own_data, read_own_data
from fillcards.problems import InternalFault, Place, Problem, Severity
from fillcards.quantities import write_number


class ProblemCode(NamedTuple):
    """One row of the table.

    Attributes:
        title: the rule in one short sentence.
        reason: why the rule exists.
        sources: keys into the catalogue's sources; never empty.
        found, expected, remedy: the words of a problem, where they are the same for every problem of the code; the
            title where nothing else is said to be expected.
    """

    code: str
    severity: Severity
    title: str
    reason: str
    sources: tuple[str, ...]
    found: str
    expected: str
    remedy: str


def list_codes() -> tuple[ProblemCode, ...]:
    """Every code that a file can be refused or cautioned with, sorted.

    Raises:
        InternalFault: the file has another form.
    """
    return tuple(sorted(_build_row(code, row) for code, row in parse_own_data(_read_text()).items()))


@cache
def find_code(code: str) -> ProblemCode:
    """The row of a code. Only its own lines are parsed: the whole table takes longer than all rules."""
    lines = _cut_rows().get(code)
    if lines is None:
        raise InternalFault(f"codes.yaml has no {code}")
    return _build_row(code, parse_own_data(lines)[code])


@cache
def _cut_rows() -> dict[str, str]:
    """The lines of each code."""
    return {row[1]: row[0] for row in re.finditer(r"^(\S+):\n(?:  .*\n)+", _read_text(), re.MULTILINE)}


@cache
def _read_text() -> str:
    return read_own_data(Path(__file__).with_name("codes.yaml"))


def make_problem(code: str, place: Place, found: str = "", /, **values: object) -> Problem:
    """A problem in the words of its code.

    Args:
        code: whose severity and words it has.
        place: where in the file.
        found: what was found, where the table does not say it.
        values: of the slots in the table's words; ``expected`` and ``remedy`` among them stand in place of its own.
    """
    row = find_code(code)
    told = {"found": row.found, "expected": row.expected, "remedy": row.remedy}
    said = {"found": found, **values}
    words = (str(said.get(name) or _WORDS.format(template, **values)) for name, template in told.items())
    return Problem(code, row.severity, place, *words)


class _Words(Formatter):
    def format_field(self, value: object, format_spec: str) -> str:
        """Amounts by the safety rules, all else as it says itself."""
        return write_number(value) if isinstance(value, Fraction) else format(value, format_spec)


_WORDS: Final = _Words()


def _build_row(code: str, row: object) -> ProblemCode:
    match row:
        case {
            "severity": str(severity),
            "title": str(title),
            "reason": str(reason),
            "sources": [*sources],
            **words,
        } if words.keys() <= {"found", "expected", "remedy"}:
            found, expected, remedy = (
                str(words.get(name, other)) for name, other in (("found", ""), ("expected", title), ("remedy", ""))
            )
            names = tuple(map(str, sources))
            return ProblemCode(code, Severity(severity), title, reason, names, found, expected, remedy)
    raise InternalFault(f"codes.yaml: {code} is not written as the others are")
