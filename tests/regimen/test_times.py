"""Times of a fill against outside lists: HL7 FHIR's event timings, ISO 8601 clock times; phrases nobody may guess."""

from __future__ import annotations

import re

import pytest

from fillcards.intake import fhir_dosage
from fillcards.regimen.forms import FormError
from fillcards.regimen.times import (
    MEALS,
    NAMED_TIMES,
    THE_LIST,
    FillTime,
    Relation,
    Sign,
    can_follow_minutes,
    fold_time,
    read_time,
)

# HL7 FHIR R4, value set EventTiming (http://hl7.org/fhir/ValueSet/event-timing), typed again: code, and the name here.
EVENTS = {
    "MORN": "in the morning",
    "MORN.early": "early morning",
    "MORN.late": "late morning",
    "NOON": "noon",
    "AFT": "in the afternoon",
    "AFT.early": "early afternoon",
    "AFT.late": "late afternoon",
    "EVE": "in the evening",
    "EVE.early": "early evening",
    "EVE.late": "late evening",
    "NIGHT": "at night",
    "HS": "before bed",
    "WAKE": "after waking",
    "CM": "with breakfast",
    "CD": "with lunch",
    "CV": "with dinner",
    "ACM": "before breakfast",
    "ACD": "before lunch",
    "ACV": "before dinner",
    "PCM": "after breakfast",
    "PCD": "after lunch",
    "PCV": "after dinner",
}
# Those without one moment: which meal, once one has slept.
EVENTS_WITHOUT_A_MOMENT = ("with a meal", "before meals", "after meals", "after sleep")


@pytest.mark.parametrize("name", sorted(EVENTS.values()))
def test_every_event_of_a_day_has_a_name(name: str) -> None:
    """Each code that means one moment of a day can be written."""
    assert FillTime().parse(name) == name


@pytest.mark.parametrize("name", EVENTS_WITHOUT_A_MOMENT)
def test_an_event_without_one_moment_is_refused(name: str) -> None:
    """A card for "with a meal" would be one dose to one reader and three to another."""
    with pytest.raises(FormError, match="TIME-003"):
        read_time(name)


@pytest.mark.parametrize("name", sorted(fhir_dosage.NAMED_TIMES.values()))
def test_what_an_imported_prescription_says_is_on_the_list(name: str) -> None:
    """A draft written from a prescription is read again."""
    assert name in NAMED_TIMES


@pytest.mark.parametrize(
    "text",
    [
        *("first Sunday of the month", "evening, week A", "Sunday evening", "Mon evening", "on weekdays", "MWF"),
        *("as needed", "when sugar is high", "breakfast or lunch", "twice a day", "before each meal", "every evening"),
        *("breakfast and supper", "before breakfast, supper", "half dose at bedtime", "For Anna", "draw to the line"),
        *("before the bus", "after school", "Breakfast. Sit down", "supper, extra", "before supper, last syringe", ""),
    ],
)
def test_anything_else_is_refused_and_the_list_is_named(text: str) -> None:
    """Days, conditions, how often, two times, doses: whatever the phrase, it is not on the list."""
    with pytest.raises(FormError) as caught:
        read_time(text)
    assert (caught.value.code, caught.value.expected) == ("TIME-003", THE_LIST)


def test_the_list_in_the_message_holds_every_word_of_the_names() -> None:
    """Whoever reads the message can write any name on the list."""
    joining = {"in", "the", "at", "midday", "bedtime"}
    words = {word for name in NAMED_TIMES for word in re.findall(r"[a-z]+", name)}
    assert words - joining <= set(re.findall(r"[a-z]+", THE_LIST))


