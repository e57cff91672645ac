"""The sheet "Your vials": what holds for every fill. Each vial, what may go wrong, cautions, notes, whom to call."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from fillcards.card.model import Line, VialPanel, VialsSheet, WriteIn
from fillcards.card.steps import look_like, looks_plain
from fillcards.catalogue.model import Route
from fillcards.picture.scene import Filling
from fillcards.plan.model import FillPlan, Plan
from fillcards.plan.rules.vials_and_labels import find_last_date
from fillcards.regimen.model import Medicine, PatientKind, Regimen
from fillcards.wording.messages import Say, say


def build_vials(plan: Plan) -> VialsSheet:
    """The sheet for all fills, its vials in the file's order."""
    regimen = plan.regimen
    is_insulin = all(medicine.is_insulin for medicine in regimen.medicines)
    return VialsSheet(
        title=_say_title(regimen),
        keep=say("vials-keep"),
        vials=tuple(_build_vial(medicine, plan) for medicine in regimen.medicines),
        dates=say("vial-printed"),
        storage=say("storage-insulin" if is_insulin else "storage-label"),
        wrong_title=say("wrong-title"),
        wrong=tuple(_list_wrong(plan)),
        cautions=tuple(_list_cautions(regimen)),
        notes=(say("note", note=regimen.notes),) if regimen.notes else (),
        call_title=say("call-title"),
        contacts=tuple(say("contact", who=contact.who, phone=contact.phone) for contact in regimen.contacts)
        or (WriteIn(say("contact-write")),),
    )


def find_last_day(medicine: Medicine) -> date | None:
    """The last day an opened vial may be used, which is the day before it must not be; ``None`` for one not opened."""
    end = find_last_date(medicine)
    return None if medicine.opened is None or end is None else end - timedelta(days=1)


def _say_title(regimen: Regimen) -> Say:
    is_one = len(regimen.medicines) == 1
    if _all_by_mouth(regimen):
        return say("vials-title-bottle" if is_one else "vials-title-bottles")
    return say("vials-title-one" if is_one else "vials-title")


def _all_by_mouth(regimen: Regimen) -> bool:
    return all(medicine.route is Route.BY_MOUTH for medicine in regimen.medicines)


def _build_vial(medicine: Medicine, plan: Plan) -> VialPanel:
    is_mixed = any(fill.is_mixed and _draws(fill, medicine) for fill in plan.fills)
    heading = say("panel-medicine", medicine=medicine.name)
    if is_mixed:
        heading = say("vial-cloudy" if medicine.is_cloudy else "vial-clear")
    return VialPanel(
        heading=heading,
        look=look_like(medicine, Filling.SECOND if is_mixed and medicine.is_cloudy else Filling.FIRST),
        alt=say("alt-vial-bottle" if medicine.route is Route.BY_MOUTH else "alt-vial"),
        lines=tuple(_list_lines(medicine)),
    )


def _draws(fill: FillPlan, medicine: Medicine) -> bool:
    return any(draw.medicine.key == medicine.key for draw in fill.draws)


def _list_lines(medicine: Medicine) -> Iterator[Line]:
    if medicine.strength is None:
        yield say("vial-medicine-no-strength", medicine=medicine.name)
    else:
        yield say("vial-medicine", medicine=medicine.name, strength=medicine.strength)
    if medicine.on_the_label:
        yield say("vial-label", label=medicine.on_the_label)
    if medicine.vial_mark:
        yield say("vial-mark", mark=medicine.vial_mark)
    if looks_plain(medicine):
        yield say("vial-look-cloudy" if medicine.is_cloudy else "vial-look-clear")
    else:
        yield say("vial-look-other", look=medicine.look)
    yield from _list_dates(medicine)


def _list_dates(medicine: Medicine) -> Iterator[Line]:
    """The last day itself where the file says when the vial was opened, else the rule and lines to write on."""
    until = find_last_day(medicine)
    if medicine.opened is not None and until is not None:
        yield say("vial-last-day", until=until)
        yield say("vial-opened", opened=medicine.opened)
    else:
        rule = "vial-rule-label" if medicine.in_use_days_from_label else "vial-rule"
        yield say(rule, in_use_days=medicine.in_use_days)
        yield WriteIn(say("write-opened"))
        yield WriteIn(say("write-last-day"))
    # The card outlives the vial in use.
    yield WriteIn(say("write-next-opened"))
    yield WriteIn(say("write-last-day"))


def _list_wrong(plan: Plan) -> Iterator[Say]:
    """Every trouble that a fill of the card can meet, once, in the order in which it can come.

    What is in the syringe may go back only while all of it came from the vial the needle is still in; after the second
    draw it is thrown away and begun again (overshoot-discard). Whether a dose was given is never settled by giving it
    again.
    """
    by_needle = [fill for fill in plan.fills if fill.first.medicine.route is not Route.BY_MOUTH]
    is_mouth = not by_needle
    kinds = {fill.is_mixed for fill in by_needle}
    if kinds:
        # Where some fills are mixed and some are not, one sentence serves both.
        vial = "either" if len(kinds) > 1 else "first" if kinds == {True} else "one"
        yield say(f"wrong-{vial}")
        yield say(f"wrong-{vial}-out")
    if True in kinds:
        for trouble in ("moved", "total", "cloudy-in-clear"):
            yield say(f"wrong-{trouble}")
    if is_mouth:
        yield say("wrong-mouth")
        yield say("wrong-mouth-little")
    else:
        yield say("wrong-little")
    given = "-given" if is_mouth or plan.regimen.patient.kind is PatientKind.ANIMAL else ""
    yield say(f"wrong-unsure{given}")
    if any(fill.fill.is_weekly for fill in plan.fills):
        yield say(f"wrong-missed{given}")
    if any(medicine.is_insulin for medicine in plan.regimen.medicines):
        yield from _list_insulin_wrong(plan.regimen)


def _list_insulin_wrong(regimen: Regimen) -> Iterator[Say]:
    """Low sugar and sickness. Published sheets differ, so the card decides nothing; a clinic may write its own."""
    if regimen.patient.kind is PatientKind.ANIMAL:
        yield say("wrong-animal-eat")
        yield say("wrong-animal-weak")
        return
    clinic = regimen.clinic_says
    yield say("clinic-says", note=clinic.low_sugar) if clinic.low_sugar else say("wrong-low")
    yield say("clinic-says", note=clinic.sickness) if clinic.sickness else say("wrong-sick")


def _list_cautions(regimen: Regimen) -> Iterator[Say]:
    is_animal = regimen.patient.kind is PatientKind.ANIMAL
    yield say("caution-label-animal" if is_animal else "caution-label")
    yield say("caution-emergency" if _all_by_mouth(regimen) else "caution-sharps")
    if regimen.review.ask_again_by is not None:
        yield say("ask-again", date=regimen.review.ask_again_by)
