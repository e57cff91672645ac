"""The maker's page: what must be there before a card leaves."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.card_text import list_texts
from support.plans import EXAMPLES, build_card, make_insulin, plan_example

from fillcards.card.model import Band, Block, Figure, Heading, Table, WriteIn
from fillcards.plan.fills import plan_fills
from fillcards.plan.rules import check_rules
from fillcards.problems import Place, Problem, Severity
from fillcards.regimen.fingerprint import compute_fingerprint


def build_makers(name: str) -> tuple[Block, ...]:
    """The maker's page of an example."""
    return build_card(plan_example(name)).makers


def test_the_print_check_has_both_pictures_and_their_instructions() -> None:
    """A 100 mm bar to measure, and the ID-1 outline (ISO/IEC 7810: 85.60 x 53.98 mm) to lay a card on."""
    figures = [block for block in build_makers("W13") if isinstance(block, Figure)]
    captions = [figure.caption or "" for figure in figures]
    assert any("ruler" in caption and "100 mm" in caption for caption in captions)
    outline = next(figure for figure in figures if "ISO ID-1" in (figure.caption or ""))
    assert outline.drawing.width_mm == pytest.approx(85.60, abs=1.5)
    assert outline.drawing.height_mm == pytest.approx(53.98, abs=1.5)


@pytest.mark.parametrize(("name", "is_there"), [("W13", True), ("single", False)])
def test_life_size_only_with_a_measured_scale(name: str, is_there: bool) -> None:
    """Without a ruler's measure there is no life-size picture, and the page says why."""
    texts = " ".join(list_texts(build_makers(name)))
    assert ("Life size" in texts) == is_there
    assert ("not measured" in texts) != is_there


def test_every_draw_has_its_row() -> None:
    """Dose, strength, volume, air and line for each draw; 8 units of 100 units/mL is 0.08 mL (D, facts section 3)."""
    table = next(block for block in build_makers("mixed") if isinstance(block, Table))
    assert table.rows[0] == (
        "Before breakfast: insulin regular",
        *("8 units", "100 units/mL", "0.08 mL", "8 units", "8 units"),
    )
    assert len(table.rows) == 4


def test_a_table_row_fits_its_header() -> None:
    """No cell without a column."""
    for name in EXAMPLES:
        table = next(block for block in build_makers(name) if isinstance(block, Table))
        assert {len(row) for row in table.rows} == {len(table.header)}


def test_cautions_stand_with_their_codes() -> None:
    """Each caution: code, found, expected, what to do."""
    caution = Problem("DOSE-003", Severity.CAUTION, Place(), "1 unit", "2 units or more", "ask for a diluted form")
    texts = " ".join(list_texts(build_card(plan_example("W13"), cautions=(caution,)).makers))
    assert "DOSE-003" in texts
    assert all(words in texts for words in (caution.found, caution.expected, caution.remedy))


def test_the_full_fingerprint_is_printed() -> None:
    """All 52 characters, in groups a person can compare."""
    fingerprint = compute_fingerprint(EXAMPLES["W13"])
    texts = [text.replace(" ", "") for text in list_texts(build_makers("W13"))]
    assert any(fingerprint in text for text in texts)


def test_two_people_sign() -> None:
    """Lines to initial for whoever prepared and whoever checked; a name in the file is printed beside its line."""
    labels = [label for block in build_makers("W13") if isinstance(block, WriteIn) for label in block.labels]
    assert labels == ["Prepared by A. Preparer, initials", "Checked by, initials"]


def test_it_says_how_to_print_and_what_the_patient_gets() -> None:
    """Actual size, one side, matte; the fills whose pages are given away; this page is not."""
    texts = " ".join(list_texts(build_makers("mixed")))
    for words in (
        "actual size",
        "fit to page",
        "one side",
        "matte",
        "Before breakfast",
        "Before supper",
        "Keep this page",
    ):
        assert words in texts


def test_who_checked_the_mixing_is_named() -> None:
    """``mixing_checked_by`` opens a pair that labels differ about; the page says who did."""
    old = EXAMPLES["W13"]
    lispro = make_insulin("clear", "insulin lispro", mixing_checked_by="C. Pharmacist")
    isophane = replace(old.medicines[1], mixing_checked_by="C. Pharmacist")
    regimen = replace(old, medicines=(lispro, isophane))
    texts = " ".join(list_texts(build_card(plan_fills(regimen), cautions=check_rules(regimen)).makers))
    assert "checked on the label by C. Pharmacist" in texts


def test_the_reason_of_the_sizes_is_told() -> None:
    """Which body size came out and why."""
    assert any("18 pt" in text for text in list_texts(build_makers("W13")))


def test_an_unchecked_makers_page_says_so_too() -> None:
    """Every page carries the band."""
    assert build_makers("W13")[0] == Band("Not yet checked. Do not use.")


def test_headings_leave_no_level_out() -> None:
    """Level 1 first, then only level 2: PDF/UA-1, 7.4.2."""
    levels = [block.level for block in build_makers("mixed") if isinstance(block, Heading)]
    assert levels[0] == 1
    assert set(levels[1:]) == {2}


def test_sources_of_the_rows_are_listed() -> None:
    """The standard of the scale and the label summary of the medicines stand on the page."""
    texts = " ".join(list_texts(build_makers("mixed")))
    assert "ISO 8537:2007" in texts
