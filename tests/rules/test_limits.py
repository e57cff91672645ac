"""Claims about where each rule begins: the last regimen it lets through and the first it speaks about."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue.model import Route, ScaleName
from fillcards.plan.rules import check_rules
from fillcards.plan.rules.in_one_syringe import Sharing, is_never_shared, judge_sharing, names_partner
from fillcards.plan.rules.vials_and_labels import find_last_date
from fillcards.problems import Place, Problem
from fillcards.regimen.model import (
    Contact,
    Medicine,
    Needle,
    Patient,
    PatientKind,
    PrescribedDraw,
    Regimen,
    Review,
    Weekday,
)

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import (
    CLEAR,
    CLOUDY,
    make_fill,
    make_insulin,
    make_mixed,
    make_other,
    make_regimen,
    make_syringe,
    strength,
)

ML_1 = make_syringe(ScaleName.ML, "1", "0.01")
CONCENTRATED = make_insulin("strong", "insulin regular concentrated", "500 units/mL", vial_ml=Fraction(20))


def find_problems(code: str, regimen: Regimen) -> list[Problem]:
    """What that rule says about a regimen."""
    return [problem for problem in check_rules(regimen) if problem.code == code]


def is_found(code: str, regimen: Regimen) -> bool:
    """Whether that rule speaks."""
    return bool(find_problems(code, regimen))


def make_single(units: str, syringe_line: str = "1", capacity_ml: str = "0.5") -> Regimen:
    """Insulin regular alone, before breakfast."""
    return make_regimen(make_fill(clear=units), syringe=make_syringe(capacity_ml=capacity_ml, line_every=syringe_line))


# --- doses


@pytest.mark.parametrize(
    ("units", "quoted"),
    [
        ("0.5 units", "0.005 mL drew 95 %"),
        ("0.5001 units", "0.01 mL came out 64 % and 23 %"),
        ("1 unit", "0.01 mL came out 64 % and 23 %"),
        ("1.0001 units", "0.02 mL 8 %"),
        ("1.9999 units", "0.02 mL 8 %"),
    ],
)
def test_small_dose_is_told_the_error_of_the_next_published_volume(units: str, quoted: str) -> None:
    """Published at 0.005, 0.01 and 0.02 mL (Casella 1993, Gnanalingham 1998); between two, the larger one counts."""
    (problem,) = find_problems("DOSE-003", make_single(units))
    assert quoted in problem.found


@pytest.mark.parametrize(("large", "is_asked"), [("39 units", False), ("40 units", True), ("41 units", True)])
def test_slip_is_asked_about_from_eight_times_on(large: str, is_asked: bool) -> None:
    """A lost point gives 10 times, twice a day 5 to 20: 8 times is already asked about."""
    regimen = make_regimen(make_fill(clear="5 units"), make_fill("before supper", clear=large))
    assert is_found("DOSE-004", regimen) is is_asked


def test_slip_is_seen_whichever_dose_comes_first() -> None:
    """The larger dose is named first and pointed at, also where it stands first in the file."""
    regimen = make_regimen(make_fill(clear="40 units"), make_fill("before supper", clear="4 units"))
    (problem,) = find_problems("DOSE-004", regimen)
    assert problem.found == "40 units before breakfast, but 4 units before supper"


def test_one_dose_is_no_slip() -> None:
    """One dose of each medicine has nothing to be compared with."""
    assert not is_found("DOSE-004", make_mixed("2 units", "40 units"))


def make_daily(*doses: tuple[str, tuple[Weekday, ...] | None]) -> Regimen:
    """Insulin regular, each dose on its days."""
    fills = (replace(make_fill(f"0{n}:00", clear=amount), days=days) for n, (amount, days) in enumerate(doses, 1))
    return make_regimen(*fills, syringe=make_syringe(capacity_ml="1"))


@pytest.mark.parametrize(("last", "is_asked"), [("50 units", False), ("51 units", True)])
def test_daily_total_is_asked_about_above_200(last: str, is_asked: bool) -> None:
    """Insulin of 500 units/mL is for more than 200 units a day (regulator, 2016): 200 itself is not."""
    regimen = make_daily(("50 units", None), ("50 units", None), ("50 units", None), (last, None))
    assert is_found("DOSE-005", regimen) is is_asked


def test_daily_total_of_every_day_alike_is_a_day() -> None:
    """Where every day takes the same no day is named."""
    (problem,) = find_problems("DOSE-005", make_daily(*[("70 units", None)] * 3))
    assert problem.found == "210 units of insulin a day in all"


def test_daily_total_names_the_day_that_takes_most() -> None:
    """Monday takes 150, Wednesday 250: Wednesday is named with its own total."""
    days = (Weekday.MONDAY, Weekday.WEDNESDAY), (Weekday.MONDAY, Weekday.WEDNESDAY), (Weekday.WEDNESDAY,)
    (problem,) = find_problems(
        "DOSE-005", make_daily(("75 units", days[0]), ("75 units", days[1]), ("100 units", days[2]))
    )
    assert problem.found == "250 units of insulin on wednesday in all"


def test_daily_total_points_at_the_first_fill() -> None:
    """The total belongs to no one fill; the fills begin there."""
    first, *others = make_daily(*[("70 units", None)] * 3).fills
    regimen = make_regimen(
        replace(first, place=Place(30, 5, "fills[1]")), *others, syringe=make_syringe(capacity_ml="1")
    )
    (problem,) = find_problems("DOSE-005", regimen)
    assert problem.place == Place(30, 5, "fills[1]")


@pytest.mark.parametrize(("of", "is_asked"), [("499 units/mL", True), ("500 units/mL", False), ("501 units/mL", False)])
def test_concentrated_insulin_begins_at_500_units_per_ml(of: str, is_asked: bool) -> None:
    """Only the insulin made for large totals is left out (regulator, 2016)."""
    medicine = make_insulin("clear", "insulin regular", of)
    assert is_found("DOSE-005", make_regimen(make_fill(clear="250 units"), medicines=(medicine,))) is is_asked


def test_daily_total_leaves_out_what_is_no_unit_of_ordinary_insulin() -> None:
    """500 units/mL is the very insulin meant for such totals; units of heparin, and mL, are other things."""
    syringe = make_syringe(ScaleName.U_500, line_every=5)
    strong = make_regimen(make_fill(strong="250 units"), medicines=(CONCENTRATED,), syringe=syringe)
    thinner = make_other("thinner", "heparin", "100 units/mL")
    other = make_regimen(
        make_fill(thinner="250 units"), medicines=(thinner,), syringe=make_syringe(ScaleName.ML, "3", "0.1")
    )
    in_ml = make_regimen(make_fill(clear="250 mL"))
    assert not any(is_found("DOSE-005", regimen) for regimen in (strong, other, in_ml))


# --- lines


@pytest.mark.parametrize(("units", "is_found_coarse"), [("50 units", False), ("52 units", True)])
def test_coarse_lines_matter_above_half_the_barrel(units: str, is_found_coarse: bool) -> None:
    """A dose of half the barrel is not yet many lines to count (common practice, no source)."""
    assert is_found("LINE-003", make_single(units, "2", "1")) is is_found_coarse


def test_coarse_lines_name_the_finer_barrel_of_that_size_only() -> None:
    """1 mL with a line every unit is the one finer barrel of 1 mL (ISO 8537:2007, scales)."""
    (problem,) = find_problems("LINE-003", make_single("52 units", "2", "1"))
    assert problem.expected.endswith(": 1 mL U-100 with a line every 1 unit")


def test_lines_as_fine_as_they_come_are_not_coarse() -> None:
    """5-unit lines are the only ones of a U-500 barrel (regulator, 2016): nothing finer exists."""
    syringe = make_syringe(ScaleName.U_500, line_every=5)
    strong = make_regimen(make_fill(strong="200 units"), medicines=(CONCENTRATED,), syringe=syringe)
    assert not is_found("LINE-003", strong)


def test_one_unit_lines_are_not_coarse_beside_half_units() -> None:
    """Half-unit lines did not help in the study of 2004: whole ones are fine enough."""
    assert not is_found("LINE-003", make_single("28 units", capacity_ml="0.3"))


def test_the_smallest_barrel_that_serves_is_the_one_named() -> None:
    """25 units in 1 mL: 0.3 mL with whole units is named, not 0.5 mL (teaching pages on U-100 syringes)."""
    (problem,) = find_problems("LINE-004", make_single("25 units", capacity_ml="1"))
    assert problem.expected.endswith(": 0.3 mL U-100 with a line every 1 unit")


@pytest.mark.parametrize(("units", "named"), [("25 units", "0.3 mL"), ("26 units", "0.5 mL"), ("45 units", "0.5 mL")])
def test_a_smaller_barrel_leaves_a_numbered_step(units: str, named: str) -> None:
    """Numbers stand every 5 units on 0.3 and 0.5 mL (ISO 8537:2007, 9.2); one step stays free above the total."""
    (problem,) = find_problems("LINE-004", make_single(units, capacity_ml="1"))
    assert f": {named} U-100" in problem.expected
    assert not is_found("LINE-004", make_single("46 units", capacity_ml="1"))


def test_a_barrel_with_room_is_offered_before_a_smaller_full_one() -> None:
    """29 units are between lines of 2 units: 0.5 mL is offered first, though 0.3 mL has the line too."""
    regimen = replace(make_single("29 units"), syringe=make_syringe(capacity_ml="1", line_every=2))
    (problem,) = find_problems("LINE-002", regimen)
    assert "serves every fill: 0.5 mL U-100 with a line every 1 unit" in problem.remedy


def test_a_smaller_barrel_of_another_scale_is_not_offered() -> None:
    """0.25 mg of 2.5 mg/mL in 1 mL: a U-100 barrel is no smaller mL barrel."""
    weekly = make_other("weekly", "sample medicine", "2.5 mg/mL")
    regimen = make_regimen(make_fill(weekly="0.25 mg"), medicines=(weekly,), syringe=ML_1)
    assert not is_found("LINE-004", regimen)


def test_three_syringes_are_offered_at_most() -> None:
    """0.25 mL lies between two lines of 2 units; of the five barrels that have the line three are named."""
    weekly = make_other("weekly", "sample medicine", "2.5 mg/mL")
    syringe = make_syringe(capacity_ml="1", line_every=2)
    (problem,) = find_problems(
        "LINE-002", make_regimen(make_fill(weekly="0.625 mg"), medicines=(weekly,), syringe=syringe)
    )
    assert problem.remedy == (
        "use a syringe that serves every fill: 0.3 mL U-100 with a line every 1 unit, "
        "0.3 mL U-100 with a line every 0.5 units or 0.5 mL U-100 with a line every 1 unit"
    )


def test_spacing_is_told_in_the_scales_own_unit() -> None:
    """One unit, half units, and mL on an mL scale."""
    whole = find_problems("LINE-002", make_single("8.5 units"))
    halves = find_problems("LINE-002", make_single("8.25 units", "0.5", "0.3"))
    oil = make_other("oil", "sample medicine", None)
    in_ml = find_problems(
        "LINE-002",
        make_regimen(make_fill(oil="1.5 mL"), medicines=(oil,), syringe=make_syringe(ScaleName.ML, "20", "1")),
    )
    assert [problem.expected.partition("one every ")[2] for (problem,) in (whole, halves, in_ml)] == [
        "1 unit",
        "0.5 units",
        "1 mL",
    ]


# --- mixing


@pytest.mark.parametrize(
    ("one", "other", "sharing"),
    [
        (CLEAR, CLOUDY, Sharing.BY_EVERY_LABEL),
        (make_insulin("a", "insulin lispro"), CLOUDY, Sharing.NOT_CHECKED),
        (make_insulin("a", "insulin lispro", mixing_checked_by="P."), CLOUDY, Sharing.BY_CHECKED_LABEL),
        (make_insulin("a", "insulin lispro"), replace(CLOUDY, mixing_checked_by="P."), Sharing.BY_CHECKED_LABEL),
        (CLEAR, make_insulin("b", "insulin aspart"), Sharing.NOT_TOGETHER),
        (CLEAR, make_insulin("b", "insulin lispro", mixing_checked_by="P."), Sharing.NOT_TOGETHER),
        (CLEAR, make_insulin("b", "insulin detemir"), Sharing.NEVER),
        # A strength that the row does not have is SCALE-007's, and MIX-004's where the two differ.
        (make_insulin("a", "insulin regular", "500 units/mL"), CLOUDY, Sharing.BY_EVERY_LABEL),
        (make_insulin("a", "insulin regular concentrated", "500 units/mL"), CLOUDY, Sharing.NEVER),
        (make_insulin("a", "insulin regular", "499 units/mL"), CLOUDY, Sharing.BY_EVERY_LABEL),
        (make_insulin("a", "insulin regular", "500 mg/mL"), CLOUDY, Sharing.BY_EVERY_LABEL),
        (replace(CLEAR, strength=None), CLOUDY, Sharing.BY_EVERY_LABEL),
        (CLEAR, replace(CLEAR, key="again"), None),
        (CLEAR, make_other("b", "sample medicine", "100 units/mL"), None),
        (make_other("a", "sample medicine", "100 units/mL"), CLOUDY, None),
    ],
)
def test_what_holds_for_a_pair(one: Medicine, other: Medicine, sharing: Sharing | None) -> None:
    """By the strictest published label, whichever of the two comes first (label-summary-mixing, u500-label)."""
    assert judge_sharing(one, other) is sharing
    assert judge_sharing(other, one) is sharing


@pytest.mark.parametrize(
    ("says", "sharing"),
    [
        ({"shares_with": ("insulin lispro",)}, Sharing.NOT_TOGETHER),
        ({"shares_with": (), "may_be_opened_to": ("insulin isophane",)}, Sharing.NOT_CHECKED),
        ({"shares_with": (), "may_be_opened_to": ("insulin lispro",)}, Sharing.NOT_TOGETHER),
    ],
)
def test_both_rows_of_a_pair_must_allow_it(says: dict[str, tuple[str, ...]], sharing: Sharing) -> None:
    """Isophane's row allows insulin regular; a row of regular that does not, or only after a check, outweighs it."""
    assert CLEAR.row is not None
    clear = replace(CLEAR, row=CLEAR.row._replace(**says))  # type: ignore[arg-type]  # the cases name the fields
    assert judge_sharing(clear, CLOUDY) is sharing
    assert judge_sharing(CLOUDY, clear) is sharing


