"""A row of a roster says what a regimen file of its own would say, or is refused with its place."""

from __future__ import annotations

import datetime
import json
import random
from dataclasses import replace

import pytest
import yaml
from support.regimen_texts import MIXED

from fillcards.intake.roster import Prescription, Row, RowForm, Shared, loosen_number, read_prescription
from fillcards.intake.roster_columns import MOST_COLUMNS, Cell, parse_header
from fillcards.plan.supply import plan_supply
from fillcards.problems import Problem, RegimenRefused
from fillcards.regimen.schema import read_regimen

ONE_FILL = """\
fillcards: 1
patient: {name: Juniper Testcase, text_size: 24 pt}
syringe: {scale: U-100, capacity: 0.5 mL, line_every: 1 unit, needle: fixed}
medicines:
  medicine_1: {kind: insulin regular, strength: 100 units/mL, vial: 10 mL}
  medicine_2: {kind: insulin isophane, strength: 100 units/mL, vial: 10 mL}
fills:
  - when: before breakfast
    minutes_before: 30
    days: [monday, thursday]
    draw: {medicine_1: 8 units, medicine_2: 18 units}
contacts: [{who: Clinic, phone: 555-0100}]
prescription: RX-1
review: {date: 2026-11-25}
"""
CELLS = {
    "fillcards": "1",
    "patient.name": "Juniper Testcase",
    "patient.text_size": "24 pt",
    "syringe.scale": "U-100",
    "syringe.capacity": "0.5 mL",
    "syringe.line_every": "1 unit",
    "syringe.needle": "fixed",
    "medicine_1.kind": "insulin regular",
    "medicine_1.strength": "100 units/mL",
    "medicine_1.vial": "10 mL",
    "medicine_1.dose": "8 units",
    "medicine_2.kind": "insulin isophane",
    "medicine_2.strength": "100 units/mL",
    "medicine_2.vial": "10 mL",
    "medicine_2.dose": "18 units",
    "fill.when": "before breakfast",
    "fill.minutes_before": "30",
    "fill.days": "[monday, thursday]",
    "contact.who": "Clinic",
    "contact.phone": "555-0100",
    "prescription": "RX-1",
    "review.date": "2026-11-25",
}


def make_row(cells: dict[str, str], number: int = 7) -> Row:
    """A row in CSV with these cells, in this order."""
    columns = parse_header(tuple(cells))
    found = [
        Cell(column.name, at, text)
        for at, (column, given) in enumerate(zip(columns, cells.values(), strict=True), start=1)
        if column and ((text := column.clean(given, None)) or column.is_required)
    ]
    return Row(number, "roster.csv", RowForm.CELLS, tuple(found))


def make_prescription(*rows: dict[str, str], shared: Shared = Shared(), number: int = 7) -> Prescription:  # noqa: B008
    """Rows in CSV that follow each other."""
    return Prescription(tuple(make_row(row, at) for at, row in enumerate(rows, start=number)), shared)


def make_json_row(value: object, line: int = 3) -> Prescription:
    """A row in JSON lines."""
    data = value if isinstance(value, bytes) else json.dumps(value).encode()
    return Prescription((Row(line, "roster.jsonl", RowForm.JSON, data=data),))


def list_problems(prescription: Prescription) -> tuple[Problem, ...]:
    """What a prescription is refused for, with places in the roster."""
    with pytest.raises(RegimenRefused) as refused:
        read_prescription(prescription)
    return prescription.shift(refused.value.problems)


def test_cells_say_what_a_file_says() -> None:
    """The regimen of a row in CSV equals that of a file with the same values."""
    assert read_prescription(make_prescription(CELLS)) == read_regimen(ONE_FILL)


def test_the_order_of_columns_does_not_matter() -> None:
    """Columns in any order give the same regimen, and the same bytes to compare by."""
    names = list(CELLS)
    random.Random(4).shuffle(names)
    shuffled = make_prescription({name: CELLS[name] for name in names})
    assert shuffled.write_canonical() == make_prescription(CELLS).write_canonical()
    assert list(shuffled.rows[0].cells) != list(make_row(CELLS).cells)
    assert read_prescription(shuffled) == read_prescription(make_prescription(CELLS))


def test_a_json_line_says_what_a_file_says() -> None:
    """The regimen of a line equals that of the same tree in YAML, doses and all."""
    tree = yaml.load(MIXED, yaml.BaseLoader)
    assert read_prescription(make_json_row(tree)) == read_regimen(MIXED)


