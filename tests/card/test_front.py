"""The front of a fill: title, what stands above, what is new, the stops, and what stands below."""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from support.card_text import list_ids, list_texts
from support.plans import EXAMPLES, plan_example
from support.random_cards import RandomCard

from fillcards.card.build import build_card
from fillcards.card.model import FillCard, WriteIn
from fillcards.catalogue.model import ScaleName
from fillcards.picture.scene import Filling, Portion
from fillcards.picture.signs import Sign
from fillcards.plan.fills import plan_fills
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import (
    EVERY_DAY,
    Contact,
    Patient,
    PatientKind,
    Regimen,
    ReplacedStop,
    Replaces,
    Weekday,
)
from fillcards.wording.messages import Say, render

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_fill, make_mixed, make_other, make_regimen, make_syringe

MIXED = make_mixed("11 units", "23 units")


def build_front(regimen: Regimen) -> FillCard:
    """The first fill of a card."""
    return build_card(plan_fills(regimen)).fills[0]


def write(message: Say) -> str:
    """The words of a message."""
    return render(message).text


def change_fill(regimen: Regimen, **changes: object) -> Regimen:
    """The regimen with another first fill."""
    return replace(regimen, fills=(replace(regimen.fills[0], **changes),))  # type: ignore[arg-type]  # named by tests


@pytest.mark.parametrize(
    ("days", "title"),
    [
        (EVERY_DAY, "Before breakfast"),
        ((Weekday.THURSDAY,), "Thursday, before breakfast"),
        (EVERY_DAY[:5], "Monday to Friday, before breakfast"),
        (EVERY_DAY[5:], "Saturday and Sunday, before breakfast"),
        ((Weekday.MONDAY, Weekday.THURSDAY), "Before breakfast"),
        (EVERY_DAY[4::-1], "Monday to Friday, before breakfast"),
    ],
)
def test_the_title_carries_the_day(days: tuple[Weekday, ...], title: str) -> None:
    """A weekly card has its day in the title; working days and weekends have theirs, in whatever order written."""
    front = build_front(change_fill(MIXED, days=days))
    assert write(front.title) == title
    assert bool({"only-day", "only-days"} & set(list_ids(front.above))) is (len(days) < 7)


@pytest.mark.parametrize(
    ("when", "sign", "clock"),
    [
        ("before breakfast", Sign.RISING_SUN, None),
        ("with lunch", Sign.HIGH_SUN, None),
        ("before supper", Sign.SETTING_SUN, None),
        ("bedtime", Sign.MOON, None),
        ("07:15", Sign.CLOCK, (7, 15)),
        ("5:30 pm", Sign.CLOCK, (17, 30)),
    ],
)
def test_each_time_has_its_sign(when: str, sign: Sign, clock: tuple[int, int] | None) -> None:
    """Two cards on one door are told apart without reading: a sign for each part of the day, a clock for a time."""
    front = build_front(change_fill(MIXED, when=when))
    assert (front.sign, front.clock) == (sign, clock)


def test_two_fills_of_one_time_are_told_apart_by_their_titles() -> None:
    """Their steps stand on sheets of their own, which carry the title and no other word of the days."""
    (fill,) = MIXED.fills
    fills = replace(fill, days=EVERY_DAY[:3]), replace(fill, days=EVERY_DAY[3:])
    titles = [write(each.title) for each in build_card(plan_fills(replace(MIXED, fills=fills))).fills]
    assert titles == [
        "Monday to Wednesday, before breakfast",
        "Thursday to Sunday, before breakfast",
    ]


def test_what_stands_above() -> None:
    """The animal's warning first, then days, minutes before eating, and that air comes first."""
    assert list_ids(build_front(MIXED).above) == ["every-day", "air-first-two"]
    assert list_ids(build_front(change_fill(MIXED, days=EVERY_DAY[:2])).above) == ["only-days", "air-first-two"]
    plain = change_fill(MIXED, days=EVERY_DAY[:2], minutes_before=30)
    animal = replace(plain, patient=Patient(kind=PatientKind.ANIMAL))
    assert list_ids(build_front(plain).above) == ["only-days", "inject-before-eating-days", "air-first-two"]
    assert list_ids(build_front(animal).above) == ["animal", "only-days", "give-before-eating-days", "air-first-two"]


def test_a_front_says_every_day_once() -> None:
    """Where the minutes before eating stand, their sentence says it: a reader asked whether it is for today alone."""
    daily = change_fill(MIXED, minutes_before=30)
    assert list_texts(build_front(daily).above)[0] == "Each day: inject 30 minutes before this meal."
    assert list_texts(build_front(MIXED).above)[0] == "Each day."


