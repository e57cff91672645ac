"""What each problem code means, read from ``codes.yaml``, for ``check --codes`` and ``check --explain``."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import NamedTuple

from fillcards.problems import InternalFault, Place, Problem, Severity
from fillcards.strict_yaml import TextMapping, TextScalar, TextSequence, read_tree


class ProblemCode(NamedTuple):
    """One row of the table.

    Attributes:
        title: the rule in one short sentence.
        reason: why the rule exists.
        sources: keys into the catalogue's sources; never empty.
        remedy: what to do, where that is the same for every problem of the code.
    """

    code: str
    severity: Severity
    title: str
    reason: str
    sources: tuple[str, ...]
    remedy: str = ""


def list_codes() -> tuple[ProblemCode, ...]:
    """Every code that a file can be refused or cautioned with, sorted.

    Raises:
        InternalFault: the file has another form.
    """
    tree = read_tree((Path(__file__).parent / "codes.yaml").read_text(encoding="utf-8"))
    if not isinstance(tree, TextMapping):
        raise InternalFault("codes.yaml is not a table of codes")
    return tuple(sorted(_build_row(scalar.text, row) for scalar, row in tree.entries))


@cache
def _index_codes() -> dict[str, ProblemCode]:
    return {row.code: row for row in list_codes()}


def make_problem(code: str, place: Place, found: str) -> Problem:
    """A problem of a code that says what is expected and what to do by itself."""
    row = _index_codes()[code]
    return Problem(code, row.severity, place, found, row.title, row.remedy)


def _build_row(code: str, row: object) -> ProblemCode:
    values = {key.text: value for key, value in row.entries} if isinstance(row, TextMapping) else {}
    match values:
        case {
            "severity": TextScalar(severity),
            "title": TextScalar(title),
            "reason": TextScalar(reason),
            "sources": TextSequence(items),
            **others,
        } if not others.keys() - {"remedy"}:
            sources = tuple(item.text for item in items if isinstance(item, TextScalar))
            remedy = others.get("remedy")
            said = remedy.text if isinstance(remedy, TextScalar) else ""
            return ProblemCode(code, Severity(severity), title, reason, sources, said)
    raise InternalFault(f"codes.yaml: {code} is not written as the others are")
