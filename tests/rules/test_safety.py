"""One claim over random regimens: whatever the rules let through is safe by a second, naive set of rules.

The second set is typed here from the project's facts (sections 1.3, 3, 4.2) and shares no code with the package.
"""

from __future__ import annotations

import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from support.shares import try_of_100

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import Route, ScaleName, SyringeScale
from fillcards.catalogue.scales import load_scales
from fillcards.plan.fills import plan_fills
from fillcards.plan.rules import check_rules
from fillcards.problems import is_refused
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import EVERY_DAY, Fill, Medicine, PrescribedDraw, Regimen

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_insulin, make_other, make_regimen, make_syringe, strength

# Section 4.2: what may share with isophane by the strictest label; lispro only once a label was checked.
MAY_SHARE = ("insulin regular", "insulin aspart", "insulin glulisine")
INSULIN_STRENGTHS = ("40 units/mL", "100 units/mL", "500 units/mL", "200 units/mL", "300 units/mL")
UNIT_OF_STRENGTH = {Unit.UNITS_PER_ML: Unit.UNITS, Unit.MG_PER_ML: Unit.MG, Unit.MCG_PER_ML: Unit.MCG}
ROUTES = (
    (Route.INTO_MUSCLE, Route.INTO_MUSCLE),
    (Route.UNDER_THE_SKIN, Route.UNDER_THE_SKIN),
    (Route.INTO_MUSCLE, Route.UNDER_THE_SKIN),
    (Route.BY_MOUTH, Route.BY_MOUTH),
    (Route.BY_MOUTH, Route.INTO_MUSCLE),
)
LINES_PER_ML = {"U-40": 40, "U-100": 100, "U-500": 500, "mL": 1}


@st.composite
def medicines(draw: st.DrawFn, key: str, partner: str, scale: str) -> Medicine:
    """Any insulin or a medicine outside the catalogue; three in four with a strength that suits the scale."""
    suits = draw(st.integers(0, 3)) > 0
    if draw(st.integers(0, 3)) if scale != "mL" else not suits:
        of = f"{LINES_PER_ML[scale]} units/mL" if suits and scale != "mL" else draw(st.sampled_from(INSULIN_STRENGTHS))
        kinds = [kind for kind, row in load_medicines().items() if not suits or strength(of) in row.strengths]
        checked = draw(st.sampled_from((None, "sample pharmacist")))
        return make_insulin(key, draw(st.sampled_from(kinds)), of, mixing_checked_by=checked)
    return make_other(
        key,
        f"sample {key}",
        draw(st.sampled_from((None, "1000 units/mL", "500 mcg/mL", "2.5 mg/mL", "2.5 mg/mL", "2.5 mg/mL"))),
        look=draw(st.sampled_from(("clear", "cloudy"))),
        route=Route.UNDER_THE_SKIN if suits else draw(st.sampled_from(tuple(Route))),
        takes_air=draw(st.booleans()),
        shares_with=(partner,) if suits else (),
    )


def singles(scale: str) -> st.SearchStrategy[tuple[Medicine, ...]]:
    """One medicine."""
    return medicines("a", "b", scale).map(lambda medicine: (medicine,))


def pairs(scale: str) -> st.SearchStrategy[tuple[Medicine, ...]]:
    """Any two medicines; nearly all of them must not share a syringe."""
    return st.tuples(medicines("a", "b", scale), medicines("b", "a", scale))


@st.composite
def likely_pairs(draw: st.DrawFn, scale: str) -> tuple[Medicine, ...]:
    """Any insulin with isophane, or two other medicines that name each other; each with one thing that may be wrong."""
    if scale == "mL":
        looks = draw(st.sampled_from((("clear", "cloudy"), ("clear", "cloudy"), ("clear", "clear"))))
        routes = draw(st.sampled_from(ROUTES))
        shares = draw(st.sampled_from((("b", "a"), ("b", "a"), ("b", "b"))))
        one, other = zip(looks, routes, shares, strict=True)
        return tuple(
            make_other(key, f"sample {key}", "2.5 mg/mL", look=look, route=route, shares_with=(share,))
            for key, (look, route, share) in (("a", one), ("b", other))
        )
    of = f"{LINES_PER_ML[scale]} units/mL"
    strengths = draw(st.sampled_from(((of, of), (of, of), (of, "40 units/mL"))))
    checked = draw(st.sampled_from((None, "sample pharmacist")))
    kind = draw(st.sampled_from((*MAY_SHARE, "insulin lispro", "insulin lispro", *load_medicines())))
    return (
        make_insulin("a", kind, strengths[0], mixing_checked_by=checked),
        make_insulin("b", "insulin isophane", strengths[1]),
    )


