"""Which syringes hold every fill of a regimen on a line, and how exactly each of them can measure it.

Speaks of syringes only: a dose is taken as prescribed and never compared with another. The errors themselves and the
method are in ``plan.drawing_error``; what forbids a syringe is for ``plan.rules`` to say. Knows nothing of words for
people. Values on a scale are in the scale's own numbers (units, or mL).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.plan.drawing_error import DrawError, measure_drawing_errors
from fillcards.plan.model import write_plain
from fillcards.plan.reading import leaves_room, list_allowed_scales
from fillcards.plan.rules import check_rules
from fillcards.problems import Problem, Severity
from fillcards.regimen.model import Regimen, Syringe


class SyringeFit(NamedTuple):
    """A syringe on which every fill falls on a line.

    Attributes:
        is_named: whether it is the one the regimen names.
        leaves_room: whether a numbered step is left above every total.
    """

    syringe: Syringe
    errors: tuple[DrawError, ...]
    is_named: bool
    leaves_room: bool


class SyringeRefusal(NamedTuple):
    """A syringe that does not serve.

    Attributes:
        problems: every refusing problem this syringe is to blame for.
        is_other_scale: its scale is not for these medicines; ``problems`` may then be empty, since a rule speaks about
            what a file says and no file asked to move a medicine in mg on to another insulin scale.
    """

    syringe: Syringe
    problems: tuple[Problem, ...]
    is_other_scale: bool
    is_named: bool


class Choice(NamedTuple):
    """Which syringes serve a regimen.

    Attributes:
        fits: smallest first; of two with one capacity the one with the wider line spacing first.
        refused: in the same order.
        regimen_problems: what refuses the regimen whatever the syringe; there are no ``fits`` then.
    """

    fits: tuple[SyringeFit, ...]
    refused: tuple[SyringeRefusal, ...]
    regimen_problems: tuple[Problem, ...] = ()

    @property
    def smallest(self) -> SyringeFit | None:
        """The smallest syringe that holds every fill on a line and leaves room above it; ``None`` if none does both.

        Of two with one capacity: the one with the wider spacing, since finer lines were not found to be drawn more
        exactly (Keith 2004, half-unit lines) and are harder to see.
        """
        return next((fit for fit in self.fits if fit.leaves_room), None)

    def as_dict(self) -> dict[str, object]:
        """Form for JSON."""
        return {
            "smallest": describe_syringe(self.smallest.syringe) if self.smallest else None,
            "fits": [
                describe_syringe(fit.syringe)
                | {"is_named_in_file": fit.is_named, "leaves_room": fit.leaves_room, "draws": write_plain(fit.errors)}
                for fit in self.fits
            ],
            "refused": [
                describe_syringe(each.syringe)
                | {"is_named_in_file": each.is_named, "is_other_scale": each.is_other_scale}
                | {"problems": [problem.as_dict() for problem in each.problems]}
                for each in self.refused
            ],
            "regimen_problems": [problem.as_dict() for problem in self.regimen_problems],
        }


def describe_syringe(syringe: Syringe) -> dict[str, object]:
    """A syringe's scale for JSON, in the scale's own numbers."""
    return {
        "scale": syringe.scale.value,
        "capacity_ml": float(syringe.capacity_ml),
        "line_every": float(syringe.line_every),
        "last_line": float(syringe.last_line),
        "unit": syringe.scale.unit_word,
        "needle": syringe.needle.value,
    }


def choose_syringes(regimen: Regimen, scales: tuple[SyringeScale, ...]) -> Choice:
    """Try the regimen's own syringe and every scale given; say which serve, how exactly, and why the others do not.

    Args:
        regimen: as read from the file; it may be one that a rule refuses.
        scales: the catalogue's rows, the user's own among them. Each is tried with the needle the file names.
    """
    candidates = sorted(_list_candidates(regimen, scales), key=_size)
    found = {syringe: _find_refusals(regimen, syringe) for syringe in candidates}
    # What every syringe of several brings up is no fault of any of them.
    shared = [problem for problem in found[regimen.syringe] if all(problem in problems for problems in found.values())]
    regimen_problems = tuple(shared) if len(candidates) > 1 else ()
    allowed = _list_scales_for_all(regimen)
    fits, refused = [], []
    for syringe, problems in found.items():
        is_named = _identify(syringe) == _identify(regimen.syringe)
        if problems or syringe.scale not in allowed:
            own = tuple(problem for problem in problems if problem not in regimen_problems)
            refused.append(SyringeRefusal(syringe, own, syringe.scale not in allowed, is_named))
        else:
            errors = measure_drawing_errors(regimen, syringe)
            fits.append(SyringeFit(syringe, errors, is_named, leaves_room(syringe, regimen)))
    return Choice(tuple(fits), tuple(refused), regimen_problems)


def _list_candidates(regimen: Regimen, scales: tuple[SyringeScale, ...]) -> list[Syringe]:
    own = regimen.syringe
    others = (Syringe.of(row, own.needle) for row in scales if _identify(row) != _identify(own))
    return [own, *(replace(other, place=own.place, places=own.places) for other in others)]


def _identify(row: SyringeScale | Syringe) -> tuple[ScaleName, Fraction, Fraction]:
    return row.scale, row.capacity_ml, row.line_every


def _list_scales_for_all(regimen: Regimen) -> frozenset[ScaleName]:
    """The scales on which every medicine the fills use may be measured."""
    used = {draw.medicine for fill in regimen.fills for draw in fill.draws}
    allowed = [list_allowed_scales(regimen.find_medicine(key), regimen) for key in used]
    return frozenset(ScaleName).intersection(*allowed)


def _size(syringe: Syringe) -> tuple[Fraction, Fraction]:
    """Capacity, then lines in the barrel: fewer lines in one capacity means a wider spacing."""
    return syringe.capacity_ml, syringe.last_line / syringe.line_every


def _find_refusals(regimen: Regimen, syringe: Syringe) -> tuple[Problem, ...]:
    problems = check_rules(replace(regimen, syringe=syringe))
    return tuple(problem for problem in problems if problem.severity is Severity.REFUSE)
