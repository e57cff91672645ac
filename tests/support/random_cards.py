"""Random plans with their cards and words, made once for all tests that look at them."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from hypothesis import given
from support.card_text import list_given_away_says, list_says
from support.plans import make_plans

from fillcards.card.build import build_card
from fillcards.card.model import Card
from fillcards.plan.model import Plan
from fillcards.wording.messages import Say, render


class RandomCard(NamedTuple):
    """A plan and its card."""

    plan: Plan
    card: Card

    def write_all(self) -> tuple[str, ...]:
        """The words of all pages."""
        return tuple(map(_write, list_says(self.card)))

    def write_given_away(self) -> tuple[str, ...]:
        """The words of the patient's pages."""
        return tuple(map(_write, list_given_away_says(self.card)))


def make_random_cards() -> tuple[RandomCard, ...]:
    """So many cards as the profile of Hypothesis tries, the same on every run."""
    made: list[RandomCard] = []

    @given(make_plans())
    def collect(plan: Plan) -> None:
        made.append(RandomCard(plan, build_card(plan)))

    collect()
    assert made
    return tuple(made)


@cache
def _write(message: Say) -> str:
    """The words of a message; most stand on many cards."""
    return render(message).text
