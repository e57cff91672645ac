"""Rows out of files of every form and state; a bad row costs itself alone, and no file is too large to say no to."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from support.batches import COLUMNS, list_cells, write_roster
from support.regimen_texts import MIXED

from fillcards.batch import roster_file
from fillcards.batch.roster_file import LARGEST_ROSTER_BYTES, LONGEST_LINE_BYTES, find_form, iterate_rows
from fillcards.intake.roster import Row, RowForm
from fillcards.problems import OutputError, RegimenRefused


def list_rows(path: Path) -> list[Row]:
    """Every row of a roster of any form."""
    form = find_form(path)
    assert form is not None
    return list(iterate_rows(path, form))


def list_codes(path: Path) -> list[str]:
    """What a whole roster is refused for."""
    with pytest.raises(RegimenRefused) as refused:
        list_rows(path)
    return [problem.code for problem in refused.value.problems]


def write_lines(path: Path, *lines: bytes) -> Path:
    """A roster with the usual header and these lines."""
    path.write_bytes(b"\n".join((",".join(COLUMNS).encode(), *lines)))
    return path


GOOD = ",".join(list_cells(1)).encode()


@pytest.mark.parametrize("separator", [",", ";"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_every_usual_way_to_write_csv_gives_the_same_rows(
    separator: str, mark: bytes, end: bytes, tmp_path: Path
) -> None:
    """Either separator, with or without the mark of UTF-8, with either end of line."""
    path = write_roster(tmp_path / "roster.csv", [1, 2], separator)
    path.write_bytes(mark + path.read_bytes().replace(b"\n", end))
    rows = list_rows(path)
    assert [row.line for row in rows] == [2, 3]
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


def test_a_line_in_another_encoding_costs_its_own_row(tmp_path: Path) -> None:
    """Between rows in UTF-8 one in Latin-1: refused with its byte, its neighbours read."""
    bad = GOOD.replace(b"Juniper", "Jun\u00edper".encode("latin-1"))
    rows = list_rows(write_lines(tmp_path / "roster.csv", GOOD, bad, GOOD.replace(b"RX-000001", b"RX-2")))
    assert [[problem.code for problem in row.problems] for row in rows] == [[], ["ROSTER-001"], []]
    assert "the byte ED" in rows[1].problems[0].found


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be"])
def test_utf_16_is_named(encoding: str, tmp_path: Path) -> None:
    """A whole roster in UTF-16 is refused as what it is."""
    path = write_roster(tmp_path / "roster.csv", [1])
    mark = "\ufeff" if encoding.endswith("be") else ""
    path.write_bytes((mark + path.read_text()).encode(encoding))
    assert list_codes(path) == ["ROSTER-001"]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (GOOD + b",", "ROSTER-007"),
        (GOOD.rpartition(b",")[0], "ROSTER-007"),
        (GOOD.replace(b"Juniper", b'"Juniper'), "ROSTER-007"),
        (GOOD.replace(b"Juniper", b'"Juniper"x'), "ROSTER-007"),
        (GOOD.replace(b"Juniper", b"Juni\rper"), "ROSTER-007"),
        (GOOD.replace(b"Juniper", b"J" * LONGEST_LINE_BYTES), "ROSTER-002"),
        (GOOD.replace(b"Juniper", b'"' + b"J" * 200_000 + b'"'), "ROSTER-007"),
        (b"," * 1_000_000, "ROSTER-002"),
        (b"x" + b"," * 200_000, "ROSTER-007"),
    ],
    ids=["cell-more", "cell-less", "quote-open", "text-beside", "return", "long", "long-cell", "million", "many"],
)
def test_a_bad_line_costs_its_own_row(line: bytes, code: str, tmp_path: Path) -> None:
    """The rows before and after it are read, at their own lines."""
    after = ",".join(list_cells(2)).encode()
    rows = list_rows(write_lines(tmp_path / "roster.csv", GOOD, line, after))
    assert [[problem.code for problem in row.problems] for row in rows] == [[], [code], []]
    assert [row.line for row in rows] == [2, 3, 4]


def test_lines_without_text_are_no_rows(tmp_path: Path) -> None:
    """Empty lines, and those of separators alone that a spreadsheet leaves, are passed over; lines still count."""
    rows = list_rows(write_lines(tmp_path / "roster.csv", b"", GOOD, b"," * (len(COLUMNS) - 1), b"", GOOD, b""))
    assert [(row.number, row.line) for row in rows] == [(1, 3), (2, 6)]


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
    """One a line, empty lines passed over, a long line costs its own row."""
    path = tmp_path / "roster.jsonl"
    line = json.dumps({"fillcards": "1"}).encode()
    path.write_bytes(b"\xef\xbb\xbf" + line + b"\n\n" + b"x" * (LONGEST_LINE_BYTES + 1) + b"\n" + line)
    rows = list_rows(path)
    assert [(row.number, row.line, row.form) for row in rows] == [
        (1, 1, RowForm.JSON),
        (2, 3, RowForm.JSON),
        (3, 4, RowForm.JSON),
    ]
    assert [row.data for row in rows] == [line, b"", line]
    assert [problem.code for problem in rows[1].problems] == ["ROSTER-002"]


def test_a_folder_gives_its_regimen_files_by_name(tmp_path: Path) -> None:
    """In the order of their names; other files and hidden ones are no rows; the source names the file."""
    for name in ("b.yaml", "a.yml", ".hidden.yaml", "notes.txt"):
        (tmp_path / name).write_text(MIXED, encoding="utf-8")
    rows = list_rows(tmp_path)
    assert [(row.number, row.source, row.line) for row in rows] == [(1, "a.yml", 1), (2, "b.yaml", 1)]
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
        list(iterate_rows(tmp_path / "missing.csv", RowForm.CELLS))


@pytest.mark.parametrize("name", ["roster.xlsx", "roster", "roster.json", "roster.txt"])
def test_other_endings_are_no_rosters(name: str) -> None:
    """The ending says what a roster is written in; no other is guessed at."""
    assert find_form(Path(name)) is None
