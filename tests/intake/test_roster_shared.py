"""What all rows share: a row may leave it out or say the same, and is refused where it says otherwise."""

from __future__ import annotations

import pytest

from fillcards.intake.roster import Prescription, Row, RowForm, Shared, list_given, read_defaults, read_prescription
from fillcards.intake.roster_columns import Cell, DateOrder, list_columns, parse_header, read_column_map
from fillcards.problems import Problem, RegimenRefused
from fillcards.regimen.schema import read_regimen

DEFAULTS = """\
fillcards: 1
patient: {text_size: 24 pt, name: ""}
syringe: {scale: U-100, capacity: 0.5 mL, line_every: 1 unit, needle: fixed}
medicines:
  regular: {kind: insulin regular, strength: 100 units/mL, vial: 10 mL}
  isophane: {kind: insulin isophane, strength: 100 units/mL, vial: 10 mL}
contacts: [{who: Clinic, phone: 555-0100}]
review: {date: 2026-11-25}
"""
ROW = {
    "prescription": "RX-1",
    "patient.name": "Juniper Testcase",
    "medicine_1.kind": "insulin regular",
    "medicine_1.dose": "8 units",
    "medicine_2.kind": "insulin isophane",
    "medicine_2.dose": "18 units",
    "fill.when": "before breakfast",
    "fill.days": "every day",
}
AS_A_FILE = """\
fillcards: 1
patient: {name: Juniper Testcase, text_size: 24 pt}
syringe: {scale: U-100, capacity: 0.5 mL, line_every: 1 unit, needle: fixed}
medicines:
  medicine_1: {kind: insulin regular, strength: 100 units/mL, vial: 10 mL}
  medicine_2: {kind: insulin isophane, strength: 100 units/mL, vial: 10 mL}
fills: [{when: before breakfast, days: every day, draw: {medicine_1: 8 units, medicine_2: 18 units}}]
contacts: [{who: Clinic, phone: 555-0100}]
prescription: RX-1
review: {date: 2026-11-25}
"""


def make(cells: dict[str, str], shared: Shared) -> Prescription:
    """One row with what all rows share."""
    found = tuple(Cell(name, number, text) for number, (name, text) in enumerate(cells.items(), start=1))
    return Prescription((Row(5, "roster.csv", RowForm.CELLS, found),), shared)


def list_problems(cells: dict[str, str], text: str = DEFAULTS) -> tuple[Problem, ...]:
    """What a row is refused for."""
    with pytest.raises(RegimenRefused) as refused:
        read_prescription(make(cells, read_defaults(text, "clinic.yaml")))
    return refused.value.problems


def test_a_row_of_eight_cells_says_what_a_file_says() -> None:
    """Each medicine of the row has what the defaults know of it; those that the row does not draw stay out."""
    shared = read_defaults(DEFAULTS, "clinic.yaml")
    assert read_prescription(make(ROW, shared)) == read_regimen(AS_A_FILE)
    one = {name: text for name, text in ROW.items() if not name.startswith("medicine_2")}
    assert [each.name for each in read_prescription(make(one, shared)).medicines] == ["insulin regular"]


def test_the_header_may_leave_out_what_the_defaults_have() -> None:
    """The columns of such a row are enough; without the defaults they are not."""
    assert len(parse_header(tuple(ROW), given=list_given(read_defaults(DEFAULTS, "clinic.yaml")))) == len(ROW)
    with pytest.raises(RegimenRefused):
        parse_header(tuple(ROW))


def test_a_row_that_says_the_same_is_as_good() -> None:
    """A value that stands in both places."""
    shared = read_defaults(DEFAULTS, "clinic.yaml")
    said = ROW | {"syringe.capacity": "0.5 mL", "contact.who": "Clinic", "contact.phone": "555-0100"}
    assert read_prescription(make(said, shared)) == read_regimen(AS_A_FILE)


@pytest.mark.parametrize(
    ("column", "text", "there"),
    [
        ("syringe.capacity", "0.3 mL", "clinic.yaml:3"),
        ("medicine_1.strength", "40 units/mL", "clinic.yaml:5"),
        ("review.date", "2026-11-26", "clinic.yaml:8"),
    ],
)
def test_a_row_that_says_otherwise_is_refused(column: str, text: str, there: str) -> None:
    """At its cell, with the line of the other file: nobody can tell which of the two was meant."""
    (problem,) = list_problems(ROW | {column: text})
    assert (problem.code, problem.place.line, problem.place.key) == ("ROSTER-012", 5, column)
    assert f'"{text}"' in problem.found
    assert problem.found.endswith(f"in {there}")


