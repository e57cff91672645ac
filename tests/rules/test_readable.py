"""Claims about a file that cannot be read whole: the rules are asked of the rest of it in the same run."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from fillcards.options import DEFAULT_OPTIONS
from fillcards.pipeline import read_regimen_file
from fillcards.plan.rules import RULES
from fillcards.problems import Problem, RegimenRefused, Severity
from fillcards.regimen.schema import NO_SYRINGE, read_regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_mixed

EXAMPLES = sorted((Path(__file__).parent / "examples").glob("*/*.yaml"))

FILE = """fillcards: 1
syringe: {scale: U-100, capacity: 0.5 mL, line_every: 1 unit, needle: fixed}
medicines:
  clear: {kind: insulin regular, strength: 100 units/mL}
  cloudy: {kind: insulin isophane, strength: 100 units/mL}
  long: {kind: insulin glargine, strength: 100 units/mL}
fills:
  - {when: before breakfast, draw: {clear: 8.5 units, cloudy: 18 units}}
  - {when: before supper, draw: {clear: 6 units, long: 12 units}}
review: {date: 2026-11-25}
"""


def check(old: str = "", new: str = "") -> tuple[Problem, ...]:
    """Every problem of the file, with one text of it exchanged for another."""
    assert old in FILE
    with pytest.raises(RegimenRefused) as refusal:
        read_regimen_file(FILE.replace(old, new).encode(), DEFAULT_OPTIONS)
    return refusal.value.problems


def list_refused(problems: tuple[Problem, ...]) -> set[tuple[str, str]]:
    """Code and key of what refuses."""
    return {(problem.code, problem.place.key) for problem in problems if problem.severity is Severity.REFUSE}


def write_not_asked(problems: tuple[Problem, ...]) -> str:
    """What the file is told about the parts that were left out."""
    (found,) = [problem.found for problem in problems if problem.code == "FORM-010"]
    return found


def test_a_dose_off_the_lines_shows_beside_a_mistyped_key() -> None:
    """One run tells of the key, of the half unit and of the glargine in a shared syringe."""
    problems = check("review: {date", "review: {dat")
    assert {("LINE-002", "fills[1].draw.clear"), ("MIX-003", "fills[2].draw")} <= list_refused(problems)
    assert {"FORM-003", "FORM-004"} <= {problem.code for problem in problems}
    assert write_not_asked(problems) == "not checked: the rules about review, and cautions about the size of print"


def test_a_blank_date_hides_no_caution() -> None:
    """A card without its date is not made, but the cautions about doses and vials come in the same run."""
    problems = check(
        "long: 12 units}}\nreview: {date: 2026-11-25}", 'long: 12 units}, days: weekdays}\nreview: {date: ""}'
    )
    assert any(problem.severity is Severity.CAUTION and problem.code != "FORM-010" for problem in problems)
    assert not any(problem.code.startswith("CHECK") for problem in problems)
    assert not any("all cautions" in problem.found for problem in problems)


def test_an_unknown_section_hides_nothing() -> None:
    """A section that nobody knows leaves every part that is known to be judged."""
    problems = check("review:", "phones: [1]\nreview:")
    assert write_not_asked(problems) == "not checked: all cautions"
    assert {("LINE-002", "fills[1].draw.clear"), ("MIX-003", "fills[2].draw")} <= list_refused(problems)


def test_nothing_is_said_of_a_fill_with_a_problem() -> None:
    """Its doses are not judged while one of them cannot be read; the other fill is."""
    problems = check("8.5 units", "8,5 units")
    assert not any(code.startswith("LINE") for code, _ in list_refused(problems))
    assert ("MIX-003", "fills[2].draw") in list_refused(problems)
    assert "fills[1]" in write_not_asked(problems)


def test_a_fill_goes_with_its_medicine() -> None:
    """Where the strength cannot be read, no fill that draws the medicine is judged."""
    problems = check("cloudy: {kind: insulin isophane, strength: 100 units/mL}", "cloudy: {kind: insulin isophane}")
    assert {code for code, key in list_refused(problems) if key.startswith("fills[1]")} == set()
    assert ("MIX-003", "fills[2].draw") in list_refused(problems)
    assert write_not_asked(problems) == "not checked: the rules about medicines.cloudy and fills[1], and all cautions"


def test_mixing_is_judged_without_a_syringe() -> None:
    """No line can be looked for, but a mixture is forbidden in any syringe."""
    problems = check("capacity: 0.5 mL", "capacity: 0.7 mL")
    assert ("MIX-003", "fills[2].draw") in list_refused(problems)
    assert not any(code.startswith(("LINE", "SCALE")) for code, _ in list_refused(problems))
    assert "syringe" in write_not_asked(problems)


@pytest.mark.parametrize(("old", "new"), [("fillcards: 1", "fillcards: 2"), ("fills:", "fills")])
def test_where_nothing_can_be_read_for_sure_no_rule_is_asked(old: str, new: str) -> None:
    """In a file of another version a key may mean something else; past a fault of form nothing belongs anywhere."""
    problems = check(old, new)
    assert not any(code.startswith(("LINE", "MIX")) for code, _ in list_refused(problems))
    assert write_not_asked(problems) == "not checked: the rules about doses, lines and medicines, and all cautions"


def test_only_rules_that_say_so_look_at_the_syringe() -> None:
    """Each other refusing rule is asked of every example without a syringe, and falls over none."""
    rules = [rule for rule in RULES if rule.severity is Severity.REFUSE and not rule.needs_syringe]
    regimens = [make_mixed("8 units", "18 units")]
    for path in EXAMPLES:
        try:
            regimens.append(read_regimen(path.read_text(encoding="utf-8")))
        except RegimenRefused:
            continue
    for regimen in regimens:
        for rule in rules:
            assert list(rule.list_problems(replace(regimen, syringe=NO_SYRINGE))) == list(rule.list_problems(regimen))
    assert len(regimens) > 100