def test_numbers_and_truth_in_json_are_the_text_that_stands_there() -> None:
    """Version and sample may be written as JSON has them, as in a regimen file."""
    tree = yaml.load(MIXED, yaml.BaseLoader) | {"fillcards": 1, "sample": True}
    assert read_prescription(make_json_row(tree)).is_sample


def test_a_bare_number_in_json_is_no_dose() -> None:
    """A dose without its unit is refused, with the line of the roster and the path."""
    tree = yaml.load(MIXED, yaml.BaseLoader)
    tree["fills"][0]["draw"]["clear"] = 8
    (problem,) = list_problems(make_json_row(tree))
    assert (problem.code, problem.place.line, problem.place.key) == ("QTY-003", 3, "fills[1].draw.clear")


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"[1]", "ROSTER-011"),
        (b'"text"', "ROSTER-011"),
        (b"{", "ROSTER-011"),
        (b'{"a": NaN}', "ROSTER-011"),
        (b'{"a": "1"} {"a": "2"}', "ROSTER-011"),
        (b"fillcards: 1", "ROSTER-011"),
        (b'{"fillcards": ' + b"[" * 100_000 + b"]" * 100_000 + b"}", "ROSTER-011"),
        (b'{"fillcards": "1", "fillcards": "1"}', "YAML-012"),
        (b'{"fillcards": "1", "notes": "a\\u202eb"}', "YAML-005"),
        (b'{"fillcards": "\xff"}', "YAML-001"),
        (b'{"fillcards": ' + b"[" * 30 + b"]" * 30 + b"}", "YAML-014"),
    ],
)
def test_a_line_that_is_no_plain_object_is_refused(data: bytes, code: str) -> None:
    """What is not JSON, no object, says a thing twice, hides a character or nests beyond sense."""
    assert code in {problem.code for problem in list_problems(make_json_row(data))}


def test_a_problem_names_line_column_and_name() -> None:
    """The dose is at fault: its line in the roster, the number of its column, its name."""
    (problem,) = list_problems(make_prescription(CELLS | {"medicine_1.dose": "8"}, number=41))
    number = list(CELLS).index("medicine_1.dose") + 1
    assert problem.code == "QTY-003"
    assert (problem.place.line, problem.place.column, problem.place.key) == (41, number, "medicine_1.dose")


@pytest.mark.parametrize(
    ("column", "text", "code"),
    [
        ("medicine_1.dose", "", "FILL-003"),
        ("medicine_1.dose", "=8 units", "QTY-001"),
        ("medicine_1.dose", "8,5 units", "QTY-001"),
        ("medicine_1.dose", "8 U", "QTY-004"),
        ("medicine_1.dose", "8 IU", "QTY-004"),
        ("medicine_1.dose", "8U", "QTY-004"),
        ("medicine_1.dose", "0.5 Mg", "QTY-004"),
        ("medicine_1.dose", "8-10 UNITS", "QTY-002"),
        ("medicine_1.dose", "8.0 UNITS", "QTY-001"),
        ("medicine_1.dose", "08UNITS", "QTY-001"),
        ("medicine_1.dose", "8\u200b units", "YAML-005"),
        ("medicine_1.dose", "8\tunits", "YAML-005"),
        ("medicine_1.strength", "", "FORM-006"),
        ("medicine_2.dose", "", "FILL-003"),
        ("medicine_2.kind", "", "FORM-004"),
        ("syringe.scale", "", "FORM-006"),
        ("fill.when", "", "FORM-006"),
        ("fill.days", "monday", "DAYS-001"),
        ("fillcards", "2", "FORM-002"),
        ("contact.who", "", "FORM-004"),
        ("review.date", "25.11.2026", "DATE-001"),
    ],
)
def test_a_cell_is_as_strict_as_a_file(column: str, text: str, code: str) -> None:
    """One cell at fault gives the code that a file gets, at its own column, and no message names the patient."""
    problems = list_problems(make_prescription(CELLS | {column: text}))
    assert code in {problem.code for problem in problems}
    assert not any("Juniper" in str(problem.as_dict()) for problem in problems)


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("medicine_1.dose", "8 UNITS"),
        ("medicine_1.dose", "8units"),
        ("medicine_1.dose", "  8  units "),
        ("medicine_1.dose", "8\u00a0units"),
        ("medicine_1.dose", "\u00a08\u202fUNITS\u00a0"),
        ("syringe.capacity", "0.5mL"),
        ("syringe.capacity", "0.5 ML"),
        ("syringe.capacity", "0.5ml"),
        ("syringe.line_every", "1UNIT"),
        ("medicine_1.strength", "100 UNITS/ML"),
        ("medicine_1.strength", "100units/mL"),
        ("patient.text_size", "24pt"),
        ("patient.name", " Juniper\u00a0Testcase  "),
        ("fill.when", "before\u00a0breakfast "),
        ("fill.days", "[monday,\u00a0 thursday ] "),
        ("medicine_1.kind", "insulin regular "),
    ],
)
def test_a_cell_as_a_spreadsheet_writes_it_is_understood(column: str, text: str) -> None:
    """Spaces around it, no-break spaces, no space before a unit, a unit in capitals: the same regimen."""
    assert read_prescription(make_prescription(CELLS | {column: text})) == read_prescription(make_prescription(CELLS))