def test_a_fault_of_the_defaults_is_told_with_their_line() -> None:
    """It has no place in the roster."""
    (problem,) = list_problems(ROW, DEFAULTS.replace("capacity: 0.5 mL", "capacity: 0.5"))
    assert (problem.code, problem.place.line) == ("QTY-003", 0)
    assert problem.place.key == "syringe.capacity (clinic.yaml:3)"


@pytest.mark.parametrize(
    "more",
    [
        "prescription: RX-1",
        "fills: [{when: bedtime, draw: {regular: 8 units}}]",
        "replaces: {card_code: ABCD}",
    ],
)
def test_the_defaults_hold_nothing_of_one_patient(more: str) -> None:
    """Neither number, fill nor replaced card."""
    with pytest.raises(RegimenRefused) as refused:
        read_defaults(f"{DEFAULTS}{more}\n", "clinic.yaml")
    assert [problem.code for problem in refused.value.problems] == ["ROSTER-016"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('name: ""', "name: Juniper Testcase"),
        ('name: ""', "born: 1951-05-04"),
        ("date: 2026-11-25", "checked_by: B. Checker, date: 2026-11-25"),
        ("kind: insulin isophane", "kind: insulin regular"),
    ],
)
def test_a_name_a_check_or_a_medicine_twice_is_refused_in_defaults(old: str, new: str) -> None:
    """One entry a medicine, and no person."""
    with pytest.raises(RegimenRefused) as refused:
        read_defaults(DEFAULTS.replace(old, new), "clinic.yaml")
    assert [problem.code for problem in refused.value.problems] == ["ROSTER-016"]


def test_a_map_names_constants_and_an_order_of_dates() -> None:
    """As they stand there."""
    told = read_column_map(
        "columns: {Rx: prescription, Note: not read}\nconstants: {fill.days: every day}\ndates: month/day/year\n"
    )
    assert told.names == {"Rx": "prescription", "Note": "not read"}
    assert told.constants == (Cell("fill.days", 0, "every day"),)
    assert told.dates is DateOrder.MONTH_FIRST


@pytest.mark.parametrize(
    "text",
    [
        "[1]",
        "columns: [Rx]",
        "columns: {Rx: [prescription]}",
        "columns: {Rx: rescription}",
        "columns: {Rx: ignore}",
        "constants: {fill.dais: every day}",
        "constants: {prescription: RX-1}",
        "constants: {patient.name: Juniper}",
        "columns: {Day: fill.days}\nconstants: {fill.days: every day}",
        "dates: dd.mm.yy",
        "dates: [day/month/year]",
        "units: units",
    ],
)
def test_a_map_that_says_something_else_is_refused(text: str) -> None:
    """Unknown keys and columns, two sources of one value, one patient's own for all."""
    with pytest.raises(RegimenRefused) as refused:
        read_column_map(text)
    assert {problem.code for problem in refused.value.problems} == {"ROSTER-017"}


@pytest.mark.parametrize(
    ("text", "day_first", "month_first"),
    [
        ("3/4/2026", "2026-04-03", "2026-03-04"),
        ("03.04.2026", "2026-04-03", "2026-03-04"),
        ("3-4-2026", "2026-04-03", "2026-03-04"),
        ("2026-03-04", "2026-03-04", "2026-03-04"),
        ("3/4/26", "3/4/26", "3/4/26"),
        ("3/4.2026", "3/4.2026", "3/4.2026"),
        ("13/13/2026", "2026-13-13", "2026-13-13"),
    ],
)
def test_dates_are_read_in_the_order_that_is_stated(text: str, day_first: str, month_first: str) -> None:
    """Two digits for a year, and two kinds of signs, are not understood; the reader of files refuses what is no day."""
    column = list_columns()["review.date"]
    assert column.clean(text, DateOrder.DAY_FIRST) == day_first
    assert column.clean(text, DateOrder.MONTH_FIRST) == month_first
    assert column.clean(text, None) == text
