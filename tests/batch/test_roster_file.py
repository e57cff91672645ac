"""Rows out of files of every form and state; a bad row costs itself alone, and no file is too large to say no to."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from support.batches import COLUMNS, change_cell, list_cells, write_roster, write_table
from support.regimen_texts import MIXED

from fillcards.batch import roster_file
from fillcards.batch.roster_file import LARGEST_ROSTER_BYTES, LONGEST_LINE_BYTES, PLAIN, Reading, Roster, find_form
from fillcards.intake.roster import Row, RowForm, read_prescription
from fillcards.intake.roster_columns import read_column_map
from fillcards.problems import OutputError, RegimenRefused


def list_rows(path: Path, reading: Reading = PLAIN) -> list[Row]:
    """Every row of a roster of any form, prescription by prescription."""
    form = find_form(path)
    assert form is not None
    with Roster(path, form, reading) as roster:
        return [row for prescription in roster.iterate() for row in prescription.rows]


def list_codes(path: Path) -> list[str]:
    """What a whole roster is refused for."""
    with pytest.raises(RegimenRefused) as refused:
        list_rows(path)
    return [problem.code for problem in refused.value.problems]


def list_faults(path: Path) -> list[tuple[int, str]]:
    """Row and code of what a whole roster is refused for."""
    with pytest.raises(RegimenRefused) as refused:
        list_rows(path)
    return [(problem.place.line, problem.code) for problem in refused.value.problems]


def write_lines(path: Path, *lines: bytes) -> Path:
    """A roster with the usual header and these lines."""
    path.write_bytes(b"\n".join((",".join(COLUMNS).encode(), *lines)))
    return path


GOOD = ",".join(list_cells(1)).encode()
OTHER = ",".join(list_cells(2)).encode()


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_every_usual_way_to_write_csv_gives_the_same_rows(
    separator: str, mark: bytes, end: bytes, tmp_path: Path
) -> None:
    """Each separator, with or without the mark of UTF-8, with either end of line."""
    path = write_roster(tmp_path / "roster.csv", [1, 2], separator)
    path.write_bytes(mark + path.read_bytes().replace(b"\n", end))
    rows = list_rows(path)
    assert [row.number for row in rows] == [2, 3]
    assert [[cell.text for cell in row.cells] for row in rows] == [list_cells(1), list_cells(2)]


def test_spaces_after_a_separator_are_no_text(tmp_path: Path) -> None:
    """Nor do they hide a quote; a line of nothing but spaces is no row."""
    line = GOOD.replace(b",", b" , ").replace(b"Juniper Testcase 1 ", b'"Juniper Testcase 1"')
    (row,) = list_rows(write_lines(tmp_path / "roster.csv", line, b" , , "))
    assert [cell.text for cell in row.cells] == list_cells(1)


def test_quotes_hold_separators_and_quotes(tmp_path: Path) -> None:
    """RFC 4180, section 2, rules 6 and 7: a separator and doubled quotes inside quotes are text."""
    cells = ['"Testcase, ""J"""' if number == 1 else cell for number, cell in enumerate(list_cells(1))]
    (row,) = list_rows(write_lines(tmp_path / "roster.csv", ",".join(cells).encode()))
    assert row.cells[1].text == 'Testcase, "J"'


def test_a_cell_in_another_encoding_costs_its_own_row(tmp_path: Path) -> None:
    """Between rows in UTF-8 one in Latin-1: refused with its byte, its neighbours read."""
    bad = OTHER.replace(b"Juniper", "Jun\u00edper".encode("latin-1"))
    path = write_lines(tmp_path / "roster.csv", GOOD, bad, ",".join(list_cells(3)).encode())
    with Roster(path, RowForm.CELLS) as roster:
        found = [list(prescription.problems) for prescription in roster.iterate()]
    assert [[(each.place.line, each.code) for each in problems] for problems in found] == [[], [(3, "ROSTER-001")], []]
    assert found[1][0].found == "the byte ED at character 4, which is not UTF-8 text"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be"])
def test_utf_16_is_named(encoding: str, tmp_path: Path) -> None:
    """A whole roster in UTF-16 is refused as what it is."""
    path = write_roster(tmp_path / "roster.csv", [1])
    mark = "\ufeff" if encoding.endswith("be") else ""
    path.write_bytes((mark + path.read_text()).encode(encoding))
    assert list_codes(path) == ["ROSTER-001"]