def test_a_key_that_reads_like_an_insulin_opens_nothing() -> None:
    """A user may call any vial "insulin isophane"; what the catalogue lets share is the kind, never the key."""
    other = make_other("insulin isophane", "sample medicine", "100 units/mL", shares_with=("clear",))
    assert not names_partner(CLEAR, other)
    assert names_partner(other, CLEAR)


def test_of_a_medicine_outside_the_catalogue_nothing_is_known() -> None:
    """Whether it may share is for its label and another rule, at any strength."""
    assert is_never_shared(make_other("b", "sample medicine", "500 units/mL")) is False
    assert is_never_shared(make_insulin("a", "insulin glargine")) is True


def make_pair(one: Medicine, other: Medicine) -> Regimen:
    """Both in one syringe."""
    return make_regimen(make_fill(**{one.key: "8 units", other.key: "18 units"}), medicines=(one, other))


def test_only_a_pair_that_a_label_may_open_is_told_how() -> None:
    """Two that no label allows together are not helped by a check (label-summary-mixing)."""
    (open_to_check,) = find_problems("MIX-002", make_pair(make_insulin("a", "insulin lispro"), CLOUDY))
    (closed,) = find_problems("MIX-002", make_pair(CLEAR, make_insulin("b", "insulin aspart")))
    assert "mixing_checked_by" in open_to_check.remedy
    assert "mixing_checked_by" not in closed.remedy


