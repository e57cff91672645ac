"""One JSON object of a prescription while it is read: values by name, and reasons noted with the path of the piece.

Knows the form of JSON, nothing of what the values mean. A value of another type than the one asked for is noted and
comes back as if it were not there.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from fillcards.codes import make_problem
from fillcards.intake.json_text import Json, join_path
from fillcards.problems import Place, Problem, Severity

# Of no use to a reader of the draft: identifiers inside the file, addresses of code systems, what extends the standard.
_NOT_SHOWN = frozenset(("id", "system", "extension", "userSelected", "version"))
_WORD_OF_SEVERITY = {Severity.REFUSE: "LEFT BLANK", Severity.CAUTION: "READ THIS"}


class Element(NamedTuple):
    """One JSON object.

    Attributes:
        node: the object.
        path: from the root of the file.
        problems: where to note what is wrong; shared by all pieces of a file.
    """

    node: dict[str, Json]
    path: str
    problems: list[Problem]

    def has(self, name: str) -> bool:
        """Whether anything stands under the name."""
        return name in self.node

    def find_text(self, name: str) -> str | None:
        """The text under a name, never empty."""
        value = self.node.get(name)
        if self.has(name) and not (isinstance(value, str) and value):
            self._note_type(name)
        return value if isinstance(value, str) and value else None

    def find_child(self, name: str) -> Element | None:
        """The object under a name."""
        value = self.node.get(name)
        if isinstance(value, dict):
            return Element(value, join_path(self.path, name), self.problems)
        if self.has(name):
            self._note_type(name)
        return None

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
        concept = self.find_child(name)
        return concept.list_own_words() if concept else ()

    def list_own_words(self) -> tuple[str, ...]:
        """The words of a concept: its text and the display of each of its codes."""
        shown = (coding.find_text("display") for coding in self.list_children("coding"))
        return tuple(text for text in (self.find_text("text"), *shown) if text)

    def list_codes(self, name: str) -> frozenset[tuple[str | None, str]]:
        """System and code of each coding of the concept under a name."""
        concept = self.find_child(name)
        codings = concept.list_children("coding") if concept else ()
        return frozenset((each.find_text("system"), code) for each in codings if (code := each.find_text("code")))

    def note(self, code: str, found: str, at: str = "") -> None:
        """Note why something is left blank, or is worth a look; ``at`` names the part that is at fault."""
        path = f"{self.path}.{at}" if self.path and at else self.path or at
        self.problems.append(make_problem(code, Place(0, 0, path), found))

    def note_modifiers(self, passed_over: frozenset[str] = frozenset()) -> None:
        """Note every element in here that may change what stands around it. Source: fhir-r4, extensibility."""
        for path in _find_modifiers({name: value for name, value in self.node.items() if name not in passed_over}, ""):
            self.note("FHIR-009", "what extends a value", path)

    def describe_problems(self, known: int) -> tuple[str, ...]:
        """What was noted since that many problems were known, as remarks for the draft."""
        return tuple(
            f"{_WORD_OF_SEVERITY[each.severity]} {each.code}: {each.found}; expected {each.expected}. Do: {each.remedy}"
            for each in dict.fromkeys(self.problems[known:])
        )

    def describe(self, *names: str) -> Iterator[str]:
        """What stands under each of the names, for a remark in the draft: ``timing: repeat when ACM, offset 10``."""
        for name in names:
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
