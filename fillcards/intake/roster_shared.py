"""What a roster leaves to files beside it: the values that all rows share, and what the columns of an export are.

The *defaults* are written as a regimen file, without anything of one patient. A row that leaves a key blank has the
default; a row that says the same says nothing new; one that says otherwise is refused, because nobody can tell which of
the two was meant. A medicine of the defaults goes to every row that draws a medicine so called.

The *map* says of an export's columns what each is here (or ``not read``), gives columns that the export lacks one value
for all rows, and states the order of its dates. Knows nothing of files but their names, for messages.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from fillcards.intake.roster import Cell, Shared, find_text, fold
from fillcards.intake.roster_columns import NOT_READ, DateOrder, clean_cell, list_columns
from fillcards.problems import Place, Problem, RegimenRefused, sort_problems
from fillcards.regimen import keys
from fillcards.regimen.forms import suggest_word
from fillcards.strict_text import MOST_LISTED, quote_text, refuse
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence, read_tree

_OF_ONE_PATIENT: Final = (
    *(f"patient.{key.name}" for key in (keys.NAME, keys.BORN, keys.SECOND_IDENTIFIER)),
    *(f"review.{key.name}" for key in (keys.CHECKED_BY, keys.CHECKED_ON, keys.CHECKED_CODE)),
    *(key.name for key in (keys.PRESCRIPTION, keys.FILLS, keys.REPLACES)),
)
_COLUMNS: Final = "columns"
_CONSTANTS: Final = "constants"
_DATES: Final = "dates"


def read_defaults(text: str, name: str) -> Shared:
    """The values that all rows share.

    Args:
        text: of a file written as a regimen file.
        name: of the file, as messages about its values name it.

    Raises:
        RegimenRefused: it cannot be read, or holds something of one patient.
    """
    tree = _require_mapping(read_tree(text), "keys of a regimen file, such as syringe")
    problems = [
        refuse(
            "ROSTER-016",
            node.place,
            f'"{path}" in what all rows share',
            "nothing of one patient",
            "take it out of this file and write it into the rows",
        )
        for path in _OF_ONE_PATIENT
        if (node := _find(tree, path)) is not None and node != TextScalar("", node.place)
    ]
    values: list[tuple[str, str, Node]] = []
    medicines: dict[str, tuple[tuple[str, Node], ...]] = {}
    for scalar, node in tree.entries:
        if scalar.text == keys.MEDICINES.name:
            for medicine_key, medicine in node.entries if isinstance(node, TextMapping) else ():
                called = fold(f"{find_text(medicine, keys.KIND.name)} {find_text(medicine, keys.OTHER_NAME.name)}")
                if called in medicines or not called or not isinstance(medicine, TextMapping):
                    found = "two entries for one medicine" if called in medicines else "a medicine without its kind"
                    remedy = "keep one entry a medicine, each with its kind; another strength goes into the rows"
                    problems.append(
                        refuse("ROSTER-016", medicine_key.place, found, "each medicine once, by its kind", remedy)
                    )
                    continue
                medicines[called] = tuple(_list_entries(medicine, name))
        elif isinstance(node, TextMapping):
            values += [(scalar.text, key, value) for key, value in _list_entries(node, name)]
        elif node != TextScalar("", node.place):
            values.append(("", scalar.text, label(node, name)))
    if problems:
        raise RegimenRefused(sort_problems(problems)[:MOST_LISTED])
    return Shared(tuple(values), tuple(medicines.items()))


def list_given(shared: Shared) -> frozenset[str]:
    """The columns that a roster may leave out, because the defaults have a value there."""
    given = {f"{section}.{key}" if section else key for section, key, _ in shared.values}
    # Whether the defaults know the medicine of each row is asked row by row.
    return frozenset(given | ({f"medicine_1.{keys.STRENGTH.name}"} if shared.medicines else set()))


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
    tree = _require_mapping(read_tree(text), expected)
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
        elif column in _OF_ONE_PATIENT:
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


def _require_mapping(tree: Node, expected: str) -> TextMapping:
    if isinstance(tree, TextMapping):
        return tree
    problem = refuse("ROSTER-017", Place(), "something else than keys with values", expected, "look at README.md")
    raise RegimenRefused((problem,))


def _find(tree: Node, path: str) -> Node | None:
    found: Node | None = tree
    for key in path.split("."):
        found = found.find_value(key) if isinstance(found, TextMapping) else None
    return found


def _list_entries(node: TextMapping, name: str) -> Iterator[tuple[str, Node]]:
    for scalar, value in node.entries:
        if value != TextScalar("", value.place):
            yield scalar.text, label(value, name)


def label(node: Node, name: str) -> Node:
    """The node with the file that it comes from in its place, which is otherwise one of the roster."""
    place = Place(0, 1, f"{node.place.key} ({name}:{node.place.line})")
    match node:
        case TextScalar():
            return TextScalar(node.text, place)
        case TextMapping():
            entries = ((TextScalar(key.text, place), label(value, name)) for key, value in node.entries)
            return TextMapping(tuple(entries), place)
        case TextSequence():
            return TextSequence(tuple(label(item, name) for item in node.items), place)
