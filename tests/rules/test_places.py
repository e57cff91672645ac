"""Claims about where a finding points: at the very key of the file that has to be looked at."""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import ScaleName
from fillcards.plan.rules import check_rules
from fillcards.problems import Place, Problem
from fillcards.regimen.model import Fill, Medicine, Review
from fillcards.regimen.schema import read_regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, make_fill, make_insulin, make_mixed, make_other, make_regimen, make_syringe

EXAMPLES = Path(__file__).parent / "examples"

# The key an editor should jump to, by the words of the message.
KEYS = {
    "CHECK-002": "checked_code",
    "CHECK-003": "checked_by",
    "DOSE-006": "warning",
    "MIX-002": "draw",
    "MIX-003": "draw",
    "MIX-004": "draw",
    "MIX-005": "draw",
    "MIX-006": "draw",
    "MIX-007": "draw",
    "MIX-009": "draw",
    "MIX-010": "motion",
    "ROUTE-001": "draw",
    "ROUTE-002": "route",
    "ROUTE-003": "route",
    "ROUTE-004": "strength",
    "ROUTE-005": "draw",
    "SCALE-001": "strength",
    "SCALE-003": "strength",
    "SCALE-006": "strength",
    "SCALE-007": "strength",
    "VIAL-001": "opened",
    "VIAL-003": "vial",
    "VIAL-004": "vial",
    "VIAL-006": "use_within",
    "WHEN-001": "when",
    "WHEN-003": "when",
}
CASES = [(code, path) for code in KEYS for path in sorted((EXAMPLES / code).glob("fails-*.yaml"))]


def list_problems(code: str, path: Path) -> list[Problem]:
    """What that rule says about an example."""
    regimen = read_regimen(path.read_text(encoding="utf-8"))
    return [problem for problem in check_rules(regimen) if problem.code == code]


@pytest.mark.parametrize(("code", "path"), CASES, ids=lambda value: value if isinstance(value, str) else value.stem)
def test_finding_points_at_its_key(code: str, path: Path) -> None:
    """The place is that of the key, not of the part of the file it belongs to."""
    assert {problem.place.key.rpartition(".")[2] for problem in list_problems(code, path)} == {KEYS[code]}


@pytest.mark.parametrize(
    ("example", "key"), [("fails-28-days", "opened"), ("fails-leap-year", "opened"), ("fails-expired", "expires")]
)
def test_a_past_vial_points_at_the_date_that_ended_it(example: str, key: str) -> None:
    """The opening date, or the printed expiry, whichever came first."""
    (problem,) = list_problems("VIAL-002", EXAMPLES / "VIAL-002" / f"{example}.yaml")
    assert problem.place.key.endswith(f".{key}")


def test_too_many_medicines_point_at_the_draws() -> None:
    """A fill that did not come through the reader has its place too."""
    fill = Fill("before supper", (), places={"draw": Place(9, 3, "fills[1].draw")}, place=Place(8, 3, "fills[1]"))
    (problem,) = [problem for problem in check_rules(make_regimen(fill)) if problem.code == "MIX-001"]
    assert problem.place == Place(9, 3, "fills[1].draw")
    assert problem.found == "0 medicines in one syringe"


def test_a_key_left_out_points_at_its_owner() -> None:
    """Without a strength in the file the medicine itself is pointed at."""
    medicine = replace(CLEAR, strength=None, place=Place(12, 3, "medicines.clear"))
    regimen = make_regimen(make_fill(clear="8 units"), medicines=(medicine,))
    (problem,) = [problem for problem in check_rules(regimen) if problem.code == "SCALE-007"]
    assert problem.place == Place(12, 3, "medicines.clear")


def test_an_unchecked_card_points_at_the_code_or_at_the_review() -> None:
    """Where ``checked_code`` stands empty, else where the review begins."""
    review = Review(place=Place(20, 1, "review"))
    places = {"checked_code": Place(22, 17, "review.checked_code")}
    found = []
    for written in (review, replace(review, places=places)):
        problems = check_rules(replace(make_mixed("8 units", "18 units"), review=written))
        found += [problem.place for problem in problems if problem.code == "CHECK-001"]
    assert found == [Place(20, 1, "review"), Place(22, 17, "review.checked_code")]


WEEKLY = make_other("weekly", "sample medicine", "2.5 mg/mL")


@pytest.mark.parametrize(
    ("medicine", "amount", "found", "strength_word"),
    [
        (WEEKLY, "8 units", "8 units from a vial of 2.5 mg/mL", "units/mL"),
        (
            make_other("weekly", "heparin", "5000 units/mL"),
            "2 mg",
            "2 mg from a vial of 5,000 units/mL",
            "mg/mL or mcg/mL",
        ),
        (
            make_other("weekly", "heparin", "5000 units/mL"),
            "2 mcg",
            "2 mcg from a vial of 5,000 units/mL",
            "mg/mL or mcg/mL",
        ),
        (replace(WEEKLY, strength=None), "2 mg", "2 mg from a vial without a strength", "mg/mL or mcg/mL"),
    ],
)
def test_a_dose_its_strength_cannot_measure_is_told_with_both(
    medicine: Medicine, amount: str, found: str, strength_word: str
) -> None:
    """The message says what dose and strength count, and what a fitting strength would count."""
    syringe = make_syringe(ScaleName.ML, "1", "0.01")
    regimen = make_regimen(make_fill(weekly=amount), medicines=(medicine,), syringe=syringe)
    (problem,) = [problem for problem in check_rules(regimen) if problem.code == "DOSE-001"]
    assert problem.found == found
    assert problem.expected.endswith(f" in {strength_word}")


def test_the_cure_for_a_vial_too_small_names_its_size() -> None:
    """20 units from a vial of 0.1 mL: dose, medicine and vial stand in the message."""
    medicine = make_insulin("clear", "insulin regular", vial_ml=Fraction("0.1"))
    problems = check_rules(make_regimen(make_fill(clear="20 units"), medicines=(medicine,)))
    (problem,) = [problem for problem in problems if problem.code == "VIAL-005"]
    assert problem.found == "20 units of insulin regular from a vial of 0.1 mL"