def test_two_that_never_share_are_both_named() -> None:
    """Each of them has a reason of its own."""
    problems = find_problems(
        "MIX-003", make_pair(make_insulin("a", "insulin glargine"), make_insulin("b", "insulin detemir"))
    )
    assert {problem.found for problem in problems} == {
        "insulin glargine with insulin detemir in one syringe",
        "insulin detemir with insulin glargine in one syringe",
    }


@pytest.mark.parametrize(
    ("shares", "silent"),
    [
        (((), ()), "sample a and sample b"),
        ((("b",), ()), "sample b"),
        (((), ("a",)), "sample a"),
        ((("b",), ("a",)), None),
        ((("a",), ("b",)), "sample a and sample b"),
    ],
)
def test_others_share_only_if_each_names_the_other(shares: tuple[tuple[str, ...], ...], silent: str | None) -> None:
    """Who does not name the partner is named in the message (may_share_with)."""
    one, other = (
        make_other(key, f"sample {key}", "2.5 mg/mL", shares_with=names)
        for key, names in zip("ab", shares, strict=True)
    )
    problems = find_problems("MIX-007", make_pair(one, other))
    assert [problem.found.partition("not allowed by ")[2] for problem in problems] == ([silent] if silent else [])


def test_an_insulin_shares_with_no_other_medicine() -> None:
    """Even where the other one names it: the catalogue knows nothing of the pair."""
    other = make_other("other", "sample medicine", "100 units/mL", shares_with=("clear",))
    (problem,) = find_problems("MIX-007", make_pair(CLEAR, other))
    assert problem.found.endswith("not allowed by insulin regular")


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [
        (
            CLEAR,
            replace(CLOUDY, strength=strength("40 units/mL")),
            "of 100 units/mL with insulin isophane of 40 units/mL",
        ),
        (replace(CLEAR, strength=None), CLOUDY, "of no stated strength with insulin isophane of 100 units/mL"),
        (CLEAR, replace(CLOUDY, strength=None), "of 100 units/mL with insulin isophane of no stated strength"),
    ],
)
def test_two_strengths_are_both_named(one: Medicine, other: Medicine, found: str) -> None:
    """A missing strength is another one than any that is stated."""
    (problem,) = find_problems("MIX-004", make_pair(one, other))
    assert problem.found == f"insulin regular {found}"


