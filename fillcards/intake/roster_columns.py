"""The columns of a roster in CSV: one medicine or two, one fill a row, under the names the regimen file has for them;
and what the columns of an export are.

The table is made from the table of keys (``regimen/keys.py``), so that a key of the file is a column too, in the same
notation. ``syringe.scale`` is ``scale`` under ``syringe``; what the file says of each medicine under a word of the
user's own stands here under ``medicine_1`` and ``medicine_2``; the dose of a medicine is ``medicine_1.dose``.
The *map* says of an export's columns what each is here (or ``not read``), gives columns that the export lacks one value
for all rows, and states the order of its dates. Knows nothing of files. Columns count from 1.

Of a cell as spreadsheets write it, exactly this is taken for the same as in a regimen file, and nothing else: spaces
and line breaks around a text; ``="0123"`` for ``0123``; a no-break space for a space; in a cell that holds an amount,
any number of spaces between number and unit or none, and a unit all in capitals or all in small letters
(``12UNITS`` is ``12 units``); and dates in the order that was stated for the whole roster. A unit that has been
misread, such as ``U``, stays as it is and is refused.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cache
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from fillcards.problems import Place, Problem, RegimenRefused, sort_problems
from fillcards.quantities import Unit
from fillcards.regimen import keys
from fillcards.regimen.forms import Amount, FormError, IsoDate, suggest_word
from fillcards.strict_text import MOST_LISTED, quote_text, refuse
from fillcards.strict_yaml import Node, TextMapping, TextScalar, read_tree

MOST_COLUMNS: Final = 200
"""Of a roster; about three times as many as there are names for."""
NOT_READ: Final = "not read"
"""What a map says of a column that has nothing for a card."""

MEDICINES: Final = ("medicine_1", "medicine_2")
FILL: Final = "fill"
CONTACT: Final = "contact"
DOSE: Final = "dose"

_ROOT_KEYS: Final = (keys.FILLCARDS, keys.LANGUAGE, keys.NOTES, keys.PRESCRIPTION, keys.SAMPLE)
_FILL_KEYS: Final = (keys.WHEN, keys.MINUTES_BEFORE, keys.DAYS)
_SECTIONS: Final[tuple[tuple[str, tuple[keys.Key[Any], ...]], ...]] = (
    ("", _ROOT_KEYS),
    ("patient", keys.PATIENT_KEYS),
    ("print", keys.PRINT_KEYS),
    ("syringe", keys.SYRINGE_KEYS),
    (MEDICINES[0], (*keys.MEDICINE_KEYS, keys.DOSE)),
    (MEDICINES[1], (*keys.MEDICINE_KEYS, keys.DOSE)),
    (FILL, _FILL_KEYS),
    (CONTACT, keys.CONTACT_KEYS),
    (keys.CLINIC_SAYS.name, keys.CLINIC_SAYS_KEYS),
    ("review", keys.REVIEW_KEYS),
)
_OPTIONAL_SECTIONS: Final = (MEDICINES[1], CONTACT)
# Not required of every file, but of every fill of every medicine that a card can be made for.
_ALSO_REQUIRED: Final = (f"{MEDICINES[0]}.{keys.STRENGTH.name}", f"{MEDICINES[0]}.{DOSE}")


# No-break space, figure space, narrow no-break space. Source: Unicode Standard, general category Zs, "no-break" forms.
_SPACES: Final = str.maketrans(dict.fromkeys("\u00a0\u2007\u202f", " "))
_AMOUNT: Final = re.compile(r"([0-9]+(?:\.[0-9]+)?) *([A-Za-z]+(?:/[A-Za-z]+)?)")
_WORDS: Final = (*(unit.value for unit in Unit), "unit", "day")
_UNIT_OF: Final = {written: word for word in _WORDS for written in (word, word.lower(), word.upper())}


# A spreadsheet's way to keep zeros in front, and its way to shorten a long number, which loses the digits for good.
_KEPT_TEXT: Final = re.compile(r'="([^"]*)"')
_SHORTENED: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)?[eE][+-]?[0-9]+")
_DATE: Final = re.compile(r"([0-9]{1,2})([/.-])([0-9]{1,2})\2([0-9]{4})")


_MONTHS: Final = 12

OF_ONE_PATIENT: Final = (
    *(f"patient.{key.name}" for key in (keys.NAME, keys.BORN, keys.SECOND_IDENTIFIER)),
    *(f"review.{key.name}" for key in (keys.CHECKED_BY, keys.CHECKED_ON, keys.CHECKED_CODE)),
    *(key.name for key in (keys.PRESCRIPTION, keys.FILLS, keys.REPLACES)),
)
_COLUMNS: Final = "columns"
_CONSTANTS: Final = "constants"
_DATES: Final = "dates"


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands under a column; ``number`` is the column's place in the roster."""

    column: str
    number: int
    text: str = field(repr=False)


