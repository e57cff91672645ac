"""The fridge card: what stands on page one and in which order, and what each sheet must say."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from support.card_text import list_drawn_texts, list_given_away_texts, list_patient_texts, list_texts
from support.checked import mark_checked
from support.plans import EXAMPLES, REPLACED, build_card, make_plans, plan_example, plan_replacing

from fillcards.card.model import Band, Heading, Paragraph, Stop, Weight, WriteIn
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.plan.print_size import PrintSize
from fillcards.plan.replacing import compare_replaced
from fillcards.problems import InternalFault
from fillcards.quantities import write_number
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint
from fillcards.regimen.model import PatientKind
from fillcards.wording.english.labels import HEADINGS

LARGE = PrintSize(32.0, 32.0, 44.0, 96.0, "asked for")
VERY_LARGE = PrintSize(60.0, 36.0, 60.0, 96.0, "as the file asks", stops_lead=True)
UNCHECKED = "Not yet checked. Do not use."
SAMPLE = "Sample, not for a patient."


def list_front_texts(plan: Plan, number: int = 0) -> tuple[str, ...]:
    """The strings of page one."""
    return tuple(list_texts(build_card(plan).fills[number].front))


def test_page_one_is_in_the_order_of_the_design() -> None:
    """Band, when, whose, code, first line, total line, only this syringe, past the line, whom to call (design 3.3)."""
    front = build_card(plan_example("mixed")).fills[0].front
    kinds = [type(block).__name__ for block in front]
    assert kinds == ["Band", "Heading", *["Paragraph"] * 3, "Stop", "Stop", *["Paragraph"] * 3]
    texts = [block.text for block in front if isinstance(block, Paragraph)]
    begins = ("Inject 30 minutes", "For Sample Patient", "Card ", "Only for a syringe", "Past the", "Not sure?")
    assert all(text.startswith(begin) for text, begin in zip(texts, begins, strict=True))


def test_the_two_stops_of_a_mixed_fill() -> None:
    """Published form (Calculate with Confidence, ch 20): first line one dose, total line the sum; here 8 and 26."""
    first, total = (block for block in build_card(plan_example("mixed")).fills[0].front if isinstance(block, Stop))
    assert (first.label, first.figure, first.unit, first.words) == ("First line", "8", "units", "eight")
    assert (total.label, total.figure, total.unit, total.words) == ("Total line", "26", "units", "twenty-six")
    assert (first.addition, total.addition) == (None, "8 + 18 = 26")
    assert (first.is_total, total.is_total) == (False, True)


@given(make_plans())
def test_figures_are_the_plans_stops(plan: Plan) -> None:
    """Each large figure is the exact stop of its draw, and there are never more than two."""
    for fill, sheets in zip(plan.fills, build_card(plan).fills, strict=True):
        stops = [block for block in sheets.front if isinstance(block, Stop)]
        assert [stop.figure for stop in stops] == [write_number(draw.stop_line) for draw in fill.draws]
        assert len(stops) <= 2


@given(make_plans())
def test_the_addition_adds_up(plan: Plan) -> None:
    """What is said on the total line is right by a second arithmetic, and is said once in the whole set."""
    for sheets in build_card(plan).fills:
        additions = [text for text in list_patient_texts(sheets) if "+" in text]
        assert len(additions) == (1 if plan.fills[0].is_mixed else 0)
        for text in additions:
            one, other, total = map(float, re.findall(r"[\d.]+", text))
            assert one + other == pytest.approx(total)


def test_an_unchecked_card_says_so() -> None:
    """Unchecked is visible in words on page one and for every other page."""
    card = build_card(plan_example("W13"))
    assert card.band == UNCHECKED
    assert card.fills[0].front[0] == Band(UNCHECKED)


def test_a_sample_that_is_unchecked_says_both() -> None:
    """Both bands, in one."""
    assert build_card(plan_example("mixed")).band == f"{SAMPLE} {UNCHECKED}"


def test_a_checked_card_gives_the_bands_room_to_the_syringe() -> None:
    """No band, and "only for a syringe that says" stands right after when, once."""
    card = build_card(plan_fills(mark_checked(EXAMPLES["W13"])))
    assert card.band is None
    only = "Only for a syringe that says U-100 and ends at 50."
    heading, syringe, *_ = card.fills[0].front
    assert isinstance(heading, Heading)
    assert syringe == Paragraph(only, Weight.STRONG)
    assert list(list_texts(card.fills[0].front)).count(only) == 1


def test_in_large_print_the_bands_room_goes_to_the_second_stop() -> None:
    """Two lines of 32 pt about the syringe would push the total line of a checked card overleaf: they come after it."""
    front = build_card(plan_fills(mark_checked(EXAMPLES["W13"])), size=LARGE).fills[0].front
    assert isinstance(front[0], Heading)
    last_stop = max(number for number, block in enumerate(front) if isinstance(block, Stop))
    assert front[last_stop + 1] == Paragraph("Only for a syringe that says U-100 and ends at 50.", Weight.STRONG)


def test_where_every_fact_takes_a_page_the_stops_lead() -> None:
    """Above 36 pt the sheet on top tells where to stop; whose card it is and which code come after that."""
    front = build_card(plan_example("mixed"), size=VERY_LARGE).fills[0].front
    kinds = [type(block).__name__ for block in front]
    assert kinds == ["Band", "Heading", "Stop", "Stop", *["Paragraph"] * 6]
    texts = [block.text for block in front if isinstance(block, Paragraph)]
    begins = ("Only for a syringe", "Past the", "Not sure?", "For Sample Patient", "Card ", "Inject 30 minutes")
    assert all(text.startswith(begin) for text, begin in zip(texts, begins, strict=True))


def test_a_check_does_not_outlive_a_change() -> None:
    """A card whose regimen changed after the check is unchecked again."""
    checked = mark_checked(EXAMPLES["W13"])
    changed = replace(checked, fills=EXAMPLES["mixed"].fills)
    assert build_card(plan_fills(changed)).band == UNCHECKED


def test_a_missing_name_is_ruled() -> None:
    """Without a name in the file there is a line to write it on."""
    front = build_card(plan_example("single")).fills[0].front
    assert WriteIn(("Name",)) in front


def test_an_animals_card_is_for_no_person() -> None:
    """It says so on page one, and names the veterinarian wherever a person's card names the prescriber."""
    texts = list_given_away_texts(build_card(plan_example("animal")))
    assert "For the animal, never for a person." in list_front_texts(plan_example("animal"))
    assert any("veterinarian" in text for text in list_front_texts(plan_example("animal")))
    assert not re.search(r"prescriber|pharmacist|your doctor", " ".join(texts))


