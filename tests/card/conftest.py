"""Cards of random plans, which many tests look at."""

from __future__ import annotations

import pytest
from support.made_cards import MadeCard, make_random_cards


@pytest.fixture(scope="session")
def random_cards() -> tuple[MadeCard, ...]:
    """Made once a run: so many as the profile of Hypothesis tries."""
    return make_random_cards()