@pytest.mark.parametrize(("look", "word"), [("clear", "clear"), ("cloudy", "cloudy")])
def test_two_of_one_look_are_named_by_it(look: str, word: str) -> None:
    """Two clear or two cloudy medicines have no order to draw in."""
    one, other = (make_other(key, f"sample {key}", "2.5 mg/mL", look=look) for key in "ab")
    (problem,) = find_problems("MIX-005", make_pair(one, other))
    assert problem.found == f"two {word} medicines in one syringe: sample a and sample b"


def test_one_medicine_twice_is_no_question_of_looks() -> None:
    """It is refused as one medicine twice, under the same name in any spelling, and not as two of a look."""
    again = replace(CLEAR, key="again", name="Insulin Regular")
    for regimen in (make_pair(CLEAR, again), make_pair(again, CLEAR)):
        assert is_found("MIX-006", regimen)
        assert not is_found("MIX-005", regimen)


def test_a_detachable_needle_matters_where_one_fill_is_mixed() -> None:
    """One mixed fill among single ones is enough; without any the needle moves nothing (Diabetes Care 1986;9:23)."""
    syringe = make_syringe(needle=Needle.DETACHABLE)
    single, mixed = make_fill(clear="8 units"), make_fill("before supper", clear="6 units", cloudy="12 units")
    assert is_found("MIX-008", make_regimen(single, mixed, syringe=syringe))
    assert not is_found("MIX-008", make_regimen(single, syringe=syringe))


