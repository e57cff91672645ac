"""The sheet for staff: the table to hold against the prescription, and everything else who prints and teaches needs."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from support.card_text import list_ids, list_texts

from fillcards.card.build import build_card
from fillcards.card.model import PrintCheck, StaffTable, StaffWriteIns
from fillcards.card.staff import list_sources
from fillcards.catalogue.model import Route, ScaleName
from fillcards.plan.fills import plan_fills
from fillcards.plan.rules import check_rules
from fillcards.regimen.fingerprint import compute_fingerprint
from fillcards.regimen.model import Needle, Patient, PatientKind, Regimen, Replaces, Review, Weekday

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, make_fill, make_mixed, make_other, make_regimen, make_syringe

MIXED = make_mixed("11 units", "23 units")
SINGLE = make_regimen(make_fill(clear="20 units"), medicines=(CLEAR,))
SYRUP = make_regimen(
    make_fill(syrup="2.4 mL"),
    medicines=(make_other("syrup", "sample syrup", None, route=Route.BY_MOUTH, takes_air=False),),
    syringe=make_syringe(ScaleName.ML, "3", "0.1", Needle.NONE),
)
MUSCLE = make_regimen(
    make_fill(oil="0.5 mL"),
    medicines=(make_other("oil", "sample vitamin", "10 mg/mL", route=Route.INTO_MUSCLE),),
    syringe=make_syringe(ScaleName.ML, "1", "0.01", Needle.DETACHABLE),
)


def find_table(regimen: Regimen) -> StaffTable:
    """The one table of the sheet."""
    (table,) = (block for block in build_card(plan_fills(regimen)).staff if isinstance(block, StaffTable))
    return table


def list_staff_ids(regimen: Regimen) -> list[str]:
    """Every message of the sheet."""
    return list_ids(build_card(plan_fills(regimen)).staff)


def test_a_row_a_draw_with_an_empty_last_cell() -> None:
    """Everything worked out in one row, and a cell to fill in from the prescription."""
    table = find_table(MIXED)
    assert list_texts(table.header)[-1] == "As prescribed"
    assert [len(row) for row in table.rows] == [len(table.header)] * 2
    assert all(row[-1] is None for row in table.rows)
    assert [list_texts(tuple(cell for cell in row if cell)) for row in table.rows] == [
        ["Before breakfast", "insulin regular", "11 units", "100 units per mL", "0.11 mL", "11", "line 11"],
        ["Before breakfast", "insulin isophane", "23 units", "100 units per mL", "0.23 mL", "23", "line 34"],
    ]


def test_what_a_draw_does_not_have_is_said() -> None:
    """No strength is needed for a dose in mL, and no air goes into a bottle."""
    (row,) = find_table(SYRUP).rows
    assert list_ids(tuple(cell for cell in row if cell))[3:6] == [
        "staff-strength-none",
        "staff-volume",
        "staff-air-none",
    ]


def test_life_size_only_where_the_scale_was_measured() -> None:
    """A standard's shortest length would look as exact and be wrong."""
    measured = replace(MIXED, syringe=replace(MIXED.syringe, scale_length_mm=Fraction(48)))
    for regimen, is_measured in ((MIXED, False), (measured, True)):
        (check,) = (block for block in build_card(plan_fills(regimen)).staff if isinstance(block, PrintCheck))
        assert (check.life_size is not None) is is_measured
        assert len(check.alts) == 2 + is_measured
        assert ("staff-life-size-none" in list_staff_ids(regimen)) is not is_measured


@pytest.mark.parametrize(
    ("regimen", "labels"),
    [
        (MIXED, ["staff-angle", "staff-fold", "staff-count", "staff-places"]),
        (MUSCLE, ["staff-angle", "staff-count", "staff-place-muscle", "staff-needles"]),
        (SYRUP, ["staff-giver"]),
        (replace(SINGLE, patient=Patient(kind=PatientKind.ANIMAL)), ["staff-places"]),
    ],
    ids=["skin", "muscle", "mouth", "animal"],
)
def test_what_depends_on_the_person_is_written_by_hand(regimen: Regimen, labels: list[str]) -> None:
    """Angle, fold, count and places are for who teaches; by mouth and for animals they do not apply."""
    blocks = [block for block in build_card(plan_fills(regimen)).staff if isinstance(block, StaffWriteIns)]
    assert labels in [list_ids(block) for block in blocks]