class DateOrder(Enum):
    """In which order a roster writes its dates, beside year-month-day, which is always understood."""

    DAY_FIRST = "day/month/year"
    MONTH_FIRST = "month/day/year"


class Column(NamedTuple):
    """A column that a roster may have."""

    name: str
    is_required: bool
    form: Any
    is_private: bool

    def clean(self, text: str, order: DateOrder | None) -> str:
        """A cell as a regimen file would have it; what is not understood stays as it is.

        Raises:
            FormError: it shows that what stands there, or the order of dates, is not what it seems.
        """
        text = clean_cell(text)
        if _SHORTENED.fullmatch(text) and not isinstance(self.form, Amount):
            expected = "the whole number: a spreadsheet has shortened this one, and its last digits may be lost"
            raise FormError(
                "ROSTER-014", expected, "make the column one of text in the spreadsheet, and export it again"
            )
        if isinstance(self.form, Amount):
            return clean_amount(text)
        return clean_date(text, order) if isinstance(self.form, IsoDate) and order else text


PASSED_OVER: Final = Column(NOT_READ, is_required=False, form=None, is_private=True)


@cache
def list_columns() -> Mapping[str, Column]:
    """Every column by its name, in the order of the regimen file."""
    columns = {}
    for section, table in _SECTIONS:
        for key in table:
            name = f"{section}.{key.name}" if section else key.name
            is_required = (key.is_required and section not in _OPTIONAL_SECTIONS) or name in _ALSO_REQUIRED
            columns[name] = Column(name, is_required, key.form, key.is_private)
    return columns


def parse_header(
    cells: tuple[str, ...],
    names: Mapping[str, str] = MappingProxyType({}),
    given: Container[str] = (),
    *,
    is_named: bool = True,
) -> tuple[Column | None, ...]:
    """The columns that the first line of a roster names; ``None`` for one without a name, which must stay empty.

    Args:
        cells: of the line.
        names: of an export's columns, and what each is here.
        given: columns whose value does not come from the roster.
        is_named: whether it is the export whose columns are named, so that it has each of them.

    Raises:
        RegimenRefused: with every name that is unknown, missing or there twice, and the likeliest that was meant.
    """
    cells = tuple(clean_cell(cell.replace("\n", " ")) for cell in cells)
    if len(cells) > MOST_COLUMNS:
        expected = f"at most {MOST_COLUMNS}"
        remedy = "check that this is a roster; nothing in it was read"
        raise RegimenRefused((refuse("ROSTER-002", Place(), f"{len(cells):,} columns", expected, remedy),))
    known = list_columns()
    theirs = cells
    cells = tuple(names.get(cell, cell) for cell in cells)
    if not any(cell in known for cell in cells):
        # What stands in a first line without names may be a patient's: nothing is quoted.
        remedy = "put the names of the columns into the first line, as fillcards new roster -o FILE writes them"
        found = "a first line without the name of any column"
        raise RegimenRefused((refuse("ROSTER-005", Place(), found, "names such as syringe.scale", remedy),))
    problems = [*_check_names(cells), *_check_missing(cells, given)]
    if is_named:
        problems += _check_named(theirs, names)
    if problems:
        raise RegimenRefused(sort_problems(problems)[:MOST_LISTED])
    return tuple(PASSED_OVER if cell == NOT_READ else known.get(cell) for cell in cells)


