"""What is asked of a worker for one row, and what came of the row: made, refused with its problems, or failed."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path

from fillcards.intake.roster import Row, shift_problems
from fillcards.options import Options
from fillcards.problems import Problem, Severity


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


@dataclass(frozen=True, slots=True)
class MadeCard:
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


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a row.

    Attributes:
        problems: of a refused row, with its cautions; places as in the roster.
        reason: of a failed row.
        is_fault: whether it failed by an error in Fillcards, not in the surroundings.
    """

    number: int
    line: int
    source: str
    result: Result
    card: MadeCard | None = None
    problems: tuple[Problem, ...] = ()
    reason: str = ""
    is_fault: bool = False

    @property
    def refusals(self) -> tuple[Problem, ...]:
        """The problems that refuse it, without the cautions beside them."""
        return tuple(problem for problem in self.problems if problem.severity is Severity.REFUSE)


def note_made(row: Row, card: MadeCard) -> Outcome:
    """A card is there."""
    return Outcome(row.number, row.line, row.source, Result.MADE, card)


def note_refused(row: Row, problems: tuple[Problem, ...]) -> Outcome:
    """No card was made, for what the row says. Problems have their places in the row."""
    return Outcome(row.number, row.line, row.source, Result.REFUSED, problems=shift_problems(problems, row))


def note_failed(row: Row, reason: str, *, is_fault: bool = False) -> Outcome:
    """No card was made, for reasons outside the row."""
    return Outcome(row.number, row.line, row.source, Result.FAILED, reason=reason, is_fault=is_fault)
