"""Two hundred rows as a spreadsheet leaves them behind: each is told by the number that the spreadsheet gives it.

The table is written by Python's ``csv`` as spreadsheets write it: a mark, ``;``, quotes where needed, columns without a
name at the end. A record is a row of the spreadsheet, so what is expected is known as the table is put together.
"""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Callable
from pathlib import Path

import pytest
from support.batches import COLUMNS, change_cell, find_run, list_cards, list_cells, run_quickly

from fillcards.batch.outcome import Result
from fillcards.batch.roster_file import Reading
from fillcards.intake.roster import read_defaults
from fillcards.intake.roster_columns import read_column_map
from fillcards.problems import RegimenRefused

ROWS = 200
REMARKS = "Remarks"
READING = Reading(columns=read_column_map(f"columns: {{{REMARKS}: not read}}"))
BAD_BYTE = "\ue000"
"""Stands for a byte that is no UTF-8 until the table is written."""


class Mess:
    """A table while it grows, and what is to come of it: rows and code of each prescription, by its first row."""

    def __init__(self, lots: random.Random) -> None:
        self.records: list[list[str]] = [[*COLUMNS, REMARKS, "", ""]]
        self.expected: dict[int, tuple[str, str]] = {}
        self._lots = lots
        self._number = 0

    def add(self, cells: list[str], remark: str = "") -> int:
        """One row; returns its number."""
        self.records.append([*cells, remark, "", ""])
        return len(self.records)

    def add_good(self, **changes: str) -> None:
        """A row that becomes a card, whatever stands in it that a spreadsheet adds."""
        row = self.add(self._take(**changes), self._lots.choice(("", "called twice\r\n", 'says "soon"; waits')))
        self.expected[row] = (str(row), "made")

    def add_bad(self, code: str, **changes: str) -> None:
        """A row that is refused."""
        row = self.add(self._take(**changes))
        self.expected[row] = (str(row), code)

    def add_two_fills(self) -> None:
        """A prescription of two rows, with blank ones between them."""
        cells = self._take()
        first = self.add(cells)
        self.add_blank()
        second = self.add(change_cell(cells, "fill.when", "before breakfast"))
        self.expected[first] = (f"{first}, {second}", "made")

    def add_contradiction(self) -> None:
        """One patient's dose under two numbers."""
        cells = self._take()
        for number in ("A", "B"):
            row = self.add(change_cell(cells, "prescription", f"{cells[COLUMNS.index('prescription')]}-{number}"))
            self.expected[row] = (str(row), "ROSTER-008")

    def add_blank(self) -> None:
        """A row of nothing, or of spaces alone."""
        self.add([self._lots.choice(("", " ", "\u00a0")) for _ in COLUMNS])

    def _take(self, **changes: str) -> list[str]:
        self._number += 1
        cells = list_cells(self._number)
        for column, text in changes.items():
            name = column.replace("__", ".")
            cells = change_cell(cells, name, text.replace("{}", cells[COLUMNS.index(name)]))
        return cells

    def write(self, path: Path) -> Path:
        """The table as a file."""
        out = io.StringIO(newline="")
        csv.writer(out, delimiter=";").writerows(self.records)
        path.write_bytes(out.getvalue().encode("utf-8-sig").replace(BAD_BYTE.encode(), b"\xe9"))
        return path


def make_mess(seed: int) -> Mess:
    """Rows of every kind in a random order."""
    lots = random.Random(seed)
    mess = Mess(lots)
    kinds: list[Callable[[], None]] = [
        mess.add_good,
        mess.add_two_fills,
        mess.add_blank,
        mess.add_contradiction,
        lambda: mess.add_good(prescription='="{}"'),
        lambda: mess.add_good(patient__name="\u00a0{} \r\n"),
        lambda: mess.add_good(medicine_1__strength="100UNITS/ML", fill__when=" bedtime "),
        lambda: mess.add_bad("QTY-004", medicine_1__dose="7 U"),
        lambda: mess.add_bad("QTY-003", medicine_1__dose="7"),
        lambda: mess.add_bad("ROSTER-013", patient__name="{}\r\nof the second floor; room 4"),
        lambda: mess.add_bad("ROSTER-001", patient__name=f"{{}}{BAD_BYTE}"),
        lambda: mess.add_bad("YAML-005", patient__name="Juniper\t{}"),
    ]
    while len(mess.records) < ROWS:
        lots.choice(kinds)()
    return mess


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_row_of_a_mess_is_told_by_the_spreadsheets_number(seed: int, tmp_path: Path) -> None:
    """No card that nobody asked for, none missing, each fault at its row."""
    mess = make_mess(seed)
    folder = tmp_path / "cards"
    run_quickly(mess.write(tmp_path / "export.csv"), folder, reading=READING)
    text = (find_run(folder) / "fillcards-summary.csv").read_text(encoding="utf-8-sig")
    told = {
        int(row["rows"].partition(",")[0]): (row["rows"], row["codes"].partition(" ")[0] or row["outcome"])
        for row in csv.DictReader(io.StringIO(text, newline=""))
    }
    assert told == mess.expected
    made = {f"row-{row:06}.pdf" for row, (_, outcome) in mess.expected.items() if outcome == "made"}
    assert set(list_cards(folder)) == made
    assert len({outcome for _, outcome in mess.expected.values()}) == 7


MERGED = {
    "prescription": "RX-1",
    "patient.name": "Juniper Testcase",
    "medicine_1.kind": "insulin regular",
    "medicine_1.dose": "6 units",
    "medicine_2.kind": "insulin isophane",
    "medicine_2.dose": "12 units",
    "fill.when": "before breakfast",
    "fill.minutes_before": "30",
    "fill.days": "[monday, tuesday]",
}
DEFAULTS = """\
syringe: {scale: U-100, capacity: 0.5 mL, line_every: 1 unit, needle: fixed}
medicines:
  regular: {kind: insulin regular, strength: 100 units/mL, vial: 10 mL}
  isophane: {kind: insulin isophane, strength: 100 units/mL, vial: 10 mL}
fillcards: 1
review: {date: 2026-11-25}
"""


@pytest.mark.parametrize("merged", [*((name,) for name in MERGED), ("medicine_2.kind", "medicine_2.dose")])
def test_a_merged_cell_makes_no_card_with_less(merged: tuple[str, ...], tmp_path: Path) -> None:
    """A value in the first row of two alone: both fills have both medicines, on one card, or there is no card."""
    second = MERGED | {"fill.when": "before supper"} | dict.fromkeys(merged, "")
    path = tmp_path / "export.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([MERGED, MERGED.values(), second.values()])
    reading = Reading(read_defaults(DEFAULTS, "clinic.yaml"))
    if merged == ("prescription",):
        with pytest.raises(RegimenRefused, match="ROSTER-020"):
            run_quickly(path, tmp_path / "cards", reading=reading)
        return
    _, (outcome,), _ = run_quickly(path, tmp_path / "cards", reading=reading)
    assert (outcome.result is Result.MADE) == (merged == ("patient.name",))
    assert outcome.rows == (2, 3)
