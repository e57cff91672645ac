"""Scales of syringes: ours from ``scales.yaml``, and a user's own from a file of the same form.

A user's row has ``source:`` with the user's own words (such as ``measured on ten syringes of one box, 2026-11-02``)
where ours have ``sources:`` with keys. It stands for one kind of syringe that was looked at and measured, so its
``shortest_scale_length`` is the shortest that was measured.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Final

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.codes import make_problem
from fillcards.own_data import load_own_rows
from fillcards.problems import InternalFault, Problem, RegimenRefused, sort_problems
from fillcards.quantities import Quantity, QuantityError, Unit, parse_quantity, write_number
from fillcards.strict_text import quote_text
from fillcards.strict_yaml import TextMapping, TextScalar, TextSequence, read_tree

THICKEST_LINE_MM: Final = Fraction(4, 10)
"""Most that a graduation line may be thick. Source: ``iso-8537-2007``, 9.1."""

_SHORTEST_MM: Final = Fraction(10)
_LONGEST_MM: Final = Fraction(200)
"""Scale lengths outside these belong to no syringe filled by hand. Common practice, no source."""

_SCALE_OF_WORD: Final = {scale.value: scale for scale in ScaleName}


@lru_cache(maxsize=1)
def load_scales() -> tuple[SyringeScale, ...]:
    """Every scale of the catalogue, in its order: by scale, then capacity, then finer lines first.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    return tuple(map(_build_own, load_own_rows(__file__, "scales")))


def read_scales(text: str) -> tuple[SyringeScale, ...]:
    """Read a user's own syringes file. Its rows carry ``sources=("user",)`` and the user's words in ``note``.

    To let them stand before the catalogue's: ``read_scales(text) + load_scales()``.

    Raises:
        RegimenRefused: with every problem found.
    """
    root = read_tree(text)
    node = root.find_value("scales") if isinstance(root, TextMapping) else None
    if not isinstance(root, TextMapping) or len(root.entries) != 1 or not isinstance(node, TextSequence):
        raise RegimenRefused((make_problem("CAT-001", root.place),))
    problems: list[Problem] = []
    built: list[SyringeScale] = []
    for item in node.items:
        if isinstance(item, TextMapping):
            row = _Row(item, problems)
            scale = _build_users(row, {(each.scale, each.capacity_ml, each.line_every) for each in built})
            row.note_unknown_keys()
            built += [scale] if scale else []
        else:
            expected, remedy = "a row of keys and values", 'write "key: value" lines'
            problems.append(make_problem("CAT-001", item.place, "no row", expected=expected, remedy=remedy))
    if not built and not problems:
        problems.append(make_problem("CAT-001", node.place, "no row", expected="one row or more", remedy="add a row"))
    if problems:
        raise RegimenRefused(sort_problems(problems))
    return tuple(built)


def find_scale(
    scales: tuple[SyringeScale, ...], scale: ScaleName, capacity_ml: Fraction, line_every: Fraction
) -> SyringeScale | None:
    """The first row with that scale, capacity and lines, or ``None``."""
    wanted = (scale, capacity_ml, line_every)
    return next((row for row in scales if (row.scale, row.capacity_ml, row.line_every) == wanted), None)


def _build_own(row: object) -> SyringeScale:
    match row:
        case {
            "scale": str(word),
            "capacity": str(capacity),
            "line_every": str(line_every),
            "numbered_every": str(numbered_every),
            "long_every": str(long_every),
            "shortest_scale_length": str(length),
            "sources": [_, *_] as sources,
            **others,
        } if others.keys() <= {"note", "not_confirmed"}:
            scale = ScaleName(word)
            unit = _find_unit(scale)
            every, numbered, long = (
                parse_quantity(step, (unit,)).amount for step in (line_every, numbered_every, long_every)
            )
            capacity_ml, length_mm = (
                parse_quantity(capacity, (Unit.ML,)).amount,
                parse_quantity(length, (Unit.MM,)).amount,
            )
            keys = tuple(map(str, sources))
            note, not_confirmed = (str(others.get(key, "")) for key in ("note", "not_confirmed"))
            return SyringeScale(scale, capacity_ml, every, numbered, long, length_mm, keys, note, not_confirmed)
    raise InternalFault(f"scales.yaml: {row} is not written as the others are")


def _find_unit(scale: ScaleName) -> Unit:
    return Unit.ML if scale is ScaleName.ML else Unit.UNITS