@st.composite
def prescribed_draws(draw: st.DrawFn, medicine: Medicine, row: SyringeScale) -> PrescribedDraw:
    """A dose in a unit the strength has, mostly of whole lines and mostly within the barrel; now and then neither."""
    per_ml = LINES_PER_ML[row.scale.value]
    most = int(row.last_line / row.line_every)
    lines = Fraction(draw(st.integers(1, most // 2) | st.integers(1, most + 2)), draw(st.sampled_from((1, 1, 1, 1, 2))))
    volume_ml = lines * row.line_every / per_ml
    natural = Unit.ML if medicine.strength is None else UNIT_OF_STRENGTH[medicine.strength.unit]
    unit = draw(st.sampled_from((natural, natural, natural, natural, Unit.ML, Unit.MG, Unit.UNITS)))
    amount = volume_ml if unit is Unit.ML or medicine.strength is None else volume_ml * medicine.strength.amount
    return PrescribedDraw(medicine.key, Quantity(amount, unit))


@st.composite
def regimens(draw: st.DrawFn) -> Regimen:
    """One fill of one or two medicines on any syringe; about as many safe as unsafe."""
    scale = draw(st.sampled_from(tuple(ScaleName)))
    row = draw(st.sampled_from([row for row in load_scales() if row.scale is scale]))
    used = draw(st.one_of(singles(row.scale.value), pairs(row.scale.value), likely_pairs(row.scale.value)))
    doses = tuple(draw(prescribed_draws(medicine, row)) for medicine in used)
    syringe = make_syringe(row.scale, row.capacity_ml, row.line_every)
    return make_regimen(Fill("before supper", doses, days=EVERY_DAY), medicines=used, syringe=syringe)


def measure_naively(dose: Quantity, of: Quantity | None) -> Decimal:
    """Volume in mL by the shortest way there is."""
    amount = Decimal(dose.amount.numerator) / Decimal(dose.amount.denominator)
    if dose.unit is Unit.ML:
        return amount
    assert of is not None
    in_ml = Decimal(of.amount.numerator) / Decimal(of.amount.denominator)
    assert (dose.unit is Unit.UNITS) is (of.unit is Unit.UNITS_PER_ML)
    if of.unit is Unit.MCG_PER_ML:
        in_ml /= 1000
    return amount / (1000 * in_ml if dose.unit is Unit.MCG else in_ml)


def require_safe(regimen: Regimen) -> None:
    """The naive rules; raises ``AssertionError`` on the first that is broken."""
    scale = regimen.syringe.scale.value
    for medicine in regimen.medicines:
        of = str(medicine.strength)
        if medicine.row is not None:
            assert {"U-40": "40 units/mL", "U-100": "100 units/mL", "U-500": "500 units/mL"}[scale] == of
        elif medicine.route is Route.BY_MOUTH:
            assert scale == "mL"
            assert "units" not in of
        elif scale != "mL":
            assert of in {"2.5 mg/mL", "500 mcg/mL"}
    for prescribed in regimen.fills[0].draws:
        assert regimen.find_medicine(prescribed.medicine).row is None or prescribed.dose.unit is Unit.UNITS
    if len(regimen.medicines) == 2:
        one, other = regimen.medicines
        assert {one.look, other.look} == {"clear", "cloudy"}
        assert one.strength == other.strength
        assert one.route is other.route is not Route.BY_MOUTH
        assert (one.row is None) is (other.row is None)
        names = {one.name, other.name}
        if one.row is None:
            assert other.key in one.shares_with
            assert one.key in other.shares_with
        else:
            assert "insulin isophane" in names
            clear = next(iter(names - {"insulin isophane"}))
            is_checked = one.mixing_checked_by or other.mixing_checked_by
            assert clear in MAY_SHARE or (clear == "insulin lispro" and is_checked)


@try_of_100(1000)
@given(regimens())
def test_whatever_is_planned_is_safe(regimen: Regimen) -> None:
    """No unsafe regimen gets past the rules, and what is planned stops where a naive sum says, on printed lines."""
    if is_refused(check_rules(regimen)):
        return
    require_safe(regimen)
    (fill,) = plan_fills(regimen).fills
    by_key = {medicine.key: medicine for medicine in regimen.medicines}
    per_ml = LINES_PER_ML[regimen.syringe.scale.value]
    total = Decimal(0)
    for draw in fill.draws:
        alone = measure_naively(draw.dose, by_key[draw.medicine.key].strength) * per_ml
        total += alone
        assert draw.stop_line == Fraction(total)
        assert draw.air_line == (Fraction(alone) if draw.medicine.takes_air else None)
        for line in (draw.stop_line, draw.air_line or draw.stop_line):
            assert line % regimen.syringe.line_every == 0
            assert 0 < line <= regimen.syringe.capacity_ml * per_ml
    assert [draw.medicine.look for draw in fill.draws] == sorted(draw.medicine.look for draw in fill.draws)
