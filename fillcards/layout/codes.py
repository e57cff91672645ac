"""What cannot be placed on paper, as a problem."""

from __future__ import annotations

from fillcards.problems import Place, Problem, Severity


def make_problem(code: str, found: str) -> Problem:
    """A problem of this floor; the layout does not know the file, and what it asks for is chosen under ``print``."""
    expected = {
        "LAYOUT-001": "all of a fill on the sides it may have",
        "LAYOUT-002": "every number on one line",
        "LAYOUT-003": "at most 83 pt in print",
    }[code]
    remedy = "choose larger paper, a smaller text size or shorter names; or use the screen page, sound or braille"
    return Problem(code, Severity.REFUSE, Place(key="print.paper"), found, expected, remedy)