def test_both_lines_and_the_share_of_the_cloudy_are_shown_back() -> None:
    """Set on an empty barrel, and "how much cloudy is in it": 23, not 34, was misread."""
    texts = list_texts(build_card(plan_fills(MIXED)).staff)
    assert (
        "Before breakfast: sets line 11, then line 34, on an empty syringe, and points to the edge that counts" in texts
    )
    assert "“How much insulin isophane is in it?” 23 units, not 34" in texts
    assert "“How much air goes into the cloudy vial?” 23, into the clear one 11" in texts


@pytest.mark.parametrize(
    ("regimen", "has", "has_not"),
    [
        (MIXED, {"staff-teach-past-two", "staff-teach-low", "staff-teach-place"}, {"staff-teach-past"}),
        (SINGLE, {"staff-teach-past", "staff-teach-sharps"}, {"staff-teach-past-two"}),
        (SYRUP, {"staff-teach-past-mouth", "staff-teach-give"}, {"staff-teach-sharps", "staff-teach-low"}),
        (replace(SINGLE, patient=Patient(kind=PatientKind.ANIMAL)), {"staff-teach-animal"}, {"staff-teach-low"}),
    ],
    ids=["mixed", "single", "mouth", "animal"],
)
def test_what_is_shown_back_fits_the_card(regimen: Regimen, has: set[str], has_not: set[str]) -> None:
    """Troubles and skills of this card, and none of another."""
    ids = set(list_staff_ids(regimen))
    assert has <= ids
    assert not has_not & ids


def test_a_missed_day_is_asked_about_on_weekly_cards() -> None:
    """Only where there is a day to miss."""
    weekly = replace(SINGLE, fills=(replace(SINGLE.fills[0], days=(Weekday.THURSDAY,)),))
    assert "staff-teach-missed" in list_staff_ids(weekly)
    assert "staff-teach-missed" not in list_staff_ids(SINGLE)


def test_every_caution_stands_there() -> None:
    """Found, expected and to do, in the rule's own words; none is said to be none."""
    regimen = replace(MIXED, syringe=make_syringe(needle=Needle.DETACHABLE))
    cautions = check_rules(regimen)
    told = [text for text in list_texts(build_card(plan_fills(regimen)).staff) if "To do:" in text]
    assert [text.split(":")[0] for text in told] == [problem.code for problem in cautions]
    assert all(problem.remedy in text for problem, text in zip(cautions, told, strict=True))


def test_who_answers_for_it() -> None:
    """Who prepared it, a line for who checks, and the fingerprint in groups that can be compared by eye."""
    texts = list_texts(build_card(plan_fills(replace(MIXED, review=Review(prepared_by="B. Example")))).staff)
    assert "Prepared by B. Example:" in texts
    assert "Checked by:" in texts
    (fingerprint,) = (text.removeprefix("Fingerprint ") for text in texts if text.startswith("Fingerprint "))
    assert fingerprint.replace(" ", "") == compute_fingerprint(MIXED)
    assert {len(group) for group in fingerprint.split(" ")} == {4}


def test_the_replaced_card_is_named() -> None:
    """What it replaces, by code and fingerprint, and that it is to be taken back."""
    replaced = replace(MIXED, replaces=Replaces("QK7E", "QK7EABCD", date(2026, 10, 1), ()))
    texts = list_texts(build_card(plan_fills(replaced)).staff)
    assert "This card replaces card QK7E, fingerprint QK7E ABCD." in texts
    assert "nothing older: take back card QK7E; copy its opening dates" in texts


def test_large_print_goes_with_a_helpers_sheet() -> None:
    """Above 36 pt the steps are not in print: the sheet says that the helper's sheet goes with it."""
    assert "staff-give-deck" not in list_staff_ids(replace(MIXED, patient=Patient(text_size_pt=Fraction(36))))
    assert "staff-give-deck" in list_staff_ids(replace(MIXED, patient=Patient(text_size_pt=Fraction(40))))


def test_the_sources_are_those_of_the_rows_used() -> None:
    """Of the syringe's row and each insulin's, each once; a user's own syringe names its source itself."""
    documents = [source.document for source in list_sources(MIXED)]
    assert len(documents) == len(set(documents))
    assert any("8537" in document for document in documents)
    assert set(list_sources(SINGLE)) <= set(list_sources(MIXED))
