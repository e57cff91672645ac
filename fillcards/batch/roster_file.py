"""A roster on the disk -> its prescriptions, one at a time, so that no roster is too long for memory.

A CSV file (UTF-8 with or without a mark; ``,``, ``;`` or tabs), a file of JSON lines, or a folder of regimen files.
Rows are counted as a spreadsheet counts them: blank ones too, and a row whose quoted cells hold line breaks once.

Where it cannot be told which cell of a row is which, where a row ends, or to which prescription it belongs, a fill
might be missing from any card: then the roster as a whole is refused, before a card is made. What is wrong within one
cell is told of its row.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import BinaryIO, Final, NamedTuple, Self

from fillcards.intake.roster import BAD_BYTE, WHOSE, Prescription, Row, RowForm, Shared, find_owner, fold, list_given
from fillcards.intake.roster_columns import PASSED_OVER, Cell, Column, ColumnMap, clean_cell, parse_header
from fillcards.problems import OutputError, Place, Problem, RegimenRefused, sort_problems
from fillcards.regimen.forms import FormError
from fillcards.regimen.keys import PRESCRIPTION
from fillcards.strict_text import LARGEST_FILE_BYTES, MOST_LISTED, quote_text, refuse

LARGEST_ROSTER_BYTES: Final = 1 << 30
"""Of a roster file: 1 GiB, a thousand bytes for each of the most rows."""
MOST_ROWS: Final = 999_999
LONGEST_LINE_BYTES: Final = LARGEST_FILE_BYTES
"""Of one line: as large as a regimen file may be."""
SEPARATORS: Final = ("\t", ",", ";")
MARK: Final = b"\xef\xbb\xbf"
"""What may stand before text in UTF-8."""
_BREAK_IN_TEXT: Final = re.compile(r"[\r\n][\r\n ]*[^\r\n ]")
"""A line break that text follows: one at the end of a cell swallows nothing."""

REGIMEN_ENDINGS: Final = (".yaml", ".yml")
_FORM_OF_ENDING: Final = {
    ".csv": RowForm.CELLS,
    ".tsv": RowForm.CELLS,
    ".jsonl": RowForm.JSON,
    ".ndjson": RowForm.JSON,
}


def find_form(path: Path) -> RowForm | None:
    """What a roster is written in, by what it is and how its name ends; ``None`` for anything else."""
    return RowForm.YAML if path.is_dir() else _FORM_OF_ENDING.get(path.suffix.lower())


class Reading(NamedTuple):
    """How a roster is to be read: what all its rows share, and what its columns are.

    ``is_second``: whether it is a second roster, which may have the columns of the map or those it is typed with.
    """

    shared: Shared = Shared()
    columns: ColumnMap = ColumnMap({})
    is_second: bool = False


PLAIN: Final = Reading()


class Roster:
    """An opened roster; used with ``with``. It is looked through once when it is opened.

    Args:
        path: of the file or folder.
        form: what it is written in.
        reading: how it is to be read.

    Raises:
        RegimenRefused: the roster as a whole cannot be used; not a word of it was then taken for a row.
        OutputError: it cannot be read.
    """

    def __init__(self, path: Path, form: RowForm, reading: Reading = PLAIN) -> None:
        self.path = path
        self._reading = reading
        self._places: dict[str, list[tuple[int, int]]] = {}
        try:
            self._stamp = _look_at(path)
            with ExitStack() as stack:
                self._read: Callable[[int, int], Row] = self._open(form, stack)
                if not self._places:
                    raise refuse_roster("ROSTER-003", "no row", "at least one row", "look at the export: it is empty")
                self._closing = stack.pop_all()
        except (OSError, ValueError) as error:
            raise _describe_unreadable(path, error) from None

    def iterate(self) -> Iterator[Prescription]:
        """Every prescription, in the order of their first rows.

        Raises:
            OutputError: the roster cannot be read any more, or has changed meanwhile.
        """
        for places in self._places.values():
            yield self._build(places)
        try:
            is_same = _look_at(self.path) == self._stamp
        except OSError as error:
            raise _describe_unreadable(self.path, error) from None
        if not is_same:
            raise OutputError(f"{self.path}: was changed during the run; start it again")

    def find(self, owner: str) -> Prescription | None:
        """The prescription with this number, or of this patient."""
        places = self._places.get(owner)
        return None if places is None else self._build(places)

    def list_owners(self) -> tuple[str, ...]:
        """Number or patient of each prescription that states one; of others a text that no other has."""
        return tuple(self._places)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._closing.close()

    def _build(self, places: list[tuple[int, int]]) -> Prescription:
        try:
            rows = tuple(self._read(number, at) for number, at in places)
        except OSError as error:
            raise _describe_unreadable(self.path, error) from None
        return Prescription(rows, self._reading.shared if rows[0].form is RowForm.CELLS else Shared())

    def _open(self, form: RowForm, stack: ExitStack) -> Callable[[int, int], Row]:
        if form is RowForm.YAML:
            names = _list_names(self.path)
            self._note_all((f"file {number}", number, 0) for number, _ in enumerate(names, start=1))
            return lambda number, _: _read_regimen_file(self.path / names[number - 1], number)
        file = stack.enter_context(self.path.open("rb"))
        _require_sensible(self.path, file)
        if form is RowForm.JSON:
            self._note_all(_find_json_rows(file))
            return lambda number, at: _read_json_row(file, number, at, self.path.name)
        table = Table(file, self.path.name, self._reading)
        self._note_all(table.find_rows())
        return table.read_row

    def _note_all(self, rows: Iterator[tuple[str, int, int]]) -> None:
        """Note rows by whose they are, with number and place."""
        for count, (owner, number, at) in enumerate(rows):
            if count == MOST_ROWS:
                found = f"more than {MOST_ROWS:,} rows"
                raise refuse_roster("ROSTER-002", found, f"at most {MOST_ROWS:,}", "split the roster; no card was made")
            self._places.setdefault(owner, []).append((number, at))


def _look_at(path: Path) -> tuple[tuple[str, int, int], ...]:
    """Names, sizes and times of what is read."""
    paths = [path / name for name in _list_names(path)] if path.is_dir() else [path]
    looks = ((each.name, each.lstat() if path.is_dir() else each.stat()) for each in paths)
    return tuple((name, look.st_size, look.st_mtime_ns) for name, look in looks)


def _require_sensible(path: Path, file: BinaryIO) -> None:
    size_bytes = path.stat().st_size
    if size_bytes > LARGEST_ROSTER_BYTES:
        remedy = "check that this is a roster, or split it; nothing in it was read"
        raise refuse_roster("ROSTER-002", f"{size_bytes:,} bytes", f"at most {LARGEST_ROSTER_BYTES:,} bytes", remedy)
    start = file.read(2)
    file.seek(0)
    if start in (b"\xff\xfe", b"\xfe\xff"):
        raise refuse_roster("ROSTER-001", "UTF-16 text", "a text file in UTF-8", "export the roster again as UTF-8")


def _list_names(folder: Path) -> tuple[str, ...]:
    names = (path.name for path in folder.iterdir() if path.suffix.lower() in REGIMEN_ENDINGS and path.name[0] != ".")
    return tuple(sorted(names))


def _read_regimen_file(path: Path, number: int) -> Row:
    row = Row(number, path.name, RowForm.YAML)
    try:
        if path.is_symlink():
            return replace(row, unreadable="is a link, and links are not followed: put the file itself into the folder")
        if not path.is_file():
            return replace(row, unreadable="cannot be read: it is not an ordinary file")
        with path.open("rb") as file:
            # One byte past the limit, so that the reader of regimen files refuses what is too large.
            return replace(row, data=file.read(LARGEST_FILE_BYTES + 1))
    except OSError as error:
        return replace(row, unreadable=f"cannot be read: {error.strerror}")


def _find_json_rows(file: BinaryIO) -> Iterator[tuple[str, int, int]]:
    at = number = 0
    while line := file.readline(LONGEST_LINE_BYTES + 1):
        begins, number = at, number + 1
        at += len(line)
        if line.removeprefix(MARK).strip():
            yield f"row {number}", number, begins
        is_long = len(line) > LONGEST_LINE_BYTES
        while is_long and line and not line.endswith(b"\n"):
            line = file.readline(LONGEST_LINE_BYTES + 1)
            at += len(line)


def _read_json_row(file: BinaryIO, number: int, at: int, source: str) -> Row:
    row = Row(number, source, RowForm.JSON)
    file.seek(at)
    line = file.readline(LONGEST_LINE_BYTES + 1)
    if len(line) > LONGEST_LINE_BYTES:
        return replace(row, problems=(describe_long(),))
    return replace(row, data=(line.removeprefix(MARK) if at == 0 else line).rstrip(b"\r\n"))


def _describe_unreadable(path: Path, error: OSError | ValueError) -> OutputError:
    reason = error.strerror if isinstance(error, OSError) else "no file can have this name"
    return OutputError(f"{path}: cannot be read: {reason}")


class Table:
    """The rows of a CSV file."""

    def __init__(self, file: BinaryIO, source: str, reading: Reading) -> None:
        self._file, self._source, self._map = file, source, reading.columns
        self._is_second = reading.is_second
        self._lines = _Lines(file)
        self._separator, self._start = self._find_separator()
        self._lines.go_to(self._start)
        rows = self._parse()
        number, cells = next(((number, cells) for number, cells, _ in rows if any(map(clean_cell, cells))), (0, []))
        if not cells:
            raise refuse_roster("ROSTER-003", "no names of columns", "names in the first line", "look at the export")
        self._columns = self._parse_header(number, tuple(cells), list_given(reading.shared))
        self._rows = rows

    def find_rows(self) -> Iterator[tuple[str, int, int]]:
        """Whose each row is, its number, and where it begins."""
        problems: list[Problem] = []
        patients = _Patients()
        for number, cells, at in self._rows:
            if not any(map(clean_cell, cells)):
                continue
            row = self._build_row(number, cells, problems)
            if len(problems) >= MOST_LISTED:
                break
            if not row.cells:
                continue
            texts = {cell.column: cell.text for cell in row.cells}
            prescription = texts.get(PRESCRIPTION.name, "")
            whose = tuple(texts.get(path, "") for path in WHOSE)
            patients.note(whose, number, has_number=bool(prescription))
            yield find_owner(prescription, whose) or f"row {number}", number, at
        problems += patients.list_unclear()
        if problems:
            raise RegimenRefused(sort_problems(problems)[:MOST_LISTED])

    def read_row(self, number: int, at: int) -> Row:
        """A row that was found."""
        self._lines.go_to(at)
        problems: list[Problem] = []
        _, cells, _ = next(self._parse())
        row = self._build_row(number, cells, problems)
        return replace(row, cells=(), problems=tuple(problems)) if problems else row

    def _parse_header(self, number: int, cells: tuple[str, ...], given: frozenset[str]) -> tuple[Column | None, ...]:
        constants = {cell.column for cell in self._map.constants}
        try:
            if any(BAD_BYTE.search(cell) for cell in cells):
                raise refuse_roster(
                    "ROSTER-001", "a name that is not UTF-8 text", "names in UTF-8", "export the roster again"
                )
            columns = parse_header(cells, self._map.names, given | constants, is_named=not self._is_second)
            if twice := [column.name for column in columns if column and column.name in constants]:
                found = f"{twice[0]} both in the roster and as a constant for all rows"
                raise refuse_roster("ROSTER-006", found, "each name once", "take one of the two out")
        except RegimenRefused as refusal:
            shifted = (problem._replace(place=problem.place._replace(line=number)) for problem in refusal.problems)
            raise RegimenRefused(tuple(shifted)) from None
        return columns

    def _find_separator(self) -> tuple[str, int]:
        """What stands between the cells of the first line with text, outside quotes; and where the table begins."""
        start = self._lines.at
        for line in self._lines:
            outside = "".join(line.split('"')[::2])
            if line.startswith("sep=") and len(line.rstrip("\r\n")) == len("sep=,"):
                # How some spreadsheets are told what parts the cells; they show no such row.
                return line[len("sep=")], self._lines.at
            if clean_cell(outside.translate(dict.fromkeys(map(ord, SEPARATORS)))) or '"' in line:
                break
        else:
            return ",", start
        found = [separator for separator in SEPARATORS if separator in outside]
        if found[1:] and found[0] != "\t":
            remedy = (
                "export the roster again with one of the two between its cells, and quotes around names that hold it"
            )
            raise refuse_roster("ROSTER-007", "both , and ; between the names of columns", "one of the two", remedy)
        return found[0] if found else ",", start

    def _parse(self) -> Iterator[tuple[int, list[str], int]]:
        """Each row's number, cells and place (RFC 4180); lines are taken one by one, as the cells need them."""
        rows = csv.reader(self._lines, delimiter=self._separator, skipinitialspace=True, strict=True)
        number = 0
        while True:
            at, number = self._lines.at, number + 1
            try:
                cells = next(rows)
            except StopIteration:
                return
            except RegimenRefused as refusal:
                (problem,) = refusal.problems
                raise RegimenRefused((problem._replace(place=Place(number)),)) from None
            except csv.Error:
                found = f"row {number}, whose quotes do not close, or have text beside them"
                remedy = "write the row anew; a quote within a cell is doubled. Where rows end after it nobody can tell"
                raise refuse_roster(
                    "ROSTER-007", found, "each quote closed before the next cell", remedy, number
                ) from None
            yield number, cells, at

    def _build_row(self, number: int, texts: list[str], problems: list[Problem]) -> Row:
        row = Row(number, self._source, RowForm.CELLS)
        place = Place(number)
        if len(texts) != len(self._columns):
            remedy = "look for a missing or extra separator; a cell that contains one needs quotes around it"
            expected = f"{len(self._columns)}, one for each column"
            problems.append(refuse("ROSTER-007", place, f"{len(texts):,} cells", expected, remedy))
            return row
        cells = []
        for at, (column, text) in enumerate(zip(self._columns, texts, strict=True), start=1):
            place = Place(number, at, column.name if column else "")
            if column is None and clean_cell(text):
                found, remedy = "text in a column without a name", "name the column, or take the text out"
                problems.append(refuse("ROSTER-007", place, found, "nothing", remedy))
            elif self._may_hold_rows(column, text):
                found = "a line break within a cell, after which rows of the table may stand"
                remedy = (
                    "close the quote where the cell ends, or write its text on one line; also in a column that is not "
                    "read: nobody can tell such a line from a row that is lost"
                )
                problems.append(refuse("ROSTER-013", place, found, "text on one line", remedy))
            if column is None or column is PASSED_OVER:
                continue
            try:
                text = column.clean(text, self._map.dates)
            except FormError as error:
                found = "a value that is not shown here" if column.is_private else quote_text(clean_cell(text))
                problems.append(refuse(error.code, place, found, error.expected, error.remedy))
            if text or column.is_required:
                cells.append(Cell(column.name, at, text))
        return replace(row, cells=(*cells, *self._map.constants))

    def _may_hold_rows(self, column: Column | None, text: str) -> bool:
        """Whether a quote that closes too late may have swallowed a row, whose fill would be missing from some card.

        What it swallows up to the same column has at least the separators of one row. Where the column is not read
        nothing else would look at the text, so that no line break stands there at all.
        """
        if not _BREAK_IN_TEXT.search(text):
            return False
        return column is PASSED_OVER or text.count(self._separator) >= len(self._columns) - 1


