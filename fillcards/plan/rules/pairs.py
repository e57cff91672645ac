"""Two medicines of one fill: what the catalogue, a checked label and the file say about their sharing a syringe."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from itertools import combinations

from fillcards.plan.reading import list_fill_medicines
from fillcards.regimen.model import Fill, Medicine, Regimen


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
