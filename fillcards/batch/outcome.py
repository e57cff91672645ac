"""What is asked of a worker for one prescription, and what came of it: made, refused with its problems, or failed.

A roster in the wrong encoding, or with one wrong syringe throughout, has one fault and not one a prescription: people
are told once, files for programs say it of each.
"""

from __future__ import annotations

import datetime
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

MOST_TOLD: Final = 20
"""Prescriptions without a card that are told on the terminal; the summary has all of them."""
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
        path: where its card goes, in the folder of a run; every worker must see it under this name.
        version: of the program that asks.
        words: the hash of what cards say in every language, where the run began.
        known: what a register says of it.
        check: the second roster, where there is one.
        draft_path: where its regimen file goes if nobody has checked it; ``None``: nowhere.
    """

    prescription: Prescription
    options: Options = field(repr=False)
    path: Path = field(repr=False)
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
    """Counts of one run, and which faults it met.

    Attributes:
        kept: of the made, those that were there already when the run was started again.
        waiting: of the made, those that nobody has checked.
        faults: of the failed, those that failed by an error in Fillcards.
        beside: of the made, those of whose prescription the register has an earlier card that was not given.
        told: the first without a card, each for a reason of its own.
        repeated: how many more had none, for a reason that an earlier one had.
    """

    made: int = 0
    kept: int = 0
    waiting: int = 0
    refused: int = 0
    failed: int = 0
    faults: int = 0
    beside: int = 0
    told: list[Outcome] = field(default_factory=list)
    repeated: int = 0
    _first: dict[int, int] = field(default_factory=dict)
    _again: dict[int, list[range]] = field(default_factory=dict)

    @property
    def prescriptions(self) -> int:
        """All of them."""
        return self.made + self.refused + self.failed

    def count(self, outcome: Outcome) -> bool:
        """One prescription more; returns whether it is to be told, as one without a card for a reason of its own."""
        card = outcome.card
        if card is not None:
            self.made += 1
            self.kept += not card.is_new
            self.waiting += not card.check
            self.beside += NOT_GIVEN in card.cautions
            return False
        self.refused += outcome.result is Result.REFUSED
        self.failed += outcome.result is Result.FAILED
        self.faults += outcome.is_fault
        if self._is_repeated(outcome):
            return False
        if len(self.told) < MOST_TOLD:
            self.told.append(outcome)
        return True

    def _is_repeated(self, outcome: Outcome) -> bool:
        """Whether an earlier prescription was without a card for the very same reason."""
        fault = hash((outcome.result, outcome.reason, tuple(map(_identify, outcome.refusals))))
        if fault not in self._first:
            if len(self._first) < MOST_REMEMBERED:
                self._first[fault] = outcome.number
            return False
        self.repeated += 1
        again = self._again.setdefault(self._first[fault], [])
        for row in outcome.rows:
            if again and again[-1].stop == row:
                again[-1] = range(again[-1].start, row + 1)
            else:
                again.append(range(row, row + 1))
        return True

    def describe_repeats(self) -> tuple[str, ...]:
        """A line for each fault that came again."""
        return tuple(
            f"the same as row {first}: row{'s' if len(again) > 1 or len(again[0]) > 1 else ''} {_write_rows(again)}"
            for first, again in self._again.items()
        )

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


def _identify(problem: Problem) -> tuple[str, ...]:
    found = "" if problem.code in _OF_THE_ROSTER else problem.found
    return problem.code, problem.place.key, found, problem.expected, problem.remedy


def _write_rows(rows: list[range]) -> str:
    return ", ".join(f"{each[0]}" if len(each) == 1 else f"{each[0]} to {each[-1]}" for each in rows)
