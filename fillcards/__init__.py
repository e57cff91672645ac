"""Fillcards: checked, to-scale cards that say on which line of a syringe to stop.

The public names mirror the stages: ``read_regimen`` (text to regimen, or every problem), ``plan_fills``,
``build_card``, ``make_pdf``. Each loads when it is first asked for, so that ``import fillcards`` costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from fillcards.card.build import build_card as build_card
    from fillcards.pipeline import make_pdf as make_pdf
    from fillcards.plan.fills import plan_fills as plan_fills
    from fillcards.problems import Problem as Problem
    from fillcards.problems import RegimenRefused as RegimenRefused
    from fillcards.regimen.model import Regimen as Regimen
    from fillcards.regimen.schema import read_regimen as read_regimen

__version__ = "0.1.0"

_HOME: Final = {
    "Problem": "fillcards.problems",
    "Regimen": "fillcards.regimen.model",
    "RegimenRefused": "fillcards.problems",
    "build_card": "fillcards.card.build",
    "make_pdf": "fillcards.pipeline",
    "plan_fills": "fillcards.plan.fills",
    "read_regimen": "fillcards.regimen.schema",
}

__all__ = [
    "Problem",
    "Regimen",
    "RegimenRefused",
    "__version__",
    "build_card",
    "make_pdf",
    "plan_fills",
    "read_regimen",
]


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    """The public names."""
    return list(__all__)
