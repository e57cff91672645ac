"""Rosters, and workers that stand in for real ones, for tests of many cards. Names and doses are invented."""

from __future__ import annotations

import datetime
import hashlib
import os
import signal
import sys
import time
from collections.abc import Callable, Iterable
from contextlib import ExitStack
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

from fillcards.batch import make_row as make_row_module
from fillcards.batch import workers
from fillcards.batch.make_row import make_row
from fillcards.batch.outcome import Outcome, Tally, Task
from fillcards.batch.roster_file import PLAIN, Reading, Roster, find_form
from fillcards.batch.run import Batch, run_batch
from fillcards.batch.survey import survey_roster
from fillcards.batch.workers import Pool
from fillcards.cli import main
from fillcards.intake.roster import RowForm
from fillcards.options import Ending, Options
from fillcards.regimen.model import Regimen

COLUMNS = (
    "fillcards",
    "patient.name",
    "syringe.scale",
    "syringe.capacity",
    "syringe.line_every",
    "syringe.needle",
    "medicine_1.kind",
    "medicine_1.strength",
    "medicine_1.dose",
    "fill.when",
    "prescription",
    "review.date",
)
POISON = "RX-000013"
"""The prescription whose row kills its worker in ``make_or_die``."""


def name_in_letters(number: int) -> str:
    """A family name for each number, without a digit: 12 is ``Bc``."""
    return "".join(chr(ord("a") + int(digit)) for digit in str(number)).capitalize()


def list_cells(number: int) -> list[str]:
    """One good row, another for each number: another patient, and one of 50 doses."""
    dose = f"{2 * (number % 50) + 2} units"
    syringe = ["U-100", "1 mL", "2 units", "fixed"]
    medicine = ["insulin glargine", "100 units/mL", dose]
    return ["1", f"Juniper {name_in_letters(number)}", *syringe, *medicine, "bedtime", f"RX-{number:06}", "2026-11-25"]


def write_roster(path: Path, rows: Iterable[int | list[str]], separator: str = ",") -> Path:
    """A roster with the good row of each number, and other rows as they are given."""
    lines = [COLUMNS, *(list_cells(row) if isinstance(row, int) else row for row in rows)]
    path.write_text("".join(f"{separator.join(line)}\n" for line in lines), encoding="utf-8")
    return path


def write_table(path: Path, columns: Iterable[str], rows: Iterable[list[str]]) -> Path:
    """A roster of other columns."""
    path.write_text("".join(f"{','.join(line)}\n" for line in (columns, *rows)), encoding="utf-8")
    return path


def change_cell(cells: list[str], column: str, text: str) -> list[str]:
    """The row with another text under a column."""
    changed = list(cells)
    changed[COLUMNS.index(column)] = text
    return changed


class InlinePool(Pool):
    """No workers: each row is made when its outcome is asked for, in this very process."""

    most_waiting = 3

    def __init__(self, make: Callable[[Task], Outcome] = make_row) -> None:
        self._make = make
        self.asked: list[int] = []

    def submit(self, task: Task) -> Task:
        """Take note."""
        self.asked.append(task.prescription.number)
        return task

    def take(self, future: Task) -> Outcome:
        """Make it now."""
        return self._make(future)


def make_quickly(task: Task) -> Outcome:
    """As a worker does, with a few bytes in place of a card: for tests of everything around it."""
    with patch.multiple(make_row_module, place_regimen=_place_nothing, write_pages=_write_little):
        return make_row(task)


def _place_nothing(regimen: Regimen, options: Options) -> SimpleNamespace:
    placed = SimpleNamespace(pages=(1,))
    return SimpleNamespace(regimen=regimen, options=options, raised=None, placed=placed, problems=options.told)


def _write_little(made: SimpleNamespace, _: Ending) -> tuple[bytes]:
    # As a real card, which does not depend on the day.
    said = f"{made.regimen!r} {made.options._replace(today=None)!r}"
    return (b"%PDF-stand-in " + hashlib.sha256(said.encode()).digest(),)


def make_or_die(task: Task) -> Outcome:
    """As ``make_quickly``, but for one row, which kills the process that has it."""
    if POISON in (cell.text for cell in task.prescription.rows[0].cells):
        os.kill(os.getpid(), signal.SIGKILL)
    return make_quickly(task)


def make_slowly(task: Task) -> Outcome:
    """As ``make_quickly``, slowly enough to be met at work."""
    time.sleep(0.05)
    return make_quickly(task)


TODAY = datetime.date(2026, 11, 26)


def run_quickly(
    roster: Path,
    folder: Path,
    *,
    make: Callable[[Task], Outcome] = make_quickly,
    reading: Reading = PLAIN,
    second: Path | None = None,
    day: datetime.date = TODAY,
    options: Options | None = None,
    **asked: Any,
) -> tuple[Tally, list[Outcome], InlinePool]:
    """A whole run without workers; ``asked`` is what else a ``Batch`` has."""
    pool = InlinePool(make)
    outcomes: list[Outcome] = []
    with ExitStack() as stack:
        form = find_form(roster) or RowForm.CELLS
        opened = stack.enter_context(Roster(roster, form, reading))
        other = stack.enter_context(Roster(second, RowForm.CELLS, reading)) if second else None
        batch = Batch(opened, folder, options or Options(), day, second=other, **asked)
        tally, _ = run_batch(batch, survey_roster(batch.roster.iterate(), batch.name_by), pool, outcomes.append)
    return tally, outcomes, pool


def run_with(pool: Any, roster: Path, folder: Path, watch: Callable[[Outcome], None] | None = None) -> list[Outcome]:
    """Every outcome of a run on some workers."""
    outcomes: list[Outcome] = []

    def note(outcome: Outcome) -> None:
        outcomes.append(outcome)
        if watch is not None:
            watch(outcome)

    with Roster(roster, RowForm.CELLS) as opened:
        batch = Batch(opened, folder, Options(), TODAY)
        run_batch(batch, survey_roster(batch.roster.iterate(), batch.name_by), pool, note)
    return outcomes


def find_run(folder: Path) -> Path:
    """The folder of the only run so far."""
    (run,) = folder.iterdir()
    return run


def list_cards(folder: Path) -> dict[str, bytes]:
    """Name and bytes of every card in the folders of all runs; files about a run are left out."""
    return {path.name: path.read_bytes() for path in sorted(folder.glob("*/*.pdf")) if path.name[:9] != "fillcards"}


def run_program_quickly(arguments: list[str]) -> int:
    """The program itself, whose workers write a few bytes in place of each card; for a process of its own."""
    with patch.object(workers, "make_row", make_quickly):
        return main(arguments, sys.stdin, sys.stdout, sys.stderr)
