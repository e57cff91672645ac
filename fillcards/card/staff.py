"""The sheet for whoever prints, checks and teaches. Kept, not given away.

Everything worked out stands in one table with an empty column, to be filled in from the prescription; then the print
check, what depends on the person, what is to be shown back, what to settle, and who answers for it.
"""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.card.front import say_title
from fillcards.card.model import (
    Keeping,
    PrintCheck,
    StaffBlock,
    StaffHeading,
    StaffPoints,
    StaffTable,
    StaffWriteIns,
    WriteIn,
)
from fillcards.catalogue.model import Route
from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.catalogue.sources import Evidence, Source, load_sources
from fillcards.plan.model import Draw, FillPlan, Plan
from fillcards.plan.print_size import LARGEST_STEPS_PT, choose_print_size
from fillcards.plan.rules.rule import write_list
from fillcards.problems import Problem
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.fingerprint import compute_fingerprint, is_checked, name_edition
from fillcards.regimen.languages import ENGLISH
from fillcards.regimen.model import Medicine, Needle, PatientKind, Regimen, Syringe
from fillcards.wording.messages import Say, say
from fillcards.wording.words import list_signers

COLUMNS = ("fill", "medicine", "dose", "strength", "volume", "air", "stop", "prescribed")
GROUP = 4
"""Characters of a fingerprint in a row, so that two can be compared by eye."""


def build_staff(
    plan: Plan, code: str, vials_title: Say, cautions: tuple[Problem, ...], keeping: Keeping | None = None
) -> tuple[StaffBlock, ...]:
    """The blocks of the sheet, in reading order.

    Args:
        plan: what was worked out.
        code: of the card.
        vials_title: the name of the sheet for all fills.
        cautions: to be settled before the card leaves.
        keeping: of the register in which the card is kept.
    """
    regimen = plan.regimen
    return (
        *_build_head(regimen),
        *_build_compare(plan),
        *_build_print_check(regimen.syringe, regimen),
        *_write_in("staff-person", _list_person(regimen)),
        *_write_in("staff-teach", list_teach_back(plan)),
        StaffHeading(say("staff-cautions")),
        StaffPoints(tuple(_list_cautions(cautions))),
        *_build_check(regimen, code, keeping),
        StaffHeading(say("staff-give")),
        StaffPoints(tuple(_list_given(regimen, vials_title))),
    )


def _write_in(heading: str, labels: Iterator[Say]) -> tuple[StaffBlock, ...]:
    return StaffHeading(say(heading)), StaffWriteIns(tuple(WriteIn(label) for label in labels))


def _build_head(regimen: Regimen) -> Iterator[StaffBlock]:
    number = regimen.prescription
    yield StaffPoints((say("staff-keep"), *((say("staff-prescription", identifier=number),) if number else ())))
    if not number:
        yield StaffWriteIns((WriteIn(say("staff-write-prescription")),))


def _build_compare(plan: Plan) -> Iterator[StaffBlock]:
    yield StaffHeading(say("staff-compare"))
    yield StaffPoints((say("staff-compare-how"),))
    header = tuple(say(f"staff-column-{column}") for column in COLUMNS)
    yield StaffTable(header, tuple(_list_cells(fill, draw, plan) for fill in plan.fills for draw in fill.draws))
    yield StaffPoints(tuple(_list_facts(plan.regimen)))


def _list_cells(fill: FillPlan, draw: Draw, plan: Plan) -> tuple[Say | None, ...]:
    strength = draw.medicine.strength
    return (
        say_title(fill.fill, plan.regimen.fills),
        say("staff-medicine", medicine=draw.medicine.name),
        say("staff-dose", dose=draw.dose),
        say("staff-strength-none") if strength is None else say("staff-strength", strength=strength),
        say("staff-volume", volume=Quantity(draw.volume_ml, Unit.ML)),
        say("staff-air-none") if draw.air is None else say("staff-air", air=draw.air),
        say("staff-stop", stop=draw.stop),
        None,
    )


