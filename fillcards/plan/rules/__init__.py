"""The safety rules of the trade, in plain tables; every rule checks every regimen, and none stops at the first problem.

``RULES`` is the table of all of them, ``check_rules`` applies them, and ``check_readable`` applies those that make
sense for a file that could not be read completely. They look at a ``Regimen`` only: no files, no clock, no wording of
the card.
"""

from __future__ import annotations

from fillcards.plan.rules import (
    days,
    doses,
    label_words,
    lines,
    medicines,
    mixing,
    review,
    routes,
    scale,
    times,
    vials,
)
from fillcards.plan.rules.rule import Finding, Rule, write_list
from fillcards.problems import Place, Problem, Severity, sort_problems
from fillcards.regimen.model import Regimen
from fillcards.regimen.readable import RegimenUnreadable

RULES: tuple[Rule, ...] = (
    *scale.RULES,
    *lines.RULES,
    *doses.RULES,
    *mixing.RULES,
    *medicines.RULES,
    *routes.RULES,
    *times.RULES,
    *days.RULES,
    *vials.RULES,
    *label_words.RULES,
    *review.RULES,
)

__all__ = ["RULES", "Finding", "Rule", "check_readable", "check_rules"]


def check_rules(regimen: Regimen) -> tuple[Problem, ...]:
    """Every problem and caution the rules find, refusals first, then in the order of the file."""
    return sort_problems([problem for rule in RULES for problem in rule.list_problems(regimen)])


def check_readable(refusal: RegimenUnreadable) -> tuple[Problem, ...]:
    """The problems of a file's text and keys, what the rules refuse of its other parts, and what was not looked at.

    Cautions are left out unless it is the review alone that could not be read: one about days or doses may be answered
    by such a part. Those about the review are left out, since the card code changes once the file is corrected.
    """
    parts = refusal.parts
    if parts is None:
        return sort_problems(
            [*refusal.problems, _describe_not_looked_at(("doses, lines and medicines",), "all cautions")]
        )
    has_cautions = parts.left_out == ("review",)
    asked = [rule for rule in RULES if rule.severity is Severity.REFUSE or (has_cautions and rule not in review.RULES)]
    asked = [rule for rule in asked if parts.has_syringe or not rule.needs_syringe]
    found = [problem for rule in asked for problem in rule.list_problems(parts.regimen)]
    cautions = "cautions about the size of print" if has_cautions else "all cautions"
    return sort_problems([*refusal.problems, *found, _describe_not_looked_at(parts.left_out, cautions)])


def _describe_not_looked_at(left_out: tuple[str, ...], cautions: str) -> Problem:
    expected = "a file that can be read completely"
    remedy = "correct the problems above and check again: there may be others behind them"
    rules = f"the rules about {write_list(left_out)}, and " if left_out else ""
    found = f"not checked: {rules}{cautions}"
    return Problem("FORM-010", Severity.CAUTION, Place(), found, expected, remedy)
