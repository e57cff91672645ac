"""Every code that a roster, or a row of it, can be refused with, and why the rule exists."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

_CSV: Final = ("rfc-4180", "design")
_ROWS: Final = (
    (
        "ROSTER-001",
        "A roster is UTF-8 text, every line of it.",
        "In another encoding letters turn into others, and nobody can say which were meant.",
        ("design",),
    ),
    (
        "ROSTER-002",
        "A roster has a size that makes sense.",
        "Far more bytes, rows or columns than any day's work were meant for something else, or to do harm.",
        ("design",),
    ),
    (
        "ROSTER-003",
        "A roster has at least one row.",
        "An export that went wrong is often empty; a run that makes nothing would look like a success.",
        ("design",),
    ),
    (
        "ROSTER-004",
        "Every column of a roster is known.",
        "A column that nobody reads may hold what changes the dose.",
        _CSV,
    ),
    (
        "ROSTER-005",
        "No column that a card needs is missing.",
        "Nothing that touches a dose is filled in by the program.",
        _CSV,
    ),
    (
        "ROSTER-006",
        "A column stands once.",
        "Of two doses under one name one is wrong.",
        _CSV,
    ),
    (
        "ROSTER-007",
        "A row has one cell for each column, on one line.",
        "A separator too many or too few moves every later cell under another name: a strength may become a dose.",
        _CSV,
    ),
    (
        "ROSTER-008",
        "A row stands once, in whatever case it is written.",
        "Of two cards for one prescription one goes to somebody else, or is taken for a second dose.",
        ("design",),
    ),
    (
        "ROSTER-009",
        "No two rows give one file name, in whatever case it is written.",
        "One card would take the place of the other, and which one depends on the disk.",
        ("design",),
    ),
    (
        "ROSTER-010",
        "The file name of a card is one that every system can store.",
        "A name that is changed on the way no longer leads to its row.",
        ("design",),
    ),
    (
        "ROSTER-011",
        "A line of a roster in JSON lines is one JSON object.",
        "Past a fault of form nobody can say what belongs to what.",
        ("rfc-8259",),
    ),
)
ROSTER_CODES: Final = tuple(
    ProblemCode(code, Severity.REFUSE, title, reason, sources) for code, title, reason, sources in _ROWS
)
