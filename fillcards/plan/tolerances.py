"""What the standards and the published measurements allow a syringe to be off by, as exact figures with their source.

Knows barrels, not regimens: tolerance of the scale, of the zero line, and the space left in the needle. Values on a
scale are in the scale's own numbers (units, or mL); volumes in mL. Every figure names its source in the catalogue and
how it reached us; what is from memory or from a damaged copy says so and must carry no claim of conformity.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Final, NamedTuple, TypeAlias

from fillcards.catalogue.model import ScaleName
from fillcards.regimen.model import Needle, Syringe
from fillcards.sources import Evidence


class PublishedFigure(NamedTuple):
    """One number taken from outside.

    Attributes:
        value: in the unit the name of the constant says.
        source: key into the catalogue's sources.
        note: anything a reader must know before relying on it.
    """

    value: Fraction
    source: str
    evidence: Evidence
    note: str = ""

    @property
    def is_confirmed(self) -> bool:
        """Whether the value was seen, in the source or in an account of it, or follows from one that was."""
        return self.evidence in (Evidence.SEEN, Evidence.SECONDARY, Evidence.DERIVED)


class BarrelStandard(NamedTuple):
    """What one standard allows one class of barrel.

    Attributes:
        least_capacity_ml: the class holds barrels from here up to the next class.
        upper: share of the expelled volume, at or above half the nominal capacity.
        lower_nominal, lower_expelled: share of the nominal capacity and share of the expelled volume that are added
            up below half the nominal capacity.
        zero_line: share of the smallest interval by which the stopper's edge may miss the zero line, plunger home.
        dead_space_ml: most that may stay in a barrel whose needle comes off.
    """

    least_capacity_ml: Fraction
    upper: PublishedFigure
    lower_nominal: PublishedFigure
    lower_expelled: PublishedFigure
    zero_line: PublishedFigure
    dead_space_ml: PublishedFigure


_DAMAGED: Final = "the copy read was damaged; completed from memory"
_DAMAGED_SHARE: Final = (
    f"{_DAMAGED}; ISO 7886-1 has 1.5 % for 1 mL (smtl-togc-2016), and with it the two rules meet at half the capacity"
)

INSULIN_STANDARD: Final = BarrelStandard(
    least_capacity_ml=Fraction(0),
    upper=PublishedFigure(Fraction(5, 100), "iso-8537-2007", Evidence.SEEN),
    lower_nominal=PublishedFigure(Fraction(15, 1000), "iso-8537-2007", Evidence.MEMORY, _DAMAGED_SHARE),
    lower_expelled=PublishedFigure(Fraction(2, 100), "iso-8537-2007", Evidence.SEEN),
    zero_line=PublishedFigure(Fraction(1, 2), "iso-8537-2007", Evidence.MEMORY, _DAMAGED),
    dead_space_ml=PublishedFigure(Fraction(7, 100), "dead-space-iso-2018", Evidence.SECONDARY),
)
"""ISO 8537:2007, section 8 and 9.1, for every scale in units; dead space after ISO 7886-1 for want of a figure."""


def _recall(value: Fraction) -> PublishedFigure:
    return PublishedFigure(value, "iso-7886-1-1993", Evidence.MEMORY)


def _told_by_laboratory(value: Fraction) -> PublishedFigure:
    return PublishedFigure(value, "smtl-togc-2016", Evidence.SECONDARY)


def _told_by_study(value: Fraction) -> PublishedFigure:
    return PublishedFigure(value, "dead-space-iso-2018", Evidence.SECONDARY)


_Tell: TypeAlias = Callable[[Fraction], PublishedFigure]


def _hypodermic(
    least_capacity: int,
    upper: int,
    lower_expelled: int,
    dead_space: str,
    *,
    tell_upper: _Tell = _recall,
    tell_lower: _Tell = _recall,
    tell_dead_space: _Tell = _recall,
) -> BarrelStandard:
    return BarrelStandard(
        least_capacity_ml=Fraction(least_capacity),
        upper=tell_upper(Fraction(upper, 100)),
        lower_nominal=tell_lower(Fraction(15, 1000)),
        lower_expelled=tell_lower(Fraction(lower_expelled, 100)),
        zero_line=_recall(Fraction(1, 4)),
        dead_space_ml=tell_dead_space(Fraction(dead_space)),
    )


HYPODERMIC_STANDARDS: Final = (
    _hypodermic(50, 4, 1, "0.2"),
    _hypodermic(30, 4, 1, "0.17"),
    _hypodermic(20, 4, 1, "0.15"),
    _hypodermic(10, 4, 1, "0.1", tell_lower=_told_by_laboratory, tell_dead_space=_told_by_study),
    _hypodermic(5, 4, 1, "0.075", tell_dead_space=_told_by_study),
    _hypodermic(2, 5, 2, "0.07", tell_dead_space=_told_by_study),
    _hypodermic(
        0,
        5,
        2,
        "0.07",
        tell_upper=_told_by_laboratory,
        tell_lower=_told_by_laboratory,
        tell_dead_space=_told_by_study,
    ),
)
"""ISO 7886-1:1993, Table 1, largest class first, for every scale in mL. What no account confirms is from memory."""

READING_SHARE: Final = PublishedFigure(
    Fraction(1, 2), "common-practice", Evidence.COMMON_PRACTICE, "a plunger can be told to be nearer this line or that"
)
"""Share of the line spacing by which a stop may be misread."""

MIS_SPLIT_LEAST_ML: Final = PublishedFigure(Fraction(33, 1000), "dead-space-1986", Evidence.SEEN)
MIS_SPLIT_MOST_ML: Final = PublishedFigure(Fraction(65, 1000), "dead-space-1986", Evidence.SEEN)
"""What a detachable needle adds to the first medicine of a mixture and takes from the second (1 mL barrel, n = 41)."""

FIXED_NEEDLE_LOSS_ML: Final = PublishedFigure(Fraction(11, 1000), "dead-space-1986", Evidence.SEEN)
"""Lost with each injection from a syringe with a fixed needle."""

DETACHABLE_NEEDLE_LOSS_ML: Final = PublishedFigure(
    Fraction(64, 2 * 365), "dead-space-1986", Evidence.DERIVED, "64 mL a year at two injections a day"
)
"""Lost with each injection from a syringe with a detachable needle."""


def find_standard(scale: ScaleName, capacity_ml: Fraction) -> BarrelStandard:
    """The standard's class for a barrel: ISO 8537 for a scale in units, ISO 7886-1 by capacity for one in mL."""
    if scale is not ScaleName.ML:
        return INSULIN_STANDARD
    return next(row for row in HYPODERMIC_STANDARDS if capacity_ml >= row.least_capacity_ml)


