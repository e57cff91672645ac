"""Faults in the maker's code are refused by the gate alone, whatever else would notice them."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import pytest
from readback.seeded import FAULTS, Fault
from support import finished_cards
from support.fifths import keep_a_fifth
from support.starters import write_in

from fillcards.picture.scale_view import _list_labels
from fillcards.problems import FillcardsError
from fillcards.readback.gate import CardMismatch, Making, require_same_pdf

STARTERS: Final = {
    "mixed": "two-insulins-twice-a-day",
    "large": "two-insulins-twice-a-day",
    "one": "one-insulin-once-a-day",
    "large-one": "one-insulin-once-a-day",
    "half": "half-units-for-a-child",
    "weekly": "weekly-milligrams-on-a-unit-scale",
    "mouth": "by-mouth-in-milliliters",
    "muscle": "milliliters-into-muscle",
    "animal": "animal-with-40-units-per-ml",
}


@lru_cache(maxsize=8)
def _make_right(card: str, language: str) -> tuple[str, finished_cards.MadeCard]:
    text = write_in(finished_cards.read_starter(STARTERS[card], "24" if card.startswith("large") else "18"), language)
    return text, finished_cards.make_card(text)


@pytest.mark.parametrize("fault", keep_a_fifth(FAULTS))
def test_fault_is_refused(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    """The seeded fault changes the file, and the gate says so."""
    text, right = _make_right(fault.card, "en")
    wrong = _make_wrong(fault, text, monkeypatch)
    assert wrong.pdf != right.pdf
    require_refused(wrong, text)


NO_FAULT_IN_LARGE_PRINT: Final = {"whom to call left out"}
"""It stands at the head of every other side, so that a full front may do without."""


@pytest.mark.campaign
@pytest.mark.parametrize("language", ["ar", "hi"])
@pytest.mark.parametrize(
    "fault",
    [pytest.param(fault, id=fault.name) for fault in FAULTS if fault.name not in NO_FAULT_IN_LARGE_PRINT],
)
def test_fault_is_refused_in_another_script(fault: Fault, language: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same faults, but for those of English words and of the poster, which these languages do not have at 18 pt."""
    text, right = _make_right(fault.card, language)
    try:
        wrong = _make_wrong(fault, text, monkeypatch)
    except (FillcardsError, KeyError) as error:
        pytest.skip(f"nothing is made of it: {error}")
    if wrong.pdf == right.pdf:
        pytest.skip("it changes nothing of a card in this language")
    require_refused(wrong, text)


def _make_wrong(fault: Fault, text: str, monkeypatch: pytest.MonkeyPatch) -> finished_cards.MadeCard:
    with monkeypatch.context() as patch:
        fault.seed(patch)
        # Numbers that were written for the right card would stand on the wrong one, and the other way round.
        _list_labels.cache_clear()
        try:
            return finished_cards.make_card(text)
        finally:
            _list_labels.cache_clear()


def require_refused(wrong: finished_cards.MadeCard, text: str) -> None:
    """The gate tells what differs."""
    # With its own code, so that the code alone is never what gives it away.
    with pytest.raises(CardMismatch) as refused:
        require_same_pdf(wrong.pdf, text, Making(code=wrong.code, fingerprint=wrong.fingerprint))
    assert refused.value.differences
