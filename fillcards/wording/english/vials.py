"""What each vial must look like, when to throw it away, where to keep it.

Looks: label quotes collected in facts 5.3. Keeping: FDA, "Information Regarding Insulin Storage and Switching Between
Products in an Emergency" (unopened in the refrigerator, never frozen, away from heat and sun). How warm an open vial
may get differs from label to label, so the card sends the reader to the label.
"""

from __future__ import annotations

from datetime import date

from fillcards.regimen.model import Medicine, Regimen
from fillcards.wording.english.dates import write_date
from fillcards.wording.english.labels import capitalize, container, name_stock
from fillcards.wording.english.steps import write_look


def write_appearance(medicine: Medicine) -> str:
    """How the vial must look, and what means that it must not be used."""
    if medicine.row is None:
        faults = "Not so? Do not use it."
    elif medicine.is_cloudy:
        faults = "Lumps, grains, a tint, or white bits on the glass? Do not use it."
    else:
        faults = "Cloudy, tinted, or bits in it? Do not use it."
    return f"{capitalize(name_stock(medicine))} must be {write_look(medicine)}. {faults}"


def write_warning(medicine: Medicine) -> str | None:
    """The warning the file names, word for word; ``None`` where it names none."""
    return f"{capitalize(medicine.name)}: {medicine.warning}" if medicine.warning else None


def write_discard_rule(medicine: Medicine) -> str:
    """The rule in words: so many days after opening, or the printed expiry if that is sooner."""
    days = "1 day" if medicine.in_use_days == 1 else f"{medicine.in_use_days} days"
    rule = f"Throw {name_stock(medicine)} away {days} after you open it."
    if medicine.expires is not None:
        return f"{rule} Sooner, if its printed date comes first: {write_date(medicine.expires)}."
    return f"{rule} Sooner, if its printed date comes first."


def write_discard_dates(opened: date, use_by: date) -> str:
    """``Opened 2 November 2026. Do not use it from 30 November 2026.``"""
    return f"Opened {write_date(opened)}. Do not use it from {write_date(use_by)} on."


def write_discard_labels() -> tuple[str, ...]:
    """Labels of the write-in lines."""
    return ("Opened", "Throw away")


def write_next_labels(medicine: Medicine) -> tuple[str, ...]:
    """Labels of the lines for the vial that comes after the one in use."""
    return (f"Next {container(medicine)} opened", "Throw away")


def write_storage(regimen: Regimen) -> tuple[str, ...]:
    """Where to keep it, in plain words; what only the label can say is left to the label."""
    if not all(medicine.row for medicine in regimen.medicines):
        containers = sorted({container(medicine) for medicine in regimen.medicines})
        return tuple(f"Keep each {word} as its label says." for word in containers)
    return (
        "Keep new vials in the fridge. Never freeze them.",
        "Frozen once? Throw the vial away.",
        "Keep open vials as their label says, away from heat and sun.",
    )
