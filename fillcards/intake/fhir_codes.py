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
        "Past a fault of form nobody can say what belongs to what; NaN and Infinity are no numbers.",
        ("rfc-8259",),
    ),
    (
        "FHIR-002",
        _REFUSE,
        "The file is of a size that makes sense.",
        "The prescriptions of one patient are some kilobytes; more was meant for something else, or to do harm.",
        ("rfc-8259", "design"),
    ),
    (
        "FHIR-003",
        _REFUSE,
        "A name stands once in an object.",
        "Of two doses under one name one is wrong, and readers differ on which of them counts.",
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
        "A Bundle is whole and of today.",
        "On the next page may stand the second insulin; a history holds doses that no longer count.",
        ("fhir-r4",),
    ),
    (
        "FHIR-006",
        _REFUSE,
        "A prescription has the form that the standard gives it.",
        "What stands where it should not, or as another type, was written by a system that meant something else.",
        ("fhir-r4",),
    ),
    (
        "FHIR-007",
        _REFUSE,
        "All prescriptions are for one and the same person or animal.",
        "A card with the doses of two patients harms one of them.",
        ("design",),
    ),
    (
        "FHIR-008",
        _REFUSE,
        "A prescription is an order in force.",
        "A plan, a proposal, an order on hold or one not to give is no dose to draw.",
        ("fhir-r4",),
    ),
    (
        "FHIR-009",
        _REFUSE,
        "Nothing that is not understood changes the meaning.",
        "The standard forbids to use what carries a modifier that the reader does not know.",
        ("fhir-r4",),
    ),
    (
        "FHIR-010",
        _REFUSE,
        "A prescription stands once.",
        "Of two versions of one order one is out of date; written twice it doubles the dose.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-011",
        _REFUSE,
        "The file holds at least one prescription that can be used.",
        "Out of nothing no draft is made.",
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
        "A range, a limit, a rate or two doses for one line leave the dose to whoever fills the syringe.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-014",
        _REFUSE,
        "A dose carries a unit, and the unit fits the medicine.",
        "A bare number was taken for units, mg or mL; what one unit is depends on the medicine.",
        ("ucum", "fda-compounded-2024", "design"),
    ),
    (
        "FHIR-015",
        _REFUSE,
        "A dose depends on nothing.",
        "As needed, by a sliding scale, up to a maximum: the card shows one line and cannot show a choice.",
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
        "How often agrees with the times and the days.",
        "Two statements that do not fit leave open how many doses there are; a weekly dose daily is sevenfold.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-018",
        _REFUSE,
        "A dose has no end that the card could not show.",
        "A card stays on the door after the course has ended or the next step of it has begun.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-019",
        _REFUSE,
        "The words of a prescription say nothing but what its fields say.",
        "Where a sentence says another amount, another time or more than the fields do, one of the two is wrong.",
        ("design",),
    ),
    (
        "FHIR-020",
        _REFUSE,
        "Route, site and method are those that a card is made for.",
        "A dose into a vein drawn by a card for the skin can kill.",
        ("snomed-ct-routes", "design"),
    ),
    (
        "FHIR-021",
        _REFUSE,
        "A medicine has one dose at one time.",
        "Of two amounts at one time one is out of date, or follows the other.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-022",
        _CAUTION,
        "What was left out is named.",
        "A prescription that has ended is not drawn, an extension not understood; whoever compares must know of it.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-023",
        _CAUTION,
        "A name that was asked for and could not be taken over is left blank.",
        "A wrong or cut name on a card is worse than a line to write it on.",
        ("design",),
    ),
    (
        "FHIR-024",
        _REFUSE,
        "A prescription holds on the day it is read.",
        "A dose whose time is over, or is still to come, is not the dose of today.",
        ("fhir-r4", "design"),
    ),
    (
        "FHIR-025",
        _CAUTION,
        "A note about something else is pointed out.",
        "Whether it matters for the dose only somebody who reads it can say.",
        ("design",),
    ),
)

FHIR_CODES: Final[tuple[ProblemCode, ...]] = tuple(
    ProblemCode(code, severity, title, reason, sources) for code, severity, title, reason, sources in _ROWS
)
