"""A fifth of a long table of cases for every run; the others wait for ``-m campaign``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

import pytest

KEPT_EVERY: Final = 5


def spare(cases: Iterable[tuple[str, tuple[Any, ...]]]) -> tuple[Any, ...]:
    """Cases as parameters, all but every fifth marked as a part of the campaign.

    Args:
        cases: the name of each and its values, cases of one kind side by side, so that each kind keeps some.
    """
    return tuple(
        pytest.param(*values, id=name, marks=[pytest.mark.campaign] if index % KEPT_EVERY else [])
        for index, (name, values) in enumerate(cases)
    )
