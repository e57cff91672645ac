"""Amounts, insulins, times and persons in free words: what is seen, however spelled, and what is let through.

The words are common practice, no source, unless a test says otherwise; amounts are invented.
"""

from __future__ import annotations

import pytest

from fillcards.regimen.fill_times import FillTime, can_follow_minutes, fold_time
from fillcards.regimen.forms import FormError
from fillcards.regimen.free_words import find_amount, find_amount_or_count
from fillcards.regimen.labels import Label, VialMark
from fillcards.regimen.loose_names import find_insulin_word
from fillcards.regimen.person_names import PersonName, is_same_person

AMOUNTS = (
    *("line 40", "44 units", "2.5 mg", "forty units", "twenty-five units", "half a unit", "44U", "44 U", "44 IU"),
    *("½ mL", "0.5 ml", "5 cc", "10 mcg", "12 milligrams", "Line forty", "lines 8", "line no. 8", "total line"),
)


@pytest.mark.parametrize("words", AMOUNTS)
def test_an_amount_beside_a_name_is_refused(words: str) -> None:
    """An amount or a line next to a name is read as a dose."""
    assert find_amount(f"Sample {words} x")
    with pytest.raises(FormError, match="TEXT-007"):
        Label(60, is_name=True).parse(f"Sample {words}")


@pytest.mark.parametrize(
    "words",
    [
        *("ward 7, bed 2", "clinic room 12", "date of birth 1950-01-02", "record 4471U", "Intensive care unit 2"),
        *("school class 2", "Mary Line", "Dr. Sample", "vitamin B12", "ward #3", "5 West", "2nd floor", "12"),
    ],
)
def test_other_numbers_beside_a_name_do_no_harm(words: str) -> None:
    """Wards, rooms, dates and numbers of records arrive as they are."""
    assert Label(60, is_name=True).parse(words) == words


def test_a_reading_of_the_blood_is_no_amount() -> None:
    """Milligrams in a decilitre of blood are what a meter shows; milligrams in a millilitre are a strength."""
    assert find_amount("over 300 mg/dL") is None
    assert find_amount("over 300 mg per dL") is None
    assert find_amount("of 300 mg/mL") == "300 mg"


def test_a_count_of_lines_is_an_amount_in_a_sentence_but_not_on_a_vial() -> None:
    """Three lines of tape mark a vial; three lines in a note are counted on the barrel."""
    assert find_amount_or_count("Go 3 lines on.") == "3 lines"
    assert VialMark(40).parse("3 lines of tape") == "3 lines of tape"


@pytest.mark.parametrize("mark", ["Band. Stop.", "band: red", "a (b", "a) b", "12", "44 units", "line 8"])
def test_a_mark_that_would_break_a_step_is_refused(mark: str) -> None:
    """The mark stands in the middle of a step."""
    with pytest.raises(FormError, match=r"TEXT-00[78]"):
        VialMark(40).parse(mark)


@pytest.mark.parametrize("mark", ["one rubber band", "two rubber bands", "2 stripes", "smooth", "in its red box"])
def test_a_plain_mark_is_taken(mark: str) -> None:
    """A few words, with a number that is no amount."""
    assert VialMark(40).parse(mark) == mark


@pytest.mark.parametrize(
    "name",
    [
        *("ínsulin", "insuline", "insulins", "ins. regular", "N P H", "N.P.H.", "glargin", "isophan", "degludek"),
        *("insulina glargina", "insulín glargíne", "1nsulin", "insu1in", "in sulin", "lis pro", "inzulin", "INSULIN"),
        *("humaninsulin", "i-n-s-u-l-i-n", "asparto", "lente", "Glargine injection"),
    ],
)
def test_an_insulin_is_seen_in_any_spelling(name: str) -> None:
    """Accents, endings, slips and letters set apart hide none."""
    assert find_insulin_word(name)


# Generic names, from memory.
@pytest.mark.parametrize(
    "name",
    [
        *("heparin", "enoxaparin", "methotrexate", "semaglutide", "liraglutide", "epoetin", "filgrastim"),
        *("testosterone", "cyanocobalamin", "octreotide", "teriparatide", "interferon", "glucagon", "dulaglutide"),
        *("protamine sulfate", "magnesium aspartate", "tirzepatide", "exenatide", "pramlintide", "somatropin"),
        *("dalteparin", "fondaparinux", "arginine", "morphine", "adalimumab", "etanercept", "sumatriptan"),
        *(
            "ganirelix",
            "leuprolide",
            "medroxyprogesterone",
            "iron sucrose",
            "desmopressin",
            "calcitonin",
            "vitamin B12",
        ),
    ],
)
def test_another_medicine_is_no_insulin(name: str) -> None:
    """Ordinary injected medicines are not taken for one."""
    assert find_insulin_word(name) is None


