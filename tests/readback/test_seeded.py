"""Faults in the maker's code are refused by the gate alone, whatever else would notice them."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import pytest
from readback.seeded import FAULTS, Fault
from support import finished_cards
from support.fifths import keep_a_fifth

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
def _make_right(card: str) -> tuple[str, finished_cards.MadeCard]:
    text = finished_cards.read_starter(STARTERS[card], "24" if card.startswith("large") else "18")
    return text, finished_cards.make_card(text)


@pytest.mark.parametrize("fault", keep_a_fifth(FAULTS))
def test_fault_is_refused(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    """The seeded fault changes the file, and the gate says so."""
    text, right = _make_right(fault.card)
    fault.seed(monkeypatch)
    wrong = finished_cards.make_card(text)
    assert wrong.pdf != right.pdf
    monkeypatch.undo()
    # With its own code, so that the code alone is never what gives it away.
    with pytest.raises(CardMismatch) as refused:
        require_same_pdf(wrong.pdf, text, Making(code=wrong.code, fingerprint=wrong.fingerprint))
    assert refused.value.differences
