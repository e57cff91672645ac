"""What can still be asked of a file that is refused: those of its parts in which nothing was wrong.

A part is a medicine, a fill, the syringe or another section; the path of keys that a problem points at tells which of
them it is about. Nothing is filled in: a fill that draws a medicine with a problem is left out with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final, NamedTuple, cast

from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.regimen import keys
from fillcards.regimen.model import Fill, Regimen, Syringe

NO_SYRINGE: Final = cast(Syringe, None)
"""Stands for a syringe that could not be read. Nothing that looks at it goes on."""

_SECTIONS: Final = frozenset(key.name for key in keys.ROOT_KEYS)
_PART: Final = re.compile(r"medicines\.[^.\[]+|fills\[[0-9]+\]|[^.\[]+")


class ReadableParts(NamedTuple):
    """The parts of a refused file that could be read whole.

    Attributes:
        regimen: holds nothing else. Never to be planned; without a syringe it is for rules that look at none.
        has_syringe: whether the syringe is among them.
        left_out: the key paths of the medicines, fills and syringe that are not, in the file's order.
    """

    regimen: Regimen
    has_syringe: bool
    left_out: tuple[str, ...]


class RegimenUnreadable(RegimenRefused):
    """A file whose text or keys have problems; ``parts`` is what could be read of it all the same, if anything."""

    def __init__(self, problems: tuple[Problem, ...], parts: ReadableParts | None = None) -> None:
        super().__init__(problems)
        self.parts = parts


def gather_readable(regimen: Regimen, problems: Iterable[Problem]) -> ReadableParts | None:
    """The parts without a problem.

    Args:
        regimen: all that could be read, the values that are at fault left out of it.
        problems: everything that is wrong with the file, each at the key it is about.

    Returns:
        ``None`` where a problem is at no key of a regimen file, such as a dose in a column of a roster: nobody can tell
        which part it is about.
    """
    problems = [problem for problem in problems if not _is_unknown_section(problem)]
    if any(problem.place.key and _find_root(problem.place) not in _SECTIONS for problem in problems):
        return None
    faulted = {_find_part(problem.place): problem.place for problem in sorted(problems, key=lambda each: each.place)}
    # A fill with a problem may draw a medicine that no other fill draws.
    is_fill_faulted = any(part.startswith(keys.FILLS.name) for part in faulted)
    drawn = (*regimen.medicines, *regimen.not_drawn) if is_fill_faulted else regimen.medicines
    medicines = tuple(
        medicine for medicine in sorted(drawn, key=lambda each: each.place) if _find_part(medicine.place) not in faulted
    )
    known = {medicine.key for medicine in medicines}
    fills: list[Fill] = []
    for fill in regimen.fills:
        if not all(draw.medicine in known for draw in fill.draws):
            faulted.setdefault(_find_part(fill.place), fill.place)
        if _find_part(fill.place) not in faulted:
            fills.append(fill)
    has_syringe = regimen.syringe is not None and keys.SYRINGE.name not in faulted
    left_out = tuple(part for part in sorted(faulted, key=lambda part: faulted[part]) if part)
    # A rule that looked at a syringe with a problem would have to guess; at none it cannot.
    syringe = regimen.syringe if has_syringe else NO_SYRINGE
    return ReadableParts(
        replace(regimen, syringe=syringe, medicines=medicines, fills=tuple(fills)), has_syringe, left_out
    )


def _find_root(place: Place) -> str:
    return re.split(r"[.\[]", place.key, maxsplit=1)[0]


def _is_unknown_section(problem: Problem) -> bool:
    """An unknown key at the top level belongs to no part that was read."""
    return problem.code == "FORM-003" and problem.place.key == _find_root(problem.place)


def _find_part(place: Place) -> str:
    match = _PART.match(place.key)
    return match[0] if match else ""