def test_everybody_who_checked_a_label_is_named_once() -> None:
    """Two who checked are named in order; one who checked both labels is named once."""
    lispro = make_insulin("a", "insulin lispro")
    found = [
        find_problems(
            "MIX-009", make_pair(replace(lispro, mixing_checked_by=one), replace(CLOUDY, mixing_checked_by=two))
        )
        for one, two in (("B.", "A."), ("A.", "A."), (None, "A."))
    ]
    assert [problem.found.partition("checked by ")[2] for (problem,) in found] == ["A. and B.", "A.", "A."]


# --- routes

ORAL = make_other("a", "sample syrup", "20 mg/mL", route=Route.BY_MOUTH)
DEEP = make_other("b", "sample vitamin", "2.5 mg/mL", route=Route.INTO_MUSCLE)


def test_by_mouth_and_injected_medicines_are_both_named() -> None:
    """One syringe for both is refused at the medicine by mouth, with the first injected one beside it."""
    regimen = make_regimen(
        make_fill(a="20 mg"), make_fill("before supper", b="2.5 mg"), medicines=(DEEP, ORAL), syringe=ML_1
    )
    (problem,) = find_problems("ROUTE-002", replace(regimen, medicines=(*regimen.medicines, CLEAR)))
    assert problem.found == "sample syrup by mouth and sample vitamin into muscle, with one syringe"


def test_two_by_mouth_are_refused_and_a_mouth_and_a_muscle_are_another_fault() -> None:
    """Only where all go by mouth is it a question of bottles."""
    two = make_regimen(make_fill(a="2 mg", c="2 mg"), medicines=(ORAL, replace(ORAL, key="c")), syringe=ML_1)
    mixed = make_regimen(make_fill(a="2 mg", b="0.5 mg"), medicines=(ORAL, DEEP), syringe=ML_1)
    assert (is_found("ROUTE-005", two), is_found("ROUTE-001", two)) == (True, False)
    assert (is_found("ROUTE-005", mixed), is_found("ROUTE-001", mixed)) == (False, True)


@pytest.mark.parametrize(
    ("who", "is_missing"), [(("Veterinarian",), False), (("Clinic", "Our VET"), False), (("Clinic",), True), ((), True)]
)
def test_an_animals_card_needs_a_veterinarian_among_its_contacts(who: tuple[str, ...], is_missing: bool) -> None:
    """In any spelling and at any place; somebody else's number does not count."""
    contacts = tuple(Contact(name, "555-0100") for name in who)
    regimen = replace(make_single("8 units"), patient=Patient(kind=PatientKind.ANIMAL), contacts=contacts)
    assert is_found("ROUTE-006", regimen) is is_missing


# --- scale


@pytest.mark.parametrize(
    ("of", "is_pen"),
    [
        ("199 units/mL", False),
        ("200 units/mL", True),
        ("201 units/mL", False),
        ("299 units/mL", False),
        ("300 units/mL", True),
        ("301 units/mL", False),
        ("200 mg/mL", False),
    ],
)
def test_pens_only_strengths(of: str, is_pen: bool) -> None:
    """200 and 300 units/mL are in pens only (labels, from memory); other unknown strengths are another fault."""
    regimen = make_regimen(make_fill(clear="8 units"), medicines=(make_insulin("clear", "insulin lispro", of),))
    assert is_found("SCALE-006", regimen) is is_pen
    assert is_found("SCALE-007", regimen) is not is_pen


def test_pens_are_a_matter_of_insulin() -> None:
    """Another medicine of 200 units/mL may well be in vials."""
    regimen = make_regimen(
        make_fill(thinner="20 units"), medicines=(make_other("thinner", "heparin", "200 units/mL"),), syringe=ML_1
    )
    assert not is_found("SCALE-006", regimen)


@pytest.mark.parametrize(
    ("kind", "of", "named"),
    [
        ("insulin regular", "500 units/mL", "this strength is insulin regular concentrated here; or "),
        ("insulin lispro", "500 units/mL", ""),
        ("insulin regular", "80 units/mL", ""),
    ],
)
def test_an_unknown_strength_names_the_insulin_that_has_it(kind: str, of: str, named: str) -> None:
    """Only an insulin of the same words and more is meant: regular of 500 units/mL is called concentrated here."""
    regimen = make_regimen(make_fill(clear="8 units"), medicines=(make_insulin("clear", kind, of),))
    (problem,) = find_problems("SCALE-007", regimen)
    assert problem.found == f"{kind} of {of}"
    assert problem.remedy == f"{named}read the strength on the vial's label and correct it here"


