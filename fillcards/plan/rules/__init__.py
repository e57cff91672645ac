"""The safety rules of the trade, in plain tables; every rule checks every regimen, and none stops at the first problem.

``RULES`` is the table of all of them, ``check_rules`` applies them, and ``check_readable`` applies those that make
sense for a file that could not be read completely. They look at a ``Regimen`` only: no files, no clock, no wording of
the card.
"""

from __future__ import annotations

from fillcards.codes import make_problem
from fillcards.plan.rules import (
    barrel_lines,
    days_and_times,
    in_one_syringe,
    review,
    vials_and_labels,
    what_is_drawn,
)
from fillcards.plan.rules.rule import Finding, Rule, write_list
from fillcards.problems import Place, Problem, Severity, sort_problems
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import RegimenUnreadable

RULES: tuple[Rule, ...] = (
    Rule("SCALE-001", barrel_lines.check_insulin_scale, needs_syringe=True),
    Rule("SCALE-002", barrel_lines.check_insulin_on_ml, needs_syringe=True),
    Rule("SCALE-003", barrel_lines.check_units_on_unit_scale, needs_syringe=True),
    Rule("SCALE-004", barrel_lines.caution_line_is_no_dose, needs_syringe=True),
    Rule("SCALE-005", barrel_lines.check_strength_given, needs_syringe=True),
    Rule("SCALE-006", barrel_lines.check_pens_only),
    Rule("SCALE-007", barrel_lines.check_known_strength),
    Rule("SOURCE-001", barrel_lines.caution_unconfirmed_barrel, needs_syringe=True),
    Rule("LINE-001", barrel_lines.check_last_line, needs_syringe=True),
    Rule("LINE-002", barrel_lines.check_printed_lines, needs_syringe=True),
    Rule("LINE-003", barrel_lines.caution_coarse_lines, needs_syringe=True),
    Rule("LINE-004", barrel_lines.caution_larger_barrel, needs_syringe=True),
    Rule("LINE-005", barrel_lines.caution_unusual_numbers, needs_syringe=True),
    Rule("LINE-006", barrel_lines.caution_full_barrel, needs_syringe=True),
    Rule("LINE-007", barrel_lines.check_first_line, needs_syringe=True),
    Rule("DOSE-001", what_is_drawn.check_measurable),
    Rule("DOSE-002", what_is_drawn.check_insulin_units),
    Rule("DOSE-003", what_is_drawn.caution_small_dose),
    Rule("DOSE-004", what_is_drawn.ask_about_slip),
    Rule("DOSE-005", what_is_drawn.ask_about_daily_total),
    Rule("DOSE-006", what_is_drawn.caution_named_hazard),
    Rule("MIX-001", in_one_syringe.check_number),
    Rule("MIX-002", in_one_syringe.check_pair),
    Rule("MIX-003", in_one_syringe.check_never_shared),
    Rule("MIX-004", in_one_syringe.check_strengths),
    Rule("MIX-005", in_one_syringe.check_looks),
    Rule("MIX-006", in_one_syringe.check_twice),
    Rule("MIX-007", in_one_syringe.check_other_pair),
    Rule("MIX-008", in_one_syringe.caution_detachable_needle, needs_syringe=True),
    Rule("MIX-009", in_one_syringe.caution_opened_pair),
    Rule("MIX-010", in_one_syringe.check_clear_moved),
    Rule("MEDICINE-001", what_is_drawn.caution_unknown_insulin),
    Rule("MEDICINE-002", what_is_drawn.caution_not_drawn),
    Rule("ROUTE-001", in_one_syringe.check_one_route_a_fill),
    Rule("ROUTE-002", in_one_syringe.check_one_kind_of_syringe),
    Rule("ROUTE-003", in_one_syringe.check_mouth_scale, needs_syringe=True),
    Rule("ROUTE-004", in_one_syringe.check_mouth_units),
    Rule("ROUTE-005", in_one_syringe.check_mouth_alone),
    Rule("ROUTE-006", in_one_syringe.caution_no_veterinarian),
    Rule("PATIENT-004", days_and_times.check_born),
    Rule("WHEN-001", days_and_times.ask_about_fast_at_night),
    Rule("WHEN-002", days_and_times.check_days_stated),
    Rule("WHEN-003", days_and_times.ask_about_near_times),
    Rule("WHEN-007", days_and_times.ask_about_long_wait),
    Rule("WHEN-008", days_and_times.ask_about_many_times),
    Rule(days_and_times.DAYS_LEFT_OUT, days_and_times.caution_days_left_out),
    Rule("WHEN-005", days_and_times.check_none_on),
    Rule(days_and_times.TOO_OFTEN, days_and_times.ask_about_weekly),
    Rule("VIAL-001", vials_and_labels.check_opened_in_future),
    Rule("VIAL-002", vials_and_labels.check_past_last_date),
    Rule("VIAL-003", vials_and_labels.caution_empty_early),
    Rule("VIAL-004", vials_and_labels.caution_waste),
    Rule("VIAL-005", vials_and_labels.check_vial_holds_dose),
    Rule("VIAL-006", vials_and_labels.caution_long_life),
    Rule("LABEL-006", vials_and_labels.check_mark_is_a_thing),
    Rule("LABEL-001", vials_and_labels.check_name_on_label),
    Rule("LABEL-002", vials_and_labels.check_strength_on_label),
    Rule("LABEL-003", vials_and_labels.check_labels_apart),
    Rule("LABEL-004", vials_and_labels.check_marks_apart),
    Rule("LABEL-005", vials_and_labels.check_twins_marked),
    Rule("WORDS-002", vials_and_labels.check_foreign_words),
    Rule("WORDS-004", vials_and_labels.check_way_of_sentences),
    Rule("CHECK-001", review.caution_unchecked),
    Rule("CHECK-002", review.caution_stale),
    Rule("CHECK-003", review.caution_self_check),
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
    asked = [
        rule
        for rule in RULES
        if rule.severity is Severity.REFUSE or (has_cautions and not rule.code.startswith("CHECK-"))
    ]
    asked = [rule for rule in asked if parts.has_syringe or not rule.needs_syringe]
    found = [problem for rule in asked for problem in rule.list_problems(parts.regimen)]
    cautions = "cautions about the size of print" if has_cautions else "all cautions"
    return sort_problems([*refusal.problems, *found, _describe_not_looked_at(parts.left_out, cautions)])


def _describe_not_looked_at(left_out: tuple[str, ...], cautions: str) -> Problem:
    rules = f"the rules about {write_list(left_out)}, and " if left_out else ""
    return make_problem("FORM-010", Place(), rules=rules, cautions=cautions)
