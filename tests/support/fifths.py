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
        pytest.param(
            *(axis[place] for axis, place in zip(axes, places, strict=True)),
            marks=() if sum(places) % every == 0 else pytest.mark.campaign,
            id="-".join(_name(axis[place]) for axis, place in zip(axes, places, strict=True)),
        )
        for places in product(*(range(len(axis)) for axis in axes))
    )


def _name(value: object) -> str:
    """The same in every process that runs the tests."""
    if isinstance(value, Path):
        return value.stem
    if hasattr(value, "name"):
        return str(value.name)
    return " ".join(map(_name, value)) if isinstance(value, tuple) else str(value)