@pytest.mark.parametrize(
    ("text", "minute"),
    [
        *(("00:00", 0), ("07:30", 450), ("12:00", 720), ("17:30", 1050), ("23:59", 1439)),
        *(("5:30 pm", 1050), ("05:30 PM", 1050), ("7:30 a.m.", 450), ("12:30 pm", 750), ("12:30 am", 30)),
    ],
)
def test_a_clock_time_is_minutes_after_midnight(text: str, minute: int) -> None:
    """24 hours as in ISO 8601, or am and pm as clinics write; the text stays as it is."""
    time = read_time(text)
    assert (time.minute, time.sign) == (minute, Sign.CLOCK)
    assert FillTime().parse(text) == text


@pytest.mark.parametrize("text", ["12:00 pm", "12:00 am", "midnight", "12 noon pm"])
def test_noon_and_midnight_are_written_12_and_0(text: str) -> None:
    """12 with am or pm is taken both ways and should not be used (NIST, Time Questions and Answers)."""
    with pytest.raises(FormError, match="TIME-001") as caught:
        read_time(text)
    assert "00:00" in f"{caught.value.expected} {caught.value.remedy}"


@pytest.mark.parametrize(
    "text", ["7:30", "24:00", "07.30", "7 pm", "8", "5:30pm", "17:30 pm", "8 o'clock", "8 hours on"]
)
def test_another_form_of_clock_time_is_refused(text: str) -> None:
    """Without am or pm half past seven may be in the evening; a bare number beside the lines is read as a dose."""
    with pytest.raises(FormError, match="TIME-001"):
        read_time(text)


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("before breakfast", "Before Breakfast", True),
        ("Bedtime", "At Bedtime", True),
        ("with supper", "supper", True),
        ("in the morning", "Morning", True),
        ("5:30 pm", "17:30", True),
        ("before breakfast", "after breakfast", False),
        ("before supper", "before dinner", True),
        ("bedtime", "before bed", True),
        ("after supper", "before dinner", False),
        ("before supper, first syringe", "before supper, second syringe", False),
        ("07:30", "07:45", False),
    ],
)
def test_times_that_differ_in_spelling_alone_are_one(one: str, other: str, is_same: bool) -> None:
    """Capitals, at and with, am and pm, another word change no time; before and after do, and another syringe does."""
    assert (fold_time(one) == fold_time(other)) is is_same
    assert (read_time(one) == read_time(other)) is is_same


def test_noon_is_twelve_with_a_sign_of_its_own() -> None:
    """One time of the day, whether the card shows the sun or a clock."""
    assert fold_time("at noon") == fold_time("Midday") == fold_time("12:00")
    assert read_time("noon").sign is Sign.HIGH_SUN


@pytest.mark.parametrize(
    ("when", "can"),
    [
        *((when, True) for when in ("before breakfast", "Before lunch", "before dinner, second syringe")),
        *((when, False) for when in ("breakfast", "with breakfast", "after breakfast", "lunch", "evening", "07:30")),
        *((when, False) for when in ("bedtime", "before bed", "noon", "on waking")),
    ],
)
def test_minutes_count_to_the_meal_that_the_time_is_before(when: str, can: bool) -> None:
    """The card says: inject 30 minutes before this meal, then eat. That is true of no other time."""
    assert can_follow_minutes(when) is can


def test_each_time_has_the_sign_of_its_part_of_the_day() -> None:
    """Rising sun, high sun, setting sun and moon, each in use; meals have the same sign before, with and after."""
    assert {time.sign for time in NAMED_TIMES.values()} == set(Sign) - {Sign.CLOCK}
    for meal, sign in MEALS.items():
        times = [time for name, time in NAMED_TIMES.items() if name.endswith(meal)]
        assert {time.sign for time in times} == {sign}
        assert {time.relation for time in times} == set(Relation)


def test_the_schema_for_editors_takes_what_the_reader_takes() -> None:
    """Every name, also with a capital, with a syringe, and both forms of clock time; no other phrase."""
    pattern = FillTime().describe()["pattern"]
    for name in (*NAMED_TIMES, *map(str.capitalize, NAMED_TIMES), "noon, first syringe", "07:30", "5:30 pm"):
        assert re.search(pattern, name)
        assert read_time(name)
    assert not re.search(pattern, "Sunday evening")