def test_a_cell_as_a_spreadsheet_writes_it_is_the_same_row() -> None:
    """So that a roster exported twice, once in capitals, is one job."""
    row = make_prescription(CELLS | {"medicine_1.dose": "8UNITS ", "patient.name": "Juniper\u00a0Testcase "})
    assert row.write_canonical() == make_prescription(CELLS).write_canonical()


def test_a_name_of_a_column_may_have_spaces_around_it() -> None:
    """As any other cell of the table."""
    assert parse_header(tuple(f" {name}\u00a0" for name in CELLS)) == parse_header(tuple(CELLS))


def test_an_empty_cell_is_a_key_left_out() -> None:
    """A row with the second medicine empty is a row of one medicine."""
    one = CELLS | {name: "" for name in CELLS if name.startswith("medicine_2")} | {"patient.text_size": ""}
    regimen = read_prescription(make_prescription(one))
    assert [medicine.key for medicine in regimen.medicines] == ["medicine_1"]
    assert regimen.patient.text_size_pt is None


def test_a_dose_without_its_medicine_is_not_dropped() -> None:
    """A second dose alone, a slip of columns, refuses the row."""
    alone = {name: text for name, text in CELLS.items() if not name.startswith("medicine_2") or name.endswith("dose")}
    (problem,) = list_problems(make_prescription(alone))
    assert (problem.code, problem.place.key) == ("FORM-006", "medicine_2.dose")


def test_unknown_and_missing_columns_name_the_likeliest() -> None:
    """A slip in a name is told from both sides, and the name that was meant stands in the remedy."""
    names = tuple(name.replace("strength", "strenght") for name in CELLS)
    with pytest.raises(RegimenRefused) as refused:
        parse_header(names)
    said = {(problem.code, problem.remedy) for problem in refused.value.problems}
    assert ("ROSTER-004", 'did you mean "medicine_1.strength"?') in said
    assert any(code == "ROSTER-005" and "medicine_1.strenght" in remedy for code, remedy in said)


def test_a_column_twice_is_refused() -> None:
    """Two doses under one name: neither is taken."""
    with pytest.raises(RegimenRefused) as refused:
        parse_header((*CELLS, "medicine_1.dose"))
    assert [problem.code for problem in refused.value.problems] == ["ROSTER-006"]


@pytest.mark.parametrize("name", ["Medicine_1.dose", "medicine_1. dose", "MEDICINE_1.DOSE"])
def test_a_name_in_another_case_is_another_name(name: str) -> None:
    """Spelling is exact; the message says which was meant."""
    with pytest.raises(RegimenRefused) as refused:
        parse_header((*(each for each in CELLS if each != "medicine_1.dose"), name))
    assert any('did you mean "medicine_1.dose"' in problem.remedy for problem in refused.value.problems)


def test_a_roster_without_names_is_not_quoted() -> None:
    """A first line that is a patient's row already names no patient in its message."""
    with pytest.raises(RegimenRefused) as refused:
        parse_header(tuple(CELLS.values()))
    assert [problem.code for problem in refused.value.problems] == ["ROSTER-005"]
    assert "Juniper" not in str(refused.value.problems)


def test_far_too_many_columns_are_one_problem() -> None:
    """Nothing is listed of them."""
    with pytest.raises(RegimenRefused) as refused:
        parse_header(("fillcards",) * (MOST_COLUMNS + 1))
    assert [problem.code for problem in refused.value.problems] == ["ROSTER-002"]


