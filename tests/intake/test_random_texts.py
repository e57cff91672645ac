"""Random texts of words that are known, with one that is not true of the fields: none of them is drafted.

The lists are typed out here in plain English, not taken from the tables under test.
"""

from __future__ import annotations

import datetime
from typing import Any, Final

from hypothesis import given
from hypothesis import strategies as st
from support.prescriptions import build_dosage, build_request, change, write_json

from fillcards.intake.fhir import read_prescription
from fillcards.problems import RegimenRefused

TODAY: Final = datetime.date(2026, 11, 25)

# True of 10 units of insulin aspart before breakfast, once a day; the amount stands apart, since it is said once.
_TRUE: Final = (
    *("inject", "take", "give", "the dose", "your", "insulin aspart", "insulin", "of", "under the skin", "daily"),
    *("subcutaneously", "once a day", "every day", "before breakfast", "every morning", "in the morning"),
    *(",", ".", ";", ":", "rotate injection sites", "check blood sugar before use"),
)
_AMOUNTS: Final = ("10 units", "ten units", "10 (ten) units", "10 U", "")

_NUMBERS: Final = (*(str(n) for n in (*range(10), *range(11, 101))), "10.5", "1,0", "0.1", "100", "1000", "010")
_WORDS: Final = ("one", "two", "five", "six", "eleven", "twelve", "twenty", "fifteen", "a hundred", "half", "double")
_FALSE: Final = st.one_of(
    st.sampled_from([f"{number} {unit}" for number in (*_NUMBERS, *_WORDS) for unit in ("units", "U", "unit", "")]),
    st.sampled_from([f"10 {unit}" for unit in ("mg", "mL", "days", "times", "minutes", "units/mL", "")]),
    st.sampled_from(
        [
            f"{before} {time}"
            for before in ("before", "after", "at", "with", "")
            for time in ("lunch", "dinner", "supper", "bedtime", "each meal", "meals", "7 pm", "08:00", "noon")
        ]
    ),
    st.sampled_from(
        ("after breakfast", "with breakfast", "in the evening", "every night", "30 minutes before breakfast")
    ),
    st.sampled_from(
        [
            *(
                "twice a day",
                "twice daily",
                "BID",
                "TID",
                "three times a day",
                "once",
                "weekly",
                "once a week",
                "monthly",
            ),
            *(
                "every other day",
                "every 2 days",
                "alternate days",
                "on Mondays",
                "except Sundays",
                "weekends",
                "for a week",
            ),
            *("not", "never", "stop", "skip", "hold", "if needed", "as needed", "as directed", "or", "then", "until"),
        ]
    ),
)


def _is_drafted(text: str, name: str) -> bool:
    """Whether the dose is in a draft without any problem: exit code 0."""
    value: Any = [{"text": text}] if name == "additionalInstruction" else text
    tree = change(build_request("insulin aspart", build_dosage(10)), f"dosageInstruction.0.{name}", value)
    try:
        return not read_prescription(write_json(tree), today=TODAY).problems
    except RegimenRefused:
        return False


_NAMES: Final = st.sampled_from(("text", "patientInstruction", "additionalInstruction"))


@given(st.lists(st.sampled_from(_TRUE), max_size=6), st.sampled_from(_AMOUNTS), _FALSE, st.data())
def test_one_false_piece_among_true_words_is_never_drafted(
    words: list[str], amount: str, false: str, data: st.DataObject
) -> None:
    """Another number, time or frequency anywhere in a text of known words: the dose is in no draft with exit code 0."""
    pieces = [*words, *([amount] if amount else [])]
    pieces = data.draw(st.permutations(pieces))
    place = data.draw(st.integers(0, len(pieces)))
    text = " ".join((*pieces[:place], false.strip(), *pieces[place:]))
    assert not _is_drafted(text, data.draw(_NAMES))


@given(st.lists(st.sampled_from(_TRUE), max_size=6), st.sampled_from(_AMOUNTS), _NAMES, st.data())
def test_true_words_in_any_order_are_drafted(words: list[str], amount: str, name: str, data: st.DataObject) -> None:
    """The same texts without the false piece pass, so the test above cannot pass by refusing everything."""
    pieces = data.draw(st.permutations([*words, amount or "insulin"]))
    assert _is_drafted(" ".join(pieces), name)


@given(st.sampled_from(_AMOUNTS[:-1]), st.sampled_from(_AMOUNTS[:-1]), st.lists(st.sampled_from(_TRUE), max_size=3))
def test_the_amount_twice_is_never_drafted(first: str, second: str, words: list[str]) -> None:
    """Said twice it may be meant twice."""
    assert not _is_drafted(" ".join((first, *words, second)), "text")


@given(
    st.text(alphabet=st.characters(min_codepoint=0x80), min_size=1, max_size=5).filter(lambda text: text.strip() != "")
)
def test_letters_beyond_plain_english_explain_nothing(text: str) -> None:
    """Digits of other scripts, marks that hide, letters that look alike: no phrase is made of them."""
    assert not _is_drafted(f"10 units {text} before breakfast", "text")
