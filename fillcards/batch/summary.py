"""What became of each prescription: for people, as CSV and as JSON; which cards wait for a check; the print run.

Written during the run so that memory use stays flat. Says rows, number of the prescription, place and reason; of what a
row says no more than a problem quotes, which is never the patient's name. That stands in it only if asked for.
"""

from __future__ import annotations

import csv
import io
import json
import tempfile
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any, Final

from fillcards.batch.outcome import MadeCard, Outcome, Result, Tally
from fillcards.batch.run_folder import FINISHED_NAME, UNFINISHED_NAME
from fillcards.files import GrowingFile
from fillcards.intake.roster_columns import list_columns
from fillcards.output.pdf_run import PrintRun
from fillcards.problems import OutputError, Problem, show_line, write_problem
from fillcards.register import write_safe_cell

TEXT_NAME: Final = "fillcards-summary.txt"
CSV_NAME: Final = "fillcards-summary.csv"
WAITING_NAME: Final = "fillcards-to-check.csv"
LANGUAGE: Final = "en"
"""Of every card there is, for the print run."""

_COLUMNS: Final = (
    "rows",
    "prescription",
    "card_code",
    "outcome",
    "check",
    "sides",
    "file",
    "source",
    "fingerprint",
    "is_new",
    "cautions",
    "codes",
    "reason",
)
_WAITING_COLUMNS: Final = ("prescription", "card_code", "sides", "file", "rows", "regimen_file")
NAME_COLUMN: Final = "patient"


class Summary:
    """The files of a run while they grow.

    Args:
        stack: of the run, at whose end nothing of them stays unless they are finished.
        folder: of the cards.
        roster: its name, for the head of each file.
        has_names: whether the patients' names are wanted.
        drafts: the name of the folder of regimen files that wait for a check; empty where there is none.
        notes: about the whole run, for people.
    """

    def __init__(
        self,
        stack: ExitStack,
        folder: Path,
        roster: str,
        *,
        has_names: bool,
        drafts: str,
        notes: tuple[str, ...],
    ) -> None:
        names = (TEXT_NAME, CSV_NAME, WAITING_NAME, FINISHED_NAME)
        files = (stack.enter_context(GrowingFile(folder / name, folder / UNFINISHED_NAME)) for name in names)
        self._text, self._csv, self._waiting, self._json = files
        self._has_names, self._drafts = has_names, drafts
        self._has_rows = False
        self._say(f"Fillcards: run {folder.name} of {roster}", *notes, "")
        # The mark tells a spreadsheet that the text is UTF-8.
        name = (NAME_COLUMN,) if has_names else ()
        self._csv.write(b"\xef\xbb\xbf" + write_csv_line((*_COLUMNS, *name)))
        self._waiting.write(b"\xef\xbb\xbf" + write_csv_line((*_WAITING_COLUMNS, *name)))
        head = f'{{"roster": {json.dumps(roster)}, "run": {json.dumps(folder.name)}, "prescriptions": ['
        self._json.write(head.encode("ascii"))

    @property
    def files(self) -> tuple[GrowingFile, ...]:
        """The files, to be claimed and finished at the end of the run, the last of them last."""
        return self._text, self._csv, self._waiting, self._json

    def add(self, outcome: Outcome, *, is_told: bool) -> None:
        """One prescription more; ``is_told``: whether to people as well."""
        if is_told:
            self._say(*describe_outcome(outcome), "")
        name = [show_line(outcome.patient)] if self._has_names else []
        self._csv.write(write_csv_line([*_list_cells(outcome), *name]))
        card = outcome.card
        if card is not None and not card.check:
            draft = f"{self._drafts}/{Path(card.file_name).stem}.yaml" if self._drafts else ""
            cells = (
                outcome.prescription,
                card.card_code,
                str(card.sides),
                card.file_name,
                write_rows(outcome.rows),
                draft,
            )
            self._waiting.write(write_csv_line([*map(show_line, cells), *name]))
        separator = ",\n" if self._has_rows else "\n"
        told = describe_for_programs(outcome) | ({NAME_COLUMN: outcome.patient} if self._has_names else {})
        self._json.write((separator + json.dumps(told)).encode("ascii"))
        self._has_rows = True

    def complete(self, tally: Tally) -> None:
        """Write the counts; the files then wait for their ``finish``."""
        repeats = tally.describe_repeats()
        self._say(*repeats, *([""] if repeats else []), *tally.describe())
        self._json.write(f'\n], "counts": {json.dumps(tally.describe_for_programs())}}}\n'.encode("ascii"))

    def _say(self, *lines: str) -> None:
        self._text.write("".join(f"{show_line(line)}\n" for line in lines).encode("utf-8"))


