"""No right card is ever refused: starters and random regimens in every form that is no printed page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import count, islice
from pathlib import Path
from typing import Final

import pytest
from campaign.random_regimens import draw_regimen, write_yaml
from support.fifths import keep_a_fifth
from support.other_forms import MAKERS, STARTERS

from fillcards.card.build import build_card
from fillcards.card.model import Card
from fillcards.plan.fills import plan_fills
from fillcards.problems import RegimenRefused
from fillcards.regimen.forms import FormError
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import read_regimen

SEED: Final = 14


def draw_cards() -> Iterator[tuple[str, Regimen, Card]]:
    """Random regimens that no rule refuses, without end."""
    for number in count():
        written = write_yaml(draw_regimen(SEED, number))
        try:
            regimen = read_regimen(written)
            yield written, regimen, build_card(plan_fills(regimen))
        except (RegimenRefused, FormError):
            continue


def pass_all(written: str, regimen: Regimen, card: Card) -> None:
    """Every form of a card before its gate; words too many for braille make no such form."""
    for make in MAKERS.values():
        try:
            make(card, regimen, written)
        except RegimenRefused as refusal:
            if refusal.problems[0].code not in {"BRAILLE-001", "BRAILLE-002", "BRAILLE-003"}:
                raise


@pytest.mark.parametrize("path", keep_a_fifth(STARTERS, every=2))
def test_every_starter_passes_in_every_form(path: Path) -> None:
    """What we give people to start from."""
    written = path.read_text(encoding="utf-8")
    regimen = read_regimen(written)
    pass_all(written, regimen, build_card(plan_fills(regimen)))


@pytest.mark.parametrize("phone", ["0431 555 0123", "(0431) 555 0123", "1 800 555 0142", "020.7946.0123"])
def test_a_number_to_call_passes_in_every_form(phone: str) -> None:
    """With spaces, which liblouis writes otherwise than it reads them; with more points than an amount has."""
    written = STARTERS[0].read_text(encoding="utf-8")
    written = re.sub(r"phone: [0-9-]+", f"phone: {phone}", written)
    assert phone in written
    regimen = read_regimen(written)
    for make in MAKERS.values():
        make(build_card(plan_fills(regimen)), regimen, written)


def test_random_cards_pass_in_every_form() -> None:
    """Five of them each time; ``campaign/random_regimens_run.py`` asks about thousands."""
    for each in islice(draw_cards(), 5):
        pass_all(*each)
