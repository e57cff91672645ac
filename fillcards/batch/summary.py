"""What became of each row: for people, as CSV and as JSON, written during the run so that memory use stays flat.

Says row, place and reason; of what the row says no more than a problem quotes, which is never the patient's name.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from fillcards.batch.outcome import Outcome, Repeats, Result, Tally
from fillcards.files import GrowingFile
from fillcards.intake.roster_columns import list_columns
from fillcards.problems import Problem, show_line, write_problem

TEXT_NAME: Final = "fillcards-summary.txt"
CSV_NAME: Final = "fillcards-summary.csv"
JSON_NAME: Final = "fillcards-summary.json"

# What a spreadsheet takes for the start of a formula, in both widths. Source: OWASP, "CSV Injection", from memory.
_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")

_COLUMNS: Final = (
    "row",
    "line",
    "source",
    "prescription",
    "outcome",
    "file",
    "is_new",
    "card_code",
    "fingerprint",
    "pages",
    "cautions",
    "codes",
    "reason",
)


class Summary:
    """The three files of a run while they grow; used with ``with``, nothing of them stays unless they are finished.

    Args:
        folder: of the cards.
        temporary_folder: for what is not finished.
        roster: its name, for the head of each file.
    """

    def __init__(self, folder: Path, temporary_folder: Path, roster: str) -> None:
        names = (TEXT_NAME, CSV_NAME, JSON_NAME)
        with ExitStack() as stack:
            files = (stack.enter_context(GrowingFile(folder / name, temporary_folder)) for name in names)
            self._text, self._csv, self._json = files
            self._closing = stack.pop_all()
        self._has_rows = False
        self._repeats = Repeats()
        self._say(f"Fillcards: run of {roster}", "")
        # The mark tells a spreadsheet that the text is UTF-8.
        self._csv.write(b"\xef\xbb\xbf" + write_csv_line(_COLUMNS))
        self._json.write(f'{{"roster": {json.dumps(roster)}, "rows": ['.encode("ascii"))

    @property
    def files(self) -> tuple[GrowingFile, ...]:
        """The three files, to be claimed and finished at the end of the run."""
        return self._text, self._csv, self._json

    def add(self, outcome: Outcome) -> None:
        """One row more."""
        if outcome.result is not Result.MADE and not self._repeats.note(outcome):
            self._say(*describe_outcome(outcome), "")
        self._csv.write(write_csv_line(_list_cells(outcome)))
        separator = ",\n" if self._has_rows else "\n"
        self._json.write((separator + json.dumps(describe_for_programs(outcome))).encode("ascii"))
        self._has_rows = True

    def complete(self, tally: Tally) -> None:
        """Write the counts; the files then wait for their ``finish``."""
        repeats = tuple(self._repeats.describe())
        self._say(*repeats, *([""] if repeats else []), *tally.describe())
        self._json.write(f'\n], "counts": {json.dumps(tally.describe_for_programs())}}}\n'.encode("ascii"))

    def _say(self, *lines: str) -> None:
        self._text.write("".join(f"{show_line(line)}\n" for line in lines).encode("utf-8"))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._closing.__exit__(kind, fault, trace)


def describe_outcome(outcome: Outcome) -> tuple[str, ...]:
    """A row without a card, for people, line by line."""
    number = f", prescription {outcome.prescription}" if outcome.prescription else ""
    first = f"row {outcome.number} ({outcome.source}:{outcome.line}){number}: {outcome.result.value}"
    if outcome.result is Result.FAILED:
        # A report of ours has lines; any other reason has one, whatever the names in it hold.
        return (
            first,
            *(f"  {line}" for line in (outcome.reason.split("\n") if outcome.is_fault else (outcome.reason,))),
        )
    told = (write_problem(_name_column(problem, outcome), outcome.source).split("\n") for problem in outcome.refusals)
    return (first, *(line for lines in told for line in lines))


def describe_for_programs(outcome: Outcome) -> dict[str, Any]:
    """A row for JSON."""
    found: dict[str, Any] = {
        "row": outcome.number,
        "line": outcome.line,
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


def write_safe_cell(text: str) -> str:
    """The text, with an apostrophe before what a spreadsheet would work out."""
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA_STARTS) else text


def _list_cells(outcome: Outcome) -> list[str]:
    card = outcome.card
    made = [""] * 6
    if card is not None:
        is_new = "yes" if card.is_new else "no"
        made = [card.file_name, is_new, card.card_code, card.fingerprint, str(card.pages), " ".join(card.cautions)]
    codes = " ".join(dict.fromkeys(problem.code for problem in outcome.refusals))
    reason = outcome.reason or " | ".join(_describe_problem(_name_column(each, outcome)) for each in outcome.refusals)
    row = [str(outcome.number), str(outcome.line), outcome.source, outcome.prescription, outcome.result.value]
    return list(map(show_line, (*row, *made, codes, reason)))


def _name_column(problem: Problem, outcome: Outcome) -> Problem:
    """A column as a spreadsheet names it, where the problem is in one: by its letters, beside its own name."""
    place = problem.place
    if place.key not in list_columns() or not outcome.source.lower().endswith(".csv"):
        return problem
    letters, left = "", place.column
    while left:
        left, digit = divmod(left - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return problem._replace(place=place._replace(key=f"column {letters} {place.key}"))


def _describe_problem(problem: Problem) -> str:
    where = f"{problem.place.line}:{problem.place.column} {problem.place.key}".rstrip()
    return f"{where} {problem.code}: found {problem.found}; expected {problem.expected}; do: {problem.remedy}"
