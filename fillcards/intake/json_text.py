"""Bytes of a JSON file -> a tree of Python values, or every fault of the text. Strict where JSON itself is loose.

Refused: what is not UTF-8, a name twice in one object (readers differ on which one counts), NaN and Infinity (no JSON),
numbers beyond sense, nesting beyond sense. Whole numbers become ``int``, others ``Decimal``, exactly as written. Knows
nothing of FHIR. Paths are written as FHIRPath writes them, so items count from 0: ``entry[2].resource``.
Source: RFC 8259, sections 4 (names should be unique), 6 (numbers), 8.1 (UTF-8), 9 (limits of a reader).
"""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any, Final, NamedTuple, TypeAlias

from fillcards.codes import make_problem
from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.strict_text import quote_text

Json: TypeAlias = "dict[str, Json] | list[Json] | str | int | Decimal | bool | None"

LARGEST_JSON_BYTES: Final = 2 * 1024 * 1024
DEEPEST: Final = 40
MOST_DIGITS: Final = 30
MOST_FAULTS: Final = 20

_IN_PLACE: Final = Place(0, 0)
_PLAIN_NUMBER: Final = re.compile(r"-?[0-9.]+(?:[eE][+-]?[0-9]{1,2})?")


def read_json(data: bytes) -> dict[str, Json]:
    """Read a file that holds one JSON object.

    Raises:
        RegimenRefused: it does not, with every fault that can be listed.
    """
    text = _decode(data)
    try:
        raw = json.loads(text, object_pairs_hook=_Pairs, parse_int=_Number, parse_float=_Number, parse_constant=_Number)
    except json.JSONDecodeError as error:
        place = Place(error.lineno, error.colno)
        raise _refuse("FHIR-001", place, "text that is not JSON") from None
    except RecursionError:
        raise _refuse_depth(_IN_PLACE) from None
    builder = _Builder([])
    tree = builder.build(raw, "", 1)
    if builder.problems:
        raise RegimenRefused(tuple(builder.problems[:MOST_FAULTS]))
    if not isinstance(tree, dict):
        raise _refuse("FHIR-001", _IN_PLACE, "JSON that is not an object")
    return tree


def join_path(parent: str, name: str) -> str:
    """The path of an element inside its parent."""
    shown = quote_text(name).strip('"')
    return f"{parent}.{shown}" if parent else shown


class _Pairs(list[tuple[str, Any]]):
    """An object as it stands in the file, a name as often as it is written."""


class _Number(NamedTuple):
    """A number as it stands in the file."""

    text: str


class _Builder(NamedTuple):
    """Turns what the reader gave into plain values and notes what is wrong, each with its path."""

    problems: list[Problem]

    def build(self, raw: Any, path: str, depth: int) -> Json:
        """One value with all that is in it; past a fault of nesting nothing more is looked at."""
        if depth > DEEPEST:
            raise _refuse_depth(Place(0, 0, path))
        match raw:
            case _Pairs():
                return self._build_object(raw, path, depth)
            case list():
                return [self.build(item, f"{path}[{index}]", depth + 1) for index, item in enumerate(raw)]
            case _Number():
                return self._build_number(raw.text, path)
            case str() | bool() | None:
                return raw
        raise TypeError(f"{type(raw).__name__} is not JSON")

    def _build_object(self, pairs: _Pairs, path: str, depth: int) -> Json:
        built: dict[str, Json] = {}
        for name, raw in pairs:
            inner = join_path(path, name)
            if name in built:
                self._note("FHIR-003", inner, f"{quote_text(name)} twice in one object")
            built[name] = self.build(raw, inner, depth + 1)
        return built

    def _build_number(self, text: str, path: str) -> Json:
        if not re.match(r"-?[0-9]", text):
            self._note("FHIR-001", path, f"{text}, which is not JSON")
            return None
        if len(text) > MOST_DIGITS or not _PLAIN_NUMBER.fullmatch(text):
            self._note("FHIR-002", path, f"a number of {len(text)} characters")
            return None
        return int(text) if re.fullmatch(r"-?[0-9]+", text) else Decimal(text)

    def _note(self, code: str, path: str, found: str) -> None:
        self.problems.append(make_problem(code, Place(0, 0, path), found))


def _decode(data: bytes) -> str:
    if len(data) > LARGEST_JSON_BYTES:
        raise _refuse("FHIR-002", _IN_PLACE, f"a file of more than {LARGEST_JSON_BYTES:,} bytes")
    try:
        return data.decode("utf-8", "strict").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"the byte {data[error.start]:02X}, which is not UTF-8 text"
        raise _refuse("FHIR-001", Place(line, 1), found) from None


def _refuse_depth(place: Place) -> RegimenRefused:
    return _refuse("FHIR-002", place, f"brackets over {DEEPEST} deep")


def _refuse(code: str, place: Place, found: str) -> RegimenRefused:
    return RegimenRefused((make_problem(code, place, found),))
