"""Right cards are never refused: every starter, every kind of reader, both papers, all three ways to hold a barrel."""

from __future__ import annotations

import pytest
from campaign.forms import FORMS
from campaign.stages import try_plan
from support.fifths import keep_a_fifth
from support.finished_cards import TEMPLATES, make_card, read_starter

from fillcards.options import Ending, Form, Options, SmallOptions
from fillcards.pipeline import place_regimen, write_barrel, write_pages
from fillcards.problems import RegimenRefused
from fillcards.readback.gate import Making, require_same_pdf
from fillcards.readback.regimen_text import read_clock
from fillcards.regimen.schema import read_regimen
from fillcards.regimen.times import NAMED_TIMES, FillTime

BREAKFAST = "before breakfast            # a named time, or a clock time such as 07:30\n    minutes_before: 30"
STARTERS = sorted(path.stem for path in TEMPLATES.glob("*.yaml"))


def require_right(text: str) -> None:
    """Make a card and pass it through the gate; a card that does not fit is no card."""
    try:
        made = make_card(text)
    except RegimenRefused as refusal:
        if not all(problem.code.startswith("LAYOUT-") for problem in refusal.problems):
            raise
        pytest.skip("this card does not fit on its sides")
    require_same_pdf(made.pdf, text, Making(code=made.code, fingerprint=made.fingerprint))


@pytest.mark.parametrize(("name", "size_pt"), keep_a_fifth(STARTERS, ("18", "20", "24", "32", "36", "48")))
def test_starter_is_accepted(name: str, size_pt: str) -> None:
    """Every starter in every kind of layout passes the gate."""
    require_right(read_starter(name, size_pt))


@pytest.mark.parametrize(("name", "barrel"), keep_a_fifth(STARTERS, ("needle_left", "needle_right")))
def test_level_barrel_is_accepted(name: str, barrel: str) -> None:
    """Barrels held level, on the other paper."""
    text = read_starter(name).replace("barrel: needle_up", f"barrel: {barrel}").replace("paper: letter", "paper: a4")
    require_right(text)


@pytest.mark.parametrize("name", ["by-mouth-in-milliliters", "animal-with-40-units-per-ml"])
def test_small_card_is_accepted(name: str) -> None:
    """Letters of 12 and 13 pt, some of which fall between two pixels in the first looks."""
    options = Options(form=Form.SMALL, small=SmallOptions(size="a6"))
    write_pages(place_regimen(read_regimen(read_starter(name)), options), Ending.PDF)


VARIANTS = (
    ("  born: 1951-05-04                    # printed beside the name\n", ""),
    ("  name: Sample Patient                # take the line out to get a ruled line to write on\n", ""),
    ("kind: person ", "kind: animal "),
    ("  - {who: Clinic, phone: 555-0142}\n  - {who: Pharmacy, phone: 555-0143}\n", "  []\n"),
    ("opened: 2025-11-23\n\nfills", "expires: 2026-05-01\n\nfills"),
    ('notes: ""', "notes: Ask the nurse about travel."),
    ("needle: fixed ", "needle: detachable "),
    ("11 units", "10 units"),
    ("isophane: 23 units", "isophane: 39 units"),
    ("regular: 11 units", "regular: 1 unit"),
    (BREAKFAST, "07:30"),
)


@pytest.mark.parametrize("variant", keep_a_fifth(VARIANTS))
def test_variant_is_accepted(variant: tuple[str, str]) -> None:
    """Whatever else a file may say."""
    old, new = variant
    text = read_starter("two-insulins-twice-a-day")
    assert old in text
    require_right(text.replace(old, new))


CLOCK_TIMES = {
    "07:30": "07:30",
    "00:00": "00:00",
    "12:00": "12:00",
    "17:05": "17:05",
    "7:30 am": "07:30",
    "12:30 am": "00:30",
    "7:30 PM": "19:30",
    "7:30 p.m.": "19:30",
    "12:30 PM": "12:30",
    "7:30 PM, second syringe": "19:30",
}
"""Each form that the schema for editors takes (``FillTime.describe``), and the same in 24 hours."""


@pytest.mark.parametrize(("when", "clock"), CLOCK_TIMES.items())
def test_every_form_of_a_clock_time_is_read(when: str, clock: str) -> None:
    """What the strict reader accepts, this one reads as well."""
    assert FillTime().parse(when) == when
    assert read_clock(when) == clock


@pytest.mark.parametrize("when", NAMED_TIMES)
def test_a_named_time_is_no_clock_time(when: str) -> None:
    """Its sign is no clock."""
    assert read_clock(when) is None


