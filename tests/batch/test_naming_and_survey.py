"""Names of files that every system can store and that name no patient unasked; rows and names that stand twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.batches import COLUMNS, change_cell, list_cells, write_roster
from support.regimen_texts import MIXED, change_text

from fillcards.batch.roster_file import Roster, find_form
from fillcards.batch.survey import LONGEST_STEM, NameBy, fold_name, name_card, survey_roster
from fillcards.intake.roster import Prescription, Row, RowForm
from fillcards.intake.roster_columns import Cell
from fillcards.problems import RegimenRefused


def make_prescription(text: str, column: str = "prescription") -> Prescription:
    """A row with one cell."""
    return Prescription((Row(7, "roster.csv", RowForm.CELLS, (Cell(column, 1, text),)),))


def list_refused(path: Path, by: NameBy = NameBy.ROW) -> dict[int, list[str]]:
    """First row and codes of every prescription that contradicts or repeats another, or whose file name does."""
    refused = {}
    with Roster(path, find_form(path) or RowForm.CELLS) as roster:
        survey = survey_roster(roster.iterate(), by)
        for prescription in roster.iterate():
            try:
                survey.require_single(prescription, name_card(prescription, by))
            except RegimenRefused as refusal:
                refused[prescription.number] = [problem.code for problem in refusal.problems]
                _FOUND[prescription.number] = [problem.found for problem in refusal.problems]
    return refused


_FOUND: dict[int, list[str]] = {}


def test_a_card_is_named_by_its_row() -> None:
    """Unless something else is asked for, the name says nothing of the patient."""
    assert name_card(make_prescription("RX-1"), NameBy.ROW) == "row-000007"


def test_a_card_can_be_named_by_what_is_asked() -> None:
    """By prescription, by the file of a folder, or by the patient, as it is written there."""
    assert name_card(make_prescription("RX 1 (b)"), NameBy.PRESCRIPTION) == "RX 1 (b)"
    assert name_card(Prescription((Row(1, "ward 3.yaml", RowForm.YAML),)), NameBy.FILE) == "ward 3"
    assert name_card(make_prescription("Zo\u00eb Testcase", "patient.name"), NameBy.PATIENT) == "Zo\u00eb Testcase"


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
        name_card(make_prescription(text), NameBy.PRESCRIPTION)
    (problem,) = refused.value.problems
    assert problem.code == "ROSTER-010"
    assert len(text) < 3 or text not in str(problem.as_dict())


@given(st.text(max_size=80))
def test_a_name_stays_in_its_folder(text: str) -> None:
    """Whatever a cell says, the name is refused or is one plain part of a path, under 256 bytes with its ending."""
    try:
        stem = name_card(make_prescription(text), NameBy.PRESCRIPTION)
    except RegimenRefused:
        return
    path = Path("folder") / f"{stem}.pdf"
    assert path.parent == Path("folder")
    assert path.name == f"{text.strip(chr(32) + chr(10))}.pdf"
    assert len(path.name.encode()) < 256


def find(number: int, **changes: str) -> list[str]:
    """The good row of a number with other texts under some columns; two underscores stand for a point."""
    cells = list_cells(number)
    for column, text in changes.items():
        cells = change_cell(cells, column.replace("__", "."), text)
    return cells


def test_two_rows_for_one_dose_are_both_refused(tmp_path: Path) -> None:
    """One patient, medicine and time under two numbers, however time and name are written; other rows stay."""
    rows = [list_cells(1), find(1, prescription="RX-7", fill__when="at bedtime"), list_cells(2)]
    rows += [find(1, prescription="RX-8", patient__name="JUNIPER  B", medicine_1__dose="90 units")]
    path = write_roster(tmp_path / "roster.csv", rows)
    assert list_refused(path) == {row: ["ROSTER-008"] for row in (2, 3, 5)}
    assert _FOUND[5] == ["insulin glargine bedtime for one patient in rows 2, 3, 5"]


def test_two_rows_of_one_prescription_for_one_dose_are_refused_together(tmp_path: Path) -> None:
    """Each of the two is told at its own row."""
    path = write_roster(tmp_path / "roster.csv", [1, 2, find(1, medicine_1__dose="90 units")])
    assert list_refused(path) == {2: ["ROSTER-008", "ROSTER-008"]}
    assert len(set(_FOUND[2])) == 1


def test_other_times_days_patients_and_medicines_are_no_contradiction(tmp_path: Path) -> None:
    """Nor is a second syringe at the same time."""
    rows = [
        list_cells(1),
        find(1, fill__when="morning"),
        find(1, fill__when='"bedtime, second syringe"'),
        find(1, prescription="RX-7", medicine_1__kind="insulin detemir"),
        find(1, prescription="RX-8", patient__name="Alder B"),
    ]
    assert list_refused(write_roster(tmp_path / "roster.csv", rows)) == {}


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("every day", "[monday]", True),
        ("weekdays", "weekends", False),
        ("[monday, thursday]", "[tuesday]", False),
        ("[monday, thursday]", "[thursday]", True),
        ("what is this", "[thursday]", True),
    ],
)
def test_doses_of_different_days_are_no_contradiction(one: str, other: str, is_same: bool, tmp_path: Path) -> None:
    """What cannot be read may be any day."""
    path = write_roster(tmp_path / "roster.csv", [])
    lines = [",".join((*COLUMNS, "fill.days"))]
    lines += [",".join((*list_cells(1), f'"{days}"')) for days in (one, other)]
    path.write_text("\n".join(lines), encoding="utf-8")
    assert bool(list_refused(path)) is is_same


def test_patients_of_one_name_are_told_apart_by_birth(tmp_path: Path) -> None:
    """Without it they are one patient, and nobody guesses."""
    lines = [",".join((*COLUMNS, "patient.born"))]
    rows = [find(1), find(1, prescription="RX-7"), find(2), find(2, prescription="RX-8")]
    births = ["1951-05-04", "1960-01-02", "", ""]
    lines += [",".join((*row, born)) for row, born in zip(rows, births, strict=True)]
    path = tmp_path / "roster.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    assert list_refused(path) == {row: ["ROSTER-008"] for row in (4, 5)}


def test_the_message_names_the_other_rows(tmp_path: Path) -> None:
    """Up to five of them."""
    path = write_roster(tmp_path / "roster.csv", [find(1, prescription=f"RX-{number}") for number in range(9)])
    assert set(list_refused(path)) == set(range(2, 11))
    assert _FOUND[10] == ["insulin glargine bedtime for one patient in rows 2, 3, 4, 5, 6 and more"]


def test_files_and_lines_are_compared_as_well(tmp_path: Path) -> None:
    """Two regimen files of one patient with one dose each for breakfast."""
    for name in ("a.yaml", "b.yaml"):
        (tmp_path / name).write_text(change_text(MIXED, ("clear: 8 units", f"clear: {ord(name[0])} units")))
    refused = list_refused(tmp_path)
    assert set(refused) == {1, 2}
    assert set(refused[1]) == {"ROSTER-008"}


@pytest.mark.parametrize(("one", "other"), [("0012", "12"), ("RX1", "RX 1"), ("12.0", "12"), ("No. 12", "12")])
def test_two_spellings_of_one_number_are_both_refused(one: str, other: str, tmp_path: Path) -> None:
    """Each would be a card set of its own, with half of the fills; the prescriptions beside them are made."""
    rows = [find(1, prescription=one), find(1, prescription=other, fill__when="morning"), find(3)]
    path = write_roster(tmp_path / "roster.csv", rows)
    assert list_refused(path) == {row: ["ROSTER-020"] for row in (2, 3)}
    assert _FOUND[2] == ["rows 2, 3 with one prescription number, each by itself"]


def test_a_number_in_two_files_is_refused_in_both(tmp_path: Path) -> None:
    """A file is a whole regimen: fills of one prescription in two of them are two card sets with two supplies."""
    other = change_text(MIXED, ("before breakfast", "before lunch"), ("before supper", "at bedtime"))
    for name, text in (("a.yaml", MIXED), ("b.yaml", other)):
        (tmp_path / name).write_text(f"{text}prescription: RX-1\n", encoding="utf-8")
    assert list_refused(tmp_path) == {1: ["ROSTER-020"], 2: ["ROSTER-020"]}


def test_cards_that_share_a_file_name_are_all_refused(tmp_path: Path) -> None:
    """Two names that differ only in case would be one file on some disks; by row each has its own."""
    rows = [find(1), find(1, prescription="RX-7", patient__name="juniper b", fill__when="morning"), find(3)]
    path = write_roster(tmp_path / "roster.csv", rows)
    assert list_refused(path, NameBy.PATIENT) == {row: ["ROSTER-009"] for row in (2, 3)}
    assert list_refused(path, NameBy.ROW) == {}


@pytest.mark.parametrize(("one", "other"), [("STRASSE", "stra\u00dfe"), ("\u00c9", "e\u0301"), ("RX", "rx")])
def test_names_that_a_disk_may_take_for_one_are_one(one: str, other: str) -> None:
    """Full case folding, and accents stored either way (Unicode Standard Annex 15, from memory)."""
    assert fold_name(one) == fold_name(other)


def test_a_survey_counts_every_prescription(tmp_path: Path) -> None:
    """Good and bad; rows of one number once."""
    path = write_roster(tmp_path / "roster.csv", [1, find(2, medicine_1__dose="7"), find(1, fill__when="morning")])
    with Roster(path, RowForm.CELLS) as roster:
        survey = survey_roster(roster.iterate(), NameBy.ROW)
    assert (survey.count, survey.same_doses, survey.same_names) == (2, {}, {})
