"""What is asked of a worker for one prescription, and what came of it: made, refused with its problems, or failed.

A roster in the wrong encoding, or with one wrong syringe throughout, has one fault and not one a prescription: people
are told once, files for programs say it of each.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Any, Final, NamedTuple

from fillcards.batch.known import NOT_GIVEN, Known
from fillcards.intake.roster import Prescription
from fillcards.options import Options
from fillcards.problems import Problem, Severity
from fillcards.regimen.forms import FormError
from fillcards.regimen.keys import PRESCRIPTION

MOST_REMEMBERED: Final = 1000
"""Different faults; of a roster with more, each further one is told by itself."""
_OF_THE_ROSTER: Final = frozenset({"ROSTER-001"})
"""Codes whose fault is one and the same, whatever was found: another byte in each row, and one wrong encoding."""


class Result(Enum):
    """How a prescription ended."""

    MADE = "made"
    REFUSED = "refused"
    FAILED = "failed"


class Check(NamedTuple):
    """How a second roster is the check of the first.

    Attributes:
        second: what it says of the same prescription; ``None``: nothing.
        source: the name of its file.
        by: who typed it; empty where its rows say so themselves, as ``review.prepared_by``.
        on: the day of the check.
    """

    second: Prescription | None
    source: str
    by: str
    on: datetime.date


@dataclass(frozen=True, slots=True)
class Task:
    """One prescription for one worker.

    Attributes:
        path: where its card goes; every worker must see this folder under this name.
        temporary_folder: where it stands until it is whole.
        version: of the program that asks.
        words: the hash of what cards say in every language, where the run began.
        known: what a register says of it.
        check: the second roster, where there is one.
        draft_path: where its regimen file goes if nobody has checked it; ``None``: nowhere.
    """

    prescription: Prescription
    options: Options = field(repr=False)
    path: Path = field(repr=False)
    temporary_folder: Path = field(repr=False)
    version: str
    words: str = field(repr=False)
    known: Known = field(default=Known(), repr=False)
    check: Check | None = field(default=None, repr=False)
    draft_path: Path | None = field(default=None, repr=False)


class MadeCard(NamedTuple):
    """A card in the folder.

    Attributes:
        sides: how many.
        check: who checked it; empty where nobody has.
        cautions: codes of what was printed on its staff sheet.
        is_new: whether this run wrote it, before it was stopped or after; not an earlier one.
    """

    file_name: str
    sha256: str
    size_bytes: int
    card_code: str
    fingerprint: str
    sides: int
    check: str
    cautions: tuple[str, ...]
    is_new: bool = True


class Details(dict[str, Any]):
    """What a register keeps of a card. No log shows it."""

    def __repr__(self) -> str:
        return "Details(not shown)"


class Private(str):
    """The number of a prescription, or a patient's name. No log shows it."""

    __slots__ = ()

    def __repr__(self) -> str:
        return "Private(not shown)"


class Outcome(NamedTuple):
    """What came of a prescription.

    Attributes:
        rows: those it stands in, as a spreadsheet numbers them.
        problems: of a refused one, with its cautions; places as in the roster.
        reason: of a failed one.
        is_fault: whether it failed by an error in Fillcards, not in the surroundings.
        details: of a card made in this run, what a register keeps of it. It names the patient.
        prescription: its number; empty where the roster gives none.
        patient: the name, as the roster has it.
    """

    rows: tuple[int, ...]
    source: str
    result: Result
    card: MadeCard | None = None
    problems: tuple[Problem, ...] = ()
    reason: str = ""
    is_fault: bool = False
    details: Details | None = None
    prescription: str = ""
    patient: str = ""

    @property
    def number(self) -> int:
        """Of its first row."""
        return self.rows[0]

    @property
    def refusals(self) -> tuple[Problem, ...]:
        """The problems that refuse it, without the cautions beside them."""
        return tuple(problem for problem in self.problems if problem.severity is Severity.REFUSE)


