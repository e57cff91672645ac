"""Hypothesis: regimens of every scale, direction, paper and text size, with one and two medicines by any route.

Doses fall on lines; names and doses are invented. Rules may still refuse one.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from hypothesis import assume
from hypothesis import strategies as st
from support.checked import mark_checked
from support.plans import make_insulin, make_other
from support.syringes import build_syringe

from fillcards.catalogue.model import Motion, Route, SyringeScale
from fillcards.catalogue.scales import load_scales
from fillcards.pipeline import PlacedRegimen, place_regimen
from fillcards.problems import RegimenRefused
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import (
    BarrelDirection,
    Contact,
    Fill,
    Medicine,
    Needle,
    Patient,
    PatientKind,
    PrescribedDraw,
    PrintChoice,
    Regimen,
    Review,
    Weekday,
)

WHENS = ("before breakfast", "before supper", "at bedtime", "07:30", "20:00", "with lunch", "in the morning")
DAYS = (
    None,
    tuple(Weekday),
    (Weekday.MONDAY,),
    (Weekday.MONDAY, Weekday.THURSDAY),
    tuple(Weekday)[:5],
    tuple(day for day in Weekday if day is not Weekday.SUNDAY),
)
DOSE_OF = {Unit.MG_PER_ML: Unit.MG, Unit.MCG_PER_ML: Unit.MCG}


@st.composite
def make_regimens(draw: st.DrawFn, directions: tuple[BarrelDirection, ...] = tuple(BarrelDirection)) -> Regimen:
    """A regimen with one to three fills."""
    row = draw(st.sampled_from(load_scales()))
    lines = int(row.last_line / row.line_every)
    longer = draw(st.none() | st.integers(0, 9))
    medicines = draw(_make_medicines(row.scale.units_per_ml))
    needles = (Needle.NONE,) if medicines[0].route is Route.BY_MOUTH else (Needle.FIXED, Needle.DETACHABLE)
    length_mm = None if longer is None else row.shortest_scale_length_mm + longer
    fills = []
    for when in draw(st.lists(st.sampled_from(WHENS), min_size=1, max_size=3, unique=True)):
        count = len(medicines)
        stops = draw(st.lists(st.integers(1, lines), min_size=count, max_size=count, unique=True))
        fills.append(draw(_make_fill(when, sorted(stops), row, medicines)))
    regimen = Regimen(
        syringe=build_syringe(row, length_mm, draw(st.sampled_from(needles))),
        medicines=medicines,
        fills=tuple(fills),
        patient=draw(_make_patients()),
        print=PrintChoice(draw(st.sampled_from(("letter", "a4"))), draw(st.sampled_from(directions))),
        contacts=draw(st.sampled_from(((), (Contact("Clinic", "555-0100"),), (Contact("Dr. A", "555-0101"),)))),
        notes=draw(st.sampled_from((None, "Bring this card. Visit on 3 May at 10:15."))),
        review=Review(draw(st.sampled_from((None, date(2026, 11, 25))))),
        is_sample=draw(st.booleans()),
    )
    if draw(st.booleans()):
        regimen = mark_checked(regimen)
    return regimen


def place_or_assume(regimen: Regimen) -> PlacedRegimen:
    """The regimen up to its pages; one that is refused is no example."""
    try:
        return place_regimen(regimen)
    except RegimenRefused:
        assume(False)
        raise


@st.composite
def _make_medicines(draw: st.DrawFn, per_ml: int | None) -> tuple[Medicine, ...]:
    marks = draw(st.sampled_from(((None, None), ("one rubber band", "2 rubber bands"), ("red cap", None))))
    opened = draw(st.sampled_from((None, date(2026, 11, 2))))
    if per_ml in {40, 100} and draw(st.booleans()):
        clear = make_insulin("c", "insulin regular", per_ml or 0, marks[0], opened=opened)
        return (clear, make_insulin("k", "insulin isophane", per_ml or 0, marks[1], takes_air=draw(st.booleans())))
    if per_ml and draw(st.booleans()):
        kind = {100: "insulin glargine", 40: "insulin isophane", 500: "insulin regular concentrated"}[per_ml]
        return (make_insulin("c", kind, per_ml, marks[0], opened=opened),)
    amount, unit = draw(st.sampled_from(("2.5", "10", "1000"))), draw(st.sampled_from(tuple(DOSE_OF)))
    strength = Quantity(Fraction(amount), unit)
    route = Route.UNDER_THE_SKIN if per_ml else draw(st.sampled_from(Route))
    is_drawn = route is not Route.BY_MOUTH
    first = make_other(
        *("c", "medicine E", strength),
        route=route,
        takes_air=is_drawn and draw(st.booleans()),
        shares_with=("k",),
        vial_mark=marks[0],
        warning=draw(st.sampled_from((None, "High alert. Check 2 times."))),
    )
    if per_ml or not is_drawn or draw(st.booleans()):
        return (first,)
    second = make_other("k", "medicine F", strength, route=route, look="cloudy", motion=Motion.ROLL, shares_with=("c",))
    return first, second


@st.composite
def _make_fill(
    draw: st.DrawFn, when: str, stops: list[int], row: SyringeScale, medicines: tuple[Medicine, ...]
) -> Fill:
    draws = []
    for medicine, stop, before in zip(medicines, stops, (0, *stops), strict=False):
        line = (stop - before) * row.line_every
        draws.append(PrescribedDraw(medicine.key, _find_dose(line, row, medicine)))
    days = draw(st.sampled_from(DAYS)) or (None if medicines[0].is_insulin else tuple(Weekday))
    return Fill(when, tuple(draw(st.permutations(draws))), draw(st.sampled_from((None, 1, 30))), days)


def _find_dose(line: Fraction, row: SyringeScale, medicine: Medicine) -> Quantity:
    """The dose that alone reaches a line."""
    assert medicine.strength is not None
    volume_ml = line / (row.scale.units_per_ml or 1)
    return Quantity(volume_ml * medicine.strength.amount, DOSE_OF.get(medicine.strength.unit, Unit.UNITS))


@st.composite
def _make_patients(draw: st.DrawFn) -> Patient:
    return Patient(
        draw(st.sampled_from((None, "Juniper Testcase", "Bartholomew-Alexander von Testington-Sample III"))),
        draw(st.sampled_from((None, "ward 3", "MRN 00123"))),
        draw(st.sampled_from(PatientKind)),
        text_size_pt=draw(st.sampled_from((None, Fraction(20), Fraction(24), Fraction(32), Fraction(40)))),
    )
