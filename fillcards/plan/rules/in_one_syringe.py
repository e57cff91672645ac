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

_SEPARATE = "draw each in a syringe of its own: write two fills"


def check_number(regimen: Regimen) -> Iterator[Finding]:
    """No medicine, or more than two, in one syringe."""
    for fill in regimen.fills:
        if not 1 <= len(fill.draws) <= MOST_MEDICINES:
            yield Finding(
                fill.find_place("draw"),
                f"{len(fill.draws)} medicines in one syringe",
                f"one or {MOST_MEDICINES}",
                _SEPARATE,
            )


def check_never_shared(regimen: Regimen) -> Iterator[Finding]:
    """A medicine that must never share a syringe."""
    for fill, one, other in list_pairs(regimen):
        for medicine, partner in ((one, other), (other, one)):
            if is_never_shared(medicine) and medicine.row is not None:
                yield Finding(
                    fill.find_place("draw"),
                    f"{medicine.name} with {partner.name} in one syringe",
                    f"{medicine.name} alone: {medicine.row.why_alone}",
                    f"{_SEPARATE}; a checked label does not change this",
                )


def check_pair(regimen: Regimen) -> Iterator[Finding]:
    """A pair of insulins that the strictest published rule keeps apart."""
    for fill, one, other in list_pairs(regimen):
        sharing = judge_sharing(one, other)
        if sharing not in {Sharing.NOT_CHECKED, Sharing.NOT_TOGETHER} or one.row is None or other.row is None:
            continue
        remedy = _SEPARATE
        if sharing is Sharing.NOT_CHECKED:
            remedy += (
                "; or, if a pharmacist has read this product's own label and it allows the mix, write who under "
                "the medicine as mixing_checked_by"
            )
        yield Finding(
            fill.find_place("draw"),
            f"{one.name} with {other.name} in one syringe",
            f"a pair that every published label allows; {one.name}: {one.row.why_alone}; "
            f"{other.name}: {other.row.why_alone}",
            remedy,
        )


def check_other_pair(regimen: Regimen) -> Iterator[Finding]:
    """A medicine outside the catalogue whose sharing is not stated by both."""
    for fill, one, other in list_pairs(regimen):
        if one.row is not None and other.row is not None:
            continue
        silent = [med for med, partner in ((one, other), (other, one)) if not names_partner(med, partner)]
        if silent:
            yield Finding(
                fill.find_place("draw"),
                f"{one.name} with {other.name} in one syringe; not allowed by {write_list(m.name for m in silent)}",
                "both medicines written as other, each naming the other under may_share_with",
                f"{_SEPARATE}; or state under both what their labels say",
            )


def check_strengths(regimen: Regimen) -> Iterator[Finding]:
    """Two strengths in one syringe."""
    for fill, one, other in list_pairs(regimen):
        if one.strength != other.strength:
            yield Finding(
                fill.find_place("draw"),
                f"{one.name} of {one.strength or 'no stated strength'} with {other.name} of "
                f"{other.strength or 'no stated strength'}",
                "one strength in a syringe: otherwise each line would mean two things",
                f"{_SEPARATE}, or correct the strength that is wrong",
            )


def check_looks(regimen: Regimen) -> Iterator[Finding]:
    """Two clear or two cloudy medicines in one syringe."""
    for fill, one, other in list_pairs(regimen):
        if one.is_cloudy is other.is_cloudy and not is_same(one, other):
            yield Finding(
                fill.find_place("draw"),
                f"two {'cloudy' if one.is_cloudy else 'clear'} medicines in one syringe: {one.name} and {other.name}",
                "one clear and one cloudy medicine: only for those is there an order of drawing",
                _SEPARATE,
            )


def check_clear_moved(regimen: Regimen) -> Iterator[Finding]:
    """A clear medicine that must be rolled or shaken before it is drawn with a cloudy one."""
    for fill, *pair in list_pairs(regimen):
        for medicine in pair:
            if not medicine.is_cloudy and medicine.motion is not Motion.NONE:
                yield Finding(
                    medicine.find_place("motion"),
                    f"motion: {medicine.motion.value} for {medicine.name}, the clear one of two in the fill "
                    f'"{fill.when}"',
                    "motion: none for the clear one; a card for two in one syringe has a step for the cloudy one alone",
                    f"{_SEPARATE}; or correct look or motion if the label says otherwise",
                )