def _check_names(cells: tuple[str, ...]) -> list[Problem]:
    problems: list[Problem] = []
    known = list_columns()
    first_of: dict[str, int] = {}
    for number, name in enumerate(cells, start=1):
        if name in {"", NOT_READ}:
            continue
        place = Place(1, number, name if name in known else "")
        if name not in known:
            remedy = suggest_word(name, tuple(known))
            is_near = remedy.startswith("did you")
            found = f"the unknown column {quote_text(name)}" if is_near else f"an unknown name over column {number}"
            if not is_near:
                remedy = 'take the column out, or say in a file for --columns what it is, or that it is "not read"'
            expected = "a name as fillcards new roster writes it, spelled exactly so"
            problems.append(refuse("ROSTER-004", place, found, expected, remedy))
        elif name in first_of:
            found = f"{quote_text(name)} over column {first_of[name]} and over column {number}"
            problems.append(refuse("ROSTER-006", place, found, "each name once", "take one of the two columns out"))
        first_of.setdefault(name, number)
    return problems


def _check_missing(cells: tuple[str, ...], given: Container[str]) -> list[Problem]:
    unknown = tuple(cell for cell in cells if cell not in list_columns())
    problems: list[Problem] = []
    for column in list_columns().values():
        if not column.is_required or column.name in cells or column.name in given:
            continue
        near = suggest_word(column.name, unknown) if unknown else ""
        remedy = f"add the column {column.name}"
        if near.startswith("did you"):
            name = near.removeprefix("did you mean ").removesuffix("?")
            remedy = f"if {name} is meant, write {column.name} over it; else add the column"
        found = f'no column "{column.name}"'
        problems.append(refuse("ROSTER-005", Place(1, 1, column.name), found, f'"{column.name}"', remedy))
    return problems


def _check_named(cells: tuple[str, ...], names: Mapping[str, str]) -> list[Problem]:
    # What is not known here may be a patient's, and stays out.
    there = ", ".join(cell for cell in cells if cell in names or cell in list_columns())
    return [
        refuse(
            "ROSTER-017",
            Place(),
            f"no column {quote_text(name)}, which the file for --columns names",
            f"each column that it names; of those known, there are: {there}",
            "spell it as the export does, or take it out of that file",
        )
        for name in names
        if name not in cells
    ]


def clean_cell(text: str) -> str:
    """Any cell, without spaces and line breaks around it, with plain spaces within, without the mark of a text."""
    text = text.translate(_SPACES).strip(" \r\n")
    kept = _KEPT_TEXT.fullmatch(text)
    return kept[1].strip(" ") if kept else text


def clean_amount(text: str) -> str:
    """A cell that ``clean_cell`` has been through and that should hold an amount; what is none stays as it is.

    Example:
        >>> clean_amount("0.3ML")
        '0.3 mL'
        >>> clean_amount("12 U")
        '12 U'
    """
    found = _AMOUNT.fullmatch(text)
    word = _UNIT_OF.get(found[2]) if found else None
    return f"{found[1]} {word}" if found and word else text


def clean_date(text: str, order: DateOrder) -> str:
    """A cell that should hold a date, in the order of a regimen file; what is none stays as it is.

    Raises:
        FormError: the day and the month stand the other way round than was stated.

    Example:
        >>> clean_date("25/11/2026", DateOrder.DAY_FIRST)
        '2026-11-25'
    """
    found = _DATE.fullmatch(text)
    if not found:
        return text
    day, month = (found[1], found[3]) if order is DateOrder.DAY_FIRST else (found[3], found[1])
    if int(month) > _MONTHS >= int(day):
        expected = f"a date as {order.value}, as the file for --columns states it of the whole roster"
        raise FormError("ROSTER-015", expected, "look at several dates of the export, then state their true order")
    return f"{found[4]}-{int(month):02}-{int(day):02}"