@pytest.mark.parametrize(
    "prescription",
    [
        make_prescription(CELLS),
        make_json_row({"prescription": "RX-1", "patient": {"name": "Juniper Testcase"}}),
        Prescription((Row(1, "a.yaml", RowForm.YAML, data=ONE_FILL.encode()),)),
    ],
    ids=lambda prescription: prescription.form.value,
)
def test_words_are_found_in_every_form(prescription: Prescription) -> None:
    """What a file may be named by is the same in each form; what is not there is an empty text."""
    found = [prescription.find_text(path) for path in ("prescription", "patient.name", "patient.second_identifier")]
    assert found == ["RX-1", "Juniper Testcase", ""]


def test_a_row_keeps_its_words_out_of_logs() -> None:
    """Nothing that a row says stands in what Python shows of it."""
    rows = (make_row(CELLS), make_json_row({"patient": {"name": "Juniper"}}))
    assert not any("Juniper" in repr(row) or "units" in repr(row) for row in rows)
    assert "Juniper" not in repr(Cell("patient.name", 1, "Juniper"))


def test_a_row_with_problems_is_not_looked_at() -> None:
    """What was noted while the row was found stands alone."""
    problem = list_problems(make_prescription(CELLS | {"medicine_1.dose": ""}))[0]
    row = replace(make_row({**CELLS, "syringe.scale": ""}), problems=(problem,))
    assert list_problems(Prescription((row,))) == (problem,)


TWO_FILLS = ONE_FILL.replace(
    "contacts:",
    """  - when: before supper
    days: every day
    draw: {medicine_2: 12 units}
contacts:""",
)
SECOND_ROW = {
    "prescription": "RX-1",
    "medicine_1.kind": "insulin isophane",
    "medicine_1.dose": "12 units",
    "fill.when": "before supper",
    "fill.days": "every day",
}


def test_rows_of_one_prescription_are_one_regimen() -> None:
    """Two rows give what a file with two fills says; the second need not say again what the first has said."""
    second = dict.fromkeys(CELLS, "") | SECOND_ROW
    assert read_prescription(make_prescription(CELLS, second)) == read_regimen(TWO_FILLS)
    assert read_prescription(
        make_prescription(CELLS, CELLS | dict.fromkeys(MEDICINE_2, "") | SECOND_ROW)
    ) == read_regimen(TWO_FILLS)


MEDICINE_2 = tuple(name for name in CELLS if name.startswith("medicine_2") or name == "fill.minutes_before")


def test_two_fills_of_one_medicine_are_one_supply() -> None:
    """Isophane 30 and 30 units a day out of a vial of 10 mL with 100 units/mL: 1000 / 60, 16 whole days, not 28."""
    one = CELLS | dict.fromkeys(MEDICINE_2, "") | {"medicine_1.kind": "insulin isophane", "medicine_1.dose": "30 units"}
    one |= {"fill.days": "every day", "medicine_1.vial": "10 mL"}
    regimen = read_prescription(make_prescription(one, one | {"fill.when": "before supper"}))
    (supply,) = plan_supply(regimen, datetime.date(2026, 11, 25)).medicines
    assert supply.days_by_content == 16
    assert len(regimen.fills) == 2


@pytest.mark.parametrize(
    ("column", "text", "is_quoted"),
    [
        ("syringe.capacity", "0.3 mL", True),
        ("medicine_1.strength", "40 units/mL", True),
        ("patient.name", "Alder Testcase", False),
        ("contact.phone", "555-0199", False),
        ("review.date", "2026-11-26", True),
    ],
)
def test_rows_of_one_prescription_that_disagree_are_refused(column: str, text: str, *, is_quoted: bool) -> None:
    """At the later row, with both places; a patient's own words are not quoted."""
    second = CELLS | {"fill.when": "before supper", column: text}
    (problem,) = list_problems(make_prescription(CELLS, second))
    # A contact is one thing, told where it begins.
    number = list(CELLS).index(column.replace("phone", "who")) + 1
    assert (problem.code, problem.place.line, problem.place.column) == ("ROSTER-012", 8, number)
    assert "in row 7" in problem.found
    assert (text in problem.found) is is_quoted