def test_a_mixed_front_in_words() -> None:
    """Both panels: the order, each dose in units, each stop as a line, and how both add up."""
    first, second = build_front(MIXED).panels
    assert list_texts((first.bar, first.medicine, first.dose, first.figure, first.figure_words, first.count)) == [
        "1 Clear first",
        "insulin regular",
        "11 units",
        "11",
        "line eleven",
        "one short line past 10",
    ]
    assert list_texts((second.short_bar, second.medicine, second.dose, second.figure, second.figure_words)) == [
        "2 Same syringe",
        "add insulin isophane",
        "23 units",
        "34",
        "line thirty-four",
    ]
    assert second.sum is not None
    assert write(second.sum) == "11 clear and 23 cloudy make 34"
    assert (first.is_total, second.is_total, first.sum) == (False, True, None)


def test_the_second_picture_shows_both_portions() -> None:
    """Slanted to the first line, dots from there to the total: a barrel dotted all over was read as 34 of cloudy."""
    first, second = build_front(MIXED).panels
    slanted = Portion(Fraction(0), Fraction(11), Filling.FIRST)
    assert first.barrel.portions == (slanted,)
    assert second.barrel.portions == (slanted, Portion(Fraction(11), Fraction(34), Filling.SECOND))


def test_a_single_front_has_its_line_in_the_bar() -> None:
    """One medicine has one panel, no total and no picture of two stops."""
    front = build_front(make_regimen(make_fill(clear="20 units")))
    (panel,) = front.panels
    assert write(panel.bar) == write(panel.short_bar) == "Pull to line 20"
    assert front.both is None
    assert write(front.running) == "Line 20"


def list_notes(regimen: Regimen, panel: int = 0) -> list[str]:
    """The notes of a panel."""
    return list_texts(build_front(regimen).panels[panel].notes)


def test_a_dose_in_mg_on_a_scale_in_units_is_told_with_volume_and_line() -> None:
    """Dose, volume and line together let a slip of ten be noticed (FDA alert of 26 July 2024)."""
    regimen = make_regimen(make_fill(weekly="0.25 mg"), medicines=(make_other("weekly", "medicine A", "2.5 mg/mL"),))
    assert list_notes(regimen) == [
        "only a vial that says 2.5 mg/mL",
        "0.25 mg is 0.1 mL. On this syringe, that is line 10.",
    ]


def test_a_dose_in_ml_on_a_scale_in_units_has_its_line() -> None:
    """A volume is not told to be itself."""
    regimen = make_regimen(make_fill(other="0.1 mL"), medicines=(make_other("other", "medicine A", "10 mg/mL"),))
    assert list_notes(regimen) == ["only a vial that says 10 mg/mL", "On this syringe, 0.1 mL is line 10."]


def test_a_dose_on_a_scale_in_ml_has_its_volume() -> None:
    """What the scale counts is told beside what was prescribed; a dose in mL needs no telling."""
    syringe = make_syringe(ScaleName.ML, "1", "0.01")
    medicine = make_other("other", "medicine A", "10 mg/mL")
    in_mg = make_regimen(make_fill(other="5 mg"), medicines=(medicine,), syringe=syringe)
    in_ml = make_regimen(make_fill(other="0.5 mL"), medicines=(medicine,), syringe=syringe)
    assert list_notes(in_mg) == ["only a vial that says 10 mg/mL", "5 mg is 0.5 mL."]
    assert list_notes(in_ml) == ["only a vial that says 10 mg/mL"]


def test_the_second_of_two_others_is_not_told_as_its_own_line() -> None:
    """The total line is of both doses, and must not be read as that of the second."""
    second = build_card(plan_example("two others")).fills[0].panels[1]
    assert list_ids(second.notes) == ["panel-says", "dose-is-volume"]
    assert second.sum is None


def count_along(count: Say, line_every: Fraction) -> Fraction:
    """The line that a reader arrives at: so many lines further from the number named."""
    told = dict(count.values)
    start, lines = told.get("number", told.get("from_number", Fraction(0))), told.get("lines", 0)
    assert isinstance(start, Fraction)
    assert isinstance(lines, int)
    return start + lines * line_every


def test_counting_by_the_words_reaches_the_stop(random_cards: tuple[RandomCard, ...]) -> None:
    """From the number named, so many lines of this scale further, a reader arrives at the stop, on every scale."""
    for plan, card in random_cards:
        stops = [draw.stop_line for draw in plan.fills[0].draws]
        counts = [panel.count for panel in card.fills[0].panels]
        assert [count_along(count, plan.regimen.syringe.line_every) for count in counts] == stops


def test_no_line_of_half_units_is_called_short() -> None:
    """Barrels with half-unit lines differ in which of them they make longer."""
    regimen = make_regimen(make_fill(clear="5.5 units"), syringe=make_syringe(ScaleName.U_100, "0.3", "0.5"))
    front = build_front(regimen)
    assert write(front.panels[0].count) == "one line past 5"
    assert write(front.below[0]) == (  # type: ignore[arg-type]  # no write-in
        "Syringe: says U-100, last number 30. Each line is half a unit. Not this syringe? Stop. Call."
    )