@pytest.mark.parametrize(
    ("when", "code"),
    [
        *((text, "TIME-003") for text in ("before breakfast 20 units", "total line 40", "draw to line 40", "noon 8")),
        *((text, "TIME-003") for text in ("half dose at bedtime", "before breakfast twenty", "supper, extra")),
        *(
            (text, "TIME-004")
            for text in ("as needed", "when sugar is high", "sick days", "breakfast or lunch", "daily")
        ),
        *(
            (text, "TIME-004")
            for text in ("twice a day", "before each meal", "weekly", "once a week", "every other day")
        ),
        *((text, "TIME-004") for text in ("on weekdays", "every evening", "with meals", "if hungry", "For Anna")),
        *(
            (text, "TIME-005")
            for text in ("Breakfast and supper", "breakfast/supper", "breakfast, supper", "noon & night")
        ),
        *((text, "TIME-006") for text in ("Mon evening", "sun evening", "MWF", "wensday evening", "Tu at noon")),
        *((text, "TIME-001") for text in ("Breakfast. Sit down", "breakfast (late)", "breakfast: x", "8 hours on")),
    ],
)
def test_a_time_that_says_more_than_a_time_is_refused(when: str, code: str) -> None:
    """Amounts, conditions, how often, two times, short days and sentences."""
    with pytest.raises(FormError) as caught:
        FillTime(30).parse(when)
    assert caught.value.code == code


@pytest.mark.parametrize(
    "when",
    [
        *(
            "07:30",
            "00:00",
            "23:59",
            "after school",
            "at bedtime",
            "mid-morning",
            "before the evening walk",
            "on waking",
        ),
        *("before supper, first syringe", "Sunday evening", "one hour after lunch", "half an hour before lunch"),
        *(
            "between breakfast and lunch",
            "at seven in the evening",
            "in the evening, before supper",
            "noon",
            "at night",
        ),
        *("before the second snack", "when you wake up", "last thing at night", "Bedtime", "before the bus"),
    ],
)
def test_an_ordinary_time_is_taken(when: str) -> None:
    """One time of day in free words, or a clock time."""
    assert FillTime(30).parse(when) == when


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("Breakfast", "breakfast time", True),
        ("before breakfast", "Before Breakfast", True),
        ("Bedtime", "At Bedtime", True),
        ("with supper", "Supper time", True),
        ("in the morning", "Morning", True),
        ("lunchtime", "at lunch", True),
        ("before breakfast", "after breakfast", False),
        ("before supper, first syringe", "before supper, second syringe", False),
        ("07:30", "07:45", False),
    ],
)
def test_times_that_differ_in_spelling_alone_are_one(one: str, other: str, is_same: bool) -> None:
    """Capitals, punctuation, at and time change no time; before and after do."""
    assert (fold_time(one) == fold_time(other)) is is_same


@pytest.mark.parametrize(
    ("when", "can"),
    [
        ("before breakfast", True),
        ("breakfast", True),
        ("before the second snack", True),
        ("with breakfast", False),
        ("after breakfast", False),
        ("at bedtime", False),
        ("Before breakfast", False),
        ("evening", False),
        ("07:30", False),
    ],
)
def test_minutes_count_to_what_the_time_is_before(when: str, can: bool) -> None:
    """The card says: inject 30 minutes before breakfast. With any other time it would name two."""
    assert can_follow_minutes(when) is can


@pytest.mark.parametrize(
    "text",
    ["not yet checked", "nobody", "?", "-", "TODO", "none", "n/a", "N.A.", "to be checked", "No one", "xxx", "1"],
)
def test_a_placeholder_is_no_person(text: str) -> None:
    """A check by nobody is no check."""
    with pytest.raises(FormError, match="REVIEW-004"):
        PersonName(40).parse(text)


@pytest.mark.parametrize("text", ["A", "R. Example, pharmacist", "No Min", "An Nguyen", "Élodie Núñez", "P."])
def test_a_name_is_a_person(text: str) -> None:
    """Initials and names that begin like a placeholder are names."""
    assert PersonName(40).parse(text) == text


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("A. Nurse", "A Nurse", True),
        ("A. Nurse", "A.Nurse", True),
        ("A. Nurse", "RN A. Nurse", True),
        ("A. Nurse", "NURSE, A.", True),
        ("Anna Nurse", "A. Nurse", True),
        ("Dr. Élodie Sample", "sample elodie", True),
        ("A", "a", True),
        ("A", "B", False),
        ("A. Example", "B. Example", False),
        ("A. Preparer", "A. Checker", False),
        ("Sample Nurse", "Sample Pharmacist", False),
    ],
)
def test_one_person_is_seen_in_any_order_of_the_name(one: str, other: str, is_same: bool) -> None:
    """Punctuation, capitals, accents, titles, order and initials make no second person."""
    assert is_same_person(one, other) is is_same
    assert is_same_person(other, one) is is_same
