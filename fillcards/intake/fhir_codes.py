"""Every code that a prescription in FHIR can be refused or cautioned with, and why the rule exists."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION
_ROWS: Final = (
    (
        "FHIR-001",
        _REFUSE,
        "The file is one JSON object in UTF-8.",
        "After a syntax error it is impossible to tell what belongs to what; NaN and Infinity are not numbers.",
        ("rfc-8259",),
    ),
    (
        "FHIR-002",
        _REFUSE,
        "The file has a plausible size.",
        "One patient's prescriptions take a few kilobytes; a larger file is something else, or an attack.",
        ("rfc-8259", "design"),
    ),
    (
        "FHIR-003",
        _REFUSE,
        "Each name occurs once in an object.",
        "If one name has two doses, one of them is wrong, and programs differ on which one they use.",
        ("rfc-8259",),
    ),
    (
        "FHIR-004",
        _REFUSE,
        "The file is a Bundle or a MedicationRequest.",
        "Other resources say what was dispensed, taken or planned, not what is prescribed.",
        ("fhir-r4",),
    ),
    (
        "FHIR-005",
        _REFUSE,
        "A Bundle is complete and current.",
        "The next page may hold the second insulin; a history holds doses that no longer apply.",
        ("fhir-r4",),
    ),
    (
        "FHIR-006",
        _REFUSE,
        "A prescription follows the standard.",
        "An element in the wrong place, or of the wrong type, comes from a system that meant something else.",
        ("fhir-r4",),
    ),
    (
        "FHIR-007",
        _REFUSE,
        "All prescriptions are for the same person or animal.",
        "A card that mixes two patients' doses would harm one of them.",
        ("design",),
    ),
    (
        "FHIR-008",
        _REFUSE,
        "A prescription is an order in force.",
        "A plan, a proposal, an order on hold or an order not to give is not a dose to draw.",
        ("fhir-r4",),
    ),
    (
        "FHIR-009",
        _REFUSE,
        "Nothing unknown changes the meaning.",
        "The standard forbids using an element with a modifier that the program does not know.",
        ("fhir-r4",),
    ),
    (
        "FHIR-010",
        _REFUSE,
        "Each prescription occurs once.",
        "If there are two versions of an order, one is out of date; the same order twice doubles the dose.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-011",
        _REFUSE,
        "The file holds at least one prescription that can be used.",
        "There is nothing to make a draft from.",
        ("design",),
    ),
    (
        "FHIR-012",
        _REFUSE,
        "A prescription names its medicine.",
        "Without a name nobody can compare the draft with the vial.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-013",
        _REFUSE,
        "A dose is one exact amount.",
        "A range, a limit, a rate or two doses on one line would leave the choice to the person filling the syringe.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-014",
        _REFUSE,
        "A dose carries a unit, and the unit fits the medicine.",
        "Bare numbers have been taken for units, mg or mL; what a unit is depends on the medicine.",
        ("ucum", "fda-compounded-2024", "design"),
    ),
    (
        "FHIR-015",
        _REFUSE,
        "A dose depends on nothing.",
        "The card shows one line: it cannot show a dose as needed, a sliding scale or a maximum.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-016",
        _REFUSE,
        "A dose has its time of day.",
        "Twice a day, or at meals, does not say at which of them.",
        ("fhir-event-timing", "design"),
    ),
    (
        "FHIR-017",
        _REFUSE,
        "The frequency agrees with the times and the days.",
        "If they disagree, the number of doses is unclear; a weekly dose taken daily is seven times the dose.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-018",
        _REFUSE,
        "A dose has no end that the card could not show.",
        "A card stays on the fridge door after the course has ended or its next step has begun.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-019",
        _REFUSE,
        "The text of a prescription says the same as its coded fields.",
        "If the text gives another amount, another time or more than the fields, one of the two is wrong.",
        ("design",),
    ),
    (
        "FHIR-020",
        _REFUSE,
        "Route, site and method are ones that cards are made for.",
        "A dose meant for under the skin can kill in a vein.",
        ("snomed-ct-routes", "design"),
    ),
    (
        "FHIR-021",
        _REFUSE,
        "A medicine has one dose at one time.",
        "If there are two amounts for one time, one is out of date or follows the other.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-022",
        _CAUTION,
        "Anything left out is listed.",
        "Ended prescriptions and unknown extensions are not in the draft; the person comparing must know.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-023",
        _CAUTION,
        "A name that was requested but cannot be used is left blank.",
        "A wrong or shortened name on a card is worse than a line to write it on.",
        ("design",),
    ),
    (
        "FHIR-024",
        _REFUSE,
        "A prescription is valid on the day it is read.",
        "A dose whose period is over or has not begun is not today's dose.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-025",
        _CAUTION,
        "A note about something else is reported.",
        "Only a person reading it can tell whether it matters for the dose.",
        ("design",),
    ),
)

FHIR_CODES: Final[tuple[ProblemCode, ...]] = tuple(
    ProblemCode(code, severity, title, reason, sources) for code, severity, title, reason, sources in _ROWS
)
