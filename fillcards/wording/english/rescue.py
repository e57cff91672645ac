"""What to do when something goes wrong, each as a question and a short answer.

The one rule of recovery: what is in the syringe may go back only while all of it came from the vial the needle is
still in. After the second draw nothing goes back; it is thrown away and begun again (sharecare page on mixed insulin,
facts 4.1). Whether a dose was given is never settled by giving it again.
"""

from __future__ import annotations

from fillcards.catalogue.model import Route
from fillcards.plan.model import FillPlan
from fillcards.regimen.model import PatientKind, Regimen
from fillcards.wording.english.amounts import write_line
from fillcards.wording.english.labels import name_bare_vial, name_vial


def write_past_the_line(fill: FillPlan) -> str:
    """The one rescue that stands on page one: what to do past the (total) line."""
    if fill.is_mixed:
        return "Past the total line? Throw it all away. Start again."
    medicine = fill.first.medicine
    vial = "bottle" if medicine.route is Route.BY_MOUTH else "vial"
    return f"Past the line, still in the {vial}? Push it all back. Draw again."


def write_rescue(fill: FillPlan, regimen: Regimen) -> tuple[str, ...]:
    """Every rescue line of a fill, in the order the trouble can come; what to ask oneself before stands elsewhere."""
    if fill.first.medicine.route is Route.BY_MOUTH:
        return _write_bottle_trouble()
    return _write_mixed_trouble(fill, regimen) if fill.is_mixed else _write_single_trouble(fill, regimen)


def write_whom_to_call(regimen: Regimen) -> str:
    """Whom to call when unsure, for page one: the first contact of the file, else the professions."""
    if regimen.contacts:
        contact = regimen.contacts[0]
        return f"Not sure? Stop. Call {contact.who}: {contact.phone}."
    return f"Not sure? Stop. Call your {write_professions(regimen)}."


def write_professions(regimen: Regimen) -> str:
    """Whom a person asks about the medicine: ``prescriber or pharmacist``, ``veterinarian``."""
    return "veterinarian" if regimen.patient.kind is PatientKind.ANIMAL else "prescriber or pharmacist"


def _write_mixed_trouble(fill: FillPlan, regimen: Regimen) -> tuple[str, ...]:
    first, last = fill.first, fill.last
    first_vial = f"the {name_bare_vial(first.medicine, fill)}"
    line = write_line(first.stop_line, first.medicine, regimen.syringe)
    lines = [
        f"A bubble, or past the first line, needle still in {first_vial}? Push it all back. Draw again to {line}.",
        "Did the plunger move between the vials? Throw it all away. Start again with a new syringe.",
        "Past the total line, or a large bubble in the mix? Throw it all away. Start again with a new syringe.",
        "Both are in the syringe? Push nothing back into a vial.",
    ]
    if last.medicine.is_cloudy and not first.medicine.is_cloudy:
        lines.append(f"Cloudy liquid in {name_vial(first.medicine, fill)}? Do not use that vial. Open a new one.")
    lines.append("Too little left in a vial? Throw the mix away. Take a full vial and a new syringe.")
    return tuple(lines)


def _write_single_trouble(fill: FillPlan, regimen: Regimen) -> tuple[str, ...]:
    draw = fill.first
    vial = f"the {name_bare_vial(draw.medicine, fill)}"
    line = write_line(draw.stop_line, draw.medicine, regimen.syringe)
    return (
        f"A bubble, or past the line, needle still in {vial}? Push it all back. Draw again to {line}.",
        "Past the line, needle out? Throw it all away. Start again with a new syringe.",
        f"Too little left in {vial}? Do not top up. Take a full vial and a new syringe.",
    )


def _write_bottle_trouble() -> tuple[str, ...]:
    return (
        "A bubble, or past the line? Push it all back into the bottle. Draw again.",
        "Too little left in the bottle? Do not top up. Start again with a full bottle.",
    )


def write_dose_trouble(fill: FillPlan, regimen: Regimen) -> tuple[str, ...]:
    """Why the dose may not be due at all: not sure whether it was given, and, for insulin, food and low sugar."""
    is_animal = regimen.patient.kind is PatientKind.ANIMAL
    is_insulin = any(draw.medicine.is_insulin for draw in fill.draws)
    done = "gave it" if is_animal or fill.first.medicine.route is Route.BY_MOUTH else "injected"
    again = "Do not inject again" if done == "injected" else "Do not give it again"
    lines = [f"Not sure if you {done}? {again}. Call."]
    if is_insulin and is_animal:
        lines += ["The animal does not eat? Call before you give it.", "The animal is weak or shakes? Call at once."]
    elif is_insulin:
        lines += ["You cannot eat? Call before you inject.", "Low sugar? Do as you were taught. Then call."]
    return tuple(lines)