class OneFile:
    """The print run of a folder while it grows: its cards as one PDF, in order, each as it passed its gates.

    Args:
        stack: of the run, at whose end nothing of it stays unless it is finished.
        folder: of the cards, and of the run.

    Raises:
        OutputError: the disk does not take it.
    """

    def __init__(self, stack: ExitStack, folder: Path) -> None:
        self._name = folder.name
        # With the day of the run, so that the run of another day is known for what it is wherever it lies.
        unfinished = folder / UNFINISHED_NAME
        self.file = stack.enter_context(GrowingFile(folder / f"fillcards-run-{folder.name}.pdf", unfinished))
        try:
            table = tempfile.TemporaryFile(dir=unfinished)  # noqa: SIM115 - closed with the run
        except OSError as error:
            raise OutputError(f"{folder}: cannot be written: {error.strerror}") from None
        self._run = PrintRun(self.file, stack.enter_context(table), LANGUAGE)

    def add(self, outcome: Outcome, card: MadeCard, pdf: bytes) -> None:
        """Take over the card of a prescription."""
        number = f", prescription {outcome.prescription}" if outcome.prescription else ""
        self._run.add_card(pdf, f"Row {outcome.number}{number}, card code {card.card_code}")

    def complete(self) -> bool:
        """Write the rest of it, so that it waits for ``file.finish``; ``False`` where there is not one card in it."""
        cards = self._run.cards
        if cards:
            self._run.finish(f"Run {self._name}: {cards:,} fill card{'s' if cards > 1 else ''} in one print run")
        return bool(cards)


def write_rows(rows: tuple[int, ...]) -> str:
    """``2, 7``."""
    return ", ".join(map(str, rows))


def describe_outcome(outcome: Outcome) -> tuple[str, ...]:
    """A prescription without a card, for people, line by line."""
    number = f", prescription {outcome.prescription}" if outcome.prescription else ""
    rows = f"row{'s' if len(outcome.rows) > 1 else ''} {write_rows(outcome.rows)}"
    first = f"{rows} ({outcome.source}){number}: {outcome.result.value}"
    if outcome.result is Result.FAILED:
        # A report of ours has lines; any other reason has one, whatever the names in it hold.
        return (
            first,
            *(f"  {line}" for line in (outcome.reason.split("\n") if outcome.is_fault else (outcome.reason,))),
        )
    told = (write_problem(_name_column(problem, outcome), outcome.source).split("\n") for problem in outcome.refusals)
    return (first, *(line for lines in told for line in lines))


def describe_for_programs(outcome: Outcome) -> dict[str, Any]:
    """A prescription for JSON."""
    found: dict[str, Any] = {
        "rows": list(outcome.rows),
        "source": outcome.source,
        "outcome": outcome.result.value,
    }
    if outcome.prescription:
        found |= {"prescription": outcome.prescription}
    if outcome.card is not None:
        found |= {"card": outcome.card._asdict()}
    if outcome.problems:
        found |= {"problems": [problem.as_dict() for problem in outcome.problems]}
    if outcome.reason:
        found |= {"reason": outcome.reason, "is_fault": outcome.is_fault}
    return found


def write_csv_line(cells: Sequence[str]) -> bytes:
    """A line in which no cell is taken for a formula (RFC 4180 for the rest)."""
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL).writerow([write_safe_cell(cell) for cell in cells])
    return out.getvalue().encode("utf-8", "replace")


def _list_cells(outcome: Outcome) -> list[str]:
    card = outcome.card
    codes = " ".join(dict.fromkeys(problem.code for problem in outcome.refusals))
    reason = outcome.reason or " | ".join(_describe_problem(_name_column(each, outcome)) for each in outcome.refusals)
    cells = {
        "rows": write_rows(outcome.rows),
        "prescription": outcome.prescription,
        "outcome": outcome.result.value,
        "source": outcome.source,
        "codes": codes,
        "reason": reason,
    }
    if card is not None:
        cells |= {
            "card_code": card.card_code,
            "check": card.check or "waits for a check",
            "sides": str(card.sides),
            "file": card.file_name,
            "fingerprint": card.fingerprint,
            "is_new": "yes" if card.is_new else "no",
            "cautions": " ".join(card.cautions),
        }
    return [show_line(cells.get(column, "")) for column in _COLUMNS]


def _name_column(problem: Problem, outcome: Outcome) -> Problem:
    """A column as a spreadsheet names it, where the problem is in one: by its letters, beside its own name."""
    place = problem.place
    if place.key not in list_columns() or not place.column or not outcome.source.lower().endswith((".csv", ".tsv")):
        return problem
    letters, left = "", place.column
    while left:
        left, digit = divmod(left - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return problem._replace(place=place._replace(key=f"column {letters} {place.key}"))


def _describe_problem(problem: Problem) -> str:
    place = f"{problem.place.line}:{problem.place.column} " if problem.place.line else ""
    where = f"{place}{problem.place.key}".rstrip()
    return f"{where} {problem.code}: found {problem.found}; expected {problem.expected}; do: {problem.remedy}"
