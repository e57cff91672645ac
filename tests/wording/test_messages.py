"""The renderer: values by their type, bold runs, places of values, and what is refused."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.catalogue.model import ScaleName
from fillcards.plan.model import LineAmount
from fillcards.problems import InternalFault
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import Weekday
from fillcards.wording.messages import Say, Value, ValuePlace, fit, render, say, write_line_amount

LINE_11 = LineAmount(Fraction(11), False)
HALF_ML = LineAmount(Fraction(1, 2), True)


def write(message_id: str, **values: Value) -> str:
    """The words of a message."""
    return render(say(message_id, **values)).text


def test_a_line_and_an_amount_in_ml_read_differently() -> None:
    """A stop on a scale in units is a line, on one in mL an amount; air is never called a line."""
    assert write("one-6", stop=LINE_11).endswith("Pull slowly to line 11.")
    assert write("one-6", stop=HALF_ML).endswith("Pull slowly to 0.5 mL.")
    assert "air to 11 on the barrel" in write("one-5", air=LINE_11)
    assert "air to 0.5 mL on the barrel" in write("one-5", air=HALF_ML)
    assert (write_line_amount(LINE_11, "en"), write_line_amount(HALF_ML, "en")) == ("11", "0.5 mL")


@pytest.mark.parametrize(
    ("message_id", "values", "words"),
    [
        ("figure", {"number": Fraction(5000)}, "5,000"),
        ("figure-line", {"words": Fraction(25, 2)}, "line 12 and a half"),
        ("figure-ml", {"words": Fraction(1, 4)}, "zero point two five mL"),
        ("count-short", {"lines": 4, "from_number": Fraction(30)}, "four short lines past 30"),
        ("count-short", {"lines": 1, "from_number": Fraction(10)}, "one short line past 10"),
        ("count-any-zero", {"lines": 19}, "19 lines past the zero line"),
        ("inject-before-eating", {"minutes": 1}, "Each day: inject 1 minute before this meal."),
        ("inject-before-eating-days", {"minutes": 30}, "Inject 30 minutes before this meal."),
        ("panel-dose", {"dose": Quantity(Fraction(1), Unit.UNITS)}, "1 unit"),
        ("panel-says", {"label_strength": Quantity(Fraction(5, 2), Unit.MG_PER_ML)}, "only a vial that says 2.5 mg/mL"),
        ("write-name-identifier", {"identifier": "grey, white paws"}, "Name (grey, white paws):"),
        ("ask-again", {"date": date(2027, 2, 24)}, "Ask by 24 February 2027 whether this still holds."),
        ("page", {"page": 1, "pages": 12}, "side 1 of 12"),
    ],
)
def test_values_are_written_by_their_type(message_id: str, values: dict[str, Value], words: str) -> None:
    """Each type has one form: the safety rules for numbers, dates with the month's name, words for counts."""
    assert render(say(message_id, **values)).text == words


def test_a_time_begins_a_message_with_a_capital() -> None:
    """The file's own words keep their letters, but for the first of a heading."""
    thursday = (Weekday.THURSDAY,)
    assert write("title", when="before breakfast") == "Before breakfast"
    assert write("title-day", day=thursday, when="before breakfast") == "Thursday, before breakfast"


def test_bold_runs_and_places_lie_where_they_say() -> None:
    """Runs and places cut out of the text are the words they are for."""
    rendered = render(say("two-7", first=LINE_11))
    assert [rendered.text[start:end] for start, end in rendered.bold] == ["Turn it over.", "Pull slowly to line 11."]
    (place,) = rendered.places
    assert (rendered.text[place.start : place.end], place.slot) == ("line 11", "first")


def test_a_value_inside_bold_does_not_break_the_run() -> None:
    """Words and values that are bold one after the other make one run."""
    rendered = render(say("contact", who="Clinic", phone="555-0142"))
    assert rendered.bold == ((0, len(rendered.text)),)
    assert rendered.places == (ValuePlace(0, 6, "who"), ValuePlace(7, 15, "phone"))


@given(st.text(min_size=1))
def test_free_words_bring_no_markup(words: str) -> None:
    """Stars and braces of the file's own words stand as they are and change nothing around them."""
    rendered = render(say("panel-mark", mark=words))
    assert (rendered.text, rendered.bold) == (words, ())


@pytest.mark.parametrize(
    "message",
    [
        say("no-such-message"),
        say("figure"),
        say("figure", number=11, words=11),
        say("figure", number="11"),
        say("panel-dose", dose=Fraction(11)),
        say("panel-mark", mark=11),
        say("one-6", stop=Fraction(11)),
        say("syringe-half", scale="U-100", last=50),
        say("only-days", days=()),
        say("text-picture", text="A vial."),
        say("inject-before-eating"),
    ],
    ids=lambda message: f"{message.id} {message.values}",
)
def test_what_does_not_fit_is_refused(message: Say) -> None:
    """No such message, a value missing, one too many, or one of another type: a fault of ours, and no sentence."""
    with pytest.raises(InternalFault, match=message.id if message.id == "no-such-message" else "slot|message"):
        render(message)


def test_an_unknown_language_is_refused() -> None:
    """No card is made in a language without messages."""
    with pytest.raises(InternalFault, match='"xx"'):
        render(say("wash"), "xx")


def test_fit_takes_what_the_message_asks_for() -> None:
    """Of many values those with a slot are taken; a slot without a value is refused."""
    values: dict[str, Value | None] = {
        "scale": ScaleName.U_100,
        "last": Fraction(50),
        "minutes": None,
        "stop": LINE_11,
    }
    assert fit("wash", values) == say("wash", scale=ScaleName.U_100, last=Fraction(50))
    with pytest.raises(InternalFault, match="minutes"):
        fit("finish-eat", values)