class _Row:
    """One row of a user's file while it is read. What is wrong is noted, and comes back as ``None`` or empty.

    A key that is not taken by the end is not known.
    """

    def __init__(self, mapping: TextMapping, problems: list[Problem]) -> None:
        self._mapping = mapping
        self._problems = problems
        self._taken: list[str] = []

    def note(self, code: str, key: str, found: str = "", **values: object) -> None:
        """Note a problem with the value of a key, or with the whole row where the key is not there."""
        node = self._mapping.find_value(key)
        self._problems.append(make_problem(code, (node or self._mapping).place, found, key=key, **values))

    def take_text(self, key: str, *, code_if_missing: str = "CAT-003") -> str:
        """The text of a key; ``""`` where it is missing, empty or no text."""
        self._taken.append(key)
        node = self._mapping.find_value(key)
        if isinstance(node, TextScalar) and node.text:
            return node.text
        if isinstance(node, TextScalar | None):
            self.note(code_if_missing, key, f'nothing under "{key}"' if node else f'no "{key}"')
        else:
            self.note("CAT-005", key, "several values", expected="one value", remedy=f'write one value after "{key}:"')
        return ""

    def take_quantity(self, key: str, *units: Unit) -> Quantity | None:
        """An amount with its unit."""
        text = self.take_text(key)
        try:
            return parse_quantity(text, units) if text else None
        except QuantityError as error:
            found = f"{key} {quote_text(text)}"
            self.note("CAT-005", key, found, expected=error.expected, remedy=error.remedy)
            return None

    def note_unknown_keys(self) -> None:
        """Note every key that nothing has taken."""
        from difflib import get_close_matches

        for key, _ in self._mapping.entries:
            if key.text not in self._taken:
                near = get_close_matches(key.text, self._taken, 1)
                remedy = f'did you mean "{near[0]}"?' if near else "take it out"
                found = f"the unknown key {quote_text(key.text)}"
                expected = f"one of: {', '.join(self._taken)}"
                self._problems.append(make_problem("CAT-002", key.place, found, expected=expected, remedy=remedy))


def _build_users(row: _Row, seen: set[tuple[ScaleName, Fraction, Fraction]]) -> SyringeScale | None:
    word = row.take_text("scale")
    scale = _SCALE_OF_WORD.get(word)
    if word and scale is None:
        row.note("CAT-004", "scale", f"scale {quote_text(word)}", allowed=" | ".join(_SCALE_OF_WORD))
    units = (_find_unit(scale),) if scale else (Unit.UNITS, Unit.ML)
    capacity = row.take_quantity("capacity", Unit.ML)
    line_every = row.take_quantity("line_every", *units)
    numbered_every = row.take_quantity("numbered_every", *units)
    long_every = row.take_quantity("long_every", *units)
    length = row.take_quantity("shortest_scale_length", Unit.MM)
    source = row.take_text("source", code_if_missing="CAT-007")
    if not (scale and capacity and line_every and numbered_every and long_every and length and source):
        return None
    built = SyringeScale(
        scale=scale,
        capacity_ml=capacity.amount,
        line_every=line_every.amount,
        numbered_every=numbered_every.amount,
        long_every=long_every.amount,
        shortest_scale_length_mm=length.amount,
        sources=("user",),
        note=source,
    )
    _check_division(row, built)
    _check_length(row, built)
    if (built.scale, built.capacity_ml, built.line_every) in seen:
        row.note("CAT-008", "scale")
    return built


def _check_division(row: _Row, scale: SyringeScale) -> None:
    divisions = (
        ("line_every", scale.line_every, "the last line", scale.last_line),
        ("long_every", scale.line_every, "the first long line", scale.long_every),
        ("numbered_every", scale.long_every, "the first number", scale.numbered_every),
    )
    for key, step, name, whole in divisions:
        if whole % step != 0:
            row.note("CAT-006", key, step=step, whole=whole, unit=scale.scale.unit_word, name=name)
    if scale.numbered_every > scale.last_line:
        last_line = write_number(scale.last_line)
        found = f"numbers every {write_number(scale.numbered_every)} on a scale that ends at {last_line}"
        remedy = "read the numbers on the barrel again"
        row.note("CAT-006", "numbered_every", found, expected="at least one number", remedy=remedy)


def _check_length(row: _Row, scale: SyringeScale) -> None:
    length_mm = scale.shortest_scale_length_mm
    lines = scale.last_line / scale.line_every
    if not _SHORTEST_MM <= length_mm <= _LONGEST_MM:
        expected = f"{write_number(_SHORTEST_MM)} to {write_number(_LONGEST_MM)} mm"
        row.note("CAT-009", "shortest_scale_length", f"a length of {write_number(length_mm)} mm", expected=expected)
    elif length_mm / lines <= THICKEST_LINE_MM:
        found = f"{write_number(length_mm)} mm for {float(lines):.10g} lines"
        expected = f"more than {write_number(THICKEST_LINE_MM)} mm a line"
        row.note("CAT-009", "shortest_scale_length", found, expected=expected)