def _list_facts(regimen: Regimen) -> Iterator[Say]:
    """How the lines come about, and what the card rests on."""
    syringe = regimen.syringe
    per_ml = syringe.scale.units_per_ml
    yield say("staff-working-ml") if per_ml is None else say("staff-working", number=per_ml)
    ends = {Needle.FIXED: "", Needle.DETACHABLE: "-detachable", Needle.NONE: "-oral"}
    words = {"last": syringe.last_line, "number": syringe.line_every}
    yield say(f"staff-syringe{ends[syringe.needle]}", scale=syringe.scale, **words)
    for medicine in regimen.medicines:
        yield from _list_vial_facts(medicine)
    for source in list_sources(regimen):
        if source.evidence is Evidence.MEMORY:
            yield say("staff-memory", label=source.document)


def _list_vial_facts(medicine: Medicine) -> Iterator[Say]:
    kind = "staff-in-use-label" if medicine.in_use_days_from_label else "staff-in-use"
    yield say(kind, medicine=medicine.name, in_use_days=medicine.in_use_days)
    if medicine.mixing_checked_by:
        yield say("staff-mixing", medicine=medicine.name, checker=medicine.mixing_checked_by)


def _build_print_check(syringe: Syringe, regimen: Regimen) -> Iterator[StaffBlock]:
    is_measured = syringe.scale_length_mm is not None
    pictures = ("bar", "outline", *(("life-size",) if is_measured else ()))
    yield StaffHeading(say("staff-print"))
    yield StaffPoints(
        (say("staff-print-size"), say("staff-print-sides"), *(() if is_measured else (say("staff-life-size-none"),)))
    )
    yield PrintCheck(
        bar=say("staff-bar"),
        outline=say("staff-outline"),
        life_size=say("staff-life-size") if is_measured else None,
        syringe=syringe,
        direction=regimen.print.barrel,
        alts=tuple(say(f"alt-staff-{picture}") for picture in pictures),
    )


def _list_person(regimen: Regimen) -> Iterator[Say]:
    """Lines for what only who teaches can know."""
    routes = {medicine.route for medicine in regimen.medicines}
    if Route.BY_MOUTH in routes:
        yield say("staff-giver")
        return
    if regimen.patient.kind is PatientKind.PERSON:
        yield say("staff-angle")
        if Route.UNDER_THE_SKIN in routes:
            yield say("staff-fold")
        yield say("staff-count")
    if Route.UNDER_THE_SKIN in routes:
        yield say("staff-places")
    if Route.INTO_MUSCLE in routes:
        yield say("staff-place-muscle")
    if regimen.syringe.needle is Needle.DETACHABLE:
        yield say("staff-needles")


def list_teach_back(plan: Plan) -> Iterator[Say]:
    """What to have shown back: the lines of every fill, then one example of each kind of trouble."""
    for fill in plan.fills:
        yield from _list_shown(fill)
    yield say("staff-teach-practice")
    mixed = next((fill for fill in plan.fills if fill.is_mixed), None)
    single = next((fill for fill in plan.fills if not fill.is_mixed), None)
    is_mouth = plan.fills[0].first.medicine.route is Route.BY_MOUTH
    if mixed is not None:
        yield say("staff-teach-past-two", first=mixed.first.stop, total=mixed.last.stop)
        yield say("staff-teach-bubble-two")
    if single is not None:
        yield say("staff-teach-past-mouth" if is_mouth else "staff-teach-past", stop=single.first.stop)
        yield say("staff-teach-bubble")
    yield from _list_answers(plan, is_mouth=is_mouth)


