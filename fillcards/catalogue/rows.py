"""Rows of a data file: taking values out of the tree one by one, noting each problem with its place.

Used for our own data files, where a problem is an error in Fillcards, and for a user's syringes file. Knows the form of
rows, nothing of what they mean.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from fillcards.problems import InternalFault, Problem, RegimenRefused, sort_problems, write_problem
from fillcards.quantities import Quantity, QuantityError, Unit, parse_quantity
from fillcards.strict_text import quote_text, refuse
from fillcards.strict_yaml import TextMapping, TextScalar, TextSequence, read_tree

T = TypeVar("T")


class Row:
    """One row while it is read. Every ``take_`` notes what is wrong and then returns ``None`` or an empty value.

    A key that is not taken by the end is not known: ``check_keys`` says so.
    """

    def __init__(self, mapping: TextMapping, problems: list[Problem]):
        self.place = mapping.place
        self._values = {key.text: value for key, value in mapping.entries}
        self._key_places = {key.text: key.place for key, _ in mapping.entries}
        self._problems = problems
        self._taken: list[str] = []

    def add_problem(self, code: str, key: str, found: str, expected: str, remedy: str) -> None:
        """Note a problem with the value of a key, or with the whole row where the key is not there."""
        node = self._values.get(key)
        place = node.place if node else self.place
        self._problems.append(refuse(code, place, found, expected, remedy))

    def take_text(self, key: str, *, is_optional: bool = False, code_if_missing: str = "CAT-003") -> str:
        """The text of a key; ``""`` where it is missing, empty or no text."""
        self._taken.append(key)
        node = self._values.get(key)
        if isinstance(node, TextScalar) and node.text:
            return node.text
        if not isinstance(node, TextScalar | None):
            self.add_problem("CAT-005", key, "several values", "one value", f'write one value after "{key}:"')
        elif not is_optional:
            found = f'nothing under "{key}"' if node else f'no "{key}"'
            self.add_problem(code_if_missing, key, found, f'a row with "{key}:"', f'add "{key}:" to the row')
        return ""

    def take_texts(self, key: str) -> tuple[str, ...]:
        """The texts of a list such as ``[a, b]``."""
        self._taken.append(key)
        node = self._values.get(key)
        if isinstance(node, TextSequence):
            texts = tuple(item.text for item in node.items if isinstance(item, TextScalar) and item.text)
            if len(texts) == len(node.items):
                return texts
        found = f'no list under "{key}"' if node else f'no "{key}"'
        self.add_problem("CAT-003", key, found, f'a list such as "{key}: [a, b]"', f'write "{key}:" and a list')
        return ()

    def take_choice(self, key: str, choices: dict[str, T]) -> T | None:
        """What a word stands for, out of a table of words."""
        text = self.take_text(key)
        if text and text not in choices:
            allowed = " | ".join(choices)
            self.add_problem("CAT-004", key, f"{key} {quote_text(text)}", f"one of: {allowed}", "write one of them so")
        return choices.get(text)

    def take_quantity(self, key: str, units: tuple[Unit, ...]) -> Quantity | None:
        """An amount with its unit."""
        text = self.take_text(key)
        return self._parse_quantity(key, text, units) if text else None

    def take_quantities(self, key: str, units: tuple[Unit, ...]) -> tuple[Quantity, ...]:
        """A list of amounts with their units."""
        quantities = (self._parse_quantity(key, text, units) for text in self.take_texts(key))
        return tuple(quantity for quantity in quantities if quantity)

    def check_keys(self) -> None:
        """Note every key that nothing has taken."""
        for key in self._key_places.keys() - set(self._taken):
            self._describe_unknown_key(key)

    def _describe_unknown_key(self, key: str) -> None:
        from difflib import get_close_matches

        near = get_close_matches(key, self._taken, 1)
        remedy = f'did you mean "{near[0]}"?' if near else "take it out"
        expected = f"one of: {', '.join(self._taken)}"
        found = f"the unknown key {quote_text(key)}"
        self._problems.append(refuse("CAT-002", self._key_places[key], found, expected, remedy))

    def _parse_quantity(self, key: str, text: str, units: tuple[Unit, ...]) -> Quantity | None:
        try:
            return _parse_known_quantity(text, units)
        except QuantityError as error:
            self.add_problem("CAT-005", key, f"{key} {quote_text(text)}", error.expected, error.remedy)
            return None


# Rows repeat the same few amounts, such as "1 mL". Nothing of a patient's passes here.
_parse_known_quantity = lru_cache(maxsize=256)(parse_quantity)


def read_rows(text: str, list_key: str, build_row: Callable[[Row], T | None]) -> tuple[T, ...]:
    """Read a file that is a list of rows under one key.

    Args:
        text: the whole file.
        list_key: the one key of the file.
        build_row: makes a value of a row, or notes problems on it and returns ``None``.

    Raises:
        RegimenRefused: with every problem found.
    """
    root = read_tree(text)
    node = root.find_value(list_key) if isinstance(root, TextMapping) else None
    if not isinstance(root, TextMapping) or len(root.entries) != 1 or not isinstance(node, TextSequence):
        expected = f'one key, "{list_key}:", and a list of rows under it'
        remedy = f'start the file with "{list_key}:" and each row with "- "'
        raise RegimenRefused((refuse("CAT-001", root.place, "a file of another form", expected, remedy),))
    problems: list[Problem] = []
    built: list[T] = []
    for item in node.items:
        if not isinstance(item, TextMapping):
            expected, remedy = "a row of keys and values", 'write "key: value" lines'
            problems.append(refuse("CAT-001", item.place, "no row", expected, remedy))
            continue
        row = Row(item, problems)
        value = build_row(row)
        row.check_keys()
        if value is not None:
            built.append(value)
    if not built and not problems:
        problems.append(refuse("CAT-001", node.place, "no row", "one row or more", "add a row"))
    if problems:
        raise RegimenRefused(sort_problems(problems))
    return tuple(built)


def read_own_rows(file_name: str, list_key: str, build_row: Callable[[Row], T | None]) -> tuple[T, ...]:
    """Read one of the data files beside this module.

    Raises:
        InternalFault: the file is missing or wrong, which is never the user's fault.
    """
    try:
        text = Path(__file__).with_name(file_name).read_text(encoding="utf-8")
        return read_rows(text, list_key, build_row)
    except OSError as error:
        raise InternalFault(
            f"the data file {file_name} cannot be read ({error.strerror}): install Fillcards again"
        ) from error
    except RegimenRefused as error:
        first = write_problem(error.problems[0], file_name)
        raise InternalFault(f"the data file {file_name} is wrong, please report it:\n{first}") from error


def take_sources(row: Row) -> tuple[str, ...]:
    """The keys of the sources a row rests on; noted as a problem where there are none."""
    sources = row.take_texts("sources")
    if not sources:
        expected = "keys of the file of sources"
        row.add_problem("CAT-007", "sources", "a row without a source", expected, "say where the row comes from")
    return sources


def read_own_table(
    file_name: str, list_key: str, build_row: Callable[[Row], T | None], name: Callable[[T], str]
) -> Mapping[str, T]:
    """Read one of the data files beside this module, its rows by their names.

    Raises:
        InternalFault: the file is missing or wrong, or a name stands twice.
    """
    table: dict[str, T] = {}
    for row in read_own_rows(file_name, list_key, build_row):
        if name(row) in table:
            raise InternalFault(f'{file_name} has "{name(row)}" twice')
        table[name(row)] = row
    return MappingProxyType(table)
