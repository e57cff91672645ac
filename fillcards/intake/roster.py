"""One row of a roster -> the same ``Regimen`` that a file of its own would give, or every problem with its place.

Three forms. *Cells*: a line of CSV under the columns of ``roster_columns``; each cell in the notation of the regimen
file (``8 units``, ``[monday, thursday]``), or as spreadsheets change it (``roster_cells``); an empty one is a key left
out. *JSON*: a line with one object, shaped as the regimen file is; a number or ``true`` is read as the text that stands
there, as everywhere in a regimen file, so that a dose without its unit is refused all the same. *YAML*: a whole regimen
file.

A place is the line of the roster, the number of the column (cells) or character (JSON), both from 1, and the key.
Knows nothing of files.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from enum import Enum
from typing import Any, Final, NoReturn

from fillcards.catalogue.model import SyringeScale
from fillcards.intake.roster_columns import CONTACT, DOSE, FILL, MEDICINES, Column, clean_amount, clean_cell
from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.regimen import keys
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import build_regimen, read_regimen
from fillcards.strict_text import REFUSED, decode_text, describe_hidden, refuse
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence


class RowForm(Enum):
    """What a row is written in."""

    CELLS = "csv"
    JSON = "json lines"
    YAML = "regimen file"


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands under a column; ``number`` is the column's place in the roster."""

    column: str
    number: int
    text: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Row:
    """One row. What it says is the patient's and stays out of its ``repr``, which ends up in logs.

    Attributes:
        number: counts from 1 through the roster.
        line: where it stands in ``source``.
        source: the name of the file it stands in.
        cells: of a row in CSV: those with text, and the empty ones of columns that a card needs.
        data: of a row in another form, the bytes of its line or file.
        problems: what was wrong already while the row was found; then nothing else of it is looked at.
        unreadable: why the surroundings did not give the row out; then it has no content.
    """

    number: int
    line: int
    source: str
    form: RowForm
    cells: tuple[Cell, ...] = field(default=(), repr=False)
    data: bytes = field(default=b"", repr=False)
    problems: tuple[Problem, ...] = ()
    unreadable: str = ""


def read_row(row: Row, scales: tuple[SyringeScale, ...] | None = None) -> Regimen:
    """The regimen of a row. Places inside it count from the row; ``shift_problems`` makes them count from the roster.

    Args:
        row: as found in the roster.
        scales: the syringes that may be named; ``None``: those of the catalogue.

    Raises:
        RegimenRefused: with every problem of its text, its keys and its values.
    """
    if row.problems:
        raise RegimenRefused(row.problems)
    match row.form:
        case RowForm.CELLS:
            return build_regimen(build_tree(row.cells), scales, _check_characters(row.cells))
        case RowForm.JSON:
            text = decode_text(row.data)
            require_json_object(text)
            # Every JSON object is a YAML mapping, so the strict reader's limits, places and refusals hold for it too.
            return read_regimen(text, scales)
        case RowForm.YAML:
            return read_regimen(decode_text(row.data), scales)


def shift_problems(problems: tuple[Problem, ...], row: Row) -> tuple[Problem, ...]:
    """The problems of a row with their lines as in the roster."""
    if row.line == 1:
        return problems
    return tuple(p._replace(place=p.place._replace(line=p.place.line + row.line - 1)) for p in problems)


def parse_cells(columns: tuple[Column, ...], texts: list[str]) -> tuple[Cell, ...]:
    """The cells of a line that has as many of them as there are columns."""
    pairs = zip(columns, map(clean_cell, texts), strict=True)
    return tuple(
        Cell(column.name, number, clean_amount(text) if column.is_amount else text)
        for number, (column, text) in enumerate(pairs, start=1)
        if text or column.is_required
    )


def build_tree(cells: tuple[Cell, ...]) -> TextMapping:
    """The tree that a regimen file with the same values would have."""
    parts: dict[str, list[tuple[TextScalar, Node]]] = {}
    doses: list[tuple[TextScalar, Node]] = []
    for cell in cells:
        section, _, key = cell.column.rpartition(".")
        place = Place(1, cell.number, cell.column)
        if key == DOSE:
            doses.append((TextScalar(section, place), TextScalar(cell.text, place)))
            parts.setdefault(section, [])
        else:
            parts.setdefault(section, []).append((TextScalar(key, place), _build_value(cell.text, place)))
    for medicine in MEDICINES:
        if medicine in parts and not any(scalar.text == medicine for scalar, _ in doses):
            # The roster may not even have the column: told at what it has of the medicine.
            place = Place(1, parts[medicine][0][0].place.column, f"{medicine}.{DOSE}")
            doses.append((TextScalar(medicine, place), TextScalar("", place)))
    # The regimen, and with it the card code, must not depend on the order of the columns.
    return _join_parts(parts, sorted(doses, key=lambda dose: dose[0].text))