def _list_shown(fill: FillPlan) -> Iterator[Say]:
    first, last, when = fill.first, fill.last, fill.fill.when
    if not fill.is_mixed:
        yield say("staff-teach-line", when=when, stop=last.stop)
        return
    yield say("staff-teach-lines", when=when, first=first.stop, total=last.stop)
    if first.air is not None and last.air is not None:
        yield say("staff-teach-air", air=last.air, still=first.air)
    yield say("staff-teach-how-much", second_medicine=last.medicine.name, dose=last.dose, number=last.stop_line)


def _list_answers(plan: Plan, *, is_mouth: bool) -> Iterator[Say]:
    """What to ask and have shown beside the filling itself."""
    regimen = plan.regimen
    is_animal = regimen.patient.kind is PatientKind.ANIMAL
    if any(medicine.is_insulin for medicine in regimen.medicines) and not is_animal:
        yield say("staff-teach-low")
    if any(fill.fill.is_weekly for fill in plan.fills):
        yield say("staff-teach-missed")
    if is_animal:
        yield say("staff-teach-animal")
    elif is_mouth:
        yield say("staff-teach-give")
    else:
        yield say("staff-teach-place")
    if not is_mouth:
        yield say("staff-teach-sharps")


def _list_cautions(cautions: tuple[Problem, ...]) -> Iterator[Say]:
    for problem in cautions:
        words = {"found": problem.found, "expected": problem.expected, "remedy": problem.remedy}
        yield say("staff-caution", code=problem.code, **words)
    if not cautions:
        yield say("staff-cautions-none")


def _build_check(regimen: Regimen, code: str, keeping: Keeping | None) -> Iterator[StaffBlock]:
    review, replaces = regimen.review, regimen.replaces
    yield StaffHeading(say("staff-check"))
    if is_checked(regimen) and review.checked_by and review.checked_on:
        is_here = keeping is not None and keeping.is_checked_here
        points = [say("staff-checked", checker=review.checked_by, date=review.checked_on, code=code)]
        points.append(say("staff-check-here" if is_here else "staff-check-stated"))
    else:
        points = [say("staff-to-check", code=code)]
    points.append(say("staff-fingerprint", code=_group(compute_fingerprint(regimen))))
    if regimen.language == ENGLISH:
        edition, names = name_edition(ENGLISH), write_list(list_signers(ENGLISH))
        points.append(
            say("staff-edition-signed", code=edition, name=names) if names else say("staff-edition", code=edition)
        )
    if keeping is not None and keeping.line:
        points.append(say("staff-register", number=keeping.line, code=_group(keeping.head)))
    if replaces is not None:
        points.append(say("staff-replaces", old_code=replaces.card_code, code=_group(replaces.fingerprint)))
    yield StaffPoints(tuple(points))
    name = review.prepared_by
    prepared = say("staff-prepared", name=name) if name else say("staff-write-prepared")
    yield StaffWriteIns((WriteIn(prepared), WriteIn(say("staff-write-checked"))))


def _group(fingerprint: str) -> str:
    return " ".join(fingerprint[start : start + GROUP] for start in range(0, len(fingerprint), GROUP))


def _list_given(regimen: Regimen, vials_title: Say) -> Iterator[Say]:
    yield say("staff-give-pages", text=vials_title)
    if choose_print_size(regimen.patient, regimen.language).body_pt > LARGEST_STEPS_PT:
        yield say("staff-give-deck")
    if regimen.replaces is not None:
        yield say("staff-give-old", old_code=regimen.replaces.card_code)
    else:
        yield say("staff-give-no-old")


def list_sources(regimen: Regimen) -> tuple[Source, ...]:
    """The sources of the catalogue rows a card rests on, each once, in the order they are met."""
    syringe = regimen.syringe
    scale = find_scale(load_scales(), syringe.scale, syringe.capacity_ml, syringe.line_every)
    keys = [*(scale.sources if scale else ("user",))]
    for medicine in regimen.medicines:
        keys += medicine.row.sources if medicine.row else ()
    sources = load_sources()
    return tuple(sources[key] for key in dict.fromkeys(keys))
