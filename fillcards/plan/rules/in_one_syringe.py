"""Rules about what shares a syringe: the strictest published rule for each pair, and one route, or no card."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from itertools import combinations

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.plan.reading import is_counted_in_units, list_fill_medicines
from fillcards.plan.rules.rule import Finding, write_list
from fillcards.regimen.model import Fill, Medicine, Needle, PatientKind, Regimen

MOST_MEDICINES = 2

_NO_STRENGTH = "no stated strength"
_UNLESS_CHECKED = (
    "; or, if a pharmacist has read this product's own label and it allows the mix, write who under the medicine as "
    "mixing_checked_by"
)


def check_number(regimen: Regimen) -> Iterator[Finding]:
    """No medicine, or more than two, in one syringe."""
    for fill in regimen.fills:
        if not 1 <= len(fill.draws) <= MOST_MEDICINES:
            yield Finding(fill.find_place("draw"), count=len(fill.draws), most=MOST_MEDICINES)


def check_never_shared(regimen: Regimen) -> Iterator[Finding]:
    """A medicine that must never share a syringe."""
    for fill, one, other in list_pairs(regimen):
        for medicine, partner in ((one, other), (other, one)):
            if is_never_shared(medicine) and medicine.row is not None:
                yield Finding(fill.find_place("draw"), medicine=medicine, partner=partner)


def check_pair(regimen: Regimen) -> Iterator[Finding]:
    """A pair of insulins that the strictest published rule keeps apart."""
    for fill, one, other in list_pairs(regimen):
        sharing = judge_sharing(one, other)
        if sharing not in {Sharing.NOT_CHECKED, Sharing.NOT_TOGETHER} or one.row is None or other.row is None:
            continue
        unless_checked = _UNLESS_CHECKED if sharing is Sharing.NOT_CHECKED else ""
        yield Finding(fill.find_place("draw"), one=one, other=other, unless_checked=unless_checked)


def check_other_pair(regimen: Regimen) -> Iterator[Finding]:
    """A medicine outside the catalogue whose sharing is not stated by both."""
    for fill, one, other in list_pairs(regimen):
        if one.row is not None and other.row is not None:
            continue
        silent = [med for med, partner in ((one, other), (other, one)) if not names_partner(med, partner)]
        if silent:
            yield Finding(fill.find_place("draw"), one=one, other=other, silent=write_list(m.name for m in silent))


def check_strengths(regimen: Regimen) -> Iterator[Finding]:
    """Two strengths in one syringe."""
    for fill, one, other in list_pairs(regimen):
        if one.strength != other.strength:
            yield Finding(
                fill.find_place("draw"),
                one=one,
                one_strength=one.strength or _NO_STRENGTH,
                other=other,
                other_strength=other.strength or _NO_STRENGTH,
            )


def check_looks(regimen: Regimen) -> Iterator[Finding]:
    """Two clear or two cloudy medicines in one syringe."""
    for fill, one, other in list_pairs(regimen):
        if one.is_cloudy is other.is_cloudy and not is_same(one, other):
            yield Finding(fill.find_place("draw"), look="cloudy" if one.is_cloudy else "clear", one=one, other=other)


def check_clear_moved(regimen: Regimen) -> Iterator[Finding]:
    """A clear medicine that must be rolled or shaken before it is drawn with a cloudy one."""
    for fill, *pair in list_pairs(regimen):
        for medicine in pair:
            if not medicine.is_cloudy and medicine.motion is not Motion.NONE:
                yield Finding(medicine.find_place("motion"), medicine=medicine, fill=fill)


def check_twice(regimen: Regimen) -> Iterator[Finding]:
    """One medicine twice in one syringe."""
    for fill, one, other in list_pairs(regimen):
        if is_same(one, other):
            yield Finding(fill.find_place("draw"), one=one, other=other)


def caution_detachable_needle(regimen: Regimen) -> Iterator[Finding]:
    """A mixed fill with a needle that comes off."""
    if regimen.syringe.needle is not Needle.DETACHABLE:
        return
    if any(len(fill.draws) == MOST_MEDICINES for fill in regimen.fills):
        yield Finding(regimen.syringe.find_place("needle"))


def caution_opened_pair(regimen: Regimen) -> Iterator[Finding]:
    """A pair that only a checked label lets share."""
    for fill, one, other in list_pairs(regimen):
        if judge_sharing(one, other) is not Sharing.BY_CHECKED_LABEL:
            continue
        checkers = sorted({med.mixing_checked_by for med in (one, other) if med.mixing_checked_by})
        yield Finding(fill.find_place("draw"), one=one, other=other, checkers=write_list(checkers))


class Sharing(Enum):
    """Whether two insulins may share a syringe, and by what."""

    BY_EVERY_LABEL = "every published label allows it"
    BY_CHECKED_LABEL = "labels differ; the label in use was checked and allows it"
    NOT_CHECKED = "labels differ, and nobody has checked the label in use"
    NOT_TOGETHER = "no published label allows this pair"
    NEVER = "one of the two never shares a syringe"


def list_pairs(regimen: Regimen) -> Iterator[tuple[Fill, Medicine, Medicine]]:
    """Every two medicines that share a fill, with the fill."""
    for fill in regimen.fills:
        for one, other in combinations(list_fill_medicines(fill, regimen), 2):
            yield fill, one, other


def is_never_shared(medicine: Medicine) -> bool:
    """Glargine, detemir, degludec, premixed, 500 units/mL and the like: no checked label opens it.

    By its row alone: a strength that the row does not have is another rule's, and says nothing of what was meant.
    """
    return medicine.row is not None and not (medicine.row.shares_with or medicine.row.may_be_opened_to)


def judge_sharing(one: Medicine, other: Medicine) -> Sharing | None:
    """What holds for a pair of insulins; ``None`` where one is not of the catalogue or both are the same.

    A pair counts as allowed, or as open to a check, only if the rows of both say so. Who checked may be written under
    either of the two.
    """
    if one.row is None or other.row is None or one.row.kind == other.row.kind:
        return None
    if is_never_shared(one) or is_never_shared(other):
        return Sharing.NEVER
    both_ways = ((one.row, other.row.kind), (other.row, one.row.kind))
    if all(kind in row.shares_with for row, kind in both_ways):
        return Sharing.BY_EVERY_LABEL
    if not all(kind in (*row.shares_with, *row.may_be_opened_to) for row, kind in both_ways):
        return Sharing.NOT_TOGETHER
    return Sharing.BY_CHECKED_LABEL if one.mixing_checked_by or other.mixing_checked_by else Sharing.NOT_CHECKED


def names_partner(medicine: Medicine, partner: Medicine) -> bool:
    """Whether a medicine outside the catalogue names the other under ``may_share_with``."""
    return medicine.row is None and partner.key in medicine.shares_with


def is_same(one: Medicine, other: Medicine) -> bool:
    """Whether two entries are one medicine, under one key or under two."""
    return one.name.casefold() == other.name.casefold()


def _by_mouth(regimen: Regimen) -> Iterator[Medicine]:
    return (medicine for medicine in regimen.medicines if medicine.route is Route.BY_MOUTH)


def check_one_route_a_fill(regimen: Regimen) -> Iterator[Finding]:
    """Medicines of different routes in one syringe."""
    for fill in regimen.fills:
        medicines = list_fill_medicines(fill, regimen)
        if len({medicine.route for medicine in medicines}) > 1:
            yield Finding(
                fill.find_place("draw"),
                routes=write_list(f"{medicine.name} {medicine.route.value}" for medicine in medicines),
            )


def check_one_kind_of_syringe(regimen: Regimen) -> Iterator[Finding]:
    """One file, so one syringe, for medicines by mouth and injected ones."""
    injected = [medicine for medicine in regimen.medicines if medicine.route is not Route.BY_MOUTH]
    for medicine in _by_mouth(regimen):
        if injected:
            yield Finding(medicine.find_place("route"), medicine=medicine, injected=injected[0])


def check_mouth_scale(regimen: Regimen) -> Iterator[Finding]:
    """A medicine by mouth on a unit scale."""
    if regimen.syringe.scale is ScaleName.ML:
        return
    for medicine in _by_mouth(regimen):
        yield Finding(medicine.find_place("route"), medicine=medicine, syringe=regimen.syringe)


def check_mouth_units(regimen: Regimen) -> Iterator[Finding]:
    """A medicine by mouth counted in units."""
    for medicine in _by_mouth(regimen):
        if is_counted_in_units(medicine, regimen):
            yield Finding(medicine.find_place("strength"), medicine=medicine)


def check_mouth_alone(regimen: Regimen) -> Iterator[Finding]:
    """Two medicines by mouth in one syringe."""
    for fill in regimen.fills:
        medicines = list_fill_medicines(fill, regimen)
        if len(medicines) > 1 and all(medicine.route is Route.BY_MOUTH for medicine in medicines):
            yield Finding(fill.find_place("draw"), medicines=write_list(medicine.name for medicine in medicines))


def caution_no_veterinarian(regimen: Regimen) -> Iterator[Finding]:
    """An animal's card that names no veterinarian."""
    if regimen.patient.kind is not PatientKind.ANIMAL:
        return
    if not any("vet" in contact.who.lower() for contact in regimen.contacts):
        yield Finding(regimen.patient.place)
