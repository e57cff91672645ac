"""The codes of what cannot be placed on paper."""

from __future__ import annotations

from typing import Final

from fillcards.problems import Place, Problem, ProblemCode, Severity

LAYOUT_CODES: Final = (
    ProblemCode(
        "LAYOUT-001",
        Severity.REFUSE,
        "Everything a card says fits on the sides it may have.",
        "Nothing is ever made smaller to fit, and a card of many sides is not found one's way in.",
        ("design",),
    ),
    ProblemCode(
        "LAYOUT-002",
        Severity.REFUSE,
        "Every number fits on one line.",
        "A number broken over two lines can be read as two numbers.",
        ("design",),
    ),
    ProblemCode(
        "LAYOUT-003",
        Severity.REFUSE,
        "No print serves a reader who needs more than 83 pt.",
        "Larger, not one fact of a card fits on a side; other forms take over.",
        ("design", "cheong-2002"),
    ),
)


def make_problem(code: str, found: str) -> Problem:
    """A problem of this floor; the layout does not know the file, and what it asks for is chosen under ``print``."""
    expected = {
        "LAYOUT-001": "all of a fill on the sides it may have",
        "LAYOUT-002": "every number on one line",
        "LAYOUT-003": "at most 83 pt in print",
    }[code]
    remedy = "choose larger paper, a smaller text size or shorter names; or use the screen page, sound or braille"
    return Problem(code, Severity.REFUSE, Place(key="print.paper"), found, expected, remedy)
