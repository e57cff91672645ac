"""Cards of random plans, which many tests look at."""

from __future__ import annotations

import pytest
from support.random_cards import RandomCard, make_random_cards


@pytest.fixture(scope="session")
def random_cards() -> tuple[RandomCard, ...]:
    """Made once a run: so many as the profile of Hypothesis tries."""
    return make_random_cards()
