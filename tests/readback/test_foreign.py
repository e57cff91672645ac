"""Cards of unknown origin are read in a process of their own, and say the same."""

from __future__ import annotations

from fractions import Fraction

import pytest
from support.finished_cards import make_card, read_starter

from fillcards.readback.foreign import compare_foreign, measure_foreign
from fillcards.readback.gate import Making
from fillcards.readback.model import UnreadableCard

TEXT = read_starter("two-insulins-twice-a-day")


def test_measure_tells_where_each_barrel_stops() -> None:
    """The stops of the starter, 11 and 34 units at breakfast, 9 and 25 at supper, are read off its barrels."""
    meaning = measure_foreign(make_card(TEXT).pdf)
    edges = [round(barrel.edge or 0, 2) for side in meaning.sides for barrel in side.barrels if barrel.edge]
    assert edges == [11, 34, 9, 25]
    assert all(barrel.last == Fraction(50) for side in meaning.sides for barrel in side.barrels if barrel.edge)


def test_right_card_agrees_with_its_file() -> None:
    """A card against its own file: no difference."""
    made = make_card(TEXT)
    assert compare_foreign(made.pdf, TEXT, Making(code=made.code, fingerprint=made.fingerprint)) == ()


def test_each_differing_sentence_is_named() -> None:
    """Against a file with another dose, what the card says and what it should say are named."""
    made = make_card(TEXT)
    other = TEXT.replace("regular: 11 units", "regular: 12 units")
    told = compare_foreign(made.pdf, other, Making(code=made.code, fingerprint=made.fingerprint))
    assert any('says "' in each and 'should say "' in each and "line 12" in each for each in told)


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7 nothing", b"words"])
def test_what_is_no_card_is_said_to_be_none(data: bytes) -> None:
    """Bytes that are no PDF, or a damaged one."""
    with pytest.raises(UnreadableCard):
        measure_foreign(data)
