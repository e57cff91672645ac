"""Which rows have a fault that an earlier row had already, so that people are told once.

A roster in the wrong encoding, or with one wrong syringe throughout, has one fault and not one a row. Files for
programs say it of every row all the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fillcards.batch.outcome import Outcome
from fillcards.problems import Problem

MOST_REMEMBERED: Final = 1000
"""Different faults; of a roster with more, each further one is told by itself."""
_OF_THE_ROSTER: Final = frozenset({"ROSTER-001"})
"""Codes whose fault is one and the same, whatever was found: another byte in each row, and one wrong encoding."""


class Repeats:
    """The faults of a run so far."""

    def __init__(self) -> None:
        self._first: dict[int, int] = {}
        self._again: dict[int, list[range]] = {}

    def note(self, outcome: Outcome) -> bool:
        """Whether an earlier row was without a card for the very same reason."""
        fault = hash((outcome.result, outcome.reason, tuple(map(_identify, outcome.refusals))))
        if fault not in self._first:
            if len(self._first) < MOST_REMEMBERED:
                self._first[fault] = outcome.number
            return False
        rows = self._again.setdefault(self._first[fault], [])
        if rows and rows[-1].stop == outcome.number:
            rows[-1] = range(rows[-1].start, outcome.number + 1)
        else:
            rows.append(range(outcome.number, outcome.number + 1))
        return True

    @property
    def count(self) -> int:
        """Rows whose fault had been told."""
        return sum(len(rows) for again in self._again.values() for rows in again)

    def describe(self) -> Iterator[str]:
        """A line for each fault that came again."""
        for first, again in self._again.items():
            rows = ", ".join(map(_write_rows, again))
            yield f"the same as row {first}: row{'s' if sum(map(len, again)) > 1 else ''} {rows}"


def _identify(problem: Problem) -> tuple[str, ...]:
    found = "" if problem.code in _OF_THE_ROSTER else problem.found
    return problem.code, problem.place.key, found, problem.expected, problem.remedy


def _write_rows(rows: range) -> str:
    return f"{rows[0]}" if len(rows) == 1 else f"{rows[0]} to {rows[-1]}"
