"""Random regimens from a seed, without Hypothesis, so that a campaign can count what it met.

Every scale, one or two medicines, one to three fills, long and short names, any eyesight, any paper, any way of holding
the barrel. Names and doses are invented; what the rules refuse is drawn again.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from random import Random
from typing import Final

from support.pictures import ALL_SYRINGES
from support.plans import MG, REVIEW, UNITS, make_fill, make_insulin, make_other

from fillcards.catalogue.near_vision import parse_near_acuity
from fillcards.catalogue.papers import load_papers
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.problems import RegimenRefused
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import (
    BarrelDirection,
    Contact,
    Fill,
    Medicine,
    Patient,
    PatientKind,
    PrintChoice,
    Regimen,
    Syringe,
    Weekday,
)

NAMES: Final = (None, "Sample Patient", "Wilhelmina-Alexandrina Featherstonehaugh-Throckmorton the Younger")
WHENS: Final = ("before breakfast", "before supper", "at bedtime", "06:15", "in the early afternoon, second syringe")
MARKS: Final = (None, "one rubber band", "a red sticker near the rim")
OTHERS: Final = ("medicine E", "a medicine with a rather long generic name")
CONTACTS: Final = ((), (Contact("Clinic", "555-0100"),), (Contact("Night desk of the ward", "555-0100 ext. 22"),) * 3)
ACUITIES: Final = ("20/40", "20/63", "20/80", "20/100", "20/125", "20/160", "20/200", "20/300", "20/500")
SIZES_PT: Final = tuple(range(18, 97, 2))


@dataclass(frozen=True, slots=True)
class Combination:
    """One regimen at its size on its paper."""

    plan: Plan
    paper: str


def draw_combination(random: Random) -> Combination:
    """A regimen no rule refuses, with eyes and paper."""
    while True:
        regimen = _draw_regimen(random)
        try:
            return Combination(plan_fills(regimen), regimen.print.paper)
        except RegimenRefused:
            continue


def _draw_regimen(random: Random) -> Regimen:
    syringe = random.choice(ALL_SYRINGES)
    per_ml = syringe.scale.units_per_ml
    is_mixed = per_ml in {40, 100} and random.random() < 0.6
    medicines = _draw_medicines(random, per_ml, is_mixed=is_mixed)
    whens = random.sample(WHENS, random.choice((1, 1, 2, 3)))
    return Regimen(
        syringe=syringe,
        medicines=medicines,
        fills=tuple(_draw_fill(random, when, medicines, syringe) for when in whens),
        patient=_draw_patient(random),
        print=PrintChoice(_draw_paper(random), random.choice(tuple(BarrelDirection))),
        contacts=random.choice(CONTACTS),
        notes=random.choice((None, "Bring this card to each visit. " * 6)),
        review=REVIEW,
        is_sample=random.random() < 0.5,
    )


def _draw_paper(random: Random) -> str:
    """Three times of four a sheet that a fridge card is meant for; small ones seldom hold it in large print."""
    return random.choice(("letter", "a4")) if random.random() < 0.75 else random.choice(tuple(load_papers()))


def _draw_medicines(random: Random, per_ml: int | None, *, is_mixed: bool) -> tuple[Medicine, ...]:
    mark = random.choice(MARKS)
    if is_mixed:
        return (
            make_insulin("a", random.choice(("insulin regular", "insulin aspart")), per_ml or 0, mark),
            make_insulin("b", "insulin isophane", per_ml or 0, random.choice(MARKS)),
        )
    if per_ml and random.random() < 0.6:
        kind = {40: "insulin isophane", 100: "insulin glargine", 500: "insulin regular concentrated"}[per_ml]
        return (make_insulin("a", kind, per_ml, mark),)
    strength = Quantity(Fraction(random.choice(("2.5", "10", "50"))), Unit.MG_PER_ML)
    return (make_other("a", random.choice(OTHERS), strength, vial_mark=mark),)


def _draw_fill(random: Random, when: str, medicines: tuple[Medicine, ...], syringe: Syringe) -> Fill:
    lines = int(syringe.last_line / syringe.line_every)
    first = random.randint(1, lines - 1) * syringe.line_every
    minutes = random.choice((None, None, 30)) if when.startswith("before") else None
    if len(medicines) == 2:
        second = random.randint(1, lines - int(first / syringe.line_every)) * syringe.line_every
        return make_fill(when, ("a", str(first), UNITS), ("b", str(second), UNITS), minutes_before=minutes)
    medicine = medicines[0]
    if medicine.is_insulin or medicine.strength is None:
        return make_fill(when, ("a", str(first), UNITS), minutes_before=minutes)
    amount = first / (syringe.scale.units_per_ml or 1) * medicine.strength.amount
    days = tuple(sorted(random.sample(list(Weekday), random.choice((1, 2, 7))), key=list(Weekday).index))
    return make_fill(when, ("a", str(amount), MG), days=days)


def _draw_patient(random: Random) -> Patient:
    name, kind = random.choice(NAMES), random.choice((PatientKind.PERSON, PatientKind.PERSON, PatientKind.ANIMAL))
    match random.choice(("nothing", "size", "acuity", "acuity")):
        case "size":
            return Patient(name, kind=kind, text_size_pt=Fraction(random.choice(SIZES_PT)))
        case "acuity":
            written = f"{random.choice(ACUITIES)} at {random.choice((25, 33, 40, 40))} cm"
            return Patient(name, kind=kind, reads=parse_near_acuity(written, random.choice((2.0, 2.0, 3.0))))
    return Patient(name, kind=kind)