def test_a_weekly_medicine_has_its_day_in_the_heading() -> None:
    """The day stands as large as the time, and no other day is allowed."""
    front = build_card(plan_example("weekly")).fills[0].front
    assert Heading(1, "Monday, in the morning") in front
    assert Paragraph("Only on Monday. Not on any other day.", Weight.STRONG) in front


def test_a_dose_in_mg_shows_dose_volume_and_line_together() -> None:
    """0.25 mg from 2.5 mg/mL is 0.1 mL, line 10 on U-100 (design 3.1); the vial's strength and the tenfold slip too."""
    texts = list_front_texts(plan_example("weekly"))
    assert "0.25 mg is 0.1 mL. On this syringe, that is line 10." in texts
    assert "Only for a vial that says 2.5 mg/mL." in texts
    assert "10 is the line, not the dose. One zero too many is ten times the dose." in texts


@pytest.mark.parametrize("name", ["weekly", "by mouth", "into muscle", "two others"])
def test_no_units_on_the_card_of_a_medicine_in_mg(name: str) -> None:
    """Neither words nor pictures say "unit" where the dose is in mg or mcg."""
    card = build_card(plan_example(name))
    drawn = (text for sheets in card.fills for text in list_drawn_texts(sheets))
    assert "unit" not in " ".join((*list_given_away_texts(card), *drawn))


@given(make_plans())
def test_no_units_on_any_card_but_insulins(plan: Plan) -> None:
    """The same over random plans: only insulin is counted in units there."""
    if not plan.fills[0].first.medicine.is_insulin:
        assert "unit" not in " ".join(list_given_away_texts(build_card(plan)))


def test_by_mouth_has_no_injection_words() -> None:
    """No needle, air, skin, sharps or vial anywhere on the pages of a medicine by mouth."""
    texts = " ".join(list_given_away_texts(build_card(plan_example("by mouth"))))
    assert not re.search(r"needle|inject|\bair\b|skin|sharps|\bvials?\b", texts, re.IGNORECASE)


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_sheet_names_its_fill_and_its_lines(name: str) -> None:
    """The fill's name leads page one, and the running lines hold every stop, so a dropped sheet is not mistaken."""
    plan = plan_example(name)
    for fill, sheets in zip(plan.fills, build_card(plan).fills, strict=True):
        assert Heading(1, sheets.name) in sheets.front
        for draw in fill.draws:
            assert re.search(rf"(?<![\d.]){re.escape(write_number(draw.stop_line))}(?![\d.])", sheets.running_lines)


