"""What is asked of a worker for one row, and what came of the row: made, refused with its problems, or failed.

A roster in the wrong encoding, or with one wrong syringe throughout, has one fault and not one a row: people are told
once, files for programs say it of every row.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Any, Final, NamedTuple

from fillcards.intake.roster import Row, RowForm, find_words, shift_problems
from fillcards.options import Options
from fillcards.problems import Problem, Severity
from fillcards.regimen.forms import FormError
from fillcards.regimen.keys import PRESCRIPTION

MOST_NAMED: Final = 10
"""Cards left over that a message names."""
MOST_REMEMBERED: Final = 1000
"""Different faults; of a roster with more, each further one is told by itself."""
_OF_THE_ROSTER: Final = frozenset({"ROSTER-001"})
"""Codes whose fault is one and the same, whatever was found: another byte in each row, and one wrong encoding."""


class Result(Enum):
    """How a row ended."""

    MADE = "made"
    REFUSED = "refused"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Task:
    """One row for one worker.

    Attributes:
        path: where its card goes; every worker must see this folder under this name.
        temporary_folder: where it stands until it is whole.
        known_sha256: of an older card of this run that may be replaced; ``None``: nothing may.
        version: of the program that asks.
    """

    row: Row
    options: Options = field(repr=False)
    path: Path = field(repr=False)
    temporary_folder: Path = field(repr=False)
    known_sha256: str | None
    version: str


class MadeCard(NamedTuple):
    """A card in the folder.

    Attributes:
        cautions: codes of what was printed on its staff sheet.
        is_new: whether this run wrote it, not an earlier one.
    """

    file_name: str
    sha256: str
    size_bytes: int
    card_code: str
    fingerprint: str
    pages: int
    cautions: tuple[str, ...]
    is_new: bool = True


class Details(dict[str, Any]):
    """What a register keeps of a card. No log shows it."""

    def __repr__(self) -> str:
        return "Details(not shown)"


class Number(str):
    """Of a prescription. No log shows it."""

    __slots__ = ()

    def __repr__(self) -> str:
        return "Number(not shown)"


class Outcome(NamedTuple):
    """What came of a row.

    Attributes:
        problems: of a refused row, with its cautions; places as in the roster.
        reason: of a failed row.
        is_fault: whether it failed by an error in Fillcards, not in the surroundings.
        details: of a card made in this run, what a register keeps of it. It names the patient.
        prescription: its number, by which people find the row; empty where the row has none, or is a file by itself.
    """

    number: int
    line: int
    source: str
    result: Result
    card: MadeCard | None = None
    problems: tuple[Problem, ...] = ()
    reason: str = ""
    is_fault: bool = False
    details: Details | None = None
    prescription: str = ""

    @property
    def refusals(self) -> tuple[Problem, ...]:
        """The problems that refuse it, without the cautions beside them."""
        return tuple(problem for problem in self.problems if problem.severity is Severity.REFUSE)


def note_made(row: Row, card: MadeCard, details: Details | None = None) -> Outcome:
    """A card is there."""
    return _note(row, Result.MADE)._replace(card=card, details=details)


def note_refused(row: Row, problems: tuple[Problem, ...]) -> Outcome:
    """No card was made, for what the row says. Problems have their places in the row."""
    return _note(row, Result.REFUSED)._replace(problems=shift_problems(problems, row))


def note_failed(row: Row, reason: str, *, is_fault: bool = False) -> Outcome:
    """No card was made, for reasons outside the row."""
    return _note(row, Result.FAILED)._replace(reason=reason, is_fault=is_fault)


def _note(row: Row, result: Result) -> Outcome:
    words = find_words(row, (PRESCRIPTION.name,)) if row.form is not RowForm.YAML else ()
    try:
        numbers = [PRESCRIPTION.form.parse(word) for word in words if PRESCRIPTION.form]
    except FormError:
        # Whatever stands there is no number.
        numbers = []
    return Outcome(row.number, row.line, row.source, result, prescription=Number("".join(numbers)))


@dataclass(slots=True)
class Tally:
    """Counts of one run.

    Attributes:
        kept: of the made, those that an earlier run had made already.
        faults: of the failed, those that failed by an error in Fillcards.
        left_over: cards of earlier runs in this folder that no made row of this roster asks for.
    """

    made: int = 0
    kept: int = 0
    refused: int = 0
    failed: int = 0
    faults: int = 0
    left_over: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        """All of them."""
        return self.made + self.refused + self.failed

    def count(self, outcome: Outcome) -> None:
        """One row more."""
        match outcome.result:
            case Result.MADE:
                self.made += 1
                self.kept += outcome.card is not None and not outcome.card.is_new
            case Result.REFUSED:
                self.refused += 1
            case Result.FAILED:
                self.failed += 1
                self.faults += outcome.is_fault

    def describe(self) -> tuple[str, ...]:
        """For people, line by line."""
        kept = f" ({self.kept:,} of them were there already)" if self.kept else ""
        rows = f"{self.rows:,} row{'' if self.rows == 1 else 's'}"
        lines = [f"{rows}: {self.made:,} made{kept}, {self.refused:,} refused, {self.failed:,} failed"]
        if self.left_over:
            named = ", ".join(self.left_over[:MOST_NAMED])
            more = f" and {len(self.left_over) - MOST_NAMED:,} more" if len(self.left_over) > MOST_NAMED else ""
            lines.append(f"from earlier runs, and wrong for this roster; delete them: {named}{more}")
        return tuple(lines)

    def describe_for_programs(self) -> dict[str, Any]:
        """For JSON."""
        counts = {"rows": self.rows, "made": self.made, "already_there": self.kept}
        return {**counts, "refused": self.refused, "failed": self.failed, "left_over": list(self.left_over)}


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