def note_made(prescription: Prescription, card: MadeCard, details: Details | None = None) -> Outcome:
    """A card is there."""
    return _note(prescription, Result.MADE)._replace(card=card, details=details)


def note_refused(prescription: Prescription, problems: tuple[Problem, ...]) -> Outcome:
    """No card was made, for what the roster says."""
    return _note(prescription, Result.REFUSED)._replace(problems=prescription.shift(problems))


def note_failed(prescription: Prescription, reason: str, *, is_fault: bool = False) -> Outcome:
    """No card was made, for reasons outside the roster."""
    return _note(prescription, Result.FAILED)._replace(reason=reason, is_fault=is_fault)


def _note(prescription: Prescription, result: Result) -> Outcome:
    number = prescription.find_text(PRESCRIPTION.name)
    try:
        number = PRESCRIPTION.form.parse(number) if PRESCRIPTION.form and number else ""
    except FormError:
        number = ""  # whatever stands there is no number
    rows = tuple(row.number for row in prescription.rows)
    patient = Private(prescription.find_text("patient.name"))
    return Outcome(rows, prescription.source, result, prescription=Private(number), patient=patient)


@dataclass(slots=True)
class Tally:
    """Counts of one run.

    Attributes:
        kept: of the made, those that were there already when the run was started again.
        waiting: of the made, those that nobody has checked.
        faults: of the failed, those that failed by an error in Fillcards.
        beside: of the made, those of whose prescription the register has an earlier card that was not given.
    """

    made: int = 0
    kept: int = 0
    waiting: int = 0
    refused: int = 0
    failed: int = 0
    faults: int = 0
    beside: int = 0

    @property
    def prescriptions(self) -> int:
        """All of them."""
        return self.made + self.refused + self.failed

    def count(self, outcome: Outcome) -> None:
        """One prescription more."""
        match outcome.result:
            case Result.MADE:
                self.made += 1
                self.kept += outcome.card is not None and not outcome.card.is_new
                self.waiting += outcome.card is not None and not outcome.card.check
                self.beside += outcome.card is not None and NOT_GIVEN in outcome.card.cautions
            case Result.REFUSED:
                self.refused += 1
            case Result.FAILED:
                self.failed += 1
                self.faults += outcome.is_fault

    def describe(self) -> tuple[str, ...]:
        """For people, line by line."""
        kept = f" ({self.kept:,} of them were there already)" if self.kept else ""
        all_ = f"{self.prescriptions:,} prescription{'' if self.prescriptions == 1 else 's'}"
        lines = [f"{all_}: {self.made:,} made{kept}, {self.refused:,} refused, {self.failed:,} failed"]
        if self.waiting:
            lines.append(f"not yet checked by a second person: {self.waiting:,}")
        if self.beside:
            lines.append(f"with an earlier card that was made and never told as given: {self.beside:,} ({NOT_GIVEN})")
        return tuple(lines)

    def describe_for_programs(self) -> dict[str, Any]:
        """For JSON."""
        counts = {"prescriptions": self.prescriptions, "made": self.made, "already_there": self.kept}
        return {**counts, "waiting": self.waiting, "refused": self.refused, "failed": self.failed}


class Repeats:
    """The faults of a run so far."""

    def __init__(self) -> None:
        self._first: dict[int, int] = {}
        self._again: dict[int, list[range]] = {}
        self.count = 0
        """Outcomes whose fault had been told."""

    def note(self, outcome: Outcome) -> bool:
        """Whether an earlier prescription was without a card for the very same reason."""
        fault = hash((outcome.result, outcome.reason, tuple(map(_identify, outcome.refusals))))
        if fault not in self._first:
            if len(self._first) < MOST_REMEMBERED:
                self._first[fault] = outcome.number
            return False
        self.count += 1
        told = self._again.setdefault(self._first[fault], [])
        for row in outcome.rows:
            if told and told[-1].stop == row:
                told[-1] = range(told[-1].start, row + 1)
            else:
                told.append(range(row, row + 1))
        return True

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