def measure_scale_tolerance(syringe: Syringe, value: Fraction) -> Fraction:
    """How far the volume expelled from a line may be off, in the scale's own numbers; the same over and under.

    Args:
        syringe: whose scale it is; only scale and capacity count.
        value: the line, from 0 to the last line.

    Source: see ``INSULIN_STANDARD`` and ``HYPODERMIC_STANDARDS``.
    """
    standard = find_standard(syringe.scale, syringe.capacity_ml)
    if value * 2 >= syringe.last_line:
        return standard.upper.value * value
    return standard.lower_nominal.value * syringe.last_line + standard.lower_expelled.value * value


def find_scale_figures(syringe: Syringe, value: Fraction) -> tuple[PublishedFigure, ...]:
    """The figures ``measure_scale_tolerance`` rests on at that line."""
    standard = find_standard(syringe.scale, syringe.capacity_ml)
    if value * 2 >= syringe.last_line:
        return (standard.upper,)
    return (standard.lower_nominal, standard.lower_expelled)


def measure_zero_tolerance(syringe: Syringe) -> Fraction:
    """How far the stopper's edge may miss the zero line with the plunger home, in the scale's own numbers."""
    return find_standard(syringe.scale, syringe.capacity_ml).zero_line.value * syringe.line_every


def measure_mis_split_ml(syringe: Syringe) -> tuple[Fraction, Fraction]:
    """Least and most that the first medicine of a mixture gains and the second loses, in mL; zeros unless detachable.

    The published range is for a 1 mL barrel. A larger one that may hold back more is given its standard's limit.
    """
    if syringe.needle is not Needle.DETACHABLE:
        return Fraction(0), Fraction(0)
    standard = find_standard(syringe.scale, syringe.capacity_ml)
    most = MIS_SPLIT_MOST_ML.value
    if syringe.capacity_ml > 1:
        most = max(most, standard.dead_space_ml.value)
    return MIS_SPLIT_LEAST_ML.value, most


def find_loss(needle: Needle) -> PublishedFigure | None:
    """What stays behind with each injection, in mL; nothing is published for an oral syringe."""
    return {Needle.FIXED: FIXED_NEEDLE_LOSS_ML, Needle.DETACHABLE: DETACHABLE_NEEDLE_LOSS_ML}.get(needle)