def test_lines_of_mixed_length_are_said_to_be_so() -> None:
    """Numbered every 4 with a long line every 5, the line of 6 lies past a short and a long one."""
    syringe = replace(make_syringe(), numbered_every=Fraction(4))
    regimen = make_regimen(make_fill(clear="6 units"), syringe=syringe)
    assert write(build_front(regimen).panels[0].count) == "two lines past 4, short and long"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("mixed", "Syringe: says U-100, last number 50. Each line is 1 unit."),
        ("weekly", "Syringe: says U-100, last number 50. Each line is 0.01 mL."),
        ("units on mL", "Syringe: says mL, last number 1. Each line is 0.01 mL."),
        ("by mouth", "Oral syringe: says mL, last number 5. Never a needle. Each line is 0.2 mL."),
        ("concentrated", "Syringe: says U-500, last number 250. Each line is 5 units."),
    ],
)
def test_what_a_line_is_worth(name: str, words: str) -> None:
    """Units of an insulin, mL of anything else: a line is not a dose. And no other syringe will do."""
    syringe = build_card(plan_example(name)).fills[0].below[0]
    assert isinstance(syringe, Say)
    assert write(syringe) == f"{words} Not this syringe? Stop. Call."


def test_what_stands_below() -> None:
    """The syringe, what to do past the line, whom to call, then warnings; a ruled line where nobody is named."""
    warned = replace(MIXED.medicines[1], warning="Not the other one.")
    regimen = replace(MIXED, medicines=(MIXED.medicines[0], warned))
    contacts = (Contact("Clinic", "555-0142"), Contact("Pharmacy", "555-0143"))
    told = build_front(replace(regimen, contacts=contacts)).below
    assert list_ids(told) == ["syringe", "past-two", "unsure", "warning"]
    assert list_texts(told)[2] == "Not sure? Stop. Call Clinic: 555-0142."
    assert isinstance(build_front(regimen).below[2], WriteIn)


def list_news(*stops: ReplacedStop) -> list[str]:
    """What is new on the mixed card since one with these stops."""
    return list_texts(build_front(replace(MIXED, replaces=Replaces("QK7E", "QK7E", None, stops))).news)


def old_stop(medicine: str, line: int, when: str = "before breakfast") -> ReplacedStop:
    """A stop of the older card."""
    return ReplacedStop(when, EVERY_DAY, medicine, Fraction(line))


def test_what_is_new_is_told_by_line() -> None:
    """Each stop that moved is told with both lines, and the old card is to be thrown away."""
    assert list_news(old_stop("insulin regular", 11), old_stop("insulin isophane", 31)) == [
        "New: line 34, it was line 31.",
        "Throw away card QK7E.",
    ]


def test_a_new_medicine_and_a_new_fill_are_told() -> None:
    """A stop that the same time and days did not have before is new, whatever another fill had."""
    assert list_news(old_stop("insulin regular", 11), old_stop("insulin isophane", 34, "before supper"))[:2] == [
        "New: insulin isophane, to line 34.",
        "Stopped: before supper.",
    ]


def test_a_medicine_that_is_gone_is_told_with_its_vial() -> None:
    """Exchanged or left out, nobody is to go on with its vial; one that another fill still draws goes on there."""
    assert list_news(old_stop("insulin aspart", 11), old_stop("insulin isophane", 34)) == [
        "New: insulin regular, to line 11.",
        "No more insulin aspart. Do not use that vial.",
        "Throw away card QK7E.",
    ]
    (both,) = MIXED.fills
    fills = replace(both, draws=both.draws[1:]), replace(both, when="before supper")
    regimen = replace(MIXED, fills=fills)
    stops = (old_stop("insulin regular", 11), old_stop("insulin isophane", 23))
    news = build_front(replace(regimen, replaces=Replaces("QK7E", "QK7E", None, stops))).news
    assert list_texts(news) == ["No more insulin regular at this time.", "Throw away card QK7E."]


def test_what_a_line_meant_before_is_told() -> None:
    """On another scale no line is compared; another dose on the same line, of another strength, is told."""
    stop = replace(old_stop("insulin regular", 11), dose=Quantity(Fraction(5), Unit.UNITS))
    others = (old_stop("insulin isophane", 34), old_stop("insulin isophane", 12, "before supper"))
    replaced = Replaces("QK7E", "QK7E", None, (stop, *others), ScaleName.U_100)
    assert list_texts(build_front(replace(MIXED, replaces=replaced)).news) == [
        "New dose of insulin regular: 11 units, it was 5 units.",
        "Stopped: before supper.",
        "Throw away card QK7E.",
    ]
    other_scale = replace(replaced, scale=ScaleName.ML)
    assert list_texts(build_front(replace(MIXED, replaces=other_scale)).news)[0] == "New syringe. All lines are new."


def test_unmoved_lines_are_told_as_such() -> None:
    """The band never says that nothing is new: only the lines were compared."""
    news = list_news(old_stop("insulin regular", 11), old_stop("insulin isophane", 34))
    assert news == ["The lines are the same as on the old card.", "Throw away card QK7E."]


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_card_that_replaces_none_has_no_news(name: str) -> None:
    """Without an older card there is no band."""
    assert all(fill.news == () for fill in build_card(plan_example(name)).fills)
