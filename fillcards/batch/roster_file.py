"""A roster on the disk -> its prescriptions, one at a time, so that no roster is too long for memory.

A CSV file (UTF-8 with or without a mark; ``,``, ``;`` or tabs), a file of JSON lines, or a folder of regimen files.
Rows are counted as a spreadsheet counts them: blank ones too, and a row whose quoted cells hold line breaks once.

Where it cannot be told which cell of a row is which, where a row ends, or to which prescription it belongs, a fill
might be missing from any card: then the roster as a whole is refused, before a card is made. What is wrong within one
cell is told of its row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import BinaryIO, Final, Self

from fillcards.batch.table import LONGEST_LINE_BYTES, MARK, PLAIN, Reading, Table, describe_long, refuse_roster
from fillcards.intake.roster import Prescription, Row, RowForm, Shared
from fillcards.problems import OutputError
from fillcards.strict_text import LARGEST_FILE_BYTES

LARGEST_ROSTER_BYTES: Final = 1 << 30
"""Of a roster file: 1 GiB, a thousand bytes for each of the most rows."""
MOST_ROWS: Final = 999_999

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

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
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
