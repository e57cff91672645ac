"""The sheet "Your vials": each vial, the last day to use it, what may go wrong, cautions, whom to call."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from support.card_text import list_ids, list_texts
from support.plans import EXAMPLES, plan_example
from support.regimen_texts import MIXED as MIXED_TEXT
from support.regimen_texts import change_text

from fillcards.card.build import build_card
from fillcards.card.model import VialsSheet, WriteIn
from fillcards.card.vials import find_last_day
from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.picture.scene import Filling, VialLook
from fillcards.plan.fills import plan_fills
from fillcards.plan.supply import plan_supply
from fillcards.readback.regimen_text import read_facts
from fillcards.regimen.model import (
    ClinicSays,
    Contact,
    Medicine,
    Needle,
    Patient,
    PatientKind,
    Regimen,
    Review,
    Weekday,
)
from fillcards.regimen.schema import read_regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, CLOUDY, make_fill, make_mixed, make_other, make_regimen, make_syringe

MIXED = make_mixed("11 units", "23 units")
SINGLE = make_regimen(make_fill(clear="20 units"))
ML = make_syringe(ScaleName.ML, "3", "0.1", Needle.NONE)
DATES = "opened: 2026-11-23\n    use_within: 28 days\n    "
WRITE_INS = ["write-next-opened", "write-last-day"]


def build_sheet(regimen: Regimen) -> VialsSheet:
    """The sheet of a regimen."""
    return build_card(plan_fills(regimen)).vials


def make_syrup() -> Regimen:
    """A medicine by mouth."""
    syrup = make_other(
        "syrup",
        "sample syrup",
        "50 mg/mL",
        route=Route.BY_MOUTH,
        takes_air=False,
        look="cloudy pink",
        motion=Motion.SHAKE,
    )
    return make_regimen(make_fill(syrup="2.4 mL"), medicines=(syrup,), syringe=ML)


def make_animal(regimen: Regimen) -> Regimen:
    """The same for an animal."""
    return replace(regimen, patient=Patient(kind=PatientKind.ANIMAL))


def list_lines(**changes: object) -> list[str]:
    """The lines of the vial of a single insulin."""
    medicine: Medicine = replace(CLEAR, **changes)  # type: ignore[arg-type]  # the tests name the fields
    return list_texts(build_sheet(replace(SINGLE, medicines=(medicine,))).vials[0].lines)


def test_the_vials_of_a_mix_are_called_clear_and_cloudy() -> None:
    """As on the front; a vial that no mix uses goes by its name, and dots mean the second of a mix."""
    clear, cloudy = build_sheet(MIXED).vials
    assert list_texts((clear.heading, cloudy.heading)) == ["Clear", "Cloudy"]
    assert (clear.look, cloudy.look) == (VialLook(Filling.FIRST), VialLook(Filling.SECOND))
    (alone,) = build_sheet(make_regimen(make_fill(cloudy="20 units"), medicines=(CLOUDY,))).vials
    assert list_texts(alone.heading) == ["insulin isophane"]
    assert alone.look == VialLook(Filling.FIRST)


def test_a_vial_in_words() -> None:
    """Medicine and strength, label words, mark, look, how long, and lines to write on."""
    lines = list_lines(on_the_label="insulin human regular", vial_mark="one rubber band")
    assert lines == [
        "insulin regular, 100 units per mL",
        "The label says: insulin human regular",
        "one rubber band",
        "Must look clear like water. Bits, or a color? Do not use.",
        f"Once open, use it for {CLEAR.in_use_days} days at most.",
        "Opened:",
        "Last day to use:",
        "Next one opened:",
        "Last day to use:",
    ]


@pytest.mark.parametrize("label", ["Sample Medicine for injection", "weekly shot 2.5 mg/mL"])
def test_the_generic_name_stands_beside_whatever_the_label_says(label: str) -> None:
    """Words of a label that lack the generic name do not hide it."""
    medicine = make_other("a", "sample medicine", "2.5 mg/mL", on_the_label=label)
    regimen = make_regimen(make_fill(a="0.25 mg"), medicines=(medicine,))
    assert list_texts(build_sheet(regimen).vials[0].lines)[:2] == [
        "sample medicine, 2.5 mg per mL",
        f"The label says: {label}",
    ]


@pytest.mark.parametrize(
    ("opened", "days", "expires", "last"),
    [
        (date(2026, 11, 23), 28, None, "20 December 2026"),
        (date(2026, 11, 23), 1, None, "23 November 2026"),
        (date(2026, 11, 23), 28, date(2026, 12, 10), "9 December 2026"),
        (date(2026, 11, 23), 28, date(2026, 12, 20), "19 December 2026"),
        (date(2026, 11, 23), 28, date(2026, 12, 21), "20 December 2026"),
        (date(2026, 11, 23), 28, date(2026, 12, 22), "20 December 2026"),
        (date(2027, 2, 1), 28, None, "28 February 2027"),
        (date(2028, 2, 1), 29, date(2028, 3, 1), "29 February 2028"),
    ],
)
def test_the_last_day_is_told_as_a_day(opened: date, days: int, expires: date | None, last: str) -> None:
    """The day before opening plus its days or the printed date, whichever is sooner; days worked by hand."""
    lines = list_lines(opened=opened, in_use_days=days, expires=expires)
    assert f"Last day to use: {last}" in lines
    assert len([line for line in lines if line.startswith("Opened: ")]) == 1
    assert lines.count("Last day to use:") == 1


@pytest.mark.parametrize(
    ("expires", "last"),
    [
        ("", date(2026, 12, 20)),
        ("expires: 2026-12-21", date(2026, 12, 20)),
        ("expires: 2026-12-20", date(2026, 12, 19)),
        ("expires: 2026-11-26", date(2026, 11, 25)),
    ],
)
def test_card_supply_and_readback_know_one_last_day(expires: str, last: date) -> None:
    """Opened on 23 November 2026, used for 28 days: 23 to 30 November are 8 of them, so 20 December is the last.

    On its printed date a vial is not used any more. A vial of 10 mL holds more than 28 days of 8 and 6 units.
    """
    text = change_text(
        MIXED_TEXT, ("    kind: insulin regular\n", f"    kind: insulin regular\n    {DATES}{expires}\n")
    )
    regimen = read_regimen(text)
    vial = plan_supply(regimen, date(2026, 11, 25)).medicines[0].first_vial
    assert vial is not None
    told = find_last_day(regimen.medicines[0]), vial.last_used, read_facts(text).vials[0].last_day
    assert told == (last, last, last)


def test_the_label_may_give_another_life() -> None:
    """Where the file gives the days of the label, the sheet says whose they are."""
    lines = list_lines(in_use_days=10, in_use_days_from_label=True)
    assert "Once open, use it for 10 days at most, as its label says." in lines


@pytest.mark.parametrize(
    ("regimen", "title", "storage"),
    [
        (MIXED, "Your vials", "storage-insulin"),
        (replace(SINGLE, medicines=(CLEAR,)), "Your vial", "storage-insulin"),
        (make_syrup(), "Your bottle", "storage-label"),
    ],
    ids=["two", "one", "mouth"],
)
def test_the_sheet_has_its_name(regimen: Regimen, title: str, storage: str) -> None:
    """A sheet for one vial or a bottle is called so; only what is published of insulin is said of its keeping."""
    sheet = build_sheet(regimen)
    assert list_texts(sheet.title) == [title]
    assert list_ids(sheet.storage) == [storage]


def list_wrong(regimen: Regimen) -> list[str]:
    """What may go wrong."""
    return list_ids(build_sheet(regimen).wrong)


def test_what_goes_wrong_with_two_medicines() -> None:
    """After the second draw nothing goes back into a vial (overshoot-discard)."""
    assert list_wrong(MIXED) == [
        "wrong-first",
        "wrong-first-out",
        "wrong-moved",
        "wrong-total",
        "wrong-cloudy-in-clear",
        "wrong-little",
        "wrong-unsure",
        "wrong-low",
        "wrong-sick",
    ]
    after = list_texts(build_sheet(MIXED).wrong[1:4])
    assert not [text for text in after if "back" in text]


def test_each_trouble_is_told_once_for_all_fills() -> None:
    """A card with a mixed and a single fill has one sentence for both, where they come to the same."""
    regimen = replace(MIXED, fills=(*MIXED.fills, make_fill("bedtime", clear="8 units")))
    wrong = list_wrong(regimen)
    assert wrong[:3] == ["wrong-either", "wrong-either-out", "wrong-moved"]
    assert not {"wrong-first", "wrong-one"} & set(wrong)
    assert len(wrong) == len(set(wrong))


def test_what_goes_wrong_by_mouth() -> None:
    """Nothing of needles, and nothing is injected."""
    assert list_wrong(make_syrup()) == ["wrong-mouth", "wrong-mouth-little", "wrong-unsure-given"]
    assert list_ids(build_sheet(make_syrup()).cautions) == ["caution-label", "caution-emergency"]


def test_an_animal_is_not_asked_how_it_feels() -> None:
    """Food and weakness are what others see."""
    assert list_wrong(make_animal(SINGLE))[-3:] == ["wrong-unsure-given", "wrong-animal-eat", "wrong-animal-weak"]
    assert list_ids(build_sheet(make_animal(SINGLE)).cautions)[0] == "caution-label-animal"


def test_a_weekly_medicine_asks_before_it_is_made_up_for() -> None:
    """A missed day is called about, not made up for."""
    weekly = make_other("weekly", "medicine A", "2.5 mg/mL")
    fill = replace(make_fill(weekly="0.25 mg"), days=(Weekday.THURSDAY,))
    assert "wrong-missed" in list_wrong(make_regimen(fill, medicines=(weekly,)))


def test_the_clinic_may_say_it_in_its_own_words() -> None:
    """For low sugar and sickness the file's sentence replaces the card's, each for itself."""
    wrong = build_sheet(replace(SINGLE, clinic_says=ClinicSays(sickness="Call us before lunch."))).wrong
    assert list_ids(wrong)[-2:] == ["wrong-low", "clinic-says"]
    assert list_texts(wrong)[-1] == "Call us before lunch."


def test_contacts_notes_and_the_day_to_ask_again() -> None:
    """All phones, the notes word for word after whose they are; a ruled line where nobody is named."""
    regimen = replace(
        SINGLE,
        contacts=(Contact("Clinic", "555-0142"), Contact("Pharmacy", "555-0143")),
        notes="Bring this card to each visit.",
        review=Review(date=date(2026, 11, 25), ask_again_by=date(2027, 2, 24)),
    )
    sheet = build_sheet(regimen)
    assert list_texts(sheet.contacts) == ["Clinic 555-0142", "Pharmacy 555-0143"]
    assert list_texts(sheet.notes) == ["Note from your clinic: Bring this card to each visit."]
    assert list_ids(sheet.cautions)[-1] == "ask-again"
    assert all(isinstance(line, WriteIn) for line in build_sheet(SINGLE).contacts)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_vial_ends_with_lines_for_the_next_one(name: str) -> None:
    """The card outlives the vial in use."""
    for vial in build_card(plan_example(name)).vials.vials:
        assert list_ids(vial.lines)[-2:] == WRITE_INS
