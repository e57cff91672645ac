"""The plain text: which messages it says, and in which order."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from support.card_text import list_texts
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_starter

from fillcards.output.text import TO_WRITE_ON, write_text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.regimen.model import Patient


def list_groups(text: str) -> list[list[str]]:
    """Lines between blank lines."""
    return [group.split("\n") for group in text.rstrip("\n").split("\n\n")]


def test_a_mixed_fill_is_said_as_its_poster() -> None:
    """When, then each stop with medicine, dose, figure, words and count, then the sum.

    6 and 18 make 24: worked example W13 of a public nursing question bank. Words: the models of the card's design.
    """
    groups = list_groups(write_text(build_card(plan_example("W13"))))
    first, total = groups[2][:-1], groups[3][:-1]
    assert groups[1][0] == "Before breakfast."
    assert first[:3] == ["1 Clear first.", "insulin regular.", "6 units."]
    assert first[-3:] == ["6.", "line six.", "one short line past 5."]
    assert total[:3] == ["2 Same syringe: cloudy.", "add insulin isophane.", "18 units."]
    assert total[-4:] == ["24.", "line twenty-four.", "four short lines past 20.", "6 clear and 18 cloudy make 24."]


@given(make_plans())
def test_no_number_is_read_on_into_the_next_line(plan: Plan) -> None:
    """Each line ends as a sentence does: "past 20" before "6 clear" was spoken as past twenty-six."""
    lines = write_text(build_card(plan)).splitlines()
    assert all(line.endswith((".", "?", "!", ":", TO_WRITE_ON)) for line in lines if line)


@given(make_plans())
def test_each_fill_is_told_to_its_end_before_the_next(plan: Plan) -> None:
    """Both its stops, then its steps from the first to the last; after all fills "Your vials"."""
    card = build_card(plan)
    lines = [line.removesuffix(".") for line in write_text(card).splitlines()]
    place = 0
    for fill in card.fills:
        steps = [f"Step {number} of {len(fill.steps)}" for number in range(1, len(fill.steps) + 1)]
        for meant in (*(list_texts(panel.bar)[0] for panel in fill.panels), *steps):
            place = lines.index(meant, place)
    assert sum(line.startswith("Step ") for line in lines) == sum(len(fill.steps) for fill in card.fills)
    assert place < lines.index(list_texts(card.vials.title)[0])


@given(make_plans())
def test_every_message_of_the_patients_pages_is_a_line(plan: Plan) -> None:
    """Title, band, whose, all of every fill and of the sheet for all, each whole on a line of its own."""
    card = build_card(plan)
    lines = write_text(card).splitlines()
    fills = [
        replace(fill, both=None, panels=tuple(replace(p, short_bar=p.bar) for p in fill.panels)) for fill in card.fills
    ]
    vials = replace(card.vials, vials=tuple(replace(vial, alt=vial.heading) for vial in card.vials.vials))
    said = {line.removesuffix(TO_WRITE_ON).removeprefix("Picture: ").removesuffix(".") for line in lines if line}
    numbers = {line for line in said if re.fullmatch(r"Step \d+ of \d+", line)}
    meant = list_texts((card.title, card.band, card.whose, card.foot, tuple(fills), vials))
    assert said - numbers == {line.removesuffix(".") for line in meant}


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_what_somebody_needs_each_day_is_short(path: object) -> None:
    """At most 105 words a fill without the pictures', which are read in a minute: warnings and days are among them."""
    card = build_card(plan_starter(path))  # type: ignore[arg-type]  # paths, which the parameter's ids hide
    groups = list_groups(write_text(card))
    steps = next(number for number, group in enumerate(groups) if group[0].startswith("Step 1 of")) - 1
    daily = [line for group in groups[1:steps] for line in group if not line.startswith("Picture:")]
    assert len(" ".join(daily).split()) <= 105


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_picture_is_described_once_in_its_place(name: str) -> None:
    """A stop's picture ends its group, a step's picture follows its words."""
    plan = plan_example(name)
    groups = list_groups(write_text(build_card(plan)))
    with_pictures = [group for group in groups if any(line.startswith("Picture: ") for line in group)]
    assert len(with_pictures) == sum(len(fill.draws) + len(fill.steps) for fill in plan.fills)
    assert all(group[-1].startswith("Picture: ") for group in with_pictures)
    assert all(sum(line.startswith("Picture: ") for line in group) == 1 for group in with_pictures)


def test_lines_to_write_on_are_shown() -> None:
    """A card without a name has a line for it, and for the birth date."""
    text = write_text(build_card(plan_fills(replace(EXAMPLES["W13"], patient=Patient()))))
    assert "\nName: ____\nBorn: ____\n" in text


def test_the_sheet_for_staff_is_left_out() -> None:
    """What is not given away is not in the text."""
    text = write_text(build_card(plan_example("mixed")))
    assert "For staff" not in text
    assert "Fingerprint" not in text