def test_each_medicine_on_a_unit_scale_gets_the_rule_of_its_own_kind() -> None:
    """The warning about lines is for mg and mL; insulin, and units of anything else, have rules that refuse them."""
    bare = replace(CLEAR, strength=None)
    regimens = {
        "insulin": make_regimen(make_fill(clear="0.1 mL"), medicines=(CLEAR,)),
        "insulin without strength": make_regimen(make_fill(clear="0.1 mL"), medicines=(bare,)),
        "heparin": make_regimen(make_fill(a="10 units"), medicines=(make_other("a", "heparin", "100 units/mL"),)),
        "no strength": make_regimen(make_fill(a="0.1 mL"), medicines=(make_other("a", "sample medicine", None),)),
        "mg": make_regimen(make_fill(a="0.25 mg"), medicines=(make_other("a", "sample medicine", "2.5 mg/mL"),)),
    }
    codes = ("SCALE-003", "SCALE-004", "SCALE-005", "SCALE-007")
    assert {name: [code for code in codes if is_found(code, regimen)] for name, regimen in regimens.items()} == {
        "insulin": [],
        "insulin without strength": ["SCALE-007"],
        "heparin": ["SCALE-003"],
        "no strength": ["SCALE-005"],
        "mg": ["SCALE-004"],
    }


def test_a_strength_that_does_not_exist_is_one_fault() -> None:
    """80 units/mL is no strength of a vial; that no scale is made for it goes without saying."""
    regimen = make_regimen(
        make_fill(clear="8 units"), medicines=(make_insulin("clear", "insulin regular", "80 units/mL"),)
    )
    assert is_found("SCALE-007", regimen)
    assert not is_found("SCALE-001", regimen)


def test_a_missing_strength_of_an_insulin_is_said_to_be_missing() -> None:
    """No strength is another fault than a wrong one, and the message lists those that exist."""
    regimen = make_regimen(make_fill(clear="8 units"), medicines=(replace(CLEAR, strength=None),))
    (problem,) = find_problems("SCALE-007", regimen)
    assert problem.found == "insulin regular, no strength"
    assert problem.expected == "insulin regular in vials of 100 units/mL or 40 units/mL"


def test_a_dose_without_an_end_is_told_without_a_volume() -> None:
    """1 mg of 3 mg/mL is a third of a mL: no rounded volume is shown, and the line is marked as none."""
    endless = make_other("endless", "sample medicine", "3 mg/mL")
    (problem,) = find_problems("SCALE-004", make_regimen(make_fill(endless="1 mg"), medicines=(endless,)))
    assert problem.found == "1 mg of 3 mg/mL is no exact volume: line 33.3333... of a U-100 scale"


# --- times


@pytest.mark.parametrize(
    ("when", "is_night"),
    [
        ("21:59", False),
        ("22:00", True),
        ("23:59", True),
        ("00:00", True),
        ("03:59", True),
        ("04:00", False),
        ("12:00", False),
        ("at bedtime", True),
        ("at night", True),
        ("before supper", False),
    ],
)
def test_fast_insulin_is_asked_about_at_night(when: str, is_night: bool) -> None:
    """From 22:00 until 04:00, at bedtime and at night (common practice, no source)."""
    assert is_found("WHEN-001", make_regimen(make_fill(when, clear="8 units"))) is is_night
    assert not is_found("WHEN-001", make_regimen(make_fill(when, cloudy="8 units")))


@pytest.mark.parametrize(
    ("kind", "words"),
    [("insulin regular", "insulin regular, short acting"), ("insulin aspart", "insulin aspart, rapid acting")],
)
def test_fast_insulin_at_night_is_told_with_its_action(kind: str, words: str) -> None:
    """Rapid and short insulins are both meant, each by its own word."""
    regimen = make_regimen(make_fill("at bedtime", clear="8 units"), medicines=(make_insulin("clear", kind),))
    (problem,) = find_problems("WHEN-001", regimen)
    assert problem.found == f"{words}, at bedtime"


@pytest.mark.parametrize(
    ("one", "other", "is_near"),
    [
        ("08:00", "08:59", True),
        ("08:59", "08:00", True),
        ("08:00", "09:00", False),
        ("23:30", "00:29", True),
        ("23:30", "00:30", False),
        ("00:15", "23:45", True),
        ("08:00", "20:00", False),
        ("before breakfast", "with breakfast", True),
        ("before lunch", "with lunch", True),
        ("before supper", "after supper", True),
        ("before dinner", "after dinner", True),
        ("at bedtime", "before bedtime", True),
        ("before breakfast", "before lunch", False),
        ("in the morning", "in the morning", True),
        ("in the morning", "08:00", True),
        ("08:00", "before breakfast", True),
        ("08:00", "before lunch", False),
        ("before supper", "17:30", True),
        ("at bedtime", "00:30", True),
        ("at bedtime", "08:00", False),
    ],
)
def test_two_times_that_look_like_one(one: str, other: str, is_near: bool) -> None:
    """Less than an hour apart, across midnight too, or at one meal (common practice, no source)."""
    regimen = make_regimen(make_fill(one, clear="8 units"), make_fill(other, clear="8 units"))
    assert is_found("WHEN-003", regimen) is is_near


