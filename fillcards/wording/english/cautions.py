"""What every card says, whatever is on it; and the extra words of a medicine whose line is not its dose."""

from __future__ import annotations

from fillcards.catalogue.model import Route
from fillcards.plan.model import Draw
from fillcards.quantities import write_number, write_quantity
from fillcards.regimen.model import PatientKind, Regimen, Syringe
from fillcards.wording.english.amounts import reads_as_line, write_dose_equals
from fillcards.wording.english.dates import write_date
from fillcards.wording.english.labels import container


def write_cautions(regimen: Regimen) -> tuple[str, ...]:
    """The usual cautions: whom to follow, the fixed dose, the real syringe, sharps, whom to call."""
    is_animal = regimen.patient.kind is PatientKind.ANIMAL
    lines = [
        "Do as your veterinarian says. This card does not replace that advice."
        if is_animal
        else "Follow your prescriber and pharmacist. This card does not replace them.",
        "Fixed dose only: do not change it by yourself.",
        "Go by the numbers on your syringe. The pictures are larger.",
    ]
    if any(medicine.route is not Route.BY_MOUTH for medicine in regimen.medicines):
        lines += ["Never share a needle, a syringe or a vial.", "Follow your local rules for used needles."]
    return tuple(lines)


def write_emergency(regimen: Regimen) -> str:
    """Whom to call in an emergency; the number is the local one, so the card prints none."""
    if regimen.patient.kind is PatientKind.ANIMAL:
        return "A person got it by mistake? Call your local emergency number."
    return "In an emergency, call your local emergency number."


def write_ask_again(regimen: Regimen) -> str | None:
    """By when to ask whether the card is still right; ``None`` where the file sets no day."""
    day = regimen.review.ask_again_by
    return f"Ask by {write_date(day)} if this card is still right." if day else None


def write_clinic_says(regimen: Regimen) -> tuple[str, ...]:
    """The clinic's own sentences, word for word."""
    says = regimen.clinic_says
    return tuple(sentence for sentence in (says.low_sugar, says.sickness) if sentence)


def write_dose_notes(draw: Draw, syringe: Syringe) -> tuple[str, ...]:
    """For a dose that is not the number on the scale: dose, volume and line together, and only for which vial."""
    lines = [write_dose_equals(draw, syringe)]
    if draw.medicine.strength is not None:
        lines.append(f"Only for a {container(draw.medicine)} that says {write_quantity(draw.medicine.strength)}.")
    if reads_as_line(draw.medicine, syringe):
        line = write_number(draw.stop_line)
        lines.append(f"{line} is the line, not the dose. One zero too many is ten times the dose.")
    return tuple(lines)