@pytest.mark.parametrize(
    ("line", "row", "code"),
    [
        (OTHER + b",", 3, "ROSTER-007"),
        (OTHER.rpartition(b",")[0], 3, "ROSTER-007"),
        (OTHER.replace(b"Juniper", b'"Juniper'), 3, "ROSTER-007"),
        (OTHER.replace(b"Juniper", b'"Juniper"x'), 3, "ROSTER-007"),
        (OTHER.replace(b"Juniper", b"Juni\rper"), 3, "ROSTER-007"),
        (OTHER.replace(b"Juniper", b"J" * LONGEST_LINE_BYTES), 3, "ROSTER-002"),
        (OTHER.replace(b"Juniper", b'"' + b"J" * 200_000 + b'"'), 3, "ROSTER-007"),
        (b"," * 1_000_000, 3, "ROSTER-002"),
        (b"x" + b"," * 200_000, 3, "ROSTER-007"),
        (OTHER.replace(b"RX-000002", b"1.23457E+11"), 3, "ROSTER-014"),
        (OTHER.replace(b"RX-000002", b"1e3"), 3, "ROSTER-014"),
    ],
    ids=[
        *("cell-more", "cell-less", "quote-open", "text-beside", "return", "long", "long-cell", "million", "many"),
        *("shortened", "short"),
    ],
)
def test_a_line_that_may_belong_anywhere_stops_the_roster(line: bytes, row: int, code: str, tmp_path: Path) -> None:
    """Its fill might be missing from any other card: nothing of the roster is taken, and its row is told."""
    path = write_lines(tmp_path / "roster.csv", GOOD, line, ",".join(list_cells(3)).encode())
    assert list_faults(path) == [(row, code)]


def test_every_such_line_is_told_at_once(tmp_path: Path) -> None:
    """Of those that have too many cells or too few."""
    path = write_lines(tmp_path / "roster.csv", GOOD + b",", b"", OTHER, OTHER + b",x")
    assert list_faults(path) == [(2, "ROSTER-007"), (5, "ROSTER-007")]


def test_rows_are_counted_as_a_spreadsheet_counts_them(tmp_path: Path) -> None:
    """Blank lines, and those of separators alone, are rows without a card; a cell of three lines is in one row."""
    tall = ",".join(list_cells(3)).encode().replace(b"Juniper", b'"Juniper\nand\r\nmore')
    tall = tall.replace(b"more D", b'more D"')
    last = ",".join(list_cells(4)).encode()
    path = write_lines(tmp_path / "roster.csv", b"", GOOD, b"," * (len(COLUMNS) - 1), b"", OTHER, b"", tall, last)
    assert [row.number for row in list_rows(path)] == [3, 6, 8, 9]


@pytest.mark.parametrize("after", [b"", b" x"])
def test_a_row_in_a_quoted_cell_stops_the_roster(after: bytes, tmp_path: Path) -> None:
    """A quote opened in one row and closed in the next but one: the row in between may be a fill of any card."""
    swallowed = GOOD.replace(b"Juniper B", b'"Juniper B\n' + OTHER + b"\n" + after + b'"')
    path = write_lines(tmp_path / "roster.csv", swallowed, ",".join(list_cells(3)).encode())
    assert list_faults(path) == [(2, "ROSTER-013")]


def test_a_line_break_in_a_known_cell_costs_its_own_row(tmp_path: Path) -> None:
    """Where it has too few separators to hold a row."""
    path = write_lines(tmp_path / "roster.csv", GOOD.replace(b"Juniper B", b'"Juniper\nB"'), OTHER)
    with Roster(path, RowForm.CELLS) as roster:
        first, second = roster.iterate()
    assert {problem.code for problem in first.problems} == {"ROSTER-013"}
    assert not second.problems