class _Lines:
    """The lines of a file as text, one at a time, from any place. A byte that is no UTF-8 stays as a lone surrogate."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self.at = 0
        if file.read(len(MARK)) == MARK:
            self.at = len(MARK)
        file.seek(self.at)

    def go_to(self, at: int) -> None:
        """Go on from a place where a row begins."""
        self.at = at
        self._file.seek(at)

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = self._file.readline(LONGEST_LINE_BYTES + 1)
        if not line:
            raise StopIteration
        if len(line) > LONGEST_LINE_BYTES:
            raise RegimenRefused((describe_long(),))
        self.at += len(line)
        return line.decode("utf-8", "surrogateescape")


class _Patients:
    """Whom the rows name, to find those that do not say for certain to which prescription they belong."""

    def __init__(self) -> None:
        # By name and by second identifier: each way to tell the patient, with its first rows with and without a number.
        self._seen: dict[str, dict[tuple[str, ...], list[int]]] = {}

    def note(self, whose: tuple[str, ...], row: int, *, has_number: bool) -> None:
        """One row."""
        told = tuple(map(fold, whose))
        for key in {f"{place} {word}" for place, word in enumerate(told[:2]) if word} or {""}:
            rows = self._seen.setdefault(key, {}).setdefault(told, [0, 0])
            rows[not has_number] = rows[not has_number] or row

    def list_unclear(self) -> Iterator[Problem]:
        """A row without a number whose patient has one elsewhere, is told more or less fully elsewhere, or is not told.

        Where no row says anything, each is a card of its own.
        """
        is_told = len(self._seen) > 1 or any(rows[0] for rows in self._seen.get("", {}).values())
        unclear: dict[int, str] = {}
        for key, patients in self._seen.items():
            for told, (numbered, row) in patients.items():
                if not row:
                    continue
                others = [each for each in patients if each != told and _may_be_one(told, each)]
                if not key and is_told:
                    unclear[row] = "a row without prescription number and patient, beside rows that have them"
                elif key and numbered:
                    unclear[row] = f"a row without a prescription number, of a patient who has one in row {numbered}"
                elif key and others:
                    other = max(patients[others[0]])
                    unclear[row] = f"a row without a prescription number, whose patient may be that of row {other}"
        expected = "in each row what says to which prescription it belongs"
        remedy = (
            "fill in the number, or all that tells the patient, in every row: merged cells of a spreadsheet count once"
        )
        for row, found in unclear.items():
            yield refuse("ROSTER-020", Place(row, 1, PRESCRIPTION.name), found, expected, remedy)


def _may_be_one(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """Whether two patients differ only in what is left out of one of them."""
    return all(not word or not other_word or word == other_word for word, other_word in zip(one, other, strict=True))


def describe_long() -> Problem:
    """A line that is longer than any row."""
    remedy = "check that this is a roster, and that each row stands on a line of its own"
    found = f"a line of more than {LONGEST_LINE_BYTES:,} bytes"
    return refuse("ROSTER-002", Place(), found, f"at most {LONGEST_LINE_BYTES:,}", remedy)


def refuse_roster(code: str, found: str, expected: str, remedy: str, row: int = 1) -> RegimenRefused:
    """A roster that as a whole cannot be used."""
    return RegimenRefused((refuse(code, Place(row), found, expected, remedy),))
