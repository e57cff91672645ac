"""Claims about what the rules say: place, what was found, what is expected, what to do; published figures quoted."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import ScaleName
from fillcards.plan.rules import RULES, check_rules
from fillcards.problems import Place, Problem, Severity
from fillcards.regimen.model import Fill, Needle, PrescribedDraw, Regimen
from fillcards.regimen.schema import read_regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import (
    CLEAR,
    dose,
    make_fill,
    make_insulin,
    make_mixed,
    make_other,
    make_regimen,
    make_syringe,
)

EXAMPLES = Path(__file__).parent / "examples"


def find_problem(code: str, regimen: Regimen) -> Problem:
    """The one problem with that code."""
    (problem,) = (problem for problem in check_rules(regimen) if problem.code == code)
    return problem


def list_codes_of(regimen: Regimen) -> set[str]:
    """The codes a regimen gets."""
    return {problem.code for problem in check_rules(regimen)}


def list_all_example_problems() -> list[tuple[str, Problem]]:
    """Every problem of the rules over every example that the reader lets through."""
    paths = sorted(EXAMPLES.glob("*/*.yaml"))
    texts = [(path, path.read_text(encoding="utf-8")) for path in paths if "three" not in path.stem]
    texts = [(path, text) for path, text in texts if path.stem != "fails-no-days"]
    return [(path.stem, problem) for path, text in texts for problem in check_rules(read_regimen(text))]


def test_off_line_dose_names_syringes_that_serve() -> None:
    """37 units on 2-unit lines are refused, and the 0.5 mL barrel is offered first."""
    regimen = make_regimen(make_fill(clear="37 units"), syringe=make_syringe(capacity_ml="1", line_every=2))
    problem = find_problem("LINE-002", regimen)
    assert problem.found == "37 units would be line 37"
    assert problem.expected == "a dose on a printed line; this syringe has one every 2 units"
    assert problem.remedy == (
        "use a syringe that serves every fill: "
        "0.5 mL U-100 with a line every 1 unit or 1 mL U-100 with a line every 1 unit"
    )


def test_off_line_dose_points_at_its_own_line_of_the_file() -> None:
    """The place is that of the dose, not of the file."""
    path = EXAMPLES / "LINE-002" / "fails-half.yaml"
    text = path.read_text(encoding="utf-8")
    problem = find_problem("LINE-002", read_regimen(text))
    line = text.splitlines()[problem.place.line - 1]
    assert line[problem.place.column - 1 :].startswith("8.5 units")


def test_dose_that_no_syringe_has_is_not_rounded() -> None:
    """W5 (MD0904 p 2-34) rounds 0.125 mL to 0.13; a card is refused and nothing near is proposed."""
    regimen = make_regimen(
        make_fill(heparin="5000 units"),
        medicines=(make_other("heparin", "heparin", "40000 units/mL"),),
        syringe=make_syringe(ScaleName.ML, "1", "0.01"),
    )
    problem = find_problem("LINE-002", regimen)
    assert problem.found == "5,000 units would be the 0.125 mL line"
    assert "0.13" not in str(problem.as_dict())
    assert "not rounded" in problem.remedy


def test_no_message_proposes_a_dose_in_a_remedy() -> None:
    """No remedy of any rule, over all examples, names an amount of units, mg, mcg; mL only as a barrel."""
    for example, problem in list_all_example_problems():
        words = problem.remedy.replace("every 0.5 units", "").replace("every 1 unit", "").replace("every 2 units", "")
        words = words.replace("every 5 units", "").replace(problem_strength(words), "")
        for unit in (" units", " unit ", " mg", " mcg"):
            before = words.split(unit)[0].rstrip()
            assert unit not in words or not before[-1:].isdigit(), (example, problem.remedy)


def problem_strength(words: str) -> str:
    """The strength a remedy tells to look for on the vial, if it names one."""
    return words.partition("a vial that says ")[2] or "\0"


def test_every_message_answers_all_four_questions() -> None:
    """Place, found, expected and remedy are there in every message of every example, on one line each."""
    for example, problem in list_all_example_problems():
        for part in (problem.found, problem.expected, problem.remedy):
            assert part.strip(), (example, problem.code)
            assert "\n" not in part, (example, problem.code)
            assert "Fraction" not in part, (example, problem.code)
        assert problem.place.key, (example, problem.code)


def test_past_the_last_line_says_where_it_would_end() -> None:
    """20 and 34 units end past line 50 and fit into 1 mL."""
    problem = find_problem("LINE-001", make_mixed("20 units", "34 units"))
    assert problem.found == "20 units and 34 units, up to line 54"
    assert problem.expected == "at most line 50, the last of this syringe"
    assert problem.remedy.startswith("use a syringe that serves every fill: 1 mL U-100 with a line every 2 units")


def test_syringe_for_one_fill_is_said_to_be_for_one_fill() -> None:
    """Where no syringe serves both fills, the offer says so."""
    regimen = make_regimen(
        make_fill(clear="8.5 units"), make_fill("before supper", clear="44 units"), medicines=(CLEAR,)
    )
    assert "this fill, though not every other: 0.3 mL U-100 with a line every 0.5 units" in (
        find_problem("LINE-002", regimen).remedy
    )


@pytest.mark.parametrize(
    ("dose_text", "quoted"),
    [
        pytest.param("0.5 units", "95 %", id="Casella 1993: 0.5 units, 95 % over"),
        pytest.param("1 unit", "64 % and 23 %", id="Casella 1993 and Gnanalingham 1998: 1 unit, 64 % and 23 % over"),
        pytest.param("1.5 units", "64 % and 0.02 mL 8 %", id="Casella 1993: between 1 unit and 2 units"),
    ],
)
def test_small_dose_quotes_the_published_error(dose_text: str, quoted: str) -> None:
    """The caution carries the measured error of that volume."""
    regimen = make_regimen(make_fill(clear=dose_text), syringe=make_syringe(capacity_ml="0.3", line_every="0.5"))
    problem = find_problem("DOSE-003", regimen)
    assert problem.severity is Severity.CAUTION
    assert quoted in problem.found


def test_two_units_get_no_caution() -> None:
    """2 units are not flagged (8 % in casella-1993)."""
    regimen = make_regimen(make_fill(clear="2 units"), syringe=make_syringe(capacity_ml="0.3"))
    assert "DOSE-003" not in list_codes_of(regimen)


def test_detachable_needle_quotes_the_published_split() -> None:
    """3.3 to 6.5 units too much of the first medicine (dead-space-1986)."""
    problem = find_problem("MIX-008", make_mixed("8 units", "18 units", make_syringe(needle=Needle.DETACHABLE)))
    assert "3.3 to 6.5 units" in problem.expected
    assert "first" in problem.expected


def test_weekly_medicine_is_told_in_mg_ml_and_line_together() -> None:
    """0.25 mg of 2.5 mg/mL is 0.1 mL and line 10; never 10 units (FDA alert of 2024: 5 to 20 times the dose)."""
    weekly = make_other("weekly", "sample weekly medicine", "2.5 mg/mL")
    problem = find_problem("SCALE-004", make_regimen(make_fill(weekly="0.25 mg"), medicines=(weekly,)))
    assert problem.found == "0.25 mg of 2.5 mg/mL is 0.1 mL: line 10 of a U-100 scale"
    assert 'never "units"' in problem.expected
    assert "5 to 20 times" in problem.expected
    assert "2.5 mg/mL" in problem.remedy


def test_lispro_message_tells_how_a_label_may_open_it() -> None:
    """Labels of lispro differ (label-summary-mixing): refused, and the key that opens it is named."""
    medicines = make_insulin("clear", "insulin lispro"), make_insulin("cloudy", "insulin isophane")
    problem = find_problem("MIX-002", make_regimen(make_fill(clear="8 units", cloudy="18 units"), medicines=medicines))
    assert "mixing_checked_by" in problem.remedy


@pytest.mark.parametrize("kind", ["insulin glargine", "insulin detemir", "insulin degludec", "insulin premixed 70/30"])
def test_never_mixed_is_not_opened_by_a_label(kind: str) -> None:
    """Refused even with mixing_checked_by, and the message says so (never-mixed-insulins, premixed-not-mixed)."""
    alone = make_insulin("alone", kind, mixing_checked_by="sample pharmacist")
    partner = make_insulin("partner", "insulin regular" if alone.is_cloudy else "insulin isophane")
    regimen = make_regimen(make_fill(alone="8 units", partner="18 units"), medicines=(alone, partner))
    problem = find_problem("MIX-003", regimen)
    assert problem.severity is Severity.REFUSE
    assert "does not change this" in problem.remedy


def test_opened_mix_is_named_for_the_makers_page() -> None:
    """A pair that rests on a checked label says who checked it."""
    medicines = (
        make_insulin("clear", "insulin lispro", mixing_checked_by="sample pharmacist"),
        make_insulin("cloudy", "insulin isophane"),
    )
    regimen = make_regimen(make_fill(clear="8 units", cloudy="18 units"), medicines=medicines)
    assert "sample pharmacist" in find_problem("MIX-009", regimen).found
    assert "MIX-002" not in list_codes_of(regimen)


def test_slip_is_asked_as_a_question() -> None:
    """A dose ten times another of the same medicine is asked about at the larger one."""
    regimen = make_regimen(make_fill(clear="4 units"), make_fill("before supper", clear="40 units"))
    problem = find_problem("DOSE-004", regimen)
    assert problem.found == "40 units before supper, but 4 units before breakfast"
    assert "?" in problem.remedy


def test_daily_total_names_the_day_it_is_reached() -> None:
    """More than 200 units on one weekday only (fda-u500-syringe-2016)."""
    text = (EXAMPLES / "DOSE-005" / "fails-one-day.yaml").read_text(encoding="utf-8")
    assert find_problem("DOSE-005", read_regimen(text)).found == "210 units of insulin on monday in all"


def test_vial_past_its_days_names_the_day() -> None:
    """28 days from 2026-10-28 end on 2026-11-25 (calendar)."""
    text = (EXAMPLES / "VIAL-002" / "fails-28-days.yaml").read_text(encoding="utf-8")
    assert "must not be used from 2026-11-25" in find_problem("VIAL-002", read_regimen(text)).expected


def test_vial_that_cannot_last_names_the_days() -> None:
    """1,000 units at 50 units a day are 20 days (zaro.info, secondary)."""
    text = (EXAMPLES / "VIAL-003" / "fails-50-a-day.yaml").read_text(encoding="utf-8")
    assert "empty after 20 days" in find_problem("VIAL-003", read_regimen(text)).found


def test_unit_scale_of_another_strength_is_refused() -> None:
    """100 units/mL on a U-40 scale (2.5 times the dose, u40-veterinary); 500 units/mL on U-100."""
    u40 = make_syringe(ScaleName.U_40, "1", 1)
    assert find_problem(
        "SCALE-001", make_regimen(make_fill(clear="10 units"), medicines=(CLEAR,), syringe=u40)
    ).severity is (Severity.REFUSE)
    strong = make_insulin("strong", "insulin regular concentrated", "500 units/mL")
    assert "SCALE-001" in list_codes_of(make_regimen(make_fill(strong="200 units"), medicines=(strong,)))


def test_ordinary_mix_is_refused_by_nothing() -> None:
    """Regular, aspart and glulisine may share with isophane (label-summary-mixing)."""
    for kind in ("insulin regular", "insulin aspart", "insulin glulisine"):
        medicines = make_insulin("clear", kind), make_insulin("cloudy", "insulin isophane")
        problems = check_rules(make_regimen(make_fill(clear="8 units", cloudy="18 units"), medicines=medicines))
        assert not [problem for problem in problems if problem.severity is Severity.REFUSE]


def test_three_medicines_are_refused_without_the_reader() -> None:
    """A regimen that did not come from a file is held to two medicines as well."""
    regimen = make_regimen(
        make_fill(clear="8 units", cloudy="10 units", long="4 units"),
        medicines=(CLEAR, make_insulin("cloudy", "insulin isophane"), make_insulin("long", "insulin glargine")),
    )
    assert "MIX-001" in list_codes_of(regimen)


def test_empty_fill_is_refused() -> None:
    """A fill without a medicine is no fill."""
    assert "MIX-001" in list_codes_of(make_regimen(Fill("before supper", ())))


def test_days_are_asked_for_without_the_reader() -> None:
    """A regimen that did not come from a file must state the days of other medicines as well."""
    weekly = make_other("weekly", "sample weekly medicine", "2.5 mg/mL")
    regimen = make_regimen(replace(make_fill(weekly="0.25 mg"), days=None), medicines=(weekly,))
    assert find_problem("WHEN-002", regimen).severity is Severity.REFUSE


def test_one_medicine_twice_under_one_key_is_found() -> None:
    """The same key twice in a fill, which a file cannot say, is found all the same."""
    fill = Fill("before supper", (PrescribedDraw("clear", dose("8 units")), PrescribedDraw("clear", dose("4 units"))))
    assert "MIX-006" in list_codes_of(make_regimen(fill))


def test_problems_come_sorted_refusals_first() -> None:
    """Refusals before cautions, each in the order of the file."""
    regimen = make_mixed("8.5 units", "60 units", make_syringe(needle=Needle.DETACHABLE))
    severities = [problem.severity for problem in check_rules(regimen)]
    assert severities == sorted(severities, key=lambda severity: severity is Severity.CAUTION)
    assert {Severity.REFUSE, Severity.CAUTION} == set(severities)


def _spoil(regimen: Regimen) -> Regimen:
    medicine = replace(regimen.medicines[0], strength=None)
    return replace(regimen, medicines=(medicine, *regimen.medicines[1:]))


@pytest.mark.parametrize("spoil", [_spoil, lambda regimen: replace(regimen, fills=())], ids=["no strength", "no fills"])
def test_rules_survive_each_other(spoil: Callable[[Regimen], Regimen]) -> None:
    """Every rule can be asked of a regimen that breaks others; none stops the rest."""
    regimen = spoil(make_mixed("8 units", "18 units"))
    for rule in RULES:
        assert all(problem.code == rule.code for problem in rule.list_problems(regimen))


def test_place_of_the_strength_is_where_the_strength_stands() -> None:
    """A rule about one key points at that key."""
    place = Place(7, 15, "medicines.clear.strength")
    medicine = make_insulin("clear", "insulin lispro", "200 units/mL", places={"strength": place})
    problem = find_problem("SCALE-006", make_regimen(make_fill(clear="8 units"), medicines=(medicine,)))
    assert problem.place == place


def test_caution_points_at_its_own_words_in_the_file() -> None:
    """An editor that jumps to the place lands on the needle, and not at the top of the file."""
    text = (EXAMPLES / "MIX-008" / "fails-detachable.yaml").read_text(encoding="utf-8")
    place = find_problem("MIX-008", read_regimen(text)).place
    assert text.splitlines()[place.line - 1][place.column - 1 :].startswith("detachable")


def test_volume_not_units_decides_what_is_small() -> None:
    """1 unit of U-40 is 0.025 mL and not small; 5 units of U-500 are 0.01 mL and are."""
    u40 = make_regimen(
        make_fill(clear="1 unit"),
        medicines=(make_insulin("clear", "insulin regular", "40 units/mL"),),
        syringe=make_syringe(ScaleName.U_40, "0.5", 1),
    )
    u500 = make_regimen(
        make_fill(strong="5 units"),
        medicines=(make_insulin("strong", "insulin regular concentrated", "500 units/mL", vial_ml=Fraction(20)),),
        syringe=make_syringe(ScaleName.U_500, "0.5", 5),
    )
    assert "DOSE-003" not in list_codes_of(u40)
    assert "DOSE-003" in list_codes_of(u500)
