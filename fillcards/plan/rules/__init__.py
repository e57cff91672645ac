"""The safety rules of the trade, in plain tables; every one is asked of every regimen, none stops at the first fault.

``RULES`` is the table of all of them and ``check_rules`` asks them. They look at a ``Regimen`` only: no files, no
clock, no wording of the card.
"""

from __future__ import annotations

from fillcards.plan.rules import (
    days,
    doses,
    label_words,
    lines,
    mixing,
    notes,
    review,
    routes,
    scale,
    times,
    vial_marks,
    vials,
)
from fillcards.plan.rules.rule import Finding, Rule
from fillcards.problems import Problem, sort_problems
from fillcards.regimen.model import Regimen

RULES: tuple[Rule, ...] = (
    *scale.RULES,
    *lines.RULES,
    *doses.RULES,
    *mixing.RULES,
    *routes.RULES,
    *times.RULES,
    *days.RULES,
    *vials.RULES,
    *label_words.RULES,
    *vial_marks.RULES,
    *notes.RULES,
    *review.RULES,
)

__all__ = ["RULES", "Finding", "Rule", "check_rules"]


def check_rules(regimen: Regimen) -> tuple[Problem, ...]:
    """Every problem and caution the rules find, refusals first, then in the order of the file."""
    return sort_problems([problem for rule in RULES for problem in rule.list_problems(regimen)])