@pytest.mark.parametrize("break_", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("before", ["ask for id", ""])
@pytest.mark.parametrize("after", [",".join([*list_cells(2), "needle"]), "called twice"])
def test_a_line_break_in_a_column_that_is_not_read_stops_the_roster(
    before: str, after: str, break_: str, tmp_path: Path
) -> None:
    """The row that it may hold is asked about by nobody else; told with row and column, and without the text."""
    path = tmp_path / "roster.csv"
    lines = [",".join([*COLUMNS, "Remarks"]), ",".join([*list_cells(1), f'"{before}{break_}{after}"'])]
    path.write_bytes("\n".join([*lines, ",".join([*list_cells(3), ""]), ""]).encode())
    with pytest.raises(RegimenRefused) as refused:
        list_rows(path, Reading(columns=read_column_map("columns: {Remarks: not read}")))
    (problem,) = refused.value.problems
    assert (problem.code, problem.place.line, problem.place.column) == ("ROSTER-013", 2, len(COLUMNS) + 1)
    assert "Juniper" not in str(problem)


def test_rows_of_one_number_are_one_prescription(tmp_path: Path) -> None:
    """Wherever they stand, and whatever the case of the number."""
    third = change_cell(change_cell(list_cells(1), "fill.when", "morning"), "prescription", "rx-000001")
    path = write_roster(tmp_path / "roster.csv", [1, 2, third])
    with Roster(path, RowForm.CELLS) as roster:
        assert [[row.number for row in prescription.rows] for prescription in roster.iterate()] == [[2, 4], [3]]


def test_rows_without_a_number_are_one_prescription_by_their_patient(tmp_path: Path) -> None:
    """Name, second identifier and date of birth together."""
    rows = [change_cell(list_cells(number), "prescription", "") for number in (1, 2, 1)]
    path = write_roster(tmp_path / "roster.csv", rows)
    with Roster(path, RowForm.CELLS) as roster:
        assert [[row.number for row in prescription.rows] for prescription in roster.iterate()] == [[2, 4], [3]]


def test_a_row_that_does_not_say_whose_it_is_stops_the_roster(tmp_path: Path) -> None:
    """Neither number nor patient beside rows that have them; a patient with a number in one row and none in another."""
    numberless = change_cell(change_cell(list_cells(1), "prescription", ""), "fill.when", "morning")
    nameless = change_cell(numberless, "patient.name", "")
    assert list_faults(write_roster(tmp_path / "a.csv", [1, numberless])) == [(3, "ROSTER-020")]
    assert list_faults(write_roster(tmp_path / "b.csv", [2, nameless])) == [(3, "ROSTER-020")]
    assert [row.number for row in list_rows(write_roster(tmp_path / "c.csv", [nameless, nameless]))] == [2, 3]


@pytest.mark.parametrize(
    ("one", "other", "is_clear"),
    [
        (("Juniper", "1951-05-04"), ("Juniper", "1951-05-04"), True),
        (("Juniper", "1951-05-04"), ("Juniper", "1960-01-02"), True),
        (("Juniper", "1951-05-04"), ("Alder", ""), True),
        (("Juniper", "1951-05-04"), ("juniper", ""), False),
    ],
)
def test_rows_that_may_be_of_one_patient_stop_the_roster(
    one: tuple[str, str], other: tuple[str, str], *, is_clear: bool, tmp_path: Path
) -> None:
    """Without numbers: two fills of one medicine as two prescriptions would each have a supply of their own."""
    rows = [
        [*change_cell(change_cell(list_cells(1), "prescription", ""), "patient.name", name), born]
        for name, born in (one, other)
    ]
    rows[1][COLUMNS.index("fill.when")] = "morning"
    path = write_table(tmp_path / "roster.csv", (*COLUMNS, "patient.born"), rows)
    if is_clear:
        assert len(list_rows(path)) == 2
    else:
        assert {code for _, code in list_faults(path)} == {"ROSTER-020"}


def test_marks_of_spreadsheets_are_no_text(tmp_path: Path) -> None:
    """Columns without a name at the end, the line that names the separator, a number kept as a text."""
    header = ";".join((*COLUMNS, "", ""))
    row = ";".join((*list_cells(1), "", "")).replace("RX-000001", '"=""0012"""')
    path = tmp_path / "roster.csv"
    path.write_text(f"sep=;\r\n{header}\r\n{row}\r\n", encoding="utf-8-sig")
    (found,) = list_rows(path)
    assert found.number == 2
    assert {cell.column: cell.text for cell in found.cells}["prescription"] == "0012"


def test_text_in_a_column_without_a_name_stops_the_roster(tmp_path: Path) -> None:
    """It may be what a separator too many has shifted there."""
    path = tmp_path / "roster.csv"
    path.write_text(f"{','.join(COLUMNS)},\n{GOOD.decode()},8 units\n", encoding="utf-8")
    assert list_faults(path) == [(2, "ROSTER-007")]


EXPORT = """\
"Rx
number",Name,Drug,Strength,Dose,Time,Written,Remarks
RX-1,Juniper,insulin glargine,100 UNITS/ML,8UNITS,bedtime,3/4/2026,"two, ""words""
"
RX-2,Alder,insulin glargine,100 units/mL,9 units,bedtime,{date},
"""
MAP = """\
columns:
  Rx number: prescription
  Name: patient.name
  Drug: medicine_1.kind
  Strength: medicine_1.strength
  Dose: medicine_1.dose
  Time: fill.when
  Written: review.date
  Remarks: not read
constants: {fillcards: 1, syringe.scale: U-100, syringe.capacity: 1 mL, syringe.line_every: 2 units,
  syringe.needle: fixed}
"""


def test_an_export_is_read_by_its_map(tmp_path: Path) -> None:
    """Names of its own, constants, a column that is not read, dates in the order that is stated."""
    path = tmp_path / "export.csv"
    path.write_text(EXPORT.replace("{date}", "28/11/2026"), encoding="utf-8")
    reading = Reading(columns=read_column_map(f"{MAP}dates: day/month/year\n"))
    rows = list_rows(path, reading)
    dates = [{cell.column: cell.text for cell in row.cells}["review.date"] for row in rows]
    assert dates == ["2026-04-03", "2026-11-28"]
    with Roster(path, RowForm.CELLS, reading) as roster:
        regimens = [read_prescription(prescription) for prescription in roster.iterate()]
    assert [regimen.prescription for regimen in regimens] == ["RX-1", "RX-2"]


def test_a_column_that_the_map_names_and_the_export_lacks_stops_it(tmp_path: Path) -> None:
    """A misspelt name is read by nobody; a second roster, which another person types, may lack it."""
    path = tmp_path / "export.csv"
    path.write_text(EXPORT.replace("{date}", "28/11/2026"), encoding="utf-8")
    named = MAP.replace("  Remarks", "  Weekdays: fill.days\n  Remarks")
    columns = read_column_map(f"{named}dates: day/month/year\n")
    with pytest.raises(RegimenRefused) as refused:
        list_rows(path, Reading(columns=columns))
    (problem,) = refused.value.problems
    assert problem.code == "ROSTER-017"
    assert '"Weekdays"' in problem.found
    assert "Rx number, Name, Drug, Strength, Dose, Time, Written, Remarks" in problem.expected
    assert len(list_rows(path, Reading(columns=columns, is_second=True))) == 2


def test_one_date_the_other_way_round_stops_the_roster(tmp_path: Path) -> None:
    """If the 28th is no month, 3/4 may be March or April."""
    path = tmp_path / "export.csv"
    path.write_text(EXPORT.replace("{date}", "11/28/2026"), encoding="utf-8")
    with pytest.raises(RegimenRefused) as refused:
        list_rows(path, Reading(columns=read_column_map(f"{MAP}dates: day/month/year\n")))
    assert [(problem.place.line, problem.code) for problem in refused.value.problems] == [(3, "ROSTER-015")]


def test_without_a_stated_order_no_date_is_guessed(tmp_path: Path) -> None:
    """Neither 3/4 nor 28/11; only year-month-day."""
    path = tmp_path / "export.csv"
    path.write_text(EXPORT.replace("{date}", "28/11/2026"), encoding="utf-8")
    with Roster(path, RowForm.CELLS, Reading(columns=read_column_map(MAP))) as roster:
        for prescription in roster.iterate():
            with pytest.raises(RegimenRefused) as refused:
                read_prescription(prescription)
            assert [problem.code for problem in refused.value.problems] == ["DATE-001"]


@pytest.mark.parametrize("text", [b"", b"\xef\xbb\xbf", b"\n\n", ",".join(COLUMNS).encode(), b",,,\n"])
def test_a_roster_without_rows_is_refused(text: bytes, tmp_path: Path) -> None:
    """Nothing, a mark alone, empty lines, or names without rows: not a run that made nothing and seems to be well."""
    path = tmp_path / "roster.csv"
    path.write_bytes(text)
    assert list_codes(path) == ["ROSTER-003"]


def test_two_separators_in_the_header_are_refused(tmp_path: Path) -> None:
    """Nobody can say which of them parts the cells."""
    path = tmp_path / "roster.csv"
    path.write_bytes((";".join(COLUMNS[:6]) + "," + ",".join(COLUMNS[6:])).encode() + b"\n" + GOOD)
    assert list_codes(path) == ["ROSTER-007"]


def test_a_million_columns_are_refused_in_a_few_words(tmp_path: Path) -> None:
    """Whether the header fits on a line or not, one problem says it."""
    path = tmp_path / "roster.csv"
    for count in (1_000_000, 100_000):
        path.write_bytes(b"a," * count + b"\n")
        assert list_codes(path) == ["ROSTER-002"]


def test_two_gigabytes_are_refused_by_size(tmp_path: Path) -> None:
    """A file of 2 GiB, sparse on the disk, is not read at all."""
    path = tmp_path / "roster.csv"
    path.touch()
    os.truncate(path, 2 << 30)
    assert list_codes(path) == ["ROSTER-002"]


def test_a_gigabyte_without_a_line_end_stays_out_of_memory(tmp_path: Path) -> None:
    """The largest file that is read at all is refused by its first line, of which no more than the limit is kept."""
    path = tmp_path / "roster.csv"
    path.touch()
    os.truncate(path, LARGEST_ROSTER_BYTES)
    assert list_codes(path) == ["ROSTER-002"]


def test_too_many_rows_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One row past the limit refuses the whole: half a roster is nobody's roster."""
    path = write_roster(tmp_path / "roster.csv", [1, 2, 3])
    monkeypatch.setattr(roster_file, "MOST_ROWS", 2)
    assert list_codes(path) == ["ROSTER-002"]
    monkeypatch.setattr(roster_file, "MOST_ROWS", 3)
    assert len(list_rows(path)) == 3


def test_json_lines_are_rows(tmp_path: Path) -> None:
    """One a line, empty lines passed over but counted, a long line costs its own row."""
    path = tmp_path / "roster.jsonl"
    line = json.dumps({"fillcards": "1"}).encode()
    path.write_bytes(b"\xef\xbb\xbf" + line + b"\n\n" + b"x" * (2 * LONGEST_LINE_BYTES + 1) + b"\n" + line)
    rows = list_rows(path)
    assert [(row.number, row.form) for row in rows] == [(1, RowForm.JSON), (3, RowForm.JSON), (4, RowForm.JSON)]
    assert [row.data for row in rows] == [line, b"", line]
    assert [problem.code for problem in rows[1].problems] == ["ROSTER-002"]


def test_a_folder_gives_its_regimen_files_by_name(tmp_path: Path) -> None:
    """In the order of their names; other files and hidden ones are no rows; the source names the file."""
    for name in ("b.yaml", "a.yml", ".hidden.yaml", "notes.txt"):
        (tmp_path / name).write_text(MIXED, encoding="utf-8")
    rows = list_rows(tmp_path)
    assert [(row.number, row.source) for row in rows] == [(1, "a.yml"), (2, "b.yaml")]
    assert rows[0].data == MIXED.encode()


def test_a_file_that_cannot_be_read_costs_its_own_row(tmp_path: Path) -> None:
    """Something in the folder that only has the name of a regimen file is told as such."""
    (tmp_path / "a.yaml").mkdir()
    (tmp_path / "b.yaml").write_text(MIXED, encoding="utf-8")
    rows = list_rows(tmp_path)
    assert "cannot be read" in rows[0].unreadable
    assert rows[1].unreadable == ""


def test_a_link_in_the_folder_costs_its_own_row(tmp_path: Path) -> None:
    """It may lead to somebody's file outside the folder; so may a pipe keep the run waiting for ever."""
    regimens = tmp_path / "regimens"
    regimens.mkdir()
    outside = tmp_path / "outside.yaml"
    outside.write_text(MIXED, encoding="utf-8")
    (regimens / "a.yaml").symlink_to(outside)
    (regimens / "b.yaml").symlink_to(tmp_path / "nothing.yaml")
    os.mkfifo(regimens / "c.yaml")
    (regimens / "d.yaml").write_text(MIXED, encoding="utf-8")
    rows = list_rows(regimens)
    assert ["link" in row.unreadable for row in rows] == [True, True, False, False]
    assert "not an ordinary file" in rows[2].unreadable
    assert [bool(row.data) for row in rows] == [False, False, False, True]


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    """A folder without regimen files is no roster."""
    assert list_codes(tmp_path) == ["ROSTER-003"]


def test_a_roster_that_is_not_there_is_told(tmp_path: Path) -> None:
    """With its name and the reason."""
    with pytest.raises(OutputError, match=r"missing\.csv: cannot be read"):
        list_rows(tmp_path / "missing.csv")


@pytest.mark.parametrize("name", ["roster.xlsx", "roster", "roster.json", "roster.txt"])
def test_other_endings_are_no_rosters(name: str) -> None:
    """The ending says what a roster is written in; no other is guessed at."""
    assert find_form(Path(name)) is None