def check_twice(regimen: Regimen) -> Iterator[Finding]:
    """One medicine twice in one syringe."""
    for fill, one, other in list_pairs(regimen):
        if is_same(one, other):
            yield Finding(
                fill.find_place("draw"),
                f"{one.name} twice in one syringe, as {one.key} and {other.key}",
                "each medicine once in a fill",
                "delete the extra one, or write the medicine that was meant; ask the prescriber if "
                "both doses are on the prescription",
            )


def caution_detachable_needle(regimen: Regimen) -> Iterator[Finding]:
    """A mixed fill with a needle that comes off."""
    if regimen.syringe.needle is not Needle.DETACHABLE:
        return
    if any(len(fill.draws) == MOST_MEDICINES for fill in regimen.fills):
        yield Finding(
            regimen.syringe.find_place("needle"),
            "two medicines in a syringe with a detachable needle",
            "a fixed needle: in a study a detachable one gave 3.3 to 6.5 units of U-100 (0.033 to 0.065 mL) too much "
            "of the medicine drawn first, and as much too little of the second",
            "ask the pharmacist for syringes with a fixed needle",
        )


def caution_opened_pair(regimen: Regimen) -> Iterator[Finding]:
    """A pair that only a checked label lets share."""
    for fill, one, other in list_pairs(regimen):
        if judge_sharing(one, other) is not Sharing.BY_CHECKED_LABEL:
            continue
        checkers = sorted({med.mixing_checked_by for med in (one, other) if med.mixing_checked_by})
        yield Finding(
            fill.find_place("draw"),
            f"{one.name} with {other.name}, mixing checked by {write_list(checkers)}",
            "the very product that was checked: labels of one medicine differ",
            "make sure that each new vial is that product, and check the label again whenever it changes",
        )


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
                write_list(f"{medicine.name} {medicine.route.value}" for medicine in medicines) + " in one syringe",
                "one route for everything in a syringe",
                "write two fills, and a file for each kind of syringe",
            )


def check_one_kind_of_syringe(regimen: Regimen) -> Iterator[Finding]:
    """One file, so one syringe, for medicines by mouth and injected ones."""
    injected = [medicine for medicine in regimen.medicines if medicine.route is not Route.BY_MOUTH]
    for medicine in _by_mouth(regimen):
        if injected:
            yield Finding(
                medicine.find_place("route"),
                f"{medicine.name} by mouth and {injected[0].name} {injected[0].route.value}, with one syringe",
                "a file names one syringe; one for the mouth is not one for injection",
                "write a second file for the medicines by mouth",
            )


def check_mouth_scale(regimen: Regimen) -> Iterator[Finding]:
    """A medicine by mouth on a unit scale."""
    if regimen.syringe.scale is ScaleName.ML:
        return
    for medicine in _by_mouth(regimen):
        yield Finding(
            medicine.find_place("route"),
            f"{medicine.name} by mouth on a {regimen.syringe.scale.value} scale",
            "an oral syringe marked in mL",
            "use an oral syringe marked in mL only; an insulin syringe is for insulin under the skin",
        )


def check_mouth_units(regimen: Regimen) -> Iterator[Finding]:
    """A medicine by mouth counted in units."""
    for medicine in _by_mouth(regimen):
        if is_counted_in_units(medicine, regimen):
            yield Finding(
                medicine.find_place("strength"),
                f"{medicine.name} by mouth, counted in units",
                "a dose by mouth in mL, or in mg or mcg with its strength",
                "ask the pharmacist for the dose in mL; this card never says units for a medicine by mouth",
            )


def check_mouth_alone(regimen: Regimen) -> Iterator[Finding]:
    """Two medicines by mouth in one syringe."""
    for fill in regimen.fills:
        medicines = list_fill_medicines(fill, regimen)
        if len(medicines) > 1 and all(medicine.route is Route.BY_MOUTH for medicine in medicines):
            yield Finding(
                fill.find_place("draw"),
                f"{write_list(medicine.name for medicine in medicines)} in one oral syringe",
                "each medicine by mouth drawn and given on its own, so that none gets into the other's bottle",
                "write two fills",
            )


def caution_no_veterinarian(regimen: Regimen) -> Iterator[Finding]:
    """An animal's card that names no veterinarian."""
    if regimen.patient.kind is not PatientKind.ANIMAL:
        return
    if not any("vet" in contact.who.lower() for contact in regimen.contacts):
        yield Finding(
            regimen.patient.place,
            "an animal, no veterinarian under contacts",
            "the veterinarian under contacts: the card sends the owner there when unsure",
            "add a contact such as {who: Veterinarian, phone: ...}",
        )
