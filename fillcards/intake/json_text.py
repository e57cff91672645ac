"""Bytes of a JSON file -> a tree of Python values, or every fault of the text; and one object of it while it is read.

Strict where JSON itself is loose. Refused: what is not UTF-8, a name twice in one object (readers differ on which one
counts), NaN and Infinity (no JSON), numbers beyond sense, nesting beyond sense. Whole numbers become ``int``, others
``Decimal``, exactly as written. Knows nothing of what the values mean. Paths are written as FHIRPath writes them, so
items count from 0: ``entry[2].resource``.
Source: RFC 8259, sections 4 (names should be unique), 6 (numbers), 8.1 (UTF-8), 9 (limits of a reader).
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any, Final, NamedTuple, TypeAlias

from fillcards.codes import make_problem
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.strict_text import quote_text

Json: TypeAlias = "dict[str, Json] | list[Json] | str | int | Decimal | bool | None"

LARGEST_JSON_BYTES: Final = 2 * 1024 * 1024
DEEPEST: Final = 40
MOST_DIGITS: Final = 30
MOST_FAULTS: Final = 20

# Of no use to a reader of the draft: identifiers inside the file, addresses of code systems, what extends the standard.
_NOT_SHOWN: Final = frozenset(("id", "system", "extension", "userSelected", "version"))
_WORD_OF_SEVERITY: Final = {Severity.REFUSE: "LEFT BLANK", Severity.CAUTION: "READ THIS"}
_NOWHERE: Final[dict[str, Json]] = {}
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
    problems: list[Problem] = []
    tree = _build(raw, "", 1, problems)
    if problems:
        raise RegimenRefused(tuple(problems[:MOST_FAULTS]))
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


def _build(raw: Any, path: str, depth: int, problems: list[Problem]) -> Json:
    """One value with all that is in it; past a fault of nesting nothing more is looked at."""

    def note(code: str, at: str, found: str) -> None:
        problems.append(make_problem(code, Place(0, 0, at), found))

    if depth > DEEPEST:
        raise _refuse_depth(Place(0, 0, path))
    match raw:
        case _Pairs():
            built: dict[str, Json] = {}
            for name, value in raw:
                inner = join_path(path, name)
                if name in built:
                    note("FHIR-003", inner, f"{quote_text(name)} twice in one object")
                built[name] = _build(value, inner, depth + 1, problems)
            return built
        case list():
            return [_build(item, f"{path}[{index}]", depth + 1, problems) for index, item in enumerate(raw)]
        case _Number(text):
            if not re.match(r"-?[0-9]", text):
                note("FHIR-001", path, f"{text}, which is not JSON")
            elif len(text) > MOST_DIGITS or not _PLAIN_NUMBER.fullmatch(text):
                note("FHIR-002", path, f"a number of {len(text)} characters")
            else:
                return int(text) if re.fullmatch(r"-?[0-9]+", text) else Decimal(text)
            return None
        case str() | bool() | None:
            return raw
    raise TypeError(f"{type(raw).__name__} is not JSON")


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


class Element(NamedTuple):
    """One JSON object while it is read: values by name, and reasons noted with the path of the piece.

    A value of another type than the one asked for is noted and comes back as if it were not there.

    Attributes:
        node: the object.
        path: from the root of the file.
        problems: where to note what is wrong; shared by all pieces of a file.
    """

    node: dict[str, Json]
    path: str
    problems: list[Problem]

    def __bool__(self) -> bool:
        """Whether it stands in the file; where it does not, nothing is found in it."""
        return self.node is not _NOWHERE

    def has(self, name: str) -> bool:
        """Whether anything stands under the name."""
        return name in self.node

    def find_text(self, name: str) -> str | None:
        """The text under a name, never empty."""
        value = self.node.get(name)
        if self.has(name) and not (isinstance(value, str) and value):
            self._note_type(name)
        return value if isinstance(value, str) and value else None

    def find_child(self, name: str) -> Element:
        """The object under a name; one that is false where there is none."""
        value = self.node.get(name, _NOWHERE)
        if not isinstance(value, dict):
            self._note_type(name)
            value = _NOWHERE
        return Element(value, join_path(self.path, name), self.problems)

    def list_children(self, name: str) -> tuple[Element, ...]:
        """The objects of the list under a name."""
        items = self._list(name, dict)
        path = join_path(self.path, name)
        return tuple(Element(item, f"{path}[{n}]", self.problems) for n, item in items if isinstance(item, dict))

    def list_texts(self, name: str) -> tuple[str, ...]:
        """The texts of the list under a name."""
        return tuple(item for _, item in self._list(name, str) if isinstance(item, str))

    def list_words(self, name: str) -> tuple[str, ...]:
        """The words of the concept under a name: its text and the display of each of its codes."""
        return self.find_child(name).list_own_words()

    def list_own_words(self) -> tuple[str, ...]:
        """The words of a concept: its text and the display of each of its codes."""
        shown = (coding.find_text("display") for coding in self.list_children("coding"))
        return tuple(text for text in (self.find_text("text"), *shown) if text)

    def list_codes(self, name: str) -> frozenset[tuple[str | None, str]]:
        """System and code of each coding of the concept under a name."""
        codings = self.find_child(name).list_children("coding")
        return frozenset((each.find_text("system"), code) for each in codings if (code := each.find_text("code")))

    def note(self, code: str, found: str, at: str = "") -> None:
        """Note why something is left blank, or is worth a look; ``at`` names the part that is at fault."""
        path = f"{self.path}.{at}" if self.path and at else self.path or at
        self.problems.append(make_problem(code, Place(0, 0, path), found))

    def note_unknown(self, known: str, codes: Mapping[str, str]) -> None:
        """Note every element that no rule reads: it may change the meaning of the others.

        Args:
            known: the names that are read, between spaces.
            codes: of the problem, by the name that is not.
        """
        for name in self.node:
            if name not in known.split() and not name.startswith("_"):
                self.note(codes.get(name, "FHIR-006"), quote_text(name), name)

    def note_modifiers(self, passed_over: str = "") -> None:
        """Note every element in here that may change what stands around it, but for some between spaces.

        Source: fhir-r4, extensibility.
        """
        names = passed_over.split()
        for path in _find_modifiers({name: value for name, value in self.node.items() if name not in names}, ""):
            self.note("FHIR-009", "what extends a value", path)

    def describe_problems(self, known: int) -> tuple[str, ...]:
        """What was noted since that many problems were known, as remarks for the draft."""
        return tuple(
            f"{_WORD_OF_SEVERITY[each.severity]} {each.code}: {each.found}; expected {each.expected}. Do: {each.remedy}"
            for each in dict.fromkeys(self.problems[known:])
        )

    def describe(self, names: str) -> Iterator[str]:
        """What stands under each of the names between spaces, for a remark in the draft: ``timing: when ACM``."""
        for name in names.split():
            if self.has(name):
                yield f"source: {name}: {_write_flat(self.node[name])}"

    def _list(self, name: str, wanted: type) -> list[tuple[int, Json]]:
        value = self.node.get(name)
        items = list(enumerate(value)) if isinstance(value, list) else []
        if self.has(name) and not (items and all(isinstance(item, wanted) for _, item in items)):
            self._note_type(name)
        return items

    def _note_type(self, name: str) -> None:
        self.note("FHIR-006", "a value of another kind than the standard has there", name)


def _find_modifiers(node: Json, path: str) -> Iterator[str]:
    items = node.items() if isinstance(node, dict) else ()
    for name, value in items:
        inner = join_path(path, name)
        if name.startswith("_") or name == "modifierExtension":
            yield inner
        else:
            yield from _find_modifiers(value, inner)
    for index, value in enumerate(node if isinstance(node, list) else ()):
        yield from _find_modifiers(value, f"{path}[{index}]")


def _write_flat(value: Json) -> str:
    match value:
        case dict():
            parts = (f"{name} {_write_flat(inner)}" for name, inner in value.items() if name not in _NOT_SHOWN)
            return ", ".join(parts)
        case list():
            return " + ".join(map(_write_flat, value))
        case bool():
            return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) and " " in value else str(value)
