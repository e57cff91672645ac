"""Every code that a roster, or a row of it, can be refused with, and why the rule exists."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

_CSV: Final = ("rfc-4180", "design")
_ROWS: Final = (
    (
        "ROSTER-001",
        "Every line of a roster is UTF-8 text.",
        "In another encoding letters turn into other letters, and nobody can tell which were meant.",
        ("design",),
    ),
    (
        "ROSTER-002",
        "A roster has a plausible size.",
        "Far more bytes, rows or columns than a day's work means another kind of file, or an attack.",
        ("design",),
    ),
    (
        "ROSTER-003",
        "A roster has at least one row.",
        "A failed export is often empty, and a run that makes nothing would look like success.",
        ("design",),
    ),
    (
        "ROSTER-004",
        "Every column of a roster is known.",
        "A column that is not read may hold something that changes the dose.",
        _CSV,
    ),
    (
        "ROSTER-005",
        "Every column that a card needs is present.",
        "Nothing that touches a dose is filled in by the program.",
        _CSV,
    ),
    (
        "ROSTER-006",
        "Each column occurs once.",
        "If one name has two doses, one of them is wrong.",
        _CSV,
    ),
    (
        "ROSTER-007",
        "A row has one cell for each column, on one line.",
        "One separator too many or too few shifts every later cell to another column: a strength may become a dose.",
        _CSV,
    ),
    (
        "ROSTER-008",
        "Each row occurs once; case makes no difference.",
        "If a prescription gets two cards, one may reach another patient or be taken for a second dose.",
        ("design",),
    ),
    (
        "ROSTER-009",
        "No two rows give the same file name; case makes no difference.",
        "One card would overwrite the other, and which one depends on the disk.",
        ("design",),
    ),
    (
        "ROSTER-010",
        "Every system can store the card's file name.",
        "If a name is changed on the way, it no longer leads to its row.",
        ("design",),
    ),
    (
        "ROSTER-011",
        "A line of a roster in JSON lines is one JSON object.",
        "After a syntax error it is impossible to tell what belongs to what.",
        ("rfc-8259",),
    ),
)
ROSTER_CODES: Final = tuple(
    ProblemCode(code, Severity.REFUSE, title, reason, sources) for code, title, reason, sources in _ROWS
)
