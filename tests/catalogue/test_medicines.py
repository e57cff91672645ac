"""The catalogue's medicines against published labels and charts."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fillcards.catalogue.medicines import find_medicine_named, load_medicines
from fillcards.catalogue.model import MedicineKind, Motion

ROWS = tuple(load_medicines().values())

# Days after first use, every figure published for the medicine in a vial (stability-chart-jdst-2020,
# pharmacy-stability-chart, and pharmacy-stability-chart-2011 for the older 28).
PUBLISHED_DAYS = {
    "insulin isophane": {31, 42, 28},
    "insulin regular": {31, 42, 28},
    "insulin regular concentrated": {40},
    "insulin aspart": {28},
    "insulin lispro": {28},
    "insulin glulisine": {28},
    "insulin glargine": {28},
    "insulin detemir": {42},
    "insulin degludec": {56},
    "insulin premixed 70/30": {31, 42, 28},
    "insulin premixed 75/25": {28},
    "insulin premixed 50/50": {28},
    "insulin aspart faster": {28},  # none found: the general 28 days (fda-storage-emergency)
}


def list_pairs() -> set[frozenset[str]]:
    """Every pair that may share a syringe without anybody's word."""
    return {frozenset((row.kind, other)) for row in ROWS for other in row.shares_with}


def test_every_medicine_has_published_days() -> None:
    """Each medicine of the catalogue stands in the table above, and no other does."""
    assert load_medicines().keys() == PUBLISHED_DAYS.keys()


@pytest.mark.parametrize("kind", sorted(PUBLISHED_DAYS))
def test_shortest_published_life(kind: str) -> None:
    """An opened vial lives the shortest of the days published for it (charts named above)."""
    assert load_medicines()[kind].in_use_days == min(PUBLISHED_DAYS[kind])


def test_pairs_that_may_share() -> None:
    """Regular, aspart and glulisine may share a syringe with isophane, and nothing else may (label-summary-mixing)."""
    clear = ("insulin regular", "insulin aspart", "insulin glulisine")
    assert list_pairs() == {frozenset((kind, "insulin isophane")) for kind in clear}


def test_sharing_is_mutual() -> None:
    """A row that names another as a partner, or as open to a check, is named back in the same way."""
    medicines = load_medicines()
    for row in medicines.values():
        assert all(row.kind in medicines[other].shares_with for other in row.shares_with)
        assert all(row.kind in medicines[other].may_be_opened_to for other in row.may_be_opened_to)


def test_a_pair_is_one_clear_and_one_cloudy() -> None:
    """No two clear ones share a syringe, and no two cloudy ones."""
    for pair in list_pairs():
        assert sorted(load_medicines()[kind].look for kind in pair) == ["clear", "cloudy"]


def test_only_lispro_can_be_opened() -> None:
    """Labels of lispro differ, so a checked one may open it to isophane, and to nothing else (label-summary-mixing)."""
    opened = {row.kind: row.may_be_opened_to for row in ROWS if row.may_be_opened_to}
    assert opened == {"insulin lispro": ("insulin isophane",), "insulin isophane": ("insulin lispro",)}


@pytest.mark.parametrize(
    "kind",
    [
        "insulin glargine",
        "insulin detemir",
        "insulin degludec",
        "insulin premixed 70/30",
        "insulin premixed 75/25",
        "insulin premixed 50/50",
        "insulin regular concentrated",
        "insulin aspart faster",
    ],
)
def test_never_in_a_shared_syringe(kind: str) -> None:
    """These share with nothing and cannot be opened (never-mixed-insulins, premixed-composition, u500-label)."""
    row = load_medicines()[kind]
    assert row.shares_with == row.may_be_opened_to == ()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.kind)
def test_cloudy_ones_are_rolled(row: MedicineKind) -> None:
    """What must look cloudy is rolled, what must look clear is left alone; nothing is shaken (fit-ireland, 5.2)."""
    assert (row.look, row.motion) in {("cloudy", Motion.ROLL), ("clear", Motion.NONE)}


def test_no_strength_of_pens() -> None:
    """200 and 300 units/mL exist in pens only and are in no row (from memory)."""
    strengths = {strength.amount for row in ROWS for strength in row.strengths}
    assert strengths == {Fraction(40), Fraction(100), Fraction(500)}


def test_500_units_stand_alone() -> None:
    """500 units/mL is the concentrated one and nothing else, so that no kind has both 100 and 500."""
    assert [row.kind for row in ROWS if any(strength.amount == 500 for strength in row.strengths)] == [
        "insulin regular concentrated"
    ]


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("NPH", "insulin isophane"),
        ("Human Regular Insulin", "insulin regular"),
        ("glargine", "insulin glargine"),
        ("Insulin NPH", "insulin isophane"),
        ("faster-acting insulin aspart", "insulin aspart faster"),
        ("insulin regular U-500", "insulin regular concentrated"),
    ],
)
def test_other_generic_names_are_known(name: str, kind: str) -> None:
    """A catalogue medicine written another way is still recognised, so that it cannot pass as another."""
    row = find_medicine_named(name)
    assert row is not None
    assert row.kind == kind


@pytest.mark.parametrize("name", ["", "insulin", "insulin lispro-aabc", "insulin porcine zinc", "methotrexate"])
def test_other_medicines_are_not_taken_for_ours(name: str) -> None:
    """Another medicine's name, or nobody's, finds no row; lispro's -aabc form is another (label-summary-mixing)."""
    assert find_medicine_named(name) is None


def test_no_name_means_two_medicines() -> None:
    """No written name of one row is a name of another."""
    for row in ROWS:
        for name in (row.kind, *row.other_names):
            assert find_medicine_named(name) is row
