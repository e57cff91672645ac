"""A roster on the disk -> its rows, one at a time, so that no roster is too long for memory.

A CSV file (UTF-8 with or without a mark, ``,`` or ``;``), a file of JSON lines, or a folder of regimen files. A row
stands on one line: a quote that does not close costs its own row and no other. What is wrong with one row is noted in
it; what is wrong with the whole roster is raised.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import BinaryIO, Final

from fillcards.intake.roster import Row, RowForm, parse_cells
from fillcards.intake.roster_columns import Column, clean_cell, parse_header
from fillcards.problems import OutputError, Place, Problem, RegimenRefused
from fillcards.strict_text import LARGEST_FILE_BYTES, refuse

LARGEST_ROSTER_BYTES: Final = 1 << 30
"""Of a roster file: 1 GiB, a thousand bytes for each of the most rows."""
MOST_ROWS: Final = 999_999
LONGEST_LINE_BYTES: Final = LARGEST_FILE_BYTES
"""Of one row: as large as a regimen file may be."""

SEPARATORS: Final = (",", ";")
REGIMEN_ENDINGS: Final = (".yaml", ".yml")
_FORM_OF_ENDING: Final = {".csv": RowForm.CELLS, ".jsonl": RowForm.JSON, ".ndjson": RowForm.JSON}
_MARK: Final = b"\xef\xbb\xbf"


def find_form(path: Path) -> RowForm | None:
    """What a roster is written in, by what it is and how its name ends; ``None`` for anything else."""
    return RowForm.YAML if path.is_dir() else _FORM_OF_ENDING.get(path.suffix.lower())


def iterate_rows(path: Path, form: RowForm) -> Iterator[Row]:
    """Every row in the roster's order.

    Raises:
        RegimenRefused: the roster as a whole cannot be used; not a word of it was then taken for a row.
        OutputError: it cannot be read.
    """
    try:
        if form is RowForm.YAML:
            yield from _iterate_folder(path)
            return
        with path.open("rb") as file:
            _require_sensible(path, file)
            find_rows = _iterate_csv if form is RowForm.CELLS else _iterate_json
            yield from _require_few(_require_some(find_rows(file, path.name)))
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file can have this name"
        raise OutputError(f"{path}: cannot be read: {reason}") from None


def _require_sensible(path: Path, file: BinaryIO) -> None:
    size_bytes = path.stat().st_size
    if size_bytes > LARGEST_ROSTER_BYTES:
        remedy = "check that this is a roster, or split it; nothing in it was read"
        raise _refuse("ROSTER-002", f"{size_bytes:,} bytes", f"at most {LARGEST_ROSTER_BYTES:,} bytes", remedy)
    start = file.read(2)
    file.seek(0)
    if start in (b"\xff\xfe", b"\xfe\xff"):
        raise _refuse("ROSTER-001", "UTF-16 text", "a text file in UTF-8", "export the roster again as UTF-8")


def _require_some(rows: Iterator[Row]) -> Iterator[Row]:
    first = next(rows, None)
    if first is None:
        raise _refuse("ROSTER-003", "no row", "at least one row", "look at the export: it is empty")
    yield first
    yield from rows


def _require_few(rows: Iterator[Row]) -> Iterator[Row]:
    yield from islice(rows, MOST_ROWS)
    if next(rows, None) is not None:
        found = f"more than {MOST_ROWS:,} rows"
        raise _refuse("ROSTER-002", found, f"at most {MOST_ROWS:,}", "split the roster; no card was made")


def _iterate_folder(folder: Path) -> Iterator[Row]:
    names = sorted(
        path.name for path in folder.iterdir() if path.suffix.lower() in REGIMEN_ENDINGS and path.name[0] != "."
    )
    rows = (_read_file(folder / name, number) for number, name in enumerate(names, start=1))
    yield from _require_few(_require_some(rows))


def _read_file(path: Path, number: int) -> Row:
    row = Row(number, 1, path.name, RowForm.YAML)
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


def _iterate_json(file: BinaryIO, source: str) -> Iterator[Row]:
    number = 0
    for line_number, line in _read_lines(file):
        if line is not None and not line.strip():
            continue
        number += 1
        row = Row(number, line_number, source, RowForm.JSON)
        text = _decode(line)
        yield replace(row, problems=(text,)) if isinstance(text, Problem) else replace(row, data=line or b"")


def _iterate_csv(file: BinaryIO, source: str) -> Iterator[Row]:
    lines = _read_lines(file)
    header = _decode(next(lines, (1, b""))[1])
    if isinstance(header, Problem):
        raise RegimenRefused((header,))
    separator = _find_separator(header)
    names = _split_line(header, separator)
    if names is None:
        raise RegimenRefused((_describe_no_csv(),))
    if not any(names):
        raise _refuse("ROSTER-003", "no names of columns", "names in the first line", "look at the export")
    columns = parse_header(tuple(names))
    number = 0
    for line_number, line in lines:
        text = _decode(line)
        cells = None if isinstance(text, Problem) else _split_line(text, separator)
        if cells is not None and not any(map(clean_cell, cells)):
            continue
        number += 1
        row = Row(number, line_number, source, RowForm.CELLS)
        if isinstance(text, Problem):
            yield replace(row, problems=(text,))
        else:
            yield _build_row(row, columns, cells)


def _build_row(row: Row, columns: tuple[Column, ...], cells: list[str] | None) -> Row:
    if cells is None:
        return replace(row, problems=(_describe_no_csv(),))
    if len(cells) != len(columns):
        remedy = "look for a missing or extra separator; a cell that contains one needs quotes around it"
        problem = refuse("ROSTER-007", Place(), f"{len(cells):,} cells", f"{len(columns)}, one for each column", remedy)
        return replace(row, problems=(problem,))
    return replace(row, cells=parse_cells(columns, cells))


def _read_lines(file: BinaryIO) -> Iterator[tuple[int, bytes | None]]:
    """Each line with its number, without its end and without the mark of UTF-8; ``None`` for one beyond the limit."""
    number = 0
    while line := file.readline(LONGEST_LINE_BYTES + 1):
        number += 1
        if number == 1:
            line = line.removeprefix(_MARK)
        if len(line) <= LONGEST_LINE_BYTES:
            yield number, line.rstrip(b"\r\n")
            continue
        yield number, None
        while line and not line.endswith(b"\n"):
            line = file.readline(LONGEST_LINE_BYTES)


def _decode(line: bytes | None) -> str | Problem:
    if line is None:
        return _describe_long()
    try:
        return line.decode("utf-8", "strict")
    except UnicodeDecodeError as error:
        column = len(line[: error.start].decode("utf-8", "strict")) + 1
        found = f"the byte {line[error.start]:02X} at character {column}, which is not UTF-8 text"
        remedy = "export the roster again as UTF-8; other rows are not affected"
        return refuse("ROSTER-001", Place(), found, "a line in UTF-8", remedy)


def _find_separator(header: str) -> str:
    found = [separator for separator in SEPARATORS if separator in header]
    if len(found) > 1:
        remedy = "export the roster again with one of the two between its cells"
        raise _refuse("ROSTER-007", "both , and ; between the names of columns", "one of the two", remedy)
    return found[0] if found else SEPARATORS[0]


def _split_line(text: str, separator: str) -> list[str] | None:
    """The cells of a line (RFC 4180); ``None`` where its quotes do not close or something stands beside them."""
    try:
        return next(csv.reader([text], delimiter=separator, skipinitialspace=True, strict=True), [])
    except csv.Error:
        return None


def _describe_long() -> Problem:
    remedy = "check that this is a roster, and that each row stands on a line of its own"
    found = f"a line of more than {LONGEST_LINE_BYTES:,} bytes"
    return refuse("ROSTER-002", Place(), found, f"at most {LONGEST_LINE_BYTES:,}", remedy)


def _describe_no_csv() -> Problem:
    remedy = "close each quote on its own line, with nothing beside it but the separator"
    return refuse("ROSTER-007", Place(), "a line that is not a CSV row", "one row a line", remedy)


def _refuse(code: str, found: str, expected: str, remedy: str) -> RegimenRefused:
    return RegimenRefused((refuse(code, Place(), found, expected, remedy),))