def test_fills_of_one_card_have_different_names() -> None:
    """No two sheets can be taken for one another."""
    names = [sheets.name for sheets in build_card(plan_example("mixed")).fills]
    assert len(set(names)) == len(names) == 2


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_usual_cautions_are_on_every_card(name: str) -> None:
    """Whom to follow, the fixed dose, the real syringe, the local emergency number: once, on the pages for all."""
    card = build_card(plan_example(name))
    given, general = " ".join(list_given_away_texts(card)), " ".join(list_patient_texts(card.general))
    cautions = [
        "This card does not replace",
        "Fixed dose only",
        "the numbers on your syringe",
        "local emergency number",
    ]
    if EXAMPLES[name].patient.kind is PatientKind.PERSON:
        cautions.append("Follow your prescriber and pharmacist. This card does not replace them.")
    for words in cautions:
        assert general.count(words) == given.count(words) == 1


@pytest.mark.parametrize("name", EXAMPLES)
def test_whom_to_call_when_in_doubt_is_on_every_page_one(name: str) -> None:
    """Not sure whether it is right: page one alone says to stop and whom to call."""
    for sheets in build_card(plan_example(name)).fills:
        assert any(text.startswith("Not sure?") for text in list_texts(sheets.front))


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_holds_for_every_fill_is_said_once(name: str) -> None:
    """Each vial's look, discard rule and storage stand on the pages for all fills, and on no fill's own pages."""
    card = build_card(plan_example(name))
    parts = {HEADINGS.call, HEADINGS.vials, HEADINGS.throw_away, HEADINGS.storage, HEADINGS.always}
    assert parts <= {block.text for block in card.general.blocks if isinstance(block, Heading)}
    for sheets in card.fills:
        assert not parts & {block.text for block in (*sheets.front, *sheets.after) if isinstance(block, Heading)}


def test_the_pages_for_every_fill_are_headed_and_warn() -> None:
    """Their name leads them, under the words every page carries while unchecked, and no fill has that name."""
    card = build_card(plan_example("W13"))
    assert card.general.blocks[:2] == (Band(UNCHECKED), Heading(1, card.general.name))
    assert card.general.name not in {sheets.name for sheets in card.fills}


def test_notes_and_contacts_are_word_for_word() -> None:
    """What the user wrote is printed as written."""
    texts = list_patient_texts(build_card(plan_example("mixed")).general)
    assert "Bring this card to each visit." in texts
    assert "Clinic: 555-0100" in texts


def test_no_opening_date_gives_lines_to_write_on() -> None:
    """Room to write the day of opening and of throwing away, with the days, for each vial."""
    general = build_card(plan_example("mixed")).general
    assert sum(block == WriteIn(("Opened", "Throw away")) for block in general.blocks) == 2
    assert sum("28 days" in text for text in list_texts(general.blocks)) == 2


def test_an_opening_date_gives_the_day() -> None:
    """Opened on 2 November 2026 with 28 days (label life, facts 5.1): not from 30 November 2026 on."""
    texts = list_patient_texts(build_card(plan_example("single")).general)
    assert "Opened 2 November 2026. Do not use it from 30 November 2026 on." in texts


def test_the_printed_expiry_comes_first_if_sooner() -> None:
    """The date is never past the expiry printed on the vial."""
    regimen = EXAMPLES["single"]
    medicine = replace(regimen.medicines[0], expires=date(2026, 11, 28))
    texts = list_patient_texts(build_card(plan_fills(replace(regimen, medicines=(medicine,)))).general)
    assert "Opened 2 November 2026. Do not use it from 28 November 2026 on." in texts


def test_a_replacing_card_says_what_changed() -> None:
    """Both lines, old and new, on the next page; the old card's code on page one; no old figure there."""
    old, plan = EXAMPLES[REPLACED[0]], plan_replacing()
    card = build_card(plan, changes=compare_replaced(plan), replaced_fingerprint=compute_fingerprint(old))
    front, after = list(list_texts(card.fills[0].front)), list(list_texts(card.fills[0].after))
    assert any(f"Throw away card {compute_card_code(old)}" in text for text in front)
    assert "The lines are now 8, then 26. The lines were 6, then 24." in after
    assert not any("24" in text for text in front)
    assert "This fill is new. There was none at this time." in list(list_texts(card.fills[1].after))


def test_the_title_names_no_patient() -> None:
    """Titles stand in lists of files."""
    card = build_card(plan_example("mixed"))
    assert "Sample Patient" not in card.title + card.foot


def test_a_language_without_words_is_a_fault_of_ours() -> None:
    """The schema refuses it before; here it must not become English by silence."""
    with pytest.raises(InternalFault, match="no wording for language"):
        build_card(replace(plan_example("W13"), regimen=replace(EXAMPLES["W13"], language="xx")))