def test_all_medicines_drawn_twice_are_named() -> None:
    """In the order of their names, whatever the order of the draws."""
    one, other = (
        make_fill("08:00", clear="8 units", cloudy="9 units"),
        make_fill("08:10", cloudy="9 units", clear="8 units"),
    )
    fast = make_insulin("zinc", "insulin aspart")
    both = [replace(fill, draws=(*fill.draws, PrescribedDraw("zinc", fill.draws[0].dose))) for fill in (one, other)]
    (problem,) = find_problems("WHEN-003", make_regimen(*both, medicines=(CLEAR, CLOUDY, fast)))
    assert problem.found.startswith('insulin aspart, insulin isophane and insulin regular both "08:00"')


def test_times_are_near_only_on_a_shared_day_and_of_a_shared_medicine() -> None:
    """Another day or another medicine makes it another fill; the shared medicine is the one named."""
    both, clear = make_fill("08:00", clear="8 units", cloudy="9 units"), make_fill("08:10", clear="8 units")
    cloudy = make_fill("08:10", cloudy="8 units")
    (problem,) = find_problems("WHEN-003", make_regimen(both, clear))
    assert problem.found == 'insulin regular both "08:00" and "08:10"'
    assert not is_found("WHEN-003", make_regimen(clear, cloudy))
    monday, tuesday = replace(both, days=(Weekday.MONDAY,)), replace(clear, days=(Weekday.TUESDAY,))
    assert not is_found("WHEN-003", make_regimen(monday, tuesday))


@pytest.mark.parametrize(("days", "is_missing"), [(None, True), ((Weekday.MONDAY,), False)])
def test_days_of_another_medicine_are_asked_for(days: tuple[Weekday, ...] | None, is_missing: bool) -> None:
    """A weekly medicine taken daily is seven times the dose; an insulin may leave its days out."""
    weekly = make_other("weekly", "sample medicine", "2.5 mg/mL")
    regimen = make_regimen(replace(make_fill(weekly="0.25 mg"), days=days), medicines=(weekly,))
    assert is_found("WHEN-002", regimen) is is_missing
    assert not is_found("WHEN-002", make_regimen(replace(make_fill(clear="8 units"), days=None)))


def test_missing_days_name_the_first_medicine_that_needs_them() -> None:
    """Of several in one fill the first of the file is named, and an insulin is passed over."""
    others = tuple(make_other(key, f"sample {key}", "2.5 mg/mL") for key in "ab")
    fill = replace(make_fill(clear="8 units", a="0.25 mg", b="0.5 mg"), days=None)
    (problem,) = find_problems("WHEN-002", make_regimen(fill, medicines=(CLEAR, *others)))
    assert problem.found == "sample a before breakfast, no days"


# --- vials

TODAY = date(2026, 11, 25)


def make_vial(units: str = "20 units", today: date | None = TODAY, **changes: object) -> Regimen:
    """One fill a day from a vial with these dates, on a card of that date."""
    medicine = replace(CLEAR, **changes)  # type: ignore[arg-type]  # the cases name the fields
    regimen = make_regimen(make_fill(clear=units), medicines=(medicine,))
    return replace(regimen, review=Review(date=today))


@pytest.mark.parametrize(
    ("dates", "last_date"),
    [
        ({}, None),
        ({"expires": date(2026, 12, 1)}, date(2026, 12, 1)),
        ({"opened": date(2026, 11, 25)}, date(2026, 12, 23)),
        ({"opened": date(2026, 11, 25), "expires": date(2026, 12, 1)}, date(2026, 12, 1)),
        ({"opened": date(2026, 11, 25), "expires": date(2027, 12, 1)}, date(2026, 12, 23)),
    ],
)
def test_last_date_is_the_sooner_one(dates: dict[str, date], last_date: date | None) -> None:
    """28 days after opening or the printed expiry, whichever comes first; none where neither is known."""
    assert find_last_date(replace(CLEAR, **dates)) == last_date  # type: ignore[arg-type]  # the cases name the fields


@pytest.mark.parametrize(
    ("dates", "is_past"),
    [
        ({"opened": date(2026, 10, 29)}, False),
        ({"opened": date(2026, 10, 28)}, True),
        ({"expires": date(2026, 11, 26)}, False),
        ({"expires": date(2026, 11, 25)}, True),
        ({"expires": date(2026, 11, 25), "today": None}, False),
    ],
)
def test_a_vial_is_past_on_its_last_date(dates: dict[str, date], is_past: bool) -> None:
    """It must not be used from that day on; a card without a date cannot tell."""
    assert is_found("VIAL-002", make_vial(**dates)) is is_past  # type: ignore[arg-type]  # the cases name the fields


