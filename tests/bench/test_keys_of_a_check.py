"""What it costs a person to check 300 prescriptions: keys to press for a second roster, and for the desk's entry."""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import pytest
from support.batches import name_in_letters, run_quickly, write_table

from fillcards.batch.roster_file import Reading, Roster
from fillcards.intake.roster import RowForm, read_defaults, read_prescription
from fillcards.intake.roster_columns import read_column_map
from fillcards.regimen.model import Regimen

CHECKS = 300
KEYS_A_MINUTE = 200
"""Forty words of five letters a minute, an ordinary typist. Common practice, no source."""
DEFAULTS = """\
fillcards: 1
syringe: {scale: U-100, capacity: 1 mL, line_every: 1 unit, needle: fixed}
medicines:
  regular: {kind: insulin regular, strength: 100 units/mL, vial: 10 mL}
  isophane: {kind: insulin isophane, strength: 100 units/mL, vial: 10 mL}
review: {prepared_by: A. Writer, date: 2026-11-25}
"""
READING = Reading(read_defaults(DEFAULTS, "clinic.yaml"), read_column_map("constants: {fill.days: every day}"))
COLUMNS = (
    *("prescription", "patient.name", "patient.born", "medicine_1.kind", "medicine_1.dose"),
    *("medicine_2.kind", "medicine_2.dose", "fill.when", "fill.minutes_before"),
)


def list_rows(number: int) -> list[list[str]]:
    """Two insulins in one syringe, twice a day. The second row says whose it is by its number alone."""
    first, second = f"{2 + number % 20} units", f"{4 + number % 25} units"
    whose = [f"RX-{number:06}", f"Juniper {name_in_letters(number)}", f"19{10 + number % 90}-05-04"]
    return [
        [*whose, "insulin regular", first, "insulin isophane", second, "before breakfast", "30"],
        [whose[0], "", "", "insulin regular", second, "insulin isophane", first, "before supper", "30"],
    ]


@pytest.mark.bench
def test_bench_keys_of_300_checks(tmp_path: Path) -> None:
    """Every cell and one key to leave it; the desk's fields counted in the same way. Once with nothing completed, and
    once as a spreadsheet completes what stands in the column already.
    """
    rows = [row for number in range(1, CHECKS + 1) for row in list_rows(number)]
    one, two = (
        write_table(tmp_path / f"{name}.csv", COLUMNS, order) for name, order in (("a", rows), ("b", rows[::-1]))
    )
    tally, _, _ = run_quickly(one, tmp_path / "cards", reading=READING, second=two, second_by="B. Checker")
    assert (tally.made, tally.waiting) == (CHECKS, 0)
    with two.open(encoding="utf-8", newline="") as file:
        _, *typed = csv.reader(file)
    keys = sum(len(cell) + 1 for row in typed for cell in row)
    completed = sum(count_completed(column) for column in zip(*typed, strict=True))
    with Roster(one, RowForm.CELLS, READING) as roster:
        at_desk = sum(count_keys_at_desk(read_prescription(each)) for each in roster.iterate())
    ways = (("a second roster", keys), ("the same, completed", completed), ("the desk's blind entry", at_desk))
    for where, count in ways:
        minutes = count / KEYS_A_MINUTE
        sys.stdout.write(
            f"{CHECKS} checks, two insulins twice a day, {where}: {count:,} keys, {count / CHECKS:.0f} a check; "
            f"{minutes:.0f} minutes at {KEYS_A_MINUTE} keys a minute, {60 * minutes / CHECKS:.0f} s a check\n"
        )
    assert keys < at_desk


def count_completed(column: tuple[str, ...]) -> int:
    """As many letters as only one text above begins with, and a key to take it; texts with a digit are typed out."""
    seen: set[str] = set()
    keys = 0
    for cell in column:
        others = seen - {cell}
        least = next((n for n in range(1, len(cell)) if not any(other.startswith(cell[:n]) for other in others)), 0)
        is_offered = cell in seen and least and not any(each.isdigit() for each in cell)
        keys += (least if is_offered else len(cell)) + 1
        seen.add(cell)
    return keys


def count_keys_at_desk(regimen: Regimen) -> int:
    """The fields of ``desk/second_entry.py`` for the same prescription, and one key to leave each."""
    patient = regimen.patient
    fields = [patient.name or "", str(patient.born), str(len(regimen.fills)), regimen.syringe.scale.value, "100"]
    for fill in regimen.fills:
        fields += [fill.when, "every day", str(fill.minutes_before), "under the skin"]
        fields += [text for draw in fill.draws for text in (str(draw.dose), regimen.find_medicine(draw.medicine).name)]
    fields += [text for medicine in regimen.medicines for text in (medicine.name, str(medicine.strength))]
    return sum(len(field) + 1 for field in fields)
