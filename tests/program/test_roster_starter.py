"""The table that travels with the program: few columns for the common case, two fills of one prescription in it."""

from __future__ import annotations

import csv
from pathlib import Path

from fillcards.batch.roster_file import Roster
from fillcards.intake.roster import RowForm, read_prescription
from fillcards.intake.roster_columns import list_columns

TEMPLATE = Path(__file__).parents[2] / "templates_yaml" / "roster.csv"
MOST_COLUMNS = 26


def test_the_template_is_of_columns_there_are_and_its_prescriptions_are_good() -> None:
    """No more columns than one insulin or two need; what it shows is read, two rows as one regimen."""
    with TEMPLATE.open(encoding="utf-8", newline="") as file:
        header = next(csv.reader(file))
    assert set(header) <= set(list_columns())
    assert len(header) == len(set(header)) <= MOST_COLUMNS
    with Roster(TEMPLATE, RowForm.CELLS) as roster:
        regimens = [read_prescription(prescription) for prescription in roster.iterate()]
    assert [len(regimen.fills) for regimen in regimens] == [2, 1]
    assert all(regimen.is_sample for regimen in regimens)
