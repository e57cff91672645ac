"""Names of files that every system can store and that name no patient unasked; rows and names that stand twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.batches import change_cell, list_cells, write_roster

from fillcards.batch.roster_file import iterate_rows
from fillcards.batch.survey import LONGEST_STEM, NameBy, Survey, fold_name, name_row, survey_rows
from fillcards.intake.roster import Cell, Row, RowForm
from fillcards.problems import RegimenRefused


def make_row(text: str, column: str = "prescription") -> Row:
    """A row with one cell."""
    return Row(7, 8, "roster.csv", RowForm.CELLS, (Cell(column, 1, text),))


def list_refused(path: Path, by: NameBy) -> dict[int, str]:
    """Row and code of every row that stands twice, or whose name does."""
    survey = survey_rows(iterate_rows(path, RowForm.CELLS), by)
    refused = {}
    for row in iterate_rows(path, RowForm.CELLS):
        try:
            survey.require_single(row, name_row(row, by))
        except RegimenRefused as refusal:
            refused[row.number] = refusal.problems[0].code
    return refused


def test_a_card_is_named_by_its_row() -> None:
    """Unless something else is asked for, the name says nothing of the patient."""
    assert name_row(make_row("RX-1"), NameBy.ROW) == "row-000007"


def test_a_card_can_be_named_by_what_is_asked() -> None:
    """By prescription, by the file of a folder, or by the patient, as it is written there."""
    assert name_row(make_row("RX 1 (b)"), NameBy.PRESCRIPTION) == "RX 1 (b)"
    assert name_row(Row(1, 1, "ward 3.yaml", RowForm.YAML), NameBy.FILE) == "ward 3"
    assert name_row(make_row("Zo\u00eb Testcase", "patient.name"), NameBy.PATIENT) == "Zo\u00eb Testcase"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "../RX",
        "RX/1",
        "RX\\1",
        "RX:1",
        "RX*",
        "RX?",
        'RX"',
        "RX|1",
        ".RX",
        "RX.",
        "RX ",
        "-RX",
        "=RX",
        "RX\n1",
        "RX\x00",
        "RX\u202e1",
        "con",
        "NUL.1",
        "com1",
        "fillcards-run",
        "Fillcards-summary",
        "Zoe\u0308",
        "R" * (LONGEST_STEM + 1),
        "\u00e9" * (LONGEST_STEM // 2 + 1),
    ],
)
def test_a_name_that_some_system_cannot_store_is_refused(text: str) -> None:
    """It is never changed into another one, and the message does not quote it."""
    with pytest.raises(RegimenRefused) as refused:
        name_row(make_row(text), NameBy.PRESCRIPTION)
    (problem,) = refused.value.problems
    assert problem.code == "ROSTER-010"
    assert len(text) < 3 or text not in str(problem.as_dict())


@given(st.text(max_size=80))
def test_a_name_stays_in_its_folder(text: str) -> None:
    """Whatever a cell says, the name is refused or is one plain part of a path, under 256 bytes with its ending."""
    try:
        stem = name_row(make_row(text), NameBy.PRESCRIPTION)
    except RegimenRefused:
        return
    path = Path("folder") / f"{stem}.pdf"
    assert path.parent == Path("folder")
    assert path.name == f"{text}.pdf"
    assert len(path.name.encode()) < 256


def test_rows_that_are_the_same_are_all_refused(tmp_path: Path) -> None:
    """Neither of two equal rows becomes a card, nor one that differs only in case; others do."""
    shouted = [cell.upper() if "Juniper" in cell else cell for cell in list_cells(1)]
    path = write_roster(tmp_path / "roster.csv", [1, 2, 1, shouted, 3])
    assert list_refused(path, NameBy.ROW) == dict.fromkeys((1, 3, 4), "ROSTER-008")


def test_the_message_names_the_other_rows(tmp_path: Path) -> None:
    """Up to five of them."""
    path = write_roster(tmp_path / "roster.csv", [1] * 9)
    survey = survey_rows(iterate_rows(path, RowForm.CELLS), NameBy.ROW)
    row = next(iterate_rows(path, RowForm.CELLS))
    with pytest.raises(RegimenRefused) as refused:
        survey.require_single(row, "row-000001")
    assert refused.value.problems[0].found == "rows 1, 2, 3, 4, 5 and more are the same"


def test_rows_that_share_a_file_name_are_all_refused(tmp_path: Path) -> None:
    """Two prescriptions that differ only in case would be one file on some disks."""
    rows = [list_cells(1), change_cell(list_cells(2), "prescription", "rx-000001"), list_cells(3)]
    path = write_roster(tmp_path / "roster.csv", rows)
    assert list_refused(path, NameBy.PRESCRIPTION) == dict.fromkeys((1, 2), "ROSTER-009")
    assert list_refused(path, NameBy.ROW) == {}


@pytest.mark.parametrize(("one", "other"), [("STRASSE", "stra\u00dfe"), ("\u00c9", "e\u0301"), ("RX", "rx")])
def test_names_that_a_disk_may_take_for_one_are_one(one: str, other: str) -> None:
    """Full case folding, and accents stored either way (Unicode Standard Annex 15, from memory)."""
    assert fold_name(one) == fold_name(other)


def test_a_survey_counts_every_row(tmp_path: Path) -> None:
    """Good and bad."""
    path = write_roster(tmp_path / "roster.csv", [1, ["1", "short"], 2])
    survey = survey_rows(iterate_rows(path, RowForm.CELLS), NameBy.ROW)
    assert survey == Survey(3, {}, {})
