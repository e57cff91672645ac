"""The blind second entry: what counts as equal, what differs, what is a slip of form, and how it is read back."""

from __future__ import annotations

from pathlib import Path

import pytest

from fillcards.desk.second_entry import Entry, read_entry, type_regimen
from fillcards.regimen.schema import read_regimen

STARTERS = sorted((Path(__file__).parents[2] / "templates_yaml").glob("*.yaml"))
REGIMEN = read_regimen(
    (Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml").read_text(encoding="utf-8")
)
FIELDS = {
    "name": "Sample Patient",
    "born": "1951-05-04",
    "count": "2",
    "fill-1-when": "before breakfast",
    "fill-1-days": "every day",
    "fill-1-dose-1": "11 units",
    "fill-1-medicine-1": "insulin regular",
    "fill-1-dose-2": "23 units",
    "fill-1-medicine-2": "insulin isophane",
    "fill-1-minutes": "30",
    "fill-1-route": "under the skin",
    "fill-2-when": "before supper",
    "fill-2-days": "every day",
    "fill-2-dose-1": "9 units",
    "fill-2-medicine-1": "insulin regular",
    "fill-2-dose-2": "16 units",
    "fill-2-medicine-2": "insulin isophane",
    "fill-2-minutes": "30",
    "fill-2-route": "under the skin",
    "scale": "U-100",
    "last": "50",
    "label-1": "insulin human regular",
    "strength-1": "100 units/mL",
    "label-2": "insulin human isophane",
    "strength-2": "100 units/mL",
}


def read(**other: str) -> Entry:
    """The entry of these fields, some of them typed otherwise."""
    typed = read_entry(FIELDS | {key.replace("_", "-"): value for key, value in other.items()})
    assert typed.slips == {}
    assert typed.entry is not None
    return typed.entry


@pytest.mark.parametrize(
    "other",
    [
        {},
        {"name": "  sample   PATIENT "},
        {"born": "4 May 1951"},
        {"fill_1_when": "Before Breakfast"},
        {"fill_1_days": "daily", "fill_2_days": "Mon, Tue, Wed, Thu, Fri, Sat and Sun"},
        {"fill_1_medicine_1": "regular insulin", "fill_1_medicine_2": "Insulin  Isophane"},
        {"scale": "u100", "last": "50 units"},
        {"label_1": "Insulin human REGULAR"},
        {"label_1": "insulin human regular 100 units/mL"},
        {
            **{f"fill_1_{key}": FIELDS[f"fill-2-{key.replace('_', '-')}"] for key in ("when", "dose_1", "dose_2")},
            **{f"fill_2_{key}": FIELDS[f"fill-1-{key.replace('_', '-')}"] for key in ("when", "dose_1", "dose_2")},
        },
        {
            "fill_1_dose_1": "23 units",
            "fill_1_medicine_1": "insulin isophane",
            "fill_1_dose_2": "11 units",
            "fill_1_medicine_2": "insulin regular",
        },
        {"label_1": FIELDS["label-2"], "label_2": FIELDS["label-1"]},
    ],
)
def test_the_same_in_other_words_agrees(other: dict[str, str]) -> None:
    """Case and spacing, the order of fills, medicines and labels, and how a time, a day or a date is written."""
    assert read(**other) == type_regimen(REGIMEN).entry


@pytest.mark.parametrize(
    "other",
    [
        {"name": "Sample Patents"},
        {"born": "1951-04-05"},
        {"count": "1"},
        {"fill_1_when": "after breakfast"},
        {"fill_1_days": "weekdays"},
        {"fill_1_dose_1": "1 unit"},
        {"fill_1_dose_1": "11 mg"},
        {"fill_1_dose_1": "23 units", "fill_1_dose_2": "11 units"},
        {"fill_1_dose_2": "", "fill_1_medicine_2": ""},
        {"fill_1_medicine_1": "insulin lispro"},
        {"fill_1_minutes": "15"},
        {"fill_1_minutes": "does not say"},
        {"fill_1_no_minutes": "yes", "fill_1_minutes": ""},
        {"fill_1_route": "into muscle"},
        {"scale": "U-40"},
        {"last": "100"},
        {"label_1": "insulin human"},
        {"strength_1": "40 units/mL"},
        {"strength_1": "none"},
        {"label_2": "", "strength_2": ""},
    ],
)
def test_anything_else_differs(other: dict[str, str]) -> None:
    """Another patient, a fill left out, and every single value that a card rests on."""
    assert read(**other) != type_regimen(REGIMEN).entry


@pytest.mark.parametrize(
    ("field", "value", "wanted"),
    [
        ("fill-1-dose-1", "11", "an amount with its unit"),
        ("fill-1-dose-1", "11-12 units", "a range is not a dose"),
        ("fill-1-dose-1", "", "a dose with its unit"),
        ("fill-1-when", "sometimes", "a clock time"),
        ("fill-1-days", "often", "every day"),
        ("fill-1-minutes", "", "a number"),
        ("fill-1-route", "", "how it is given"),
        ("born", "04/05/1951", "year-month-day"),
        ("born", "31 June 1951", "year-month-day"),
        ("name", "", "the name"),
        ("count", "0", "from 1 to 12"),
        ("scale", "U-200", "U-100"),
        ("strength-1", "100", "an amount with its unit"),
    ],
)
def test_a_slip_of_form_is_named_and_is_no_entry(field: str, value: str, wanted: str) -> None:
    """What cannot be read is told at its own field, in the words that the file's reader has for it."""
    typed = read_entry(FIELDS | {field: value})
    assert typed.entry is None
    assert list(typed.slips) == [field]
    assert wanted in typed.slips[field]


def test_it_is_read_back_with_numbers_in_words() -> None:
    """So that 11 for 1 is heard."""
    sentences = read_entry(FIELDS | {"fill-2-no-minutes": "yes"}).sentences
    assert sentences[0] == "For Sample Patient, born 4 May 1951. Two fills."
    assert sentences[1] == (
        "1. Before breakfast, every day: eleven units of insulin regular and twenty-three units of insulin isophane. "
        "Inject 30 minutes before eating. Given: under the skin."
    )
    assert "Minutes: the prescription does not say." in sentences[2]
    assert sentences[3] == "Syringe: U-100, last number 50, fifty."


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: str(path.stem))
def test_every_kind_of_card_can_be_checked(path: Path) -> None:
    """What would be typed for the file can be read and said: mg, mL, by mouth, an animal's."""
    regimen = read_regimen(path.read_text(encoding="utf-8"))
    typed = type_regimen(regimen)
    assert typed.slips == {}
    assert typed.entry is not None
    assert len(typed.sentences) == 2 + len(regimen.fills) + len(regimen.medicines)
    assert not any("…" in sentence or "complete" in sentence for sentence in typed.sentences)