def _join_parts(parts: dict[str, list[tuple[TextScalar, Node]]], doses: list[tuple[TextScalar, Node]]) -> TextMapping:
    def close(name: str, entries: list[tuple[TextScalar, Node]]) -> TextMapping:
        return TextMapping(tuple(entries), Place(1, entries[0][0].place.column if entries else 1, name))

    medicines = [(_name(name), close(name, parts.pop(name))) for name in MEDICINES if name in parts]
    draw = (_name(keys.DRAW.name), close(keys.DRAW.name, doses))
    fill = close(FILL, [*parts.pop(FILL, []), draw])
    contact = parts.pop(CONTACT, None)
    root: list[tuple[TextScalar, Node]] = parts.pop("", [])
    root += [(_name(name), close(name, entries)) for name, entries in parts.items()]
    root.append((_name(keys.MEDICINES.name), close(keys.MEDICINES.name, list(medicines))))
    root.append((_name(keys.FILLS.name), TextSequence((fill,), fill.place)))
    if contact:
        root.append((_name(keys.CONTACTS.name), TextSequence((close(CONTACT, contact),), Place(1, 1, CONTACT))))
    return TextMapping(tuple(root), Place())


def _name(name: str) -> TextScalar:
    return TextScalar(name, Place(1, 1, name))


def _build_value(text: str, place: Place) -> Node:
    """A list where a regimen file would have one: ``[monday, thursday]``; else the text as it stands."""
    if text.startswith("[") and text.endswith("]"):
        items = [item.strip(" ") for item in text[1:-1].split(",")]
        return TextSequence(tuple(TextScalar(item, place) for item in items if text != "[]"), place)
    return TextScalar(text, place)


def _check_characters(cells: tuple[Cell, ...]) -> tuple[Problem, ...]:
    found = ((cell, REFUSED.search(cell.text)) for cell in cells)
    return tuple(
        describe_hidden(match[0][0], Place(1, cell.number, cell.column)) for cell, match in found if match is not None
    )


def require_json_object(text: str) -> dict[str, Any]:
    """The object of a line, for looking at alone: numbers are text, of two equal names the last one counts.

    Raises:
        RegimenRefused: the line is not JSON, or something else than an object.
    """

    def refuse_line(found: str, column: int = 1) -> NoReturn:
        remedy = "write one object a line, in { }, shaped as a regimen file is; look at quotes, commas and brackets"
        problem = refuse(
            "ROSTER-011", Place(1, column), found, 'one JSON object, such as {"fillcards": "1", ...}', remedy
        )
        raise RegimenRefused((problem,))

    def refuse_constant(_: str) -> NoReturn:
        refuse_line("a value that is not a number")

    try:
        found = json.loads(text, parse_int=str, parse_float=str, parse_constant=refuse_constant)
    except json.JSONDecodeError as error:
        refuse_line("a line that is not JSON", error.colno)
    except RecursionError:
        refuse_line("too many nested brackets for a regimen")
    if not isinstance(found, dict):
        refuse_line("a line that is not an object")
    return found


def write_canonical_row(row: Row) -> bytes:
    """What of a row decides about its card, as bytes: neither the order of columns nor the number of the row."""
    if row.form is RowForm.CELLS:
        filled = sorted((cell.column, cell.text) for cell in row.cells if cell.text)
        return json.dumps(filled, ensure_ascii=False).encode("utf-8")
    return row.data.strip()


def find_words(row: Row, paths: tuple[str, ...]) -> tuple[str, ...]:
    """The texts under some paths of a row, such as ``patient.name``; what is missing or no text is left out.

    Args:
        row: in any form; one that cannot be read has no words.
        paths: a key of the whole file, or a key of a section.
    """
    if row.problems or row.unreadable:
        return ()
    try:
        find = _FINDERS[row.form](row)
    except RegimenRefused:
        return ()
    return tuple(text for text in map(find, paths) if text)


def _find_in_cells(row: Row) -> Callable[[str], str]:
    texts = {cell.column: cell.text for cell in row.cells}
    return lambda path: texts.get(path, "")


def _find_in_json(row: Row) -> Callable[[str], str]:
    found = require_json_object(decode_text(row.data))

    def find(path: str) -> str:
        value: Any = found
        for key in path.split("."):
            value = value.get(key) if isinstance(value, dict) else None
        return value if isinstance(value, str) else ""

    return find


def _find_in_yaml(row: Row) -> Callable[[str], str]:
    from fillcards.strict_yaml import read_tree

    tree = read_tree(decode_text(row.data))

    def find(path: str) -> str:
        return next((node.text for node in _walk_path(tree, path) if isinstance(node, TextScalar)), "")

    return find


def _walk_path(tree: Node, path: str) -> Iterator[Node]:
    node: Node | None = tree
    for key in path.split("."):
        node = node.find_value(key) if isinstance(node, TextMapping) else None
    if node is not None:
        yield node


_FINDERS: Final = {RowForm.CELLS: _find_in_cells, RowForm.JSON: _find_in_json, RowForm.YAML: _find_in_yaml}
