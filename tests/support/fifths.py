"""A fifth of many cases for every run; the rest for the long one."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from support.plans import STARTERS

if TYPE_CHECKING:
    from _pytest.mark.structures import ParameterSet

EVERY: Final = 5

TURNED: Final = (*STARTERS[2:], *STARTERS[:2])
"""The starters, so turned that two medicines in one syringe are among the fifth of every kind of case."""


def keep_a_fifth(*axes: Sequence[object], every: int = EVERY) -> tuple[ParameterSet, ...]:
    """All combinations of the parameters' values, all but every fifth marked ``campaign``, spread over every axis."""
    return tuple(
        _make_case([axis[place] for axis, place in zip(axes, places, strict=True)], is_kept=sum(places) % every == 0)
        for places in product(*(range(len(axis)) for axis in axes))
    )


def _make_case(values: list[object], *, is_kept: bool) -> ParameterSet:
    name = "-".join(value.stem if isinstance(value, Path) else str(value) for value in values)
    return pytest.param(*values, marks=() if is_kept else pytest.mark.campaign, id=name)
