"""A piece of a prescription while it is read: values by name, and problems noted with the path of the piece.

Knows the form of JSON, nothing of what the values mean. A value of another type than the one asked for comes back as if
it were not there: the types are checked before (``fhir_standard``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fillcards.intake.json_text import Json, join_path
from fillcards.problems import Place, Problem, Severity

# Of no use to a reader of the draft: identifiers inside the file, addresses of code systems, what extends the standard.
_NOT_SHOWN = frozenset(("id", "system", "extension", "userSelected", "version"))

_WORD_OF_SEVERITY = {Severity.REFUSE: "REFUSED", Severity.CAUTION: "READ THIS"}


@dataclass(frozen=True, slots=True)
class Element:
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
        return value if isinstance(value, str) and value else None

    def find_child(self, name: str) -> Element | None:
        """The object under a name."""
        value = self.node.get(name)
        return Element(value, join_path(self.path, name), self.problems) if isinstance(value, dict) else None

    def list_children(self, name: str) -> tuple[Element, ...]:
        """The objects of the list under a name."""
        value = self.node.get(name)
        items = enumerate(value if isinstance(value, list) else ())
        path = join_path(self.path, name)
        return tuple(
            Element(item, f"{path}[{index}]", self.problems) for index, item in items if isinstance(item, dict)
        )

    def list_texts(self, name: str) -> tuple[str, ...]:
        """The texts of the list under a name."""
        value = self.node.get(name)
        return tuple(item for item in (value if isinstance(value, list) else ()) if isinstance(item, str))

    def refuse(self, code: str, found: str, expected: str, remedy: str, at: str = "") -> None:
        """Note a problem that forbids the use of this piece; ``at`` names the part of it that is at fault."""
        self._note(Severity.REFUSE, code, found, expected, remedy, at)

    def warn(self, code: str, found: str, expected: str, remedy: str, at: str = "") -> None:
        """Note something worth a look."""
        self._note(Severity.CAUTION, code, found, expected, remedy, at)

    def _note(self, severity: Severity, code: str, found: str, expected: str, remedy: str, at: str) -> None:
        path = f"{self.path}.{at}" if self.path and at else self.path or at
        self.problems.append(Problem(code, severity, Place(0, 0, path), found, expected, remedy))

    def describe_refusals(self, known: int) -> tuple[str, ...]:
        """What was refused since that many problems were known, as remarks for the draft."""
        return self._describe_problems(known, Severity.REFUSE)

    def describe_problems(self, known: int) -> tuple[str, ...]:
        """What was refused and what is worth a look since then, as remarks for the draft."""
        return self._describe_problems(known, *Severity)

    def _describe_problems(self, known: int, *severities: Severity) -> tuple[str, ...]:
        return tuple(
            f"{_WORD_OF_SEVERITY[each.severity]} {each.code}: {each.found}; expected {each.expected}. Do: {each.remedy}"
            for each in self.problems[known:]
            if each.severity in severities
        )

    def describe(self, *names: str) -> Iterator[str]:
        """What stands under each of the names, for a remark in the draft: ``timing: repeat when ACM, offset 10``."""
        for name in names:
            if self.has(name):
                yield f"{name}: {_write_flat(self.node[name])}"


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