def test_a_clock_that_shows_half_past_seven_in_the_evening_is_accepted() -> None:
    """With both things that may stand after the digits."""
    text = read_starter("two-insulins-twice-a-day")
    require_right(text.replace(BREAKFAST, "7:30 p.m., second syringe"))


LONG_COUNT = """
fillcards: 1
language: en
patient: {kind: animal, name: Sample Animal}
print: {paper: letter, barrel: needle_right}
syringe: {scale: mL, capacity: 1 mL, line_every: 0.01 mL, numbered_every: 0.01 mL, needle: fixed}
medicines:
  a:
    kind: other
    name: medicine E
    strength: 1000 mcg/mL
    look: clear
    motion: shake
    may_share_with: none
    air: equal
    route: under the skin
    use_within: 28 days
    vial: 30 mL
fills:
  - {when: at bedtime, draw: {a: 750 mcg}, days: [tuesday]}
review: {prepared_by: A. Preparer, date: 2026-11-25}
"""


def test_words_that_just_fit_beside_a_level_figure_are_accepted() -> None:
    """The count to a stop that fills its column ended on the panel's frame, which hid a part of its last digit."""
    assert write_barrel(place_regimen(read_regimen(LONG_COUNT)), 1, 1, Ending.PDF).startswith(b"%PDF")


REFUSED_ONCE = {
    "the close-up of line 1 on a helper's sheet, taller than the shortest rule": (223, 3, "pdf-large", "en"),
    "a scale's 40 nearer to the next panel's words than two words of large print": (331, 3004, "pdf-small", "en"),
    "numbers of two steps as near to each other as two lines of words, a rule between": (601, 19, "pdf-small", "en"),
    "a short figure in the middle of its panel, words below it as wide as all of that": (601, 9013, "pdf-small", "en"),
    "a raised scale whose zero line is left out beside a stop at line 1": (602, 1029, "pdf-raised", "en"),
    "a sum that the side after its front cannot hold": (602, 21034, "pdf-large", "en"),
    "a word whose baseline differs from the others' by what writing rounds off": (20261130, 23, "pdf-large", "ar"),
    "facts and count on both sides of a level figure, which stood on the count": (20261130, 15, "pdf-small", "ar"),
    "an arrow beside a vowel sign over a word, into whose box it came": (20261130, 9, "pdf-small", "hi"),
    "a close-up with lines too close together for any number": (20261130, 6005, "pdf-large", "en"),
    "a wedge so far to one side that it has two sides along the page": (20261201, 2004, "pdf-large", "en"),
    "a close-up of all of a coarse scale beside the small whole barrel": (20261201, 17015, "pdf-small", "en"),
    "words beside a barrel that came into its flanges": (20261202, 32009, "pdf-small", "en"),
    "two columns over a lying barrel, nearer than two words": (20261201, 103017, "pdf-small", "en"),
    "on a screen, a scene wider than the barrel that lies": (99, 31, "html", "ru"),
    "on a screen, a number of five words that is kept on one line": (20261125, 2, "html", "vi"),
    "over a lying barrel, a bar lower than the marks on its words": (20261125, 6, "barrels", "ar"),
    "svg outlines of Spanish words, read as foreign": (20261125, 11, "svg", "es"),
    "a count that ended beside a number of the scale": (20261202, 23, "pdf-large", "es"),
    "over a lying barrel, a number of a sentence in another script, measured as one of the scale": (
        *(20261203, 31036, "pdf-large", "ru"),
    ),
    "a front whose foot counts to ten sides": (20261203, 66013, "pdf-large", "ru"),
    "words and the figure beside them, their baselines as far apart as still counts as one": (
        *(20261203, 50013, "pdf-small", "ar"),
    ),
    "a word with an accent just above the rule between two steps": (20261205, 96033, "pdf-small", "es"),
    "a mark on a letter that touched the bar above": (20261202, 2001, "pdf-small", "ar"),
}
"""Seed and number, form, language; the first of each form in each language is made in every run."""
FIRST_OF_A_KIND = {case[2:]: name for name, case in reversed(REFUSED_ONCE.items())}


@pytest.mark.parametrize(
    ("seed", "number", "form", "language"),
    [
        pytest.param(*case, id=name, marks=() if FIRST_OF_A_KIND[case[2:]] == name else pytest.mark.campaign)
        for name, case in REFUSED_ONCE.items()
    ],
)
def test_a_random_card_that_was_refused_once_is_accepted(seed: int, number: int, form: str, language: str) -> None:
    """Each of them is right."""
    assert FORMS[form](try_plan(seed, number, is_text=True, language=language)) == []