@pytest.mark.parametrize(
    ("column", "first", "answer"),
    [("fill.days", "[monday, thursday]", "every day"), ("fill.minutes_before", "30", "none")],
)
def test_a_merged_cell_is_asked_about(column: str, first: str, answer: str) -> None:
    """A spreadsheet leaves it blank in all rows but the first: no day is made of it, and the wait is not lost."""
    one, other = CELLS | {column: first}, CELLS | {"fill.when": "before supper", column: ""}
    for rows in ((one, other), (other, one)):
        (problem,) = list_problems(make_prescription(*rows))
        assert (problem.code, problem.place.key) == ("ROSTER-022", column)
        assert problem.place.line == 7 + rows.index(other)
    assert len(read_prescription(make_prescription(one, other | {column: answer})).fills) == 2


def test_a_second_medicine_in_a_merged_cell_is_asked_about() -> None:
    """Kind, dose and all blank, beside a row that names two: no fill lacks one unless "none" says that it is meant."""
    other = CELLS | dict.fromkeys(MEDICINE_2, "") | {"fill.when": "before supper"}
    (problem,) = list_problems(make_prescription(CELLS, other))
    assert (problem.code, problem.place.key, problem.place.line) == ("ROSTER-022", "medicine_2.kind", 8)
    assert read_prescription(make_prescription(other, CELLS))
    assert read_prescription(make_prescription(CELLS, other | {"medicine_1.kind": CELLS["medicine_2.kind"]}))
    two, one = read_prescription(make_prescription(CELLS, other | {"medicine_2.kind": "none"})).fills
    assert (len(two.draws), len(one.draws)) == (2, 1)


def test_no_medicine_with_a_dose_is_refused() -> None:
    """Of the two one is a slip."""
    cells = CELLS | dict.fromkeys(MEDICINE_2, "") | {"medicine_2.kind": "none", "medicine_2.dose": "12 units"}
    assert "FORM-006" in {problem.code for problem in list_problems(make_prescription(cells))}


def test_minutes_go_with_their_medicines_and_a_meal() -> None:
    """A fill of other medicines, or at bedtime, has none to state; where no row has any, nothing is asked."""
    alone = dict.fromkeys(MEDICINE_2, "") | {"medicine_2.kind": "none", "fill.when": "before supper"}
    for change in ({"fill.when": "at bedtime"}, alone):
        assert read_prescription(make_prescription(CELLS, CELLS | {"fill.minutes_before": ""} | change))
    without = CELLS | {"fill.minutes_before": ""}
    assert read_prescription(make_prescription(without, without | {"fill.when": "before supper"}))


@pytest.mark.parametrize(
    ("one", "other", "is_one"),
    [
        ("0012", "12", True),
        ("RX1", "RX 1", True),
        ("rx-001", "RX1", True),
        ("1 234", "1234", True),
        ("1-12", "11-2", False),
        ("RX10", "RX1", False),
        ("0", "00", True),
        ("A1", "B1", False),
        ("12.0", "12", True),
        ("12.00", "12", True),
        ("12,0", "12", True),
        ("12.5", "12", False),
        ("1,200", "1200", True),
        ("1.200", "1200", True),
        ("1,200,000.0", "1200000", True),
        ("1,200", "120", False),
        ("No. 12", "12", True),
        ("no 12", "0012", True),
        ("№12", "12", True),
        ("NORA-12", "12", False),
        ("\u041012", "A12", True),
        ("\u0440\u0425-1", "PX1", True),
        ("\u0392-1", "B1", True),
    ],
)
def test_spellings_of_one_number(one: str, other: str, *, is_one: bool) -> None:
    """Zeros in front, spaces, case, a hyphen, .0, marks of thousands and look-alikes make no other; a digit does."""
    assert (loosen_number(one) == loosen_number(other)) is is_one


def test_a_problem_names_its_own_row() -> None:
    """Of two rows of one prescription, both at fault."""
    rows = (CELLS | {"medicine_1.dose": "8"}, CELLS | {"fill.when": "before supper", "medicine_2.dose": "9"})
    assert [(each.place.line, each.code) for each in list_problems(make_prescription(*rows))] == [
        (7, "QTY-003"),
        (8, "QTY-003"),
    ]


def test_a_line_break_within_a_cell_is_refused() -> None:
    """Around a text it is none."""
    (problem,) = list_problems(make_prescription(CELLS | {"patient.name": "Juniper\nTestcase"}))
    assert problem.code == "ROSTER-013"
    kept = make_prescription(CELLS | {"patient.name": "\nJuniper Testcase\r\n"})
    assert read_prescription(kept) == read_prescription(make_prescription(CELLS))