@pytest.mark.parametrize(
    ("dates", "found", "rule"),
    [
        ({"expires": date(2026, 11, 1)}, "expires 2026-11-01", "the printed expiry"),
        ({"opened": date(2026, 10, 1)}, "opened 2026-10-01", "opened and 28 days"),
    ],
)
def test_a_past_vial_is_told_by_the_date_that_ended_it(dates: dict[str, date], found: str, rule: str) -> None:
    """Whoever reads the message looks at the right date of the vial."""
    (problem,) = find_problems("VIAL-002", make_vial(**dates))  # type: ignore[arg-type]  # the cases name the fields
    assert problem.found == f"insulin regular {found}; the card is of 2026-11-25"
    assert problem.expected.endswith(f"({rule})")


@pytest.mark.parametrize(
    ("opened", "today", "is_future"),
    [(TODAY, TODAY, False), (date(2026, 11, 26), TODAY, True), (date(2026, 11, 26), None, False), (None, TODAY, False)],
)
def test_a_vial_opened_after_the_card(opened: date | None, today: date | None, is_future: bool) -> None:
    """Opened on the card's own day is right; the day after cannot be."""
    assert is_found("VIAL-001", make_vial(today=today, opened=opened)) is is_future


@pytest.mark.parametrize(
    ("units", "is_early", "is_wasted"),
    [
        # 1,000 units and 28 days: 35 a day last 28 days, 36 last 27; 17 a day use 476, 18 use 504.
        ("17 units", False, True),
        ("18 units", False, False),
        ("35 units", False, False),
        ("36 units", True, False),
    ],
)
def test_a_vial_runs_out_early_or_is_half_wasted(units: str, is_early: bool, is_wasted: bool) -> None:
    """By whole days of content against 28 days of use, and by half of the content."""
    assert is_found("VIAL-003", make_vial(units)) is is_early
    assert is_found("VIAL-004", make_vial(units)) is is_wasted


@pytest.mark.parametrize(("units", "percent"), [("16.5 units", 46), ("17.75 units", 50), ("2 units", 6)])
def test_what_is_used_of_a_vial_is_told_in_per_cent(units: str, percent: int) -> None:
    """28 days of 16.5 are 462 of 1,000, of 17.75 are 497, of 2 are 56; rounded to whole per cent."""
    (problem,) = find_problems("VIAL-004", make_vial(units))
    assert f"of which about {percent} % is used in its 28 days" in problem.found


def test_exactly_half_a_vial_is_half_wasted() -> None:
    """20 units a day over 25 days are 500 of 1,000: half or more is thrown away."""
    (problem,) = find_problems("VIAL-004", make_vial("20 units", in_use_days=25))
    assert "about 50 % is used in its 25 days" in problem.found


def test_use_is_counted_over_the_week() -> None:
    """40 units on one day of seven are not 40 a day, and 40 a day are seven times as much."""
    fill = make_fill(clear="40 units")
    weekly = make_regimen(replace(fill, days=(Weekday.MONDAY,)), medicines=(CLEAR,))
    assert not is_found("VIAL-003", weekly)
    (problem,) = find_problems("VIAL-004", weekly)
    assert "about 16 % is used" in problem.found  # 40 / 7 x 28 = 160 of 1,000
    assert is_found("VIAL-003", make_regimen(fill, medicines=(CLEAR,)))


def test_use_of_every_fill_of_that_medicine_alone_is_added_up() -> None:
    """20 and 16 units of regular a day empty its vial early, whatever is drawn of isophane; 10 mL last for 18."""
    fills = make_fill(clear="20 units", cloudy="18 units"), make_fill("before supper", clear="16 units")
    problems = find_problems("VIAL-003", make_regimen(*fills))
    assert [problem.found.partition(":")[0] for problem in problems] == ["insulin regular"]


@pytest.mark.parametrize(("vial_ml", "is_small"), [("0.19", True), ("0.2", False), (None, False)])
def test_a_dose_larger_than_its_vial(vial_ml: str | None, is_small: bool) -> None:
    """20 units are 0.2 mL and go into a vial of 0.2 mL."""
    regimen = make_vial("20 units", vial_ml=None if vial_ml is None else Fraction(vial_ml))
    assert is_found("VIAL-005", regimen) is is_small


@pytest.mark.parametrize(
    ("days", "is_from_label", "is_long"), [(28, True, False), (29, True, True), (42, False, False), (14, True, False)]
)
def test_a_life_longer_than_the_shortest_published(days: int, is_from_label: bool, is_long: bool) -> None:
    """28 days is the shortest published life of regular (pharmacy-stability-chart-2011); only a label may say more."""
    regimen = make_vial(in_use_days=days, in_use_days_from_label=is_from_label)
    assert is_found("VIAL-006", regimen) is is_long
