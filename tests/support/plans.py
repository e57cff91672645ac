"""Regimens made in code, without a file: one of every sort a card can be for, and random ones.

Doses are invented. Names of medicines that are not insulins are invented too ("weekly medicine A").
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from hypothesis import assume
from hypothesis import strategies as st
from support.syringes import build_syringe

from fillcards.card.build import build_card as build_card
from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.catalogue.papers import load_papers
from fillcards.catalogue.scales import load_scales
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
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
    Syringe,
    Weekday,
)
from fillcards.regimen.schema import read_regimen


def make_syringe(
    scale: str, capacity_ml: str, line_every: str, *, scale_length_mm: int | None = None, needle: Needle = Needle.FIXED
) -> Syringe:
    """A syringe with a row of the catalogue; the catalogue must have it."""
    row = next(
        row
        for row in load_scales()
        if (row.scale, row.capacity_ml, row.line_every)
        == (ScaleName(scale), Fraction(capacity_ml), Fraction(line_every))
    )
    return build_syringe(row, None if scale_length_mm is None else Fraction(scale_length_mm), needle)


def make_insulin(key: str, kind: str, per_ml: int = 100, mark: str | None = None, **more: object) -> Medicine:
    """A medicine of the catalogue."""
    row = load_medicines()[kind]
    medicine = Medicine(
        key=key,
        row=row,
        name=row.kind,
        strength=Quantity(Fraction(per_ml), Unit.UNITS_PER_ML),
        vial_ml=Fraction(10),
        look=row.look,
        motion=row.motion,
        takes_air=True,
        route=Route.UNDER_THE_SKIN,
        shares_with=row.shares_with,
        in_use_days=row.in_use_days,
        vial_mark=mark,
    )
    return replace(medicine, **more)  # type: ignore[arg-type]  # fields by name, checked by the dataclass itself


def make_other(key: str, name: str, strength: Quantity | None, **more: object) -> Medicine:
    """A medicine the catalogue does not know."""
    medicine = Medicine(
        key=key,
        row=None,
        name=name,
        strength=strength,
        vial_ml=None,
        look="clear",
        motion=Motion.NONE,
        takes_air=True,
        route=Route.UNDER_THE_SKIN,
        shares_with=(),
        in_use_days=28,
    )
    return replace(medicine, **more)  # type: ignore[arg-type]  # fields by name, checked by the dataclass itself


def make_fill(
    when: str, *doses: tuple[str, str, Unit], days: tuple[Weekday, ...] | None = None, minutes_before: int | None = None
) -> Fill:
    """A fill; each dose is (key, amount, unit)."""
    draws = tuple(PrescribedDraw(key, Quantity(Fraction(amount), unit)) for key, amount, unit in doses)
    return Fill(when, draws, minutes_before, days)


UNITS, MG, ML, MCG = Unit.UNITS, Unit.MG, Unit.ML, Unit.MCG
CLEAR = make_insulin("clear", "insulin regular", mark="one rubber band")
CLOUDY = make_insulin("cloudy", "insulin isophane", mark="two rubber bands")
U100_HALF_ML = make_syringe("U-100", "0.5", "1", scale_length_mm=48)
SAMPLE_PATIENT = Patient("Sample Patient", second_identifier="ward 3")
REVIEW = Review(date=date(2026, 11, 25), prepared_by="A. Preparer")


def _make_examples() -> dict[str, Regimen]:
    weekly = make_other(
        "weekly", "weekly medicine A", Quantity(Fraction("2.5"), Unit.MG_PER_ML), takes_air=False, warning="High alert."
    )
    thinner = make_other("thinner", "medicine B", Quantity(Fraction(5000), Unit.UNITS_PER_ML))
    syrup = make_other(
        *("syrup", "medicine C", Quantity(Fraction(20), Unit.MG_PER_ML)),
        route=Route.BY_MOUTH,
        motion=Motion.SHAKE,
        look="cloudy white",
        takes_air=False,
    )
    deep = make_other(
        "deep", "medicine D", Quantity(Fraction(1000), Unit.MCG_PER_ML), route=Route.INTO_MUSCLE, look="clear red"
    )
    one = make_other("one", "medicine F", Quantity(Fraction(10), Unit.MG_PER_ML), shares_with=("two",))
    two = make_other(
        "two",
        "medicine G",
        Quantity(Fraction(10), Unit.MG_PER_ML),
        shares_with=("one",),
        look="cloudy",
        motion=Motion.ROLL,
    )
    long_acting = make_insulin("long", "insulin glargine", opened=date(2026, 11, 2))
    return {
        "mixed": Regimen(
            syringe=U100_HALF_ML,
            medicines=(CLEAR, CLOUDY),
            fills=(
                make_fill("before breakfast", ("clear", "8", UNITS), ("cloudy", "18", UNITS), minutes_before=30),
                make_fill("before supper", ("cloudy", "12", UNITS), ("clear", "6", UNITS)),
            ),
            patient=SAMPLE_PATIENT,
            contacts=(Contact("Clinic", "555-0100"),),
            review=replace(REVIEW, ask_again_by=date(2027, 2, 25)),
            notes="Bring this card to each visit.",
            is_sample=True,
        ),
        # Worked example W13 of a public nursing question bank: 6 and 18 make 24.
        "W13": Regimen(
            syringe=U100_HALF_ML,
            medicines=(CLEAR, CLOUDY),
            fills=(make_fill("before breakfast", ("clear", "6", UNITS), ("cloudy", "18", UNITS)),),
            patient=SAMPLE_PATIENT,
            review=REVIEW,
        ),
        "single": Regimen(
            syringe=make_syringe("U-100", "0.3", "0.5"),
            medicines=(long_acting,),
            fills=(make_fill("at bedtime", ("long", "12.5", UNITS)),),
            review=REVIEW,
        ),
        "animal": Regimen(
            syringe=make_syringe("U-40", "0.5", "0.5"),
            medicines=(make_insulin("dog", "insulin isophane", 40),),
            fills=(make_fill("07:30", ("dog", "4", UNITS)),),
            patient=Patient("Sample Dog", kind=PatientKind.ANIMAL),
            review=REVIEW,
        ),
        "concentrated": Regimen(
            syringe=make_syringe("U-500", "0.5", "5"),
            medicines=(make_insulin("strong", "insulin regular concentrated", 500),),
            fills=(make_fill("before breakfast", ("strong", "135", UNITS)),),
            patient=SAMPLE_PATIENT,
            review=REVIEW,
        ),
        "weekly": Regimen(
            syringe=U100_HALF_ML,
            medicines=(weekly,),
            fills=(make_fill("in the morning", ("weekly", "0.25", MG), days=(Weekday.MONDAY,)),),
            patient=SAMPLE_PATIENT,
            review=REVIEW,
        ),
        "units on mL": Regimen(
            syringe=make_syringe("mL", "1", "0.01"),
            medicines=(thinner,),
            fills=(make_fill("20:00", ("thinner", "2500", UNITS), days=tuple(Weekday)),),
            patient=SAMPLE_PATIENT,
            review=REVIEW,
        ),
        "by mouth": Regimen(
            syringe=make_syringe("mL", "5", "0.2", needle=Needle.NONE),
            medicines=(syrup,),
            fills=(make_fill("before breakfast", ("syrup", "60", MG), days=tuple(Weekday)),),
            patient=SAMPLE_PATIENT,
            review=REVIEW,
        ),
        "two others": Regimen(
            syringe=make_syringe("mL", "2", "0.1"),
            medicines=(one, two),
            fills=(make_fill("08:00", ("one", "5", MG), ("two", "4", MG), days=tuple(Weekday)),),
            review=REVIEW,
        ),
        "into muscle": Regimen(
            syringe=make_syringe("mL", "3", "0.1"),
            medicines=(deep,),
            fills=(make_fill("08:00", ("deep", "500", MCG), days=(Weekday.MONDAY, Weekday.THURSDAY)),),
            patient=SAMPLE_PATIENT,
            review=REVIEW,
        ),
    }


EXAMPLES = _make_examples()


def plan_example(name: str) -> Plan:
    """The plan of one of the examples."""
    return plan_fills(EXAMPLES[name])


_SYRINGES = tuple(make_syringe(row.scale.value, str(row.capacity_ml), str(row.line_every)) for row in load_scales())


@st.composite
def make_plans(draw: st.DrawFn) -> Plan:
    """A random plan no rule refuses: any scale, one or two insulins, or another medicine by any route."""
    syringe = draw(st.sampled_from(_SYRINGES))
    lines = int(syringe.last_line / syringe.line_every)
    per_ml = syringe.scale.units_per_ml
    is_mixed = per_ml in {40, 100} and draw(st.booleans())
    first = draw(st.integers(1, lines - 1)) * syringe.line_every
    second = draw(st.integers(1, max(1, lines - int(first / syringe.line_every)))) * syringe.line_every
    when = draw(st.sampled_from(("before breakfast", "at bedtime", "06:15")))
    mark = draw(st.sampled_from((None, "one rubber band", "red sticker")))
    medicines: tuple[Medicine, ...]
    doses: tuple[tuple[str, str, Unit], ...]
    if is_mixed:
        medicines = (
            make_insulin("a", "insulin regular", per_ml or 0, mark),
            make_insulin("b", "insulin isophane", per_ml or 0),
        )
        doses = (("a", str(first), UNITS), ("b", str(second), UNITS))
        days = None
    elif per_ml and draw(st.booleans()):
        kind = {40: "insulin isophane", 100: "insulin aspart", 500: "insulin regular concentrated"}[per_ml]
        medicines = (make_insulin("a", kind, per_ml, mark),)
        doses = (("a", str(first), UNITS),)
        days = None
    else:
        route = Route.UNDER_THE_SKIN if per_ml else draw(st.sampled_from(Route))
        strength = Quantity(draw(st.sampled_from((Fraction(5, 2), Fraction(10), Fraction(50)))), Unit.MG_PER_ML)
        medicines = (make_other("a", "medicine E", strength, route=route, takes_air=route is not Route.BY_MOUTH),)
        syringe = replace(syringe, needle=Needle.NONE if route is Route.BY_MOUTH else syringe.needle)
        doses = (("a", str(first / (per_ml or 1) * strength.amount), MG),)
        days = (Weekday.TUESDAY,)
    regimen = Regimen(
        syringe=syringe,
        medicines=medicines,
        fills=(make_fill(when, *doses, days=days),),
        patient=Patient(kind=draw(st.sampled_from(PatientKind))),
        print=PrintChoice(barrel=draw(st.sampled_from(BarrelDirection))),
        review=REVIEW,
    )
    try:
        return plan_fills(regimen)
    except RegimenRefused:
        assume(False)
        raise


SMALL_PAPERS = tuple(name for name, paper in load_papers().items() if paper.is_small)

STARTERS = tuple(sorted((Path(__file__).parents[2] / "templates_yaml").glob("*.yaml")))
"""The shipped starter regimens."""


def plan_starter(path: Path) -> Plan:
    """The plan of a shipped starter."""
    return plan_fills(read_regimen(path.read_text(encoding="utf-8")))