class ColumnMap(NamedTuple):
    """What the columns of an export are.

    Attributes:
        names: of the export, and the column each is here, or ``NOT_READ``.
        constants: cells of every row, without a place in the export.
        dates: their order; ``None`` where it is not stated.
    """

    names: Mapping[str, str]
    constants: tuple[Cell, ...] = ()
    dates: DateOrder | None = None


def read_column_map(text: str) -> ColumnMap:
    """The map of an export's columns.

    Raises:
        RegimenRefused: it cannot be read, or says something that a roster has not.
    """
    expected = f'"{_COLUMNS}:", and if needed "{_CONSTANTS}:" and "{_DATES}:"'
    tree = require_mapping(read_tree(text), expected)
    problems = list(_check_keys(tree, expected))
    names = dict(_list_pairs(tree.find_value(_COLUMNS), problems))
    constants = dict(_list_pairs(tree.find_value(_CONSTANTS), problems))
    known = (*list_columns(), NOT_READ)
    problems += [
        _refuse(ours.place, f"the unknown column {quote_text(ours.text)}", suggest_word(ours.text, known))
        for ours in names.values()
        if ours.text not in known
    ]
    for column, scalar in constants.items():
        if column not in list_columns():
            problems.append(
                _refuse(scalar.place, f"the unknown column {quote_text(column)}", suggest_word(column, known))
            )
        elif column in (ours.text for ours in names.values()):
            problems.append(
                _refuse(scalar.place, f"{column} both as a column and as a constant", "keep one of the two")
            )
        elif column in OF_ONE_PATIENT:
            problems.append(_refuse(scalar.place, f"{column} for all rows", "take it out: it is of one patient"))
    dates = tree.find_value(_DATES)
    orders = {order.value: order for order in DateOrder}
    if dates is not None and (not isinstance(dates, TextScalar) or dates.text not in orders):
        problems.append(_refuse(dates.place, "another order of dates", f"write one of: {', '.join(orders)}"))
    if problems:
        raise RegimenRefused(sort_problems(problems)[:MOST_LISTED])
    order = orders[dates.text] if isinstance(dates, TextScalar) else None
    cells = tuple(Cell(column, 0, scalar.text) for column, scalar in constants.items())
    return ColumnMap({clean_cell(theirs): ours.text for theirs, ours in names.items()}, cells, order)


def _check_keys(tree: TextMapping, expected: str) -> Iterator[Problem]:
    for scalar, _ in tree.entries:
        if scalar.text not in {_COLUMNS, _CONSTANTS, _DATES}:
            yield refuse("ROSTER-017", scalar.place, "an unknown key", expected, "take it out")


def _list_pairs(node: Node | None, problems: list[Problem]) -> Iterator[tuple[str, TextScalar]]:
    if node is None:
        return
    for scalar, value in node.entries if isinstance(node, TextMapping) else ():
        if isinstance(value, TextScalar):
            yield scalar.text, value
        else:
            problems.append(_refuse(value.place, "something else than one text", "write one text after the name"))
    if not isinstance(node, TextMapping):
        problems.append(_refuse(node.place, "something else than keys with values", "write one column a line"))


def _refuse(place: Place, found: str, remedy: str) -> Problem:
    expected = f'columns as fillcards new roster writes them, or "{NOT_READ}"; each from one place'
    return refuse("ROSTER-017", place, found, expected, remedy)


def require_mapping(tree: Node, expected: str) -> TextMapping:
    """A file beside a roster as a mapping.

    Raises:
        RegimenRefused: it is something else.
    """
    if isinstance(tree, TextMapping):
        return tree
    problem = refuse("ROSTER-017", Place(), "something else than keys with values", expected, "look at README.md")
    raise RegimenRefused((problem,))
